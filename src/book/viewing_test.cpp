// What prints are looked at under and by whom: what the book keeps of it, and what it refuses.

#include <algorithm>
#include <array>
#include <functional>
#include <map>
#include <random>

#include <SQLiteCpp/SQLiteCpp.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "book/book.h"
#include "book/sample.h"
#include "core/files.h"
#include "testing/near.h"
#include "testing/temporary_folder.h"

namespace greywright::book {
namespace {

using greywright::testing::succeeded;
using greywright::testing::TemporaryFolder;
using ::testing::ElementsAre;
using ::testing::HasSubstr;

class Viewing : public ::testing::Test {
  protected:
    Viewing() { EXPECT_TRUE(succeeded(Book::open(path_, OpenMode::readWrite))); }

    Book open(OpenMode mode = OpenMode::readWrite) const {
        auto book = Book::open(path_, mode);
        EXPECT_TRUE(succeeded(book));
        return std::move(book).value();
    }

    /// The error that `work` on the book gives; checks kind, advice and that the file has not changed.
    Error errorOf(const std::function<Outcome(Book&)>& work, ErrorKind kind = ErrorKind::wrongUse,
                  OpenMode mode = OpenMode::readWrite) const {
        const std::string before = readWholeFile(path_).value();
        Book book = open(mode);
        const Outcome outcome = work(book);
        EXPECT_FALSE(outcome);
        if (outcome) return {};
        EXPECT_EQ(outcome.error().kind, kind);
        EXPECT_NE(outcome.error().next, "");
        EXPECT_NE(outcome.error().where.path, "");
        EXPECT_EQ(readWholeFile(path_).value(), before) << "the book was changed";
        return outcome.error();
    }

    /// Runs SQL in the file behind the book's back, and hands back the first value it gives.
    std::string tamper(const std::string& sql) const {
        SQLite::Database database(path_, SQLite::OPEN_READWRITE);
        database.exec("PRAGMA ignore_check_constraints = ON");
        SQLite::Statement statement(database, sql);
        return statement.executeStep() ? statement.getColumn(0).getString() : "";
    }

    TemporaryFolder folder_;
    std::filesystem::path path_ = folder_ / "studio.book";
};

TEST_F(Viewing, EverythingComesBackAsItWasEntered) {
    const std::string bytes("nm\r\n\0\xff", 6);
    const NewLight mixed = sample::mix("Both", {{"lamp", 0.75}, {"Shipped daylight", 0.25}});
    NewLight mixedAndMeasured = sample::light("Both, measured");
    mixedAndMeasured.light.parts = mixed.light.parts;
    const SceneRecord plain = sample::scene("Easel", "Shipped daylight");
    ViewerRecord other = sample::viewer("Other eye");
    other.thresholdBeside.reset();
    other.thresholdAlone = 1.5;
    {
        Book book = open();
        ASSERT_TRUE(succeeded(book.addLight(sample::light("Lamp", bytes))));
        ASSERT_TRUE(succeeded(book.addLight(mixed)));
        ASSERT_TRUE(succeeded(book.addLight(mixedAndMeasured)));
        ASSERT_TRUE(succeeded(book.addGlazing(sample::glazing("Frame", bytes))));
        ASSERT_TRUE(succeeded(book.addScene(sample::scene("Hallway", "LAMP", "Frame"))));
        ASSERT_TRUE(succeeded(book.addScene(plain)));
        ASSERT_TRUE(succeeded(book.addViewer(sample::viewer())));
        ASSERT_TRUE(succeeded(book.addViewer(other)));
    }
    const Book book = open(OpenMode::readOnly);
    EXPECT_THAT(book.lights().value(),
                ElementsAre(sample::light().light, mixed.light, mixedAndMeasured.light));
    EXPECT_EQ(book.originalOfLight("Lamp").value(), bytes);
    EXPECT_EQ(book.originalOfLight("Both").value(), "");
    EXPECT_THAT(book.glazings().value(), ElementsAre(sample::glazing().glazing));
    EXPECT_EQ(book.originalOfGlazing("Frame").value(), bytes);
    EXPECT_THAT(book.scenes().value(), ElementsAre(sample::scene("Hallway", "LAMP", "Frame"), plain));
    EXPECT_THAT(book.viewers().value(), ElementsAre(sample::viewer(), other));
    EXPECT_TRUE(succeeded(book.check()));
}

// What docs/book.md promises to other programs. Source: IEEE 754-2019, binary64: 1.5 is 3FF8000000000000 and
// 0.125 is 3FC0000000000000.
TEST_F(Viewing, SpectraStandThereLowestByteFirst) {
    NewLight light = sample::light();
    light.light.grid = {380, 5, 2};
    light.light.power = {1.5, 0.125};
    ASSERT_TRUE(succeeded(open().addLight(light)));
    EXPECT_EQ(tamper("SELECT hex(power) FROM lights"), "000000000000F83F000000000000C03F");
}

// One kind of entry: how to enter, list and remove it by name.
struct Kind {
    const char* word;
    std::function<Outcome(Book&, const std::string&)> add;
    std::function<std::size_t(Book&)> count;
    std::function<Outcome(Book&, const std::string&)> remove;
};

const std::array<Kind, 4>& kinds() {
    static const std::array<Kind, 4> all{
        Kind{"light", [](Book& book, const std::string& name) { return book.addLight(sample::light(name)); },
             [](Book& book) { return book.lights().value().size(); },
             [](Book& book, const std::string& name) { return book.removeLight(name); }},
        Kind{"scene",
             [](Book& book, const std::string& name) {
                 return book.addScene(sample::scene(name, "Shipped daylight"));
             },
             [](Book& book) { return book.scenes().value().size(); },
             [](Book& book, const std::string& name) { return book.removeScene(name); }},
        Kind{"glazing",
             [](Book& book, const std::string& name) { return book.addGlazing(sample::glazing(name)); },
             [](Book& book) { return book.glazings().value().size(); },
             [](Book& book, const std::string& name) { return book.removeGlazing(name); }},
        Kind{"viewer",
             [](Book& book, const std::string& name) { return book.addViewer(sample::viewer(name)); },
             [](Book& book) { return book.viewers().value().size(); },
             [](Book& book, const std::string& name) { return book.removeViewer(name); }}};
    return all;
}

TEST_F(Viewing, ANameStandsOnceInItsKindWhateverTheCase) {
    for (const Kind& kind : kinds()) {
        Book book = open();
        ASSERT_TRUE(succeeded(kind.add(book, "North wall"))) << kind.word;
        const Error error = errorOf([&](Book& again) { return kind.add(again, "NORTH wall"); });
        EXPECT_EQ(error.code, kind.word + std::string("-exists"));
        EXPECT_EQ(error.where.path, path_.string());
        EXPECT_EQ(error.where.field, "NORTH wall");
        EXPECT_EQ(kind.count(book), 1U);
    }
}

TEST_F(Viewing, WhatIsRemovedIsGoneAndItsNameIsFree) {
    for (const Kind& kind : kinds()) {
        Book book = open();
        ASSERT_TRUE(succeeded(kind.add(book, "North wall")));
        ASSERT_TRUE(succeeded(kind.add(book, "South wall")));
        ASSERT_TRUE(succeeded(kind.remove(book, "north WALL"))) << kind.word;
        EXPECT_EQ(kind.count(book), 1U);
        EXPECT_TRUE(succeeded(kind.add(book, "north wall")));
    }
    EXPECT_TRUE(succeeded(open().check()));
}

TEST_F(Viewing, AnUnknownNameGetsTheNearest) {
    for (const Kind& kind : kinds()) {
        const auto remove = [&](Book& book) { return kind.remove(book, "Nort wall"); };
        EXPECT_THAT(errorOf(remove).next, HasSubstr(kind.word + std::string("s of the book")));
        Book book = open();
        ASSERT_TRUE(succeeded(kind.add(book, "North wall")));
        const Error error = errorOf(remove);
        EXPECT_EQ(error.code, kind.word + std::string("-unknown"));
        EXPECT_EQ(error.where.path, path_.string());
        EXPECT_EQ(error.where.field, "Nort wall");
        EXPECT_EQ(error.next, "Did you mean \"North wall\"?");
    }
    EXPECT_EQ(errorOf([](Book& book) -> Outcome { return book.originalOfLight("x").error(); }).code,
              "light-unknown");
    EXPECT_EQ(errorOf([](Book& book) -> Outcome { return book.originalOfGlazing("x").error(); }).code,
              "glazing-unknown");
}

TEST_F(Viewing, WhatIsInUseStays) {
    {
        Book book = open();
        ASSERT_TRUE(succeeded(book.addLight(sample::light("Lamp"))));
        ASSERT_TRUE(succeeded(book.addLight(sample::light("Window"))));
        ASSERT_TRUE(succeeded(book.addLight(sample::mix("Evening", {{"WINDOW", 1}, {"Shipped", 2}}))));
        ASSERT_TRUE(succeeded(book.addGlazing(sample::glazing("Frame"))));
        ASSERT_TRUE(succeeded(book.addScene(sample::scene("Hallway", "lamp", "FRAME"))));
    }
    const Error lamp = errorOf([](Book& book) { return book.removeLight("Lamp"); });
    EXPECT_EQ(lamp.code, "light-in-use");
    EXPECT_EQ(lamp.where.field, "Lamp");
    EXPECT_EQ(lamp.what, "the scene \"Hallway\" uses it");
    EXPECT_EQ(lamp.next, "Remove the scene \"Hallway\" first");
    const Error window = errorOf([](Book& book) { return book.removeLight("Window"); });
    EXPECT_EQ(window.code, "light-in-use");
    EXPECT_EQ(window.what, "the mix \"Evening\" uses it");
    const Error frame = errorOf([](Book& book) { return book.removeGlazing("Frame"); });
    EXPECT_EQ(frame.code, "glazing-in-use");
    EXPECT_EQ(frame.what, "the scene \"Hallway\" uses it");
    Book book = open();
    EXPECT_TRUE(succeeded(book.removeScene("Hallway")));
    EXPECT_TRUE(succeeded(book.removeLight("Evening")));
    for (const char* light : {"Lamp", "Window"}) EXPECT_TRUE(succeeded(book.removeLight(light)));
    EXPECT_TRUE(succeeded(book.removeGlazing("Frame")));
    EXPECT_TRUE(succeeded(book.check()));
}

TEST_F(Viewing, AMixNeverHoldsItself) {
    Book book = open();
    ASSERT_TRUE(succeeded(book.addLight(sample::mix("A", {{"B", 1}, {"Shipped", 1}}))));
    ASSERT_TRUE(succeeded(book.addLight(sample::mix("B", {{"C", 1}}))));
    for (const NewLight& circle :
         {sample::mix("C", {{"Shipped", 1}, {"a", 1}}), sample::mix("c", {{"C", 1}})}) {
        const Error error = errorOf([&](Book& changed) { return changed.addLight(circle); });
        EXPECT_EQ(error.code, "light-invalid");
        EXPECT_EQ(error.where.field, "parts");
    }
    EXPECT_TRUE(succeeded(book.addLight(sample::mix("C", {{"Shipped", 1}}))));
    EXPECT_TRUE(succeeded(book.addLight(sample::mix("D", {{"A", 1}, {"B", 1}, {"C", 1}}))));
}

TEST_F(Viewing, WhatIsUnsoundIsNotEntered) {
    NewLight light = sample::light();
    light.light.power.pop_back();
    const Error wrong = errorOf([&](Book& book) { return book.addLight(light); }, ErrorKind::badInput);
    EXPECT_EQ(wrong.code, "light-invalid");
    EXPECT_EQ(wrong.where.text(), "lamp.txt: power");
    NewGlazing glazing = sample::glazing();
    glazing.glazing.transmittance[1] = 92;
    EXPECT_EQ(errorOf([&](Book& book) { return book.addGlazing(glazing); }, ErrorKind::badInput).code,
              "glazing-invalid");
    SceneRecord scene = sample::scene();
    scene.lux = 0;
    EXPECT_EQ(errorOf([&](Book& book) { return book.addScene(scene); }).code, "scene-invalid");
    ViewerRecord viewer = sample::viewer();
    viewer.ageYears = 19;
    EXPECT_EQ(errorOf([&](Book& book) { return book.addViewer(viewer); }).code, "viewer-invalid");
}

TEST_F(Viewing, ReadOnlyMeansReadOnly) {
    for (const Kind& kind : kinds()) {
        for (const auto& change : {kind.add, kind.remove}) {
            const auto work = [&](Book& book) { return change(book, "x"); };
            EXPECT_EQ(errorOf(work, ErrorKind::cannotWrite, OpenMode::readOnly).code, "book-read-only");
        }
    }
}

TEST_F(Viewing, AChangedFileIsNoticed) {
    {
        Book book = open();
        ASSERT_TRUE(succeeded(book.addLight(sample::light())));
        ASSERT_TRUE(succeeded(book.addGlazing(sample::glazing())));
    }
    tamper("UPDATE glazings SET original = CAST('other' AS BLOB)");
    const auto check = [](Book& book) { return book.check(); };
    EXPECT_EQ(errorOf(check, ErrorKind::badInput).where.field, "glazings, id 1");
    const auto glazing = [](Book& book) -> Outcome { return book.originalOfGlazing("Frame").error(); };
    EXPECT_EQ(errorOf(glazing, ErrorKind::badInput).code, "book-damaged");
    tamper("UPDATE lights SET original = CAST('other' AS BLOB)");
    EXPECT_EQ(errorOf(check, ErrorKind::badInput).where.field, "lights, id 1");
    const auto light = [](Book& book) -> Outcome { return book.originalOfLight("Lamp").error(); };
    const Error error = errorOf(light, ErrorKind::badInput);
    EXPECT_EQ(error.code, "book-damaged");
    EXPECT_EQ(error.where.field, "light Lamp");
}

TEST_F(Viewing, ASpectrumCutShortIsNoticed) {
    Book book = open();
    ASSERT_TRUE(succeeded(book.addLight(sample::light())));
    ASSERT_TRUE(succeeded(book.addGlazing(sample::glazing())));
    ASSERT_TRUE(succeeded(book.check()));
    const std::string before = readWholeFile(path_).value();
    for (const char* cut : {"UPDATE lights SET power = x'00'", "UPDATE lights SET power = NULL",
                            "UPDATE lights SET ultraviolet = x'00'",
                            "UPDATE glazings SET transmittance = x'0000000000000000'"}) {
        tamper(cut);
        EXPECT_EQ(errorOf([](Book& cutShort) { return cutShort.check(); }, ErrorKind::badInput).code,
                  "book-damaged")
            << cut;
        ASSERT_TRUE(succeeded(writeWholeFile(path_, before)));
    }
}

// Random changes, granted and refused, against plain maps. The law: nothing that a scene or mix names goes
// while it is named, and no mix comes to hold itself.
TEST_F(Viewing, AgreesWithPlainMapsAfterAnySequence) {
    std::mt19937 random(20310406);
    const auto upTo = [&](int most) { return std::uniform_int_distribution<int>(0, most)(random); };
    std::map<std::string, std::vector<std::string>> lights;  // name to the names of its parts
    std::map<std::string, std::string> scenes;               // name to the name of its light
    const std::function<bool(const std::string&, const std::string&)> holds = [&](const std::string& outer,
                                                                                  const std::string& inner) {
        const auto found = lights.find(outer);
        return found != lights.end() && std::ranges::any_of(found->second, [&](const std::string& part) {
                   return part == inner || holds(part, inner);
               });
    };
    std::map<std::string, int> codes;
    Book book = open();
    for (int round = 0; round < 400; ++round) {
        const std::string name(1, static_cast<char>('a' + upTo(5)));
        std::string expected;
        Outcome outcome = Done{};
        switch (upTo(4)) {
            case 0: {
                std::vector<LightShareRecord> parts;
                std::vector<std::string> names;
                for (char part = 'a'; part <= 'f'; ++part) {
                    if (upTo(3) != 0) continue;
                    parts.push_back({std::string(1, part), 1});
                    names.emplace_back(1, part);
                }
                const bool circle = std::ranges::any_of(
                    names, [&](const std::string& part) { return part == name || holds(part, name); });
                expected = parts.empty() || (circle && !lights.contains(name)) ? "light-invalid"
                           : lights.contains(name)                             ? "light-exists"
                                                                               : "";
                outcome = book.addLight(sample::mix(name, parts));
                if (expected.empty()) lights[name] = names;
                break;
            }
            case 1:
            case 2: {
                const bool used =
                    std::ranges::any_of(scenes, [&](const auto& scene) { return scene.second == name; }) ||
                    std::ranges::any_of(lights, [&](const auto& light) {
                        return std::ranges::find(light.second, name) != light.second.end();
                    });
                expected = !lights.contains(name) ? "light-unknown" : used ? "light-in-use" : "";
                outcome = book.removeLight(name);
                if (expected.empty()) lights.erase(name);
                break;
            }
            case 3: {
                const std::string light(1, static_cast<char>('a' + upTo(5)));
                expected = scenes.contains(name) ? "scene-exists" : "";
                outcome = book.addScene(sample::scene(name, light));
                if (expected.empty()) scenes[name] = light;
                break;
            }
            default:
                expected = scenes.contains(name) ? "" : "scene-unknown";
                outcome = book.removeScene(name);
                scenes.erase(name);
        }
        ASSERT_EQ(outcome ? "" : outcome.error().code, expected) << "round " << round;
        ++codes[expected];
    }
    EXPECT_EQ(codes.size(), 7U) << "every outcome was met";
    std::map<std::string, std::vector<std::string>> kept;
    const auto all = book.lights().value();
    for (const LightRecord& light : all) {
        kept[light.name];
        for (const LightShareRecord& part : light.parts) kept[light.name].push_back(part.light);
    }
    EXPECT_EQ(kept, lights);
    EXPECT_EQ(book.scenes().value().size(), scenes.size());
    EXPECT_TRUE(succeeded(book.check()));
}

}  // namespace
}  // namespace greywright::book

#include "book/book.h"

#include <functional>
#include <random>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "book/sample.h"
#include "testing/near.h"
#include "testing/temporary_folder.h"

namespace greywright::book {
namespace {

using greywright::testing::succeeded;
using greywright::testing::TemporaryFolder;
using ::testing::ElementsAre;
using ::testing::IsEmpty;

class BookTest : public ::testing::Test {
  protected:
    Book open(OpenMode mode = OpenMode::readWrite) {
        auto book = Book::open(path(), mode);
        EXPECT_TRUE(succeeded(book));
        return std::move(book).value();
    }
    [[nodiscard]] std::filesystem::path path() const { return folder_ / "studio.book"; }

    TemporaryFolder folder_;
};

TEST_F(BookTest, IsOneFileInFoldersMadeForIt) {
    const auto path = folder_ / "new" / "folders" / "studio.book";
    {
        auto book = Book::open(path, OpenMode::readWrite);
        ASSERT_TRUE(succeeded(book));
        ASSERT_TRUE(succeeded(book->addCondition(sample::condition())));
        EXPECT_EQ(book->path(), path);
    }
    std::size_t entries = 0;
    for ([[maybe_unused]] const auto& entry : std::filesystem::directory_iterator(path.parent_path()))
        ++entries;
    EXPECT_EQ(entries, 1U) << "something was left beside the book";
}

TEST_F(BookTest, HoldsConditionsAsTheyWereEntered) {
    ConditionRecord three = sample::condition("Matt «β»");
    three.axes.push_back({"depth", 1, 10, 0.5});
    {
        Book book = open();
        ASSERT_TRUE(succeeded(book.addCondition(sample::condition())));
        ASSERT_TRUE(succeeded(book.addCondition(three)));
    }
    const Book book = open(OpenMode::readOnly);
    EXPECT_THAT(book.conditions().value(), ElementsAre(sample::condition(), three));
    EXPECT_EQ(book.condition("Matt «β»").value(), three);
}

TEST_F(BookTest, AConditionIsPutRightAndItsTrialsKeepTheirValues) {
    Book book = open();
    ASSERT_TRUE(succeeded(book.addCondition(sample::condition())));
    ASSERT_TRUE(succeeded(book.addCondition(sample::condition("Cotton"))));
    ASSERT_TRUE(succeeded(book.addTrial("Pearl", sample::trial(-8, 0.3))));
    ConditionRecord right = sample::condition("Pearl 2");
    right.paper = "Pearl 310";
    right.axes = {{"sideways", -10, 10, 0.5}, {"upwards", 0.1, 1, 0.1}};
    right.when = sample::kLater;
    ASSERT_TRUE(succeeded(book.correctCondition("Pearl", right)));
    const ConditionRecord kept = book.condition("Pearl 2").value();
    EXPECT_THAT(
        book.conditionChanges("Pearl 2").value(),
        ElementsAre(ConditionChangeRecord{
            "name: Pearl -> Pearl 2; paper: Pearl 300 -> Pearl 310; tint control: across -50..50 by 1, "
            "up -1..1 by 0.1 -> sideways -10..10 by 0.5, upwards 0.1..1 by 0.1",
            sample::kLater}));
    EXPECT_EQ(book.correctCondition("Pearl 2", right).error().code, "nothing-corrected");
    right.when = sample::kWhen;  // it was entered when it was
    EXPECT_EQ(kept, right);
    EXPECT_EQ(book.condition("Pearl").error().code, "condition-unknown");
    EXPECT_THAT(book.trials("Pearl 2").value()[0].setting,
                ElementsAre(AxisValue{"sideways", -8}, AxisValue{"upwards", 0.3}));

    const auto refused = [&](const std::function<void(ConditionRecord&)>& spoil) {
        ConditionRecord wrong = right;
        spoil(wrong);
        const Outcome outcome = book.correctCondition("Pearl 2", wrong);
        return outcome ? std::string() : outcome.error().code;
    };
    EXPECT_EQ(refused([](auto& one) { one.name = "Cotton"; }), "condition-exists");
    EXPECT_EQ(refused([](auto& one) { one.inks = " "; }), "condition-incomplete");
    EXPECT_EQ(refused([](auto& one) { one.axes[0].min = -5; }), "axes-of-trials");
    EXPECT_EQ(refused([](auto& one) { one.axes[1].step = 0.2, one.axes[1].min = 0; }), "axes-of-trials");
    EXPECT_EQ(refused([](auto& one) { one.axes.pop_back(); }), "axes-of-trials");
    EXPECT_EQ(refused([](auto& one) { one.axes.clear(); }), "axes-of-trials");
    EXPECT_EQ(refused([](auto& one) { one.axes.push_back({"depth", 0, 1, 1}); }), "axes-of-trials");
    EXPECT_EQ(book.correctCondition("Purl", right).error().code, "condition-unknown");
    EXPECT_EQ(book.condition("Pearl 2").value(), kept) << "what is refused changes nothing";
    // Before anything was printed its control may be another.
    right = sample::condition("Cotton");
    right.axes.clear();
    ASSERT_TRUE(succeeded(book.correctCondition("Cotton", right)));
    EXPECT_THAT(book.condition("Cotton").value().axes, IsEmpty());
    EXPECT_TRUE(succeeded(book.removeCondition("Cotton"))) << "what was put right goes with it";
    EXPECT_EQ(book.conditionChanges("Cotton").error().code, "condition-unknown");
    EXPECT_TRUE(succeeded(book.check()));
}

TEST_F(BookTest, AConditionGoesOnlyWhileNothingWasPrinted) {
    Book book = open();
    ASSERT_TRUE(succeeded(book.addCondition(sample::condition())));
    ASSERT_TRUE(succeeded(book.addCondition(sample::condition("Cotton"))));
    ASSERT_TRUE(succeeded(book.addTrial("Pearl", sample::trial(0, 0))));
    EXPECT_EQ(book.removeCondition("Pearl").error().code, "condition-in-use");
    ASSERT_TRUE(succeeded(book.withdrawTrial("Pearl", 1, "another paper", sample::kLater)));
    EXPECT_EQ(book.removeCondition("Pearl").error().code, "condition-in-use") << "withdrawn trials stay";
    ASSERT_TRUE(succeeded(book.removeCondition("Cotton")));
    EXPECT_THAT(book.conditions().value(), ElementsAre(sample::condition()));
    EXPECT_EQ(book.removeCondition("Cotton").error().code, "condition-unknown");
    ASSERT_TRUE(succeeded(book.addCondition(sample::condition("Cotton")))) << "its name is free again";
    ASSERT_TRUE(succeeded(
        book.addMadeFiles("Cotton", {{.kind = "report", .file = "a.html", .when = sample::kWhen}})));
    EXPECT_EQ(book.removeCondition("Cotton").error().code, "condition-in-use");
    EXPECT_TRUE(succeeded(book.check()));
}

TEST_F(BookTest, FindsThePapersOfADriver) {
    Book book = open();
    ConditionRecord other = sample::condition("Cotton");
    other.paper = "Cotton 310";
    ASSERT_TRUE(succeeded(book.addCondition(sample::condition())));
    ASSERT_TRUE(succeeded(book.addCondition(other)));
    int strangers = 0;
    for (auto part : {&ConditionRecord::printer, &ConditionRecord::inks, &ConditionRecord::mode}) {
        ConditionRecord stranger = sample::condition("Stranger " + std::to_string(++strangers));
        stranger.*part = "another";
        ASSERT_TRUE(succeeded(book.addCondition(stranger)));
    }
    EXPECT_THAT(book.conditionsOfDriver("Studio printer", "Six greys", "Monochrome").value(),
                ElementsAre(sample::condition(), other));
    EXPECT_THAT(book.conditionsOfDriver("Studio printer", "Six greys", "Colour").value(), IsEmpty());
}

TEST_F(BookTest, HoldsATrialWithItsReadingWhole) {
    const std::string bytes("CGATS\r\n\0\xff\n", 9);
    NewTrial entry = sample::trial(-8, 0.3, bytes);
    entry.choices = {{"tone", "dark"}, {"resolution", "1440"}, {"note", ""}};
    {
        Book book = open();
        ASSERT_TRUE(succeeded(book.addCondition(sample::condition())));
        EXPECT_EQ(book.addTrial("Pearl", entry).value(), 1);
        EXPECT_EQ(book.addTrial("Pearl", sample::trial(0, 0)).value(), 2);
    }
    const Book book = open(OpenMode::readOnly);
    const auto trials = book.trials("Pearl").value();
    ASSERT_EQ(trials.size(), 2U);
    EXPECT_EQ(trials[0].number, 1);
    EXPECT_THAT(trials[0].setting, ElementsAre(AxisValue{"across", -8}, AxisValue{"up", 0.3}));
    EXPECT_EQ(trials[0].choices, entry.choices);
    EXPECT_EQ(trials[0].when, sample::kWhen);
    EXPECT_FALSE(trials[0].isWithdrawn());
    ASSERT_EQ(trials[0].readings.size(), 1U);
    const ReadingRecord& kept = trials[0].readings[0];
    const ReadingRecord& given = entry.reading->reading;
    EXPECT_EQ(kept.fileName, given.fileName);
    EXPECT_EQ(kept.format, given.format);
    EXPECT_EQ(kept.conditionM, given.conditionM);
    EXPECT_EQ(kept.instrument, given.instrument);
    EXPECT_EQ(kept.created, given.created);
    EXPECT_EQ(kept.when, given.when);
    EXPECT_TRUE(kept.isSpectral());
    EXPECT_EQ(kept.grid, given.grid);
    EXPECT_EQ(kept.patches, given.patches) << "not every number came back as the same double";
    ASSERT_EQ(kept.notes.size(), 1U);
    EXPECT_EQ(kept.notes[0].code, "tones-assumed");
    EXPECT_EQ(kept.notes[0].text, "evenly spaced tones are assumed");
    EXPECT_EQ(kept.notes[0].where.text(), "ramp.txt:4: SAMPLE_ID");
    EXPECT_EQ(book.originalFile("Pearl", 1).value(), bytes);
    EXPECT_THAT(trials[1].readings, IsEmpty());
    EXPECT_EQ(book.trial("Pearl", 2).value().number, 2);
}

TEST_F(BookTest, AReadingWithoutSpectraHasNoGrid) {
    Book book = open();
    ASSERT_TRUE(succeeded(book.addCondition(sample::condition())));
    NewTrial entry = sample::trial(0, 0, "");
    entry.reading->reading.grid.reset();
    entry.reading->reading.patches = {{.name = "1", .lab = LabRecord{50, 0, 0}}};
    ASSERT_TRUE(succeeded(book.addTrial("Pearl", entry)));
    EXPECT_FALSE(book.trial("Pearl", 1).value().readings[0].isSpectral());
    EXPECT_EQ(book.originalFile("Pearl", 1).value(), "");
}

TEST_F(BookTest, ASheetMayBeReadAgainUnderAnotherCondition) {
    Book book = open();
    ASSERT_TRUE(succeeded(book.addCondition(sample::condition())));
    ASSERT_TRUE(succeeded(book.addTrial("Pearl", sample::trial(0, 0))));
    EXPECT_EQ(book.addReading("Pearl", 1, sample::reading("with ultraviolet", "m1.txt")).value(), 1);
    EXPECT_EQ(book.addReading("Pearl", 1, sample::reading("without", "m2.txt")).value(), 2);
    EXPECT_EQ(book.originalFile("Pearl", 1, 1).value(), "with ultraviolet");
    EXPECT_EQ(book.originalFile("Pearl", 1, 2).value(), "without");
    EXPECT_EQ(book.trial("Pearl", 1).value().readings[1].fileName, "m2.txt");
}

TEST_F(BookTest, NumbersBelongToTheirCondition) {
    Book book = open();
    ASSERT_TRUE(succeeded(book.addCondition(sample::condition("A"))));
    ASSERT_TRUE(succeeded(book.addCondition(sample::condition("B"))));
    EXPECT_EQ(book.addTrial("A", sample::trial(1, 0, "x")).value(), 1);
    EXPECT_EQ(book.addTrial("B", sample::trial(2, 0, "x")).value(), 1);
    EXPECT_EQ(book.addTrial("A", sample::trial(3, 0)).value(), 2);
    EXPECT_EQ(book.trials("A").value()[1].setting[0].value, 3);
    EXPECT_EQ(book.trials("B").value()[0].setting[0].value, 2);
}

TEST_F(BookTest, AWithdrawnTrialStaysAndComesBack) {
    Book book = open();
    ASSERT_TRUE(succeeded(book.addCondition(sample::condition())));
    ASSERT_TRUE(succeeded(book.addTrial("Pearl", sample::trial(0, 0, "same"))));
    ASSERT_TRUE(succeeded(book.withdrawTrial("Pearl", 1, "the wrong setting", sample::kLater)));
    EXPECT_EQ(book.trial("Pearl", 1).value().withdrawnBecause, "the wrong setting");
    EXPECT_EQ(book.trial("Pearl", 1).value().withdrawnWhen, sample::kLater);
    EXPECT_EQ(book.addTrial("Pearl", sample::trial(5, 0, "same")).value(), 2)
        << "the file of a withdrawn trial may be read again";
    EXPECT_EQ(book.trialCounts("Pearl").value().counting, 1U);
    EXPECT_EQ(book.trialCounts("Pearl").value().lastMeasured, 2);
    ASSERT_TRUE(succeeded(book.restoreTrial("Pearl", 1)));
    EXPECT_EQ(book.trialCounts("Pearl").value().counting, 2U);
    EXPECT_FALSE(book.trial("Pearl", 1).value().isWithdrawn());
    EXPECT_FALSE(book.trial("Pearl", 1).value().withdrawnWhen);
}

TEST_F(BookTest, KeepsVerdictsInOrder) {
    Book book = open();
    ASSERT_TRUE(succeeded(book.addCondition(sample::condition("A"))));
    ASSERT_TRUE(succeeded(book.addCondition(sample::condition("B"))));
    for (const char* name : {"A", "B"}) ASSERT_TRUE(succeeded(book.addTrial(name, sample::trial(0, 0))));
    const VerdictRecord judged{1, "judge", R"({"tint":"none"})", sample::kWhen};
    const VerdictRecord steered{1, "steer", R"({"status":"settled"})", "2031-04-05T06:07:09Z"};
    ASSERT_TRUE(succeeded(book.addVerdict("A", judged)));
    ASSERT_TRUE(succeeded(book.addVerdict("B", steered)));
    ASSERT_TRUE(succeeded(book.addVerdict("A", steered)));
    EXPECT_THAT(book.verdicts("A").value(), ElementsAre(judged, steered));
    EXPECT_THAT(book.verdicts("A", "steer").value(), ElementsAre(steered));
    EXPECT_THAT(book.verdicts("B").value(), ElementsAre(steered));
}

TEST_F(BookTest, WhatAnotherProgramEnteredIsSeenAtOnce) {
    Book first = open();
    const Book second = open(OpenMode::readOnly);
    ASSERT_TRUE(succeeded(first.addCondition(sample::condition())));
    EXPECT_EQ(second.conditions().value().size(), 1U);
}

// Random entries, right and wrong, against a model that is a plain vector; the book is closed and opened
// again now and then.
TEST_F(BookTest, AgreesWithAPlainListAfterAnySequence) {
    std::mt19937 random(20310405);
    const auto upTo = [&](int most) { return std::uniform_int_distribution<int>(0, most)(random); };
    struct Entry {
        double across;
        std::optional<std::string> bytes;
        std::optional<std::string> withdrawn;
    };
    std::vector<Entry> model;
    auto book = std::make_unique<Book>(open());
    ASSERT_TRUE(succeeded(book->addCondition(sample::condition())));
    for (int round = 0; round < 300; ++round) {
        const int number = upTo(static_cast<int>(model.size())) + 1;
        const bool known = number <= static_cast<int>(model.size());
        switch (upTo(4)) {
            case 0:
            case 1: {
                const double across = upTo(104) - 52;
                std::optional<std::string> bytes;
                if (upTo(1) == 1) bytes = "file " + std::to_string(upTo(60));
                const bool twice = bytes && std::ranges::any_of(model, [&](const Entry& entry) {
                                       return entry.bytes == bytes && !entry.withdrawn;
                                   });
                const auto result = book->addTrial(
                    "Pearl", bytes ? sample::trial(across, 0, *bytes) : sample::trial(across, 0));
                if (across < -50 || across > 50) {
                    ASSERT_EQ(result.error().code, "setting-out-of-range");
                } else if (twice) {
                    ASSERT_EQ(result.error().code, "reading-twice");
                } else {
                    ASSERT_TRUE(succeeded(result));
                    model.push_back({across, bytes, {}});
                    ASSERT_EQ(*result, static_cast<int>(model.size()));
                }
                break;
            }
            case 2: {
                ASSERT_EQ(book->withdrawTrial("Pearl", number, "because", sample::kWhen).has_value(), known);
                if (known) model[static_cast<std::size_t>(number) - 1].withdrawn = "because";
                break;
            }
            case 3: {
                ASSERT_EQ(book->restoreTrial("Pearl", number).has_value(), known);
                if (known) model[static_cast<std::size_t>(number) - 1].withdrawn.reset();
                break;
            }
            default:
                book = std::make_unique<Book>(open());
        }
    }
    const auto trials = book->trials("Pearl").value();
    ASSERT_EQ(trials.size(), model.size());
    ASSERT_GT(trials.size(), 30U);
    for (std::size_t i = 0; i < trials.size(); ++i) {
        EXPECT_EQ(trials[i].number, static_cast<int>(i) + 1);
        EXPECT_EQ(trials[i].setting[0].value, model[i].across);
        EXPECT_EQ(trials[i].withdrawnBecause, model[i].withdrawn);
        ASSERT_EQ(trials[i].readings.size(), model[i].bytes ? 1U : 0U);
        if (model[i].bytes) {
            EXPECT_EQ(book->originalFile("Pearl", trials[i].number).value(), *model[i].bytes);
        }
    }
    EXPECT_TRUE(succeeded(book->check()));
}

}  // namespace
}  // namespace greywright::book

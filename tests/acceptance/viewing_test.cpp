#include <cmath>
#include <cstdint>
#include <filesystem>
#include <tuple>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "stage.h"

// Who would notice, and under which light: lights, scenes, glazings and viewers from the command line.
namespace greywright::acceptance {
namespace {

using ::testing::AllOf;
using ::testing::Contains;
using ::testing::HasSubstr;
using ::testing::Not;

/// A lamp as an IES TM-27 document, `power` of a wavelength in nm.
template <typename Power>
std::string tm27(Power power, const std::string& quantity = "relative") {
    std::string text =
        "<?xml version=\"1.0\"?>\n<IESTM2714 xmlns=\"iestm2714\" version=\"1.0\">\n<Header>"
        "<Description>Lamp of the corner shop</Description><DocumentCreator>Nobody</DocumentCreator>"
        "<DocumentCreationDate>2031-01-01</DocumentCreationDate></Header>\n<SpectralDistribution>\n"
        "<SpectralQuantity>" +
        quantity + "</SpectralQuantity>\n";
    for (int nm = 380; nm <= 780; nm += 5)
        text += fmt::format("<SpectralData wavelength=\"{}.0\">{:.6f}</SpectralData>\n", nm, power(nm));
    return text + "</SpectralDistribution>\n</IESTM2714>\n";
}

double warm(double nm) {
    return 0.3 * std::exp(-std::pow((nm - 450) / 12, 2)) + std::exp(-std::pow((nm - 605) / 75, 2));
}

std::string table(double (*value)(double)) {
    std::string text = "nm,value\n";
    for (int nm = 380; nm <= 780; nm += 5) text += fmt::format("{},{:.6f}\n", nm, value(nm));
    return text;
}

const Json* named(const Json& list, const std::string& name) {
    for (const Json& one : list) {
        if (one["name"] == name) return &one;
    }
    return nullptr;
}

class Viewing : public ::testing::Test {
  protected:
    void SetUp() override {
        studio_.enter("chalk");
        file_ = studio_.write("sheet.txt", sheetText(driver_.print({0, 0}), Format::cgats));
        ASSERT_EQ(studio_.ask({"read", file_, "--condition", "chalk", "--setting", "across=0,up=0"}).code, 0);
    }

    void expectRefused(const Words& words, int code, const std::string& errorCode,
                       const std::string& inText) {
        const std::string before = studio_.bookBytes();
        const Answer answer = studio_.ask(words);
        EXPECT_EQ(answer.code, code) << answer.err;
        EXPECT_EQ(answer.errorCode(), errorCode) << answer.err;
        EXPECT_THAT(answer.err, HasSubstr(inText));
        EXPECT_EQ(studio_.bookBytes(), before);
    }

    Studio studio_;
    Driver driver_{usualRecipe(), usualAxes()};
    std::string file_;
};

TEST_F(Viewing, EveryShippedLightHasItsFigures) {
    const Json lights = studio_.ask({"lights", "list"}).json()["lights"];
    ASSERT_GE(lights.size(), 40U);
    for (const char* name : {"A", "D50", "F11", "LED-B1", "LED-B5", "halogen", "led-warm-82"}) {
        const Json* light = named(lights, name);
        ASSERT_NE(light, nullptr) << name;
        EXPECT_TRUE((*light)["cct_kelvin"].is_number()) << name;
        EXPECT_TRUE((*light)["duv"].is_number()) << name;
        EXPECT_TRUE((*light)["ra"].is_number()) << name;
        EXPECT_FALSE((*light)["origin"].get<std::string>().empty()) << name;
    }
    const Json shown = studio_.ask({"lights", "show", "LED-b1"}).json();
    EXPECT_EQ(shown["name"], "LED-B1");
    EXPECT_NEAR(shown["cct_kelvin"].get<double>(), 2733, 10);  // Source: CIE 015:2018, table 12.2
    EXPECT_EQ(shown["spectrum"]["power"].size(), 471U);
    expectRefused({"lights", "show", "LED-B7"}, 2, "unknown-light", "Did you mean LED-B1?");
}

TEST_F(Viewing, ALampFromAFileIsKeptAndJudgedUnder) {
    const std::string lamp = studio_.write("corner.spdx", tm27(warm));
    ASSERT_EQ(studio_.ask({"lights", "add", "corner shop", lamp}).code, 0);
    const Json shown = studio_.ask({"lights", "show", "Corner Shop"}).json();
    EXPECT_EQ(shown["own"], true);
    EXPECT_EQ(shown["description"], "Lamp of the corner shop");
    EXPECT_LT(shown["cct_kelvin"].get<double>(), 3500);
    const Json judged = studio_.ask({"judge", file_, "--light", "corner shop"}).json();
    ASSERT_EQ(judged["lights"].size(), 2U);
    EXPECT_EQ(judged["lights"][1]["name"], "corner shop");
    EXPECT_TRUE(judged["lights"][1]["share_who_notice"].is_number());
    expectRefused({"lights", "add", "Corner Shop", lamp}, 2, "light-exists", "Corner Shop");
    ASSERT_EQ(studio_.ask({"lights", "remove", "corner shop"}).code, 0);
    expectRefused({"lights", "show", "corner shop"}, 2, "unknown-light", "corner shop");
}

TEST_F(Viewing, AMixOfTwoLightsIsALight) {
    ASSERT_EQ(studio_.ask({"lights", "add", "evening", "--mix", "LED-B1=0.7", "--mix", "D65=0.3"}).code, 0);
    const double mixed = studio_.ask({"lights", "show", "evening"}).json()["cct_kelvin"];
    EXPECT_GT(mixed, studio_.ask({"lights", "show", "LED-B1"}).json()["cct_kelvin"].get<double>());
    EXPECT_LT(mixed, studio_.ask({"lights", "show", "D65"}).json()["cct_kelvin"].get<double>());
    EXPECT_EQ(studio_.ask({"judge", file_, "--light", "evening"}).code, 0);
    expectRefused({"lights", "add", "x", "--mix", "LED-B9=1"}, 2, "unknown-light", "Did you mean");
    expectRefused({"lights", "add", "x", "--mix", "LED-B1"}, 2, "part-text-invalid", "LED-B1=0.7");
    expectRefused({"lights", "add", "x", "--mix", "LED-B1=-1"}, 2, "light-invalid", "share");
    expectRefused({"lights", "add", "x"}, 2, "file-or-mix", "--mix");
    // What is used stays.
    ASSERT_EQ(studio_.ask({"scene", "add", "lounge", "--light", "evening", "--lux", "80"}).code, 0);
    expectRefused({"lights", "remove", "evening"}, 2, "light-in-use", "lounge");
    // One name is one thing, and what ships stays.
    expectRefused({"scene", "add", "Evening", "--light", "A"}, 2, "name-taken", "light");
    expectRefused({"lights", "add", "lounge", "--mix", "A=1"}, 2, "name-taken", "scene");
    expectRefused({"lights", "remove", "d50"}, 2, "name-shipped", "ships");
    expectRefused({"scene", "remove", "office"}, 2, "name-shipped", "ships");
    expectRefused({"glazing", "remove", "acrylic"}, 2, "name-shipped", "ships");
}

TEST_F(Viewing, WhatIsNoLampIsRefusedAndNotKept) {
    const auto refused = [&](const std::string& content, const std::string& code, const std::string& inText) {
        const std::string file = studio_.write(studio_.freshName(".csv"), content);
        expectRefused({"lights", "add", "lamp", file}, 3, code, inText);
    };
    refused("hello\nworld\n", "lamp-not-recognised", ".csv");
    std::string gap = table(warm);
    gap.erase(gap.find("500,"), gap.find("540,") - gap.find("500,"));
    refused(gap, "lamp-gap", "495");
    std::string turned = table(warm);
    turned.replace(turned.find("500,"), 4, "490,");
    refused(turned, "lamp-wavelengths-not-increasing", "490");
    refused(tm27(warm, "transmittance"), "lamp-other-quantity", "transmittance");
    const std::string lamp = studio_.write("lamp.csv", table(warm));
    expectRefused({"lights", "add", "F11", lamp}, 2, "name-shipped", "F11");
    expectRefused({"lights", "add", "D60", lamp}, 2, "name-shipped", "D60");
    expectRefused({"lights", "add", "hall", lamp}, 2, "name-shipped", "hall");
    expectRefused({"lights", "add", "lamp", studio_.path("nowhere.csv").string()}, 3, "file-not-found",
                  "nowhere.csv");
}

TEST_F(Viewing, ALampThatEndsEarlySaysWhatWasAssumed) {
    std::string early = table(warm);
    early.erase(early.find("655,"));
    const Answer added = studio_.ask({"lights", "add", "early", studio_.write("early.csv", early)});
    ASSERT_EQ(added.code, 0) << added.err;
    EXPECT_THAT(added.err, HasSubstr("650"));
    EXPECT_FALSE(added.json()["notes"].empty());
}

TEST_F(Viewing, ScenesAreALightALevelAndAGlazing) {
    const Json scenes = studio_.ask({"scene", "list"}).json()["scenes"];
    const Json* gallery = named(scenes, "gallery");
    ASSERT_NE(gallery, nullptr);
    EXPECT_EQ((*gallery)["lux"], 50);
    ASSERT_EQ(
        studio_.ask({"scene", "add", "stair", "--light", "halogen", "--lux", "40", "--glazing", "uv-glass"})
            .code,
        0);
    const Json judged = studio_.ask({"judge", file_, "--light", "Stair"}).json();
    EXPECT_EQ(judged["lights"][1]["lux"], 40);
    EXPECT_EQ(judged["lights"][1]["glazing"], "uv-glass");
    expectRefused({"scene", "add", "x", "--light", "halogn"}, 2, "unknown-light", "Did you mean halogen?");
    expectRefused({"scene", "add", "x", "--light", "A", "--lux", "0"}, 2, "scene-invalid", "lux");
    expectRefused({"scene", "add", "x", "--light", "A", "--glazing", "uvglass"}, 2, "unknown-glazing",
                  "Did you mean uv-glass?");
    expectRefused({"scene", "add", "office", "--light", "A"}, 2, "name-shipped", "office");
    EXPECT_EQ(studio_.ask({"scene", "remove", "stair"}).code, 0);
}

TEST_F(Viewing, AGlazingIsAMeasuredTransmittance) {
    const std::string grey = studio_.write("grey.csv", table([](double) { return 0.8; }));
    ASSERT_EQ(studio_.ask({"glazing", "add", "grey pane", grey}).code, 0);
    EXPECT_NE(named(studio_.ask({"glazing", "list"}).json()["glazings"], "grey pane"), nullptr);
    const Json judged = studio_.ask({"judge", file_, "--light", "D65", "--glazing", "grey pane"}).json();
    EXPECT_EQ(judged["lights"][1]["glazing"], "grey pane");
    const std::string above =
        studio_.write("above.csv", table([](double nm) { return nm < 500 ? 0.9 : 1.3; }));
    expectRefused({"glazing", "add", "x", above}, 3, "transmittance-scale-unclear", "above.csv");
    EXPECT_EQ(studio_.ask({"glazing", "remove", "grey pane"}).code, 0);
    // A blue pane before an amber lamp.
    const std::string amber =
        studio_.write("amber.csv", table([](double nm) { return nm < 580 ? 0.0 : 1.0; }));
    const std::string blue = studio_.write("blue.csv", table([](double nm) { return nm < 500 ? 0.9 : 0.0; }));
    ASSERT_EQ(studio_.ask({"lights", "add", "amber", amber}).code, 0);
    ASSERT_EQ(studio_.ask({"glazing", "add", "blue pane", blue}).code, 0);
    expectRefused({"judge", file_, "--light", "amber", "--glazing", "blue pane"}, 2, "scene-dark",
                  "blue pane");
    // Lamps that nobody sees by.
    for (const auto& [name, from, to] :
         {std::tuple{"black light", 360, 380}, std::tuple{"heat lamp", 800, 830}}) {
        std::string text = "nm,value\n";
        for (int nm = 360; nm <= 830; nm += 5)
            text += fmt::format("{},{}\n", nm, nm >= from && nm <= to ? 1 : 0);
        const Answer added =
            studio_.ask({"lights", "add", name, studio_.write(studio_.freshName(".csv"), text)});
        ASSERT_EQ(added.code, 0) << added.err;
        expectRefused({"judge", file_, "--light", name}, 2, "scene-dark", name);
    }
    EXPECT_EQ(studio_.ask({"judge", file_, "--light", "D50", "--lux", "20"}).json()["lights"][0]["lux"], 20);
    EXPECT_EQ(studio_.ask({"judge", file_, "--light", "A", "--light", "a"}).json()["lights"].size(), 2U);
    expectRefused({"judge", file_, "--lux", "1e300"}, 2, "lux-invalid", "lux");
}

TEST_F(Viewing, JudgeSaysWhoWouldNotice) {
    const Json judged = studio_.ask({"judge", file_, "--viewers", "200", "--light", "living-room"}).json();
    ASSERT_EQ(judged["lights"].size(), 2U);
    EXPECT_EQ(judged["lights"][0]["name"], "D50");
    EXPECT_EQ(judged["viewers"]["count"], 200);
    for (const Json& light : judged["lights"]) {
        const double share = light["share_who_notice"];
        EXPECT_GE(share, 0.02);
        EXPECT_LE(share, 1);
        EXPECT_LE(light["beside_neutral"]["low"].get<double>(), share);
        EXPECT_GE(light["beside_neutral"]["high"].get<double>(), share);
        EXPECT_LE(light["alone"]["share"].get<double>(), share);
        EXPECT_EQ(light["who"]["ages"].size(), 3U);
    }
    EXPECT_TRUE(judged["spectral_unevenness"]["percent"].is_number());
    // The default asks a thousand; nobody is asked for 0; another draw says nearly the same.
    EXPECT_EQ(studio_.ask({"judge", file_}).json()["viewers"]["count"], 1000);
    const Json quiet = studio_.ask({"judge", file_, "--viewers", "0"}).json();
    EXPECT_TRUE(quiet["lights"][0]["share_who_notice"].is_null());
    const Json other = studio_.ask({"judge", file_, "--light", "A", "--seed", "2"}).json();
    const Json usual = studio_.ask({"judge", file_, "--light", "A"}).json();
    EXPECT_NEAR(other["lights"][1]["share_who_notice"].get<double>(),
                usual["lights"][1]["share_who_notice"].get<double>(), 0.02);
    EXPECT_THAT(studio_.inWords({"judge", file_}).out,
                AllOf(HasSubstr("beside a neutral"), HasSubstr("alone on a wall"), HasSubstr("living-room")));
    for (const Words& words : {Words{"--ages", "10:75"}, Words{"--ages", "60:30"}, Words{"--field", "20"}}) {
        Words all{"judge", file_};
        all.insert(all.end(), words.begin(), words.end());
        expectRefused(all, 2, "viewers-invalid", words[1].substr(0, 2));
    }
    expectRefused({"judge", file_, "--ages", "old"}, 2, "ages-text-invalid", "20:75");
    expectRefused({"judge", file_, "--viewers", "-1"}, 2, "viewers-invalid", "-1");
    expectRefused({"jugde", file_}, 2, "command-line", "Did you mean judge?");
    expectRefused({"lights", "ad", "x"}, 2, "command-line", "Did you mean add?");
    // One viewer is no certainty.
    const Json alone = studio_.ask({"judge", file_, "--viewers", "1"}).json()["lights"][0]["beside_neutral"];
    EXPECT_GT(alone["high"].get<double>() - alone["low"].get<double>(), 0.4);
}

TEST_F(Viewing, CielabAloneAnswersWhatItCan) {
    const std::string bare =
        studio_.write("bare.txt", sheetText(driver_.print({0, 0}), Format::cgats, false));
    const Answer answer = studio_.ask({"judge", bare, "--light", "A"});
    ASSERT_EQ(answer.code, 0) << answer.err;
    const Json judged = answer.json();
    ASSERT_EQ(judged["lights"].size(), 1U);
    EXPECT_TRUE(judged["lights"][0]["share_who_notice"].is_number());
    EXPECT_EQ(judged["viewers"]["with_spectra"], false);
    EXPECT_THAT(answer.err, HasSubstr("no spectra"));
}

TEST_F(Viewing, AKeptViewerIsAskedByName) {
    ASSERT_EQ(studio_.ask({"viewer", "add", "the buyer", "--age", "62", "--threshold-beside", "0.3"}).code,
              0);
    ASSERT_EQ(studio_.ask({"viewer", "add", "the maker", "--age", "62"}).code, 0);
    const auto share = [&](const char* viewer) {
        return studio_.ask({"judge", file_, "--viewer", viewer})
            .json()["lights"][0]["share_who_notice"]
            .get<double>();
    };
    EXPECT_GE(share("the buyer"), share("the maker"));
    expectRefused({"judge", file_, "--viewer", "the buyr"}, 2, "viewer-unknown", "Did you mean the buyer?");
    expectRefused({"viewer", "add", "x", "--age", "12"}, 2, "viewer-invalid", "age");
    EXPECT_EQ(studio_.ask({"viewer", "remove", "the buyer"}).code, 0);
    EXPECT_EQ(named(studio_.ask({"viewer", "list"}).json()["viewers"], "the buyer"), nullptr);
}

/// The sheet with a glow of the paper's brightener added, as an instrument sees it.
measure::Reading glowing(measure::Reading reading, double strength, measure::Condition condition) {
    reading.condition = condition;
    for (measure::Patch& patch : reading.patches) {
        for (std::size_t i = 0; i < patch.reflectance.size(); ++i) {
            const double nm = reading.grid->atNm(i);
            patch.reflectance[i] *= 1 + strength * std::exp(-std::pow((nm - 440) / 20, 2));
        }
        patch.lab.reset();
    }
    return reading;
}

TEST_F(Viewing, ASecondReadingTellsTheBrightener) {
    const measure::Reading sheet = driver_.print({5, 5});
    const std::string with =
        studio_.write("m1.txt", sheetText(glowing(sheet, 0.2, measure::Condition::m1), Format::cgats));
    const std::string without =
        studio_.write("m2.txt", sheetText(glowing(sheet, 0, measure::Condition::m2), Format::cgats));
    EXPECT_THAT(studio_.ask({"judge", with, "--light", "LED-B1", "--second", without}).err,
                HasSubstr("from the readings under M1 and M2"));
    EXPECT_THAT(studio_.ask({"judge", with, "--light", "LED-B1"}).err, HasSubstr("estimate"));

    // The same within the book.
    studio_.enter("bright", usualAxes(), "Bright Satin");
    ASSERT_EQ(studio_.ask({"read", with, "--condition", "bright", "--setting", "across=5,up=5"}).code, 0);
    const Answer further = studio_.ask({"read", without, "--condition", "bright", "--to-trial", "1"});
    ASSERT_EQ(further.code, 0) << further.err;
    EXPECT_EQ(further.json()["trial"], 1);
    EXPECT_THAT(studio_.ask({"judge", "--condition", "bright", "--light", "LED-B1"}).err,
                HasSubstr("from the readings under M1 and M2"));
    EXPECT_EQ(studio_.ask({"trial", "list", "--condition", "bright"}).json()["trials"].size(), 1U);
    expectRefused({"read", without, "--condition", "bright", "--to-trial", "9"}, 2, "trial-unknown", "9");
    // Another paper is not the same sheet, and a reading under M1 again does not push the pair apart.
    measure::Reading darker = glowing(sheet, 0, measure::Condition::m2);
    for (measure::Patch& patch : darker.patches) {
        for (double& value : patch.reflectance) value *= 0.85;
    }
    expectRefused({"read", studio_.write("other.txt", sheetText(darker, Format::cgats)), "--condition",
                   "bright", "--to-trial", "1"},
                  3, "other-paper", "other.txt");
    const std::string again =
        studio_.write("again.txt", sheetText(glowing(sheet, 0.201, measure::Condition::m1), Format::cgats));
    ASSERT_EQ(studio_.ask({"read", again, "--condition", "bright", "--to-trial", "1"}).code, 0);
    EXPECT_THAT(studio_.ask({"judge", "--condition", "bright", "--light", "LED-B1"}).err,
                HasSubstr("from the readings under M1 and M2"));
    EXPECT_EQ(studio_.ask({"trial", "list", "--condition", "bright"}).json()["trials"][0]["readings"], 3);
}

/// A grey picture of 8 bits as TIFF 6.0, uncompressed, every pixel of one code.
std::string greyTiff(int width, int height, unsigned char code) {
    std::string file("II*\0\x08\0\0\0", 8);
    const auto number = [&](std::uint32_t value, int bytes) {
        for (int i = 0; i < bytes; ++i) file += static_cast<char>(value >> (8 * i));
    };
    const auto entry = [&](std::uint32_t tag, std::uint32_t kind, std::uint32_t value) {
        number(tag, 2), number(kind, 2), number(1, 4), number(value, 4);
    };
    constexpr std::uint32_t kEntries = 9, kPixelsAt = 8 + 2 + 12 * kEntries + 4;
    const auto w = static_cast<std::uint32_t>(width), h = static_cast<std::uint32_t>(height);
    number(kEntries, 2);
    entry(256, 4, w), entry(257, 4, h), entry(258, 3, 8), entry(259, 3, 1), entry(262, 3, 1);
    entry(273, 4, kPixelsAt), entry(277, 3, 1), entry(278, 4, h), entry(279, 4, w * h);
    number(0, 4);
    return file + std::string(w * h, static_cast<char>(code));
}

TEST_F(Viewing, APictureCountsByItsOwnTones) {
    const std::string light = studio_.write("light.tif", greyTiff(20, 10, 200));
    const Answer judged = studio_.ask({"judge", file_, "--picture", light});
    ASSERT_EQ(judged.code, 0) << judged.err;
    const double tone = judged.json()["lights"][0]["gives_away_tone_percent"];
    EXPECT_THAT(judged.err, HasSubstr("the picture lives in tones from"));
    EXPECT_LT(tone, 45) << "a picture of one light grey lives in the light tones";
    expectRefused({"judge", file_, "--picture", studio_.write("words.tif", "no picture")}, 3,
                  "picture-not-recognised", "words.tif");
}

TEST_F(Viewing, WithoutThePartForPicturesEverythingElseWorks) {
    const std::filesystem::path alone = studio_.path("alone");
    std::filesystem::copy_file(GREYWRIGHT_PROGRAM, alone);
    const std::string light = studio_.write("light.tif", greyTiff(20, 10, 200));
    EXPECT_EQ(run({"judge", file_}, {.program = alone.string()}).code, 0);
    const Answer refused = run({"--json", "judge", file_, "--picture", light}, {.program = alone.string()});
    EXPECT_EQ(refused.code, 3);
    EXPECT_EQ(refused.errorCode(), "picture-library-missing");
}

TEST_F(Viewing, SteeringForOtherLightsNeedsSpectra) {
    const Answer steered =
        studio_.ask({"steer", "--condition", "chalk", "--light", "A", "--light", "office=0.5"});
    ASSERT_EQ(steered.code, 0) << steered.err;
    ASSERT_EQ(steered.json()["lights"].size(), 2U);
    EXPECT_EQ(steered.json()["lights"][1]["name"], "office");
    expectRefused({"steer", "--condition", "chalk", "--light", "A", "--light", "a"}, 2, "light-twice",
                  "twice");
    expectRefused({"steer", "--condition", "chalk", "--light", "A=0"}, 2, "weight-invalid", "0");
    expectRefused({"steer", "--condition", "chalk", "--light", "A=much"}, 2, "light-text-invalid", "A=much");
    studio_.enter("bare");
    const std::string bare =
        studio_.write("bare.txt", sheetText(driver_.print({0, 0}), Format::cgats, false));
    ASSERT_EQ(studio_.ask({"read", bare, "--condition", "bare"}).code, 0);
    expectRefused({"steer", "--condition", "bare", "--light", "A"}, 2, "lights-without-spectra", "spectra");
}

}  // namespace
}  // namespace greywright::acceptance

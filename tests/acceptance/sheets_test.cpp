#include <algorithm>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "core/numbers.h"
#include "stage.h"

// Files in every format, and where their tones come from.
namespace greywright::acceptance {
namespace {

bool hasNote(const Json& json, const std::string& code) {
    return std::ranges::any_of(json["notes"], [&](const Json& note) { return note["code"] == code; });
}

TEST(Sheets, EveryFormatGivesTheSameReading) {
    Studio studio;
    Driver driver(usualRecipe(), usualAxes());
    const measure::Reading reading = driver.print({0, 0});
    for (const bool spectra : {true, false}) {
        const std::string reference =
            studio.write("reference.txt", sheetText(reading, Format::cgats, spectra));
        const Json expected = studio.ask({"judge", reference}).json();
        ASSERT_EQ(expected["patches"].size(), 21U);
        for (const auto& [format, name] :
             {std::pair{Format::csv, "s.csv"}, {Format::tsv, "s.tsv"}, {Format::cxf, "s.cxf"}}) {
            const std::string file = studio.write(name, sheetText(reading, format, spectra));
            const Answer answer = studio.ask({"judge", file});
            ASSERT_EQ(answer.code, 0) << answer.err;
            const Json json = answer.json();
            for (const char* field : {"paper", "black", "patches", "visual_density_black"}) {
                EXPECT_EQ(json[field], expected[field]) << name << (spectra ? " spectral " : " ") << field;
            }
        }
    }
}

/// Rows of L*, a*, b* under a heading, with what stands before them.
std::string table(const std::string& heading, const std::vector<std::string>& before,
                  const measure::Reading& reading) {
    std::string out = heading + "\n";
    for (std::size_t i = 0; i < before.size(); ++i) {
        out += before[i];
        const colour::Lab& lab = *reading.patches[i].lab;
        for (const double value : {lab.L, lab.a, lab.b})
            out += (out.back() == '\n' ? "" : ",") + textFromNumber(value);
        out += "\n";
    }
    return out;
}

TEST(Sheets, TonesComeFromTheFileTheCommandOrTheRamp) {
    Studio studio;
    Driver driver(usualRecipe(), usualAxes());
    const measure::Reading reading = driver.print({0, 0}, {0, 0.2, 0.4, 0.6, 0.8, 1});
    const std::vector<double> expected{0, 20, 40, 60, 80, 100};
    struct Case {
        const char* heading;
        std::vector<std::string> before;
        Words more;
    };
    const Case cases[] = {
        {"K,LAB_L,LAB_A,LAB_B", {"0", "20", "40", "60", "80", "100"}, {}},
        {"GREY,LAB_L,LAB_A,LAB_B", {"255", "204", "153", "102", "51", "0"}, {}},
        {"GRAY,LAB_L,LAB_A,LAB_B", {"100", "80", "60", "40", "20", "0"}, {}},
        {"RGB_R,RGB_G,RGB_B,LAB_L,LAB_A,LAB_B",
         {"255,255,255", "204,204,204", "153,153,153", "102,102,102", "51,51,51", "0,0,0"},
         {}},
        {"CMYK_C,CMYK_M,CMYK_Y,CMYK_K,LAB_L,LAB_A,LAB_B",
         {"0,0,0,0", "0,0,0,20", "0,0,0,40", "0,0,0,60", "0,0,0,80", "0,0,0,100"},
         {}},
        {"LAB_L,LAB_A,LAB_B", {"", "", "", "", "", ""}, {"--tones", "0,20,40,60,80,100"}},
        {"LAB_L,LAB_A,LAB_B", {"", "", "", "", "", ""}, {"--tones", "0 20; 40 60 80 100"}},
        {"LAB_L,LAB_A,LAB_B", {"", "", "", "", "", ""}, {}},
    };
    for (const Case& one : cases) {
        const std::string file = studio.write("t.csv", table(one.heading, one.before, reading));
        Words words{"judge", file};
        words.insert(words.end(), one.more.begin(), one.more.end());
        const Answer answer = studio.ask(words);
        ASSERT_EQ(answer.code, 0) << one.heading << answer.err;
        const Json json = answer.json();
        ASSERT_EQ(json["patches"].size(), 6U);
        for (std::size_t i = 0; i < 6; ++i) {
            EXPECT_NEAR(json["patches"][i]["tone_percent"].get<double>(), expected[i], 1e-9) << one.heading;
        }
        // An assumption is told, and only then.
        const bool told = hasNote(json, "tones-assumed");
        EXPECT_EQ(told, one.before[0].empty() && one.more.empty()) << one.heading << json["notes"];
        if (told) {
            EXPECT_THAT(answer.err, ::testing::HasSubstr("note: "));
        }
    }
}

TEST(Sheets, ASheetWithoutASettingIsTakenAsUntintedAndSaysSo) {
    Studio studio;
    studio.enter("chalk");
    Driver driver(usualRecipe(), usualAxes());
    const std::string file = studio.write("s.txt", sheetText(driver.print({0, 0}), Format::cgats));
    const Answer answer = studio.ask({"read", file, "--condition", "chalk"});
    ASSERT_EQ(answer.code, 0) << answer.err;
    EXPECT_EQ(settingText(answer.json()["setting"]), "across=0,up=0");
    EXPECT_TRUE(hasNote(answer.json(), "setting-taken-as-zero")) << answer.out;
    EXPECT_THAT(answer.err, ::testing::HasSubstr("without any tint"));
    // An empty variable in a script is no setting of zero, nor an absence of tones.
    const std::string other = studio.write("o.txt", sheetText(driver.print({0, 0}), Format::cgats));
    for (const auto& [option, code] :
         {std::pair{"--setting", "setting-text-invalid"}, {"--tones", "tones-text-invalid"}}) {
        const Answer empty = studio.ask({"read", other, "--condition", "chalk", option, ""});
        EXPECT_EQ(empty.code, 2) << option;
        EXPECT_EQ(empty.errorCode(), code) << empty.out;
    }
}

TEST(Sheets, RepeatedTonesAreAveragedAndSaidToBe) {
    Studio studio;
    Driver driver(usualRecipe(), usualAxes());
    measure::Reading reading = driver.print({0, 0}, {0, 0.5, 1});
    const measure::Reading again = driver.print({0, 0}, {0, 0.5, 1});
    for (std::size_t i = 0; i < 3; ++i) reading.patches.push_back(again.patches[i]);
    const Json json =
        studio.ask({"judge", studio.write("s.csv", sheetText(reading, Format::csv, false))}).json();
    ASSERT_EQ(json["patches"].size(), 3U);
    for (std::size_t i = 0; i < 3; ++i) {
        EXPECT_NEAR(json["patches"][i]["L"].get<double>(),
                    0.5 * (reading.patches[i].lab->L + reading.patches[i + 3].lab->L), 1e-9);
    }
    EXPECT_TRUE(hasNote(json, "tones-averaged")) << json["notes"];
}

TEST(Sheets, AnotherMeasurementConditionIsNoted) {
    Studio studio;
    studio.enter("chalk");
    Driver driver(usualRecipe(), usualAxes());
    ASSERT_EQ(studio.read(driver.print({0, 0}), "chalk", "across=0,up=0").json()["condition_m"], "M1");
    measure::Reading other = driver.print({14, 0});
    other.condition = measure::Condition::m2;
    const Answer answer = studio.read(other, "chalk", "across=14,up=0");
    ASSERT_EQ(answer.code, 0) << answer.err;
    EXPECT_EQ(answer.json()["condition_m"], "M2");
    EXPECT_TRUE(hasNote(answer.json(), "other-measurement-condition")) << answer.out;
}

TEST(Sheets, TwoProgramsReadAtOnce) {
    Studio studio;
    studio.enter("chalk");
    Driver driver(usualRecipe(), usualAxes());
    const std::string book = studio.book().string();
    std::vector<std::unique_ptr<Going>> runs;
    for (int i = 0; i < 6; ++i) {
        const steer::Setting setting{3.0 * i, -2.0 * i};
        const std::string file =
            studio.write(studio.freshName("txt"), sheetText(driver.print(setting), Format::cgats));
        runs.push_back(
            std::make_unique<Going>(Words{"--book", book, "--json", "read", file, "--condition", "chalk",
                                          "--setting", settingText(usualAxes(), setting)}));
    }
    std::vector<int> numbers;
    for (const auto& one : runs) {
        const Answer answer = one->finish();
        ASSERT_EQ(answer.code, 0) << answer.err;
        numbers.push_back(answer.json()["trial"]);
    }
    EXPECT_THAT(numbers, ::testing::UnorderedElementsAre(1, 2, 3, 4, 5, 6));
    EXPECT_EQ(studio.ask({"trial", "list", "--condition", "chalk"}).json()["trials"].size(), 6U);
    EXPECT_EQ(studio.ask({"book", "check"}).code, 0);
}

}  // namespace
}  // namespace greywright::acceptance

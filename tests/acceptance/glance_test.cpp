#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "stage.h"

// What can be seen before anything is done: a file before it is taken in, and how every condition stands.
namespace greywright::acceptance {
namespace {

using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::Not;

/// A setting as sentences have it: "across 14, up −9".
std::string inWords(const Json& setting) {
    std::string out;
    for (const char c : settingText(setting)) {
        if (c == ',') {
            out += ", ";
        } else if (c == '=') {
            out += ' ';
        } else if (c == '-') {
            out += "−";
        } else {
            out += c;
        }
    }
    return out;
}

class Glance : public ::testing::Test {
  protected:
    void SetUp() override { studio_.enter("chalk"); }

    /// Looks at a file, and expects an answer with 0 and an untouched book.
    [[nodiscard]] Json look(const std::string& file, const Words& more = {}) const {
        Words words{"read", file, "--condition", "chalk", "--look"};
        words.insert(words.end(), more.begin(), more.end());
        const std::string before = studio_.bookBytes();
        const Answer answer = studio_.ask(words);
        EXPECT_EQ(answer.code, 0) << answer.err << answer.out;
        EXPECT_EQ(studio_.bookBytes(), before) << "the book was changed";
        return answer.json();
    }

    /// How the condition stands, by the list.
    [[nodiscard]] Json standing(const std::string& name = "chalk") const {
        const Json list = studio_.ask({"condition", "list"}).json();
        for (const Json& condition : list["conditions"]) {
            if (condition["name"] == name) return condition;
        }
        return {};
    }

    [[nodiscard]] std::string sheet(const measure::Reading& reading) {
        return studio_.write(studio_.freshName("txt"), sheetText(reading, Format::cgats));
    }

    Studio studio_;
    Driver driver_{usualRecipe(), usualAxes()};
};

TEST_F(Glance, ALookSaysWhatReadingSaysAndStoresNothing) {
    const std::string file = sheet(driver_.print({3, -2}));
    const Words setting{"--setting", "across=3,up=-2"};
    Json looked = look(file, setting);
    ASSERT_TRUE(looked.is_object());
    EXPECT_TRUE(looked["trial"].is_null());
    EXPECT_EQ(looked["doubts"], Json::array());
    EXPECT_EQ(settingText(looked["likely_setting"]), "across=0,up=0");
    EXPECT_TRUE(studio_.ask({"trial", "list", "--condition", "chalk"}).json()["trials"].empty());

    const std::string before = studio_.bookBytes();
    const Answer words =
        studio_.inWords({"read", file, "--condition", "chalk", "--look", "--setting", "across=3,up=-2"});
    EXPECT_EQ(words.code, 0);
    EXPECT_THAT(words.out, HasSubstr("new trial at across=3,up=-2: 21 tones, with spectra"));
    EXPECT_THAT(words.out, HasSubstr("Nothing was stored"));
    EXPECT_THAT(words.out, Not(HasSubstr("--force"))) << "there is nothing to answer";
    EXPECT_EQ(studio_.bookBytes(), before);

    // All else is what reading answers.
    const Answer read = studio_.ask({"read", file, "--condition", "chalk", "--setting", "across=3,up=-2"});
    ASSERT_EQ(read.code, 0) << read.err;
    looked["trial"] = 1;
    looked.erase("doubts");
    looked.erase("likely_setting");
    EXPECT_EQ(looked, read.json());

    // What the search asks for next is what the next sheet was most likely printed at.
    const Json asked = studio_.ask({"steer", "--condition", "chalk"}).json();
    const Json next = look(sheet(driver_.printAsAsked(asked["setting"])));
    EXPECT_EQ(next["likely_setting"], asked["setting"]);
}

TEST_F(Glance, WhatWouldBeRefusedIsAskedAndForceAnswersYes) {
    const std::string first = sheet(driver_.print({0, 0}));
    ASSERT_EQ(studio_.ask({"read", first, "--condition", "chalk"}).code, 0);
    measure::Reading cream = driver_.print({5, 5});
    for (measure::Patch& patch : cream.patches) {
        patch.reflectance.clear();
        patch.lab->b += 6 * (1 - *patch.tonePercent / 100);
    }
    cream.grid.reset();
    cream.condition = measure::Condition::unknown;
    const std::string other = sheet(cream);
    const std::vector<std::pair<std::string, std::vector<std::string>>> cases{
        {first, {"reading-twice"}}, {other, {"other-paper", "measured-under-unknown"}}};
    for (const auto& [file, codes] : cases) {
        SCOPED_TRACE(codes.front());
        const Json doubts = look(file)["doubts"];
        ASSERT_EQ(doubts.size(), codes.size()) << doubts;
        const Answer words = studio_.inWords({"read", file, "--condition", "chalk", "--look"});
        EXPECT_EQ(words.code, 0) << words.err;
        EXPECT_THAT(words.out, HasSubstr("--force"));
        for (std::size_t i = 0; i < codes.size(); ++i) {
            EXPECT_EQ(doubts[i]["code"], codes[i]);
            EXPECT_THAT(doubts[i]["question"].get<std::string>(), Not(IsEmpty()));
            EXPECT_THAT(words.out, HasSubstr(doubts[i]["question"].get<std::string>()));
            EXPECT_THAT(words.out, HasSubstr(doubts[i]["detail"].get<std::string>()));
        }
        const Answer refused = studio_.ask({"read", file, "--condition", "chalk"});
        EXPECT_NE(refused.code, 0);
        EXPECT_EQ(refused.errorCode(), codes.front());
        EXPECT_EQ(studio_.ask({"read", file, "--condition", "chalk", "--force"}).code, 0);
    }
    EXPECT_EQ(studio_.ask({"trial", "list", "--condition", "chalk"}).json()["trials"].size(), 3U);

    // A question that reading does not ask needs no force.
    measure::Reading unknown = driver_.print({6, 6});
    unknown.condition = measure::Condition::unknown;
    const std::string third = sheet(unknown);
    const Json doubts = look(third)["doubts"];
    ASSERT_EQ(doubts.size(), 1U) << doubts;
    EXPECT_EQ(doubts[0]["code"], "measured-under-unknown");
    EXPECT_THAT(studio_.inWords({"read", third, "--condition", "chalk", "--look"}).out,
                Not(HasSubstr("--force")));
    EXPECT_EQ(studio_.ask({"read", third, "--condition", "chalk"}).code, 0);
}

TEST_F(Glance, WhatNoAnswerMendsIsRefusedAtALookToo) {
    const std::string file = sheet(driver_.print({0, 0}));
    const std::string before = studio_.bookBytes();
    const auto expectRefused = [&](const Words& words, int code, const std::string& error) {
        const Answer answer = studio_.ask(words);
        EXPECT_EQ(answer.code, code) << answer.err;
        EXPECT_EQ(answer.errorCode(), error) << answer.out;
        EXPECT_EQ(studio_.bookBytes(), before);
    };
    expectRefused({"read", file, "--condition", "chalk", "--look", "--setting", "across=51,up=0"}, 2,
                  "setting-out-of-range");
    expectRefused({"read", file, "--condition", "chlak", "--look"}, 2, "condition-unknown");
    expectRefused({"read", file, "--condition", "chalk", "--look", "--to-trial", "7"}, 2, "trial-unknown");
    expectRefused({"read", file + ".none", "--condition", "chalk", "--look"}, 3, "file-not-found");
    expectRefused({"read", file, "--condition", "chalk", "--look", "--force"}, 2, "command-line");
}

TEST_F(Glance, TheListSaysHowEveryConditionStands) {
    studio_.enter("fen", usualAxes(), "Fen Satin");
    EXPECT_EQ(standing()["standing"], "empty");
    EXPECT_EQ(standing()["words"], "Print and measure the first sheet");
    ASSERT_EQ(studio_.read(driver_.print({0, 0}), "chalk", "across=0,up=0").code, 0);
    EXPECT_EQ(standing()["standing"], "unfinished");
    EXPECT_EQ(standing()["words"], "Trial 1 is not judged yet");
    ASSERT_EQ(studio_.ask({"judge", "--condition", "chalk", "--viewers", "0"}).code, 0);
    EXPECT_EQ(standing()["words"], "Trial 1 is judged; ask what to print next");

    const Ending ending = playToTheEnd(studio_, driver_, "chalk");
    ASSERT_EQ(ending.steer["status"], "settled");
    EXPECT_EQ(standing()["standing"], "neutral");
    EXPECT_EQ(standing()["words"], "Neutral at " + inWords(ending.steer["setting"]));
    EXPECT_EQ(standing("fen")["standing"], "empty") << "each by its own trials";
    EXPECT_THAT(studio_.inWords({"condition", "list"}).out,
                HasSubstr("Neutral at " + inWords(ending.steer["setting"])));

    // The same setting comes out with another tint from one day on: once the search no longer takes that for
    // chance it goes on, and the list says why.
    const std::string setting = settingText(ending.steer["setting"]);
    Json asked = Json::object();
    for (int sheets = 0; sheets < 6 && asked.value("status", "settled") == "settled"; ++sheets) {
        measure::Reading drifted = driver_.printAsAsked(ending.steer["setting"]);
        for (measure::Patch& patch : drifted.patches) {
            patch.reflectance.clear();
            const double tone = *patch.tonePercent / 100;
            patch.lab->a += 20 * tone * (1 - tone);
        }
        drifted.grid.reset();
        ASSERT_EQ(studio_.read(drifted, "chalk", setting).code, 0);
        EXPECT_EQ(standing()["standing"], "unfinished");
        asked = studio_.ask({"steer", "--condition", "chalk"}).json();
        if (asked["status"] == "settled") {
            EXPECT_EQ(standing()["standing"], "neutral");
        }
    }
    ASSERT_EQ(asked["status"], "print") << asked["reason"];
    EXPECT_EQ(standing()["standing"], "drifting");
    EXPECT_EQ(standing()["words"], "No longer neutral: print " + inWords(asked["setting"]) + " next");
}

TEST_F(Glance, OutOfReachIsSpelledAlikeEverywhere) {
    // This driver offers hardly a tenth of what the tint would need.
    const std::vector<steer::TintAxis> narrow{{"across", -2, 2, 1}, {"up", -2, 2, 1}};
    studio_.enter("fen", narrow, "Fen Satin");
    simulate::Recipe weak = usualRecipe();
    weak.control.gain = 0.04;
    Driver driver(weak, narrow);
    const Ending ending = playToTheEnd(studio_, driver, "fen");
    ASSERT_EQ(ending.steer["status"], "out_of_reach") << ending.steer["reason"];
    EXPECT_EQ(standing("fen")["standing"], "out_of_reach");
    EXPECT_EQ(standing("fen")["words"], "No setting will do; correct the pictures");
}

}  // namespace
}  // namespace greywright::acceptance

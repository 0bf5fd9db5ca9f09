#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "stage.h"

// The main job: from a new paper to a setting that is confirmed, on simulated printers whose truth is known.
namespace greywright::acceptance {
namespace {

using ::testing::HasSubstr;

// How near the final setting's true worst tint must come to the best there is: the search's own tolerance of
// 0.3 CIEDE2000 (steer::Options) and the noise of one print.
constexpr double kNearBest = 0.3 + 0.2;

std::string settled(const Ending& ending) {
    return ending.steer.value("status", "") + " after " + std::to_string(ending.sheets) + ": " +
           ending.steer.value("reason", "");
}

TEST(Search, ANewPaperIsSettledNearTheBestThereIs) {
    Studio studio;
    studio.enter("chalk");
    Driver driver(usualRecipe(), usualAxes());

    // Before any trial: start without tint, and say nothing about what is not known.
    const Json first = studio.ask({"steer", "--condition", "chalk"}).json();
    EXPECT_EQ(first["status"], "print");
    EXPECT_EQ(settingText(first["setting"]), "across=0,up=0");
    EXPECT_EQ(first["trials"], 0);
    EXPECT_TRUE(first["predicted"]["worst_delta_e00"].is_null());

    const double untinted = driver.worst({0, 0});
    ASSERT_GT(untinted, 2) << "otherwise nothing is to be found";
    const Ending ending = playToTheEnd(studio, driver, "chalk");
    ASSERT_EQ(ending.steer["status"], "settled") << settled(ending);
    EXPECT_EQ(ending.steer["trials"], ending.sheets);
    const double best = driver.leastWorst();
    const double here = driver.worst(driver.settingFrom(ending.steer["setting"]));
    EXPECT_LT(here, best + kNearBest) << settled(ending);
    EXPECT_LT(here, 0.5 * untinted);
    // The prediction of the setting's own tint holds the truth.
    EXPECT_LE(ending.steer["predicted"]["worst_delta_e00_low"].get<double>(), here + 0.1);
    EXPECT_GE(ending.steer["predicted"]["worst_delta_e00_high"].get<double>(), here - 0.1);

    const Json judged = studio.ask({"judge", "--condition", "chalk"}).json();
    EXPECT_NE(judged["verdict"]["tint"], "plain") << judged["verdict"];

    // The next paper of the same driver: what was learned carries over.
    studio.enter("fen", usualAxes(), "Fen Satin");
    Driver second(usualRecipe(1), usualAxes());
    const Json start = studio.ask({"steer", "--condition", "fen"}).json();
    EXPECT_EQ(start["learned_from"], Json::array({"chalk"}));
    EXPECT_NE(settingText(start["setting"]), "across=0,up=0");
    const Ending quick = playToTheEnd(studio, second, "fen");
    ASSERT_EQ(quick.steer["status"], "settled") << settled(quick);
    EXPECT_LT(quick.sheets, ending.sheets);
    EXPECT_LT(second.worst(second.settingFrom(quick.steer["setting"])), second.leastWorst() + kNearBest);

    // Another mode is another driver: nothing carries over.
    studio.enter("fen, other mode", usualAxes(), "Fen Satin", "sepia");
    const Json other = studio.ask({"steer", "--condition", "fen, other mode"}).json();
    EXPECT_TRUE(other["learned_from"].empty());
    EXPECT_EQ(settingText(other["setting"]), "across=0,up=0");
}

TEST(Search, TheOrderOfReadingMakesNoDifference) {
    Studio studio;
    studio.enter("in order");
    Driver driver(usualRecipe(), usualAxes());
    const Ending ending = playToTheEnd(studio, driver, "in order", 4);
    ASSERT_EQ(ending.sheets, 4);
    studio.enter("any order", usualAxes(), "Chalk Rag", "another driver");
    for (const std::size_t i : {2U, 0U, 3U, 1U}) {
        const auto& [file, setting] = ending.read[i];
        ASSERT_EQ(studio.ask({"read", file, "--condition", "any order", "--setting", setting}).code, 0);
    }
    const Json ordered = studio.ask({"steer", "--condition", "in order"}).json();
    const Json any = studio.ask({"steer", "--condition", "any order"}).json();
    EXPECT_EQ(any["setting"], ordered["setting"]);
    EXPECT_EQ(any["status"], ordered["status"]);
    EXPECT_EQ(any["best_attainable"]["setting"], ordered["best_attainable"]["setting"]);
    EXPECT_NEAR(any["predicted"]["worst_delta_e00"].get<double>(),
                ordered["predicted"]["worst_delta_e00"].get<double>(), 1e-6);
    for (std::size_t row : {0U, 1U}) {
        for (std::size_t axis : {0U, 1U}) {
            EXPECT_NEAR(any["control"]["matrix"][row][axis].get<double>(),
                        ordered["control"]["matrix"][row][axis].get<double>(), 1e-9);
        }
    }
}

TEST(Search, AWithdrawnTrialDoesNotCountUntilItIsRestored) {
    Studio studio;
    studio.enter("chalk");
    Driver driver(usualRecipe(), usualAxes());
    ASSERT_EQ(studio.read(driver.print({0, 0}), "chalk", "across=0,up=0").code, 0);
    ASSERT_EQ(studio.read(driver.print({14, 0}), "chalk", "across=14,up=0").code, 0);
    const Json two = studio.ask({"steer", "--condition", "chalk"}).json();
    ASSERT_EQ(studio.read(driver.print({-6, 17}), "chalk", "across=-6,up=17").code, 0);
    const Json three = studio.ask({"steer", "--condition", "chalk"}).json();
    EXPECT_EQ(three["trials"], 3);
    EXPECT_NE(three["control"], two["control"]);

    ASSERT_EQ(
        studio.ask({"trial", "withdraw", "--condition", "chalk", "--trial", "3", "--reason", "a scratch"})
            .code,
        0);
    EXPECT_EQ(studio.ask({"steer", "--condition", "chalk"}).json(), two);
    EXPECT_EQ(studio.ask({"judge", "--condition", "chalk"}).json()["trial"], 2);
    const Json listed = studio.ask({"trial", "list", "--condition", "chalk"}).json();
    ASSERT_EQ(listed["trials"].size(), 3U) << "it stays in the book";
    EXPECT_EQ(listed["trials"][2]["withdrawn"], true);
    EXPECT_EQ(listed["trials"][2]["withdrawn_because"], "a scratch");

    ASSERT_EQ(studio.ask({"trial", "restore", "--condition", "chalk", "--trial", "3"}).code, 0);
    EXPECT_EQ(studio.ask({"steer", "--condition", "chalk"}).json(), three);
    const Answer noReason =
        studio.ask({"trial", "withdraw", "--condition", "chalk", "--trial", "3", "--reason", " "});
    EXPECT_EQ(noReason.code, 2);
    EXPECT_EQ(noReason.errorCode(), "reason-missing");
}

TEST(Search, ChoicesAreNeverMixedAndAreJudgedSideBySide) {
    Studio studio;
    studio.enter("alone");
    studio.enter("mixed", usualAxes(), "Chalk Rag", "another driver");
    Driver driver(usualRecipe(), usualAxes());
    simulate::Recipe otherInk = usualRecipe();
    otherInk.seed = 41;
    Driver dark(otherInk, usualAxes());
    const Words isDark{"--choice", "tone=dark"};
    const Words isNormal{"--choice", "tone=normal"};
    for (const steer::Setting& setting : {steer::Setting{0, 0}, {14, 0}, {-6, 17}}) {
        const measure::Reading reading = driver.print(setting);
        const std::string text = settingText(usualAxes(), setting);
        ASSERT_EQ(studio.read(reading, "alone", text, Format::cgats, isNormal).code, 0);
        ASSERT_EQ(
            studio
                .read(dark.print(setting), "mixed", text, Format::cgats, {"--force", "--choice", "tone=dark"})
                .code,
            0);
        ASSERT_EQ(
            studio.read(reading, "mixed", text, Format::cgats, {"--force", "--choice", "tone=normal"}).code,
            0);
    }
    const Json alone = studio.ask({"steer", "--condition", "alone"}).json();
    const Json latest = studio.ask({"steer", "--condition", "mixed"}).json();
    EXPECT_EQ(latest["trials"], 3);
    EXPECT_EQ(latest["setting"], alone["setting"]);
    EXPECT_EQ(latest["control"], alone["control"]);
    EXPECT_EQ(latest["notes"][0]["code"], "other-choices-left-out");
    const Json asked = studio.ask({"steer", "--condition", "mixed", "--choice", "tone=normal"}).json();
    EXPECT_EQ(asked["control"], alone["control"]);
    const Json darkAsked = studio.ask({"steer", "--condition", "mixed", "--choice", "tone=dark"}).json();
    EXPECT_EQ(darkAsked["trials"], 3);
    EXPECT_NE(darkAsked["control"], alone["control"]);
    const Answer unknown = studio.ask({"steer", "--condition", "mixed", "--choice", "tone=light"});
    EXPECT_EQ(unknown.code, 2);
    EXPECT_EQ(unknown.errorCode(), "no-trials-with-choices");
    EXPECT_THAT(unknown.err, HasSubstr("tone=light"));

    const Json judged = studio.ask({"judge", "--condition", "mixed"}).json();
    ASSERT_TRUE(judged.contains("choices"));
    ASSERT_EQ(judged["choices"]["compared"].size(), 2U);
    EXPECT_EQ(judged["choices"]["compared"][0]["choices"], "tone=dark");
    EXPECT_EQ(judged["choices"]["compared"][1]["choices"], "tone=normal");
    EXPECT_EQ(judged["choices"]["compared"][1]["tone"], judged["tone"])
        << "the latest trial is of this choice";
    EXPECT_NE(judged["choices"]["compared"][0]["tone"], judged["tone"]);
    EXPECT_FALSE(studio.ask({"judge", "--condition", "alone"}).json().contains("choices"));
}

TEST(Search, WhatOnePaperTaughtIsOfTheChoiceThatIsAskedFor) {
    Studio studio;
    studio.enter("chalk");
    Driver driver(usualRecipe(), usualAxes());
    for (const steer::Setting& setting : {steer::Setting{0, 0}, {14, 0}, {-6, 17}}) {
        const std::string text = settingText(usualAxes(), setting);
        ASSERT_EQ(
            studio.read(driver.print(setting), "chalk", text, Format::cgats, {"--choice", "tone=normal"})
                .code,
            0);
    }
    // A last sheet of another choice teaches nothing, and must not hide what the three before taught.
    ASSERT_EQ(
        studio.read(driver.print({0, 0}), "chalk", "across=0,up=0", Format::cgats, {"--choice", "tone=dark"})
            .code,
        0);
    studio.enter("fen", usualAxes(), "Fen Satin");
    Driver second(usualRecipe(1), usualAxes());
    ASSERT_EQ(
        studio.read(second.print({0, 0}), "fen", "across=0,up=0", Format::cgats, {"--choice", "tone=normal"})
            .code,
        0);
    EXPECT_EQ(studio.ask({"steer", "--condition", "fen"}).json()["learned_from"], Json::array({"chalk"}));
}

TEST(Search, AFewBlocksAreEnough) {
    Studio studio;
    studio.enter("chalk");
    Driver driver(usualRecipe(), usualAxes());
    // A full ramp first, then the same piece of paper again with three blocks of grey.
    ASSERT_EQ(studio.read(driver.print({0, 0}), "chalk", "across=0,up=0").code, 0);
    const Ending ending = playToTheEnd(studio, driver, "chalk", 12, {0.3, 0.5, 0.7});
    ASSERT_EQ(ending.steer["status"], "settled") << settled(ending);
    // Blocks from 30 to 70 % see no farther than that; the truth is asked for at every tone of 5 % and more.
    EXPECT_LT(driver.worst(driver.settingFrom(ending.steer["setting"])), driver.leastWorst() + 2 * kNearBest);
    const Answer judged = studio.ask({"judge", "--condition", "chalk"});
    ASSERT_EQ(judged.code, 0) << judged.err;
    EXPECT_EQ(judged.json()["patches"].size(), 3U);
    // The ends that these blocks lack are lent by the full ramp: the aim is its paper's.
    EXPECT_TRUE(judged.json()["paper"].is_null());
    const Json full = studio.ask({"judge", "--condition", "chalk", "--trial", "1", "--aim", "paper"}).json();
    const Json blocks = studio.ask({"judge", "--condition", "chalk", "--aim", "paper"}).json();
    EXPECT_NE(full["paper"]["b"], 0);
    EXPECT_EQ(blocks["patches"][1]["aim_a"], full["paper"]["a"]);
    EXPECT_EQ(blocks["patches"][1]["aim_b"], full["paper"]["b"]);
}

TEST(Search, BlocksAloneSettleToo) {
    Studio studio;
    studio.enter("chalk");
    Driver driver(usualRecipe(), usualAxes());
    const Ending ending = playToTheEnd(studio, driver, "chalk", 12, {0, 0.25, 0.5, 0.75, 1});
    ASSERT_EQ(ending.steer["status"], "settled") << settled(ending);
    EXPECT_LT(driver.worst(driver.settingFrom(ending.steer["setting"])), driver.leastWorst() + 2 * kNearBest);
}

TEST(Search, CielabAloneIsEnough) {
    Studio studio;
    studio.enter("chalk");
    simulate::Recipe recipe = usualRecipe();
    recipe.family = simulate::Family::dye;
    recipe.seed = 8;
    Driver driver(recipe, usualAxes());
    const Ending ending = playToTheEnd(studio, driver, "chalk", 14, fullRamp(), false);
    ASSERT_NE(ending.steer["status"], "print") << settled(ending);
    EXPECT_LT(driver.worst(driver.settingFrom(ending.steer["setting"])), driver.leastWorst() + kNearBest)
        << settled(ending);
    const Json judged = studio.ask({"judge", "--condition", "chalk"}).json();
    ASSERT_FALSE(judged["lights"].empty());
    EXPECT_EQ(judged["lights"][0]["name"], "D50");
    EXPECT_TRUE(judged["visual_density_black"].is_number() || judged["visual_density_black"].is_null());
}

TEST(Search, TheFirstTrialNeedNotBeAtZero) {
    Studio studio;
    studio.enter("chalk");
    Driver driver(usualRecipe(), usualAxes());
    ASSERT_EQ(studio.read(driver.print({-30, 25}), "chalk", "across=-30,up=25").code, 0);
    const Ending ending = playToTheEnd(studio, driver, "chalk");
    ASSERT_EQ(ending.steer["status"], "settled") << settled(ending);
    EXPECT_LT(driver.worst(driver.settingFrom(ending.steer["setting"])), driver.leastWorst() + kNearBest);
}

TEST(Search, OneAxis) {
    Studio studio;
    studio.enter("chalk", usualAxes(1));
    simulate::Recipe recipe = usualRecipe();
    recipe.axes = 1;
    Driver driver(recipe, usualAxes(1));
    const Ending ending = playToTheEnd(studio, driver, "chalk");
    ASSERT_NE(ending.steer["status"], "print") << settled(ending);
    EXPECT_EQ(ending.steer["setting"].size(), 1U);
    EXPECT_EQ(ending.steer["control"]["matrix"][0].size(), 1U);
    EXPECT_LT(driver.worst(driver.settingFrom(ending.steer["setting"])), driver.leastWorst(1) + kNearBest)
        << settled(ending);
}

TEST(Search, ThreeAxes) {
    Studio studio;
    studio.enter("chalk", usualAxes(3));
    simulate::Recipe recipe = usualRecipe();
    recipe.axes = 3;
    Driver driver(recipe, usualAxes(3));
    const Ending ending = playToTheEnd(studio, driver, "chalk", 16);
    ASSERT_NE(ending.steer["status"], "print") << settled(ending);
    EXPECT_EQ(ending.steer["setting"].size(), 3U);
    EXPECT_EQ(ending.steer["control"]["matrix"][1].size(), 3U);
    EXPECT_LT(driver.worst(driver.settingFrom(ending.steer["setting"])), driver.leastWorst(10) + kNearBest)
        << settled(ending);
}

TEST(Search, AControlTooWeakIsSaidToBe) {
    Studio studio;
    // This driver offers hardly a tenth of what the tint would need.
    const std::vector<steer::TintAxis> narrow{{"across", -2, 2, 1}, {"up", -2, 2, 1}};
    studio.enter("chalk", narrow);
    simulate::Recipe recipe = usualRecipe();
    recipe.control.gain = 0.04;
    Driver driver(recipe, narrow);
    ASSERT_GT(driver.leastWorst(1), 2.5) << "otherwise a setting would do";
    const Ending ending = playToTheEnd(studio, driver, "chalk");
    EXPECT_EQ(ending.steer["status"], "out_of_reach") << settled(ending);
    EXPECT_EQ(studio.ask({"steer", "--condition", "chalk"}).code, 0);
}

TEST(Search, StepsAndRangesAreTheDriversOwn) {
    Studio studio;
    const std::vector<steer::TintAxis> odd{{"warm", -3, 9, 0.3}, {"cool", 10, 90, 5}};
    studio.enter("odd", odd);
    Driver driver(usualRecipe(), odd);
    const Answer none = studio.ask({"steer", "--condition", "odd"});
    ASSERT_EQ(none.code, 0) << none.err;
    // No setting is untinted here, so a sheet without one cannot be taken in.
    const std::string file = studio.write("s.txt", sheetText(driver.print({0, 50}), Format::cgats));
    const Answer missing = studio.ask({"read", file, "--condition", "odd"});
    EXPECT_EQ(missing.code, 2);
    EXPECT_EQ(missing.errorCode(), "setting-missing");
    const Ending ending = playToTheEnd(studio, driver, "odd", 3);
    ASSERT_GE(ending.sheets, 1);
    const Json trials = studio.ask({"trial", "list", "--condition", "odd"}).json();
    for (const Json& trial : trials["trials"]) {
        const double warm = trial["setting"]["warm"];
        const double cool = trial["setting"]["cool"];
        EXPECT_NEAR((warm + 3) / 0.3, std::round((warm + 3) / 0.3), 1e-9);
        EXPECT_NEAR((cool - 10) / 5, std::round((cool - 10) / 5), 1e-9);
        EXPECT_TRUE(warm >= -3 && warm <= 9 && cool >= 10 && cool <= 90);
    }
}

}  // namespace
}  // namespace greywright::acceptance

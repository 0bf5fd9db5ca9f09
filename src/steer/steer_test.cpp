#include "steer/steer.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <tuple>

#include <gtest/gtest.h>

#include "core/contract.h"
#include "core/random.h"

namespace greywright::steer {
namespace {

using TintAt = std::function<colour::Tint(double tone, const Setting& setting)>;

const std::vector<TintAxis> kTwoAxes{{"across", -50, 50, 1}, {"up", -50, 50, 1}};

double weight(double tone) {
    return 4 * tone * (1 - tone);
}

/// A sheet on a paper without tint, so that the aim is a* = b* = 0, with a little noise on every patch.
Trial printed(const TintAt& tint, const Setting& setting, int number, int steps = 20) {
    Random random(static_cast<std::uint64_t>(number) * 17 + 3);
    Trial trial{.number = number, .setting = setting, .tones = {}};
    for (int i = 0; i <= steps; ++i) {
        const double tone = static_cast<double>(i) / steps;
        const colour::Tint at = tone == 0 ? colour::Tint{} : tint(tone, setting);
        trial.tones.push_back(
            {100 * tone, {95 - 80 * tone, at.a + 0.03 * random.normal(), at.b + 0.03 * random.normal()}});
    }
    trial.tones.front().lab = {95, 0, 0};
    return trial;
}

/// Across pulls towards yellow and a little green, up towards red: turned, mirrored and unequal. Zero is
/// off by (2, -3) at the mid tones; about (34, -10) mends it.
colour::Tint turned(double tone, const Setting& setting) {
    return {weight(tone) * (2 - 0.03 * setting[0] + 0.10 * setting[1]),
            weight(tone) * (-3 + 0.08 * setting[0] - 0.03 * setting[1])};
}

History searched(const TintAt& tint, std::vector<TintAxis> axes, std::size_t most = 8) {
    History history{std::move(axes), {}};
    Summary summary = steer(history);
    while (summary.status == Status::print && history.trials.size() < most) {
        history.trials.push_back(
            printed(tint, summary.predicted.setting, static_cast<int>(history.trials.size()) + 1));
        summary = steer(history);
    }
    return history;
}

double worstOf(const TintAt& tint, const Setting& setting) {
    double worst = 0;
    for (int i = 1; i <= 20; ++i) {
        const colour::Tint at = tint(i / 20.0, setting);
        worst = std::max(worst, std::hypot(1.5 * at.a, at.b));
    }
    return worst;
}

TEST(SettingGrid, HandsOutTheDecimalsThatTheDriverShows) {
    const std::vector<TintAxis> axes{{"x", -1, 1, 0.1}};
    const SettingGrid grid(axes);
    EXPECT_EQ(grid.count(0), 21);
    EXPECT_EQ(grid.setting({13}).front(), 0.3);
    EXPECT_EQ(grid.nearest({0.26}), SettingGrid::Steps{13});
    EXPECT_EQ(grid.nearest({7}), SettingGrid::Steps{20}) << "outside the range the end holds";
    EXPECT_DOUBLE_EQ(grid.deflection({-0.5}).front(), -0.5);
}

TEST(SettingGrid, RefusesWhatIsNoControl) {
    EXPECT_THROW(SettingGrid(std::vector<TintAxis>{}), ContractViolation);
    EXPECT_THROW(SettingGrid(std::vector<TintAxis>{{"x", 1, 1, 1}}), ContractViolation);
    EXPECT_THROW(SettingGrid(std::vector<TintAxis>{{"x", 0, 1, 0}}), ContractViolation);
}

TEST(Steer, StartsWithoutATint) {
    const Summary summary = steer({kTwoAxes, {}});
    EXPECT_EQ(summary.status, Status::print);
    EXPECT_EQ(summary.predicted.setting, (Setting{0, 0}));
    EXPECT_FALSE(summary.isUsable());
}

TEST(Steer, StartsInsideARangeWithoutZero) {
    EXPECT_EQ(steer({{{"x", 5, 20, 1}}, {}}).predicted.setting, Setting{5});
}

TEST(Steer, FindsTheSettingInARangeWithoutZero) {
    const TintAt far = [](double tone, const Setting& setting) {
        return turned(tone, {setting[0] - 150, setting[1] - 150});
    };
    const std::vector<TintAxis> axes{{"across", 100, 200, 1}, {"up", 100, 200, 1}};
    const History history = searched(far, axes);
    const Summary summary = steer(history);
    ASSERT_EQ(summary.status, Status::settled) << summary.reason;
    EXPECT_LT(worstOf(far, summary.predicted.setting), 0.5);
}

TEST(Steer, FindsTheSettingOfATurnedMirroredControl) {
    const History history = searched(turned, kTwoAxes);
    const Summary summary = steer(history);
    ASSERT_EQ(summary.status, Status::settled) << summary.reason;
    EXPECT_LE(history.trials.size(), 5U);
    EXPECT_LT(worstOf(turned, summary.predicted.setting), 0.4);
    EXPECT_GT(summary.confirmedBy, 0);
}

TEST(Steer, LearnsTheMatrixWithinItsErrors) {
    History history{kTwoAxes, {}};
    int number = 0;
    for (const Setting& setting : std::vector<Setting>{{0, 0}, {20, 0}, {0, 20}, {-20, -20}, {20, 20}}) {
        history.trials.push_back(printed(turned, setting, ++number));
    }
    const Summary summary = steer(history);
    ASSERT_EQ(summary.control.size(), 2U);
    const AxisAction& across = summary.control[0];
    const AxisAction& up = summary.control[1];
    // At 50 % the weight is one, so these are the figures of turned().
    for (const auto& [value, truth, error] :
         {std::tuple{across.a, -0.03, across.standardErrorA},
          std::tuple{across.b, 0.08, across.standardErrorB}, std::tuple{up.a, 0.10, up.standardErrorA},
          std::tuple{up.b, -0.03, up.standardErrorB}}) {
        EXPECT_NEAR(value, truth, 0.012);
        EXPECT_NEAR(value, truth, 3.5 * error);
        EXPECT_LT(error, 0.012);
    }
    EXPECT_EQ(across.words.substr(0, 27), "across: +1 moves mid-tones ");
    EXPECT_NE(across.words.find("towards yellow"), std::string::npos) << across.words;
    EXPECT_NE(up.words.find("towards red"), std::string::npos) << up.words;
}

TEST(Steer, AnswersRedWithAPushTowardsGreen) {
    // Common practice: a positive a* is answered by a push towards green.
    const TintAt red = [](double tone, const Setting& setting) {
        return colour::Tint{weight(tone) * (3 + 0.1 * setting[0]), 0};
    };
    History history{{{"across", -50, 50, 1}}, {}};
    history.trials = {printed(red, {0}, 1), printed(red, {10}, 2)};
    const Summary summary = steer(history);
    EXPECT_LT(summary.predicted.setting[0], -20) << "across pulls towards red, so it has to go down";
    EXPECT_NE(summary.control[0].words.find("towards red"), std::string::npos);
    EXPECT_LT(summary.ramp[summary.ramp.size() / 2].a, 1);
}

TEST(Steer, DoesNotMindTheOrderOfTrials) {
    History history{kTwoAxes, {}};
    history.trials = {printed(turned, {0, 0}, 1), printed(turned, {15, 0}, 2), printed(turned, {30, -20}, 3)};
    const Summary forwards = steer(history);
    std::swap(history.trials[0], history.trials[2]);
    const Summary backwards = steer(history);
    EXPECT_EQ(forwards.status, backwards.status);
    EXPECT_NEAR(forwards.bestAttainable.worstDeltaE00, backwards.bestAttainable.worstDeltaE00, 0.15);
    for (std::size_t j = 0; j < 2; ++j) {
        EXPECT_NEAR(forwards.bestAttainable.setting[j], backwards.bestAttainable.setting[j], 3);
    }
}

TEST(Steer, ARepeatedTrialMakesItSurer) {
    History history{kTwoAxes, {}};
    history.trials = {printed(turned, {0, 0}, 1), printed(turned, {15, 0}, 2), printed(turned, {0, 15}, 3)};
    const double before = steer(history).control[0].standardErrorB;
    for (int n = 4; n <= 6; ++n) history.trials.push_back(printed(turned, {15, 0}, n));
    EXPECT_LT(steer(history).control[0].standardErrorB, before);
}

TEST(Steer, SaysWhenTheControlIsTooWeak) {
    const TintAt weak = [](double tone, const Setting& setting) {
        return colour::Tint{weight(tone) * (6 + 0.02 * setting[0]), weight(tone) * (0.02 * setting[1])};
    };
    const Summary summary = steer(searched(weak, kTwoAxes));
    ASSERT_EQ(summary.status, Status::outOfReach) << summary.reason;
    EXPECT_EQ(summary.limit, Limit::range);
    EXPECT_EQ(summary.predicted.setting[0], -50);
    EXPECT_NE(summary.reason.find("too weak"), std::string::npos) << summary.reason;
}

TEST(Steer, SaysWhenTheTintTurnsAlongTheRamp) {
    const TintAt turning = [](double tone, const Setting& setting) {
        return colour::Tint{7 * std::sin(2 * 3.14159265 * tone) + weight(tone) * 0.1 * setting[0],
                            weight(tone) * 0.1 * setting[1]};
    };
    const Summary summary = steer(searched(turning, kTwoAxes));
    ASSERT_EQ(summary.status, Status::outOfReach) << summary.reason;
    EXPECT_EQ(summary.limit, Limit::turns);
    EXPECT_NE(summary.reason.find("turns along the ramp"), std::string::npos) << summary.reason;
}

TEST(Steer, LeavesWellAlone) {
    const TintAt good = [](double tone, const Setting& setting) {
        return colour::Tint{weight(tone) * (0.1 + 0.1 * setting[0]), weight(tone) * 0.1 * setting[1]};
    };
    History history{kTwoAxes, {printed(good, {0, 0}, 1)}};
    const Summary summary = steer(history);
    EXPECT_EQ(summary.status, Status::settled) << summary.reason;
    EXPECT_EQ(summary.predicted.setting, (Setting{0, 0}));
}

TEST(Steer, WorksWithOneAxisAndWithThree) {
    const TintAt one = [](double tone, const Setting& setting) {
        return colour::Tint{weight(tone) * 0.2, weight(tone) * (4 - 0.2 * setting[0])};
    };
    const History single = searched(one, {{"warm", -30, 30, 1}});
    const Summary found = steer(single);
    ASSERT_EQ(found.status, Status::settled) << found.reason;
    EXPECT_NEAR(found.predicted.setting[0], 20, 2);
    EXPECT_LE(single.trials.size(), 4U);

    const TintAt three = [](double tone, const Setting& setting) {
        return colour::Tint{weight(tone) * (3 - 0.1 * setting[0] + 0.05 * setting[2]),
                            weight(tone) * (2 - 0.1 * setting[1] + 0.05 * setting[2])};
    };
    const History triple = searched(three, {{"x", -50, 50, 1}, {"y", -50, 50, 1}, {"z", -50, 50, 1}}, 10);
    const Summary last = steer(triple);
    EXPECT_EQ(last.status, Status::settled) << last.reason;
    EXPECT_LT(worstOf(three, last.predicted.setting), 0.6);
}

TEST(Steer, WorksWithAFewBlocksAndAFirstSheetThatIsNotAtZero) {
    History history{kTwoAxes, {}};
    int number = 0;
    for (const Setting& setting : std::vector<Setting>{{20, 20}, {30, 20}, {20, 0}, {34, -10}}) {
        Trial trial = printed(turned, setting, ++number);
        std::erase_if(trial.tones, [](const ToneColour& tone) {
            return tone.tonePercent != 25 && tone.tonePercent != 50 && tone.tonePercent != 75;
        });
        history.trials.push_back(std::move(trial));
    }
    const Summary summary = steer(history);
    EXPECT_FALSE(summary.paperMeasured);
    EXPECT_EQ(summary.ramp.size(), 3U);
    EXPECT_LT(worstOf(turned, summary.bestAttainable.setting), 0.8);
}

TEST(Knowledge, SavesSheetsOnTheNextPaper) {
    const DriverKnowledge known = learn({searched(turned, kTwoAxes)});
    const TintAt next = [](double tone, const Setting& setting) {
        const colour::Tint at = turned(tone, setting);
        return colour::Tint{at.a * 1.05 - weight(tone) * 1.5, at.b * 1.05 + weight(tone) * 1.2};
    };
    History history{kTwoAxes, {}};
    Summary summary = steer(history, &known);
    while (summary.status == Status::print && history.trials.size() < 6) {
        history.trials.push_back(
            printed(next, summary.predicted.setting, static_cast<int>(history.trials.size()) + 1));
        summary = steer(history, &known);
    }
    EXPECT_EQ(summary.status, Status::settled);
    EXPECT_LE(history.trials.size(), 3U);
    EXPECT_LT(worstOf(next, summary.predicted.setting), 0.6);
    EXPECT_GT(summary.beliefInKnowledge, 0.5);
}

TEST(Knowledge, IsDroppedWhenThePaperDisagrees) {
    const DriverKnowledge known = learn({searched(turned, kTwoAxes)});
    const TintAt opposite = [](double tone, const Setting& setting) {
        return turned(tone, {-setting[0], -setting[1]});
    };
    History history{kTwoAxes, {}};
    history.trials = {printed(opposite, {0, 0}, 1), printed(opposite, {20, 0}, 2),
                      printed(opposite, {0, 20}, 3)};
    const Summary summary = steer(history, &known);
    EXPECT_LT(summary.beliefInKnowledge, 0.1);
    EXPECT_LT(worstOf(opposite, summary.bestAttainable.setting), 1.0);
}

TEST(Knowledge, IsNotShakenByTheFirstSheet) {
    // A ramp that the control had to pull far is no sign against what is known of the control.
    const TintAt far = [](double tone, const Setting& setting) {
        const colour::Tint at = turned(tone, setting);
        return colour::Tint{at.a + 3 * weight(tone), at.b};
    };
    const DriverKnowledge known = learn({searched(far, kTwoAxes)});
    ASSERT_LT(known.bestSetting[1], -35);
    const History history{kTwoAxes, {printed(far, known.bestSetting, 7)}};
    const Summary summary = steer(history, &known);
    EXPECT_GT(summary.beliefInKnowledge, 0.9);
    // The small chance that this paper answers in a way of its own does not hide what is known.
    for (const AxisAction& action : summary.control) {
        EXPECT_EQ(action.words.find("not known yet"), std::string::npos) << action.words;
    }
    EXPECT_NEAR(summary.control[0].b, 0.08, 0.02);
}

TEST(Knowledge, LeavesOpenWhatNoPaperTried) {
    History alongOneAxis{kTwoAxes, {}};
    int number = 0;
    for (const double across : {0.0, 20.0, 40.0}) {
        alongOneAxis.trials.push_back(printed(turned, {across, 0}, ++number));
    }
    const DriverKnowledge known = learn({alongOneAxis});
    const History next{kTwoAxes, {printed(turned, {0, 0}, ++number)}};
    const Summary summary = steer(next, &known);
    const AxisAction& across = summary.control[0];
    const AxisAction& up = summary.control[1];
    EXPECT_NEAR(across.a, -0.03, 0.02);
    EXPECT_NEAR(across.b, 0.08, 0.02);
    EXPECT_GT(std::hypot(up.standardErrorA, up.standardErrorB),
              4 * std::hypot(across.standardErrorA, across.standardErrorB));
    EXPECT_NE(up.words.find("not known yet"), std::string::npos) << up.words;
}

TEST(Knowledge, OfTwoPapersThatAgreeIsSurerThanOfTwoThatDoNot) {
    const auto strength = [](double share) {
        return [share](double tone, const Setting& setting) {
            const colour::Tint zero = turned(tone, {0, 0});
            const colour::Tint at = turned(tone, setting);
            return colour::Tint{zero.a + share * (at.a - zero.a), zero.b + share * (at.b - zero.b)};
        };
    };
    const auto errorAfter = [&](double one, double other) {
        const DriverKnowledge known =
            learn({searched(strength(one), kTwoAxes), searched(strength(other), kTwoAxes)});
        const History next{kTwoAxes, {printed(turned, {0, 0}, 20)}};
        const AxisAction across = steer(next, &known).control[0];
        return std::hypot(across.standardErrorA, across.standardErrorB);
    };
    EXPECT_GT(errorAfter(0.75, 1.25), 1.3 * errorAfter(1, 1));
}

History sheetsAt(const TintAt& tint, const std::vector<Setting>& settings, int number) {
    History history{kTwoAxes, {}};
    for (const Setting& setting : settings) history.trials.push_back(printed(tint, setting, ++number));
    return history;
}

TEST(Knowledge, IsNeitherForNorAgainstASheetWhereTheLastPaperEnded) {
    // By the evidence, not by chance: such a sheet says nothing of what the control does.
    const History earlier = sheetsAt(turned, {{0, 0}, {20, 0}, {0, 20}, {30, -10}}, 0);
    const DriverKnowledge known = learn({earlier});
    const History next{kTwoAxes, {printed(turned, known.bestSetting, 9)}};
    EXPECT_NEAR(steer(next, &known).beliefInKnowledge, 0.95, 1e-6);
    DriverKnowledge two = learn({earlier, earlier});
    two.bestSetting = known.bestSetting;
    EXPECT_NEAR(steer(next, &two).beliefInKnowledge, 0.95, 1e-6);
}

TEST(Knowledge, IsNotSpoiltByAStray) {
    const TintAt opposite = [](double tone, const Setting& setting) {
        return turned(tone, {-setting[0], -setting[1]});
    };
    const std::vector<Setting> settings{{0, 0}, {20, 0}, {0, 20}, {-15, -15}};
    const History next = sheetsAt(turned, {{0, 0}, {20, 0}, {0, 20}}, 40);
    for (const std::size_t place : {0U, 2U}) {
        std::vector<History> papers{sheetsAt(turned, settings, 0), sheetsAt(turned, settings, 10),
                                    sheetsAt(turned, settings, 20)};
        papers[place] = sheetsAt(opposite, settings, 30);
        const DriverKnowledge known = learn(papers);
        const Summary summary = steer(next, &known);
        EXPECT_NEAR(summary.control[0].b, 0.08, 0.015) << place;
        EXPECT_NEAR(summary.control[1].a, 0.10, 0.015) << place;
        EXPECT_GT(summary.beliefInKnowledge, 0.5) << "the others fit";
    }
    // Against a single paper, the sheets at hand have the last word.
    const DriverKnowledge wrong = learn({sheetsAt(opposite, settings, 30)});
    const Summary alone = steer(next, &wrong);
    EXPECT_NEAR(alone.control[0].b, 0.08, 0.02);
    EXPECT_LT(alone.beliefInKnowledge, 0.1);
}

TEST(Knowledge, StartsWhereTheLastPaperEnded) {
    const History whole = searched(turned, kTwoAxes);
    const Summary ended = steer(whole);
    ASSERT_EQ(ended.status, Status::settled);
    EXPECT_EQ(learn({whole}).bestSetting, ended.predicted.setting);
    // A paper with few sheets is seen with what the one before it taught.
    const History few = sheetsAt(turned, {{34, -10}, {20, 0}}, 20);
    const DriverKnowledge before = learn({whole});
    const Summary told = steer(few, &before);
    const DriverKnowledge known = learn({whole, few});
    EXPECT_EQ(known.bestSetting,
              told.status == Status::settled ? told.predicted.setting : told.bestAttainable.setting);
    EXPECT_LT(worstOf(turned, known.bestSetting), 0.6);
}

TEST(Knowledge, RefusesWhatTeachesNothing) {
    EXPECT_THROW((void)learn({}), ContractViolation);
    EXPECT_THROW((void)learn({{kTwoAxes, {}}}), ContractViolation);
    const History one{{{"x", -50, 50, 1}}, {printed(turned, {0, 0}, 1)}};
    EXPECT_THROW((void)learn({sheetsAt(turned, {{0, 0}}, 0), one}), ContractViolation);
}

TEST(Knowledge, HelpsAControlOfOneAxisAndOfThree) {
    const TintAt one = [](double tone, const Setting& setting) {
        return colour::Tint{weight(tone) * (2 - 0.1 * setting[0]), 0};
    };
    const std::vector<TintAxis> axis{{"red", -50, 50, 1}};
    const DriverKnowledge known = learn({searched(one, axis)});
    EXPECT_NEAR(known.bestSetting[0], 20, 4);
    const TintAt shifted = [&](double tone, const Setting& setting) {
        return colour::Tint{one(tone, setting).a + weight(tone), 0};
    };
    History next{axis, {printed(shifted, known.bestSetting, 9)}};
    const Summary summary = steer(next, &known);
    EXPECT_NEAR(summary.bestAttainable.setting[0], 30, 4);

    const TintAt three = [](double tone, const Setting& setting) {
        return colour::Tint{weight(tone) * (1.5 + 0.1 * setting[0] - 0.05 * setting[2]),
                            weight(tone) * (-2 + 0.1 * setting[1] + 0.05 * setting[2])};
    };
    const std::vector<TintAxis> axes{{"x", -50, 50, 1}, {"y", -50, 50, 1}, {"z", -50, 50, 1}};
    const DriverKnowledge ofThree = learn({searched(three, axes)});
    const TintAt moved = [&](double tone, const Setting& setting) {
        const colour::Tint at = three(tone, setting);
        return colour::Tint{at.a + 1.2 * weight(tone), at.b - weight(tone)};
    };
    const History second{axes, {printed(moved, ofThree.bestSetting, 9)}};
    EXPECT_LT(worstOf(moved, steer(second, &ofThree).bestAttainable.setting), 1.0);
}

TEST(Knowledge, DoesNotDependOnTheOrderOfTrials) {
    History earlier = searched(turned, kTwoAxes);
    DriverKnowledge known = learn({earlier});
    const History next{kTwoAxes, {printed(turned, known.bestSetting, 7)}};
    const Summary one = steer(next, &known);
    std::ranges::reverse(known.papers.front().trials);
    const Summary other = steer(next, &known);
    EXPECT_NEAR(one.beliefInKnowledge, other.beliefInKnowledge, 1e-6);
    EXPECT_NEAR(one.predicted.worstDeltaE00, other.predicted.worstDeltaE00, 0.05);
}

TEST(SettingMap, IsLowestWhereTheBestIs) {
    const History history = searched(turned, kTwoAxes);
    const Summary summary = steer(history);
    const SettingMap map = Outlook(history).map(summary.bestAttainable.setting, 21);
    ASSERT_EQ(map.worst.size(), map.across.size() * map.up.size());
    const auto least = std::min_element(map.worst.begin(), map.worst.end()) - map.worst.begin();
    const auto columns = static_cast<std::ptrdiff_t>(map.across.size());
    EXPECT_NEAR(map.across[static_cast<std::size_t>(least % columns)], summary.bestAttainable.setting[0], 8);
    EXPECT_NEAR(map.up[static_cast<std::size_t>(least / columns)], summary.bestAttainable.setting[1], 8);
    EXPECT_FALSE(map.likelyBest.empty());
}

TEST(Outlook, SaysOfTheProposedSettingWhatTheSummarySays) {
    const History history = searched(turned, kTwoAxes);
    const Outlook outlook(history);
    const Summary summary = steer(history);
    EXPECT_EQ(outlook.summary().predicted.setting, summary.predicted.setting);
    const Foretold there = outlook.at(summary.predicted.setting);
    EXPECT_EQ(there.worst.worstDeltaE00, summary.predicted.worstDeltaE00);
    EXPECT_EQ(there.worst.worstDeltaE00High, summary.predicted.worstDeltaE00High);
    ASSERT_EQ(there.ramp.size(), summary.ramp.size());
    for (std::size_t i = 0; i < there.ramp.size(); ++i) {
        EXPECT_EQ(there.ramp[i].a, summary.ramp[i].a);
        EXPECT_EQ(there.ramp[i].highB, summary.ramp[i].highB);
    }
}

TEST(Outlook, MovesTheMidTonesAsTheAxesAreSaidTo) {
    const History history = searched(turned, kTwoAxes);
    const Outlook outlook(history);
    const auto middle = [&](const Setting& setting) {
        const auto ramp = outlook.at(setting).ramp;
        return *std::ranges::find(ramp, 50.0, &TonePrediction::tonePercent);
    };
    const Setting best = outlook.summary().bestAttainable.setting;
    const TonePrediction here = middle(best);
    const TonePrediction there = middle({best[0] + 4, best[1]});
    const AxisAction& axis = outlook.summary().control[0];
    EXPECT_NEAR((there.a - here.a) / 4, axis.a, 0.02);
    EXPECT_NEAR((there.b - here.b) / 4, axis.b, 0.02);
}

}  // namespace
}  // namespace greywright::steer

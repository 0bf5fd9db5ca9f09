#include <algorithm>
#include <cmath>
#include <functional>

#include <gtest/gtest.h>

#include "colour/aim.h"
#include "colour/colorimeter.h"
#include "colour/difference.h"
#include "core/contract.h"
#include "core/random.h"
#include "simulate/printer.h"
#include "steer/steer.h"

namespace greywright::steer {
namespace {

const std::vector<TintAxis> kTwoAxes{{"across", -50, 50, 1}, {"up", -50, 50, 1}};
const std::vector<Setting> kSpread{{0, 0}, {15, 0}, {0, 15}, {-15, -10}, {10, 25}, {30, -10}};

double weight(double tone) {
    return 4 * tone * (1 - tone);
}

/// How a light differs from D50: the tint at the mid tones, by itself and by what D50 shows.
struct Shift {
    double a = 0, b = 0;
    double more = 0;    // share of either residual added
    double aFromB = 0;  // share of b* added to a*
};

/// D50 shows (2, -3) at the mid tones of a sheet without tint; across mends b*, up mends a*, a unit by 0.1.
Trial printed(const Setting& setting, int number, const std::vector<Shift>& lights) {
    Random random(static_cast<std::uint64_t>(number) * 17 + 3);
    Trial trial{.number = number, .setting = setting, .tones = {}};
    trial.under.resize(lights.size());
    for (int i = 0; i <= 20; ++i) {
        const double tone = i / 20.0;
        const double noise = i == 0 ? 0 : 0.03;
        const colour::Lab lab{95 - 80 * tone, weight(tone) * (2 + 0.1 * setting[1]) + noise * random.normal(),
                              weight(tone) * (-3 + 0.1 * setting[0]) + noise * random.normal()};
        trial.tones.push_back({100 * tone, lab});
        for (std::size_t l = 0; l < lights.size(); ++l) {
            const Shift& shift = lights[l];
            trial.under[l].push_back(
                {100 * tone,
                 {lab.L, lab.a * (1 + shift.more) + lab.b * shift.aFromB + weight(tone) * shift.a,
                  lab.b * (1 + shift.more) + weight(tone) * shift.b}});
        }
    }
    return trial;
}

History printedUnder(std::vector<LightGoal> goals, const std::vector<Shift>& lights,
                     const std::vector<Setting>& settings = kSpread) {
    History history{kTwoAxes, {}, std::move(goals)};
    int number = 0;
    for (const Setting& setting : settings) history.trials.push_back(printed(setting, ++number, lights));
    return history;
}

void expectSame(const Prediction& one, const Prediction& other) {
    EXPECT_EQ(one.setting, other.setting);
    EXPECT_DOUBLE_EQ(one.worstDeltaE00, other.worstDeltaE00);
    EXPECT_DOUBLE_EQ(one.worstDeltaE00High, other.worstDeltaE00High);
    EXPECT_EQ(one.worstTonePercent, other.worstTonePercent);
}

TEST(Lights, D50AsALightIsD50) {
    const History plain = printedUnder({}, {});
    const Summary without = steer(plain);
    const Summary with = steer(printedUnder({{"D50", 3}}, {{}}));
    EXPECT_EQ(with.status, without.status);
    expectSame(with.predicted, without.predicted);
    expectSame(with.bestAttainable, without.bestAttainable);
    EXPECT_TRUE(without.predicted.worstLight.empty());
    EXPECT_TRUE(without.lights.empty());
    EXPECT_EQ(with.predicted.worstLight, "D50");
    ASSERT_EQ(with.lights.size(), 1U);
    EXPECT_EQ(with.lights[0].bestAlone, with.bestAttainable.setting);
    EXPECT_DOUBLE_EQ(with.lights[0].worstDeltaE00, with.predicted.worstDeltaE00);
    EXPECT_FALSE(with.lightsDisagree);
    EXPECT_TRUE(with.disagreement.empty());
}

TEST(Lights, AShiftedLightIsAnsweredByAShiftedSetting) {
    // Under D50 (30, -20) mends the sheet. A light that shows 1.5 more a* and 1 less b* asks for 15 less up
    // and 10 more across.
    const Summary plain = steer(printedUnder({}, {}));
    EXPECT_NEAR(plain.bestAttainable.setting[0], 30, 2);
    EXPECT_NEAR(plain.bestAttainable.setting[1], -20, 2);
    const Summary warm = steer(printedUnder({{"warm", 1}}, {{1.5, -1}}));
    EXPECT_NEAR(warm.bestAttainable.setting[0], 40, 2);
    EXPECT_NEAR(warm.bestAttainable.setting[1], -35, 2);
    EXPECT_LT(warm.bestAttainable.worstDeltaE00, 0.5);
    // What D50 shows there is told as before: the ramp is off by what the light adds.
    const TonePrediction& middle = warm.ramp[warm.ramp.size() / 2];
    const double up = warm.predicted.setting[1];
    EXPECT_NEAR(middle.a, weight(middle.tonePercent / 100) * (2 + 0.1 * up), 0.2);
}

TEST(Lights, ALightThatShowsMoreOfSomeTintsIsLearned) {
    // In b* 1.25 times what D50 shows, and 2 more: neutral where D50 shows -1.6, at 14 across. In a* 1.25
    // times and 0.375 of b*: neutral where D50 shows 0.48, at -15 up.
    const Shift lamp{0, 2, 0.25, 0.375};
    const Summary summary = steer(printedUnder({{"lamp", 1}}, {lamp}));
    EXPECT_NEAR(summary.bestAttainable.setting[0], 14, 1.5);
    EXPECT_NEAR(summary.bestAttainable.setting[1], -15.2, 1.5);
}

TEST(Lights, OneSheetTellsLittleOfALightFarFromItsOwnTint) {
    // The driver is known, so what is left to doubt at the best setting is how the light shows other tints
    // than that of the one sheet; a sheet there takes the doubt away.
    const DriverKnowledge driver = learn({printedUnder({}, {})});
    const auto width = [&](const std::vector<LightGoal>& goals, const std::vector<Setting>& settings) {
        const std::vector<Shift> lights(goals.size(), Shift{0.05, 0});
        const Prediction best = steer(printedUnder(goals, lights, settings), &driver).bestAttainable;
        return best.worstDeltaE00High - best.worstDeltaE00Low;
    };
    EXPECT_GT(width({{"lamp", 1}}, {{0, 0}}), 1.1 * width({}, {{0, 0}}));
    EXPECT_NEAR(width({{"lamp", 1}}, {{0, 0}, {30, -20}}), width({}, {{0, 0}, {30, -20}}), 0.1);
}

TEST(Lights, ALightsOwnPaperIsItsAim) {
    // A paper that glows under the lamp: its tint there, fading towards black, is no fault of the greys.
    History history = printedUnder({{"lamp", 1}}, {{}});
    for (Trial& trial : history.trials) {
        for (ToneColour& tone : trial.under[0]) {
            const double fade = 1 - 0.85 * tone.tonePercent / 100;
            tone.lab.a += 1.5 * fade;
            tone.lab.b -= 4 * fade;
        }
    }
    const Summary summary = steer(history);
    EXPECT_NEAR(summary.bestAttainable.setting[0], 30, 2);
    EXPECT_NEAR(summary.bestAttainable.setting[1], -20, 2);
    EXPECT_LT(summary.bestAttainable.worstDeltaE00, 0.5);
}

TEST(Lights, OppositeLightsSettleInTheMiddleAndAreToldApart) {
    const History far = printedUnder({{"office", 1}, {"living-room", 1}}, {{1.5, 0}, {-1.5, 0}});
    const Summary summary = steer(far);
    EXPECT_NEAR(summary.bestAttainable.setting[0], 30, 3);
    EXPECT_NEAR(summary.bestAttainable.setting[1], -20, 2);
    ASSERT_EQ(summary.lights.size(), 2U);
    EXPECT_NEAR(summary.lights[0].bestAlone[1], -35, 2);
    EXPECT_NEAR(summary.lights[1].bestAlone[1], -5, 2);
    EXPECT_LT(summary.lights[0].bestAloneDeltaE00, 0.5);
    EXPECT_TRUE(summary.lightsDisagree);
    // Of the two, what suits one leaves twice the shift under the other, one way or the other.
    EXPECT_TRUE(summary.disagreement.find("What suits office leaves") != std::string::npos
                    ? summary.disagreement.find("green under living-room") != std::string::npos
                    : summary.disagreement.find("What suits living-room leaves") != std::string::npos &&
                          summary.disagreement.find("red under office") != std::string::npos)
        << summary.disagreement;
}

TEST(Lights, SmallDifferencesAreNoDisagreement) {
    const Summary near = steer(printedUnder({{"office", 1}, {"living-room", 1}}, {{0.2, 0}, {-0.2, 0}}));
    EXPECT_NEAR(near.bestAttainable.setting[1], -20, 2);
    EXPECT_FALSE(near.lightsDisagree);
    EXPECT_TRUE(near.disagreement.empty());
}

TEST(Lights, WhatNoLightAllowsIsOutOfReachForTheLights) {
    const Summary summary = steer(printedUnder({{"office", 1}, {"living-room", 1}}, {{3, 0}, {-3, 0}}));
    ASSERT_EQ(summary.status, Status::outOfReach) << summary.reason;
    EXPECT_EQ(summary.limit, Limit::lights);
    EXPECT_TRUE(summary.lightsDisagree);
    EXPECT_NE(summary.reason.find(summary.disagreement), std::string::npos);
    EXPECT_NEAR(summary.predicted.setting[1], -20, 2);
}

TEST(Lights, ARangeThatIsTooShortIsNotTheLightsFault) {
    // Both lights show 6 more a* than the control can take away.
    const Summary summary = steer(printedUnder({{"office", 1}, {"living-room", 1}}, {{6, 0}, {6.2, 0}}));
    ASSERT_EQ(summary.status, Status::outOfReach) << summary.reason;
    EXPECT_EQ(summary.limit, Limit::range);
    EXPECT_EQ(summary.predicted.setting[1], -50);
    EXPECT_FALSE(summary.lightsDisagree);
    EXPECT_NE(summary.reason.find("under living-room"), std::string::npos) << summary.reason;
}

TEST(Lights, WeightMovesTheSettingTowardsTheHeavier) {
    const std::vector<Shift> shifts{{1.5, 0}, {-1.5, 0}};
    const Summary even = steer(printedUnder({{"one", 2}, {"other", 2}}, shifts));
    const Summary heavy = steer(printedUnder({{"one", 4}, {"other", 2}}, shifts));
    // Half the weight, twice the tint: of 30 units between the two, 10 from the heavier.
    EXPECT_NEAR(even.bestAttainable.setting[1], -20, 2);
    EXPECT_NEAR(heavy.bestAttainable.setting[1], -25, 2);
    // At the best of those two, one light shows half of what the other does, as the weights ask for.
    const Summary printedThere =
        steer(printedUnder({{"one", 4}, {"other", 2}}, shifts,
                           {{0, 0}, {15, 0}, {0, 15}, {-15, -10}, {30, -25}, {30, -25}, {30, -25}}));
    EXPECT_NEAR(printedThere.predicted.setting[1], -25, 1.5);
    EXPECT_NEAR(printedThere.lights[1].worstDeltaE00, 2 * printedThere.lights[0].worstDeltaE00, 0.5);
    EXPECT_NEAR(printedThere.predicted.worstDeltaE00, printedThere.lights[0].worstDeltaE00, 0.25);
}

TEST(Lights, SheetsWithoutSpectraTeachTheControlAllTheSame) {
    const std::vector<Shift> shifts{{1.5, -1}, {}};
    History mixed = printedUnder({{"warm", 1}, {"D50", 0.01}}, shifts);
    // Two instruments: one sheet has nothing at all, others have D50 only, or blocks that the spectra lack.
    mixed.trials[1].under.clear();
    mixed.trials[3].under[0].clear();
    mixed.trials[4].under[0].clear();
    std::erase_if(mixed.trials[0].tones,
                  [](const ToneColour& tone) { return std::fmod(tone.tonePercent, 25) > 0; });
    for (auto& tones : mixed.trials[0].under) {
        std::erase_if(tones, [](const ToneColour& tone) { return std::fmod(tone.tonePercent, 25) > 0; });
    }
    const Summary summary = steer(mixed);
    EXPECT_NEAR(summary.bestAttainable.setting[0], 40, 2);
    EXPECT_NEAR(summary.bestAttainable.setting[1], -35, 2);
    // A ramp without spectra and three blocks with them: what lies between the blocks is interpolated.
    for (std::size_t i = 1; i < mixed.trials.size(); ++i) mixed.trials[i].under = {{}, {}};
    const Summary blocks = steer(mixed);
    EXPECT_EQ(blocks.ramp.size(), 20U);
    EXPECT_NEAR(blocks.bestAttainable.setting[0], 40, 6);
    EXPECT_NEAR(blocks.bestAttainable.setting[1], -35, 6);
}

TEST(Lights, RefusesHistoriesThatBreakTheirPromise) {
    History none = printedUnder({{"office", 1}}, {{}});
    for (Trial& trial : none.trials) trial.under.clear();
    EXPECT_THROW((void)steer(none), ContractViolation);
    History fewer = printedUnder({{"office", 1}, {"living-room", 1}}, {{}});
    EXPECT_THROW((void)steer(fewer), ContractViolation);
    History weightless = printedUnder({{"office", 0}}, {{}});
    EXPECT_THROW((void)steer(weightless), ContractViolation);
}

TEST(Lights, OrderChangesNothing) {
    const Shift one{1.5, 0.4, 0.1, 0.1};
    const Shift other{-1.2, 0, -0.1, 0};
    const Summary forwards = steer(printedUnder({{"one", 1}, {"other", 2}}, {one, other}));
    const Summary swapped = steer(printedUnder({{"other", 2}, {"one", 1}}, {other, one}));
    EXPECT_EQ(forwards.status, swapped.status);
    expectSame(forwards.predicted, swapped.predicted);
    EXPECT_EQ(forwards.predicted.worstLight, swapped.predicted.worstLight);
    EXPECT_EQ(forwards.disagreement, swapped.disagreement);
    EXPECT_DOUBLE_EQ(forwards.lights[0].worstDeltaE00, swapped.lights[1].worstDeltaE00);

    History turned = printedUnder({{"one", 1}, {"other", 2}}, {one, other});
    std::ranges::reverse(turned.trials);
    const Summary backwards = steer(turned);
    EXPECT_EQ(forwards.status, backwards.status);
    EXPECT_NEAR(forwards.bestAttainable.worstDeltaE00, backwards.bestAttainable.worstDeltaE00, 0.1);
    for (std::size_t j = 0; j < 2; ++j) {
        EXPECT_NEAR(forwards.bestAttainable.setting[j], backwards.bestAttainable.setting[j], 2);
    }
}

TEST(Lights, TheMapIsLowestWhereTheLightsMeet) {
    const History history = printedUnder({{"office", 1}, {"living-room", 1}}, {{2, 0}, {0, 0}});
    const SettingMap map = Outlook(history).map({0, 0}, 21);
    const auto least = std::ranges::min_element(map.worst) - map.worst.begin();
    const auto columns = static_cast<std::ptrdiff_t>(map.across.size());
    EXPECT_EQ(map.across[static_cast<std::size_t>(least % columns)], 30);
    EXPECT_EQ(map.up[static_cast<std::size_t>(least / columns)], -30);
}

TEST(Lights, TheBestSettingOfThePaperIsThatUnderItsLights) {
    const History history = printedUnder({{"warm", 1}}, {{1.5, -1}});
    EXPECT_EQ(learn({history}).bestSetting, steer(history).bestAttainable.setting);
}

// ---- spectra of simulated printers ----

class Bench {
  public:
    Bench(simulate::Family family, std::uint64_t seed, const std::vector<std::string>& lights)
        : printer_(simulate::printerFromRecipe(simulate::randomRecipe(family, seed))), random_(seed) {
        for (int i = 0; i <= 20; ++i) tones_.push_back(i / 20.0);
        for (const std::string& light : lights) {
            meters_.emplace_back(colour::observer(colour::ObserverName::cie1931),
                                 colour::lightByName(light).value(), simulate::kInstrumentGrid);
        }
    }

    Trial print(const Setting& setting, int number) {
        Trial trial{.number = number, .setting = setting, .tones = {}};
        trial.under.resize(meters_.size());
        const std::vector<double> deflection = SettingGrid(kTwoAxes).deflection(setting);
        for (const measure::Patch& patch : printer_->print(tones_, deflection, random_).patches) {
            trial.tones.push_back({*patch.tonePercent, *patch.lab});
            for (std::size_t l = 0; l < meters_.size(); ++l) {
                trial.under[l].push_back(
                    {*patch.tonePercent, meters_[l].labFromReflectance(patch.reflectance)});
            }
        }
        return trial;
    }

    /// The noise-free worst tint under a light.
    [[nodiscard]] double worst(const Setting& setting, std::size_t light) const {
        const std::vector<double> deflection = SettingGrid(kTwoAxes).deflection(setting);
        std::vector<colour::Lab> labs;
        for (const double tone : tones_) {
            labs.push_back(meters_[light].labFromReflectance(printer_->reflectance(tone, deflection)));
        }
        const colour::TintAim aim{.paper = labs.front(), .blackL = labs.back().L};
        double worst = 0;
        for (std::size_t i = 1; i < labs.size(); ++i) {
            const colour::Tint wanted = aim.at(labs[i].L);
            worst = std::max(worst, colour::deltaE2000(labs[i], {labs[i].L, wanted.a, wanted.b}));
        }
        return worst;
    }

    /// A search to its end. Empty goals: for D50.
    std::pair<Summary, History> search(const std::vector<LightGoal>& goals) {
        History history{kTwoAxes, {}, goals};
        Summary summary = steer(history);
        while (summary.status == Status::print && history.trials.size() < 7) {
            history.trials.push_back(
                print(summary.predicted.setting, static_cast<int>(history.trials.size()) + 1));
            summary = steer(history);
        }
        return {summary, history};
    }

  private:
    std::unique_ptr<simulate::Printer> printer_;
    Random random_;
    std::vector<double> tones_;
    std::vector<colour::Colorimeter> meters_;
};

TEST(Lights, APrintSteeredForTungstenIsBetterThere) {
    double aimedAtIt = 0;
    double aimedAtD50 = 0;
    double predicted = 0;
    constexpr int kPrinters = 12;
    for (std::uint64_t seed = 400; seed < 400 + kPrinters; ++seed) {
        Bench bench(simulate::Family::dye, seed, {"A"});
        const auto [underA, trials] = bench.search({{"A", 1}});
        const auto [underD50, plainTrials] = Bench(simulate::Family::dye, seed, {"A"}).search({});
        aimedAtIt += bench.worst(underA.predicted.setting, 0) / kPrinters;
        aimedAtD50 += bench.worst(underD50.predicted.setting, 0) / kPrinters;
        predicted += underA.predicted.worstDeltaE00 / kPrinters;
    }
    EXPECT_LT(aimedAtIt, aimedAtD50 - 0.2);
    EXPECT_NEAR(predicted, aimedAtIt, 0.15);
}

}  // namespace
}  // namespace greywright::steer

#include <algorithm>
#include <cmath>
#include <functional>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "core/random.h"
#include "steer/evidence.h"
#include "steer/steer.h"

namespace greywright::steer {
namespace {

using measure::Uncertainty;
using ::testing::HasSubstr;

const std::vector<TintAxis> kTwoAxes{{"across", -50, 50, 1}, {"up", -50, 50, 1}};

/// How a printer is off at zero, mid-tones; its control turns and mirrors.
colour::Tint tintAt(double tone, const Setting& setting, const colour::Tint& atZero) {
    const double weight = 4 * tone * (1 - tone);
    return {weight * (atZero.a - 0.03 * setting[0] + 0.10 * setting[1]),
            weight * (atZero.b + 0.08 * setting[0] - 0.03 * setting[1])};
}

/// The worst CIEDE2000 to neutral, near neutral: a* counts 1.5 times.
double worstOf(const Setting& setting, const colour::Tint& atZero) {
    double worst = 0;
    for (int i = 1; i <= 20; ++i) {
        const colour::Tint at = tintAt(i / 20.0, setting, atZero);
        worst = std::max(worst, std::hypot(1.5 * at.a, at.b));
    }
    return worst;
}

/// What is read of a sheet by a device that is off by `error` in all of it.
Trial read(const Setting& setting, int number, const colour::Tint& atZero, const colour::Tint& error,
           std::optional<Uncertainty> uncertainty, std::uint64_t seed = 3) {
    Random random(static_cast<std::uint64_t>(number) * 17 + seed);
    Trial trial{.number = number, .setting = setting, .tones = {}, .uncertainty = uncertainty};
    const double own = uncertainty ? std::hypot(0.03, uncertainty->own) : 0.03;
    for (int i = 0; i <= 20; ++i) {
        const double tone = i / 20.0;
        const colour::Tint at = i == 0 ? colour::Tint{} : tintAt(tone, setting, atZero);
        const double share = i == 0 ? 0 : 1;  // the paper is held, as the aim is
        trial.tones.push_back({100 * tone,
                               {95 - 80 * tone, at.a + share * (error.a + own * random.normal()),
                                at.b + share * (error.b + own * random.normal())}});
    }
    return trial;
}

struct Searched {
    History history;
    Summary summary;
};

Searched searched(const colour::Tint& atZero, const colour::Tint& error,
                  std::optional<Uncertainty> uncertainty, std::uint64_t seed = 3) {
    Searched out{{kTwoAxes, {}}, steer({kTwoAxes, {}})};
    while (out.summary.status == Status::print && !out.summary.cannotTell && out.history.trials.size() < 8) {
        const int number = static_cast<int>(out.history.trials.size()) + 1;
        out.history.trials.push_back(
            read(out.summary.predicted.setting, number, atZero, error, uncertainty, seed));
        out.summary = steer(out.history);
    }
    return out;
}

constexpr colour::Tint kOff{2, -3};

TEST(UncertainSteer, NoUncertaintyIsAnInstrument) {
    const Searched plain = searched(kOff, {}, std::nullopt);
    History zero = plain.history;
    for (Trial& trial : zero.trials) trial.uncertainty = Uncertainty{};
    const Summary summary = steer(zero);
    EXPECT_EQ(summary.status, plain.summary.status);
    EXPECT_EQ(summary.reason, plain.summary.reason);
    EXPECT_EQ(summary.predicted.setting, plain.summary.predicted.setting);
    EXPECT_EQ(summary.predicted.worstDeltaE00, plain.summary.predicted.worstDeltaE00);
    EXPECT_EQ(summary.predicted.worstDeltaE00High, plain.summary.predicted.worstDeltaE00High);
    EXPECT_EQ(summary.chanceNearBest, plain.summary.chanceNearBest);
    EXPECT_FALSE(summary.cannotTell);
}

TEST(UncertainSteer, ALargeSharedErrorEndsInCannotTell) {
    const Searched found = searched(kOff, {0.7, -0.4}, Uncertainty{.shared = 1, .own = 0.1});
    ASSERT_TRUE(found.summary.cannotTell) << found.summary.reason;
    EXPECT_EQ(found.summary.status, Status::print);
    EXPECT_EQ(found.summary.confirmedBy, 0);
    EXPECT_LE(found.history.trials.size(), 6U);
    EXPECT_GT(found.summary.predicted.worstDeltaE00High, 2.0);
    EXPECT_THAT(found.summary.reason, HasSubstr("instrument"));
    // It led to where the device reads neutral: off by the error, and the interval knows.
    const double left = worstOf(found.summary.predicted.setting, kOff);
    EXPECT_GT(left, 0.5);
    EXPECT_LE(left, found.summary.predicted.worstDeltaE00High);
}

TEST(UncertainSteer, ASmallSharedErrorSettlesAndSaysHowFar) {
    const Searched found = searched(kOff, {0.1, -0.1}, Uncertainty{.shared = 0.2, .own = 0.05});
    ASSERT_EQ(found.summary.status, Status::settled) << found.summary.reason;
    EXPECT_FALSE(found.summary.cannotTell);
    EXPECT_THAT(found.summary.reason, HasSubstr("as far as readings like these can tell"));
    EXPECT_LT(found.summary.predicted.worstDeltaE00High, 2.0);
    EXPECT_LT(worstOf(found.summary.predicted.setting, kOff), found.summary.predicted.worstDeltaE00High);
}

TEST(UncertainSteer, WidensWithTheUncertainty) {
    const Searched plain = searched(kOff, {}, std::nullopt);
    double width = 0;
    for (const double shared : {0.1, 0.4, 1.6}) {
        History history = plain.history;
        for (Trial& trial : history.trials) trial.uncertainty = Uncertainty{.shared = shared, .own = 0};
        const Summary summary = steer(history);
        const double here = summary.predicted.worstDeltaE00High - summary.predicted.worstDeltaE00Low;
        EXPECT_GT(here, width);
        width = here;
    }
    // What the control does is the difference of sheets, where a shared error drops out.
    History history = plain.history;
    for (Trial& trial : history.trials) trial.uncertainty = Uncertainty{.shared = 1.6, .own = 0};
    EXPECT_NEAR(steer(history).control[0].b, plain.summary.control[0].b, 0.01);
}

TEST(UncertainSteer, OwnErrorsWidenWhatIsKnownOfTheControl) {
    History history{kTwoAxes, {}};
    int number = 0;
    for (const Setting& setting : std::vector<Setting>{{0, 0}, {20, 0}, {0, 20}, {-20, -20}}) {
        history.trials.push_back(read(setting, ++number, kOff, {}, std::nullopt));
    }
    const Summary sure = steer(history);
    for (Trial& trial : history.trials) trial.uncertainty = Uncertainty{.shared = 0, .own = 0.8};
    const Summary unsure = steer(history);
    EXPECT_GT(unsure.control[0].standardErrorB, 1.5 * sure.control[0].standardErrorB);
    EXPECT_LT(unsure.patchNoise, 0.1) << "what the readings state is not the print's";
    EXPECT_FALSE(unsure.cannotTell) << "more sheets do help against errors of single patches";
}

TEST(UncertainSteer, AnInstrumentOnOneSheetTellsTheRest) {
    const Uncertainty uncertainty{.shared = 1, .own = 0.1};
    Searched found = searched(kOff, {0.9, -0.6}, uncertainty);
    ASSERT_TRUE(found.summary.cannotTell);
    const double before =
        found.summary.predicted.worstDeltaE00High - found.summary.predicted.worstDeltaE00Low;
    History history = found.history;
    history.trials.push_back(read(history.trials.back().setting, static_cast<int>(history.trials.size()) + 1,
                                  kOff, {}, std::nullopt));
    const Summary told = steer(history);
    EXPECT_FALSE(told.cannotTell) << told.reason;
    EXPECT_LT(told.predicted.worstDeltaE00High - told.predicted.worstDeltaE00Low, 0.5 * before);
    EXPECT_LT(worstOf(told.bestAttainable.setting, kOff), 0.5)
        << "the error is known now, so the setting answers the truth";
}

TEST(UncertainSteer, NothingIsOutOfReachThatMightNotBe) {
    // One axis that moves a* only; b* is off by 2.3 by the device, which may be all the device's error.
    const auto sheets = [](double offB, double shared) {
        History history{{{"across", -50, 50, 1}}, {}};
        for (int i = 0; i < 5; ++i) {
            const double across = -20.0 + 10 * i;
            Random random(static_cast<std::uint64_t>(i) + 40);
            Trial trial{.number = i + 1, .setting = {across}, .tones = {}};
            for (int k = 0; k <= 20; ++k) {
                const double tone = k / 20.0;
                const double weight = 4 * tone * (1 - tone);
                trial.tones.push_back({100 * tone,
                                       {95 - 80 * tone, weight * 0.1 * across + 0.03 * random.normal(),
                                        weight * offB + 0.03 * random.normal()}});
            }
            if (shared > 0) trial.uncertainty = Uncertainty{.shared = shared, .own = 0.02};
            history.trials.push_back(std::move(trial));
        }
        return history;
    };
    EXPECT_EQ(steer(sheets(2.8, 0)).status, Status::outOfReach);
    const Summary open = steer(sheets(2.8, 1));
    EXPECT_TRUE(open.cannotTell) << open.reason;
    EXPECT_EQ(open.status, Status::print);
    EXPECT_EQ(open.limit, Limit::none);
    EXPECT_EQ(steer(sheets(9, 0.5)).status, Status::outOfReach) << "so much is no error of the device";
}

TEST(UncertainSteer, IntervalsHoldTheTruth) {
    // Printers and device errors drawn at random: of 24 searches a true 90 % would hold 22 give or take
    // 1.5; two such below.
    Random random(8);
    int held = 0;
    constexpr int kSearches = 24;
    for (int k = 0; k < kSearches; ++k) {
        const double shared = random.uniform(0.2, 1.2);
        const colour::Tint atZero{2.5 * random.normal(), 2.5 * random.normal()};
        const Searched found =
            searched(atZero, {shared * random.normal(), shared * random.normal()},
                     Uncertainty{.shared = shared, .own = 0.15}, static_cast<std::uint64_t>(k) * 1000);
        const double left = worstOf(found.summary.predicted.setting, atZero);
        const Prediction& said = found.summary.predicted;
        held += left >= said.worstDeltaE00Low && left <= said.worstDeltaE00High ? 1 : 0;
        // Nothing plain may be called settled; by the upper end of a 90 % interval one in twenty might be.
        if (found.summary.status == Status::settled) {
            EXPECT_LE(said.worstDeltaE00High, 2.0);
        }
    }
    EXPECT_GE(held, 19);
    RecordProperty("held", held);
}

TEST(UncertainEvidence, ThePaperIsAnInstrumentsWhereThereIsOne) {
    History history{kTwoAxes,
                    {read({0, 0}, 1, kOff, {}, std::nullopt),
                     read({10, 0}, 2, kOff, {}, Uncertainty{.shared = 1, .own = 0.1})}};
    history.trials[1].tones.front().lab.b = 4;
    EXPECT_EQ(evidenceFromHistory(history, colour::TintAimKind::fade).aimCurve.paper.b, 0);
    history.trials[0].uncertainty = Uncertainty{.shared = 1, .own = 0.1};
    EXPECT_EQ(evidenceFromHistory(history, colour::TintAimKind::fade).aimCurve.paper.b, 2);
}

}  // namespace
}  // namespace greywright::steer

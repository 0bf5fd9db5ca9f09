#include "correct/tone.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <iostream>

#include <gtest/gtest.h>

#include "colour/difference.h"
#include "core/random.h"
#include "judge/thresholds.h"
#include "testing/near.h"

namespace greywright::correct {
namespace {

measure::Ramp rampOf(int count, const std::function<double(double)>& lightness, double noise = 0,
                     std::uint64_t seed = 1) {
    Random random(seed);
    measure::Ramp ramp;
    for (int i = 0; i < count; ++i) {
        const double tone = static_cast<double>(i) / (count - 1);
        ramp.patches.push_back({100 * tone, {lightness(tone) + noise * random.normal(), 0, 0}});
    }
    return ramp;
}

double bowed(double tone) {
    return 96 - 80 * std::pow(tone, 1.6);
}

std::string codeOf(const Result<CurveFit>& fit) {
    return fit ? "made" : fit.error().code;
}

TEST(CorrectTone, ALightRampIsSentDarkerAndComesOutEven) {
    const auto fit = curveOf(rampOf(51, bowed));
    ASSERT_TRUE(testing::succeeded(fit));
    // By hand: 96 - 80 s^1.6 = 96 - 80 t, so s = t^(1/1.6); 0.5 is sent as 0.6484.
    EXPECT_NEAR(fit->curve.at(50), 64.84, 0.05);
    EXPECT_GT(fit->worst.L, 0) << "too light before";
    for (int tone = 0; tone <= 100; ++tone)
        EXPECT_NEAR(bowed(fit->curve.at(tone) / 100), 96 - 0.8 * tone, 0.15) << tone;
}

TEST(CorrectTone, GammaMeetsLuminance) {
    const auto fit = curveOf(rampOf(51, bowed), ToneAim::gamma(2.2));
    ASSERT_TRUE(testing::succeeded(fit));
    // ISO/CIE 11664-4: L* 96 is Y 0.9001, L* 16 is Y 0.0208; half way 0.0208 + 0.8793 / 2^2.2 = 0.2121,
    // which is L* 53.18 (by hand).
    EXPECT_NEAR(bowed(fit->curve.at(50) / 100), 53.18, 0.1);
    EXPECT_NEAR(ToneAim::gamma(2.2).lightnessAt(0, 96, 16), 96, 1e-9);
    EXPECT_NEAR(ToneAim::gamma(2.2).lightnessAt(100, 96, 16), 16, 1e-9);
}

TEST(CorrectTone, AnotherConditionIsMatchedAtEqualRelativeLightness) {
    const auto other = [](double tone) { return 92 - 70 * std::pow(tone, 0.8); };
    const auto aim = ToneAim::matching(rampOf(51, other));
    ASSERT_TRUE(testing::succeeded(aim));
    const auto fit = curveOf(rampOf(51, bowed), *aim);
    ASSERT_TRUE(testing::succeeded(fit));
    for (int tone = 10; tone <= 90; tone += 10) {
        EXPECT_NEAR((bowed(fit->curve.at(tone) / 100) - 16) / 80, (other(tone / 100.0) - 22) / 70, 0.003)
            << tone;
    }
    EXPECT_EQ(ToneAim::matching(rampOf(5, other)).error().code, "too-few-tones");
}

TEST(CorrectTone, WhatIsEvenAlreadyIsLeftUnlessForced) {
    const auto straight = [](double tone) { return 95 - 78 * tone; };
    const auto refused = curveOf(rampOf(21, straight, 0.12));
    EXPECT_EQ(codeOf(refused), "already-even");
    EXPECT_EQ(refused.error().kind, ErrorKind::wrongUse);
    const auto forced = curveOf(rampOf(21, straight, 0.12), ToneAim::even(), {.force = true});
    ASSERT_TRUE(testing::succeeded(forced));
    // What repeatability cannot tell from straight stays straight.
    for (int tone = 0; tone <= 100; ++tone) EXPECT_NEAR(forced->curve.at(tone), tone, 0.35) << tone;
    // A step that only the neighbours show: half as deep as what is seen broadly.
    const auto stepped = [&](double tone) { return straight(tone) + 3 * std::tanh((tone - 0.5) / 0.02); };
    EXPECT_NE(codeOf(curveOf(rampOf(101, stepped, 0.05))), "already-even");
}

TEST(CorrectTone, DrawsTheLinesThatJudgingDraws) {
    EXPECT_EQ(kSeenBroadly, judge::kBroadDeparture);
    EXPECT_EQ(kSeenLocally, judge::kLocalDeparture);
    EXPECT_EQ(kWidestGapPercent, judge::kWidestGapPercent);
}

TEST(CorrectTone, RefusesWhatNoCurveCanBeMadeFrom) {
    EXPECT_EQ(codeOf(curveOf(rampOf(4, bowed))), "too-few-tones");
    EXPECT_EQ(codeOf(curveOf({})), "too-few-tones");
    auto ramp = rampOf(21, bowed);
    ramp.patches.erase(ramp.patches.begin());
    EXPECT_EQ(codeOf(curveOf(ramp)), "no-paper");
    ramp = rampOf(21, bowed);
    ramp.patches.pop_back();
    EXPECT_EQ(codeOf(curveOf(ramp)), "no-black");
    ramp = rampOf(21, bowed);
    ramp.patches.erase(ramp.patches.begin() + 8, ramp.patches.begin() + 11);
    EXPECT_EQ(codeOf(curveOf(ramp)), "tones-too-far-apart");
    EXPECT_EQ(codeOf(curveOf(rampOf(21, [](double tone) { return 96 - 10 * tone; }))), "no-range");
    ramp = rampOf(21, bowed);
    std::swap(ramp.patches[10].lab, ramp.patches[12].lab);
    const auto fit = curveOf(ramp);
    EXPECT_EQ(codeOf(fit), "not-monotone");
    EXPECT_EQ(fit.error().where.field, "tone");
}

TEST(CorrectTone, SmoothingTakesOutNoiseAndNothingElse) {
    const auto smooth = smoothed(rampOf(51, bowed, 0.15, 5));
    ASSERT_TRUE(testing::succeeded(smooth));
    ASSERT_EQ(smooth->patches.size(), 101U);
    double squares = 0;
    for (std::size_t i = 0; i <= 100; ++i) {
        EXPECT_EQ(smooth->patches[i].tonePercent, double(i));
        const double off = smooth->patches[i].lab.L - bowed(double(i) / 100);
        squares += off * off;
        if (i == 0) continue;
        EXPECT_LT(smooth->patches[i].lab.L, smooth->patches[i - 1].lab.L);
    }
    EXPECT_LT(std::sqrt(squares / 101), 0.10) << "less than the readings' own 0.15";
    EXPECT_EQ(smoothed(rampOf(5, bowed)).error().code, "too-few-tones");
}

TEST(CorrectTone, ARiseWithinNoiseIsNoReversal) {
    auto ramp = rampOf(51, bowed);
    ramp.patches[1].lab.L = ramp.patches[0].lab.L + 0.2;
    EXPECT_EQ(codeOf(curveOf(ramp)), "made");
}

TEST(CorrectTone, NoCurveOfTenThousandNoisyRampsTurnsBackOrClips) {
    std::size_t made = 0;
    for (std::uint64_t seed = 0; seed < 10000; ++seed) {
        Random random(seed);
        const double power = std::exp(random.uniform(-0.7, 0.7));
        const double late = random.uniform(0, 0.08), blocks = random.uniform(0, 0.08);
        const double paper = random.uniform(85, 98), black = random.uniform(3, 30);
        const double noise = std::exp(random.uniform(std::log(0.02), std::log(3.0)));
        const int count = 11 + static_cast<int>(random.uniform(0, 20));
        const auto ramp = rampOf(
            count,
            [&](double tone) {
                const double share = std::clamp((tone - late) / (1 - late - blocks), 0.0, 1.0);
                return paper + (black - paper) * std::pow(share, power);
            },
            noise, seed);
        const auto fit = curveOf(ramp, ToneAim::even(), {.repeatabilityL = noise, .force = true});
        if (!fit) {
            EXPECT_EQ(fit.error().code, "not-monotone");
            continue;
        }
        ++made;
        double last = 0;
        ASSERT_EQ(fit->curve.at(0), 0);
        ASSERT_EQ(fit->curve.at(100), 100);
        for (int i = 1; i <= 1000; ++i) {
            const double here = fit->curve.at(i / 10.0);
            ASSERT_GT(here, last) << seed << " at " << i / 10.0;
            last = here;
        }
    }
    std::cout << made << " curves of 10000 ramps, the rest refused as not monotone\n";
    EXPECT_GT(made, 9000U);
}

TEST(CorrectTone, TheBandHoldsTheTruthAboutAsOftenAsItSays) {
    std::size_t held = 0, asked = 0;
    for (std::uint64_t seed = 5000; seed < 5300; ++seed) {
        const auto fit = curveOf(rampOf(31, bowed, 0.15, seed), ToneAim::even(), {.force = true});
        ASSERT_TRUE(testing::succeeded(fit));
        for (const BandPoint& point : fit->band) {
            if (point.tonePercent < 5 || point.tonePercent > 95) continue;
            const double truth = 100 * std::pow(point.tonePercent / 100, 1 / 1.6);
            held += point.lowPercent <= truth && truth <= point.highPercent ? 1U : 0U;
            ++asked;
        }
    }
    const double share = static_cast<double>(held) / static_cast<double>(asked);
    std::cout << "the 90 % band held the truth in " << 100 * share << " %\n";
    EXPECT_NEAR(share, 0.9, 0.03);
}

}  // namespace
}  // namespace greywright::correct

#include "judge/tone.h"

#include <cmath>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "core/random.h"
#include "judge/judge.h"
#include "judge/sample.h"
#include "judge/thresholds.h"

namespace greywright::judge {
namespace {

using ::testing::HasSubstr;

Verdict judged(const measure::Ramp& ramp) {
    return judge(ramp).value();
}

TEST(JudgeTone, AStraightLineIsEven) {
    const ToneVerdict tone = judged(sample::straightRamp(21)).tone;
    EXPECT_TRUE(*tone.even);
    EXPECT_TRUE(*tone.monotone);
    EXPECT_NEAR(*tone.worstDepartureL, 0, 1e-9);
    // 5 % of 80 units of L*.
    EXPECT_NEAR(*tone.shadowSeparationL, 4, 1e-9);
    EXPECT_THAT(tone.words, HasSubstr("evenly"));
    EXPECT_THAT(tone.words, HasSubstr("The shadows are open."));
}

TEST(JudgeTone, TheFirstVisibleToneIsWhereTheJustPerceptibleDifferenceLies) {
    // CIEDE2000's S_L at L* 95.5 is 1 + 0.015 x^2 / sqrt(20 + x^2) with x = 45.5: 1.679 (by hand from
    // ISO/CIE 11664-6); 0.8 of it is 1.343 L*, and a percent of tone is 0.8 L*.
    const ToneVerdict fine = judged(sample::straightRamp(101)).tone;
    EXPECT_NEAR(*fine.firstVisibleTonePercent, 1.343 / 0.8, 0.005);
    // Interpolation must not depend on how many patches there are on a straight line.
    EXPECT_NEAR(*judged(sample::straightRamp(11)).tone.firstVisibleTonePercent, *fine.firstVisibleTonePercent,
                1e-6);
}

TEST(JudgeTone, ALateStartIsFound) {
    measure::Ramp ramp = sample::straightRamp(101);
    for (measure::RampPatch& patch : ramp.patches) {
        if (patch.tonePercent <= 6) patch.lab.L = 96;
    }
    EXPECT_GT(*judged(ramp).tone.firstVisibleTonePercent, 6);
    EXPECT_LT(*judged(ramp).tone.firstVisibleTonePercent, 7);
}

TEST(JudgeTone, AWobbleBelowRepeatabilityIsNoFault) {
    Random random(7);
    for (const int count : {11, 21, 51, 101}) {
        measure::Ramp ramp = sample::straightRamp(count);
        for (measure::RampPatch& patch : ramp.patches) patch.lab.L += 0.1 * random.normal();
        const Verdict verdict = judged(ramp);
        EXPECT_TRUE(*verdict.tone.even) << count;
        EXPECT_TRUE(*verdict.tone.monotone) << count;
        EXPECT_TRUE(verdict.isGood);
    }
}

TEST(JudgeTone, ABroadBowIsAFaultOnceItCanBeSeen) {
    const auto bowed = [](double depth) {
        measure::Ramp ramp = sample::straightRamp(21);
        for (measure::RampPatch& patch : ramp.patches) {
            const double t = patch.tonePercent / 100;
            patch.lab.L += 4 * depth * t * (1 - t);
        }
        return judged(ramp).tone;
    };
    EXPECT_TRUE(*bowed(1.5).even);
    for (const double depth : {6.0, -6.0}) {
        const ToneVerdict tone = bowed(depth);
        EXPECT_FALSE(*tone.even);
        EXPECT_NEAR(*tone.worstDepartureL, 6, 1e-9);
        EXPECT_NEAR(tone.worstDepartureTonePercent, 50, 1e-9);
        EXPECT_EQ(tone.worstDepartureIsLighter, depth > 0);
        EXPECT_THAT(tone.words, HasSubstr(depth > 0 ? "6.0 too light" : "6.0 too dark"));
    }
}

TEST(JudgeTone, TheSameDepartureIsSeenMostInTheMidTones) {
    // CIEDE2000 weighs lightness most at L* 50.
    const auto seen = [](std::size_t patch) {
        measure::Ramp ramp = sample::straightRamp(21);
        ramp.patches[patch].lab.L += 2;
        return judged(ramp).tone.worstDepartureSeen;
    };
    EXPECT_GT(seen(11), seen(2));
    EXPECT_GT(seen(11), seen(18));
}

TEST(JudgeTone, OneToneOutOfLineIsAStep) {
    measure::Ramp ramp = sample::straightRamp(21);
    ramp.patches[9].lab.L -= 1.6;
    const ToneVerdict tone = judged(ramp).tone;
    EXPECT_FALSE(*tone.even);
    EXPECT_NEAR(*tone.unevenAtTonePercent, 45, 1e-9);
    EXPECT_THAT(tone.words, HasSubstr("step at 45 %"));
}

TEST(JudgeTone, ARampThatRunsBackIsNotMonotone) {
    measure::Ramp ramp = sample::straightRamp(41);
    ramp.patches[39].lab.L = 17;
    ramp.patches[40].lab.L = 18;
    const ToneVerdict tone = judged(ramp).tone;
    EXPECT_FALSE(*tone.monotone);
    EXPECT_FALSE(*tone.even);
    EXPECT_LT(*tone.shadowSeparationL, 4);
    EXPECT_THAT(tone.words, HasSubstr("darker tone prints lighter"));
}

TEST(JudgeTone, AFlatEndMeansClosedShadows) {
    measure::Ramp ramp = sample::straightRamp(21);
    for (measure::RampPatch& patch : ramp.patches) patch.lab.L = std::max(patch.lab.L, 24.0);
    const Verdict verdict = judged(ramp);
    EXPECT_TRUE(*verdict.tone.monotone);
    EXPECT_NEAR(*verdict.tone.shadowSeparationL, 0, 1e-9);
    EXPECT_FALSE(*verdict.tone.even);
    EXPECT_THAT(verdict.tone.words, HasSubstr("run together"));
    EXPECT_FALSE(verdict.isGood);
}

TEST(JudgeTone, TooWideAGapAnswersNothingInIt) {
    const ToneVerdict tone = judged(sample::straightRamp(5)).tone;
    EXPECT_TRUE(*tone.even);
    EXPECT_FALSE(tone.firstVisibleTonePercent.has_value());
    EXPECT_FALSE(tone.shadowSeparationL.has_value());
}

TEST(JudgeTone, TheToneAimIsTheStraightLine) {
    measure::Ramp ramp = sample::straightRamp(11);
    ramp.patches[5].lab.L = 60;
    EXPECT_NEAR(judged(ramp).patches[5].aimL, 56, 1e-9);
}

}  // namespace
}  // namespace greywright::judge

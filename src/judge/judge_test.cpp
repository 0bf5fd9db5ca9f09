#include "judge/judge.h"

#include <cmath>
#include <numbers>
#include <string>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "colour/words.h"
#include "judge/sample.h"
#include "judge/thresholds.h"
#include "testing/near.h"

namespace greywright::judge {
namespace {

using colour::Lab;
using colour::Tint;
using colour::TintAimKind;
using ::testing::HasSubstr;
using ::testing::Not;

Verdict judged(const measure::Ramp& ramp, const Options& options = {}) {
    Result<Verdict> result = judge(ramp, options);
    EXPECT_TRUE(testing::succeeded(result));
    return std::move(result).value();
}

std::vector<Scene> scenes(std::initializer_list<const char*> names) {
    std::vector<Scene> out;
    for (const char* name : names) out.push_back(sceneOf(colour::lightByName(name).value()));
    return out;
}

bool hasNote(const Verdict& verdict, const std::string& code) {
    return std::ranges::any_of(verdict.notes, [&](const Note& note) { return note.code == code; });
}

// --- tint: reference numbers -----------------------------------------------------------------------------

TEST(JudgeTint, WorstIsThePublishedDifference) {
    struct Row {
        Lab lab;
        double deltaE00;
        TintLevel level;
        const char* direction;
    };
    // Source: Sharma, Wu and Dalal (2005), Color Res. Appl. 30, 21-30, table 1, pairs 7 and 8 (against a
    // neutral of L* 50).
    for (const Row& row : {Row{{50, -1, 2}, 2.3669, TintLevel::plain, "towards yellow-green"},
                           Row{{50, 1, -2}, 2.3669, TintLevel::plain, "towards"}}) {
        measure::Ramp ramp;
        ramp.patches = {{0, {96, 0, 0}, {}}, {50, row.lab, {}}, {100, {16, 0, 0}, {}}};
        const Verdict verdict = judged(ramp);
        EXPECT_NEAR(verdict.tint.worstDeltaE00, row.deltaE00, 5e-5);
        EXPECT_EQ(verdict.tint.level, row.level);
        EXPECT_EQ(verdict.tint.worstTonePercent, 50);
        EXPECT_THAT(verdict.tint.direction, HasSubstr(row.direction));
        // sqrt(1 + 4): the distance in the plane.
        EXPECT_NEAR(verdict.patches[1].deltaCh, std::sqrt(5.0), 1e-12);
        ASSERT_EQ(verdict.lights.size(), 1U);
        EXPECT_EQ(verdict.lights[0].name, "D50");
        EXPECT_EQ(verdict.lights[0].deltaE00, verdict.tint.worstDeltaE00);
    }
}

TEST(JudgeTint, TheFadedPaperIsTheAim) {
    // Paper b* = -6.5 leaves -0.975 in the black and half way 0.85/2 less: a ramp on the aim is free of tint,
    // the same ramp judged as neutral to the light is not.
    measure::Ramp ramp = sample::straightRamp(11);
    for (measure::RampPatch& patch : ramp.patches) patch.lab.b = -6.5 * (1 - 0.85 * patch.tonePercent / 100);
    const Verdict faded = judged(ramp);
    EXPECT_NEAR(faded.tint.worstDeltaE00, 0, 1e-9);
    EXPECT_NEAR(faded.patches.back().aim.b, -0.975, 1e-9);
    const Verdict light = judged(ramp, {.aim = TintAimKind::light});
    EXPECT_EQ(light.tint.level, TintLevel::plain);
    EXPECT_EQ(light.tint.direction, "towards blue");
    EXPECT_EQ(light.tint.worstTonePercent, 10);
    const Verdict paper = judged(ramp, {.aim = TintAimKind::paper});
    EXPECT_EQ(paper.tint.direction, "towards yellow");
    EXPECT_EQ(paper.tint.worstTonePercent, 100);
}

TEST(JudgeTint, PaleTonesBelowFivePercentDoNotCount) {
    measure::Ramp ramp = sample::straightRamp(101);
    ramp.patches[4].lab.a = 6;
    EXPECT_EQ(judged(ramp).tint.level, TintLevel::none);
    ramp.patches[5].lab.a = 6;
    EXPECT_EQ(judged(ramp).tint.worstTonePercent, 5);
}

TEST(JudgeTint, LevelsMeetAtTheirFigures) {
    EXPECT_EQ(levelFromDeltaE00(1.0), TintLevel::none);
    EXPECT_EQ(levelFromDeltaE00(1.0001), TintLevel::slight);
    EXPECT_EQ(levelFromDeltaE00(2.0), TintLevel::slight);
    EXPECT_EQ(levelFromDeltaE00(2.0001), TintLevel::plain);
    EXPECT_EQ(textFromLevel(TintLevel::none), "none");
    EXPECT_EQ(textFromLevel(TintLevel::slight), "slight");
    EXPECT_EQ(textFromLevel(TintLevel::plain), "plain");
}

// --- tint: laws ------------------------------------------------------------------------------------------

TEST(JudgeTint, TheDirectionIsWhereTheTintWasPushedAndTheAdviceOpposite) {
    for (int turn = 0; turn < 24; ++turn) {
        const double angle = turn * std::numbers::pi / 12 + 0.01;
        const Tint push{3 * std::cos(angle), 3 * std::sin(angle)};
        const Verdict verdict = judged(sample::tintedRamp(21, [&](double t) {
            return Tint{push.a * t * (1 - t) * 4, push.b * t * (1 - t) * 4};
        }));
        EXPECT_EQ(verdict.tint.direction, "towards " + std::string(colour::tintName(push)));
        EXPECT_THAT(verdict.tint.advice,
                    HasSubstr("towards " + std::string(colour::tintName({-push.a, -push.b}))));
        EXPECT_NEAR(verdict.tint.worstTonePercent, 50, 1e-9);
        EXPECT_FALSE(verdict.tint.turns);
        EXPECT_THAT(verdict.summary, HasSubstr(verdict.tint.direction));
    }
}

TEST(JudgeTint, TwiceTheTintIsNeverJudgedLess) {
    for (int turn = 0; turn < 36; ++turn) {
        const double angle = turn * std::numbers::pi / 18;
        double before = -1;
        for (int doubling = 0; doubling < 9; ++doubling) {
            const double strength = std::ldexp(0.05, doubling);
            const Tint tint{strength * std::cos(angle), strength * std::sin(angle)};
            const Verdict verdict = judged(sample::tintedRamp(11, [&](double) { return tint; }));
            EXPECT_GT(verdict.tint.worstDeltaE00, before);
            before = verdict.tint.worstDeltaE00;
        }
    }
}

TEST(JudgeTint, ATintThatTurnsIsToldFromWhatToWhat) {
    const Verdict verdict = judged(sample::tintedRamp(21, [](double t) {
        return Tint{t < 0.5 ? 2.5 : -2.5, 0};
    }));
    EXPECT_TRUE(verdict.tint.turns);
    EXPECT_EQ(verdict.tint.direction, "towards red in the highlights, green in the shadows");
    EXPECT_THAT(verdict.tint.advice, HasSubstr("turns"));
    EXPECT_NEAR(verdict.tint.turnDeltaCh, 5, 1e-9);
    ASSERT_EQ(verdict.tint.zones.size(), 3U);
    EXPECT_EQ(verdict.tint.zones[0].words, "towards red");
    EXPECT_EQ(verdict.tint.zones[2].words, "towards green");
}

TEST(JudgeTint, ATintThatOnlyGrowsDoesNotTurn) {
    const Verdict verdict = judged(sample::tintedRamp(21, [](double t) { return Tint{0, 6 * t}; }));
    EXPECT_FALSE(verdict.tint.turns);
    EXPECT_EQ(verdict.tint.direction, "towards yellow");
    EXPECT_GT(verdict.tint.turnDeltaCh, kTurnDeltaCh);
}

TEST(JudgeTint, AToneOnPurposeIsNoTint) {
    // By hand: full strength between the outer fifths of L*, none at the ends.
    const colour::Toning brown{{1, 4}, {1, 4}};
    const auto ramp = sample::tintedRamp(21, [&](double t) { return brown.at(1 - t); });
    const auto toned = judge(ramp, {.toning = brown});
    ASSERT_TRUE(testing::succeeded(toned));
    EXPECT_EQ(toned->tint.level, TintLevel::none);
    EXPECT_LT(toned->tint.worstDeltaE00, 0.1);
    const auto plain = judge(ramp, {});
    ASSERT_TRUE(testing::succeeded(plain));
    EXPECT_EQ(plain->tint.level, TintLevel::plain);
}

TEST(JudgeTint, AGoodRampIsCalledGoodAndNothingIsAdvised) {
    const Verdict verdict = judged(sample::tintedRamp(21, [](double t) {
        return Tint{0.3 * std::sin(9 * t), 0.4 * std::cos(7 * t)};
    }));
    EXPECT_TRUE(verdict.isGood);
    EXPECT_EQ(verdict.tint.level, TintLevel::none);
    EXPECT_EQ(verdict.tint.direction, "none");
    EXPECT_TRUE(verdict.tint.advice.empty());
    EXPECT_THAT(verdict.summary, HasSubstr("good as it is"));
    EXPECT_THAT(verdict.summary, Not(HasSubstr("push")));
}

// --- lights ----------------------------------------------------------------------------------------------

TEST(JudgeLights, AFlatSpectrumIsNeutralInEveryLight) {
    const measure::Ramp ramp =
        sample::spectralRamp(11, [](double tone, double) { return sample::greyReflectance(tone); });
    Options options;
    for (const std::string& name : colour::lightNames()) {
        options.scenes.push_back(sceneOf(colour::lightByName(name).value()));
    }
    const Verdict verdict = judged(ramp, options);
    ASSERT_EQ(verdict.lights.size(), options.scenes.size());  // D50 is among the names and answered once
    for (const LightVerdict& light : verdict.lights) {
        EXPECT_NEAR(light.deltaE00, 0, 1e-6) << light.name;
        EXPECT_EQ(light.level, TintLevel::none);
        EXPECT_FALSE(light.notice.has_value());
    }
    EXPECT_TRUE(verdict.isGood);
}

TEST(JudgeLights, ABlackThatLetsFarRedThroughTurnsReddishMostUnderTungsten) {
    // Source: common practice. A black that absorbs less in the far red prints reddish, more under warm light
    // than under daylight, and a positive a* is answered by a push towards green. Of the warm lights this
    // holds for A, rich in far red; a phosphor LED has little beyond 650 nm and shows such a black reddish,
    // but less than A and, where the leak begins late, less than D50.
    for (const double edgeNm : {620, 640, 660}) {
        const measure::Ramp ramp = sample::spectralRamp(21, [&](double tone, double nm) {
            const double leak = 0.15 / (1 + std::exp(-(nm - edgeNm) / 20));
            return std::pow(sample::greyReflectance(tone) / 0.9, 1 - leak) * 0.9;
        });
        const Verdict verdict = judged(ramp, {.scenes = scenes({"D65", "A", "LED-B1"})});
        ASSERT_EQ(verdict.lights.size(), 4U);
        const LightVerdict& d50 = verdict.lights[0];
        const LightVerdict& d65 = verdict.lights[1];
        const LightVerdict& tungsten = verdict.lights[2];
        const LightVerdict& led = verdict.lights[3];
        EXPECT_GT(d65.tint.a, 1) << edgeNm;
        EXPECT_GT(d50.tint.a, d65.tint.a) << edgeNm;
        EXPECT_GT(tungsten.tint.a, 1.1 * d50.tint.a) << edgeNm;
        EXPECT_GT(tungsten.deltaE00, 1.1 * d50.deltaE00) << edgeNm;
        EXPECT_GT(led.tint.a, 1) << edgeNm;
        EXPECT_LT(led.tint.a, tungsten.tint.a) << edgeNm;
        EXPECT_THAT(verdict.tint.advice,
                    ::testing::AnyOf(HasSubstr("towards green"), HasSubstr("towards cyan")));
        EXPECT_THAT(verdict.tint.direction, ::testing::AnyOf(HasSubstr("red"), HasSubstr("orange")));
    }
}

TEST(JudgeLights, APositiveAStarIsAnsweredByGreen) {
    // Source: common practice.
    const Verdict verdict = judged(sample::tintedRamp(11, [](double t) { return Tint{2 * t, 0.2}; }));
    EXPECT_EQ(verdict.tint.advice, "A push towards green would lessen it.");
}

TEST(JudgeLights, TheAimFollowsThePaperIntoEveryLight) {
    // The paper's own reflectance scaled down, half faded to flat: what paper does under a light, the aim
    // does.
    const measure::Ramp ramp = sample::spectralRamp(11, [](double tone, double nm) {
        const double cream = 1 + 0.06 * (nm - 550) / 170 * (1 - 0.85 * tone);
        return sample::greyReflectance(tone) * cream;
    });
    const Verdict fade = judged(ramp, {.scenes = scenes({"A", "D65"})});
    const Verdict light = judged(ramp, {.aim = TintAimKind::light, .scenes = scenes({"A", "D65"})});
    for (std::size_t i = 0; i < fade.lights.size(); ++i) {
        EXPECT_LT(fade.lights[i].deltaE00, light.lights[i].deltaE00) << fade.lights[i].name;
    }
}

TEST(JudgeLights, WithoutSpectraOnlyD50IsAnswered) {
    const Verdict verdict = judged(sample::straightRamp(11), {.scenes = scenes({"A"})});
    ASSERT_EQ(verdict.lights.size(), 1U);
    EXPECT_TRUE(hasNote(verdict, "no-spectra"));
    EXPECT_FALSE(hasNote(judged(sample::straightRamp(11)), "no-spectra"));
}

// --- ramps that lack something ---------------------------------------------------------------------------

TEST(Judge, RefusesNothing) {
    const Result<Verdict> nothing = judge({});
    ASSERT_FALSE(nothing);
    EXPECT_EQ(nothing.error().code, "no-patches");
    measure::Ramp paper;
    paper.patches = {{0, {96, 0, -3}, {}}, {2, {95, 0, -3}, {}}};
    const Result<Verdict> bare = judge(paper);
    ASSERT_FALSE(bare);
    EXPECT_EQ(bare.error().code, "no-tones");
    measure::Ramp upset;
    upset.patches = {{50, {50, 0, 0}, {}}, {0, {96, 0, 0}, {}}};
    EXPECT_THROW((void)judge(upset), ContractViolation);
}

TEST(Judge, OneBlockIsJudgedForTintAlone) {
    measure::Ramp ramp;
    ramp.patches = {{50, {55, 3, 0}, {}}};
    const Verdict verdict = judged(ramp);
    EXPECT_EQ(verdict.aim, TintAimKind::light);
    EXPECT_EQ(verdict.tint.direction, "towards red");
    EXPECT_FALSE(verdict.paper || verdict.black || verdict.visualDensityBlack);
    EXPECT_FALSE(verdict.tone.even || verdict.tone.monotone || verdict.tone.worstDepartureL);
    EXPECT_FALSE(verdict.tone.firstVisibleTonePercent || verdict.tone.shadowSeparationL);
    EXPECT_EQ(verdict.patches[0].aimL, 55);
    EXPECT_TRUE(hasNote(verdict, "no-paper") && hasNote(verdict, "no-black") &&
                hasNote(verdict, "few-tones"));
    EXPECT_THAT(verdict.summary, HasSubstr("Too little was measured to speak of tone."));
}

TEST(Judge, PaperAndBlackAloneSayNothingAboutTheTonesBetween) {
    measure::Ramp ramp;
    ramp.patches = {{0, {96, 1, -5}, {}}, {100, {16, 0.15, -0.75}, {}}};
    const Verdict verdict = judged(ramp);
    EXPECT_EQ(verdict.tint.level, TintLevel::none);
    EXPECT_TRUE(*verdict.tone.monotone);
    EXPECT_FALSE(verdict.tone.even);
    EXPECT_FALSE(verdict.tone.firstVisibleTonePercent);
    EXPECT_TRUE(hasNote(verdict, "few-tones"));
}

TEST(Judge, BlocksTakePaperAndBlackFromAnotherReading) {
    measure::Ramp full = sample::straightRamp(11);
    for (measure::RampPatch& patch : full.patches) patch.lab.b = -6 * (1 - 0.85 * patch.tonePercent / 100);
    measure::Ramp blocks;
    blocks.patches = {full.patches[4], full.patches[5], full.patches[6]};
    const Verdict alone = judged(blocks);
    const Verdict helped = judged(blocks, {.reference = full});
    EXPECT_EQ(alone.tint.direction, "towards blue");
    EXPECT_EQ(helped.aim, TintAimKind::fade);
    EXPECT_NEAR(helped.tint.worstDeltaE00, 0, 1e-9);
    EXPECT_FALSE(helped.paper.has_value());
}

TEST(Judge, ALightThatKnowsNoPaperSaysSo) {
    const measure::Ramp full =
        sample::spectralRamp(11, [](double tone, double) { return sample::greyReflectance(tone); });
    measure::Ramp blocks = full;
    blocks.patches = {full.patches[5]};
    const Verdict verdict = judged(blocks, {.scenes = scenes({"A"}), .reference = sample::straightRamp(11)});
    EXPECT_EQ(verdict.lights.size(), 2U);
    EXPECT_TRUE(hasNote(verdict, "light-without-paper"));
    EXPECT_FALSE(
        hasNote(judged(blocks, {.scenes = scenes({"A"}), .reference = full}), "light-without-paper"));
}

// --- black -----------------------------------------------------------------------------------------------

TEST(Judge, VisualDensityOfTheBlack) {
    struct Row {
        double L, density, tolerance;
    };
    for (const Row& row : {
             Row{100, 0, 1e-12},      // Source: definition, the perfect diffuser
             Row{37.84, 1, 2e-4},     // Source: ISO/CIE 11664-4, L* of Y = 10
             Row{16.7, 1.65, 0.005},  // Source: common practice, a good matt black
             Row{4.5, 2.30, 0.005},   // Source: common practice, a good glossy black (linear branch of L*)
         }) {
        measure::Ramp ramp = sample::straightRamp(11);
        ramp.patches.back().lab = {row.L, 0, 0};
        EXPECT_NEAR(*judged(ramp).visualDensityBlack, row.density, row.tolerance) << row.L;
    }
}

}  // namespace
}  // namespace greywright::judge

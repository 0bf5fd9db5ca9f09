// What judge() makes of viewers, scenes and second readings.
#include <algorithm>
#include <cmath>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "judge/judge.h"
#include "judge/sample.h"
#include "judge/sheet_of_ramp.h"
#include "testing/near.h"

namespace greywright::judge {
namespace {

bool hasNote(const Verdict& verdict, const std::string& code) {
    return std::ranges::any_of(verdict.notes, [&](const Note& note) { return note.code == code; });
}

double reddish(double tone, double nm) {
    return sample::greyReflectance(tone) * (1 + 0.2 * tone * (1 - tone) / (1 + std::exp((600 - nm) / 8)));
}

// A paper that glows at 440 nm, with or without ultraviolet in the instrument's light.
measure::Ramp brightRamp(measure::Condition condition) {
    const double glow = condition == measure::Condition::m2 ? 0 : 0.15;
    measure::Ramp ramp = sample::spectralRamp(11, [&](double tone, double nm) {
        return sample::greyReflectance(tone) * (1 + glow * std::exp(-std::pow((nm - 440) / 20, 2)));
    });
    ramp.condition = condition;
    return ramp;
}

Options asking(std::vector<Scene> scenes, std::size_t viewers = 128) {
    Options options{.scenes = std::move(scenes), .viewers = NoticeOptions{}};
    options.viewers->population.count = viewers;
    return options;
}

Scene under(const char* light) {
    return sceneOf(colour::lightByName(light).value());
}

TEST(JudgeViewers, EveryLightGetsItsShare) {
    const measure::Ramp ramp = sample::spectralRamp(11, reddish);
    const auto verdict = judge(ramp, asking({under("A"), sceneByName("living-room").value()}));
    ASSERT_TRUE(testing::succeeded(verdict));
    ASSERT_EQ(verdict->lights.size(), 3U);
    ASSERT_TRUE(verdict->notice.has_value());
    EXPECT_EQ(verdict->notice->viewers, 128U);
    for (const LightVerdict& light : verdict->lights) {
        ASSERT_TRUE(light.notice.has_value()) << light.name;
        EXPECT_EQ(light.notice->name, light.name);
        EXPECT_GT(light.notice->beside.value, 0.02) << light.name;
    }
    EXPECT_EQ(verdict->lights[2].lux, 150);
    EXPECT_THAT(verdict->summary, ::testing::HasSubstr("of viewers beside something neutral"));
}

TEST(JudgeViewers, NobodyIsAskedUnlessWanted) {
    const auto verdict = judge(sample::spectralRamp(11, reddish));
    ASSERT_TRUE(testing::succeeded(verdict));
    EXPECT_FALSE(verdict->notice.has_value());
    EXPECT_FALSE(verdict->lights[0].notice.has_value());
}

TEST(JudgeViewers, CielabAloneAnswersForD50AndSaysWhatItCannot) {
    measure::Ramp ramp = sample::tintedRamp(11, [](double tone) {
        return colour::Tint{8 * tone * (1 - tone), 0};
    });
    const auto verdict = judge(ramp, asking({under("A")}));
    ASSERT_TRUE(testing::succeeded(verdict));
    ASSERT_EQ(verdict->lights.size(), 1U);
    ASSERT_TRUE(verdict->lights[0].notice.has_value());
    EXPECT_GT(verdict->lights[0].notice->beside.value, 0.3);
    EXPECT_FALSE(verdict->notice->hasSpectra);
    EXPECT_TRUE(hasNote(*verdict, "viewers-without-spectra"));
    EXPECT_TRUE(hasNote(*verdict, "no-spectra"));
}

TEST(JudgeViewers, BlocksBorrowPaperAndBlackAndAreJudgedAlone) {
    const measure::Ramp full = sample::spectralRamp(11, reddish);
    measure::Ramp blocks = full;
    blocks.patches = {full.patches[1], full.patches[2], full.patches[3], full.patches[4]};
    Options options = asking({under("A")});
    options.reference = full;
    const auto lent = judge(blocks, options);
    ASSERT_TRUE(testing::succeeded(lent));
    // The worst tone of this ramp is among the blocks, so both see the same.
    options.reference.reset();
    const auto whole = judge(full, options);
    for (std::size_t i = 0; i < 2; ++i) {
        EXPECT_NEAR(lent->lights[i].notice->beside.value, whole->lights[i].notice->beside.value, 1e-9);
        EXPECT_EQ(lent->lights[i].notice->givesAwayTonePercent,
                  whole->lights[i].notice->givesAwayTonePercent);
    }
}

TEST(JudgeViewers, TwoReadingsTellTheGlow) {
    Options options = asking({under("LED-B1")});
    options.second = brightRamp(measure::Condition::m2);
    const auto verdict = judge(brightRamp(measure::Condition::m1), options);
    ASSERT_TRUE(testing::succeeded(verdict));
    EXPECT_TRUE(hasNote(*verdict, "glow-measured"));
    // In whichever order.
    options.second = brightRamp(measure::Condition::m1);
    const auto turned = judge(brightRamp(measure::Condition::m2), options);
    EXPECT_TRUE(hasNote(*turned, "glow-measured"));
    EXPECT_NEAR(turned->lights[1].deltaE00, verdict->lights[1].deltaE00, 1e-9);

    options.second = brightRamp(measure::Condition::m1);
    EXPECT_TRUE(hasNote(*judge(brightRamp(measure::Condition::m1), options), "second-reading-unfit"));
    options.second.reset();
    EXPECT_TRUE(hasNote(*judge(brightRamp(measure::Condition::m1), options), "glow-estimated"));
    EXPECT_TRUE(hasNote(*judge(brightRamp(measure::Condition::unknown), options), "glow-unknown"));
    EXPECT_FALSE(hasNote(*judge(brightRamp(measure::Condition::m2), options), "glow-estimated"));
}

TEST(JudgeViewers, WithoutUltravioletThePaperIsYellower) {
    std::vector<Note> notes;
    const measure::Ramp with = brightRamp(measure::Condition::m1),
                        without = brightRamp(measure::Condition::m2);
    const colour::SheetSpectra sheet = sheetOfRamp(with, &without, notes);
    Scene daylight = under("D50"), behind = under("D50");
    behind.glazing = colour::glazingByName("uv-glass").value();
    const double open = labsUnder(sheet, daylight).front().b;
    // The instrument's own light; the foot of the glow below 410 nm is left to the reflectance of M2.
    EXPECT_NEAR(open, with.patches.front().lab.b, 0.01);
    EXPECT_GT(labsUnder(sheet, behind).front().b, open + 3);
    EXPECT_LT(labsUnder(sheet, behind).front().b, without.patches.front().lab.b);
}

TEST(JudgeViewers, APictureCountsByItsOwnTones) {
    const measure::Ramp ramp = sample::spectralRamp(21, [](double tone, double nm) {
        return sample::greyReflectance(tone) *
               (1 + 0.2 * std::exp(-std::pow((tone - 0.3) / 0.1, 2)) / (1 + std::exp((600 - nm) / 8)));
    });
    Options options = asking({});
    const auto shareWith = [&](std::size_t bin) {
        options.pictureShares.assign(101, 0.0);
        options.pictureShares[bin] = 1;
        return judge(ramp, options).value().lights[0].notice->beside.value;
    };
    EXPECT_GT(shareWith(70), 0.5);  // a light picture lives where the tint is
    EXPECT_LT(shareWith(10), 0.1);
}

TEST(JudgeViewers, FlatGreysAreEvenAndColouredOnesAreNot) {
    const auto even =
        judge(sample::spectralRamp(11, [](double tone, double) { return sample::greyReflectance(tone); }));
    ASSERT_TRUE(even->unevennessPercent.has_value());
    EXPECT_NEAR(*even->unevennessPercent, 0, 1e-9);
    const auto uneven = judge(sample::spectralRamp(11, [](double tone, double nm) {
        return sample::greyReflectance(tone) * (1 + 0.1 * (tone == 0.6 ? std::sin(nm / 20) : 0.0));
    }));
    EXPECT_NEAR(*uneven->unevennessPercent, 10 / std::sqrt(2), 0.5);
    EXPECT_NEAR(uneven->unevennessTonePercent, 60, 1e-9);
    EXPECT_FALSE(judge(sample::straightRamp(11))->unevennessPercent.has_value());
}

TEST(JudgeViewers, StoppingIsAnError) {
    Options options = asking({under("A")}, 1000);
    options.viewers->goOn = [](double) { return false; };
    const auto verdict = judge(sample::spectralRamp(11, reddish), options);
    ASSERT_FALSE(verdict);
    EXPECT_EQ(verdict.error().code, "stopped");
}

}  // namespace
}  // namespace greywright::judge

#include "studio/sights.h"

#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

#include "studio/sample_book.h"

namespace greywright::studio {
namespace {

using greywright::testing::succeeded;

class Sights : public ::testing::Test {
  protected:
    [[nodiscard]] judge::Verdict judged(int trial, const std::string& light = {},
                                        colour::TintAimKind aim = colour::TintAimKind::fade) const {
        JudgeRequest request{.aim = aim};
        request.lights = {light.empty() ? "D65" : light};
        request.viewers.count = 0;
        const auto judgement = book_.studio.judgeTrial("chalk", trial, request);
        EXPECT_TRUE(succeeded(judgement));
        return judgement->verdict;
    }

    [[nodiscard]] Sight seen(int trial, const std::string& light = {},
                             colour::TintAimKind aim = colour::TintAimKind::fade) const {
        const auto sight = book_.studio.sight("chalk", trial, {.aim = aim, .light = light});
        EXPECT_TRUE(succeeded(sight));
        return *sight;
    }

    /// Expects that a sight's worst tone of 5 % and more is the one that the verdict has for that light.
    void expectAsJudged(int trial, const std::string& light) const {
        SCOPED_TRACE(light);
        const judge::Verdict verdict = judged(trial, light);
        const auto told = std::ranges::find(verdict.lights, light, &judge::LightVerdict::name);
        ASSERT_NE(told, verdict.lights.end());
        const Sight sight = seen(trial, light);
        EXPECT_EQ(sight.light, light);
        ASSERT_EQ(sight.patches.size(), verdict.patches.size());
        const judge::PatchVerdict* worst = nullptr;
        for (const judge::PatchVerdict& patch : sight.patches) {
            if (patch.tonePercent < 5) continue;
            if (worst == nullptr || patch.deltaE00 > worst->deltaE00) worst = &patch;
        }
        ASSERT_NE(worst, nullptr);
        EXPECT_EQ(worst->tonePercent, told->worstTonePercent);
        EXPECT_NEAR(worst->deltaE00, told->deltaE00, 1e-9);
        EXPECT_NEAR(worst->lab.a - worst->aim.a, told->tint.a, 1e-9);
        EXPECT_NEAR(worst->lab.b - worst->aim.b, told->tint.b, 1e-9);
    }

    /// A sheet on paper with a brightener: near 440 nm it sends back more than it gets.
    [[nodiscard]] measure::Reading brightened(double strength) {
        measure::Reading reading = book_.print();
        for (measure::Patch& patch : reading.patches) {
            patch.lab.reset();
            for (std::size_t i = 0; i < patch.reflectance.size(); ++i) {
                const double nm = reading.grid->atNm(i);
                if (nm > 415 && nm < 475) patch.reflectance[i] *= 1 + strength;
            }
        }
        return reading;
    }

    sample::SampleBook book_;
};

TEST_F(Sights, WorthsAreTheVerdictsOfEveryMeasuredTrial) {
    EXPECT_TRUE(book_.studio.worths("chalk", colour::TintAimKind::fade)->empty());
    book_.take();
    book_.take({10, -10});
    book_.take({20, 5});
    ASSERT_TRUE(succeeded(book_.studio.withdraw("chalk", 2, "smudged", sample::kWhen)));
    {
        auto book = book::Book::open(book_.studio.path(), book::OpenMode::readWrite);
        ASSERT_TRUE(succeeded(book));
        ASSERT_TRUE(succeeded(
            book->addTrial("chalk", {.setting = {{"up", 1}, {"across", 1}}, .when = sample::kWhen})));
    }
    for (const auto aim :
         {colour::TintAimKind::fade, colour::TintAimKind::light, colour::TintAimKind::paper}) {
        const auto worths = book_.studio.worths("chalk", aim);
        ASSERT_TRUE(succeeded(worths));
        ASSERT_EQ(worths->size(), 3U) << "the withdrawn one too; not the one that nobody measured";
        for (int trial = 1; trial <= 3; ++trial) {
            const TrialWorth& worth = (*worths)[static_cast<std::size_t>(trial) - 1];
            const judge::TintVerdict tint = judged(trial, {}, aim).tint;
            EXPECT_EQ(worth.trial, trial);
            EXPECT_EQ(worth.worstDeltaE00, tint.worstDeltaE00);
            EXPECT_EQ(worth.worstTonePercent, tint.worstTonePercent);
        }
    }
    EXPECT_NE(book_.studio.worths("chalk", colour::TintAimKind::fade)->front().worstDeltaE00,
              book_.studio.worths("chalk", colour::TintAimKind::light)->front().worstDeltaE00);
    EXPECT_EQ(book_.studio.worths("fen", colour::TintAimKind::fade).error().code, "condition-unknown");
}

TEST_F(Sights, WorthsOfAPrintThroughATableAreHeldAgainstWhatItIsFor) {
    book_.take();
    ASSERT_TRUE(succeeded(book_.studio.makeCurve("chalk", {.force = true, .when = sample::kWhen})));
    ReadRequest through = book_.request(book_.write(book_.print()));
    through.through = 1;
    ASSERT_TRUE(succeeded(book_.studio.read(through)));
    const auto worths = book_.studio.worths("chalk", colour::TintAimKind::fade);
    ASSERT_TRUE(succeeded(worths));
    ASSERT_EQ(worths->size(), 2U);
    EXPECT_EQ((*worths)[1].worstDeltaE00, judged(2).tint.worstDeltaE00);
    EXPECT_EQ(seen(2).patches.back().deltaE00, judged(2).patches.back().deltaE00);
}

TEST_F(Sights, UnderD50TheTonesAreThoseOfTheVerdict) {
    book_.take();
    for (const auto aim : {colour::TintAimKind::fade, colour::TintAimKind::paper}) {
        const judge::Verdict verdict = judged(1, {}, aim);
        for (const char* name : {"", "D50"}) {
            const Sight sight = seen(1, name, aim);
            EXPECT_EQ(sight.light, "D50");
            ASSERT_EQ(sight.ramp.patches.size(), 21U);
            EXPECT_TRUE(sight.ramp.grid);
            ASSERT_EQ(sight.patches.size(), verdict.patches.size());
            for (std::size_t i = 0; i < verdict.patches.size(); ++i) {
                EXPECT_EQ(sight.patches[i].tonePercent, verdict.patches[i].tonePercent);
                EXPECT_EQ(sight.patches[i].lab.b, verdict.patches[i].lab.b);
                EXPECT_EQ(sight.patches[i].aim.b, verdict.patches[i].aim.b);
                EXPECT_EQ(sight.patches[i].deltaE00, verdict.patches[i].deltaE00);
                EXPECT_EQ(sight.ramp.patches[i].lab.b, verdict.patches[i].lab.b);
            }
        }
    }
}

TEST_F(Sights, UnderAnotherLightTheWorstToneIsThatOfTheVerdict) {
    book_.take({10, -10});
    for (const char* light : {"A", "LED-B3", "gallery", "living-room"}) expectAsJudged(1, light);
    // The ramp stays what was measured, and the light makes a difference.
    const Sight underA = seen(1, "A"), underD50 = seen(1);
    EXPECT_EQ(underA.ramp.patches[10].lab.b, underD50.ramp.patches[10].lab.b);
    EXPECT_GT(std::abs(underA.patches[10].lab.b - underD50.patches[10].lab.b), 0.05);
}

TEST_F(Sights, ASecondReadingTellsWhatTheBrightenerAdds) {
    measure::Reading with = brightened(0.2);
    ASSERT_TRUE(succeeded(book_.studio.read(book_.request(book_.write(with)))));
    const double before = seen(1, "A").patches[2].lab.b;
    measure::Reading without = with;
    without.condition = measure::Condition::m2;
    for (measure::Patch& patch : without.patches) {
        for (std::size_t i = 0; i < patch.reflectance.size(); ++i) {
            const double nm = without.grid->atNm(i);
            if (nm > 415 && nm < 475) patch.reflectance[i] /= 1.2;
        }
    }
    ReadRequest further = book_.request(book_.write(without));
    further.toTrial = 1;
    ASSERT_TRUE(succeeded(book_.studio.read(further)));
    EXPECT_GT(std::abs(seen(1, "A").patches[2].lab.b - before), 0.05);
    for (const char* light : {"A", "gallery"}) expectAsJudged(1, light);
}

TEST_F(Sights, AFewBlocksBorrowThePaperAsInTheVerdict) {
    ASSERT_TRUE(succeeded(book_.studio.read(book_.request(book_.write(brightened(0.12))))));
    measure::Reading blocks = brightened(0.12);
    blocks.patches = {blocks.patches[7], blocks.patches[10], blocks.patches[13]};
    ASSERT_TRUE(succeeded(book_.studio.read(book_.request(book_.write(blocks), {5, 5}))));
    for (const char* light : {"A", "gallery"}) expectAsJudged(2, light);
}

TEST_F(Sights, SaysWhatCannotBeSeen) {
    EXPECT_EQ(book_.studio.sight("chalk", 1, {}).error().code, "trial-unknown");
    EXPECT_EQ(book_.studio.sight("fen", 1, {}).error().code, "condition-unknown");
    measure::Reading plain = book_.print();
    for (measure::Patch& patch : plain.patches) patch.reflectance.clear();
    plain.grid.reset();
    ASSERT_TRUE(succeeded(book_.studio.read(book_.request(book_.write(plain)))));
    EXPECT_TRUE(succeeded(book_.studio.sight("chalk", 1, {})));
    const auto unseen = book_.studio.sight("chalk", 1, {.light = "A"});
    ASSERT_FALSE(unseen);
    EXPECT_EQ(unseen.error().code, "light-without-spectra");
    EXPECT_EQ(book_.studio.sight("chalk", 1, {.light = "LEDB3"}).error().code, "unknown-light");
    {
        auto book = book::Book::open(book_.studio.path(), book::OpenMode::readWrite);
        ASSERT_TRUE(succeeded(book));
        ASSERT_TRUE(succeeded(
            book->addTrial("chalk", {.setting = {{"up", 1}, {"across", 1}}, .when = sample::kWhen})));
    }
    EXPECT_EQ(book_.studio.sight("chalk", 2, {}).error().code, "trial-without-reading");
}

}  // namespace
}  // namespace greywright::studio

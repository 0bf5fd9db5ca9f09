#include "judge/compare.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "judge/sample.h"

namespace greywright::judge {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;

Candidate bowed(std::string name, double depth) {
    measure::Ramp ramp = sample::straightRamp(21);
    for (measure::RampPatch& patch : ramp.patches) {
        const double t = patch.tonePercent / 100;
        patch.lab.L += 4 * depth * t * (1 - t);
    }
    return {std::move(name), judge(ramp).value()};
}

TEST(CompareTone, PrefersTheStraightestOne) {
    const std::vector<Candidate> ramps{bowed("mode one", 6), bowed("mode two", -1), bowed("mode three", 3)};
    const Comparison comparison = compareTone(ramps);
    EXPECT_EQ(comparison.preferred(), 1U);
    EXPECT_THAT(comparison.words, HasSubstr("mode two has the most even tone"));
    EXPECT_THAT(comparison.words, HasSubstr("1.0 L*"));
}

TEST(CompareTone, PrefersNothingByLessThanCanBeTold) {
    const std::vector<Candidate> ramps{bowed("one", 1.4), bowed("two", 1.0)};
    const Comparison comparison = compareTone(ramps);
    EXPECT_FALSE(comparison.preferred().has_value());
    EXPECT_THAT(comparison.mostEven, ElementsAre(1, 0));
    EXPECT_THAT(comparison.words, HasSubstr("No difference"));
}

TEST(CompareTone, TwoMayLeadTogether) {
    const std::vector<Candidate> ramps{bowed("one", 1.4), bowed("two", 1.0), bowed("three", 8)};
    const Comparison comparison = compareTone(ramps);
    EXPECT_THAT(comparison.mostEven, ElementsAre(1, 0));
    EXPECT_THAT(comparison.words, HasSubstr("two and one have the most even tone"));
}

TEST(CompareTone, OneThatRunsBackwardsLosesToAnyThatDoesNot) {
    Candidate backwards = bowed("backwards", 0);
    measure::Ramp ramp = sample::straightRamp(101);
    ramp.patches[99].lab.L = 15.2;
    backwards.verdict = judge(ramp).value();
    const std::vector<Candidate> ramps{backwards, bowed("bowed", 5)};
    EXPECT_EQ(compareTone(ramps).preferred(), 1U);
}

TEST(CompareTone, LeavesOutWhatCannotBeCompared) {
    measure::Ramp block;
    block.patches = {{50, {55, 0, 0}, {}}};
    const std::vector<Candidate> ramps{{"block", judge(block).value()}, bowed("full", 1)};
    const Comparison comparison = compareTone(ramps);
    EXPECT_THAT(comparison.notComparable, ElementsAre(0));
    EXPECT_EQ(comparison.preferred(), 1U);
    EXPECT_THAT(comparison.words, HasSubstr("Only full"));
    EXPECT_TRUE(compareTone({}).mostEven.empty());
    EXPECT_THAT(compareTone({}).words, HasSubstr("cannot be compared"));
}

}  // namespace
}  // namespace greywright::judge

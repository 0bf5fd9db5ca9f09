#include "colour/aim.h"

#include <gtest/gtest.h>

namespace greywright::colour {
namespace {

constexpr Lab kPaper{95, 1, -6.5};

TEST(TintAim, FadesFromThePaperToFifteenPercentOfIt) {
    const TintAim aim{.paper = kPaper, .blackL = 15};
    EXPECT_DOUBLE_EQ(aim.at(95).b, -6.5);
    // b* = -6.5 leaves 15 % of it in the black, -0.975.
    EXPECT_NEAR(aim.at(15).b, -0.975, 1e-12);
    EXPECT_NEAR(aim.at(55).a, 1 - 0.85 / 2, 1e-12);
}

TEST(TintAim, HoldsTheEndsOutsideTheRamp) {
    const TintAim aim{.paper = kPaper, .blackL = 15};
    EXPECT_DOUBLE_EQ(aim.at(99).b, aim.at(95).b);
    EXPECT_DOUBLE_EQ(aim.at(3).b, aim.at(15).b);
    const TintAim flat{.paper = kPaper, .blackL = 95};
    EXPECT_DOUBLE_EQ(flat.at(95).a, 1);
}

TEST(TintAim, OtherAims) {
    EXPECT_EQ((TintAim{.kind = TintAimKind::light, .paper = kPaper, .blackL = 15}.at(50).b), 0);
    EXPECT_EQ((TintAim{.kind = TintAimKind::paper, .paper = kPaper, .blackL = 15}.at(20).b), -6.5);
}

}  // namespace
}  // namespace greywright::colour

#include "colour/difference.h"

#include <gtest/gtest.h>

#include "colour/reference_rows.h"

namespace greywright::colour {
namespace {

// Source: Sharma, Wu and Dalal (2005), table 1, printed to four decimals; and two general libraries in full.
// The pairs were made by those authors to enter every branch: mean hue across 0 degrees, hue difference
// across 180 degrees from both sides, no chroma on one side, the rotation term, the sign of T.
TEST(DeltaE2000, AgreesWithThePublishedPairsAndTwoLibraries) {
    const auto rows = referenceRows("ciede2000.csv");
    ASSERT_EQ(rows.size(), 34U);
    for (const auto& row : rows) {
        const Lab one{row[0], row[1], row[2]};
        const Lab other{row[3], row[4], row[5]};
        const double difference = deltaE2000(one, other);
        EXPECT_NEAR(difference, row[6], 1e-4) << "pair " << &row - rows.data() + 1;
        EXPECT_NEAR(difference, row[7], 1e-6) << "pair " << &row - rows.data() + 1;
        EXPECT_NEAR(difference, row[8], 1e-6) << "pair " << &row - rows.data() + 1;
        EXPECT_NEAR(deltaE2000(other, one), difference, 1e-9) << "not symmetric";
        EXPECT_EQ(deltaE2000(one, one), 0);
    }
}

// Law: for near-neutral mid greys the formula is nearly CIELAB's, with a* stretched by 1 + G = 1.5.
TEST(DeltaE2000, StretchesRedGreenNearNeutral) {
    EXPECT_NEAR(deltaE2000({50, 0, 0}, {50, 0.01, 0}), 0.015, 1e-4);
    EXPECT_NEAR(deltaE2000({50, 0, 0}, {50, 0, 0.01}), 0.01, 1e-4);
    EXPECT_NEAR(deltaE2000({50, 0, 0}, {50.01, 0, 0}), 0.01, 1e-4);
}

TEST(DeltaCh, LeavesLightnessOut) {
    EXPECT_DOUBLE_EQ(deltaCh({10, 3, -1}, {90, 0, 3}), 5);
    EXPECT_DOUBLE_EQ(deltaE76({10, 3, -1}, {22, 0, 3}), 13);
}

}  // namespace
}  // namespace greywright::colour

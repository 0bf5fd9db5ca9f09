#include "scan/round_trip.h"

#include <array>
#include <vector>

#include <gtest/gtest.h>

#include "core/parallel.h"
#include "testing/near.h"

namespace greywright::scan {
namespace {

/// Some of what bench/scan_round_trip.cpp reads, which tells figures over 500 of each.
void readSome(bool isPhotograph, std::uint64_t firstSeed, std::size_t count, double mostMedian) {
    const std::array<sheet::Sheet, 2> known{round_trip::someSheet("ANOTHER", 31), round_trip::someSheet()};
    const simulate::Print print = round_trip::printed(known[1]);
    std::vector<round_trip::Outcome> outcomes(count);
    const bool all = inParallel(count, 0, [&](std::size_t i) {
        const simulate::Shot shot =
            isPhotograph ? simulate::take(print, simulate::anyPhotograph(known[1], firstSeed + i))
                         : round_trip::scanned(print, simulate::anyScan(known[1], firstSeed + i));
        outcomes[i] = round_trip::compared(readSheet(shot.picture, known, {.paper = round_trip::truthOf(0)}),
                                           known[1], shot);
    });
    ASSERT_TRUE(all);
    std::vector<double> tints;
    for (std::size_t i = 0; i < count; ++i) {
        const round_trip::Outcome& one = outcomes[i];
        EXPECT_EQ(one.error, "") << "seed " << firstSeed + i;
        EXPECT_EQ(one.wrongPlaces, 0U) << "seed " << firstSeed + i;
        EXPECT_EQ(one.farOff, 0U) << "seed " << firstSeed + i;
        EXPECT_GE(one.patches + one.leftOut, one.error.empty() ? 21U : 0U);
        tints.insert(tints.end(), one.tintErrors.begin(), one.tintErrors.end());
    }
    EXPECT_LE(round_trip::quantile(tints, 0.5), mostMedian);
}

TEST(RoundTrip, Photographs) {
    readSome(true, 1, 12, 1.0);
}
TEST(RoundTrip, MorePhotographs) {
    readSome(true, 13, 12, 1.0);
}
TEST(RoundTrip, StillMorePhotographs) {
    readSome(true, 25, 12, 1.0);
}
TEST(RoundTrip, Scans) {
    readSome(false, 1, 12, 0.3);
}
TEST(RoundTrip, MoreScans) {
    readSome(false, 13, 12, 0.3);
}

}  // namespace
}  // namespace greywright::scan

#include "steer/percentile.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include <gtest/gtest.h>

#include "core/random.h"

namespace greywright::steer {
namespace {

TEST(Percentile, LiesOnALineBetweenNeighbours) {
    const std::vector<double> values{1, 2, 4};
    EXPECT_EQ(percentile(values, 0), 1);
    EXPECT_EQ(percentile(values, 0.5), 2);
    EXPECT_EQ(percentile(values, 0.75), 3);
    EXPECT_EQ(percentile(values, 1), 4);
}

// Both ways to the same figures, for few values and many, all different or many alike.
TEST(Percentile, NineTenthsAreThoseOfTheSortedValues) {
    Random random(11);
    for (int count = 1; count <= 300; ++count) {
        for (const bool isCoarse : {false, true}) {
            std::vector<double> values;
            for (int i = 0; i < count; ++i) {
                const double value = random.normal();
                values.push_back(isCoarse ? std::round(value) : value);
            }
            std::vector<double> sorted = values;
            std::ranges::sort(sorted);
            const auto [low, high] = ninetyPercentOf(values);
            EXPECT_NEAR(low, percentile(sorted, 0.05), 1e-12) << count;
            EXPECT_NEAR(high, percentile(sorted, 0.95), 1e-12) << count;
        }
    }
}

}  // namespace
}  // namespace greywright::steer

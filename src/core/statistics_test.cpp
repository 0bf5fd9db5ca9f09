#include "core/statistics.h"

#include <cmath>

#include <gtest/gtest.h>

namespace greywright {
namespace {

TEST(Statistics, NormalSharesAreThoseOfTheTables) {
    // Source: tables of the standard normal distribution in every handbook of statistics.
    EXPECT_NEAR(normalQuantile(0.5), 0, 1e-15);
    EXPECT_NEAR(normalQuantile(0.95), 1.6448536269514722, 1e-13);
    EXPECT_NEAR(normalQuantile(0.975), 1.9599639845400545, 1e-13);
    EXPECT_NEAR(normalQuantile(0.001), -3.090232306167813, 1e-12);
    EXPECT_NEAR(normalBelow(1), 0.8413447460685429, 1e-15);
    EXPECT_NEAR(normalBelow(-3), 0.0013498980316300933, 1e-16);
}

TEST(Statistics, QuantileUndoesShare) {
    for (const double share : {1e-12, 1e-6, 0.01, 0.2, 0.31, 0.49, 0.6, 0.8, 0.999, 1 - 1e-9}) {
        EXPECT_NEAR(normalBelow(normalQuantile(share)) / share, 1, 1e-10) << share;
    }
}

TEST(Statistics, EvenPointsFillTheCube) {
    // Every coordinate and every product of two has the mean of a uniform distribution, to far better than
    // the 0.009 of as many random points.
    constexpr std::size_t kDimensions = 11;
    constexpr std::size_t kPoints = 1000;
    const EvenPoints points(kDimensions, 7);
    std::vector<double> mean(kDimensions), product(kDimensions);
    for (std::size_t i = 0; i < kPoints; ++i) {
        const auto at = points.at(i);
        for (std::size_t j = 0; j < kDimensions; ++j) {
            ASSERT_GT(at[j], 0);
            ASSERT_LT(at[j], 1);
            mean[j] += at[j] / kPoints;
            product[j] += at[j] * at[(j + 1) % kDimensions] / kPoints;
        }
    }
    for (std::size_t j = 0; j < kDimensions; ++j) {
        EXPECT_NEAR(mean[j], 0.5, 0.003) << j;
        EXPECT_NEAR(product[j], 0.25, 0.006) << j;
    }
}

TEST(Statistics, EvenPointsShiftWithTheSeed) {
    EXPECT_NE(EvenPoints(3, 1).at(0), EvenPoints(3, 2).at(0));
    EXPECT_EQ(EvenPoints(3, 1).at(5), EvenPoints(3, 1).at(5));
}

}  // namespace
}  // namespace greywright

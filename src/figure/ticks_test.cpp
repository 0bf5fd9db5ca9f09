#include "figure/ticks.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <random>

#include <gtest/gtest.h>

#include "core/contract.h"

namespace greywright::figure {
namespace {

// Source: common practice of axis labelling, worked out by hand.
TEST(Ticks, AreTheNumbersAPersonWouldWrite) {
    EXPECT_EQ(niceTicks({0, 100}, 11).at, (std::vector<double>{0, 10, 20, 30, 40, 50, 60, 70, 80, 90, 100}));
    EXPECT_EQ(niceTicks({0, 100}, 10).at, (std::vector<double>{0, 20, 40, 60, 80, 100}));
    EXPECT_EQ(niceTicks({-3.6, 0.9}, 6).at, (std::vector<double>{-3, -2, -1, 0}));
    EXPECT_EQ(niceTicks({0.1, 0.35}, 6).at, (std::vector<double>{0.1, 0.15, 0.2, 0.25, 0.3, 0.35}));
    EXPECT_EQ(niceTicks({-50, 50}, 3).at, (std::vector<double>{-50, 0, 50}));
    EXPECT_EQ(niceRange({-3.7, 0.9}, 8), (Range{-4, 1}));
    EXPECT_EQ(niceRange({0, 0.29}, 8), (Range{0, 0.3}));
}

TEST(Ticks, AreWrittenWithJustTheDecimalsOfTheirStep) {
    EXPECT_EQ(tickText(20, 20), "20");
    EXPECT_EQ(tickText(-0.5, 0.5), "\u22120.5");
    EXPECT_EQ(tickText(0.30000000000000004, 0.1), "0.3");
    EXPECT_EQ(tickText(1, 0.05), "1.00");
    EXPECT_EQ(tickText(-1e-18, 0.5), "0.0");
    EXPECT_EQ(tickText(2e20, 1e20), "2e+20");
}

/// The mantissa of a step, 1 to 10.
double mantissa(double step) {
    return step / std::pow(10.0, std::floor(std::log10(step) + 1e-9));
}

TEST(Ticks, KeepTheirPromisesForAnyRange) {
    std::mt19937_64 random(7);
    std::uniform_real_distribution<double> exponent(-9, 9);
    std::uniform_real_distribution<double> unit(-1, 1);
    for (int trial = 0; trial < 20000; ++trial) {
        const double low = unit(random) * std::pow(10.0, exponent(random));
        const double high = low + std::max(std::abs(low) * 1e-6, std::pow(10.0, exponent(random)));
        const int most = 3 + trial % 11;
        SCOPED_TRACE(::testing::Message() << low << " to " << high << ", most " << most);

        const Ticks ticks = niceTicks({low, high}, most);
        ASSERT_LE(ticks.at.size(), static_cast<std::size_t>(most));
        if (most >= 6) {
            ASSERT_GE(ticks.at.size(), 2U);
        }
        const double m = mantissa(ticks.step);
        ASSERT_TRUE(std::abs(m - 1) < 1e-9 || std::abs(m - 2) < 1e-9 || std::abs(m - 5) < 1e-9) << m;
        for (std::size_t i = 0; i < ticks.at.size(); ++i) {
            ASSERT_GE(ticks.at[i], low - 1.001e-9 * ticks.step);
            ASSERT_LE(ticks.at[i], high + 1.001e-9 * ticks.step);
            const double multiple = ticks.at[i] / ticks.step;
            ASSERT_NEAR(multiple, std::round(multiple), 1e-6);
            if (i > 0) {
                ASSERT_NEAR(ticks.at[i] - ticks.at[i - 1], ticks.step, 1e-6 * ticks.step);
            }
        }

        const Range nice = niceRange({low, high}, most);
        const double room = 1e-6 * ticks.step;
        ASSERT_LE(nice.low, low + room);
        ASSERT_GE(nice.high, high - room);
        const Ticks own = niceTicks(nice, most);
        ASSERT_GE(own.at.size(), 2U);
        ASSERT_NEAR(own.at.front(), nice.low, room);
        ASSERT_NEAR(own.at.back(), nice.high, room);
        ASSERT_LE(nice.low, nice.high);
        ASSERT_GT(nice.low, low - own.step * 2) << "wider than it need be";
        ASSERT_LT(nice.high, high + own.step * 2);
    }
}

TEST(Ticks, ARangeWithoutWidthIsGivenOne) {
    for (const double value : {0.0, 3.0, -1e9, 1e-12}) {
        const Range range = niceRange({value, value}, 6);
        EXPECT_LT(range.low, value == 0 ? 0 : value);
        EXPECT_GT(range.high, value);
    }
}

TEST(Ticks, NoRangeIsAProgrammersMistake) {
    EXPECT_THROW((void)niceStep({1, 1}, 5), ContractViolation);
    EXPECT_THROW((void)niceStep({0, 1}, 1), ContractViolation);
    EXPECT_THROW((void)niceRange({0, std::nan("")}, 5), ContractViolation);
}

}  // namespace
}  // namespace greywright::figure

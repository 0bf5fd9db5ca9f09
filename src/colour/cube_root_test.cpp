#include "colour/cube_root.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

#include <gtest/gtest.h>

namespace greywright::colour {
namespace {

constexpr double kUlp = std::numeric_limits<double>::epsilon();

double worstRelativeError(const std::vector<double>& values) {
    std::vector<double> roots = values;
    cubeRoots(roots);
    double worst = 0;
    for (std::size_t i = 0; i < values.size(); ++i) {
        const long double exact = std::cbrt(static_cast<long double>(values[i]));
        worst = std::max(worst, static_cast<double>(std::abs((roots[i] - exact) / exact)));
    }
    return worst;
}

TEST(CubeRoots, AreExactToTwoUnitsInTheLastPlace) {
    std::vector<double> values{1.0 / 128, 0.125, 1, std::nextafter(2.0, 0.0), std::nextafter(1.0, 0.0)};
    for (int i = 0; i < 400000; ++i) values.push_back(std::exp2(-7 + 8 * i / 400001.0));
    EXPECT_LT(worstRelativeError(values), 2 * kUlp);
}

// The joins of the table: just below and just above every one of its places.
TEST(CubeRoots, AreExactAtTheTablesJoins) {
    std::vector<double> values;
    for (int power = -7; power <= 0; ++power) {
        const double octave = std::exp2(power);
        for (int i = 0; i < 128; ++i) {
            const double join = octave * (1 + i / 128.0);
            values.insert(values.end(), {join, std::nextafter(join, 4.0)});
            if (join > 1.0 / 128) values.push_back(std::nextafter(join, 0.0));
        }
    }
    EXPECT_LT(worstRelativeError(values), 2 * kUlp);
}

TEST(CubeRoots, LargeValuesAndNoneAtAll) {
    EXPECT_LT(worstRelativeError({2, 8, 27, 1e6, 1e300, 0.5}), 2 * kUlp);
    std::vector<double> none;
    cubeRoots(none);
}

}  // namespace
}  // namespace greywright::colour

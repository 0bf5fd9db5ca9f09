#include "colour/interpolation.h"

#include <cmath>

#include <gtest/gtest.h>

#include "core/contract.h"

namespace greywright::colour {
namespace {

constexpr WavelengthGrid kTenNm{400, 10, 31};

template <typename Function>
double interpolated(const WavelengthGrid& grid, double nm, Function value) {
    double sum = 0;
    for (const auto& [index, weight] : interpolationTerms(grid, nm)) sum += weight * value(grid.atNm(index));
    return sum;
}

// Law: Sprague's interpolation reproduces polynomials up to the fourth degree away from the ends.
TEST(Interpolation, SpragueIsExactForQuartics) {
    const auto quartic = [](double nm) {
        const double x = (nm - 550) / 100;
        return 1 + x * (0.3 + x * (-0.7 + x * (0.2 + x * 0.9)));
    };
    for (int i = 0; i <= 370; ++i) {
        const double nm = 420 + 0.7 * i;
        EXPECT_NEAR(interpolated(kTenNm, nm, quartic), quartic(nm), 1e-12) << nm;
    }
}

// Law: constants and straight lines survive everywhere, the ends among them.
TEST(Interpolation, StraightLinesStayStraight) {
    const auto line = [](double nm) { return 0.2 + 0.001 * nm; };
    for (const WavelengthGrid& grid : {kTenNm, WavelengthGrid{400, 20, 6}, WavelengthGrid{400, 100, 4}}) {
        for (std::size_t i = 40; kFineGrid.atNm(i) <= grid.endNm(); ++i) {
            const double nm = kFineGrid.atNm(i);
            EXPECT_NEAR(interpolated(grid, nm, line), line(nm), 1e-12) << nm;
        }
    }
}

// Source: CIE 167:2005: the two points before the first sample of 1, 0, 0, 0, 0, 0 are 884/209 and 508/209
// (from memory), so halfway to the second sample the polynomial has the value
// (3 (884/209) - 25 (508/209) + 150) / 256 (weights of Sprague's polynomial at one half).
TEST(Interpolation, TheEndUsesTwoExtrapolatedPoints) {
    const auto first = [](double nm) { return nm == 400 ? 1.0 : 0.0; };
    EXPECT_NEAR(interpolated(kTenNm, 405, first), (3.0 * 884 / 209 - 25.0 * 508 / 209 + 150) / 256, 1e-12);
    const auto last = [](double nm) { return nm == 700 ? 1.0 : 0.0; };
    EXPECT_NEAR(interpolated(kTenNm, 695, last), interpolated(kTenNm, 405, first), 1e-12);
    EXPECT_NEAR(interpolated(kTenNm, 688, last), interpolated(kTenNm, 412, first), 1e-12);
}

TEST(Interpolation, NodesAndOutside) {
    const auto value = [](double nm) { return std::sin(nm); };
    EXPECT_EQ(interpolated(kTenNm, 480, value), std::sin(480.0));
    EXPECT_EQ(interpolated(kTenNm, 360, value), std::sin(400.0));
    EXPECT_EQ(interpolated(kTenNm, 800, value), std::sin(700.0));
    EXPECT_EQ(interpolated({550, 10, 1}, 600, value), std::sin(550.0));
    EXPECT_NEAR(interpolated({400, 10, 5}, 415, value), (std::sin(410.0) + std::sin(420.0)) / 2, 1e-12);
}

TEST(Interpolation, OntoTheFineGrid) {
    std::vector<double> values;
    for (std::size_t i = 0; i < kTenNm.count; ++i) values.push_back(static_cast<double>(i));
    std::vector<double> twice = values;
    for (double& value : twice) value *= 2;
    const auto fine = onFineGrid(kTenNm, std::vector<std::vector<double>>{values, twice});
    ASSERT_EQ(fine.size(), 2U);
    ASSERT_EQ(fine[0].size(), kFineGrid.count);
    EXPECT_EQ(fine[0][0], 0) << "held";
    EXPECT_NEAR(fine[0][145], 10.5, 1e-12);
    EXPECT_NEAR(fine[1][145], 21, 1e-12);
    EXPECT_EQ(fine[0].back(), 30) << "held";
    const Spectrum light = illuminantOnFineGrid(kTenNm, values);
    EXPECT_EQ(light.values[39], 0);
    EXPECT_NEAR(light.values[145], 10.5, 1e-12);
    EXPECT_EQ(light.values[340], 30);
    EXPECT_EQ(light.values[341], 0) << "zero outside";
    EXPECT_THROW((void)onFineGrid(kTenNm, std::vector<std::vector<double>>(1, std::vector<double>(30))),
                 ContractViolation);
}

}  // namespace
}  // namespace greywright::colour

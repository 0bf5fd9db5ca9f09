#include "figure/plot.h"

#include <array>
#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

#include "core/contract.h"

namespace greywright::figure {
namespace {

TEST(Ellipse, AlongTheAxesItHasTheStandardDeviations) {
    const Ellipse wide = ellipseFromCovariance({1, 2}, 9, 0, 4, 2);
    EXPECT_DOUBLE_EQ(wide.semiAxis1, 6);
    EXPECT_DOUBLE_EQ(wide.semiAxis2, 4);
    EXPECT_DOUBLE_EQ(wide.angleDegrees, 0);
    EXPECT_DOUBLE_EQ(std::abs(ellipseFromCovariance({}, 4, 0, 9, 2).angleDegrees), 90);
    EXPECT_GT(ellipseFromCovariance({}, 4, 1, 4, 1).angleDegrees, 0) << "both grow together: it leans right";
}

TEST(Ellipse, ItsRimIsAsManyDeviationsAwayAsAsked) {
    const double xx = 5;
    const double xy = -2.2;
    const double yy = 1.7;
    const Ellipse e = ellipseFromCovariance({}, xx, xy, yy, 2.146);
    const double angle = e.angleDegrees * std::numbers::pi / 180;
    for (int step = 0; step < 63; ++step) {
        const double t = 0.1 * step;
        const double u = e.semiAxis1 * std::cos(t);
        const double v = e.semiAxis2 * std::sin(t);
        const double x = u * std::cos(angle) - v * std::sin(angle);
        const double y = u * std::sin(angle) + v * std::cos(angle);
        const double squared = (yy * x * x - 2 * xy * x * y + xx * y * y) / (xx * yy - xy * xy);
        EXPECT_NEAR(std::sqrt(squared), 2.146, 1e-12);
    }
    EXPECT_THROW((void)ellipseFromCovariance({}, 1, 2, 1, 1), ContractViolation);
}

// Source: IEC 61966-2-1 (decoding, luminance row), ISO/CIE 11664-4 (L*), both from memory.
double lightness(Rgb colour) {
    const auto linear = [](std::uint8_t value) {
        const double v = value / 255.0;
        return v <= 0.04045 ? v / 12.92 : std::pow((v + 0.055) / 1.055, 2.4);
    };
    const double y = 0.2126 * linear(colour.r) + 0.7152 * linear(colour.g) + 0.0722 * linear(colour.b);
    return y > 216.0 / 24389 ? 116 * std::cbrt(y) - 16 : y * 24389.0 / 27;
}

TEST(Palette, StaysApartInBlackAndWhite) {
    for (std::size_t i = 0; i + 1 < kInks.size(); ++i) {
        EXPECT_GE(lightness(kInks[i + 1]) - lightness(kInks[i]), 9) << "ink " << i + 1;
    }
    EXPECT_LE(lightness(kInks.back()), 70) << "still seen on white";
}

TEST(Palette, TheAreaRampDarkensEvenlyAndNeverHidesBlackText) {
    for (int i = 1; i <= 8; ++i) {
        const double step = lightness(areaRamp((i - 1) / 8.0)) - lightness(areaRamp(i / 8.0));
        EXPECT_GT(step, 2);
        EXPECT_LT(step, 7);
    }
    EXPECT_GE(lightness(areaRamp(1)), 60);
    EXPECT_EQ(areaRamp(-3), areaRamp(0));
    EXPECT_EQ(areaRamp(7), areaRamp(1));
}

}  // namespace
}  // namespace greywright::figure

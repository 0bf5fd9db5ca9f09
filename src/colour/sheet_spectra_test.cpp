#include "colour/sheet_spectra.h"

#include <cmath>

#include <gtest/gtest.h>

#include "colour/interpolation.h"
#include "testing/near.h"

namespace greywright::colour {
namespace {

using testing::allNear;

constexpr WavelengthGrid kGrid{380, 10, 36};

std::vector<double> sampledOn(const WavelengthGrid& grid, double (*reflectance)(double)) {
    std::vector<double> values;
    for (std::size_t i = 0; i < grid.count; ++i) values.push_back(reflectance(grid.atNm(i)));
    return values;
}

double base(double nm) {
    return 0.88 - 0.04 * std::exp(-std::pow((nm - 400) / 40, 2));
}

double glowing(double nm) {
    return base(nm) + 0.16 * std::exp(-std::pow((nm - 440) / 22, 2));
}

Light light(const char* name) {
    return lightByName(name).value();
}

Glazing glazing(const char* name) {
    return glazingByName(name).value();
}

// The radiance factor that an instrument would show at 440 nm.
double factorAt440(const SheetSpectra& sheet, const Light& under, const Glazing& behind,
                   std::size_t patch = 0) {
    const std::vector<double> stimuli = stimuliUnder(sheet, under, behind);
    const std::size_t at = 80;
    return stimuli[(1 + patch) * kFineGrid.count + at] / stimuli[at];
}

SheetSpectra bright() {
    const std::vector<std::vector<double>> with{sampledOn(kGrid, glowing)}, without{sampledOn(kGrid, base)};
    return sheetFromTwoReadings(kGrid, with, without, light("D50"));
}

TEST(SheetSpectra, UnderTheMeasuringLightTheReadingComesBack) {
    const SheetSpectra sheet = bright();
    const std::vector<double> stimuli = stimuliUnder(sheet, light("D50"), {});
    const std::vector<double> measured =
        onFineGrid(kGrid, std::vector<std::vector<double>>{sampledOn(kGrid, glowing)}).front();
    std::vector<double> factor;
    for (std::size_t i = 50; i < measured.size(); ++i)
        factor.push_back(stimuli[kFineGrid.count + i] / stimuli[i]);
    EXPECT_TRUE(allNear(factor, std::vector<double>(measured.begin() + 50, measured.end()), 1e-9));
}

TEST(SheetSpectra, LessUltravioletIsLessGlow) {
    const SheetSpectra sheet = bright();
    const double full = factorAt440(sheet, light("D50"), {});
    const double glass = factorAt440(sheet, light("D50"), glazing("plain-glass"));
    const double acrylic = factorAt440(sheet, light("D50"), glazing("acrylic"));
    const double kept = factorAt440(sheet, light("D50"), glazing("uv-glass"));
    EXPECT_GT(full, glass);
    EXPECT_GT(glass, acrylic);
    EXPECT_GT(acrylic, kept);
    // Common practice: behind conservation glazing little of the glow is left.
    EXPECT_LT(kept - base(440), 0.2 * (full - base(440)));
    // A phosphor LED has next to nothing that excites; a tungsten lamp less than daylight.
    EXPECT_LT(factorAt440(sheet, light("LED-B1"), {}) - base(440), 0.1 * (full - base(440)));
    EXPECT_LT(factorAt440(sheet, light("A"), {}), full);
    EXPECT_GT(factorAt440(sheet, light("D65"), {}), full);
}

TEST(SheetSpectra, WithoutABrightenerNothingDependsOnUltraviolet) {
    const std::vector<std::vector<double>> rows{sampledOn(kGrid, base)};
    const SheetSpectra plain = sheetFromReflectances(kGrid, rows);
    EXPECT_NEAR(factorAt440(plain, light("D65"), {}), base(440), 1e-4);
    EXPECT_NEAR(factorAt440(plain, light("LED-B1"), glazing("uv-glass")), base(440), 1e-4);
    const SheetSpectra estimated = sheetFromOneReading(kGrid, rows, 0, light("D50"));
    EXPECT_FALSE(estimated.hasGlow());
    EXPECT_FALSE(estimated.isGlowEstimated);
}

TEST(SheetSpectra, OneReadingGivesAnEstimate) {
    std::vector<double> paper = sampledOn(kGrid, glowing), half = paper;
    for (double& value : half) value *= 0.5;
    const std::vector<std::vector<double>> rows{paper, half};
    const SheetSpectra sheet = sheetFromOneReading(kGrid, rows, 0, light("D50"));
    ASSERT_TRUE(sheet.isGlowEstimated);
    // Under the measuring light both patches come back; without ultraviolet the paper's base is found to a
    // fifth of its glow, and the half tone has half of it.
    EXPECT_NEAR(factorAt440(sheet, light("D50"), {}), glowing(440), 1e-4);
    EXPECT_NEAR(factorAt440(sheet, light("D50"), {}, 1), glowing(440) / 2, 1e-4);
    EXPECT_NEAR(sheet.reflectance[0][80], base(440), 0.032);
    EXPECT_NEAR(sheet.reflectance[1][80], base(440) / 2, 0.016);
}

TEST(Glazing, EveryOneIsFoundAndIsATransmittance) {
    for (const std::string& name : glazingNames()) {
        const auto one = glazingByName(name);
        ASSERT_TRUE(testing::succeeded(one));
        for (std::size_t i = 0; i < kGlazingGrid.count; ++i) {
            EXPECT_GE(one->at(i), 0);
            EXPECT_LE(one->at(i), 1);
        }
        // Common practice: none of them tints what is behind it.
        EXPECT_NEAR(one->at(460 - 300), one->at(700 - 300), 0.001) << name;
    }
    EXPECT_EQ(glazingByName("UV-Glass").value().name, "uv-glass");
    const auto unknown = glazingByName("uv-glas");
    ASSERT_FALSE(unknown);
    EXPECT_EQ(unknown.error().code, "unknown-glazing");
    EXPECT_EQ(unknown.error().next, "Did you mean uv-glass?");
}

}  // namespace
}  // namespace greywright::colour

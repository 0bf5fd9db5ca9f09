#include "colour/colorimeter.h"

#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

#include "colour/difference.h"
#include "colour/interpolation.h"
#include "colour/reference_rows.h"
#include "core/contract.h"

namespace greywright::colour {
namespace {

constexpr WavelengthGrid kTenNm{380, 10, 36};

Colorimeter colorimeterFor(std::string_view light, const WavelengthGrid& grid = kTenNm,
                           ObserverName eye = ObserverName::cie1931) {
    return {observer(eye), lightByName(light).value(), grid};
}

// Source: tools/reference/munsell.py: 462 measured papers by numpy, scipy and colorspacious, with a cubic
// spline in place of Sprague and printed light tables in place of formulas. Aim 0.02.
TEST(Colorimeter, AgreesWithAnIndependentRecomputationOfMeasuredPapers) {
    const auto reflectances = referenceRows("munsell_reflectance.csv");
    const auto labs = referenceRows("munsell_lab.csv");
    ASSERT_EQ(reflectances.size(), 462U);
    ASSERT_EQ(labs.size(), reflectances.size());
    const WavelengthGrid grid{400, 5, 61};
    std::size_t column = 0;
    for (const char* light : {"D50", "A", "F11"}) {
        const Colorimeter colorimeter = colorimeterFor(light, grid);
        double worst = 0;
        for (std::size_t i = 0; i < labs.size(); ++i) {
            const Lab expected{labs[i][column], labs[i][column + 1], labs[i][column + 2]};
            worst = std::max(worst, deltaE76(colorimeter.labFromReflectance(reflectances[i]), expected));
        }
        EXPECT_LT(worst, 0.02) << light;
        RecordProperty(std::string("worst_") + light, std::to_string(worst));
        column += 3;
    }
}

TEST(Colorimeter, TenNanometresAgreeWithFive) {
    const auto reflectances = referenceRows("munsell_reflectance.csv");
    const Colorimeter fine = colorimeterFor("D50", {400, 5, 61});
    const Colorimeter coarse = colorimeterFor("D50", {400, 10, 31});
    double worst = 0;
    for (const auto& row : reflectances) {
        std::vector<double> every;
        for (std::size_t i = 0; i < row.size(); i += 2) every.push_back(row[i]);
        worst = std::max(worst, deltaE76(fine.labFromReflectance(row), coarse.labFromReflectance(every)));
    }
    EXPECT_LT(worst, 0.02);
}

TEST(Colorimeter, AFlatReflectanceIsNeutralUnderEveryLight) {
    for (const std::string& name : lightNames()) {
        for (const ObserverName eye : {ObserverName::cie1931, ObserverName::cie1964}) {
            const Colorimeter colorimeter = colorimeterFor(name, kTenNm, eye);
            const Lab grey = colorimeter.labFromReflectance(std::vector<double>(36, 0.18));
            EXPECT_NEAR(grey.L, 116 * std::cbrt(0.18) - 16, 1e-9) << name;
            EXPECT_NEAR(grey.a, 0, 1e-9) << name;
            EXPECT_NEAR(grey.b, 0, 1e-9) << name;
            const Lab white = colorimeter.labFromReflectance(std::vector<double>(36, 1.0));
            EXPECT_NEAR(white.L, 100, 1e-9) << name;
            EXPECT_NEAR(colorimeter.white().Y, 100, 1e-9) << name;
        }
    }
}

TEST(Colorimeter, ManyAtOnceAreTheSameAsOneByOne) {
    const Colorimeter colorimeter = colorimeterFor("F11");
    std::vector<double> block;
    for (std::size_t i = 0; i < 37; ++i) {
        for (std::size_t j = 0; j < 36; ++j) {
            // From black (the straight part of CIELAB) to brightened white.
            block.push_back(1.1 * static_cast<double>(i) / 36 *
                            (0.7 + 0.3 * std::sin(static_cast<double>(i * j) / 40)));
        }
    }
    std::vector<Lab> labs(37);
    colorimeter.labsFromReflectances(block, labs);
    for (std::size_t i = 0; i < labs.size(); ++i) {
        const Lab one = colorimeter.labFromReflectance(std::span(block).subspan(i * 36, 36));
        EXPECT_NEAR(labs[i].L, one.L, 1e-10) << i;
        EXPECT_NEAR(labs[i].a, one.a, 1e-10) << i;
        EXPECT_NEAR(labs[i].b, one.b, 1e-10) << i;
    }
    colorimeter.labsFromReflectances({}, {});
}

TEST(Colorimeter, TellsHowMuchIsExtrapolated) {
    EXPECT_EQ(colorimeterFor("D50", kFineGrid).extrapolatedFraction(), 0);
    EXPECT_LT(colorimeterFor("D50").extrapolatedFraction(), 1e-4);
    // The definition, summed here on its own.
    const auto& eye = observer(ObserverName::cie1931);
    const auto power = lightByName("A").value().power.values;
    double inside = 0;
    double whole = 0;
    for (std::size_t i = 0; i < kFineGrid.count; ++i) {
        const double nm = kFineGrid.atNm(i);
        whole += power[i] * eye.yBar[i];
        if (nm >= 400 && nm <= 700) inside += power[i] * eye.yBar[i];
    }
    const double outside = colorimeterFor("A", {400, 10, 31}).extrapolatedFraction();
    EXPECT_NEAR(outside, 1 - inside / whole, 1e-12);
    EXPECT_GT(outside, 0);
    EXPECT_GT(colorimeterFor("A", {450, 10, 16}).extrapolatedFraction(), 0.2);
}

TEST(Colorimeter, HoldsTheEndValueOutsideTheGrid) {
    const Colorimeter narrow = colorimeterFor("E", {450, 10, 21});
    const Colorimeter full = colorimeterFor("E", kFineGrid);
    std::vector<double> ramp;
    std::vector<double> held;
    for (std::size_t i = 0; i < 21; ++i) ramp.push_back(0.2 + 0.01 * static_cast<double>(i));
    for (std::size_t i = 0; i < kFineGrid.count; ++i) {
        held.push_back(0.2 + 0.001 * (std::clamp(kFineGrid.atNm(i), 450.0, 650.0) - 450));
    }
    EXPECT_LT(deltaE76(narrow.labFromReflectance(ramp), full.labFromReflectance(held)), 1e-9);
}

TEST(Colorimeter, RefusesWhatDoesNotFit) {
    const Colorimeter colorimeter = colorimeterFor("D50");
    EXPECT_THROW((void)colorimeter.xyzFromReflectance(std::vector<double>(35)), ContractViolation);
    std::vector<Lab> two(2);
    EXPECT_THROW(colorimeter.labsFromReflectances(std::vector<double>(36), two), ContractViolation);
    EXPECT_THROW(colorimeterFor("D50", {380, 10, 0}), ContractViolation);
    EXPECT_THROW(colorimeterFor("D50", {380, 0, 36}), ContractViolation);
}

// Source: CIE 15:2018, 8.2.1 with numbers worked by hand: 8 = 903.3 (216/24389) at the join; 1 % reflectance
// is on the root, 0.5 % on the straight part.
TEST(Cielab, BothParts) {
    const Xyz white{96.42, 100, 82.51};
    EXPECT_NEAR(labFromXyz({0, 0, 0}, white).L, 0, 1e-12);
    EXPECT_NEAR(labFromXyz({96.42 * 0.005, 0.5, 82.51 * 0.005}, white).L, 24389.0 / 27 * 0.005, 1e-9);
    EXPECT_NEAR(labFromXyz({96.42 * 0.01, 1, 82.51 * 0.01}, white).L, 116 * std::cbrt(0.01) - 16, 1e-9);
    const double join = 216.0 / 24389;
    EXPECT_NEAR(labFromXyz({0, 100 * join, 0}, white).L, 8, 1e-9);
    EXPECT_NEAR(labFromXyz({0, 100 * (join + 1e-12), 0}, white).L, 8, 1e-8);
    // Source: more X than grey is redder, more Z than grey is bluer.
    EXPECT_GT(labFromXyz({20, 20, 16.5}, white).a, 0);
    EXPECT_LT(labFromXyz({19.28, 20, 20}, white).b, 0);
}

TEST(Cielab, GoesThereAndBack) {
    const Xyz white{96.42, 100, 82.51};
    for (const Lab& lab : {Lab{50, 20, -30}, Lab{3, 0.5, -0.5}, Lab{95, -1, 6}, Lab{8, 0, 0}, Lab{0, 0, 0}}) {
        EXPECT_LT(deltaE76(labFromXyz(xyzFromLab(lab, white), white), lab), 1e-10);
    }
}

TEST(VisualDensity, IsMinusTheLogarithm) {
    EXPECT_DOUBLE_EQ(visualDensityFromY(100), 0);
    EXPECT_NEAR(visualDensityFromY(1), 2, 1e-12);
    EXPECT_NEAR(visualDensityFromY(18.0), 0.7447, 1e-4);
    EXPECT_EQ(visualDensityFromY(0), 8);
}

// Visual density is defined with illuminant A; for neutral papers the light hardly matters.
TEST(VisualDensity, OfAGreyHardlyDependsOnTheLight) {
    const auto reflectances = referenceRows("munsell_reflectance.csv");
    const Colorimeter d50 = colorimeterFor("D50", {400, 5, 61});
    const Colorimeter a = colorimeterFor("A", {400, 5, 61});
    int greys = 0;
    double worst = 0;
    for (const auto& row : reflectances) {
        const Lab lab = d50.labFromReflectance(row);
        if (std::hypot(lab.a, lab.b) > 2) continue;
        ++greys;
        worst = std::max(worst, std::abs(visualDensityFromY(d50.xyzFromReflectance(row).Y) -
                                         visualDensityFromY(a.xyzFromReflectance(row).Y)));
    }
    EXPECT_GE(greys, 5);
    EXPECT_LT(worst, 0.005);
}

}  // namespace
}  // namespace greywright::colour

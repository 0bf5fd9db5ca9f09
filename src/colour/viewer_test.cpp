#include "colour/viewer.h"

#include <cmath>

#include <gtest/gtest.h>

#include "colour/light.h"
#include "colour/reference_rows.h"
#include "colour/tables.h"
#include "testing/near.h"

namespace greywright::colour {
namespace {

using testing::allNear;

constexpr std::size_t kCount = kFineGrid.count;
constexpr double kFirstNm = 390;  // of the tables

double at(const ConeFundamentals& cones, std::size_t cone, double nm) {
    return cones[cone * kCount + static_cast<std::size_t>(nm - kFineGrid.startNm)];
}

// log10 of the ratio of two viewers' sensitivity at `nm`, less the same at `awayNm`: free of the scaling to a
// peak of one.
double logRatio(const ConeFundamentals& one, const ConeFundamentals& other, std::size_t cone, double nm,
                double awayNm) {
    return std::log10(at(one, cone, nm) / at(other, cone, nm)) -
           std::log10(at(one, cone, awayNm) / at(other, cone, awayNm));
}

TEST(Viewer, TheMeanObserverHasTheTabulatedConeFundamentals) {
    // Source: Stockman and Sharpe (2000), CIE 170-1:2006 (tests/reference). The tables print S up to 615 nm.
    for (const int degrees : {2, 10}) {
        const auto rows = referenceRows("cone_fundamentals_" + std::to_string(degrees) + "_degrees.csv");
        ASSERT_EQ(rows.size(), 441U);
        const ConeFundamentals cones = coneFundamentals({.fieldDegrees = static_cast<double>(degrees)});
        for (std::size_t cone = 0; cone < 3; ++cone) {
            std::vector<double> ours, theirs;
            for (std::size_t i = 10; i <= 310; ++i) {
                ours.push_back(at(cones, cone, kFirstNm + double(i)));
                theirs.push_back(rows[i][1 + cone]);
            }
            EXPECT_TRUE(allNear(ours, theirs, 1.3e-3)) << degrees << " degrees, cone " << cone;
        }
    }
}

TEST(Viewer, TheirTristimulusValuesAreThoseOfTheStandard) {
    // Source: CIE 170-2:2015, colour matching functions (tests/reference).
    for (const int degrees : {2, 10}) {
        const auto cones = referenceRows("cone_fundamentals_" + std::to_string(degrees) + "_degrees.csv");
        for (const auto& row : referenceRows("cone_xyz_" + std::to_string(degrees) + "_degrees.csv")) {
            const auto& lms = cones[static_cast<std::size_t>(row[0] - kFirstNm)];
            const Xyz xyz = xyzFromCones({lms[1], lms[2], lms[3]}, degrees);
            EXPECT_NEAR(xyz.X, row[1], 2e-6) << row[0];
            EXPECT_NEAR(xyz.Y, row[2], 2e-6) << row[0];
            EXPECT_NEAR(xyz.Z, row[3], 2e-6) << row[0];
        }
    }
}

TEST(Viewer, TheLensAgesAsTheStandardSays) {
    // Source: lens density by age from the tables of CIE 170-1:2006 after Pokorny, Smith and Lutze (1987), as
    // another implementation of them gives it, to three decimals: at 400, 440, 500 and 600 nm.
    struct Age {
        double years, at400, at440, at500, at600;
    };
    constexpr Age kThirtyTwo{32, 1.765, 0.341, 0.154, 0.030};
    const ConeFundamentals young = coneFundamentals({});
    for (const Age& age : {Age{20, 1.606, 0.267, 0.117, 0.023}, Age{50, 2.003, 0.453, 0.209, 0.040},
                           Age{60, 2.136, 0.515, 0.240, 0.046}, Age{70, 2.577, 0.722, 0.342, 0.066},
                           Age{80, 3.018, 0.929, 0.445, 0.086}}) {
        const ConeFundamentals old = coneFundamentals({.ageYears = age.years});
        const double away = age.at600 - kThirtyTwo.at600;
        EXPECT_NEAR(logRatio(old, young, 1, 400, 600), -(age.at400 - kThirtyTwo.at400 - away), 0.0021)
            << age.years;
        EXPECT_NEAR(logRatio(old, young, 1, 440, 600), -(age.at440 - kThirtyTwo.at440 - away), 0.0021)
            << age.years;
        EXPECT_NEAR(logRatio(old, young, 1, 500, 600), -(age.at500 - kThirtyTwo.at500 - away), 0.0021)
            << age.years;
    }
}

// How each trait acts, from its definition, against the difference of two viewers.
TEST(Viewer, EveryTraitActsAsItsDerivativeSays) {
    constexpr double kStep = 1e-5;
    const tables::Table& table = tables::conePigmentsAndMedia;
    const ConeFundamentals mean = coneFundamentals({});
    const auto slope = [&](const ViewerTraits& traits, std::size_t cone, double nm) {
        return logRatio(coneFundamentals(traits), mean, cone, nm, 600) / kStep;
    };
    for (const double nm : {410.0, 440.0, 470.0, 500.0, 530.0, 560.0}) {
        const auto i = static_cast<std::size_t>(nm - kFirstNm);
        const auto away = static_cast<std::size_t>(600 - kFirstNm);
        const auto lens = table.column(3), steady = table.column(4), macular = table.column(5);
        EXPECT_NEAR(slope({.lensDeviation = kStep}, 1, nm), -(lens[i] - lens[away]), 1e-4) << nm;
        EXPECT_NEAR(slope({.macularDeviation = kStep}, 1, nm), -macular[i], 1e-4) << nm;
        EXPECT_NEAR(slope({.ageYears = 32 + kStep}, 1, nm),
                    -0.02 * ((lens[i] - steady[i]) - (lens[away] - steady[away])), 1e-4)
            << nm;
        constexpr double kDensity = 0.38 + 0.54 * 0.2230439;  // exp(-2 / 1.333)
        for (std::size_t cone = 0; cone < 2; ++cone) {
            const auto pigment = table.column(cone);
            // d log10(1 - 10^(-D A)) / d ln D = D A 10^(-D A) / (1 - 10^(-D A))
            const auto byDensity = [&](std::size_t k) {
                const double u = kDensity * std::pow(10, pigment[k]);
                return u * std::pow(10, -u) / (1 - std::pow(10, -u));
            };
            ViewerTraits denser;
            denser.pigmentDeviation[cone] = kStep;
            EXPECT_NEAR(slope(denser, cone, nm), byDensity(i) - byDensity(away), 2e-4) << nm;
            // d log10(1 - 10^(-D A)) / d nm = the above times the slope of log absorbance, in ln 10
            const double peakNm = cone == 0 ? 551.9 : 529.8;
            const auto byShift = [&](std::size_t k) {
                const double slopeOfTable = (pigment[k + 1] - pigment[k - 1]) / 2;
                return -byDensity(k) * std::log(10) * slopeOfTable * (kFirstNm + double(k)) / peakNm;
            };
            ViewerTraits shifted;
            shifted.peakShiftNm[cone] = kStep;
            EXPECT_NEAR(slope(shifted, cone, nm), byShift(i) - byShift(away), 1e-4) << nm << ' ' << cone;
        }
    }
}

TEST(Viewer, ALongerPigmentSeesMoreRed) {
    const ConeFundamentals serine = coneFundamentals({.longWave = LongWavePigment::serine});
    const ConeFundamentals alanine = coneFundamentals({.longWave = LongWavePigment::alanine});
    const ConeFundamentals mean = coneFundamentals({});
    EXPECT_GT(at(serine, 0, 650), at(mean, 0, 650));
    EXPECT_LT(at(alanine, 0, 650), at(mean, 0, 650));
}

TEST(Viewer, FewerPigmentsAndBareMediaStayFinite) {
    ViewerTraits bare{.lensDeviation = -2, .macularDeviation = -2, .pigmentDeviation = {-2, -2, -2}};
    for (const double value : coneFundamentals(bare)) EXPECT_TRUE(std::isfinite(value));
}

struct Moments {
    double mean = 0, square = 0;
    void add(double value, std::size_t count) {
        mean += value / static_cast<double>(count);
        square += value * value / static_cast<double>(count);
    }
    [[nodiscard]] double deviation() const { return std::sqrt(square - mean * mean); }
};

TEST(Viewer, APopulationHasTheSpreadThatWasMeasured) {
    const Population population;
    Moments lens, macular, age, keenness, serine;
    std::array<Moments, 3> pigment, peak;
    for (const Viewer& viewer : viewersOf(population, 0, population.count)) {
        const ViewerTraits& traits = viewer.traits;
        age.add(traits.ageYears, population.count);
        lens.add(traits.lensDeviation, population.count);
        macular.add(traits.macularDeviation, population.count);
        keenness.add(viewer.keenness, population.count);
        const bool longer = traits.longWave == LongWavePigment::serine;
        serine.add(longer ? 1 : 0, population.count);
        for (std::size_t cone = 0; cone < 3; ++cone) {
            const double form = cone > 0 ? 0 : longer ? 2.7 * 0.44 : -2.7 * 0.56;
            pigment[cone].add(traits.pigmentDeviation[cone], population.count);
            peak[cone].add(traits.peakShiftNm[cone] + form, population.count);
        }
    }
    EXPECT_NEAR(age.mean, 47.5, 0.3);
    EXPECT_NEAR(age.deviation(), 55 / std::sqrt(12.0), 0.3);
    EXPECT_NEAR(serine.mean, 0.56, 0.01);
    EXPECT_NEAR(keenness.deviation(), 1, 0.02);
    // Source: Asano, Fairchild and Blonde (2016), standard deviations after the fit.
    EXPECT_NEAR(lens.deviation(), 0.187, 0.004);
    EXPECT_NEAR(macular.deviation(), 0.365, 0.008);
    const std::array<double, 3> expectedPigment{0.090, 0.090, 0.074};
    const std::array<double, 3> expectedPeak{2.0, 1.5, 1.3};
    for (std::size_t cone = 0; cone < 3; ++cone) {
        EXPECT_NEAR(pigment[cone].mean, 0, 0.003);
        EXPECT_NEAR(pigment[cone].deviation(), expectedPigment[cone], 0.003) << cone;
        EXPECT_NEAR(peak[cone].mean, 0, 0.05) << cone;
        EXPECT_NEAR(peak[cone].deviation(), expectedPeak[cone], 0.05) << cone;
    }
}

TEST(Viewer, BlocksOfAPopulationAreItsParts) {
    const Population population{.count = 20};
    const auto all = viewersOf(population, 0, 20);
    const auto part = viewersOf(population, 7, 5);
    for (std::size_t i = 0; i < part.size(); ++i) {
        EXPECT_EQ(part[i].traits, all[7 + i].traits);
        EXPECT_EQ(part[i].keenness, all[7 + i].keenness);
    }
}

// What is seen of a print is its patches against the light's white. Lamps with narrow lines are the hardest
// for what is sampled at every fourth nm.
TEST(Viewer, ConesAtNodesSeeWhatConesAtEveryNanometreSee) {
    const std::vector<ViewerTraits> several{{},
                                            {.ageYears = 20, .macularDeviation = 1},
                                            {.ageYears = 80, .lensDeviation = 0.5},
                                            {.fieldDegrees = 10, .pigmentDeviation = {-0.3, 0.3, 0.3}},
                                            {.peakShiftNm = {6, -5, 4}}};
    for (const std::string& name : lightNames()) {
        const std::vector<double> light = lightByName(name).value().power.values;
        // White, and a grey with as much of a wave in it as warm and cool inks have.
        std::vector<double> stimuli = light;
        for (std::size_t i = 0; i < kCount; ++i)
            stimuli.push_back(light[i] * 0.2 * (1 + 0.2 * std::sin(double(i) / 25)));
        const std::vector<double> binned = onConeNodes(stimuli);
        for (const ViewerTraits& traits : several) {
            std::vector<double> fine(6), coarse(6);
            integrate(coneFundamentals(traits), stimuli, fine);
            integrate(conesAtNodes(traits), binned, coarse, kConeNodes.count);
            for (std::size_t row = 0; row < 6; row += 2) {
                const double right = fine[row + 1] / fine[row];
                EXPECT_NEAR(coarse[row + 1] / coarse[row] / right, 1, 2e-4) << name << " " << row / 2;
            }
        }
    }
}

TEST(Viewer, IntegralsAreSumsOfProducts) {
    std::vector<double> sensitivities(2 * kCount), stimuli(3 * kCount), responses(6);
    for (std::size_t i = 0; i < sensitivities.size(); ++i) sensitivities[i] = std::sin(0.1 * double(i));
    for (std::size_t i = 0; i < stimuli.size(); ++i) stimuli[i] = std::cos(0.07 * double(i));
    integrate(sensitivities, stimuli, responses);
    double sum = 0;
    for (std::size_t i = 0; i < kCount; ++i) sum += sensitivities[kCount + i] * stimuli[2 * kCount + i];
    EXPECT_NEAR(responses[1 * 3 + 2], sum, 1e-10);
}

}  // namespace
}  // namespace greywright::colour

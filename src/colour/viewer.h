#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "colour/lab.h"
#include "colour/spectrum.h"

namespace greywright::colour {

/// The two common forms of the long-wave pigment, and the mean of people that the CIE tabulates.
enum class LongWavePigment { mean, serine, alanine };

/// What makes one pair of eyes different from another.
struct ViewerTraits {
    double ageYears = 32;      ///< Valid: 20..80
    double fieldDegrees = 2;   ///< Valid: 1..10
    double lensDeviation = 0;  ///< of the density for that age: 0.1 is a tenth denser; below -1 counts as -1
    double macularDeviation = 0;                  ///< likewise, for that field
    std::array<double, 3> pigmentDeviation = {};  ///< optical density of L, M, S, likewise
    std::array<double, 3> peakShiftNm = {};       ///< of L, M, S, towards longer wavelengths
    LongWavePigment longWave = LongWavePigment::mean;

    bool operator==(const ViewerTraits&) const = default;
};

/// How far a viewer's pigment absorbs from the tabulated mean, the form of the L pigment included.
/// Units: nm, towards longer wavelengths. Valid: cone 0, 1, 2 for L, M, S.
[[nodiscard]] double peakShiftNm(const ViewerTraits& traits, std::size_t cone);

/// Cone fundamentals: L, M, S one after the other on kFineGrid, zero below 390 nm where the tables begin.
/// Units: sensitivity to energy at the cornea, peak 1.
/// Shape: 3 x kFineGrid.count.
using ConeFundamentals = std::vector<double>;

/// The cones of one viewer.
///
/// Model: CIE 170-1:2006: photopigment absorbance and optical density give what a cone absorbs, lens and
/// macular pigment what reaches it. The lens ages as Pokorny, Smith and Lutze (1987) have it; macular and
/// pigment densities follow the size of the field. The two forms of the L pigment lie 2.7 nm apart around the
/// tabulated mean, 56 % of people having the longer one (Stockman and Rider 2023).
/// Fails to describe: colour-deficient viewers, dim light in which rods see too.
/// Source: CIE 170-1:2006; Stockman and Sharpe (2000), Vision Research 40, 1711-1737; tables: data/README.md.
[[nodiscard]] ConeFundamentals coneFundamentals(const ViewerTraits& traits);

/// Where the cones of many viewers are sampled. Cones are smooth, lamps are not: conesAtNodes() against what
/// onConeNodes() made of a light is the integral over 1 nm, the cones being a cubic between the nodes.
/// Error: of a grey's response over the white's below 2e-4 under any light that ships, 0.02 in b*.
inline constexpr WavelengthGrid kConeNodes{390, 4, 111};

/// Cone fundamentals at the nodes, every cone times a factor of its own.
/// Shape: 3 x kConeNodes.count. Cost: a quarter of coneFundamentals().
[[nodiscard]] std::vector<double> conesAtNodes(const ViewerTraits& traits);

/// Spectra put onto the nodes.
/// Shape: rows of kFineGrid.count become rows of kConeNodes.count.
[[nodiscard]] std::vector<double> onConeNodes(std::span<const double> stimuli);

/// Tristimulus values from the responses of the mean cones of a field.
/// Source: CIE 170-2:2015; the matrices from memory, confirmed to 2e-6 against the tabulated functions. That
/// of 2 degrees serves up to 4 degrees, that of 10 degrees above.
[[nodiscard]] Xyz xyzFromCones(const std::array<double, 3>& lms, double fieldDegrees);

/// How people with normal colour vision differ.
/// Source: Asano, Fairchild and Blonde (2016), PLoS ONE 11(2) e0145671: the standard deviations after the fit
/// to colour matches (last column of their table, from memory; equal to the literature's times the published
/// scales). The literature's own, before the fit, are nearly twice as wide for the pigments.
struct PopulationSpread {
    double lens = 0.187;
    double macular = 0.365;
    std::array<double, 3> pigment = {0.090, 0.090, 0.074};
    std::array<double, 3> peakNm = {2.0, 1.5, 1.3};  ///< that of L with both forms of the pigment together
    double serineShare = 0.56;
};

/// Whom a print is shown to.
struct Population {
    std::size_t count = 1000;
    double youngestYears = 20;
    double oldestYears = 75;
    double fieldDegrees = 2;
    std::uint64_t seed = 1;
    PopulationSpread spread = {};
};

/// One of them. `keenness` is where the viewer stands among people in noticing small differences: a standard
/// normal deviate, positive = notices smaller ones.
struct Viewer {
    ViewerTraits traits = {};
    double keenness = 0;
};

/// Viewers `first` to `first + count - 1` of a population, evenly spread over ages and deviations by a
/// quasi-random sequence. The same for any division into blocks.
/// Valid: 20 <= youngestYears <= oldestYears <= 80; first + count <= population.count.
[[nodiscard]] std::vector<Viewer> viewersOf(const Population& population, std::size_t first,
                                            std::size_t count);

/// Integrals of many sensitivities against many spectra: one product of matrices.
/// Shape: `sensitivities` and `stimuli` hold rows of `count` samples; `responses` gets a row for each
/// sensitivity with a value for each stimulus.
void integrate(std::span<const double> sensitivities, std::span<const double> stimuli,
               std::span<double> responses, std::size_t count = kFineGrid.count);

}  // namespace greywright::colour

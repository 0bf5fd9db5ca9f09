#pragma once

#include <optional>

#include "colour/lab.h"
#include "colour/light.h"

namespace greywright::colour {

/// CIE 1931 chromaticity.
struct Chromaticity {
    double x = 0;
    double y = 0;
};

/// The black body whose chromaticity is nearest.
struct ColourTemperature {
    double kelvin = 0;  ///< correlated colour temperature (CCT)
    double duv = 0;     ///< distance from the Planckian locus in CIE 1960 u, v; positive = greenish
};

[[nodiscard]] Chromaticity chromaticityFromXyz(const Xyz& xyz);

/// Correlated colour temperature and Duv; nothing where they have no meaning: farther than 0.05 from the
/// locus, or outside 1000 K to 100000 K.
/// Source: CIE 15:2018, 9.5 (definition); ANSI C78.377 (Duv and its sign). Found by minimising the distance
/// to Planck's law itself, not by an approximating polynomial.
[[nodiscard]] std::optional<ColourTemperature> colourTemperatureFromXy(const Chromaticity& xy);

/// The same for a light, seen by the 1931 observer.
[[nodiscard]] std::optional<ColourTemperature> colourTemperatureOf(const Light& light);

}  // namespace greywright::colour

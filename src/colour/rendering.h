#pragma once

#include <array>
#include <optional>

#include "colour/light.h"
#include "colour/temperature.h"

namespace greywright::colour {

/// How colours look under a light compared with daylight or a black body of the same colour temperature.
struct Rendering {
    double ra = 0;                       ///< general colour rendering index; 100 = alike
    std::array<double, 8> samples = {};  ///< special indices R1..R8, whose mean is Ra
};

/// The CIE general colour rendering index Ra; nothing where the light has no correlated colour temperature.
/// Source: CIE 13.3:1995, at its 5 nm; reference below 5000 K a black body, else daylight.
[[nodiscard]] std::optional<Rendering> renderingOf(const Light& light);

/// What a list of lights prints of each.
struct LightFigures {
    Chromaticity xy = {};
    std::optional<ColourTemperature> temperature = {};  ///< nothing where it has no meaning
    std::optional<double> ra = {};                      ///< nothing where there is no temperature
};

/// The figures of a light, seen by the 1931 observer. Cost: about a millisecond.
[[nodiscard]] LightFigures figuresOf(const Light& light);

}  // namespace greywright::colour

#pragma once

#include <array>

#include "colour/lab.h"

namespace greywright::studio {

/// sRGB of a colour relative to D50, the screen's white standing for the light's. Colours beyond the screen's
/// are cut off. Units: encoded, 0..1.
/// Source: IEC 61966-2-1; the matrix from XYZ of D50 with Bradford adaptation: B. Lindbloom, from memory.
[[nodiscard]] std::array<double, 3> srgbFromLab(const colour::Lab& lab);

}  // namespace greywright::studio

#pragma once

#include <cstdint>

#include "simulate/camera.h"

namespace greywright::simulate {

/// A print whose L* falls evenly from 95 to 17, on slightly warm paper, and whose grey turns along the ramp
/// by some units of a* and b*. Units: tone 0 .. 100.
[[nodiscard]] Light inkOnPaper(double tonePercent);

/// A photograph by hand, drawn at random: tilt to 35 degrees, any turn, barrel distortion, 0 to 1.5 stops of
/// vignetting, two lamps of different colours, a white balance that is off (on a sensor whose channels
/// overlap), noise, blur, JPEG of quality 85; in three of five a finger lies over a marker of a corner.
[[nodiscard]] Camera anyPhotograph(const sheet::Sheet& sheet, std::uint64_t seed);

/// A scan drawn at random: any quarter turn and up to 5 degrees more, other things beside the page, dust,
/// light that falls off a little.
[[nodiscard]] Camera anyScan(const sheet::Sheet& sheet, std::uint64_t seed);

}  // namespace greywright::simulate

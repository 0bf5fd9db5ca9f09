#pragma once

#include <array>
#include <span>
#include <string_view>
#include <vector>

#include "colour/lab.h"
#include "core/result.h"

namespace greywright::profile {

/// How a profile is asked (ICC.1, rendering intents).
enum class Intent {
    perceptual,  ///< black moved to the black of the format's own medium
    relative,    ///< relative to the paper, which is L* = 100
    absolute,    ///< as measured
};

/// The CIELAB that a profile predicts for device values. Shape: device values side by side, one for each
/// channel of the profile. Units: 0..1, 1 = full light; CIELAB for D50. Errors: profile-not-read (not an ICC
/// profile of grey or RGB that can be read in this direction).
[[nodiscard]] Result<std::vector<colour::Lab>> readBack(std::string_view bytes,
                                                        std::span<const double> device, Intent intent);

/// The device values that a profile gives for colours. Shape and units as for readBack(). Errors:
/// profile-not-read.
[[nodiscard]] Result<std::vector<double>> deviceOf(std::string_view bytes,
                                                   std::span<const colour::Lab> colours, Intent intent);

/// The codes that a device link gives for greys of 0..1. Units: 0 .. 65535. Errors: profile-not-read.
[[nodiscard]] Result<std::vector<std::array<double, 3>>> codesThrough(std::string_view link,
                                                                      std::span<const double> greys);

}  // namespace greywright::profile

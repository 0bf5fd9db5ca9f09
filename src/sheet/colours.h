#pragma once

#include <array>
#include <cstdint>
#include <optional>

#include "core/result.h"

/// Colours beside a grey. For the sources of this module only.
namespace greywright::sheet {

/// A step in percent of the code's whole range. Errors: step-out-of-range.
[[nodiscard]] Outcome checkStep(double stepPercent, double mostPercent);

/// The grey of a tone with so much light added to red, green and blue; nothing where that leaves the range.
[[nodiscard]] std::optional<std::array<std::uint16_t, 3>> colourBeside(
    double tonePercent, const std::array<double, 3>& lightPercent);

}  // namespace greywright::sheet

#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "colour/spectrum.h"
#include "core/result.h"

namespace greywright::colour {

/// The wavelengths of a transmittance: 1 nm from 300 to 830 nm.
inline constexpr WavelengthGrid kGlazingGrid{300, 1, 531};

/// What stands between a light and a print, and again between the print and the eye.
struct Glazing {
    std::string name = {};
    std::string description = {};
    std::string origin = {};
    std::vector<double> transmittance = {};  ///< fractions on kGlazingGrid; empty = nothing in the way

    /// The fraction that passes once. Valid: nm on kGlazingGrid.
    [[nodiscard]] double at(std::size_t index) const {
        return transmittance.empty() ? 1 : transmittance[index];
    }
};

/// "none", "plain-glass", "acrylic", "uv-glass".
[[nodiscard]] std::vector<std::string> glazingNames();

/// A glazing by its name, whatever the case.
///
/// Model: a plateau in the visible and a smooth edge in the ultraviolet, by its middle and its width.
/// Source: common practice in framing: plain glass passes down to about 320 nm, framing acrylic absorbs below
/// about 375 nm, conservation glazing takes 97 to 99 % of what lies below 400 nm. Plateaus from the index of
/// refraction (two surfaces of n = 1.52 and 1.49 reflect 8 and 7.5 %). The shapes of the edges are from
/// memory and simplified: import a measured transmittance where it matters. Errors: unknown-glazing (with the
/// nearest name).
[[nodiscard]] Result<Glazing> glazingByName(std::string_view name);

}  // namespace greywright::colour

#pragma once

#include <span>
#include <string>

#include "colour/light.h"
#include "core/result.h"

namespace greywright::colour {

/// One of the lights that fall on a print together.
struct LightPart {
    Light light = {};
    double share = 0;  ///< of the illuminance, in any unit: lux, per cent, parts
};

/// The light that several lights make together, on the scale of their mean.
///
/// A share is one of illuminance: each part is scaled to its share of luminous power (Y of the 1931
/// observer). Parts with a share of 0 do not count. The ultraviolet end is known only if every part's is.
/// Valid: every light with a share has some luminous power.
/// Errors: mix-empty, mix-share-invalid.
[[nodiscard]] Result<Light> mixOf(std::string name, std::span<const LightPart> parts);

}  // namespace greywright::colour

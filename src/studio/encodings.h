#pragma once

#include <string>

#include "core/result.h"

namespace greywright::studio {

/// The ICC profile of "grey" (gamma 2.2), "srgb" or "p3", or of a file of that name. Errors:
/// encoding-unknown; those of readWholeFile(), picture::profileOf() and picture::channelsOfProfile().
[[nodiscard]] Result<std::string> profileNamed(const std::string& encoding);

}  // namespace greywright::studio

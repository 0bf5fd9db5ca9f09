#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>

namespace greywright {

/// The one of `names` that `wanted` was most likely meant to be, or nothing when none is close: letters
/// inserted, left out, changed or swapped with their neighbour, capitals ignored, at most one in three.
[[nodiscard]] std::optional<std::string> nearestName(std::string_view wanted,
                                                     std::span<const std::string> names);

/// Whether two names are one, capitals (A to Z) ignored.
[[nodiscard]] bool sameName(std::string_view one, std::string_view other);

}  // namespace greywright

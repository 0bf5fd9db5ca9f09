#pragma once

#include <algorithm>
#include <string_view>

#include "sheet/sheet.h"

/// For the sources of this module only.
namespace greywright::sheet {

struct NamedKind {
    Kind kind;
    std::string_view name;
};

/// What kinds are called in definitions.
inline constexpr NamedKind kKinds[] = {{Kind::ramp, "ramp"},
                                       {Kind::blocks, "blocks"},
                                       {Kind::byEye, "by eye"},
                                       {Kind::camera, "camera"},
                                       {Kind::nearNeutral, "near neutral"}};

[[nodiscard]] inline bool hasColours(const Sheet& sheet) {
    return std::ranges::any_of(sheet.patches, [](const Patch& patch) { return patch.rgb.has_value(); });
}

}  // namespace greywright::sheet

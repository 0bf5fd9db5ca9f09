#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "sheet/sheet.h"

namespace greywright::sheet {

/// A straight stroke of a letter. Units: mm from the upper left corner of the page.
struct Stroke {
    double x1 = 0;
    double y1 = 0;
    double x2 = 0;
    double y2 = 0;
};

/// The thickness of strokes is this part of the height of capitals.
inline constexpr double kStrokeFraction = 0.12;

/// The first character of `text`, as it stands there, that the lettering does not have; nothing when it has
/// them all: A to Z (small letters are drawn as capitals), 0 to 9, blank and % = , . - / : + ( ) # _ ' &
[[nodiscard]] std::optional<std::string> cannotBeLettered(std::string_view text);

/// From the left edge of the first stroke to the right edge of the last. Valid: what can be lettered.
/// Units: mm.
[[nodiscard]] double letteringWidthMm(std::string_view text, double heightMm);

/// The strokes of a line of words. Valid: what can be lettered.
[[nodiscard]] std::vector<Stroke> strokesOf(const Lettering& lettering);

}  // namespace greywright::sheet

#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "figure/scene.h"

/// Setting type without a font: the widths here are an upper bound for the usual sans serifs, so text set by
/// them fits on any machine.
namespace greywright::figure {

/// Height above the baseline and depth below it. Units: fractions of the size.
inline constexpr double kAscent = 0.82;
inline constexpr double kDescent = 0.24;
/// From one baseline to the next. Units: fractions of the size.
inline constexpr double kLineHeight = 1.25;

/// No less than the width of one line of text in Helvetica, Liberation Sans or DejaVu Sans.
/// Units: pt. Source: see type.cpp.
[[nodiscard]] double textWidthPt(std::string_view utf8, double sizePt);

/// The rectangle that a text may ink.
[[nodiscard]] Rect textBox(const Text& text);

/// `utf8` broken into lines no wider than `widthPt`, at spaces where it can be.
[[nodiscard]] std::vector<std::string> wrapped(std::string_view utf8, double sizePt, double widthPt);

/// `utf8`, or as much of its beginning as fits into `widthPt` with an ellipsis behind it.
[[nodiscard]] std::string shortened(std::string_view utf8, double sizePt, double widthPt);

/// `bytes` as valid UTF-8 without control characters: what is not is replaced by U+FFFD, tabs and line ends
/// by a space.
[[nodiscard]] std::string cleanText(std::string_view bytes);

}  // namespace greywright::figure

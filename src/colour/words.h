#pragma once

#include <string>

#include "colour/lab.h"

namespace greywright::colour {

/// The direction of a tint in a word a photographer uses: red, orange, yellow, yellow-green, green, cyan,
/// blue or magenta; "no colour" for none at all. Source: eight sectors of 45 degrees of CIELAB hue angle,
/// centred where each name is customary for pale tints (common practice): red 0 (+a*), yellow 90 (+b*), green
/// 180, blue 270.
[[nodiscard]] std::string tintName(const Tint& tint);

}  // namespace greywright::colour

#pragma once

#include <optional>
#include <span>
#include <utility>
#include <vector>

#include "figure/scene.h"

namespace greywright::figure {

/// The part of a straight line within `area`, or nothing. Source: Liang and Barsky 1984.
[[nodiscard]] std::optional<std::pair<Point, Point>> clippedSegment(Point a, Point b, const Rect& area);

/// The pieces of a chain within `area`.
[[nodiscard]] std::vector<std::vector<Point>> clippedChain(std::span<const Point> chain, const Rect& area);

/// What of a ring's inside lies within `area`; parts of it may be joined by lines along the edge.
/// Source: Sutherland and Hodgman 1974.
[[nodiscard]] std::vector<Point> clippedRing(std::span<const Point> ring, const Rect& area);

}  // namespace greywright::figure

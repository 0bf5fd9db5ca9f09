#pragma once

#include <cstddef>
#include <vector>

#include "figure/ticks.h"

namespace greywright::figure {

/// A place in a plot. Units: those of the plot's axes.
struct XY {
    double x = 0;
    double y = 0;
    bool operator==(const XY&) const = default;
};

/// Values on a regular grid, its corners at the ends of the two ranges. A value that is not finite is a hole.
/// Shape: values[row * columns + column], row 0 at y.low. Valid: at least 2 columns and 2 rows.
struct Grid {
    Range x = {};
    Range y = {};
    std::size_t columns = 0;
    std::size_t rows = 0;
    std::vector<double> values = {};
};

/// A chain along which the grid has one value. A closed one ends where it began, without repeating the point.
struct ContourLine {
    std::vector<XY> points = {};
    bool closed = false;
};

/// The lines of one level, with values interpolated linearly along the sides of each cell. What equals the
/// level counts as above it; where a cell can be read two ways, the mean of its corners decides.
/// Source: marching squares after Lorensen and Cline 1987, in two dimensions.
/// Cost: linear in the number of values, and n log n in the crossings.
[[nodiscard]] std::vector<ContourLine> contourLines(const Grid& grid, double level);

/// Closed rings around everything at or above `level`; a point within an odd number of them is inside. Holes
/// of the grid and all that lies beyond its edge are outside.
[[nodiscard]] std::vector<std::vector<XY>> contourRegion(const Grid& grid, double level);

}  // namespace greywright::figure

#pragma once

#include <cstddef>
#include <vector>

#include "figure/plot.h"
#include "figure/scene.h"

namespace greywright::figure {

/// Where on a page the data of a plot fall.
struct Axes {
    Rect area = {};  ///< what the axes enclose; without width where there is no data
    Range x = {};
    Range y = {};

    /// Where a place of the data is on the page.
    [[nodiscard]] Point toPage(XY at) const;
    /// The place of the data at a point of the page. Valid: an area with width and height.
    [[nodiscard]] XY fromPage(Point at) const;
};

/// The page of a plot with its axes, for a hand that points at it.
struct PlotPage {
    Scene scene = {};
    Axes axes = {};
};

/// One patch of a strip or one cell of a table, by its row and column counted from 0.
struct PlacedCell {
    std::size_t row = 0;
    std::size_t column = 0;
    Rect box = {};
};

/// A page of patches or cells, and where on it they are.
struct CellPage {
    Scene scene = {};
    std::vector<PlacedCell> cells = {};
};

/// The page of a plot as sceneFromPlot gives it, with its axes. Shape: as for sceneFromPlot.
[[nodiscard]] PlotPage layOut(const Plot& plot);

/// The page of a strip as sceneFromStrip gives it, with its patches.
[[nodiscard]] CellPage layOut(const Strip& strip);

/// The page of cells as sceneFromCells gives it, with its cells. Shape: as for sceneFromCells.
[[nodiscard]] CellPage layOut(const Cells& cells);

/// The page that shows `plot`; without anything to draw it says "No data". Labels are put where they cover
/// least; words too long for the page are broken, or cut with an ellipsis.
/// Shape: as Plot states for its series; anything else is a contract violation.
[[nodiscard]] Scene sceneFromPlot(const Plot& plot);

/// The page that shows `strip`, as high as it needs to be. Of labels that would run into each other only
/// every so many are shown.
[[nodiscard]] Scene sceneFromStrip(const Strip& strip);

/// The page that shows `cells`, as high as it needs to be. Numbers that are wider than their cells are left
/// out, names of columns that would run into each other likewise.
/// Shape: as Cells states; anything else is a contract violation.
[[nodiscard]] Scene sceneFromCells(const Cells& cells);

}  // namespace greywright::figure

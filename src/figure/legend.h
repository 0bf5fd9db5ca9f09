#pragma once

#include <vector>

#include "figure/plot.h"
#include "figure/scene.h"

namespace greywright::figure {

/// The named series of a plot with their places in a legend whose top left corner is at (0, 0).
struct Legend {
    struct Entry {
        const Series* series = nullptr;  ///< of the plot, which outlives the legend
        std::string name = {};
        Point at = {};  ///< top left corner
    };
    std::vector<Entry> entries = {};
    double widthPt = 0;
    double heightPt = 0;  ///< 0 = nothing to name
};

/// Sets the entries side by side in rows no wider than `mostWidthPt`, or one below the other when `stacked`.
[[nodiscard]] Legend legendOf(const Plot& plot, double mostWidthPt, bool stacked);

/// Paints a legend with its top left corner at `at`.
void paintLegend(const Legend& legend, Point at, Scene& scene);

}  // namespace greywright::figure

#pragma once

#include <optional>
#include <string>
#include <vector>

#include "figure/layout.h"
#include "figure/plot.h"
#include "figure/scene.h"

namespace greywright::figure {

/// Whether a number can be drawn: finite and of a size that can be reckoned with.
[[nodiscard]] bool drawable(double value);
[[nodiscard]] bool drawable(XY at);

/// What all series of a plot together span.
struct Extent {
    std::optional<Range> x = {};
    std::optional<Range> y = {};
    bool hasData = false;  ///< more than remarks and reference lines
    bool hasMap = false;   ///< the plot ends where the map does

    void include(XY at);
};

[[nodiscard]] Extent extentOf(const Plot& plot);

/// A series that says its name to the right of the plot, beside its last point.
struct DirectLabel {
    std::string text = {};
    Ink ink = Ink::black;
    XY end = {};
};

/// Where the data fall on the page and what is written around them.
struct Frame : Axes {
    double pageHeightPt = 0;
    std::vector<AxisMark> xMarks = {};
    std::vector<AxisMark> yMarks = {};
    std::vector<std::string> title = {};
    std::vector<std::string> xTitle = {};
    std::vector<std::string> yTitle = {};
    double yLabelsWidthPt = 0;
    double xTitleTopPt = 0;
    double legendTopPt = 0;
    std::vector<DirectLabel> direct = {};
    double directWidthPt = 0;
};

/// Finds room for everything. Valid: a plot that has data. `legendHeightPt` is kept free below.
[[nodiscard]] Frame frameOf(const Plot& plot, const Extent& extent, double legendHeightPt);

/// Whether a line says its name in the right margin: it ends near the right edge of axes that are not tied.
[[nodiscard]] bool namedAtRight(const Plot& plot, const Line& line, Range x);

}  // namespace greywright::figure

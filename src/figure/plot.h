#pragma once

#include <optional>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "figure/contour.h"
#include "figure/palette.h"
#include "figure/ticks.h"

/// What a figure shows, in the data's own units; nothing here knows of a page, a screen or a file.
/// A value that is not finite is a gap.
namespace greywright::figure {

enum class Dash { solid, dashed, dotted, dashDotted, longDashed };
enum class Marker { none, circle, disc, square, triangle, diamond, cross };

/// Where a series says its name.
enum class Naming {
    legend,  ///< in the legend
    direct,  ///< beside its last point, in its own colour
};

/// Points joined in the order given.
struct Line {
    std::vector<XY> points = {};
    std::string name = {};
    Naming naming = Naming::legend;
    Ink ink = Ink::black;
    Dash dash = Dash::solid;
    double widthPt = 1.1;
    Marker marker = Marker::none;
};

/// Points that stand alone, each with a label or an error bar where there is one.
/// Shape: labels, errorX and errorY empty, or one for each point.
struct Points {
    std::vector<XY> points = {};
    std::vector<std::string> labels = {};
    std::vector<double> errorX = {};  ///< half the length of the bar
    std::vector<double> errorY = {};  ///< likewise
    std::string name = {};
    Ink ink = Ink::black;
    Marker marker = Marker::disc;
    double radiusPt = 2.4;
};

/// The area between two curves. Shape: x, low and high of one length.
struct Band {
    std::vector<double> x = {};
    std::vector<double> low = {};
    std::vector<double> high = {};
    std::string name = {};
    Ink ink = Ink::stone;
    double opacity = 0.3;
};

/// A straight line across the whole plot at one value of an axis.
struct ReferenceLine {
    enum class Across { level, upright };
    double at = 0;
    Across across = Across::level;
    std::string label = {};  ///< beside the line
    Ink ink = Ink::black;
    Dash dash = Dash::dotted;
};

/// An ellipse, round with equal semi-axes: a band of equal notice, an uncertainty.
struct Ellipse {
    XY centre = {};
    double semiAxis1 = 1;  ///< along the turned x axis
    double semiAxis2 = 1;
    double angleDegrees = 0;  ///< anticlockwise, in the units of the data
    std::string name = {};
    std::string label = {};  ///< at its rim
    Ink ink = Ink::black;
    Dash dash = Dash::dashed;
    double fillOpacity = 0;
};

/// The ellipse that `scale` standard deviations make of a two-dimensional normal distribution.
/// Valid: a positive semi-definite covariance. scale = 2.146 holds 90 %: sqrt(-2 ln 0.1).
[[nodiscard]] Ellipse ellipseFromCovariance(XY centre, double varianceX, double covariance, double varianceY,
                                            double scale);

/// A map of one value over the plane.
struct Contours {
    Grid grid = {};
    std::vector<double> levels = {};  ///< ascending; empty = round values over the grid's range
    bool filled = true;
    bool lines = true;
    std::string name = {};
};

/// A remark beside a place.
struct Annotation {
    XY at = {};
    std::string text = {};
};

using Series = std::variant<Line, Points, Band, ReferenceLine, Ellipse, Contours, Annotation>;

/// One mark on an axis with words of its own, a month or the name of a light.
struct AxisMark {
    double at = 0;
    std::string text = {};
};

/// A linear axis.
struct Axis {
    std::string title = {};
    std::string unit = {};             ///< set behind the title in brackets
    std::optional<Range> range = {};   ///< empty = round values that hold all data; a map ends at its grid
    std::vector<AxisMark> marks = {};  ///< empty = round values
};

enum class LegendPlace { below, topLeft, topRight, bottomLeft, bottomRight };

/// The least page that a plot is laid out for. Units: pt.
inline constexpr double kLeastPlotWidthPt = 220;
inline constexpr double kLeastPlotHeightPt = 120;

/// A plot: series painted in their order, so areas go first.
struct Plot {
    std::string title = {};
    std::string description = {};  ///< for readers who cannot see it; empty = made up from axes and series
    Axis x = {};
    Axis y = {};
    std::vector<Series> series = {};
    bool equalAspect = false;  ///< one unit is as long on both axes
    bool grid = true;
    LegendPlace legend = LegendPlace::below;
    double widthPt = 460;  ///< Valid: at least kLeastPlotWidthPt
    /// Valid: at least kLeastPlotHeightPt. Grows when the words need it, shrinks for an equal aspect.
    double heightPt = 290;
};

/// One patch of a strip.
struct Swatch {
    Rgb colour = {};
    std::string label = {};
};

/// One row of patches with its name in front.
struct SwatchRow {
    std::string name = {};
    std::vector<Swatch> swatches = {};
};

/// Rows of colour patches, all rows equally wide.
struct Strip {
    std::string title = {};
    std::string description = {};
    std::vector<SwatchRow> rows = {};
    double widthPt = 460;        ///< Valid: at least 150
    double swatchHeightPt = 26;  ///< Valid: above 0
};

/// One row of cells with its name in front.
struct CellRow {
    std::string name = {};
    std::vector<double> fractions = {};  ///< one per column; Valid: 0..1; not finite = nothing known
};

/// A table of shares: the larger a share the darker its cell, and every cell says its share in percent.
/// Shape: as many fractions in every row as there are columns.
struct Cells {
    /// One cell, counted from 0.
    struct Place {
        std::size_t row = 0;
        std::size_t column = 0;
    };
    std::string title = {};
    std::string description = {};   ///< for readers who cannot see it; empty = the largest share of each row
    std::string columnsTitle = {};  ///< what the columns are, above their names
    std::vector<std::string> columns = {};
    std::vector<CellRow> rows = {};
    std::size_t columnsApart = 0;      ///< so many of the last columns stand apart: totals
    std::optional<Place> marked = {};  ///< a cell with a frame around it
    double widthPt = 460;              ///< Valid: at least 150
    double cellHeightPt = 19;          ///< Valid: at least 12
};

}  // namespace greywright::figure

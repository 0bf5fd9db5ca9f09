#include "canvas/readings.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "figure/ticks.h"

namespace greywright::canvas {
namespace {

using figure::Axes;
using figure::Axis;
using figure::Contours;
using figure::Line;
using figure::Plot;
using figure::Point;
using figure::Points;
using figure::Range;
using figure::Series;
using figure::XY;

constexpr const char* kBetween = " · ";
constexpr double kCloseByPt = 8;  // on a map, a sample goes before the map's value

bool known(XY at) {
    return std::isfinite(at.x) && std::isfinite(at.y);
}

double distance(Point a, Point b) {
    return std::hypot(a.x - b.x, a.y - b.y);
}

double distanceToSegment(Point from, Point to, Point point) {
    const double dx = to.x - from.x;
    const double dy = to.y - from.y;
    const double squared = dx * dx + dy * dy;
    const double t = squared > 0 ? ((point.x - from.x) * dx + (point.y - from.y) * dy) / squared : 0;
    const double held = std::clamp(t, 0.0, 1.0);
    return distance({from.x + held * dx, from.y + held * dy}, point);
}

double stepFor(Range range) {
    return range.span() > 0 ? figure::niceStep(range, 6) / 50 : 1;
}

std::string axisText(const Axis& axis, Range shown, double value) {
    const std::string text = valueText(axis, shown, value, true);
    return axis.title.empty() ? text : axis.title + " " + text;
}

std::string joined(const std::string& first, const std::string& second) {
    return first.empty() ? second : first + kBetween + second;
}

/// The value of a map between its grid's nodes; nothing beyond its edge or beside a hole.
std::optional<double> valueAt(const figure::Grid& grid, XY at) {
    if (grid.columns < 2 || grid.rows < 2) return {};
    const double u = (at.x - grid.x.low) / grid.x.span() * static_cast<double>(grid.columns - 1);
    const double v = (at.y - grid.y.low) / grid.y.span() * static_cast<double>(grid.rows - 1);
    constexpr double kSlack = 1e-9;
    if (!(u >= -kSlack && v >= -kSlack && u <= static_cast<double>(grid.columns - 1) + kSlack &&
          v <= static_cast<double>(grid.rows - 1) + kSlack)) {
        return {};
    }
    const auto cell = [](double position, std::size_t count) {
        return std::min(static_cast<std::size_t>(std::max(0.0, position)), count - 2);
    };
    const std::size_t column = cell(u, grid.columns);
    const std::size_t row = cell(v, grid.rows);
    const double s = u - static_cast<double>(column);
    const double t = v - static_cast<double>(row);
    const auto node = [&](std::size_t right, std::size_t up) {
        return grid.values[(row + up) * grid.columns + column + right];
    };
    const double value =
        (1 - t) * ((1 - s) * node(0, 0) + s * node(1, 0)) + t * ((1 - s) * node(0, 1) + s * node(1, 1));
    return std::isfinite(value) ? std::optional(value) : std::nullopt;
}

/// The topmost map's value in words; nothing where there is none.
std::optional<std::string> mapText(const Plot& plot, XY at) {
    for (auto series = plot.series.rbegin(); series != plot.series.rend(); ++series) {
        const auto* map = std::get_if<Contours>(&*series);
        if (map == nullptr) continue;
        const auto value = valueAt(map->grid, at);
        if (!value) continue;
        Range range{std::numeric_limits<double>::infinity(), -std::numeric_limits<double>::infinity()};
        for (const double node : map->grid.values) {
            if (!std::isfinite(node)) continue;
            range = {std::min(range.low, node), std::max(range.high, node)};
        }
        const std::string number = figure::tickText(*value, stepFor(range));
        return map->name.empty() ? number : map->name + ": " + number;
    }
    return {};
}

/// The sample of one series nearest to the pointer, and how near the series itself comes.
struct Nearest {
    double seriesPt = std::numeric_limits<double>::infinity();
    double samplePt = std::numeric_limits<double>::infinity();
    std::size_t sample = 0;
    std::optional<XY> between = {};  ///< where a line that is given by its ends alone is read
};

std::optional<double> interpolated(const std::vector<XY>& points, double x) {
    for (std::size_t i = 0; i < points.size(); ++i) {
        if (!known(points[i])) continue;
        if (points[i].x == x) return points[i].y;
        if (i == 0 || !known(points[i - 1])) continue;
        const XY& before = points[i - 1];
        if (before.x < x && x < points[i].x)
            return before.y + (x - before.x) / (points[i].x - before.x) * (points[i].y - before.y);
    }
    return {};
}

/// A line that is given by its two ends means every place between them.
Nearest nearestBetweenEnds(const std::vector<XY>& ends, const Axes& axes, Point pointer) {
    const double x = axes.fromPage(pointer).x;
    const auto y = interpolated(ends, x);
    if (!y || !axes.area.contains(axes.toPage({x, *y}), 0.5)) return {};
    return {.seriesPt = distanceToSegment(axes.toPage(ends[0]), axes.toPage(ends[1]), pointer),
            .samplePt = distance(axes.toPage({x, *y}), pointer),
            .between = XY{x, *y}};
}

Nearest nearestOf(const std::vector<XY>& points, bool isLine, const Axes& axes, Point pointer) {
    Nearest nearest;
    for (std::size_t i = 0; i < points.size(); ++i) {
        if (!known(points[i])) continue;
        const Point here = axes.toPage(points[i]);
        if (isLine && i > 0 && known(points[i - 1])) {
            nearest.seriesPt =
                std::min(nearest.seriesPt, distanceToSegment(axes.toPage(points[i - 1]), here, pointer));
        }
        if (!axes.area.contains(here, 0.5)) continue;
        const double away = distance(here, pointer);
        if (away < nearest.samplePt) nearest = {nearest.seriesPt, away, i};
    }
    nearest.seriesPt = std::min(nearest.seriesPt, nearest.samplePt);
    return nearest;
}

std::string lineText(const Plot& plot, const Axes& axes, const Line& line, XY at) {
    return joined(line.name, joined(axisText(plot.x, axes.x, at.x), axisText(plot.y, axes.y, at.y)));
}

std::string errorText(const std::vector<double>& errors, std::size_t i, Range shown) {
    if (errors.empty() || !std::isfinite(errors[i]) || errors[i] == 0) return {};
    return " ± " + figure::tickText(std::abs(errors[i]), stepFor(shown));
}

std::string sampleText(const Plot& plot, const Axes& axes, const Series& series, std::size_t i) {
    if (const auto* line = std::get_if<Line>(&series)) return lineText(plot, axes, *line, line->points[i]);
    const auto& points = std::get<Points>(series);
    std::string name = points.name;
    if (!points.labels.empty() && !points.labels[i].empty()) name = joined(name, points.labels[i]);
    return joined(name,
                  joined(axisText(plot.x, axes.x, points.points[i].x) + errorText(points.errorX, i, axes.x),
                         axisText(plot.y, axes.y, points.points[i].y) + errorText(points.errorY, i, axes.y)));
}

bool turnsBack(const std::vector<XY>& points) {
    double last = -std::numeric_limits<double>::infinity();
    for (const XY at : points) {
        if (!known(at)) continue;
        if (at.x < last) return true;
        last = at.x;
    }
    return false;
}

}  // namespace

std::string valueText(const Axis& axis, Range shown, double value, bool withUnit) {
    for (const figure::AxisMark& mark : axis.marks) {
        if (mark.at == value) return mark.text;
    }
    const std::string number = figure::tickText(value, stepFor(shown));
    return withUnit && !axis.unit.empty() ? number + " " + axis.unit : number;
}

std::optional<Reading> readingNear(const Plot& plot, const Axes& axes, Point pointer) {
    const XY at = axes.fromPage(pointer);
    const auto onMap = mapText(plot, at);
    Nearest best;
    const Series* found = nullptr;
    for (const Series& series : plot.series) {
        Nearest here;
        if (const auto* line = std::get_if<Line>(&series)) {
            const bool isByItsEnds = line->points.size() == 2 && line->points[0].x < line->points[1].x;
            here = isByItsEnds ? nearestBetweenEnds(line->points, axes, pointer)
                               : nearestOf(line->points, true, axes, pointer);
        } else if (const auto* points = std::get_if<Points>(&series)) {
            here = nearestOf(points->points, false, axes, pointer);
        }
        if (!std::isfinite(here.samplePt)) continue;
        // Of series that come equally near, the one painted last lies on top.
        if (found != nullptr && here.seriesPt > best.seriesPt) continue;
        best = here;
        found = &series;
    }
    if (found != nullptr && (!onMap || best.samplePt <= kCloseByPt)) {
        if (best.between)
            return Reading{lineText(plot, axes, std::get<Line>(*found), *best.between),
                           axes.toPage(*best.between)};
        const XY sample = std::holds_alternative<Line>(*found) ? std::get<Line>(*found).points[best.sample]
                                                               : std::get<Points>(*found).points[best.sample];
        return Reading{sampleText(plot, axes, *found, best.sample), axes.toPage(sample)};
    }
    if (onMap) return Reading{readingAtPlace(plot, axes, at), {}};
    return {};
}

std::string readingAtX(const Plot& plot, const Axes& axes, double x) {
    std::string text = axisText(plot.x, axes.x, x);
    bool any = false;
    for (const Series& series : plot.series) {
        const auto* line = std::get_if<Line>(&series);
        if (line == nullptr || line->name.empty() || turnsBack(line->points)) continue;
        const auto y = interpolated(line->points, x);
        if (!y) continue;
        any = true;
        text = joined(text, line->name + ": " + valueText(plot.y, axes.y, *y, false));
    }
    return any && !plot.y.unit.empty() ? text + " (" + plot.y.unit + ")" : text;
}

std::string readingAtPlace(const Plot& plot, const Axes& axes, XY at) {
    const std::string place = joined(axisText(plot.x, axes.x, at.x), axisText(plot.y, axes.y, at.y));
    const auto onMap = mapText(plot, at);
    return onMap ? joined(place, *onMap) : place;
}

std::vector<double> sampledX(const Plot& plot) {
    std::vector<double> all;
    for (const Series& series : plot.series) {
        const auto* line = std::get_if<Line>(&series);
        if (line == nullptr || turnsBack(line->points)) continue;
        for (const XY at : line->points) {
            if (known(at)) all.push_back(at.x);
        }
    }
    std::ranges::sort(all);
    const auto repeated = std::ranges::unique(all);
    all.erase(repeated.begin(), repeated.end());
    return all;
}

}  // namespace greywright::canvas

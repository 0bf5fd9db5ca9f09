#include "figure/frame.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "core/contract.h"
#include "figure/style.h"
#include "figure/type.h"

namespace greywright::figure {
namespace {

constexpr double kLeastAreaPt = 80;
constexpr double kLabelShare = 0.25;  // of the page, for the words on either side
constexpr std::size_t kMostTitleLines = 3;
constexpr double kLeastTiedPt = 40;
constexpr double kTitleOverhangPt = 30;  // less than what the page always has above and below the axes
constexpr double kDirectGapPt = 12;

std::string titleOf(const Axis& axis) {
    if (axis.unit.empty()) return axis.title;
    return axis.title.empty() ? axis.unit : axis.title + " (" + axis.unit + ")";
}

std::vector<std::string> titleLines(const std::string& title, double widthPt) {
    std::vector<std::string> lines = wrapped(title, kAxisTitleSizePt, widthPt);
    if (lines.size() > kMostTitleLines) {
        lines.resize(kMostTitleLines);
        lines.back() = shortened(lines.back() + "\u2026", kAxisTitleSizePt, widthPt);
    }
    return lines;
}

void widen(std::optional<Range>& range, double value) {
    if (!range) {
        range = Range{value, value};
    } else {
        range->low = std::min(range->low, value);
        range->high = std::max(range->high, value);
    }
}

struct ExtentFinder {
    Extent& extent;

    void data(XY at) const {
        if (!drawable(at)) return;
        extent.include(at);
        extent.hasData = true;
    }
    void operator()(const Line& line) const {
        for (const XY at : line.points) data(at);
    }
    void operator()(const Points& points) const {
        const auto half = [](const std::vector<double>& errors, std::size_t i) {
            return errors.empty() || !drawable(errors[i]) ? 0 : std::abs(errors[i]);
        };
        for (const auto* perPoint : {&points.errorX, &points.errorY}) {
            expects(perPoint->empty() || perPoint->size() == points.points.size(), "one error per point");
        }
        expects(points.labels.empty() || points.labels.size() == points.points.size(), "one label per point");
        for (std::size_t i = 0; i < points.points.size(); ++i) {
            const XY at = points.points[i];
            const double dx = half(points.errorX, i);
            const double dy = half(points.errorY, i);
            data({at.x - dx, at.y - dy});
            data({at.x + dx, at.y + dy});
        }
    }
    void operator()(const Band& band) const {
        expects(band.low.size() == band.x.size() && band.high.size() == band.x.size(),
                "a band's x, low and high have one length");
        for (std::size_t i = 0; i < band.x.size(); ++i) {
            if (!drawable(band.low[i]) || !drawable(band.high[i])) continue;
            data({band.x[i], band.low[i]});
            data({band.x[i], band.high[i]});
        }
    }
    void operator()(const ReferenceLine& line) const {
        if (!drawable(line.at)) return;
        widen(line.across == ReferenceLine::Across::level ? extent.y : extent.x, line.at);
    }
    void operator()(const Ellipse& ellipse) const {
        const double c = std::cos(ellipse.angleDegrees * std::numbers::pi / 180);
        const double s = std::sin(ellipse.angleDegrees * std::numbers::pi / 180);
        const double halfX = std::hypot(ellipse.semiAxis1 * c, ellipse.semiAxis2 * s);
        const double halfY = std::hypot(ellipse.semiAxis1 * s, ellipse.semiAxis2 * c);
        if (!drawable({halfX, halfY})) return;
        data({ellipse.centre.x - halfX, ellipse.centre.y - halfY});
        data({ellipse.centre.x + halfX, ellipse.centre.y + halfY});
    }
    void operator()(const Contours& contours) const {
        if (std::ranges::none_of(contours.grid.values, [](double v) { return drawable(v); })) return;
        data({contours.grid.x.low, contours.grid.y.low});
        data({contours.grid.x.high, contours.grid.y.high});
        extent.hasMap = true;
    }
    void operator()(const Annotation& annotation) const {
        if (drawable(annotation.at)) extent.include(annotation.at);
    }
};

int mostTicks(double lengthPt, double spacingPt) {
    return std::clamp(static_cast<int>(lengthPt / spacingPt) + 1, 3, 13);
}

std::vector<AxisMark> marksFrom(const Ticks& ticks) {
    std::vector<AxisMark> marks;
    for (const double at : ticks.at) marks.push_back({at, tickText(at, ticks.step)});
    return marks;
}

double widest(const std::vector<AxisMark>& marks) {
    double width = 0;
    for (const AxisMark& mark : marks) width = std::max(width, textWidthPt(mark.text, kLabelSizePt));
    return width;
}

/// The round marks of an upright axis.
double yStep(Range range, double heightPt) {
    return niceStep(range, mostTicks(heightPt, 26));
}

/// The closest round marks of a level axis whose words do not run into each other.
double xStep(Range range, double widthPt) {
    for (int most = mostTicks(widthPt, 32); most > 3; --most) {
        const Ticks ticks = niceTicks(range, most);
        const double slot = ticks.step / range.span() * widthPt;
        if (widest(marksFrom(ticks)) + 8 <= slot) return ticks.step;
    }
    return niceStep(range, 3);
}

/// A range given by the caller, made usable: with a width, low below high.
Range usable(Range range) {
    expects(drawable(range.low) && drawable(range.high), "an axis range is finite");
    if (range.low > range.high) std::swap(range.low, range.high);
    return range.span() > 0 ? range : niceRange(range, 5);
}

/// The range of an axis that the caller left free.
Range freeRange(const Axis& axis, Range data, bool isMap, int most) {
    if (isMap && data.span() > 0) return data;
    if (axis.marks.empty() || !(data.span() > 0)) return niceRange(data, most);
    return {data.low - 0.05 * data.span(), data.high + 0.05 * data.span()};
}

Range aroundCentre(Range range, double span) {
    const double middle = range.low / 2 + range.high / 2;
    return {middle - span / 2, middle + span / 2};
}

/// Makes one unit equally long on both axes: widens the ranges that are free, else narrows the area, though
/// not so far that nothing could be seen.
void tieAxes(Frame& frame, bool xFree, bool yFree) {
    Rect& area = frame.area;
    const double unitsPerPt = std::max(frame.x.span() / area.width, frame.y.span() / area.height);
    const auto tied = [&](Range range, bool free, double lengthPt) {
        const double least = unitsPerPt * (free ? lengthPt : std::min(lengthPt, kLeastTiedPt));
        return range.span() < least ? aroundCentre(range, least) : range;
    };
    frame.x = tied(frame.x, xFree, area.width);
    frame.y = tied(frame.y, yFree, area.height);
    const double width = frame.x.span() / unitsPerPt;
    area.left += (area.width - width) / 2;
    area.width = width;
    area.height = frame.y.span() / unitsPerPt;
}

std::vector<DirectLabel> directLabels(const Plot& plot, Range x) {
    std::vector<DirectLabel> labels;
    for (const Series& series : plot.series) {
        const Line* line = std::get_if<Line>(&series);
        if (line == nullptr || !namedAtRight(plot, *line, x)) continue;
        const auto last =
            std::find_if(line->points.rbegin(), line->points.rend(), [](XY at) { return drawable(at); });
        labels.push_back({line->name, line->ink, *last});
    }
    return labels;
}

void setMarks(const Plot& plot, Frame& frame) {
    const auto within = [](const std::vector<AxisMark>& marks, Range range) {
        std::vector<AxisMark> kept;
        for (const AxisMark& mark : marks) {
            if (mark.at >= range.low && mark.at <= range.high) kept.push_back(mark);
        }
        return kept;
    };
    double stepX = xStep(frame.x, frame.area.width);
    double stepY = yStep(frame.y, frame.area.height);
    if (plot.equalAspect) stepX = stepY = std::max(stepX, stepY);
    frame.xMarks = plot.x.marks.empty() ? marksFrom(ticksAt(frame.x, stepX)) : within(plot.x.marks, frame.x);
    frame.yMarks = plot.y.marks.empty() ? marksFrom(ticksAt(frame.y, stepY)) : within(plot.y.marks, frame.y);
    const double mostWidth = plot.widthPt * kLabelShare;
    for (auto* marks : {&frame.xMarks, &frame.yMarks}) {
        for (AxisMark& mark : *marks) mark.text = shortened(mark.text, kLabelSizePt, mostWidth);
    }
    frame.yLabelsWidthPt = widest(frame.yMarks);
}

}  // namespace

bool drawable(double value) {
    return std::isfinite(value) && std::abs(value) <= 1e100;
}

bool drawable(XY at) {
    return drawable(at.x) && drawable(at.y);
}

void Extent::include(XY at) {
    widen(x, at.x);
    widen(y, at.y);
}

Extent extentOf(const Plot& plot) {
    Extent extent;
    for (const Series& series : plot.series) std::visit(ExtentFinder{extent}, series);
    return extent;
}

Point Axes::toPage(XY at) const {
    return {area.left + (at.x - x.low) / x.span() * area.width,
            area.bottom() - (at.y - y.low) / y.span() * area.height};
}

XY Axes::fromPage(Point at) const {
    expects(area.width > 0 && area.height > 0, "axes enclose an area");
    return {x.low + (at.x - area.left) / area.width * x.span(),
            y.low + (area.bottom() - at.y) / area.height * y.span()};
}

bool namedAtRight(const Plot& plot, const Line& line, Range x) {
    if (plot.equalAspect || line.naming != Naming::direct || line.name.empty()) return false;
    const auto last =
        std::find_if(line.points.rbegin(), line.points.rend(), [](XY at) { return drawable(at); });
    return last != line.points.rend() && last->x <= x.high && last->x >= x.high - 0.08 * x.span();
}

Frame frameOf(const Plot& plot, const Extent& extent, double legendHeightPt) {
    expects(plot.widthPt >= kLeastPlotWidthPt && plot.heightPt >= kLeastPlotHeightPt,
            "a plot is at least 220 by 120 pt");
    const double innerWidth = plot.widthPt - 2 * kPagePaddingPt;
    Frame frame;
    frame.title = wrapped(plot.title, kTitleSizePt, innerWidth);
    frame.xTitle = titleLines(titleOf(plot.x), innerWidth * 0.7);
    const double top = kPagePaddingPt + linesHeightPt(frame.title.size(), kTitleSizePt) + 5;
    const double belowArea = kTickGapPt + kLabelSizePt * kLineHeight + 3 +
                             linesHeightPt(frame.xTitle.size(), kAxisTitleSizePt) + kPagePaddingPt +
                             legendHeightPt;
    const double height = std::max(kLeastAreaPt, plot.heightPt - top - belowArea);

    const bool xFree = !plot.x.range && !extent.hasMap;
    const bool yFree = !plot.y.range && !extent.hasMap;
    double right = 16;
    // What is written beside the axes depends on their ranges, and with tied axes the other way round too.
    for (int pass = 0; pass < 3; ++pass) {
        const double left = kPagePaddingPt + linesHeightPt(frame.yTitle.size(), kAxisTitleSizePt) +
                            frame.yLabelsWidthPt + kTickGapPt + 4;
        frame.area = {left, top, std::max(40.0, plot.widthPt - left - right), height};
        frame.x = plot.x.range ? usable(*plot.x.range)
                               : freeRange(plot.x, *extent.x, extent.hasMap, mostTicks(plot.widthPt, 52));
        frame.y = plot.y.range ? usable(*plot.y.range)
                               : freeRange(plot.y, *extent.y, extent.hasMap, mostTicks(height, 32));
        if (plot.equalAspect) tieAxes(frame, xFree, yFree);
        frame.yTitle = titleLines(titleOf(plot.y), frame.area.height + kTitleOverhangPt);
        setMarks(plot, frame);
        frame.direct = directLabels(plot, frame.x);
        frame.directWidthPt = 0;
        for (DirectLabel& label : frame.direct) {
            label.text = shortened(label.text, kLabelSizePt, plot.widthPt * kLabelShare);
            frame.directWidthPt = std::max(frame.directWidthPt, textWidthPt(label.text, kLabelSizePt));
        }
        const double lastLabel =
            frame.xMarks.empty() ? 0 : textWidthPt(frame.xMarks.back().text, kLabelSizePt);
        right = kPagePaddingPt +
                std::max(lastLabel / 2, frame.direct.empty() ? 0 : frame.directWidthPt + kDirectGapPt);
    }
    frame.xTitleTopPt = frame.area.bottom() + kTickGapPt + kLabelSizePt * kLineHeight + 3;
    frame.legendTopPt = frame.xTitleTopPt + linesHeightPt(frame.xTitle.size(), kAxisTitleSizePt);
    frame.pageHeightPt = frame.area.bottom() + belowArea;
    return frame;
}

}  // namespace greywright::figure

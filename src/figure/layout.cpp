#include "figure/layout.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "core/contract.h"
#include "figure/frame.h"
#include "figure/legend.h"
#include "figure/paint_series.h"
#include "figure/place_labels.h"
#include "figure/style.h"
#include "figure/type.h"

namespace greywright::figure {
namespace {

constexpr double kLegendGapPt = 4;
constexpr double kCornerGapPt = 5;

/// What a reader who cannot see the plot is told when the caller gives nothing better.
std::string describe(const Plot& plot, const Frame& frame) {
    const auto axis = [](const char* which, const Axis& of, Range range, const std::vector<AxisMark>& marks) {
        const double step = marks.size() > 1 ? std::abs(marks[1].at - marks[0].at) : range.span();
        const double digits = step > 0 ? step / 10 : 1;
        std::string text = which;
        if (!of.title.empty()) text += ": " + of.title;
        text += " from " + tickText(range.low, digits) + " to " + tickText(range.high, digits);
        return of.unit.empty() ? text : text + " " + of.unit;
    };
    std::string text = axis("Level axis", plot.x, frame.x, frame.xMarks) + ". " +
                       axis("Upright axis", plot.y, frame.y, frame.yMarks) + ".";
    std::string names;
    for (const Series& series : plot.series) {
        const std::string name = std::visit(
            [](const auto& one) -> std::string {
                if constexpr (requires { one.name; }) return one.name;
                return {};
            },
            series);
        if (!name.empty()) names += (names.empty() ? "" : ", ") + name;
    }
    return names.empty() ? text : text + " Shown: " + names + ".";
}

void addRule(Scene& scene, Point from, Point to, Rgb colour, double widthPt) {
    add(scene, Polyline{{from, to}, Stroke{colour, widthPt, {}}});
}

void paintGrid(const Frame& frame, Scene& scene) {
    const Rect& area = frame.area;
    for (const AxisMark& mark : frame.xMarks) {
        const double x = frame.toPage({mark.at, frame.y.low}).x;
        addRule(scene, {x, area.top}, {x, area.bottom()}, kGridColour, 0.5);
    }
    for (const AxisMark& mark : frame.yMarks) {
        const double y = frame.toPage({frame.x.low, mark.at}).y;
        addRule(scene, {area.left, y}, {area.right(), y}, kGridColour, 0.5);
    }
}

/// Axis lines, marks and titles; of words that would meet, the later ones stay away.
void paintAxes(const Plot& plot, const Frame& frame, Scene& scene) {
    const Rect& area = frame.area;
    addRule(scene, {area.left, area.bottom()}, {area.right(), area.bottom()}, kAxisColour, 0.75);
    addRule(scene, {area.left, area.top}, {area.left, area.bottom()}, kAxisColour, 0.75);
    double freeFrom = 0;
    for (const AxisMark& mark : frame.xMarks) {
        const double x = frame.toPage({mark.at, frame.y.low}).x;
        addRule(scene, {x, area.bottom()}, {x, area.bottom() + kTickLengthPt}, kAxisColour, 0.75);
        const Text text{.at = {x, area.bottom() + kTickGapPt + kAscent * kLabelSizePt},
                        .text = mark.text,
                        .sizePt = kLabelSizePt,
                        .colour = kQuietTextColour,
                        .anchor = Anchor::middle};
        const Rect box = textBox(text);
        if (box.left < freeFrom || box.right() > plot.widthPt) continue;
        freeFrom = box.right() + 3;
        add(scene, text);
    }
    double freeBelow = frame.pageHeightPt;
    for (const AxisMark& mark : frame.yMarks) {
        const double y = frame.toPage({frame.x.low, mark.at}).y;
        addRule(scene, {area.left - kTickLengthPt, y}, {area.left, y}, kAxisColour, 0.75);
        const Text text{.at = {area.left - kTickGapPt, y + 0.36 * kLabelSizePt},
                        .text = mark.text,
                        .sizePt = kLabelSizePt,
                        .colour = kQuietTextColour,
                        .anchor = Anchor::end};
        const Rect box = textBox(text);
        if (box.bottom() > freeBelow || box.left < 0) continue;
        freeBelow = box.top;
        add(scene, text);
    }
    double titleTop = frame.xTitleTopPt;
    for (const std::string& line : frame.xTitle) {
        const double half = textWidthPt(line, kAxisTitleSizePt) / 2;
        const double middle = std::max(half, std::min(area.centre().x, plot.widthPt - half));
        titleTop = addLines(scene, {line}, {middle, titleTop}, kAxisTitleSizePt, kTextColour, Anchor::middle);
    }
    double left = area.left - kTickGapPt - frame.yLabelsWidthPt - 4 -
                  linesHeightPt(frame.yTitle.size(), kAxisTitleSizePt);
    left = std::max(0.0, left);
    for (const std::string& line : frame.yTitle) {
        const double half = textWidthPt(line, kAxisTitleSizePt) / 2;
        const double middle = std::max(half, std::min(area.centre().y, frame.pageHeightPt - half));
        add(scene, Text{.at = {left + kAscent * kAxisTitleSizePt, middle},
                        .text = line,
                        .sizePt = kAxisTitleSizePt,
                        .colour = kTextColour,
                        .anchor = Anchor::middle,
                        .upwards = true});
        left += linesHeightPt(1, kAxisTitleSizePt);
    }
}

/// Names in the right margin, moved apart where lines end close together.
void paintDirectLabels(const Frame& frame, Scene& scene) {
    struct Placed {
        const DirectLabel* label;
        double wanted;
        double y;
    };
    std::vector<Placed> all;
    const Rect& area = frame.area;
    for (const DirectLabel& label : frame.direct) {
        const double y = std::clamp(frame.toPage(label.end).y, area.top, area.bottom());
        all.push_back({&label, y, y});
    }
    std::ranges::stable_sort(all, {}, &Placed::wanted);
    const double pitch = kLabelSizePt * 1.15;
    for (std::size_t i = 1; i < all.size(); ++i) all[i].y = std::max(all[i].y, all[i - 1].y + pitch);
    // Centre each run of labels that had to move on where they wanted to be.
    for (std::size_t from = 0; from < all.size();) {
        std::size_t to = from + 1;
        while (to < all.size() && all[to].y - all[to - 1].y <= pitch + 1e-9) ++to;
        double drift = 0;
        for (std::size_t i = from; i < to; ++i)
            drift += (all[i].y - all[i].wanted) / static_cast<double>(to - from);
        if (from > 0) drift = std::min(drift, all[from].y - all[from - 1].y - pitch);
        for (std::size_t i = from; i < to; ++i) all[i].y -= drift;
        from = to;
    }
    for (const Placed& placed : all) {
        const Rgb colour = rgb(placed.label->ink);
        if (std::abs(placed.y - placed.wanted) > 1) {
            addRule(scene, {area.right() + 2, placed.wanted}, {area.right() + 8.5, placed.y}, colour, 0.5);
        }
        add(scene, Text{.at = {area.right() + 10, placed.y + 0.36 * kLabelSizePt},
                        .text = placed.label->text,
                        .sizePt = kLabelSizePt,
                        .colour = colour});
    }
}

void paintCornerLegend(const Plot& plot, const Frame& frame, Scene& scene, LabelPlacer& placer) {
    const Legend legend = legendOf(plot, frame.area.width - 2 * kCornerGapPt - 8, true);
    if (legend.entries.empty()) return;
    const bool left = plot.legend == LegendPlace::topLeft || plot.legend == LegendPlace::bottomLeft;
    const bool top = plot.legend == LegendPlace::topLeft || plot.legend == LegendPlace::topRight;
    Rect box{0, 0, legend.widthPt + 8, std::min(legend.heightPt + 4, frame.area.height)};
    box.left = left ? frame.area.left + kCornerGapPt : frame.area.right() - kCornerGapPt - box.width;
    box.top = top ? frame.area.top + kCornerGapPt : frame.area.bottom() - kCornerGapPt - box.height;
    addRect(scene, box, Fill{kWhite, 0.85}, {});
    paintLegend(legend, {box.left + 4, box.top + 2}, scene);
    placer.avoid(box, 20);
}

Scene withoutData(const Plot& plot) {
    Scene scene{.widthPt = plot.widthPt, .heightPt = plot.heightPt, .title = plot.title};
    scene.description = plot.description.empty() ? "No data" : plot.description + " No data.";
    const auto title = wrapped(plot.title, kTitleSizePt, plot.widthPt - 2 * kPagePaddingPt);
    const double bottom =
        addLines(scene, title, {kPagePaddingPt, kPagePaddingPt}, kTitleSizePt, kTextColour, Anchor::start);
    scene.heightPt = std::max(scene.heightPt, bottom + 40);
    add(scene, Text{.at = {plot.widthPt / 2, (bottom + scene.heightPt) / 2},
                    .text = "No data",
                    .sizePt = kTitleSizePt,
                    .colour = kQuietTextColour,
                    .anchor = Anchor::middle});
    return scene;
}

}  // namespace

PlotPage layOut(const Plot& plot) {
    const Extent extent = extentOf(plot);
    if (!extent.hasData) return {.scene = withoutData(plot)};

    const bool legendBelow = plot.legend == LegendPlace::below;
    const Legend legend = legendBelow ? legendOf(plot, plot.widthPt - 2 * kPagePaddingPt, false) : Legend{};
    const Frame frame = frameOf(plot, extent, legend.entries.empty() ? 0 : legend.heightPt + kLegendGapPt);
    Scene scene{.widthPt = plot.widthPt, .heightPt = frame.pageHeightPt, .title = plot.title};
    scene.description = plot.description.empty() ? describe(plot, frame) : plot.description;

    addLines(scene, frame.title, {kPagePaddingPt, kPagePaddingPt}, kTitleSizePt, kTextColour, Anchor::start);
    if (plot.grid) paintGrid(frame, scene);
    LabelPlacer placer(frame.area);
    std::vector<LabelRequest> requests;
    for (const Series& series : plot.series) paintSeries(plot, series, frame, scene, placer, requests);
    paintAxes(plot, frame, scene);
    if (!legendBelow) paintCornerLegend(plot, frame, scene, placer);
    paintLabels(requests, frame, scene, placer);
    paintDirectLabels(frame, scene);
    if (legendBelow) {
        const double left = std::max(
            kPagePaddingPt, std::min(frame.area.left, plot.widthPt - kPagePaddingPt - legend.widthPt));
        paintLegend(legend, {left, frame.legendTopPt + kLegendGapPt}, scene);
    }
    return {std::move(scene), frame};
}

Scene sceneFromPlot(const Plot& plot) {
    return layOut(plot).scene;
}

}  // namespace greywright::figure

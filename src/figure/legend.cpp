#include "figure/legend.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "figure/paint_series.h"
#include "figure/style.h"
#include "figure/type.h"

namespace greywright::figure {
namespace {

constexpr double kRowPt = kLabelSizePt * 1.55;
constexpr double kSampleGapPt = 5;
constexpr double kEntryGapPt = 16;

struct NameFinder {
    std::string operator()(const Line& line) const {
        return line.naming == Naming::legend ? line.name : std::string();
    }
    std::string operator()(const ReferenceLine& /*labelled where it is*/) const { return {}; }
    std::string operator()(const Annotation& /*its own words*/) const { return {}; }
    std::string operator()(const auto& series) const { return series.name; }
};

struct SamplePainter {
    Scene& scene;
    Rect box;  ///< of the sample

    void line(const Stroke& stroke) const {
        add(scene, Polyline{{{box.left, box.centre().y}, {box.right(), box.centre().y}}, stroke});
    }
    void operator()(const Line& series) const {
        line(strokeOf(series.ink, series.dash, series.widthPt));
        addMarker(scene, box.centre(), series.marker, 2, series.ink);
    }
    void operator()(const Points& series) const {
        addMarker(scene, box.centre(), series.marker, std::min(series.radiusPt, box.height / 2), series.ink);
    }
    void operator()(const Band& series) const {
        addRect(scene, box, Fill{rgb(series.ink), series.opacity}, {});
    }
    void operator()(const Ellipse& series) const {
        std::vector<Point> ring;
        for (int i = 0; i < 32; ++i) {
            const double angle = 2 * std::numbers::pi * i / 32;
            ring.push_back({box.centre().x + box.width / 2 * std::cos(angle),
                            box.centre().y + box.height / 2 * std::sin(angle)});
        }
        add(scene,
            Polygon{
                {ring}, Fill{rgb(series.ink), series.fillOpacity}, strokeOf(series.ink, series.dash, 0.9)});
    }
    void operator()(const Contours& series) const {
        if (!series.filled) return line(Stroke{kAxisColour, 0.6, {}});
        const std::size_t levels = levelsOf(series).size();
        const double width = box.width / static_cast<double>(levels + 1);
        for (std::size_t i = 0; i <= levels; ++i) {
            addRect(scene, {box.left + static_cast<double>(i) * width, box.top, width, box.height},
                    Fill{levelColour(static_cast<std::ptrdiff_t>(i) - 1, levels)}, {});
        }
        addRect(scene, box, Fill{kWhite, 0}, Stroke{kAxisColour, 0.4, {}});
    }
    void operator()(const ReferenceLine& /*never in a legend*/) const {}
    void operator()(const Annotation& /*never in a legend*/) const {}
};

}  // namespace

Legend legendOf(const Plot& plot, double mostWidthPt, bool stacked) {
    Legend legend;
    Point at;
    for (const Series& series : plot.series) {
        std::string name = std::visit(NameFinder{}, series);
        if (name.empty()) continue;
        name = shortened(name, kLabelSizePt, mostWidthPt - kLegendSampleWidthPt - kSampleGapPt);
        const double width = kLegendSampleWidthPt + kSampleGapPt + textWidthPt(name, kLabelSizePt);
        if (!legend.entries.empty() && (stacked || at.x + width > mostWidthPt)) at = {0, at.y + kRowPt};
        legend.entries.push_back({&series, std::move(name), at});
        legend.widthPt = std::max(legend.widthPt, at.x + width);
        at.x += width + kEntryGapPt;
    }
    legend.heightPt = legend.entries.empty() ? 0 : at.y + kRowPt;
    return legend;
}

void paintLegend(const Legend& legend, Point at, Scene& scene) {
    for (const Legend::Entry& entry : legend.entries) {
        const Point corner{at.x + entry.at.x, at.y + entry.at.y};
        const double middle = corner.y + kRowPt / 2;
        std::visit(SamplePainter{scene, {corner.x, middle - 3.5, kLegendSampleWidthPt, 7}}, *entry.series);
        add(scene, Text{.at = {corner.x + kLegendSampleWidthPt + kSampleGapPt, middle + 0.36 * kLabelSizePt},
                        .text = entry.name,
                        .sizePt = kLabelSizePt,
                        .colour = kTextColour});
    }
}

}  // namespace greywright::figure

#include "figure/paint_series.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "core/contract.h"
#include "core/numbers.h"
#include "figure/clip.h"
#include "figure/style.h"
#include "figure/type.h"

namespace greywright::figure {
namespace {

constexpr double kMarkerWeight = 6;
constexpr double kLeaderWeight = 5;
constexpr double kErrorCapPt = 2.5;

Text label(std::string_view words, Point at, Anchor anchor, Rgb colour) {
    return {.at = at,
            .text = std::string(words),
            .sizePt = kLabelSizePt,
            .colour = colour,
            .anchor = anchor,
            .halo = true};
}

/// Words beside a place, near before far, the right before the left.
LabelRequest beside(std::string_view words, Point place, double clearPt, Rgb colour, const Rect& area) {
    const std::string text = shortened(words, kLabelSizePt, area.width - 4);
    LabelRequest request{.leaderTo = place, .leaderClearPt = clearPt};
    constexpr double kRise = 0.36 * kLabelSizePt;
    constexpr double kUp = kDescent * kLabelSizePt;
    constexpr double kDown = kAscent * kLabelSizePt;
    for (const double distance : {2.5, 8.0, 16.0, 28.0}) {
        const double d = clearPt + distance;
        const double e = 0.7 * d;
        const auto add = [&](double dx, double dy, Anchor anchor) {
            request.candidates.push_back(label(text, {place.x + dx, place.y + dy}, anchor, colour));
        };
        add(d, kRise, Anchor::start);
        add(e, -e + kUp / 2, Anchor::start);
        add(e, e + kDown / 2, Anchor::start);
        add(-d, kRise, Anchor::end);
        add(-e, -e + kUp / 2, Anchor::end);
        add(-e, e + kDown / 2, Anchor::end);
        add(0, -d - kUp, Anchor::middle);
        add(0, d + kDown, Anchor::middle);
    }
    return request;
}

class SeriesPainter {
  public:
    SeriesPainter(const Plot& plot, const Frame& frame, Scene& scene, LabelPlacer& placer,
                  std::vector<LabelRequest>& requests)
        : plot_(plot), frame_(frame), scene_(scene), placer_(placer), requests_(requests) {}

    void operator()(const Line& line) {
        const Stroke stroke = strokeOf(line.ink, line.dash, line.widthPt);
        std::vector<Point> chain;
        const auto finish = [&] {
            // A single point between two gaps would leave no trace.
            if (chain.size() == 1 && frame_.area.contains(chain.front()) && line.marker == Marker::none) {
                add(scene_, Circle{chain.front(), line.widthPt, Fill{stroke.colour}, {}});
            }
            paintChain(chain, stroke);
            chain.clear();
        };
        for (const XY at : line.points) {
            if (drawable(at)) {
                chain.push_back(frame_.toPage(at));
            } else {
                finish();
            }
        }
        finish();
        for (const XY at : line.points) paintMarker(at, line.marker, 2, line.ink);
        if (line.naming == Naming::direct && !namedAtRight(plot_, line, frame_.x)) nameAtEnd(line);
    }

    void operator()(const Points& points) {
        for (std::size_t i = 0; i < points.points.size(); ++i) {
            const XY at = points.points[i];
            if (!drawable(at)) continue;
            if (!points.errorX.empty()) errorBar(at, points.errorX[i], 0, points.ink);
            if (!points.errorY.empty()) errorBar(at, 0, points.errorY[i], points.ink);
        }
        for (std::size_t i = 0; i < points.points.size(); ++i) {
            const XY at = points.points[i];
            if (!paintMarker(at, points.marker, points.radiusPt, points.ink)) continue;
            if (points.labels.empty() || points.labels[i].empty()) continue;
            requests_.push_back(
                beside(points.labels[i], frame_.toPage(at), points.radiusPt, rgb(points.ink), frame_.area));
        }
    }

    void operator()(const Band& band) {
        std::vector<Point> upper;
        std::vector<Point> lower;
        const auto finish = [&] {
            std::vector<Point> ring = upper;
            ring.insert(ring.end(), lower.rbegin(), lower.rend());
            if (upper.size() > 1) paintArea({ring}, Fill{rgb(band.ink), band.opacity});
            upper.clear();
            lower.clear();
        };
        for (std::size_t i = 0; i < band.x.size(); ++i) {
            if (drawable({band.x[i], band.low[i]}) && drawable(band.high[i])) {
                lower.push_back(frame_.toPage({band.x[i], band.low[i]}));
                upper.push_back(frame_.toPage({band.x[i], band.high[i]}));
            } else {
                finish();
            }
        }
        finish();
    }

    void operator()(const ReferenceLine& line) {
        if (!drawable(line.at)) return;
        const bool level = line.across == ReferenceLine::Across::level;
        const Rect& area = frame_.area;
        const Point at = frame_.toPage({level ? frame_.x.low : line.at, level ? line.at : frame_.y.low});
        if (!area.contains(at)) return;
        const std::array<Point, 2> ends{level ? Point{area.left, at.y} : Point{at.x, area.top},
                                        level ? Point{area.right(), at.y} : Point{at.x, area.bottom()}};
        paintChain(ends, strokeOf(line.ink, line.dash, 0.8));
        if (line.label.empty()) return;
        const std::string words = shortened(line.label, kLabelSizePt, area.width - 8);
        LabelRequest request;
        const double above = kDescent * kLabelSizePt + 1;
        const double below = kAscent * kLabelSizePt + 2;
        if (level) {
            for (const double dy : {-above, below}) {
                request.candidates.push_back(
                    label(words, {area.right() - 4, at.y + dy}, Anchor::end, kQuietTextColour));
                request.candidates.push_back(
                    label(words, {area.left + 4, at.y + dy}, Anchor::start, kQuietTextColour));
                request.candidates.push_back(
                    label(words, {area.centre().x, at.y + dy}, Anchor::middle, kQuietTextColour));
            }
        } else {
            for (const double y : {area.top + below, area.bottom() - above - 2, area.centre().y}) {
                request.candidates.push_back(label(words, {at.x + 4, y}, Anchor::start, kQuietTextColour));
                request.candidates.push_back(label(words, {at.x - 4, y}, Anchor::end, kQuietTextColour));
            }
        }
        requests_.push_back(std::move(request));
    }

    void operator()(const Ellipse& ellipse) {
        if (!drawable(ellipse.centre) || !drawable({ellipse.semiAxis1, ellipse.semiAxis2})) return;
        const double c = std::cos(ellipse.angleDegrees * std::numbers::pi / 180);
        const double s = std::sin(ellipse.angleDegrees * std::numbers::pi / 180);
        std::vector<Point> ring;
        constexpr int kSides = 96;
        for (int i = 0; i < kSides; ++i) {
            const double angle = 2 * std::numbers::pi * i / kSides;
            const double u = ellipse.semiAxis1 * std::cos(angle);
            const double v = ellipse.semiAxis2 * std::sin(angle);
            ring.push_back(
                frame_.toPage({ellipse.centre.x + c * u - s * v, ellipse.centre.y + s * u + c * v}));
        }
        if (ellipse.fillOpacity > 0) paintArea({ring}, Fill{rgb(ellipse.ink), ellipse.fillOpacity});
        std::vector<Point> outline = ring;
        outline.push_back(ring.front());
        paintChain(outline, strokeOf(ellipse.ink, ellipse.dash, 0.9));
        if (!ellipse.label.empty()) nameAtRim(ellipse, ring);
    }

    void operator()(const Contours& contours) {
        const std::vector<double> levels = levelsOf(contours);
        if (contours.filled) {
            paintRegion(contours.grid, -1e100, levelColour(-1, levels.size()));
            for (std::size_t i = 0; i < levels.size(); ++i) {
                paintRegion(contours.grid, levels[i],
                            levelColour(static_cast<std::ptrdiff_t>(i), levels.size()));
            }
        }
        if (!contours.lines) return;
        for (const double level : levels) paintLevel(contours.grid, level);
    }

    void operator()(const Annotation& annotation) {
        if (!drawable(annotation.at) || annotation.text.empty()) return;
        const Point at = frame_.toPage(annotation.at);
        if (!frame_.area.contains(at)) return;
        requests_.push_back(beside(annotation.text, at, 2, kTextColour, frame_.area));
    }

  private:
    void paintChain(std::span<const Point> chain, const Stroke& stroke) {
        for (std::vector<Point>& piece : clippedChain(chain, frame_.area)) {
            placer_.avoid(piece, 1);
            add(scene_, Polyline{std::move(piece), stroke});
        }
    }

    void paintArea(const std::vector<std::vector<Point>>& rings, Fill fill) {
        Polygon polygon{.fill = fill};
        for (const std::vector<Point>& ring : rings) {
            std::vector<Point> inside = clippedRing(ring, frame_.area);
            if (inside.size() > 2) polygon.rings.push_back(std::move(inside));
        }
        if (!polygon.rings.empty()) add(scene_, std::move(polygon));
    }

    bool paintMarker(XY at, Marker marker, double radiusPt, Ink ink) {
        if (!drawable(at)) return false;
        const Point place = frame_.toPage(at);
        if (!frame_.area.contains(place)) return false;
        addMarker(scene_, place, marker, radiusPt, ink);
        if (marker != Marker::none) {
            placer_.avoid({place.x - radiusPt, place.y - radiusPt, 2 * radiusPt, 2 * radiusPt},
                          kMarkerWeight);
        }
        return true;
    }

    void errorBar(XY at, double halfX, double halfY, Ink ink) {
        if (!drawable({halfX, halfY}) || (halfX == 0 && halfY == 0)) return;
        const Point from = frame_.toPage({at.x - halfX, at.y - halfY});
        const Point to = frame_.toPage({at.x + halfX, at.y + halfY});
        const double capX = halfX == 0 ? kErrorCapPt : 0;
        const double capY = halfY == 0 ? kErrorCapPt : 0;
        const Stroke stroke = strokeOf(ink, Dash::solid, 0.8);
        paintChain(std::array{from, to}, stroke);
        for (const Point end : {from, to}) {
            paintChain(std::array{Point{end.x - capX, end.y - capY}, Point{end.x + capX, end.y + capY}},
                       stroke);
        }
    }

    void nameAtEnd(const Line& line) {
        for (auto at = line.points.rbegin(); at != line.points.rend(); ++at) {
            if (!drawable(*at) || !frame_.area.contains(frame_.toPage(*at))) continue;
            requests_.push_back(beside(line.name, frame_.toPage(*at), 2, rgb(line.ink), frame_.area));
            return;
        }
    }

    void nameAtRim(const Ellipse& ellipse, const std::vector<Point>& ring) {
        LabelRequest all;
        for (std::size_t i = 0; i < ring.size(); i += ring.size() / 8) {
            if (!frame_.area.contains(ring[i])) continue;
            LabelRequest here = beside(ellipse.label, ring[i], 1, rgb(ellipse.ink), frame_.area);
            for (std::size_t k = 0; k < 16; ++k) all.candidates.push_back(here.candidates[k]);
        }
        if (!all.candidates.empty()) requests_.push_back(std::move(all));
    }

    void paintRegion(const Grid& grid, double level, Rgb colour) {
        std::vector<std::vector<Point>> rings;
        for (const std::vector<XY>& ring : contourRegion(grid, level)) rings.push_back(onPage(ring));
        paintArea(rings, Fill{colour});
    }

    void paintLevel(const Grid& grid, double level) {
        std::vector<Point> longest;
        for (const ContourLine& line : contourLines(grid, level)) {
            std::vector<Point> chain = onPage(line.points);
            if (line.closed) chain.push_back(chain.front());
            paintChain(chain, Stroke{kAxisColour, 0.6, {}});
            if (chain.size() > longest.size()) longest = std::move(chain);
        }
        std::string words = textFromNumber(level);
        if (words.starts_with('-')) words.replace(0, 1, "\u2212");
        LabelRequest request{.mostCost = 60};
        const std::size_t stride = std::max<std::size_t>(1, longest.size() / 16);
        for (std::size_t i = stride / 2; i < longest.size(); i += stride) {
            Text text = label(words, longest[i], Anchor::middle, kQuietTextColour);
            text.sizePt = kLabelSizePt - 1;
            text.at.y += 0.36 * text.sizePt;
            request.candidates.push_back(std::move(text));
        }
        if (!request.candidates.empty()) requests_.push_back(std::move(request));
    }

    [[nodiscard]] std::vector<Point> onPage(const std::vector<XY>& places) const {
        std::vector<Point> points;
        points.reserve(places.size());
        for (const XY at : places) points.push_back(frame_.toPage(at));
        return points;
    }

    const Plot& plot_;
    const Frame& frame_;
    Scene& scene_;
    LabelPlacer& placer_;
    std::vector<LabelRequest>& requests_;
};

double held(double value, double low, double high) {
    return std::max(low, std::min(value, high));
}

/// What a text inks with its white rim.
Rect haloBox(const Text& text) {
    const Rect ink = textBox(text);
    return {ink.left - 1, ink.top - 1, ink.width + 2, ink.height + 2};
}

/// From the rim of a marker to the nearest edge of its label.
void addLeader(const LabelRequest& request, const Rect& box, Scene& scene, LabelPlacer& placer) {
    const Point from = *request.leaderTo;
    const Point to{held(from.x, box.left, box.right()), held(from.y, box.top, box.bottom())};
    const double length = std::hypot(to.x - from.x, to.y - from.y);
    if (length < request.leaderClearPt + 5) return;
    const double t = (request.leaderClearPt + 0.5) / length;
    Polyline leader{{{from.x + t * (to.x - from.x), from.y + t * (to.y - from.y)}, to},
                    Stroke{kAxisColour, 0.5, {}}};
    placer.avoid(leader.points, kLeaderWeight);
    add(scene, std::move(leader));
}

}  // namespace

void paintSeries(const Plot& plot, const Series& series, const Frame& frame, Scene& scene,
                 LabelPlacer& placer, std::vector<LabelRequest>& requests) {
    std::visit(SeriesPainter(plot, frame, scene, placer, requests), series);
}

void paintLabels(const std::vector<LabelRequest>& requests, const Frame& frame, Scene& scene,
                 LabelPlacer& placer) {
    // Those that may be left out give way to the others.
    for (const bool needed : {true, false}) {
        for (const LabelRequest& request : requests) {
            if (std::isinf(request.mostCost) != needed) continue;
            std::vector<Rect> boxes;
            for (const Text& candidate : request.candidates) boxes.push_back(haloBox(candidate));
            const auto chosen = placer.choose(boxes, request.mostCost);
            if (!chosen) continue;
            Text text = request.candidates[*chosen];
            Rect box = boxes[*chosen];
            const double dx = held(box.left, frame.area.left, frame.area.right() - box.width) - box.left;
            const double dy = held(box.top, frame.area.top, frame.area.bottom() - box.height) - box.top;
            text.at = {text.at.x + dx, text.at.y + dy};
            box.left += dx;
            box.top += dy;
            if (request.leaderTo) addLeader(request, box, scene, placer);
            add(scene, std::move(text));
        }
    }
}

std::vector<double> levelsOf(const Contours& contours) {
    if (!contours.levels.empty()) {
        expects(std::ranges::is_sorted(contours.levels), "contour levels ascend");
        expects(std::ranges::all_of(contours.levels, [](double v) { return drawable(v); }),
                "contour levels are finite");
        return contours.levels;
    }
    std::optional<Range> range;
    for (const double value : contours.grid.values) {
        if (!drawable(value)) continue;
        if (!range) range = Range{value, value};
        range = Range{std::min(range->low, value), std::max(range->high, value)};
    }
    if (!range || !(range->span() > 0)) return {};
    return niceTicks(*range, 8).at;
}

Rgb levelColour(std::ptrdiff_t number, std::size_t levels) {
    return areaRamp(levels == 0 ? 0 : static_cast<double>(number + 1) / static_cast<double>(levels));
}

}  // namespace greywright::figure

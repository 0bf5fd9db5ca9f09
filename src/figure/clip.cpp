#include "figure/clip.h"

#include <algorithm>
#include <array>

namespace greywright::figure {
namespace {

/// How far inside one edge of the area a point lies; negative = outside. Edges: left, right, top, bottom.
double inside(Point p, const Rect& area, int edge) {
    switch (edge) {
        case 0:
            return p.x - area.left;
        case 1:
            return area.right() - p.x;
        case 2:
            return p.y - area.top;
        default:
            return area.bottom() - p.y;
    }
}

Point between(Point a, Point b, double t) {
    return {a.x * (1 - t) + b.x * t, a.y * (1 - t) + b.y * t};
}

Point held(Point p, const Rect& area) {
    return {std::clamp(p.x, area.left, area.right()), std::clamp(p.y, area.top, area.bottom())};
}

}  // namespace

std::optional<std::pair<Point, Point>> clippedSegment(Point a, Point b, const Rect& area) {
    double from = 0;
    double to = 1;
    for (int edge = 0; edge < 4; ++edge) {
        const double da = inside(a, area, edge);
        const double db = inside(b, area, edge);
        if (da < 0 && db < 0) return std::nullopt;
        if (da < 0) from = std::max(from, da / (da - db));
        if (db < 0) to = std::min(to, da / (da - db));
    }
    if (from > to) return std::nullopt;
    return std::pair{from > 0 ? held(between(a, b, from), area) : a,
                     to < 1 ? held(between(a, b, to), area) : b};
}

std::vector<std::vector<Point>> clippedChain(std::span<const Point> chain, const Rect& area) {
    std::vector<std::vector<Point>> pieces;
    bool joined = false;
    for (std::size_t i = 0; i + 1 < chain.size(); ++i) {
        const auto part = clippedSegment(chain[i], chain[i + 1], area);
        if (!part) {
            joined = false;
            continue;
        }
        if (!joined) pieces.push_back({part->first});
        pieces.back().push_back(part->second);
        joined = part->second == chain[i + 1];
    }
    return pieces;
}

std::vector<Point> clippedRing(std::span<const Point> ring, const Rect& area) {
    std::vector<Point> current(ring.begin(), ring.end());
    for (int edge = 0; edge < 4 && !current.empty(); ++edge) {
        std::vector<Point> next;
        for (std::size_t i = 0; i < current.size(); ++i) {
            const Point a = current[i];
            const Point b = current[(i + 1) % current.size()];
            const double da = inside(a, area, edge);
            const double db = inside(b, area, edge);
            if (da >= 0) next.push_back(a);
            if ((da < 0) != (db < 0)) next.push_back(between(a, b, da / (da - db)));
        }
        current = std::move(next);
    }
    for (Point& point : current) point = held(point, area);
    return current;
}

}  // namespace greywright::figure

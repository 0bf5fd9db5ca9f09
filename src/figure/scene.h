#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <variant>
#include <vector>

/// Everything here is on the page: points of 1/72 inch, x to the right, y downwards from the top left corner.
namespace greywright::figure {

/// A place on the page. Units: pt.
struct Point {
    double x = 0;
    double y = 0;
    bool operator==(const Point&) const = default;
};

/// An upright rectangle on the page. Units: pt.
struct Rect {
    double left = 0;
    double top = 0;
    double width = 0;
    double height = 0;

    [[nodiscard]] double right() const { return left + width; }
    [[nodiscard]] double bottom() const { return top + height; }
    [[nodiscard]] Point centre() const { return {left + width / 2, top + height / 2}; }
    /// Whether `inner` lies wholly within, give or take `slackPt`.
    [[nodiscard]] bool contains(const Rect& inner, double slackPt = 1e-6) const {
        return inner.left >= left - slackPt && inner.right() <= right() + slackPt &&
               inner.top >= top - slackPt && inner.bottom() <= bottom() + slackPt;
    }
    [[nodiscard]] bool contains(Point point, double slackPt = 1e-6) const {
        return contains(Rect{point.x, point.y, 0, 0}, slackPt);
    }
    bool operator==(const Rect&) const = default;
};

/// A colour as the screen and the page are told it: sRGB (IEC 61966-2-1), 0..255.
struct Rgb {
    std::uint8_t r = 0;
    std::uint8_t g = 0;
    std::uint8_t b = 0;
    bool operator==(const Rgb&) const = default;
};

/// How an outline is drawn. Units: pt; `dashPt` alternates drawn and left out, empty = solid.
struct Stroke {
    Rgb colour = {};
    double widthPt = 0.75;
    std::vector<double> dashPt = {};
};

/// How an area is filled. Valid: opacity 0..1.
struct Fill {
    Rgb colour = {};
    double opacity = 1;
    bool exact =
        false;  ///< to be compared by eye: the same, rim included, on a dark screen as on a light one
};

/// An open chain of straight lines.
struct Polyline {
    std::vector<Point> points = {};
    Stroke stroke = {};
};

/// Closed rings; what an odd number of them encloses is inside.
struct Polygon {
    std::vector<std::vector<Point>> rings = {};
    std::optional<Fill> fill = {};
    std::optional<Stroke> stroke = {};
};

/// A circle.
struct Circle {
    Point centre = {};
    double radiusPt = 0;
    std::optional<Fill> fill = {};
    std::optional<Stroke> stroke = {};
};

/// Which part of a text stands at its given place.
enum class Anchor { start, middle, end };

/// One line of text in a plain sans serif; `at` is on the baseline.
struct Text {
    Point at = {};
    std::string text = {};  ///< UTF-8
    double sizePt = 8;
    Rgb colour = {};
    Anchor anchor = Anchor::start;
    bool upwards = false;            ///< turned to read from bottom to top
    bool halo = false;               ///< a white rim keeps it legible on lines
    std::optional<Rgb> ground = {};  ///< what it stands on, where that is not the page
};

using Primitive = std::variant<Polyline, Polygon, Circle, Text>;

/// A finished page: what is to be painted, in this order. Nothing reaches beyond the page and every number is
/// finite, so a painter neither clips nor measures.
struct Scene {
    double widthPt = 0;
    double heightPt = 0;
    std::string title = {};        ///< for readers who cannot see it
    std::string description = {};  ///< likewise, a sentence or two
    std::vector<Primitive> primitives = {};
};

}  // namespace greywright::figure

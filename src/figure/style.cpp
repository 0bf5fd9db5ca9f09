#include "figure/style.h"

#include <algorithm>
#include <cmath>

#include "figure/type.h"

namespace greywright::figure {
namespace {

void addRing(Scene& scene, const std::vector<Point>& ring, const std::optional<Fill>& fill,
             const std::optional<Stroke>& stroke) {
    add(scene, Polygon{{ring}, fill, stroke});
}

}  // namespace

double luminance(Rgb colour) {
    const auto linear = [](std::uint8_t code) {
        const double v = code / 255.0;
        return v <= 0.04045 ? v / 12.92 : std::pow((v + 0.055) / 1.055, 2.4);
    };
    return 0.2126 * linear(colour.r) + 0.7152 * linear(colour.g) + 0.0722 * linear(colour.b);
}

double contrast(Rgb one, Rgb other) {
    const double a = luminance(one);
    const double b = luminance(other);
    return (std::max(a, b) + 0.05) / (std::min(a, b) + 0.05);
}

Rgb textColourOn(Rgb fill) {
    return contrast(fill, Rgb{}) > contrast(fill, kWhite) ? Rgb{} : kWhite;
}

void add(Scene& scene, Primitive primitive) {
    scene.primitives.push_back(std::move(primitive));
}

Stroke strokeOf(Ink ink, Dash dash, double widthPt) {
    std::vector<double> pattern;
    switch (dash) {
        case Dash::solid:
            break;
        case Dash::dashed:
            pattern = {5, 3};
            break;
        case Dash::dotted:
            pattern = {1.2, 2.4};
            break;
        case Dash::dashDotted:
            pattern = {6, 2.4, 1.2, 2.4};
            break;
        case Dash::longDashed:
            pattern = {11, 3.5};
            break;
    }
    return {rgb(ink), widthPt, pattern};
}

void addMarker(Scene& scene, Point at, Marker marker, double radiusPt, Ink ink) {
    const double r = radiusPt;
    const Stroke stroke{rgb(ink), 0.9, {}};
    const Fill full{rgb(ink)};
    switch (marker) {
        case Marker::none:
            break;
        case Marker::circle:
            add(scene, Circle{at, r, Fill{kWhite}, stroke});
            break;
        case Marker::disc:
            add(scene, Circle{at, r, full, {}});
            break;
        case Marker::square:
            addRect(scene, {at.x - r, at.y - r, 2 * r, 2 * r}, Fill{kWhite}, stroke);
            break;
        case Marker::triangle:
            addRing(scene, {{at.x, at.y - r}, {at.x + r, at.y + r}, {at.x - r, at.y + r}}, full, {});
            break;
        case Marker::diamond:
            addRing(scene, {{at.x, at.y - r}, {at.x + r, at.y}, {at.x, at.y + r}, {at.x - r, at.y}}, full,
                    {});
            break;
        case Marker::cross:
            add(scene, Polyline{{{at.x - r, at.y - r}, {at.x + r, at.y + r}}, Stroke{rgb(ink), 1.2, {}}});
            add(scene, Polyline{{{at.x - r, at.y + r}, {at.x + r, at.y - r}}, Stroke{rgb(ink), 1.2, {}}});
            break;
    }
}

void addRect(Scene& scene, const Rect& rect, const std::optional<Fill>& fill,
             const std::optional<Stroke>& stroke) {
    addRing(scene,
            {{rect.left, rect.top},
             {rect.right(), rect.top},
             {rect.right(), rect.bottom()},
             {rect.left, rect.bottom()}},
            fill, stroke);
}

double linesHeightPt(std::size_t count, double sizePt) {
    return static_cast<double>(count) * sizePt * kLineHeight;
}

double addLines(Scene& scene, const std::vector<std::string>& lines, Point top, double sizePt, Rgb colour,
                Anchor anchor) {
    for (std::size_t i = 0; i < lines.size(); ++i) {
        add(scene, Text{.at = {top.x, top.y + linesHeightPt(i, sizePt) + kAscent * sizePt},
                        .text = lines[i],
                        .sizePt = sizePt,
                        .colour = colour,
                        .anchor = anchor});
    }
    return top.y + linesHeightPt(lines.size(), sizePt);
}

}  // namespace greywright::figure

#include "figure/svg.h"

#include <algorithm>
#include <cmath>
#include <iterator>

#include <fmt/format.h>

#include "core/contract.h"
#include "core/markup.h"
#include "core/numbers.h"
#include "figure/type.h"

namespace greywright::figure {
namespace {

constexpr std::string_view kFonts = "Helvetica, Arial, 'Liberation Sans', 'DejaVu Sans', sans-serif";

/// Two decimals are 1/7200 inch; trailing zeros go.
std::string num(double value) {
    expects(std::isfinite(value), "a scene has finite numbers only");
    std::string text = textFromNumber(value, 2);
    text.erase(text.find_last_not_of('0') + 1);
    if (text.ends_with('.')) text.pop_back();
    return text;
}

std::string escaped(std::string_view text) {
    return markupFromText(cleanText(text));
}

std::string hex(Rgb colour) {
    return fmt::format("#{:02x}{:02x}{:02x}", colour.r, colour.g, colour.b);
}

std::string fillWords(const std::optional<Fill>& fill) {
    if (!fill || fill->opacity <= 0) return " fill=\"none\"";
    std::string out = fmt::format(" fill=\"{}\"", hex(fill->colour));
    if (fill->opacity < 1) out += fmt::format(" fill-opacity=\"{}\"", num(fill->opacity));
    return out;
}

std::string strokeWords(const std::optional<Stroke>& stroke) {
    if (!stroke) return {};
    std::string out =
        fmt::format(" stroke=\"{}\" stroke-width=\"{}\"", hex(stroke->colour), num(stroke->widthPt));
    if (!stroke->dashPt.empty()) {
        out += " stroke-dasharray=\"";
        for (std::size_t i = 0; i < stroke->dashPt.size(); ++i) {
            out += (i == 0 ? "" : " ") + num(stroke->dashPt[i]);
        }
        out += '"';
    }
    return out;
}

std::string pathWords(const std::vector<Point>& points) {
    std::string out;
    for (std::size_t i = 0; i < points.size(); ++i) {
        out += fmt::format("{}{} {}", i == 0 ? "M" : "L", num(points[i].x), num(points[i].y));
    }
    return out;
}

struct Painter {
    std::string& out;

    void operator()(const Polyline& line) const {
        fmt::format_to(std::back_inserter(out), "<path d=\"{}\" fill=\"none\"{}/>\n", pathWords(line.points),
                       strokeWords(line.stroke));
    }
    void operator()(const Polygon& polygon) const {
        std::string path;
        for (const auto& ring : polygon.rings) path += pathWords(ring) + "Z";
        fmt::format_to(std::back_inserter(out), "<path d=\"{}\"{}{}{}/>\n", path,
                       polygon.rings.size() > 1 ? " fill-rule=\"evenodd\"" : "", fillWords(polygon.fill),
                       strokeWords(polygon.stroke));
    }
    void operator()(const Circle& circle) const {
        fmt::format_to(std::back_inserter(out), "<circle cx=\"{}\" cy=\"{}\" r=\"{}\"{}{}/>\n",
                       num(circle.centre.x), num(circle.centre.y), num(circle.radiusPt),
                       fillWords(circle.fill), strokeWords(circle.stroke));
    }
    void operator()(const Text& text) const {
        const char* anchor = text.anchor == Anchor::start    ? ""
                             : text.anchor == Anchor::middle ? " text-anchor=\"middle\""
                                                             : " text-anchor=\"end\"";
        const std::string x = num(text.at.x);
        const std::string y = num(text.at.y);
        const std::string turn = text.upwards ? fmt::format(" transform=\"rotate(-90 {} {})\"", x, y) : "";
        const char* halo =
            text.halo
                ? " stroke=\"#ffffff\" stroke-width=\"2\" stroke-linejoin=\"round\" paint-order=\"stroke\""
                : "";
        fmt::format_to(std::back_inserter(out),
                       "<text x=\"{}\" y=\"{}\" font-size=\"{}\" fill=\"{}\"{}{}{}>{}</text>\n", x, y,
                       num(text.sizePt), hex(text.colour), anchor, halo, turn, escaped(text.text));
    }
};

bool isName(std::string_view text) {
    const auto letter = [](char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); };
    const auto rest = [&](char c) { return letter(c) || (c >= '0' && c <= '9') || c == '-' || c == '_'; };
    return !text.empty() && letter(text.front()) && std::ranges::all_of(text, rest);
}

}  // namespace

std::string svgFromScene(const Scene& scene, std::string_view idPrefix) {
    expects(isName(idPrefix), "an id prefix begins with a letter and holds letters, digits, '-' and '_'");
    std::string out = fmt::format(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {0} {1}\" width=\"100%\" "
        "style=\"max-width:{0}pt\" role=\"img\" aria-labelledby=\"{2}-title {2}-desc\" font-family=\"{3}\">\n"
        "<title id=\"{2}-title\">{4}</title>\n<desc id=\"{2}-desc\">{5}</desc>\n",
        num(scene.widthPt), num(scene.heightPt), idPrefix, kFonts, escaped(scene.title),
        escaped(scene.description));
    fmt::format_to(std::back_inserter(out), "<rect width=\"{}\" height=\"{}\" fill=\"#ffffff\"/>\n",
                   num(scene.widthPt), num(scene.heightPt));
    for (const Primitive& primitive : scene.primitives) std::visit(Painter{out}, primitive);
    out += "</svg>\n";
    return out;
}

}  // namespace greywright::figure

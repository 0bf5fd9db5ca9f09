#include "canvas/scene_painter.h"

#include <QFont>
#include <QFontMetricsF>
#include <QPainterPath>
#include <QPen>
#include <algorithm>
#include <array>
#include <cmath>

#include "figure/palette.h"
#include "figure/style.h"
#include "figure/type.h"

namespace greywright::canvas {
namespace {

using figure::Rgb;

constexpr double kHaloPt = 2;  // as the SVG has it

/// One place of a curve from L* on white to L* on a dark page.
struct Knot {
    double on;
    double becomes;
};
// Our own: the page a dark grey of L* 11.3; the inks of figure::Ink with the contrasts that Shades promises;
// the darkest area of a map (L* 66) dark enough for text on it.
constexpr std::array<Knot, 6> kDark{{{0, 96}, {15, 88}, {50, 59}, {62, 48}, {66, 39}, {100, 11.3}}};

// CIE 1976, L* from relative luminance and back.
double lightness(double luminance) {
    return luminance > 216.0 / 24389 ? 116 * std::cbrt(luminance) - 16 : luminance * 24389.0 / 27;
}
double luminanceOf(double lightness) {
    const double root = (lightness + 16) / 116;
    return lightness > 8 ? root * root * root : lightness * 27 / 24389;
}

double onDark(double lightness) {
    for (std::size_t i = 1; i < kDark.size(); ++i) {
        const Knot& low = kDark[i - 1];
        const Knot& high = kDark[i];
        if (lightness > high.on) continue;
        return low.becomes + (lightness - low.on) / (high.on - low.on) * (high.becomes - low.becomes);
    }
    return kDark.back().becomes;
}

// IEC 61966-2-1.
double linearFrom(std::uint8_t code) {
    const double v = code / 255.0;
    return v <= 0.04045 ? v / 12.92 : std::pow((v + 0.055) / 1.055, 2.4);
}
std::uint8_t codeFrom(double linear) {
    const double v = std::clamp(linear, 0.0, 1.0);
    const double coded = v <= 0.0031308 ? 12.92 * v : 1.055 * std::pow(v, 1 / 2.4) - 0.055;
    return static_cast<std::uint8_t>(std::lround(255 * coded));
}

/// The same hue at another luminance, less saturated: between the grey of that luminance and the colour
/// scaled to it.
Rgb atLuminance(Rgb colour, double wanted) {
    constexpr double kMostSaturation = 0.6;
    const double has = figure::luminance(colour);
    if (!(has > 0)) return {codeFrom(wanted), codeFrom(wanted), codeFrom(wanted)};
    std::array<double, 3> full{linearFrom(colour.r), linearFrom(colour.g), linearFrom(colour.b)};
    double share = kMostSaturation;
    for (double& channel : full) {
        channel *= wanted / has;
        if (channel > wanted) share = std::min(share, (1 - wanted) / (channel - wanted));
    }
    const auto code = [&](double channel) { return codeFrom(wanted + share * (channel - wanted)); };
    return {code(full[0]), code(full[1]), code(full[2])};
}

/// Qt sets type in whole pixels only; the rest of a size is left to the painter's scale.
struct Type {
    QFont font = {};
    double scale = 1;
};

Type typeOf(double pixels) {
    Type type;
    type.font.setFamilies({"Liberation Sans", "Helvetica", "Arial", "DejaVu Sans"});
    type.font.setStyleHint(QFont::SansSerif);
    type.font.setHintingPreference(QFont::PreferNoHinting);
    const int whole = std::max(1, static_cast<int>(std::lround(pixels)));
    type.font.setPixelSize(whole);
    type.scale = pixels / whole;
    return type;
}

QString textOf(const figure::Text& text) {
    return QString::fromStdString(figure::cleanText(text.text));
}

class PrimitivePainter {
  public:
    PrimitivePainter(QPainter& painter, double scale, const Shades& shades)
        : painter_(painter), scale_(scale), shades_(shades) {}

    void operator()(const figure::Polyline& line) const {
        QPolygonF points;
        points.reserve(static_cast<qsizetype>(line.points.size()));
        for (const figure::Point point : line.points) points << place(point);
        painter_.setPen(pen(line.stroke, line.stroke.colour, false));
        painter_.setBrush(Qt::NoBrush);
        painter_.drawPolyline(points);
    }

    void operator()(const figure::Polygon& polygon) const {
        QPainterPath path;
        path.setFillRule(Qt::OddEvenFill);
        for (const auto& ring : polygon.rings) {
            for (std::size_t i = 0; i < ring.size(); ++i) {
                if (i == 0) {
                    path.moveTo(place(ring[i]));
                } else {
                    path.lineTo(place(ring[i]));
                }
            }
            path.closeSubpath();
        }
        prepare(polygon.fill, polygon.stroke);
        painter_.drawPath(path);
    }

    void operator()(const figure::Circle& circle) const {
        prepare(circle.fill, circle.stroke);
        painter_.drawEllipse(place(circle.centre), circle.radiusPt * scale_, circle.radiusPt * scale_);
    }

    void operator()(const figure::Text& text) const {
        const Type type = typeOf(text.sizePt * scale_);
        const QString words = textOf(text);
        const double natural = QFontMetricsF(type.font).horizontalAdvance(words) * type.scale;
        const double width = std::min(natural, figure::textWidthPt(text.text, text.sizePt) * scale_);
        const double before = text.anchor == figure::Anchor::start    ? 0
                              : text.anchor == figure::Anchor::middle ? width / 2
                                                                      : width;
        painter_.save();
        painter_.translate(place(text.at));
        if (text.upwards) painter_.rotate(-90);
        painter_.translate(-before, 0);
        painter_.scale(width < natural ? type.scale * width / natural : type.scale, type.scale);
        if (text.halo) {
            QPainterPath outline;
            outline.addText(0, 0, type.font, words);
            painter_.strokePath(outline, QPen(colourFrom(shades_.page()), kHaloPt * scale_ / type.scale,
                                              Qt::SolidLine, Qt::RoundCap, Qt::RoundJoin));
        }
        painter_.setFont(type.font);
        painter_.setPen(colourFrom(shades_.shown(text)));
        painter_.drawText(QPointF(0, 0), words);
        painter_.restore();
    }

  private:
    [[nodiscard]] QPointF place(figure::Point point) const { return {point.x * scale_, point.y * scale_}; }

    [[nodiscard]] Rgb shade(Rgb colour, bool exact) const { return exact ? colour : shades_.shown(colour); }

    [[nodiscard]] QPen pen(const figure::Stroke& stroke, Rgb colour, bool exact) const {
        const double width = stroke.widthPt * scale_;
        QPen made(colourFrom(shade(colour, exact)), width, Qt::SolidLine, Qt::FlatCap, Qt::MiterJoin);
        if (stroke.dashPt.empty() || !(width > 0)) return made;
        QList<qreal> pattern;  // in widths of the pen
        for (const double dash : stroke.dashPt) pattern << dash / stroke.widthPt;
        made.setDashPattern(pattern);
        return made;
    }

    void prepare(const std::optional<figure::Fill>& fill, const std::optional<figure::Stroke>& stroke) const {
        const bool exact = fill && fill->exact;
        painter_.setPen(stroke ? pen(*stroke, stroke->colour, exact) : QPen(Qt::NoPen));
        if (fill) {
            QColor colour = colourFrom(shade(fill->colour, exact));
            colour.setAlphaF(static_cast<float>(fill->opacity));
            painter_.setBrush(colour);
        } else {
            painter_.setBrush(Qt::NoBrush);
        }
    }

    QPainter& painter_;
    double scale_;
    const Shades& shades_;
};

}  // namespace

Rgb Shades::shown(Rgb colour) const {
    if (surface == Surface::light) return colour;
    return atLuminance(colour, luminanceOf(onDark(lightness(figure::luminance(colour)))));
}

Rgb Shades::shown(const figure::Text& text) const {
    if (surface == Surface::dark && text.ground) return figure::textColourOn(shown(*text.ground));
    return shown(text.colour);
}

QColor colourFrom(Rgb colour) {
    return {colour.r, colour.g, colour.b};
}

void paint(QPainter& painter, const figure::Scene& scene, double pixelsPerPt, const Shades& shades) {
    painter.fillRect(QRectF(0, 0, scene.widthPt * pixelsPerPt, scene.heightPt * pixelsPerPt),
                     colourFrom(shades.page()));
    paintOver(painter, scene.primitives, pixelsPerPt, shades);
}

void paintOver(QPainter& painter, std::span<const figure::Primitive> primitives, double pixelsPerPt,
               const Shades& shades) {
    painter.save();
    painter.setRenderHints(QPainter::Antialiasing | QPainter::TextAntialiasing);
    for (const figure::Primitive& primitive : primitives) {
        std::visit(PrimitivePainter(painter, pixelsPerPt, shades), primitive);
    }
    painter.restore();
}

double paintedWidth(const figure::Text& text, double pixelsPerPt) {
    const Type type = typeOf(text.sizePt * pixelsPerPt);
    return std::min(QFontMetricsF(type.font).horizontalAdvance(textOf(text)) * type.scale,
                    figure::textWidthPt(text.text, text.sizePt) * pixelsPerPt);
}

}  // namespace greywright::canvas

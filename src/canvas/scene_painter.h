#pragma once

#include <QColor>
#include <QPainter>
#include <span>

#include "figure/scene.h"

/// Figures on a screen: the scenes that reports paint as SVG, painted by Qt and made to answer the hand.
namespace greywright::canvas {

/// How the colours of a figure, made for black on white, are shown on a surface of another kind.
struct Shades {
    enum class Surface { light, dark };
    Surface surface = Surface::light;

    /// The colour of a figure's white page. Neutral on either surface.
    [[nodiscard]] figure::Rgb page() const { return shown({255, 255, 255}); }

    /// What `colour` becomes. On a light surface it stays what it is; on a dark one light and dark change
    /// places and hues stay. Inks of figure::Ink keep a contrast of 3 to 1 with the page, all but stone
    /// of 4.5.
    [[nodiscard]] figure::Rgb shown(figure::Rgb colour) const;

    /// The colour of a text, which stands out from what it stands on by 4.5 to 1 if it did so on white.
    [[nodiscard]] figure::Rgb shown(const figure::Text& text) const;

    bool operator==(const Shades&) const = default;
};

/// A figure's colour as Qt's.
[[nodiscard]] QColor colourFrom(figure::Rgb colour);

/// Paints a whole page, its ground included, with the top left corner at the painter's origin.
/// Units: pixelsPerPt in the painter's own units for one pt. Thread: any that may paint text.
void paint(QPainter& painter, const figure::Scene& scene, double pixelsPerPt, const Shades& shades = {});

/// Paints primitives over what is there. Text that is wider in the font at hand than figure::textWidthPt says
/// is set narrower, so it never takes more room than the layout gave it. Units: as for paint.
void paintOver(QPainter& painter, std::span<const figure::Primitive> primitives, double pixelsPerPt,
               const Shades& shades = {});

/// The width of a text as paintOver sets it. Units: the painter's own.
[[nodiscard]] double paintedWidth(const figure::Text& text, double pixelsPerPt);

}  // namespace greywright::canvas

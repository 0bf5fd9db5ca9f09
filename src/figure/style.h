#pragma once

#include <optional>
#include <string>
#include <vector>

#include "figure/plot.h"
#include "figure/scene.h"

/// The look that all figures share. Units: pt.
namespace greywright::figure {

inline constexpr double kTitleSizePt = 11;
inline constexpr double kAxisTitleSizePt = 8.5;
inline constexpr double kLabelSizePt = 8;
inline constexpr double kPagePaddingPt = 6;
inline constexpr double kTickLengthPt = 3;
inline constexpr double kTickGapPt = 5.5;  ///< from an axis to its words
inline constexpr double kLegendSampleWidthPt = 24;

/// The relative luminance of a colour, white 1. Source: WCAG 2.1 (W3C 2018), after IEC 61966-2-1.
[[nodiscard]] double luminance(Rgb colour);

/// By how much two colours stand out from each other, 1 to 21. Source: contrast ratio of WCAG 2.1 (W3C 2018).
[[nodiscard]] double contrast(Rgb one, Rgb other);

/// Black or white, whichever stands out more on `fill`: by 4.5 to 1 at the least.
[[nodiscard]] Rgb textColourOn(Rgb fill);

/// Puts a primitive on top. Not inline: GCC 12 warns of uninitialised parts where it sees the whole move.
void add(Scene& scene, Primitive primitive);

/// The stroke of a series.
[[nodiscard]] Stroke strokeOf(Ink ink, Dash dash, double widthPt);

/// Paints a marker. Valid: Marker::none paints nothing.
void addMarker(Scene& scene, Point at, Marker marker, double radiusPt, Ink ink);

/// Paints an upright rectangle.
void addRect(Scene& scene, const Rect& rect, const std::optional<Fill>& fill,
             const std::optional<Stroke>& stroke);

/// Paints lines of text one below the other, the first one's top at `top`; gives the bottom of the last.
double addLines(Scene& scene, const std::vector<std::string>& lines, Point top, double sizePt, Rgb colour,
                Anchor anchor);

/// The height that `count` lines of text take.
[[nodiscard]] double linesHeightPt(std::size_t count, double sizePt);

}  // namespace greywright::figure

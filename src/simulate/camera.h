#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <vector>

#include "picture/read.h"
#include "sheet/sheet.h"

/// Invented cameras and scanners, for tests only: the product never reasons with them.
namespace greywright::simulate {

/// Red, green and blue as shares of the light that white paper sends back, linear, primaries of sRGB.
using Light = std::array<double, 3>;

/// A printed page as it lies there. Shape: `rgb` holds the pixels' three channels side by side, rows from top
/// to bottom.
struct Print {
    double widthMm = 0;
    double heightMm = 0;
    std::size_t width = 0;
    std::size_t height = 0;
    std::vector<float> rgb = {};
};

/// One page of a sheet with its marks, patches, markers and nothing in words, each tone in the colour that
/// `lightOfTone` gives. A card, where one is given, lies in the sheet's place for it.
[[nodiscard]] Print printOf(const sheet::Sheet& sheet, int page, double pixelsPerMm,
                            const std::function<Light(double tonePercent)>& lightOfTone,
                            const Light* card = nullptr);

/// A small lamp above the page. Units: mm from the upper left corner of the page.
struct Lamp {
    double xMm = 0;
    double yMm = 0;
    double heightMm = 1000;
    Light light = {1, 1, 1};  ///< what it alone gives in the middle of the page
};

/// Something that lies on the page or beside it: an ellipse of one colour.
struct Thing {
    double xMm = 0;
    double yMm = 0;
    double radiusXMm = 0;
    double radiusYMm = 0;
    Light light = {0, 0, 0};
};

/// A camera, or a scanner: one that looks straight down, without lens and grain.
/// Model: a pinhole with radial distortion r (1 + k1 r^2 + k2 r^4), r in half diagonals; light of lamps that
/// are points (inverse square and cosine), dimmed towards the corners by the square of the distance; blur,
/// noise of signal and of read-out, the curve of sRGB, JPEG's rounding (its standard tables, chroma halved).
struct Camera {
    std::size_t width = 1600;
    std::size_t height = 1200;
    double turnDegrees = 0;           ///< of the page, clockwise as seen
    double tiltDegrees = 0;           ///< from straight above
    double tiltDirectionDegrees = 0;  ///< towards which the page leans away
    double fill = 0.9;  ///< share of the picture's sides that the page takes, of the tighter one
    double k1 = 0;
    double k2 = 0;
    double vignettingStops = 0;        ///< in the corners
    std::vector<Lamp> lamps = {};      ///< none: light of 1 everywhere
    Light gain = {1, 1, 1};            ///< exposure and white balance
    double overlap = 0;                ///< of the sensor's channels: what each sees of the mean of all three
    double blurPx = 0;                 ///< standard deviation
    double shotNoise = 0;              ///< standard deviation at full light, as the root of the light
    double readNoise = 0;              ///< standard deviation everywhere
    int jpegQuality = 0;               ///< 1 to 99; 0 = none
    std::vector<Thing> things = {};    ///< on the page or beside it, the last on top
    std::size_t dust = 0;              ///< dark and light specks of a pixel or two
    Light table = {0.12, 0.10, 0.08};  ///< what lies around the page
    std::function<Light(const Light&)> meddle = {};  ///< what the device does to codes of 0 .. 1, of itself
    std::uint64_t seed = 1;
};

/// What the lamps give at a place of the page, or beside it.
[[nodiscard]] Light lightAt(const Camera& camera, double pageWidthMm, double pageHeightMm, double xMm,
                            double yMm);

/// A picture and the truth about it.
struct Shot {
    picture::Reduced picture = {};
    std::function<std::array<double, 2>(double xMm, double yMm)> pxFromMm = {};  ///< pixel edges are whole
};

/// Takes a picture of 8 bits without a profile: sRGB. Valid: tilt below 60 degrees.
[[nodiscard]] Shot take(const Print& print, const Camera& camera);

}  // namespace greywright::simulate

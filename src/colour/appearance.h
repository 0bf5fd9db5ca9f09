#pragma once

#include "colour/lab.h"

namespace greywright::colour {

/// What surrounds the field of view beyond the print's own background.
enum class Surround {
    average,  ///< a lit room
    dim,      ///< a screen in the evening
    dark,     ///< a projection
};

/// Under what a colour is seen.
struct ViewingConditions {
    Xyz white = {};                     ///< the light's white, Y = 100
    double adaptingLuminanceCdM2 = 64;  ///< of the field adapted to; see adaptingLuminanceFromLux
    double backgroundY = 20;            ///< of what is right behind the colour, in percent
    Surround surround = Surround::average;
    bool fullyAdapted = false;  ///< to the white, as one is to a room's light: D = 1 at every luminance
};

/// CIECAM16 correlates.
struct Appearance {
    double J = 0;         ///< lightness, 100 = white
    double C = 0;         ///< chroma
    double hDegrees = 0;  ///< hue angle, 0..360
    double M = 0;         ///< colourfulness
    double s = 0;         ///< saturation
    double Q = 0;         ///< brightness
};

/// CAM16-UCS: equal distances look about equally large.
struct CamUcs {
    double J = 0;
    double a = 0;
    double b = 0;
};

/// The colour appearance model CIECAM16 for one set of viewing conditions.
///
/// Model: CAT16 adaptation to a degree that follows from the luminance, a compressive response per cone, then
/// opponent correlates. Cone responses below 0.26 and above 150 follow straight lines, so that very dark and
/// very bright saturated colours stay finite and invertible.
/// Fails to describe: mesopic and scotopic light, simultaneous contrast beyond the background's luminance.
/// Source: CIE 248:2022; Li et al. (2017), Color Res. Appl. 42(6), 703-718. The straight-line extensions
/// (0.26 and 150) are from memory.
class Ciecam16 {
  public:
    /// Valid: white.Y > 0, adaptingLuminanceCdM2 > 0, backgroundY > 0.
    explicit Ciecam16(const ViewingConditions& conditions);

    [[nodiscard]] Appearance appearanceFromXyz(const Xyz& xyz) const;

    /// The inverse, from J, M and hDegrees alone. Valid: J >= 0, M >= 0.
    [[nodiscard]] Xyz xyzFromAppearance(const Appearance& appearance) const;

    [[nodiscard]] CamUcs ucsFromXyz(const Xyz& xyz) const;

  private:
    struct Cones {
        double R = 0;
        double G = 0;
        double B = 0;
    };
    /// Opponent responses a and b, the square root of J / 100, and t over the eccentricity and their length.
    struct Opponents {
        double a = 0;
        double b = 0;
        double root = 0;
        double tOverE = 0;
    };
    [[nodiscard]] Opponents opponentsOf(const Xyz& xyz) const;
    [[nodiscard]] double compressed(double cone) const;
    [[nodiscard]] double expanded(double response) const;

    Cones gains_;
    double FL_ = 0;
    double n_ = 0;
    double z_ = 0;
    double Nbb_ = 0;
    double c_ = 0;
    double Nc_ = 0;
    double Aw_ = 0;
    double chroma_ = 0;  // of M, what does not depend on the colour
};

/// Source: Li et al. (2017): J' = 1.7 J / (1 + 0.007 J), M' = ln(1 + 0.0228 M) / 0.0228.
[[nodiscard]] CamUcs ucsFromAppearance(const Appearance& appearance);

/// The inverse, as far as CAM16-UCS goes: J, M and hDegrees are set.
[[nodiscard]] Appearance appearanceFromUcs(const CamUcs& ucs);

/// The corresponding colour: what, under `toWhite`,
/// looks as `xyz` does under `fromWhite`, by CAT16 with complete adaptation.
/// Source: Li et al. (2017), equation 4 with D = 1.
[[nodiscard]] Xyz adaptedByCat16(const Xyz& xyz, const Xyz& fromWhite, const Xyz& toWhite);

/// The luminance of a background that reflects `backgroundY` percent of the light falling on it.
/// Source: CIE 248:2022: La = (E / pi) (Yb / 100).
[[nodiscard]] double adaptingLuminanceFromLux(double lux, double backgroundY = 20);

}  // namespace greywright::colour

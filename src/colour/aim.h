#pragma once

#include "colour/lab.h"

namespace greywright::colour {

/// Which tint a ramp should have had.
enum class TintAimKind {
    fade,   ///< the paper's tint fades into neutral towards black: the default
    light,  ///< neutral to the light, a* = b* = 0, whatever the paper
    paper,  ///< the paper's own a* and b* at every tone
};

/// A tone on purpose: a tint added to the aim, strongest between paper and black and none at either, where
/// inks cannot follow. Different tints make a split. Units: a*, b*.
struct Toning {
    Tint highlights = {};
    Tint shadows = {};

    /// One tint all along. Units: chroma of CIELAB, degrees of hue.
    [[nodiscard]] static Toning even(double chroma, double hueDegrees);

    /// What is added at a lightness, as a share between black, 0, and paper, 1.
    [[nodiscard]] Tint at(double share) const;
};

/// The tint aim along a ramp:
/// a*(L) = a*p (1 - k (L*p - L*) / (L*p - L*min)), b* likewise, with k = 0.85 for `fade` and 0 for `paper`.
/// Source: the form recommended in ISO 12647-2:2013, 4.2.8; the factor 0.85 from memory.
struct TintAim {
    TintAimKind kind = TintAimKind::fade;
    Lab paper;
    double blackL = 0;           ///< L* of the maximum black
    double fadeFraction = 0.85;  ///< k
    Toning toning = {};          ///< added to that

    /// The aim's a* and b* at a lightness. Outside paper..black the ends hold.
    [[nodiscard]] Tint at(double L) const;
};

}  // namespace greywright::colour

#pragma once

#include <array>
#include <cmath>

#include "figure/scene.h"

namespace greywright::figure {

/// Colours for series. Each is at least 9 units of L* from the next, so they stay apart in a black-and-white
/// print and for readers with a colour deficiency; dashes, markers and labels tell them apart as well. On
/// white all have a contrast of 3 to 1 or more, and those that text is set in, all but stone, of 4.5 to 1
/// (WCAG 2.1, W3C 2018).
enum class Ink { black, plum, petrol, copper, stone };

inline constexpr std::array<Rgb, 5> kInks{
    Rgb{0x22, 0x26, 0x2a}, Rgb{0x5d, 0x2f, 0x57}, Rgb{0x1c, 0x65, 0x80},
    Rgb{0xaa, 0x66, 0x22}, Rgb{0x8f, 0x95, 0x9a},
};

/// The colour of an ink.
[[nodiscard]] constexpr Rgb rgb(Ink ink) {
    return kInks[static_cast<std::size_t>(ink)];
}

/// Between two colours, `low` at 0 and `high` at 1; outside the ends hold.
[[nodiscard]] inline Rgb between(Rgb low, Rgb high, double fraction) {
    const double t = fraction < 0 ? 0 : fraction > 1 ? 1 : fraction;
    const auto mix = [t](std::uint8_t from, std::uint8_t to) {
        return static_cast<std::uint8_t>(std::lround(from + t * (to - from)));
    };
    return {mix(low.r, high.r), mix(low.g, high.g), mix(low.b, high.b)};
}

/// A quiet grey-blue ramp for areas, light at 0 and never so dark at 1 that black text on it is hard to read.
[[nodiscard]] inline Rgb areaRamp(double fraction) {
    return between({0xf8, 0xfa, 0xfb}, {0x8e, 0xa3, 0xb8}, fraction);
}

/// The ramp of cells: bare paper at 0, close to ink at 1. Text on it is coloured by textColourOn().
[[nodiscard]] inline Rgb cellRamp(double fraction) {
    return between({0xf8, 0xfa, 0xfb}, {0x1d, 0x3a, 0x4c}, fraction);
}

inline constexpr Rgb kWhite{255, 255, 255};
inline constexpr Rgb kTextColour{0x22, 0x26, 0x2a};
inline constexpr Rgb kQuietTextColour{0x50, 0x57, 0x5d};
inline constexpr Rgb kAxisColour{0x6b, 0x72, 0x78};
inline constexpr Rgb kGridColour{0xe2, 0xe5, 0xe8};

}  // namespace greywright::figure

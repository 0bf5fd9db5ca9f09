#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "colour/spectrum.h"
#include "core/result.h"

namespace greywright::colour {

/// A spectral power distribution with a name.
struct Light {
    std::string name = {};
    std::string description = {};
    std::string origin = {};               ///< where the figures come from
    Spectrum power = {};                   ///< relative, on kFineGrid
    std::vector<double> ultraviolet = {};  ///< on kUltravioletGrid, on the scale of `power`; empty = unknown
};

/// The names of the lights that ship, in the order in which to show them: A, D50, D55, D65, D75, E, F1..F12,
/// LED-B1..LED-B5, then measured lamps such as "led-warm-82" or "halogen". A number at the end of a lamp's
/// name is its Ra.
/// Source: measured lamps: Houser et al. 2013, Opt. Express 21(8), 10393-10411 (data/README.md).
[[nodiscard]] std::vector<std::string> lightNames();

/// A light by its name, whatever the case. Beside lightNames(): any daylight as "D60" (6000 K nominal) or
/// "D6200" and any black body as "P3200".
/// Errors: unknown-light (with the nearest name), light-temperature-out-of-range.
[[nodiscard]] Result<Light> lightByName(std::string_view name);

/// The CIE daylight illuminant of a correlated colour temperature, 100 at 560 nm.
/// Valid: 4000 K <= kelvin <= 25000 K. D50 is 5000 K times 1.4388/1.4380.
/// Source: CIE 15:2018, 4.1.2, with the factors M1 and M2 rounded to three decimals as it says.
[[nodiscard]] Spectrum daylightPower(double kelvin);

/// Planck's law, 100 at 560 nm.
/// Valid: 500 K <= kelvin <= 100000 K.
/// Source: c2 = 1.4388e-2 m K, refractive index 1 (CIE 15:2018).
[[nodiscard]] Spectrum blackBodyPower(double kelvin);

}  // namespace greywright::colour

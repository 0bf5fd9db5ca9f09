#pragma once

#include <array>

#include "colour/colorimeter.h"
#include "core/random.h"
#include "simulate/printer.h"

/// Papers and inks that the invented printers share. For the sources of this module only.
namespace greywright::simulate {

using Spectrum36 = std::array<double, 36>;

/// A bell over wavelength, 1 at its centre.
[[nodiscard]] double bell(double nm, double centre, double width);

/// D50, 2 degrees, on kInstrumentGrid.
[[nodiscard]] const colour::Colorimeter& colorimeter();

/// Paper: a little cream or a little brightened, as papers are.
[[nodiscard]] Spectrum36 paperSpectrum(Random& random);

/// The colours of a set of inks: absorbance per unit amount.
struct Inks {
    Spectrum36 black, cyan, magenta, yellow;
};

/// Dye or pigment inks drawn at random.
[[nodiscard]] Inks inkSpectra(Random& random, bool dye);

/// A smooth wave along the ramp, zero at paper.
struct Wave {
    double height = 0, phase = 0, turns = 1;
    [[nodiscard]] double at(double tone) const;
};

/// A wave of a height with that standard deviation.
[[nodiscard]] Wave randomWave(Random& random, double height);

/// Density of the grey ramp before coloured inks: even steps of L* between paper and black.
[[nodiscard]] double rampDensity(double tone, double blackDensity);

}  // namespace greywright::simulate

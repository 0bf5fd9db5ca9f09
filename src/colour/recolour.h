#pragma once

#include <optional>
#include <span>
#include <vector>

#include "colour/colorimeter.h"

namespace greywright::colour {

/// A reflectance moved to another colour, as a little more or less ink would move it.
///
/// Model: the spectrum is multiplied by exp(c1 B1 + c2 B2 + c3 B3). The B are normal curves around 440, 545
/// and 645 nm, 45, 45 and 55 nm wide: where yellow, magenta and cyan inks absorb (common practice; the widths
/// are an assumption). The c are found so that the colorimeter sees `wanted`. Fails to describe: inks with
/// narrow bands; a change of many units, for which other spectra of the same colour are as likely. Empty
/// where no such spectrum exists: a black that reflects nothing. Shape: one reflectance factor per wavelength
/// of the colorimeter's grid, in and out.
[[nodiscard]] std::optional<std::vector<double>> recoloured(std::span<const double> reflectance,
                                                            const Colorimeter& colorimeter,
                                                            const Lab& wanted);

}  // namespace greywright::colour

#pragma once

#include "colour/lab.h"

namespace greywright::colour {

/// The colour difference CIEDE2000 with all parametric factors 1.
/// Source: ISO/CIE 11664-6:2022; Sharma, Wu and Dalal (2005), Color Res. Appl. 30(1), 21-30.
[[nodiscard]] double deltaE2000(const Lab& one, const Lab& other);

/// The distance in the a*b* plane, lightness left out: what a printer calls delta Ch.
[[nodiscard]] double deltaCh(const Lab& one, const Lab& other);

/// The distance in CIELAB (CIE 1976).
[[nodiscard]] double deltaE76(const Lab& one, const Lab& other);

}  // namespace greywright::colour

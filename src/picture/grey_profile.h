#pragma once

#include <string>

namespace greywright::picture {

/// An ICC profile for one grey channel, of version 2.4: full code is D50 white, luminance is the code to the
/// power 2.2, which the format rounds to 563/256. Always the same bytes.
/// Source: ICC.1:2001-04, sections 6.1 (header), 6.2 (tags), 6.3.2.1 (monochrome profiles), 6.5.2
/// (curve), 6.5.17 (description), from memory.
[[nodiscard]] std::string greyGamma22Profile();

}  // namespace greywright::picture

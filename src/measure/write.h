#pragma once

#include <string>

#include "measure/reading.h"

namespace greywright::measure {

/// A reading as CGATS.17 text that other programs understand and that reads back as the same reading:
/// names, tones, device values, CIELAB and spectra (as fractions), with LF line ends. Notes stay behind.
/// Valid: every patch has CIELAB, or every patch has a spectrum; patches with a spectrum all have it on
/// reading.grid.
[[nodiscard]] std::string cgatsFromReading(const Reading& reading);

}  // namespace greywright::measure

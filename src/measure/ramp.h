#pragma once

#include <optional>
#include <vector>

#include "colour/lab.h"
#include "colour/spectrum.h"
#include "core/result.h"
#include "measure/reading.h"

namespace greywright::measure {

/// What one tone came out as; the mean where it was printed several times.
struct RampPatch {
    double tonePercent = 0;                ///< 0 bare paper .. 100 maximum black
    colour::Lab lab = {};                  ///< D50, 2 degrees
    std::vector<double> reflectance = {};  ///< fractions on Ramp::grid; empty without spectra
};

/// What a reading says about tones. Shape: patches in ascending order of tone, each tone once.
struct Ramp {
    std::vector<RampPatch> patches = {};
    std::optional<colour::WavelengthGrid> grid = {};  ///< present when the patches carry spectra
    Condition condition = Condition::unknown;
    std::optional<Uncertainty> uncertainty = {};  ///< as the reading's
    std::vector<Note> notes = {};                 ///< about tones only; the reading keeps its own
};

}  // namespace greywright::measure

#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "colour/lab.h"
#include "colour/spectrum.h"
#include "core/result.h"
#include "measure/reading.h"
#include "measure/statements.h"
#include "measure/text.h"

namespace greywright::measure {

/// What a file gave for one patch, before anything was decided about it.
struct RawPatch {
    std::string name = {};
    std::size_t line = 0;
    std::optional<colour::Lab> lab = {};  ///< for the white that the file states
    std::optional<colour::Xyz> xyz = {};
    std::vector<double> spectrum = {};  ///< in the file's own scale
    std::vector<double> device = {};
    std::optional<double> tonePercent = {};
};

/// Whether the file's format or names fix the scale of its spectra.
enum class SpectralScale { notSaid, fraction, percent };

/// What a file gave, before anything was decided about it. Shape: all patches have a spectrum on `grid`, or
/// none has.
struct RawReading {
    std::vector<RawPatch> patches = {};
    std::optional<colour::WavelengthGrid> grid = {};
    SpectralScale scale = SpectralScale::notSaid;
    Statements statements = {};
    std::vector<std::string> deviceColumns = {};
    std::string format = {};
    std::vector<Note> notes = {};
};

/// The reading: CIELAB for D50 and 2 degrees from spectra where there are any, otherwise the file's own. The
/// scale of the spectra is settled, and spectra and the file's CIELAB are compared; every doubt is a note.
/// Errors: no-patches, spectrum-too-narrow, spectrum-too-coarse, spectral-scale-unclear,
/// reflectance-out-of-range, white-not-d50, white-contradictory, xyz-white-not-stated, lab-out-of-range,
/// no-measurement.
[[nodiscard]] Result<Reading> settled(RawReading raw, const Source& source);

/// The grid on which these wavelengths lie, equally spaced. Names rounded to whole nanometres are understood,
/// with a note. Shape: `wavelengthsNm` ascending.
/// Errors: spectrum-too-few-bands, wavelengths-irregular.
[[nodiscard]] Result<colour::WavelengthGrid> gridFromWavelengths(const std::vector<double>& wavelengthsNm,
                                                                 const Source& source, std::size_t line,
                                                                 std::vector<Note>& notes);

}  // namespace greywright::measure

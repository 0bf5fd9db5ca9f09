#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

#include "measure/settle.h"

namespace greywright::measure {

/// What the values of a spectrum are, as far as words tell.
struct Ordinate {
    enum class Kind { notSaid, power, photons, counts, transmittance, other };

    Kind kind = Kind::notSaid;
    std::string quantity = {};                     ///< "irradiance" ...; empty = not said
    SpectralScale scale = SpectralScale::notSaid;  ///< of a transmittance
    std::size_t line = 0;                          ///< where it was said
    std::string field = {};
};

/// What a heading, unit or remark says about the values of a spectrum: "Irradiance (W/m2/nm)",
/// "umol m-2 s-1 nm-1", "counts", "T (%)".
[[nodiscard]] Ordinate ordinateIn(std::string_view words);

/// Whether a line above a table speaks of the spectrum itself and not of some figure derived from it: it has
/// something per nanometre, or its key is one for units or axes.
[[nodiscard]] bool speaksOfSpectrum(std::string_view key, std::string_view line);

/// What a heading says about the unit of wavelength.
enum class WavelengthUnit { notSaid, nanometres, micrometres, foreign };
[[nodiscard]] WavelengthUnit wavelengthUnitIn(std::string_view heading);

/// Whether a cell names a column of wavelengths.
[[nodiscard]] bool namesWavelengths(std::string_view cell);

/// The first cell of a row: "380", "380,5", "380 nm", "Spectral Data 380[nm]", "0.380765".
struct WavelengthCell {
    double number = 0;       ///< in the cell's own unit
    std::string label = {};  ///< what stands around the number
    std::string digits = {};
};
[[nodiscard]] std::optional<WavelengthCell> wavelengthFromCell(std::string_view cell);

/// Whether a line marks the beginning or the end of a block of data.
[[nodiscard]] bool isBlockMarker(std::string_view line);

}  // namespace greywright::measure

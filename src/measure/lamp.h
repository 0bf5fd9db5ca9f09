#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "colour/glazing.h"
#include "colour/light.h"
#include "colour/spectrum.h"
#include "core/result.h"

namespace greywright::measure {

/// A lamp's spectrum as it was measured. Shape: as many powers as wavelengths.
struct LampReading {
    std::string name = {};         ///< from the file, may be empty
    std::string description = {};  ///< from the file, may be empty
    std::string format = {};       ///< "IES TM-27" or "table"
    std::string quantity = {};     ///< "irradiance", "flux" ...; "relative" when the file says nothing
    std::vector<double> wavelengthsNm = {};  ///< strictly ascending
    std::vector<double> power = {};          ///< per nm, in the file's own unit, never negative
    std::vector<Note> notes = {};
};

/// Which spectrum of a file is meant.
struct LampOptions {
    std::optional<std::string> column = {};  ///< of a table with several: its heading, or its number from 1
};

/// The lamp in an IES TM-27 document or in a table of wavelengths and powers (CSV, TSV, blank-aligned), told
/// apart by content. Photon units are turned into power, small negative values into zero. `path` is only used
/// in texts.
/// Errors: those of textFromBytes(); xml-not-well-formed, xml-doctype, xml-too-complex, mixed-decimal-marks;
/// lamp-not-recognised, lamp-no-points, lamp-not-a-number, lamp-value-missing, lamp-value-out-of-range,
/// lamp-row-too-long, lamp-row-unreadable, lamp-too-long, lamp-column-missing, lamp-column-unknown,
/// lamp-wavelength-unit, lamp-wavelengths-not-increasing, lamp-too-few-points, lamp-range-too-short,
/// lamp-gap, lamp-other-quantity, lamp-raw-counts, lamp-unit-unclear, lamp-negative, lamp-all-zero. Cost:
/// linear in the size of the file. Thread: safe.
[[nodiscard]] Result<LampReading> lampFromBytes(std::string_view bytes, const std::string& path,
                                                const LampOptions& options = {});

/// The light that a lamp gives: linear between its points, scaled to a peak of 100. Beyond a measured range
/// that covers 400 to 700 nm there is nothing; an end that lies inside is continued at the slope of its last
/// 20 nm down to zero, or held where it does not fall. `ultraviolet` is filled when the lamp was measured
/// below 360 nm.
/// Errors: lamp-wavelengths-not-increasing, lamp-value-out-of-range, lamp-too-few-points,
/// lamp-range-too-short, lamp-gap, lamp-negative, lamp-all-zero.
/// Source: CIE 15:2018 (linear interpolation of a light's spectrum).
[[nodiscard]] Result<colour::Light> lightFromLamp(const LampReading& lamp, const std::string& name);

/// What a glazing lets through. Units: fractions.
struct TransmittanceReading {
    std::string name = {};
    std::string description = {};
    std::string format = {};              ///< "IES TM-27" or "table"
    colour::Spectrum transmittance = {};  ///< on colour::kGlazingGrid
    std::vector<Note> notes = {};
};

/// The transmittance in a file of the same formats as lampFromBytes() reads. Below a table that begins at
/// 400 nm or less its first value stands in, above its last, both with a note.
/// Errors: those of lampFromBytes() with transmittance- for lamp-, and transmittance-scale-unclear,
/// transmittance-out-of-range, transmittance-negative.
/// Thread: safe.
[[nodiscard]] Result<TransmittanceReading> transmittanceFromBytes(std::string_view bytes,
                                                                  const std::string& path,
                                                                  const LampOptions& options = {});

}  // namespace greywright::measure

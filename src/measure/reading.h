#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "colour/lab.h"
#include "colour/spectrum.h"
#include "core/result.h"

namespace greywright::measure {

/// ISO 13655 measurement condition: which ultraviolet the instrument's light had, and polarisation.
enum class Condition { unknown, m0, m1, m2, m3 };

/// "M0" .. "M3", or "unknown".
[[nodiscard]] std::string_view textFromCondition(Condition condition);

/// One measured patch.
struct Patch {
    std::string name = {};                   ///< sample name or number as the file gives it
    std::optional<double> tonePercent = {};  ///< 0 bare paper .. 100 maximum black, once known
    std::optional<colour::Lab> lab = {};     ///< D50, 2 degrees: from the spectrum where there is one
    std::vector<double> reflectance = {};    ///< fractions on Reading::grid; empty without a spectrum
    std::vector<double> device = {};         ///< one per Reading::deviceColumns, in the file's own units
    std::size_t line = 0;                    ///< line of the file it came from; 0 = unknown
};

/// How far a reading without an instrument may be off. Units: standard deviations of a* and of b*, each.
struct Uncertainty {
    double shared = 0;  ///< the same way for all patches of a kind: white balance, the device's colours
    double own = 0;     ///< of each patch by itself
};

/// What was measured from one sheet.
struct Reading {
    std::vector<Patch> patches = {};
    std::optional<colour::WavelengthGrid> grid = {};  ///< present when the patches carry spectra
    Condition condition = Condition::unknown;
    std::vector<std::string> deviceColumns =
        {};  ///< GREY, K, CMYK_C.., RGB_R..: what was sent to the printer
    std::string instrument = {};
    std::string created = {};  ///< as the file says
    std::string format = {};   ///< "CGATS", "CxF3", "CSV" or "TSV"; "scan" or "photograph"
    std::string path = {};     ///< the file as the user named it; empty when it came from elsewhere
    std::optional<Uncertainty> uncertainty = {};  ///< of scans and photographs; absent for an instrument's
    std::vector<Note> notes = {};

    [[nodiscard]] bool isSpectral() const { return grid.has_value(); }
};

}  // namespace greywright::measure

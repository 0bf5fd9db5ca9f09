#pragma once

#include <cstddef>
#include <span>
#include <vector>

namespace greywright::colour {

/// Equally spaced wavelengths. Units: nm.
struct WavelengthGrid {
    double startNm = 0;
    double stepNm = 0;
    std::size_t count = 0;

    [[nodiscard]] double endNm() const { return startNm + stepNm * static_cast<double>(count - 1); }
    [[nodiscard]] double atNm(std::size_t index) const {
        return startNm + stepNm * static_cast<double>(index);
    }
    bool operator==(const WavelengthGrid&) const = default;
};

/// The grid on which all colorimetry is done: 1 nm from 360 to 830 nm, the range of the CIE observers.
inline constexpr WavelengthGrid kFineGrid{360, 1, 471};

/// What lies below it and still makes a paper's brightener glow: 1 nm from 300 to 359 nm.
inline constexpr WavelengthGrid kUltravioletGrid{300, 1, 60};

/// Values on a grid: a reflectance as a fraction (0..1, a little more for brightened paper), or a relative
/// spectral power. Shape: values.size() == grid.count.
struct Spectrum {
    WavelengthGrid grid;
    std::vector<double> values;
};

}  // namespace greywright::colour

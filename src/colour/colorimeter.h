#pragma once

#include <span>
#include <vector>

#include "colour/lab.h"
#include "colour/light.h"
#include "colour/observer.h"
#include "colour/spectrum.h"

namespace greywright::colour {

/// Turns measured reflectances into tristimulus values and CIELAB for one observer, light and grid.
///
/// Model: reflectance is brought to 1 nm by Sprague's interpolation (linear below six samples) and held
/// constant outside the measured range; then summed at 1 nm over 360-830 nm with the observer and the light,
/// normalised to Y = 100 for the perfect diffuser. All of it is linear and is folded into three weights per
/// sample at construction. The white is computed with the same weights, so a flat reflectance is exactly
/// neutral.
/// Fails to describe: features narrower than the sample spacing; fluorescence under another light than the
/// instrument's.
/// Source: CIE 15:2018, 7.1; CIE 167:2005.
class Colorimeter {
  public:
    /// Valid: `observer` and `light` on kFineGrid, the light with some power where the observer sees it;
    /// `grid` not empty.
    Colorimeter(const Observer& observer, const Light& light, const WavelengthGrid& grid);

    /// Shape: one reflectance factor (1 = perfect diffuser) per wavelength of the grid.
    [[nodiscard]] Xyz xyzFromReflectance(std::span<const double> reflectance) const;

    /// Relative to white(). Shape: as above.
    [[nodiscard]] Lab labFromReflectance(std::span<const double> reflectance) const;

    /// Many spectra at once.
    /// Shape: `block` holds labs.size() spectra, one after the other.
    /// Cost: about that of the matrix product alone.
    void labsFromReflectances(std::span<const double> block, std::span<Lab> labs) const;

    /// The perfect diffuser under this light.
    [[nodiscard]] const Xyz& white() const { return white_; }

    /// The share of Y's weight that lies outside the measured range, where the end value stands in.
    /// Units: 0..1.
    [[nodiscard]] double extrapolatedFraction() const { return extrapolatedFraction_; }

    [[nodiscard]] const WavelengthGrid& grid() const { return grid_; }

  private:
    WavelengthGrid grid_;
    std::vector<double> weights_;  // all of X, then Y, then Z
    Xyz white_;
    double extrapolatedFraction_ = 0;
};

/// Tristimulus values of a light itself. Units: Y = 100.
[[nodiscard]] Xyz whiteOf(const Light& light, const Observer& observer);

/// CIELAB from tristimulus values. Source: ISO/CIE 11664-4:2019.
[[nodiscard]] Lab labFromXyz(const Xyz& xyz, const Xyz& white);

/// The inverse of labFromXyz.
[[nodiscard]] Xyz xyzFromLab(const Lab& lab, const Xyz& white);

/// Visual density of a print from its luminance factor: -log10(Y/100), at most 8.
/// Units: Y of the perfect diffuser = 100.
/// Source: ISO 5-3:2009, visual density: V(lambda) under illuminant A, which is what Y of the 1931 observer
/// under A gives. By custom Y is taken under D50 instead: on measured neutral papers that differs by 0.002.
[[nodiscard]] double visualDensityFromY(double Y);

}  // namespace greywright::colour

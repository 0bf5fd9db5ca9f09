#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "colour/lab.h"
#include "colour/spectrum.h"
#include "core/random.h"
#include "measure/reading.h"

/// Invented printers, for the demo and the tests only: the product never reasons with them.
namespace greywright::simulate {

/// The bands that a simulated instrument gives.
inline constexpr colour::WavelengthGrid kInstrumentGrid{380, 10, 36};

/// How inks make colour and how the control reaches them. The families differ in structure, not only in
/// figures, so that a method that fits one is not thereby good at another.
enum class Family {
    dye,       ///< inks mix in depth (absorbances add); the control adds coloured ink, never less than none
    halftone,  ///< dots beside and over one another (Neugebauer's primaries with the Yule-Nielsen factor 2);
               ///< the control moves dot areas and saturates softly
    balance,   ///< grey made of coloured inks and black; the control bends the coloured inks' curves
    direct,    ///< no inks at all: tints in CIELAB by a weight over tone; gives no spectra
};

/// Every family, and its name for texts.
[[nodiscard]] std::span<const Family> families();
[[nodiscard]] std::string_view familyName(Family family);

/// A printer with a paper, inks and a hidden control. Thread: safe once made.
class Printer {
  public:
    virtual ~Printer() = default;

    /// What comes out without any noise.
    /// Units: tone 0..1; deflection -1..1 an axis. Shape: kInstrumentGrid.count fractions, empty for
    /// `direct`.
    [[nodiscard]] virtual std::vector<double> reflectance(double tone,
                                                          std::span<const double> deflection) const = 0;

    /// The same as CIELAB, D50, 2 degrees.
    [[nodiscard]] virtual colour::Lab lab(double tone, std::span<const double> deflection) const;

    /// The size of its noise, as the mean CIEDE2000 between two prints of one setting.
    [[nodiscard]] double noiseDeltaE00() const { return noise_; }

    /// One print measured once: every print differs a little as a whole and every patch by itself.
    /// Units: tones 0..1. Shape: patches in the order of the tones.
    [[nodiscard]] measure::Reading print(std::span<const double> tones, std::span<const double> deflection,
                                         Random& random) const;

  protected:
    double noise_ = 0.2;
};

/// The character of a control.
struct Control {
    double rotationDegrees = 0;
    bool mirrored = false;
    double gain = 1;         ///< 1 = about eight CIELAB units at the mid tones for a full deflection
    double unequal = 1;      ///< second axis' gain over the first's
    double skewDegrees = 0;  ///< how far the axes are from a right angle
};

/// A printer of a family.
struct Recipe {
    Family family = Family::dye;
    Control control = {};
    std::size_t axes = 2;
    double noiseDeltaE00 = 0.2;
    std::uint64_t seed = 1;   ///< settles everything else: inks, paper, base tint, weights over tone
    std::uint64_t paper = 0;  ///< another paper on the same printer: inks and control stay nearly the same
};

/// Makes the printer of a recipe.
[[nodiscard]] std::unique_ptr<Printer> printerFromRecipe(const Recipe& recipe);

/// A recipe drawn at random: any rotation, either hand, unequal gain, skew, noise of 0.1 to 0.3.
[[nodiscard]] Recipe randomRecipe(Family family, std::uint64_t seed);

}  // namespace greywright::simulate

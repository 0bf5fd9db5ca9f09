#pragma once

#include <array>
#include <cstdint>
#include <vector>

#include "colour/lab.h"
#include "core/random.h"
#include "simulate/printer.h"

namespace greywright::simulate {

/// How a driver bends tones on their way to the inks: from paper to black, always darker, but not evenly.
struct ToneWarp {
    double power = 1;   ///< above 1 the light tones come out too light
    double bow = 0;     ///< an S; -0.6 .. 0.6
    double late = 0;    ///< the share of the range in which hardly anything prints
    double blocks = 0;  ///< the share of the range that is all but black

    /// Units: 0..1 both ways; the ends stay.
    [[nodiscard]] double at(double tone) const;
};

/// A warp drawn at random: powers of 0.6 to 1.7, an S either way, up to 2 % lost at each end.
[[nodiscard]] ToneWarp randomWarp(std::uint64_t seed);

/// What colours the print of an RGB route.
enum class Medium {
    dye,      ///< inks mix in depth
    pigment,  ///< dots over one another
};

/// RGB codes, 0 .. 65535. Units: full light = 65535.
using RgbCodes = std::array<double, 3>;

/// A printer fed with RGB: three coloured inks carry the light tones, black takes over below, and the
/// driver's own bends give equal codes a cast that turns along the ramp. Thread: safe once made.
class RgbPrinter {
  public:
    RgbPrinter(Medium medium, std::uint64_t seed);

    /// What comes out without any noise. Shape: kInstrumentGrid.count fractions.
    [[nodiscard]] std::vector<double> reflectance(const RgbCodes& codes) const;

    /// The same as CIELAB, D50, 2 degrees.
    [[nodiscard]] colour::Lab lab(const RgbCodes& codes) const;

    /// One print measured once: the print differs a little as a whole and every patch by itself.
    [[nodiscard]] std::vector<colour::Lab> print(const std::vector<RgbCodes>& codes, Random& random) const;

    /// The size of its noise, as the mean CIEDE2000 between two prints.
    [[nodiscard]] double noiseDeltaE00() const { return noise_; }

  private:
    std::array<double, 4> amounts(const RgbCodes& codes) const;

    Medium medium_;
    double noise_ = 0.2;
    std::array<std::array<double, 36>, 5> spectra_{};  // paper; absorbances of black, cyan, magenta, yellow
    ToneWarp warp_;
    std::array<double, 3> bend_{}, height_{}, phase_{}, turns_{};
    double colourShare_ = 0.4;
    double blackStart_ = 0.4;
    double blackDensity_ = 2;
};

}  // namespace greywright::simulate

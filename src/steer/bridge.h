#pragma once

// Private to the module: what another light shows, from what D50 shows.

#include <cstdint>
#include <span>

#include "steer/worlds.h"

namespace greywright::steer {

/// How the tint residual under a light follows from the residual under D50, learned from the trials that have
/// both.
///
/// Model. With r a residual to the aim of its own light, (a*, b*), t the tone:
///
///     r_light(t) = r_D50(t) + [r_D50(t) - mean r_D50(t)] E + mean [r_light(t) - r_D50(t)] + misfit
///
/// The means are over the trials. E, a 2 x 2 matrix, is shared by all tones. Both residuals come from the
/// same spectra, so the print's and the instrument's noise largely cancel and little is left to chance.
///
/// Priors. Each entry of E: 0 with sd 0.15, so that it stays unknown in a direction that no trials differ in.
/// The misfit: sd 0.05 with the weight of four values. A sheet's misfits are alike along the ramp, so a sheet
/// teaches what three tones would.
///
/// How it fails. Three axes of which two do the same under D50 and not under the light cannot be told apart
/// by residuals; the misfit grows then.
struct Bridge {
    Rows rows;                     ///< the tones of the D50 evidence, seen under this light
    Eigen::Matrix2d slope;         ///< expected E: from D50's a*, b* (rows) to the light's (columns)
    Eigen::Matrix2d slopeError;    ///< a square root of the covariance of either column
    Eigen::MatrixXd meanResidual;  ///< under D50. Shape: tones x 2
    Eigen::MatrixXd meanShift;     ///< from D50 to the light. Shape: tones x 2
    double misfit = 0;             ///< CIELAB units
};

/// Learns the bridge to one of the history's lights. Where the tones differ between sheets with and without
/// spectra, what lies between tones is interpolated and the ends hold.
/// Valid: at least one trial has tones under that light.
[[nodiscard]] Bridge bridgeToLight(const History& history, std::size_t light, const Evidence& evidence,
                                   colour::TintAimKind aim);

/// Possible printers seen under the light; each gets its own draw of E.
[[nodiscard]] std::vector<World> worldsUnderLight(const Bridge& bridge, std::span<const World> underD50,
                                                  std::uint64_t seed);

}  // namespace greywright::steer

#include "figure/plot.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "core/contract.h"

namespace greywright::figure {

Ellipse ellipseFromCovariance(XY centre, double varianceX, double covariance, double varianceY,
                              double scale) {
    expects(varianceX >= 0 && varianceY >= 0, "variances are not negative");
    // Eigenvalues and the angle of the first eigenvector of a symmetric 2 by 2 matrix.
    const double mean = (varianceX + varianceY) / 2;
    const double radius = std::hypot((varianceX - varianceY) / 2, covariance);
    expects(mean - radius >= -1e-9 * mean, "a covariance is positive semi-definite");
    return {.centre = centre,
            .semiAxis1 = scale * std::sqrt(mean + radius),
            .semiAxis2 = scale * std::sqrt(std::max(0.0, mean - radius)),
            .angleDegrees = std::atan2(2 * covariance, varianceX - varianceY) / 2 * 180 / std::numbers::pi};
}

}  // namespace greywright::figure

#pragma once

// Private to the module: third-party types in a header that no other module includes.

#include <span>

#include <Eigen/Dense>

#include "correct/spline.h"

namespace greywright::correct {

/// How one value falls with x in 0..1, fitted to noisy data, never rising.
struct FallingFit {
    Spline spline{1};
    Eigen::VectorXd coefficients = {};  ///< each below the one before
    Eigen::MatrixXd covariance = {};    ///< of the fit before it was kept from rising
    double noise = 0;                   ///< standard deviation of one datum
    double roughnessWeight = 0;         ///< the weight of roughness that the data asked for

    [[nodiscard]] double at(double x) const { return coefficients.dot(spline.at(x)); }

    /// The standard deviation of at(x) less its share of both ends: what is known of the shape between them.
    [[nodiscard]] double shapeError(double x) const;

    /// The x at which the fit comes down to a value; outside its range the ends.
    [[nodiscard]] double where(double value) const;
};

/// Fits P-splines by restricted maximum likelihood: the weight of roughness and the noise are those under
/// which the data are likeliest, the noise with a prior worth `priorWeight` readings at `priorNoise`. A fit
/// that rises anywhere is fitted again with its rising steps drawn level (Bollaerts, Eilers and Van Mechelen
/// 2006), and what rises still is pooled, so that monotony holds exactly.
/// Shape: x and y of one length, 4 or more.
/// Source: Eilers and Marx (1996); restricted likelihood as of S. N. Wood (2011), J. R. Statist. Soc. B 73,
/// 3-36; K. Bollaerts, P. H. C. Eilers and I. Van Mechelen (2006), Statistics in Medicine 25, 4253-4271;
/// pooling: R. E. Barlow et al. (1972), Statistical Inference under Order Restrictions.
[[nodiscard]] FallingFit fitFalling(std::span<const double> x, std::span<const double> y, double priorNoise,
                                    double priorWeight);

}  // namespace greywright::correct

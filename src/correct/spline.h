#pragma once

// Private to the module: third-party types in a header that no other module includes.

#include <Eigen/Dense>

namespace greywright::correct {

/// Cubic B-splines on equal intervals of 0..1: values, slopes and the roughness of their coefficients.
/// Source: P. H. C. Eilers and B. D. Marx (1996), Statistical Science 11(2), 89-121; recursion of C. de Boor,
/// A Practical Guide to Splines (1978).
class Spline {
  public:
    /// Valid: 1 or more intervals.
    explicit Spline(int intervals);

    [[nodiscard]] int size() const { return intervals_ + 3; }

    /// The value of every basis function; they add up to 1. Outside 0..1 the ends hold.
    [[nodiscard]] Eigen::VectorXd at(double x) const;

    /// The squared second differences of coefficients as a quadratic form, scaled so that it is about the
    /// integral of the squared second derivative whatever the number of intervals. `endWeight` is how much
    /// roughness counts at the ends, against 1 from a tenth inside. Valid: endWeight above 0.
    [[nodiscard]] Eigen::MatrixXd roughness(double endWeight = 1) const;

  private:
    int intervals_;
};

}  // namespace greywright::correct

#pragma once

#include <span>
#include <vector>

#include <Eigen/Core>

namespace greywright::scan {

/// The bare paper at one place. Units: mm on the page; natural logarithms of red, green and blue light.
struct BareSample {
    Eigen::Vector2d mm;
    Eigen::Vector3d logLight;
};

/// How light lies over the page, learned from bare paper.
///
/// Model: green, and red and blue relative to it, each a polynomial of the place in log light. The degree, 0
/// to 4, is for each of the three the one that foretells left-out samples best; samples that stand out count
/// less. Fails to describe: edges of shadows, reflections of the room in glossy paper. Source: Allen (1974),
/// Technometrics 16, 125-127 (foretelling left-out samples); Tukey's biweight, Beaton and Tukey (1974),
/// Technometrics 16, 147-185.
class LightSurface {
  public:
    /// Valid: one sample or more.
    LightSurface(std::span<const BareSample> samples, const Eigen::Vector2d& pageMm);

    /// Natural logarithms of red, green and blue. Outside the page: as at its edge.
    [[nodiscard]] Eigen::Vector3d logLight(const Eigen::Vector2d& mm) const;

    /// Mean of logLight() over the samples.
    [[nodiscard]] const Eigen::Vector3d& mean() const { return mean_; }

    /// Robust standard deviation of the samples around it: red over green, green, blue over green.
    [[nodiscard]] const Eigen::Vector3d& spread() const { return spread_; }

    /// Of green over the samples, brightest to darkest.
    [[nodiscard]] double unevennessStops() const { return unevennessStops_; }

  private:
    [[nodiscard]] Eigen::VectorXd terms(const Eigen::Vector2d& mm, int degree) const;
    void fit(std::span<const BareSample> samples, int component);

    Eigen::Vector2d pageMm_;
    Eigen::VectorXd coefficients_[3];
    int degrees_[3] = {0, 0, 0};
    Eigen::Vector3d mean_ = Eigen::Vector3d::Zero();
    Eigen::Vector3d spread_ = Eigen::Vector3d::Zero();
    double unevennessStops_ = 0;
};

}  // namespace greywright::scan

#pragma once

#include <optional>
#include <span>
#include <vector>

#include <Eigen/Core>

#include "scan/identify.h"

namespace greywright::scan {

using Nine = Eigen::Matrix<double, 9, 1>;

/// Where the page lies in the picture.
///
/// Model: a plane seen through a pinhole (a homography, 8 numbers) and a lens that moves every point by
/// r (1 + k1 r^2) about the picture's middle, r in half diagonals of the picture.
/// Fails to describe: paper that curls, a picture cropped off its middle, a lens of higher order. All of
/// these leave residuals, which uncertaintyMm() counts. Source: Hartley and Zisserman, "Multiple View
/// Geometry", 2nd ed., 4.1 (homography), 7.4 (distortion); Huber (1981), "Robust Statistics", for the
/// weights.
class Placement {
  public:
    /// Fits all anchors but those that contradict the others. Nothing when fewer than three, or fewer than
    /// six of ten that were found, hold together.
    [[nodiscard]] static std::optional<Placement> fit(std::span<const Anchor> anchors,
                                                      const Eigen::Vector2d& pageMm,
                                                      const Eigen::Vector2d& picturePx);

    /// Units: mm on the page; pixels of the picture in memory.
    [[nodiscard]] Eigen::Vector2d pxFromMm(const Eigen::Vector2d& mm) const {
        return project(parameters_, mm);
    }

    /// How pixels change with mm. Shape: columns along x and y of the page.
    [[nodiscard]] Eigen::Matrix2d pxPerMm(const Eigen::Vector2d& mm) const;

    /// Standard deviation of the place of a point, in any direction.
    [[nodiscard]] double uncertaintyMm(const Eigen::Vector2d& mm) const;

    /// Root mean square distance of the corners that count from where the fit puts them.
    [[nodiscard]] double residualMm() const { return residualMm_; }

    /// How many markers were taken as right, of those given.
    [[nodiscard]] std::size_t markersUsed() const { return used_; }

    /// How far each marker that was not taken as right lies from where the others put it, root mean square of
    /// its corners; without those whose number was taken as right elsewhere. Units: mm.
    [[nodiscard]] const std::vector<double>& movedMm() const { return movedMm_; }

    /// Whether the page is seen straight from above: one scale everywhere and right angles.
    [[nodiscard]] bool isStraight() const;

  private:
    struct Corner {
        Eigen::Vector2d mm;
        Eigen::Vector2d px;
        std::size_t anchor = 0;
    };

    Placement(const Eigen::Vector2d& pageMm, const Eigen::Vector2d& picturePx);
    [[nodiscard]] Eigen::Vector2d project(const Nine& parameters, const Eigen::Vector2d& mm) const;
    [[nodiscard]] Eigen::Matrix<double, 2, 9> change(const Eigen::Vector2d& mm) const;
    [[nodiscard]] std::optional<Nine> direct(std::span<const Corner> corners) const;
    void refine(std::span<const Corner> corners);

    Eigen::Vector2d pageMm_;
    Eigen::Vector2d picturePx_;
    double halfPagesMm_ = 1;
    double halfDiagonalPx_ = 1;
    Nine parameters_ = Nine::Zero();
    Eigen::Matrix<double, 9, 9> covariance_ = Eigen::Matrix<double, 9, 9>::Zero();
    double sigmaPx_ = 0;
    double residualMm_ = 0;
    std::size_t used_ = 0;
    std::vector<double> movedMm_ = {};
};

}  // namespace greywright::scan

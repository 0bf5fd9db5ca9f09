#pragma once

// Private to the module: third-party types in a header that no other module includes.

#include <array>
#include <span>
#include <vector>

#include <Eigen/Dense>

#include "colour/lab.h"
#include "correct/neutralise.h"
#include "correct/spline.h"
#include "correct/table.h"

namespace greywright::correct {

/// L*, a*, b* near a table of greys, as functions of red, green and blue.
///
/// A colour is told by the table's tone of the same R + G + B and by how far it lies from that row in the
/// plane of equal sums, in two directions p and q. Each channel is
///
///     y = f(tone) + p g(tone) + q h(tone) + p^2 u(tone) + p q v(tone) + q^2 w(tone) + noise,
///
/// splines all (a varying-coefficient model: Hastie and Tibshirani 1993, J. R. Statist. Soc. B 55, 757-796),
/// f and the slopes as rough as restricted likelihood finds, the bends held small. Colours farther from the
/// table count less. It fails where a channel leaves its range, and far from the table.
class NeutralModel {
  public:
    NeutralModel(std::span<const NeutralPatch> patches, const NeutralTable& centre);

    [[nodiscard]] colour::Lab at(const Codes& codes) const;

    /// Standard deviation of one patch's L*, a*, b* as found.
    [[nodiscard]] const std::array<double, 3>& noise() const { return noise_; }

  private:
    struct Spot {
        double tone, p, q;
    };
    [[nodiscard]] Spot spotOf(const Codes& codes) const;
    [[nodiscard]] Eigen::VectorXd rowOf(const Spot& spot) const;

    Spline main_{24}, slope_{8}, bend_{3};
    NeutralTable centre_;
    std::array<Eigen::VectorXd, 3> weights_;
    std::array<double, 3> noise_{};
};

}  // namespace greywright::correct

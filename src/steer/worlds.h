#pragma once

// Private to the module: weighing settings over possible printers.

#include <vector>

#include "steer/response_model.h"

namespace greywright::steer {

/// What is looked at when a setting is weighed: every tone under one light, or under each of several.
struct Rows {
    std::vector<double> tones;       ///< 0..1
    std::vector<double> lightness;   ///< L* there
    std::vector<colour::Tint> aim;   ///< the aim there
    std::vector<double> scale;       ///< what a difference there counts, 0..1
    std::vector<std::size_t> light;  ///< index into the history's lights
};

/// A set of equally likely printers, and how bad the worst row of each is at a setting.
class Worlds {
  public:
    /// Valid: at least one world; the worlds' fields have the rows of `rows`.
    Worlds(Rows rows, std::vector<World> worlds);

    struct Worst {
        double deltaE00 = 0;  ///< times the row's scale
        std::size_t row = 0;
    };

    [[nodiscard]] std::size_t count() const { return worlds_.size(); }
    /// The worst row of one printer by the near-neutral form of CIEDE2000, the full formula's value where the
    /// aim is neutral, within 7 % of it for aim and tint below a chroma of 5, 20 % below 15: what searches
    /// use.
    [[nodiscard]] double worstNear(std::size_t world, const Eigen::VectorXd& terms) const;
    /// The worst row of one printer by the full formula: what is reported.
    [[nodiscard]] Worst worstExact(std::size_t world, const Eigen::VectorXd& terms) const;
    /// Tint residual at every row. Shape: rows x 2.
    [[nodiscard]] Eigen::MatrixXd tint(std::size_t world, const Eigen::VectorXd& terms) const;
    /// Mean over the printers of the near-neutral worst.
    [[nodiscard]] double meanWorst(const Eigen::VectorXd& terms) const;
    /// What a setting is expected to give, by the full formula.
    struct Expected {
        std::vector<double> worst;  ///< of every printer
        double mean = 0;            ///< of the above
        std::size_t row = 0;        ///< the worst row of most printers
    };
    [[nodiscard]] Expected expected(const Eigen::VectorXd& terms) const;
    /// The mean printer, and its tint residual at every row.
    [[nodiscard]] const World& mean() const { return mean_; }
    [[nodiscard]] std::vector<colour::Tint> meanTint(const Eigen::VectorXd& terms) const;
    [[nodiscard]] const Rows& rows() const { return rows_; }
    [[nodiscard]] std::span<const World> all() const { return worlds_; }
    [[nodiscard]] const World& operator[](std::size_t world) const { return worlds_[world]; }

  private:
    Rows rows_;
    std::vector<World> worlds_;
    World mean_;
    // The aim, ready for the near-neutral difference.
    std::vector<double> aimA_, aimB_, aimChroma_;
};

/// Walks downhill on the grid of settings: steps of 16, 8, .. 1 along the axes and diagonals.
/// `cost` takes steps; the result is no worse than `start`.
template <typename Cost>
[[nodiscard]] std::pair<SettingGrid::Steps, double> descend(const SettingGrid& grid, SettingGrid::Steps start,
                                                            const Cost& cost) {
    const std::size_t axes = grid.axes();
    // Every direction of the neighbourhood, as -1, 0 or +1 an axis.
    std::vector<SettingGrid::Steps> directions;
    std::size_t all = 1;
    for (std::size_t j = 0; j < axes; ++j) all *= 3;
    for (std::size_t code = 0; code < all; ++code) {
        SettingGrid::Steps direction(axes);
        std::size_t rest = code;
        bool moves = false;
        for (std::size_t j = 0; j < axes; ++j, rest /= 3) {
            direction[j] = static_cast<long>(rest % 3) - 1;
            moves = moves || direction[j] != 0;
        }
        if (moves) directions.push_back(direction);
    }
    long widest = 1;
    for (std::size_t j = 0; j < axes; ++j) widest = std::max(widest, grid.count(j) / 6);
    double best = cost(start);
    for (long stride = widest; stride >= 1; stride = stride == 1 ? 0 : std::max(1L, stride / 2)) {
        bool moved = true;
        while (moved) {
            moved = false;
            for (const SettingGrid::Steps& direction : directions) {
                SettingGrid::Steps next = start;
                for (std::size_t j = 0; j < axes; ++j) next[j] += stride * direction[j];
                next = grid.clamped(std::move(next));
                if (next == start) continue;
                const double value = cost(next);
                if (value < best) {
                    best = value;
                    start = next;
                    moved = true;
                }
            }
        }
    }
    return {start, best};
}

}  // namespace greywright::steer

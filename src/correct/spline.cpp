#include "correct/spline.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "core/contract.h"

namespace greywright::correct {
namespace {

/// Which interval, and how far into it, 0..1.
struct Spot {
    int interval;
    double u;
};

Spot spotOf(double x, int intervals) {
    const double scaled = std::clamp(x, 0.0, 1.0) * intervals;
    const int interval = std::min(intervals - 1, static_cast<int>(std::floor(scaled)));
    return {interval, scaled - interval};
}

}  // namespace

Spline::Spline(int intervals) : intervals_(intervals) {
    expects(intervals >= 1, "a spline has one interval or more");
}

Eigen::VectorXd Spline::at(double x) const {
    const auto [interval, u] = spotOf(x, intervals_);
    const double v = 1 - u;
    const std::array<double, 4> values{v * v * v / 6, (3 * u * u * u - 6 * u * u + 4) / 6,
                                       (3 * v * v * v - 6 * v * v + 4) / 6, u * u * u / 6};
    Eigen::VectorXd out = Eigen::VectorXd::Zero(size());
    for (int k = 0; k < 4; ++k) out[interval + k] = values[static_cast<std::size_t>(k)];
    return out;
}

Eigen::MatrixXd Spline::roughness(double endWeight) const {
    constexpr double kEnds = 0.1;
    const int rows = size() - 2;
    Eigen::MatrixXd second = Eigen::MatrixXd::Zero(rows, size());
    for (int i = 0; i < rows; ++i) {
        // The middle one of the three coefficients is felt most here.
        const double x = static_cast<double>(i) / (rows - 1);
        const double inside = std::min({1.0, x / kEnds, (1 - x) / kEnds});
        const double root = std::sqrt(std::pow(endWeight, 1 - inside));
        second(i, i) = root;
        second(i, i + 1) = -2 * root;
        second(i, i + 2) = root;
    }
    return std::pow(intervals_, 3) * second.transpose() * second;
}

}  // namespace greywright::correct

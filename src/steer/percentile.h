#pragma once

#include <span>
#include <utility>

namespace greywright::steer {

/// What a share of the values lies below, by a straight line between neighbours.
/// Valid: ascending values, at least one; 0 <= share <= 1.
[[nodiscard]] double percentile(std::span<const double> values, double share);

/// The percentiles that nine tenths lie between, as percentile() at 0.05 and 0.95. Puts the values into
/// another order. Valid: at least one value.
[[nodiscard]] std::pair<double, double> ninetyPercentOf(std::span<double> values);

}  // namespace greywright::steer

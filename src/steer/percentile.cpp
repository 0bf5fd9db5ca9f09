#include "steer/percentile.h"

#include <algorithm>
#include <cstddef>

#include "core/contract.h"

namespace greywright::steer {

double percentile(std::span<const double> values, double share) {
    expects(!values.empty(), "percentile: a value at least");
    const double place = share * static_cast<double>(values.size() - 1);
    const auto low = static_cast<std::size_t>(place);
    const std::size_t high = std::min(low + 1, values.size() - 1);
    return values[low] + (place - static_cast<double>(low)) * (values[high] - values[low]);
}

std::pair<double, double> ninetyPercentOf(std::span<double> values) {
    expects(!values.empty(), "ninetyPercentOf: a value at least");
    const double place = 0.05 * static_cast<double>(values.size() - 1);
    const auto step = static_cast<std::ptrdiff_t>(place);
    const double rest = place - static_cast<double>(step);
    const auto low = values.begin() + step;
    std::ranges::nth_element(values, low);
    const double lowest = *low;
    const double next = low + 1 == values.end() ? lowest : *std::min_element(low + 1, values.end());
    const auto high = values.end() - 1 - step;
    std::ranges::nth_element(values, high);
    const double highest = *high;
    const double before = high == values.begin() ? highest : *std::max_element(values.begin(), high);
    return {lowest + rest * (next - lowest), highest + rest * (before - highest)};
}

}  // namespace greywright::steer

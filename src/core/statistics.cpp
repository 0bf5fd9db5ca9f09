#include "core/statistics.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <numeric>
#include <utility>

#include "core/contract.h"
#include "core/random.h"

namespace greywright {

double normalBelow(double z) {
    return 0.5 * std::erfc(-z / std::numbers::sqrt2);
}

double normalQuantile(double share) {
    expects(share > 0 && share < 1, "normalQuantile: a share between 0 and 1");
    // Newton's steps on the smaller tail, from the leading term of its expansion.
    const double tail = std::min(share, 1 - share);
    double z =
        tail > 0.3 ? (0.5 - tail) * std::sqrt(2 * std::numbers::pi) : std::sqrt(-2 * std::log(tail)) - 0.6;
    for (int i = 0; i < 60; ++i) {
        const double density = std::exp(-z * z / 2) / std::sqrt(2 * std::numbers::pi);
        const double step = (0.5 * std::erfc(z / std::numbers::sqrt2) - tail) / density;
        const double halley = step / (1 + z * step / 2);
        z += halley;
        if (std::abs(halley) < 1e-15 * (1 + std::abs(z))) break;
    }
    return share < 0.5 ? -z : z;
}

EvenPoints::EvenPoints(std::size_t dimensions, std::uint64_t seed) {
    constexpr std::array<std::size_t, 16> kPrimes{2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31, 37, 41, 43, 47, 53};
    expects(dimensions >= 1 && dimensions <= kPrimes.size(), "EvenPoints: 1 to 16 dimensions");
    Random random(seed);
    for (std::size_t j = 0; j < dimensions; ++j) {
        Dimension dimension{std::vector<std::size_t>(kPrimes[j]), random.uniform()};
        std::iota(dimension.digits.begin(), dimension.digits.end(), std::size_t{0});
        for (std::size_t i = kPrimes[j] - 1; i > 0; --i) {
            std::swap(dimension.digits[i], dimension.digits[random.bits() % (i + 1)]);
        }
        dimensions_.push_back(std::move(dimension));
    }
}

std::vector<double> EvenPoints::at(std::size_t index) const {
    std::vector<double> point;
    point.reserve(dimensions_.size());
    for (const Dimension& dimension : dimensions_) {
        const auto base = static_cast<double>(dimension.digits.size());
        double place = 0, weight = 1 / base;
        for (std::size_t rest = index; rest > 0; rest /= dimension.digits.size(), weight /= base) {
            place += weight * static_cast<double>(dimension.digits[rest % dimension.digits.size()]);
        }
        // All further digits are zero and permuted alike: a geometric series.
        place += weight * static_cast<double>(dimension.digits[0]) * base / (base - 1);
        place += dimension.shift;
        point.push_back(std::clamp(place - std::floor(place), 1e-12, 1 - 1e-12));
    }
    return point;
}

}  // namespace greywright

#include "colour/cube_root.h"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <cstdint>

#include <Eigen/Core>

namespace greywright::colour {
namespace {

constexpr int kMantissaBits = 7;  // of the table's index
constexpr int kShift = 52 - kMantissaBits;
constexpr double kLeast = 1.0 / 128;
constexpr double kFastBelow = 2;
constexpr std::uint64_t kFirst = std::bit_cast<std::uint64_t>(kLeast) >> kShift;
constexpr std::size_t kPlaces = (std::bit_cast<std::uint64_t>(kFastBelow) >> kShift) - kFirst;
static_assert(std::has_single_bit(kPlaces));

struct Place {
    double inverse;
    double root;
};

// The inverse and the cube root of the middle of every place, at the place's number modulo their count.
std::array<Place, kPlaces> places() {
    std::array<Place, kPlaces> table{};
    for (std::uint64_t i = kFirst; i < kFirst + kPlaces; ++i) {
        const double low = std::bit_cast<double>(i << kShift);
        const double high = std::bit_cast<double>((i + 1) << kShift);
        table[i % kPlaces] = {2 / (low + high), static_cast<double>(std::cbrt((low + high) / 2.0L))};
    }
    return table;
}

}  // namespace

void cubeRoots(std::span<double> values) {
    static const std::array<Place, kPlaces> table = places();
    constexpr std::size_t kBlock = 128;
    std::array<double, kBlock> inverse;
    std::array<double, kBlock> root;
    for (std::size_t from = 0; from < values.size(); from += kBlock) {
        double* x = values.data() + from;
        const std::size_t count = std::min(kBlock, values.size() - from);
        if (Eigen::Map<const Eigen::ArrayXd>(x, static_cast<Eigen::Index>(count)).maxCoeff() >= kFastBelow) {
            std::transform(x, x + count, x, [](double value) { return std::cbrt(value); });
            continue;
        }
        for (std::size_t i = 0; i < count; ++i) {
            const Place& place = table[(std::bit_cast<std::uint64_t>(x[i]) >> kShift) % kPlaces];
            inverse[i] = place.inverse;
            root[i] = place.root;
        }
        for (std::size_t i = 0; i < count; ++i) {
            const double e = 1 - x[i] * inverse[i];
            // The binomial series of (1 - e)^(1/3) - 1; the next term is below 1e-16.
            const double s =
                e * (-1.0 / 3 + e * (-1.0 / 9 + e * (-5.0 / 81 + e * (-10.0 / 243 + e * (-22.0 / 729)))));
            x[i] = root[i] + root[i] * s;
        }
    }
}

}  // namespace greywright::colour

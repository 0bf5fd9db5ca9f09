#include "core/random.h"

#include <cmath>

namespace greywright {

std::uint64_t Random::bits() {
    state_ += 0x9e3779b97f4a7c15ULL;
    std::uint64_t mixed = state_;
    mixed = (mixed ^ (mixed >> 30U)) * 0xbf58476d1ce4e5b9ULL;
    mixed = (mixed ^ (mixed >> 27U)) * 0x94d049bb133111ebULL;
    return mixed ^ (mixed >> 31U);
}

double Random::uniform() {
    return static_cast<double>(bits() >> 11U) * 0x1p-53;
}

double Random::normal() {
    if (hasSpare_) {
        hasSpare_ = false;
        return spare_;
    }
    double x = 0;
    double y = 0;
    double square = 0;
    do {
        x = uniform(-1, 1);
        y = uniform(-1, 1);
        square = x * x + y * y;
    } while (square >= 1 || square == 0);
    const double scale = std::sqrt(-2 * std::log(square) / square);
    spare_ = y * scale;
    hasSpare_ = true;
    return x * scale;
}

}  // namespace greywright

#include "colour/words.h"

#include <array>
#include <cmath>
#include <numbers>

namespace greywright::colour {

std::string_view tintName(const Tint& tint) {
    constexpr std::array<std::string_view, 8> kNames{"red",   "orange", "yellow", "yellow-green",
                                                     "green", "cyan",   "blue",   "magenta"};
    if (tint.a == 0 && tint.b == 0) return "no colour";
    const double turns = std::atan2(tint.b, tint.a) / (2 * std::numbers::pi);
    return kNames[static_cast<std::size_t>(std::lround(turns * 8) + 8) % 8];
}

}  // namespace greywright::colour

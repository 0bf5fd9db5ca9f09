#include "colour/words.h"

#include <array>
#include <cmath>
#include <numbers>

#include "core/said.h"

namespace greywright::colour {

std::string tintName(const Tint& tint) {
    constexpr std::array kNames{toSay("red"),   toSay("orange"), toSay("yellow"), toSay("yellow-green"),
                                toSay("green"), toSay("cyan"),   toSay("blue"),   toSay("magenta")};
    if (tint.a == 0 && tint.b == 0) return said("no colour");
    const double turns = std::atan2(tint.b, tint.a) / (2 * std::numbers::pi);
    return translated(kNames[static_cast<std::size_t>(std::lround(turns * 8) + 8) % 8]);
}

}  // namespace greywright::colour

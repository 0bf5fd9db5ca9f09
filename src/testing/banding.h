#pragma once

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <span>

namespace greywright::testing {

/// How visible a gradient's steps are that are not in what was asked for; all 0 where it is followed exactly.
struct Banding {
    double excessStep = 0;  ///< by how much a step from one tone to the next is larger, or smaller, at worst
    double excessBend = 0;  ///< the same for the change of a step to the next one, the second difference
    double deviation = 0;   ///< of a tone itself
};

/// Compares the tones of a gradient, one mean for each, with those asked for. Units: those of the tones.
/// Shape: as many of one as of the other. Source: our own measure; a step in lightness, and a bend in it
/// (Mach bands), is what is seen of a band (common practice).
[[nodiscard]] inline Banding bandingOf(std::span<const double> made, std::span<const double> asked) {
    Banding worst;
    const auto excess = [&](std::size_t i) { return made[i] - asked[i]; };
    for (std::size_t i = 0; i < made.size(); ++i) {
        worst.deviation = std::max(worst.deviation, std::abs(excess(i)));
        if (i < 1) continue;
        worst.excessStep = std::max(worst.excessStep, std::abs(excess(i) - excess(i - 1)));
        if (i < 2) continue;
        worst.excessBend =
            std::max(worst.excessBend, std::abs(excess(i) - 2 * excess(i - 1) + excess(i - 2)));
    }
    return worst;
}

}  // namespace greywright::testing

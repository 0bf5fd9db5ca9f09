#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "judge/judge.h"

namespace greywright::judge {

/// Fewer tones than this say nothing about evenness between them (our choice).
inline constexpr std::size_t kFewestTones = 5;

/// L* of a tone on the straight line from paper to black.
[[nodiscard]] double straightL(const colour::Lab& paper, const colour::Lab& black, double tonePercent);

/// Tone along the ramp. `own` is how far each L* may be off by itself; what lies nearer to a limit than its
/// 90 % interval reaches is left open. Shape: patches in ascending order of tone.
/// Units: own, a standard deviation of L*.
[[nodiscard]] ToneVerdict toneOf(const std::vector<PatchVerdict>& patches,
                                 const std::optional<colour::Lab>& paper,
                                 const std::optional<colour::Lab>& black, double own = 0);

}  // namespace greywright::judge

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

/// Tone along the ramp. Shape: patches in ascending order of tone.
[[nodiscard]] ToneVerdict toneOf(const std::vector<PatchVerdict>& patches,
                                 const std::optional<colour::Lab>& paper,
                                 const std::optional<colour::Lab>& black);

}  // namespace greywright::judge

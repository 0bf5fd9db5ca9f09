#pragma once

#include <optional>
#include <string>
#include <vector>

#include "judge/doubt.h"
#include "judge/judge.h"

namespace greywright::judge {

/// How a patch lies from its aim.
[[nodiscard]] colour::Tint deviation(const PatchVerdict& patch);

/// The patch farthest from its aim among those of 5 % and more. Valid: there is one.
[[nodiscard]] const PatchVerdict& worstPatch(const std::vector<PatchVerdict>& patches);

/// Tint along the ramp, within its worstInterval() where the reading may be off. Valid: as worstPatch.
[[nodiscard]] TintVerdict tintOf(const std::vector<PatchVerdict>& patches, const Doubt& doubt,
                                 const std::optional<Interval>& interval);

/// The tint in one sentence, e.g. "A slight tint towards red, strongest at 60 %: 1.6 from the aim."
[[nodiscard]] std::string sentenceOf(const TintVerdict& tint);

}  // namespace greywright::judge

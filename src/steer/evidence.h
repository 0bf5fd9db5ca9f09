#pragma once

// Private to the module.

#include <map>

#include "steer/response_model.h"

namespace greywright::steer {

/// Colours by tone, a mean each. Tones of different sheets are the same tone when they agree to a hundredth
/// of a percent, which is the unit of the key.
using Ramp = std::map<long, colour::Lab>;

[[nodiscard]] long toneKey(double tonePercent);

/// The mean of some sheets' tones.
[[nodiscard]] Ramp meanRamp(const std::vector<std::span<const ToneColour>>& sheets);

/// The aim that a ramp's own paper and black ask for. Valid: a ramp with at least one tone.
[[nodiscard]] colour::TintAim aimOfRamp(const Ramp& ramp, colour::TintAimKind kind);

/// The trial's tones may be off.
[[nodiscard]] bool isUncertain(const Trial& trial);

/// Puts a condition's readings against its aim. The paper and the black are means over the trials, the paper
/// over those of an instrument where any of them has it; without a measured paper the aim is neutral to the
/// light.
/// Valid: at least one trial with at least one tone.
[[nodiscard]] Evidence evidenceFromHistory(const History& history, colour::TintAimKind aim);

/// The history as it would read without the error that its uncertain trials share, `error` times what each of
/// them states; their own errors remain.
[[nodiscard]] History withoutSharedError(History history, const colour::Tint& error);

}  // namespace greywright::steer

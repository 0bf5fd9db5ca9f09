#pragma once

// Private to the module.

#include "steer/response_model.h"

namespace greywright::steer {

/// Puts a condition's readings against its aim. The paper and the black are means over the trials; without a
/// measured paper the aim is neutral to the light.
/// Valid: at least one trial with at least one tone.
[[nodiscard]] Evidence evidenceFromHistory(const History& history, colour::TintAimKind aim);

}  // namespace greywright::steer

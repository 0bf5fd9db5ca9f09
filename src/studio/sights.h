#pragma once

#include <string>
#include <vector>

#include "colour/aim.h"
#include "judge/judge.h"
#include "measure/ramp.h"

/// What a page about one trial shows beside its verdict.
namespace greywright::studio {

/// How a trial came out, in one figure.
struct TrialWorth {
    int trial = 0;
    double worstDeltaE00 = 0;  ///< to its aim, of tones of 5 % and more
    double worstTonePercent = 0;
};

struct SightRequest {
    colour::TintAimKind aim = colour::TintAimKind::fade;
    std::string light = {};  ///< a scene or light; empty: D50
};

/// A trial's tones under one light. Units: CIELAB relative to that light's own white.
struct Sight {
    measure::Ramp ramp = {};                        ///< as it was measured: D50, and the spectra
    std::vector<judge::PatchVerdict> patches = {};  ///< under the light, against the aim there
    std::string light = {};
};

}  // namespace greywright::studio

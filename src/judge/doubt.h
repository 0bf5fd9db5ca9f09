#pragma once

#include <vector>

#include "colour/aim.h"
#include "judge/judge.h"
#include "measure/reading.h"

namespace greywright::judge {

/// Where a worst tone lies with a chance of 90 %. Units: CIEDE2000.
struct Interval {
    double low = 0;
    double high = 0;
};

/// How far the readings behind a verdict may be off. Units: standard deviations of a* and of b*, each.
struct Doubt {
    measure::Uncertainty tones = {};
    double paper = 0;  ///< of the bare paper that the aim starts from, beside what the tones share

    [[nodiscard]] bool isNone() const { return tones.shared == 0 && tones.own == 0 && paper == 0; }
};

/// The worst tone's 90 % interval, by drawing ramps that may have given these readings.
///
/// Model: what was read is a smooth course along the tones (a Gaussian process of three lengths, as a tint
/// has), plus an error in common to all tones, plus one of each tone by itself, plus the aim's share of the
/// paper's own error. The common error is taken not to reach the bare paper, so the aim does not follow it:
/// where it does, the interval is too wide rather than too narrow. A worst tone that the errors alone would
/// show on a ramp without any tint leaves none possible: the interval starts at 0 then. A worst of many tones
/// is read too large on average: the low end allows for it.
/// Seeded; contains the worst tone as read. Source: the draws, Matheron's rule (Wilson et al., J. Mach.
/// Learn. Res. 22 (2021) no. 105); the course, docs/methods/judging.md. Valid: a tone of 5 % and more.
[[nodiscard]] Interval worstInterval(const std::vector<PatchVerdict>& patches, const colour::TintAim& aim,
                                     const Doubt& doubt);

/// The level of a worst tone, or `unknown` where the interval holds both a tint that nobody sees and one that
/// might be mended.
[[nodiscard]] TintLevel levelWithin(double worst, const Interval& interval);

/// What would settle the question, one sentence.
[[nodiscard]] std::string whatWouldTell(const Doubt& doubt);

}  // namespace greywright::judge

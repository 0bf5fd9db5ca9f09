#pragma once

#include <optional>
#include <vector>

#include "book/records.h"
#include "judge/judge.h"
#include "measure/ramp.h"

/// What one trial takes from the others of its condition; for the sources of this module only.
namespace greywright::studio {

/// The ramp's bare paper, or null.
[[nodiscard]] const measure::RampPatch* paperOf(const measure::Ramp& ramp);

/// A reading that has both ends, to lend them to sheets of a few blocks.
[[nodiscard]] std::optional<measure::Ramp> referenceAmong(const std::vector<book::TrialRecord>& trials);

/// The latest further reading that differs from the first in its measurement condition.
[[nodiscard]] std::optional<measure::Ramp> secondOf(const book::TrialRecord& trial);

/// A print through a correction is judged by what that is for. Notes: printed-through-correction.
[[nodiscard]] std::vector<Note> aimAsCorrected(judge::Options& options, const book::TrialRecord& trial,
                                               const std::vector<book::CorrectionRecord>& corrections);

/// A trial that was printed but not measured.
[[nodiscard]] Error withoutReading(int trial);

}  // namespace greywright::studio

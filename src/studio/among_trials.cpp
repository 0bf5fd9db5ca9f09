#include "studio/among_trials.h"

#include <algorithm>

#include <fmt/format.h>

#include "core/said.h"
#include "studio/convert.h"
#include "studio/printed_ramp.h"

namespace greywright::studio {

const measure::RampPatch* paperOf(const measure::Ramp& ramp) {
    if (ramp.patches.empty() || ramp.patches.front().tonePercent != 0) return nullptr;
    return &ramp.patches.front();
}

std::optional<measure::Ramp> referenceAmong(const std::vector<book::TrialRecord>& trials) {
    for (auto trial = trials.rbegin(); trial != trials.rend(); ++trial) {
        // A table may leave the maximum black.
        if (trial->isWithdrawn() || trial->readings.empty() || trial->through != 0) continue;
        measure::Ramp ramp = rampFromRecord(trial->readings.front());
        if (paperOf(ramp) != nullptr && ramp.patches.back().tonePercent == 100) return ramp;
    }
    return std::nullopt;
}

std::optional<measure::Ramp> secondOf(const book::TrialRecord& trial) {
    for (auto reading = trial.readings.rbegin(); reading + 1 < trial.readings.rend(); ++reading) {
        measure::Ramp ramp = rampFromRecord(*reading);
        if (reading->conditionM != trial.readings.front().conditionM) return ramp;
    }
    return std::nullopt;
}

std::vector<Note> aimAsCorrected(judge::Options& options, const book::TrialRecord& trial,
                                 const std::vector<book::CorrectionRecord>& corrections) {
    const auto through = std::ranges::find(corrections, trial.through, &book::CorrectionRecord::number);
    if (through == corrections.end()) return {};
    const WantedTint wanted = wantedIn(*through);
    options.toning = wanted.toning;
    if (options.aim == colour::TintAimKind::fade) options.aim = wanted.kind;
    return {{.code = "printed-through-correction",
             .text = said("printed through correction {}, a {}, {}; tint is judged against "
                          "what that is for, tone against even steps",
                          through->number, through->kind, through->aim)}};
}

Error withoutReading(int trial) {
    return {.kind = ErrorKind::wrongUse,
            .code = "trial-without-reading",
            .what = said("trial {} was printed but nothing was measured", trial),
            .next = said("Measure the sheet and take the file in")};
}

}  // namespace greywright::studio

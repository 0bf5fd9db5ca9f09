#include "steer/evidence.h"

#include <algorithm>
#include <cmath>

#include "core/contract.h"

namespace greywright::steer {
namespace {

struct Mean {
    colour::Lab sum;
    double count = 0;

    void add(const colour::Lab& lab) {
        sum.L += lab.L;
        sum.a += lab.a;
        sum.b += lab.b;
        count += 1;
    }
    [[nodiscard]] colour::Lab value() const { return {sum.L / count, sum.a / count, sum.b / count}; }
};

}  // namespace

long toneKey(double tonePercent) {
    return std::lround(tonePercent * 100);
}

Ramp meanRamp(const std::vector<std::span<const ToneColour>>& sheets) {
    std::map<long, Mean> sums;
    for (const std::span<const ToneColour> sheet : sheets) {
        for (const ToneColour& tone : sheet) sums[toneKey(tone.tonePercent)].add(tone.lab);
    }
    Ramp ramp;
    for (const auto& [key, mean] : sums) ramp[key] = mean.value();
    return ramp;
}

colour::TintAim aimOfRamp(const Ramp& ramp, colour::TintAimKind kind) {
    const bool paperMeasured = ramp.begin()->first == 0;
    colour::TintAim aim{.kind = paperMeasured ? kind : colour::TintAimKind::light, .paper = {}};
    if (paperMeasured) aim.paper = ramp.begin()->second;
    double darkest = ramp.begin()->second.L;
    for (const auto& [key, lab] : ramp) darkest = std::min(darkest, lab.L);
    const bool blackMeasured = ramp.rbegin()->first == toneKey(100);
    // Without a black the fade is not known to end here; a typical matt black keeps it near the truth.
    constexpr double kTypicalBlackL = 15;
    aim.blackL = blackMeasured ? darkest : std::min(darkest, kTypicalBlackL);
    return aim;
}

bool isUncertain(const Trial& trial) {
    return trial.uncertainty && (trial.uncertainty->shared > 0 || trial.uncertainty->own > 0);
}

History withoutSharedError(History history, const colour::Tint& error) {
    for (Trial& trial : history.trials) {
        if (!trial.uncertainty) continue;
        for (ToneColour& tone : trial.tones) {
            tone.lab.a -= trial.uncertainty->shared * error.a;
            tone.lab.b -= trial.uncertainty->shared * error.b;
        }
        trial.uncertainty->shared = 0;
    }
    return history;
}

Evidence evidenceFromHistory(const History& history, colour::TintAimKind aim) {
    const SettingGrid grid(history.axes);
    std::vector<std::span<const ToneColour>> sheets;
    for (const Trial& trial : history.trials) sheets.emplace_back(trial.tones);
    const Ramp ramp = meanRamp(sheets);
    expects(!ramp.empty(), "steering needs at least one measured tone");

    Evidence evidence;
    evidence.paperMeasured = ramp.begin()->first == 0;
    evidence.aimCurve = aimOfRamp(ramp, aim);
    std::vector<std::span<const ToneColour>> certain;
    for (const Trial& trial : history.trials) {
        if (!isUncertain(trial)) certain.emplace_back(trial.tones);
    }
    if (certain.size() < sheets.size()) {
        const Ramp byInstrument = meanRamp(certain);
        if (byInstrument.contains(0)) evidence.aimCurve.paper = byInstrument.at(0);
    }
    for (const auto& [key, mean] : ramp) {
        if (key < toneKey(5)) continue;
        evidence.tones.push_back(static_cast<double>(key) / 1e4);
        evidence.lightness.push_back(mean.L);
        evidence.aim.push_back(evidence.aimCurve.at(mean.L));
    }
    for (std::size_t i = 0; i < history.trials.size(); ++i) {
        const Trial& trial = history.trials[i];
        evidence.deflections.push_back(grid.deflection(trial.setting));
        const measure::Uncertainty off = trial.uncertainty.value_or(measure::Uncertainty{});
        for (const ToneColour& tone : trial.tones) {
            const colour::Tint wanted = evidence.aimCurve.at(tone.lab.L);
            const double meanL = ramp.at(toneKey(tone.tonePercent)).L;
            evidence.observations.push_back(
                {.trial = i,
                 .tone = tone.tonePercent / 100,
                 .sharedError = off.shared,
                 .ownError = off.own,
                 .value = {tone.lab.a - wanted.a, tone.lab.b - wanted.b, tone.lab.L - meanL}});
        }
    }
    return evidence;
}

}  // namespace greywright::steer

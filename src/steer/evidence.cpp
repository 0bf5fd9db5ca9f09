#include "steer/evidence.h"

#include <algorithm>
#include <cmath>
#include <map>

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

/// Tones of different sheets are the same tone when they agree to a hundredth of a percent.
long toneKey(double tonePercent) {
    return std::lround(tonePercent * 100);
}

}  // namespace

Evidence evidenceFromHistory(const History& history, colour::TintAimKind aim) {
    const SettingGrid grid(history.axes);
    std::map<long, Mean> ramp;
    for (const Trial& trial : history.trials) {
        for (const ToneColour& tone : trial.tones) ramp[toneKey(tone.tonePercent)].add(tone.lab);
    }
    expects(!ramp.empty(), "steering needs at least one measured tone");

    Evidence evidence;
    evidence.paperMeasured = ramp.begin()->first == 0;
    evidence.aimCurve.kind = evidence.paperMeasured ? aim : colour::TintAimKind::light;
    if (evidence.paperMeasured) evidence.aimCurve.paper = ramp.begin()->second.value();
    double darkest = ramp.begin()->second.value().L;
    for (const auto& [key, mean] : ramp) darkest = std::min(darkest, mean.value().L);
    const bool blackMeasured = ramp.rbegin()->first == toneKey(100);
    // Without a black the fade is not known to end here; a typical matt black keeps it near the truth.
    constexpr double kTypicalBlackL = 15;
    evidence.aimCurve.blackL = blackMeasured ? darkest : std::min(darkest, kTypicalBlackL);

    for (const auto& [key, mean] : ramp) {
        if (key < toneKey(5)) continue;
        const double lightness = mean.value().L;
        evidence.tones.push_back(static_cast<double>(key) / 1e4);
        evidence.lightness.push_back(lightness);
        evidence.aim.push_back(evidence.aimCurve.at(lightness));
    }
    for (std::size_t i = 0; i < history.trials.size(); ++i) {
        const Trial& trial = history.trials[i];
        evidence.deflections.push_back(grid.deflection(trial.setting));
        for (const ToneColour& tone : trial.tones) {
            const colour::Tint wanted = evidence.aimCurve.at(tone.lab.L);
            const double meanL = ramp.at(toneKey(tone.tonePercent)).value().L;
            evidence.observations.push_back(
                {.trial = i,
                 .tone = tone.tonePercent / 100,
                 .value = {tone.lab.a - wanted.a, tone.lab.b - wanted.b, tone.lab.L - meanL}});
        }
    }
    return evidence;
}

}  // namespace greywright::steer

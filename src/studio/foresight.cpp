#include "studio/foresight.h"

#include <algorithm>
#include <cmath>
#include <tuple>

#include <fmt/format.h>

#include "book/rules.h"
#include "colour/recolour.h"
#include "core/said.h"
#include "studio/among_trials.h"
#include "studio/convert.h"

namespace greywright::studio {
namespace {

constexpr std::size_t kMapPoints = 51;
// Of a ramp of 51 tones every second: who would notice is the same within a percent or two, in half the time.
constexpr std::size_t kMostTonesForViewers = 27;

/// The trial whose sheet is to be moved: one with spectra and with many tones first, then the nearest.
const book::TrialRecord* nearestSheet(const std::vector<book::TrialRecord>& trials, const Search& search) {
    const auto takesPart = [&](int number) {
        return std::ranges::find(search.history.trials, number, &steer::Trial::number) !=
               search.history.trials.end();
    };
    const book::TrialRecord* best = nullptr;
    std::tuple<bool, bool, double> least;
    for (const book::TrialRecord& trial : trials) {
        if (!takesPart(trial.number)) continue;
        const measure::Ramp ramp = rampFromRecord(trial.readings.front());
        double square = 0;
        for (std::size_t i = 0; i < trial.setting.size(); ++i) {
            const steer::TintAxis& axis = search.history.axes[i];
            square += std::pow(
                (trial.setting[i].value - search.summary.predicted.setting[i]) / (axis.highest - axis.lowest),
                2);
        }
        constexpr std::size_t kFewBlocks = 9;
        const std::tuple<bool, bool, double> rank{!ramp.grid, ramp.patches.size() <= kFewBlocks, square};
        if (best != nullptr && !(rank < least)) continue;
        best = &trial;
        least = rank;
    }
    return best;
}

/// What the search expects of a tone; the paper stays what it is, whatever the control does.
colour::Tint expectedAt(const std::vector<steer::TonePrediction>& ramp, const measure::Ramp& sheet,
                        const measure::RampPatch& patch) {
    const auto next =
        std::ranges::lower_bound(ramp, patch.tonePercent, {}, &steer::TonePrediction::tonePercent);
    if (next == ramp.end()) return {ramp.back().a, ramp.back().b};
    double tone = 0;
    colour::Tint from{patch.lab.a, patch.lab.b};
    if (next == ramp.begin()) {
        if (const measure::RampPatch* paper = paperOf(sheet)) from = {paper->lab.a, paper->lab.b};
    } else {
        tone = std::prev(next)->tonePercent;
        from = {std::prev(next)->a, std::prev(next)->b};
    }
    const double share =
        next->tonePercent > tone ? (patch.tonePercent - tone) / (next->tonePercent - tone) : 1;
    return {from.a + share * (next->a - from.a), from.b + share * (next->b - from.b)};
}

measure::Ramp withFewerTones(measure::Ramp ramp, std::size_t most) {
    const std::size_t all = ramp.patches.size();
    if (all <= most) return ramp;
    std::vector<measure::RampPatch> kept;
    for (std::size_t i = 0; i < most; ++i) {
        const double place = static_cast<double>(i * (all - 1)) / static_cast<double>(most - 1);
        kept.push_back(std::move(ramp.patches[static_cast<std::size_t>(std::lround(place))]));
    }
    ramp.patches = std::move(kept);
    return ramp;
}

}  // namespace

measure::Ramp Foresight::sheetAt(const steer::Setting& setting) const {
    return sheetFor(search.outlook->at(setting));
}

measure::Ramp Foresight::sheetFor(const steer::Foretold& expected) const {
    measure::Ramp out = *sheet;
    std::optional<colour::Colorimeter> meter;
    if (sheet->grid) {
        meter.emplace(colour::observer(colour::ObserverName::cie1931), *colour::lightByName("D50"),
                      *sheet->grid);
    }
    for (measure::RampPatch& patch : out.patches) {
        if (patch.tonePercent <= 0) continue;
        const colour::Tint tint = expectedAt(expected.ramp, *sheet, patch);
        patch.lab.a = tint.a;
        patch.lab.b = tint.b;
        if (!meter) continue;
        if (auto moved = colour::recoloured(patch.reflectance, *meter, patch.lab)) {
            patch.reflectance = *std::move(moved);
        } else {
            patch.lab = meter->labFromReflectance(patch.reflectance);
        }
    }
    return out;
}

Result<judge::Verdict> Foresight::verdictOn(const steer::Foretold& expected, bool withViewers,
                                            std::function<bool(double)> goOn) const {
    judge::Options options = seen;
    if (!withViewers) {
        options.viewers.reset();
        return judge::judge(sheetFor(expected), options);
    }
    if (options.viewers) options.viewers->goOn = std::move(goOn);
    return judge::judge(withFewerTones(sheetFor(expected), kMostTonesForViewers), options);
}

Result<Foresight> Studio::foresee(const std::string& condition, const SteerRequest& request,
                                  const JudgeRequest& looking) const {
    auto options = judgeOptions(looking);
    if (!options) return std::move(options).error();
    auto search = steer(condition, request);
    if (!search) return std::move(search).error();
    Foresight out{.search = *std::move(search), .seen = *std::move(options)};
    out.seen.aim = request.aim;
    if (!out.search.summary.isUsable()) return out;
    const auto all = trials(condition);
    if (!all) return all.error();
    const book::TrialRecord* nearest = nearestSheet(*all, out.search);
    if (nearest == nullptr) return out;  // another program took the trials out meanwhile
    out.sheet = rampFromRecord(nearest->readings.front());
    out.sheetTrial = nearest->number;
    out.seen.reference = referenceAmong(*all);
    out.map = out.search.outlook->map(out.search.summary.predicted.setting, kMapPoints);
    return out;
}

Result<Foretelling> Studio::foretell(const std::string& condition, const book::Setting& setting,
                                     const SteerRequest& request, const JudgeRequest& looking) const {
    const auto foresight = foresee(condition, request, looking);
    if (!foresight) return foresight.error();
    auto onAxes = book::settingOnAxes(foresight->search.condition.axes, setting);
    if (!onAxes) return std::move(onAxes).error();
    if (!foresight->map) {
        return Error{.kind = ErrorKind::wrongUse,
                     .code = "nothing-measured",
                     .what = said("nothing was measured in '{}' yet, so nothing can be foretold", condition),
                     .next = said("Print a sheet, measure it, and read it in")};
    }
    Foretelling out{.setting = *std::move(onAxes), .sheetTrial = foresight->sheetTrial};
    const steer::Setting at = settingFromRecord(out.setting);
    out.expected = foresight->search.outlook->at(at);
    auto verdict = foresight->verdictOn(out.expected, foresight->seen.viewers.has_value(), looking.goOn);
    if (!verdict) return std::move(verdict).error();
    out.verdict = *std::move(verdict);
    return out;
}

}  // namespace greywright::studio

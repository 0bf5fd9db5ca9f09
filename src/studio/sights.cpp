#include "studio/sights.h"

#include <algorithm>

#include <fmt/format.h>

#include "core/said.h"
#include "judge/sheet_of_ramp.h"
#include "studio/among_trials.h"
#include "studio/convert.h"
#include "studio/studio.h"

namespace greywright::studio {
namespace {

/// The spectra of a reading that lends a ramp its paper. As in a verdict: where the ramp's glow could not be
/// held apart, that of the paper stays in its reflectance too, so that both are seen alike.
colour::SheetSpectra sheetOfReference(const measure::Ramp& reference, const measure::Ramp& ramp,
                                      const colour::SheetSpectra& sheet) {
    if (!sheet.hasGlow() && reference.condition == ramp.condition) {
        std::vector<std::vector<double>> rows;
        for (const measure::RampPatch& patch : reference.patches) rows.push_back(patch.reflectance);
        return colour::sheetFromReflectances(*reference.grid, rows);
    }
    std::vector<Note> ignored;
    return judge::sheetOfRamp(reference, nullptr, ignored);
}

}  // namespace

Result<std::vector<TrialWorth>> Studio::worths(const std::string& condition, colour::TintAimKind aim) const {
    const auto book = open(book::OpenMode::readOnly);
    if (!book) return book.error();
    const auto trials = book->trials(condition);
    if (!trials) return trials.error();
    const auto corrections = book->corrections(condition);
    if (!corrections) return corrections.error();
    const std::optional<measure::Ramp> reference = referenceAmong(*trials);
    std::vector<TrialWorth> out;
    for (const book::TrialRecord& trial : *trials) {
        if (trial.readings.empty()) continue;
        judge::Options options{.aim = aim, .reference = reference};
        (void)aimAsCorrected(options, trial, *corrections);
        const auto verdict = judge::judge(rampFromRecord(trial.readings.front()), options);
        if (!verdict) continue;  // a sheet without tones to judge says nothing
        out.push_back({trial.number, verdict->tint.worstDeltaE00, verdict->tint.worstTonePercent});
    }
    return out;
}

Result<Sight> Studio::sight(const std::string& condition, int trial, const SightRequest& request) const {
    const auto book = open(book::OpenMode::readOnly);
    if (!book) return book.error();
    const auto trials = book->trials(condition);
    if (!trials) return trials.error();
    const auto corrections = book->corrections(condition);
    if (!corrections) return corrections.error();
    const auto chosen = std::ranges::find(*trials, trial, &book::TrialRecord::number);
    if (chosen == trials->end()) return book->trial(condition, trial).error();
    if (chosen->readings.empty()) return withoutReading(trial);

    judge::Options options{.aim = request.aim, .reference = referenceAmong(*trials)};
    (void)aimAsCorrected(options, *chosen, *corrections);  // judgeTrial tells it
    Sight out{.ramp = rampFromRecord(chosen->readings.front()),
              .light = request.light.empty() ? "D50" : request.light};
    measure::Ramp seen = out.ramp;
    if (out.light != "D50") {
        const auto names = catalogue();
        if (!names) return names.error();
        const auto scene = names->scene(out.light);
        if (!scene) return scene.error();
        if (!out.ramp.grid) {
            return Error{.kind = ErrorKind::wrongUse,
                         .code = "light-without-spectra",
                         .what = said("trial {} has no spectra, so it is known under D50 only", trial),
                         .next = said("Read the sheet with an instrument that measures spectra")};
        }
        std::vector<Note> ignored;  // judgeTrial tells them
        const std::optional<measure::Ramp> second = secondOf(*chosen);
        const colour::SheetSpectra sheet = judge::sheetOfRamp(out.ramp, second ? &*second : nullptr, ignored);
        seen = judge::rampUnder(out.ramp, sheet, *scene);
        if (options.reference && options.reference->grid) {
            options.reference = judge::rampUnder(
                *options.reference, sheetOfReference(*options.reference, out.ramp, sheet), *scene);
        } else {
            options.reference.reset();
        }
    }
    auto verdict = judge::judge(seen, options);
    if (!verdict) return std::move(verdict).error();
    out.patches = std::move(verdict->patches);
    return out;
}

}  // namespace greywright::studio

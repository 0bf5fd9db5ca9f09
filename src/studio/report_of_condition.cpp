#include <algorithm>

#include <fmt/format.h>

#include "correct/curve.h"
#include "correct/table.h"
#include "studio/convert.h"
#include "studio/printed_ramp.h"
#include "studio/report.h"
#include "studio/studio.h"

namespace greywright::studio {
namespace {

void addSearch(ReportInput& input, const Search& search) {
    if (!search.choices.empty()) input.facts.push_back({"Driver's choices", textFromChoices(search.choices)});
    for (const Note& note : search.notes) input.notes.push_back(note.text);
    if (!search.learnedFrom.empty()) {
        std::string names;
        for (const std::string& name : search.learnedFrom) names += (names.empty() ? "" : ", ") + name;
        input.notes.push_back("What the driver does was learned from " + names + " as well");
    }
    input.summary = search.summary;
    if (!search.summary.isUsable()) return;
    constexpr std::size_t kMapPoints = 51;
    input.map = search.outlook->map(search.summary.predicted.setting, kMapPoints);
}

std::string othersOf(const book::TrialRecord& trial) {
    std::string text = textFromChoices(trial.choices);
    if (trial.through == 0) return text;
    return text + (text.empty() ? "" : ", ") + fmt::format("through correction {}", trial.through);
}

Outcome addCorrections(ReportInput& input, const std::vector<book::CorrectionRecord>& corrections) {
    for (const book::CorrectionRecord& one : corrections)
        input.corrections.push_back({one.number, one.kind,
                                     one.withdrawnBecause ? "out of use: " + *one.withdrawnBecause : one.aim,
                                     one.trials, one.replaces, one.when});
    const auto inUse = std::ranges::find_if(
        corrections.rbegin(), corrections.rend(),
        [](const book::CorrectionRecord& one) { return !one.withdrawnBecause.has_value(); });
    if (inUse == corrections.rend()) return Done{};
    const book::CorrectionRecord& latest = *inUse;
    if (latest.kind == "curve") {
        const auto curve = correct::ToneCurve::fromText(latest.content);
        if (!curve) return curve.error();
        for (const correct::BandPoint& point : bandIn(latest)) {
            input.curve.push_back(
                {point.tonePercent, curve->at(point.tonePercent), point.lowPercent, point.highPercent});
        }
        return Done{};
    }
    const auto table = correct::NeutralTable::fromText(latest.content);
    if (!table) return table.error();
    for (const ForetoldTone& tone : foretoldIn(latest)) {
        input.table.push_back({tone.tonePercent, table->at(tone.tonePercent), tone.deltaE00, tone.remains});
    }
    return Done{};
}

}  // namespace

Result<std::string> Studio::report(const std::string& condition, const JudgeRequest& request,
                                   const std::string& when,
                                   const std::vector<steer::LightGoal>& goals) const {
    const auto known = this->condition(condition);
    if (!known) return known.error();
    const book::ConditionRecord& record = *known;
    std::optional<Search> search;
    if (!record.axes.empty()) {
        auto found = steer(condition, {.aim = request.aim, .lights = goals});
        if (!found) return std::move(found).error();
        search = *std::move(found);
    }
    auto records = trials(condition);
    if (!records) return std::move(records).error();
    const auto corrections = this->corrections(condition);
    if (!corrections) return corrections.error();

    ReportInput input{.title = condition,
                      .facts = {{"Printer", record.printer},
                                {"Inks", record.inks},
                                {"Paper", record.paper},
                                {"Mode", record.mode}},
                      .axes = axesFromRecord(record),
                      .hasNoControl = record.axes.empty(),
                      .program = std::string(version()),
                      .date = when};
    if (search) addSearch(input, *search);
    const int confirmedBy = search ? search->summary.confirmedBy : 0;
    std::optional<int> shown;
    for (const book::TrialRecord& trial : *records) {
        ReportTrial row{.number = trial.number,
                        .setting = settingFromRecord(trial.setting),
                        .when = trial.when,
                        .choices = othersOf(trial),
                        .withdrawnBecause = trial.withdrawnBecause};
        if (!trial.readings.empty()) {
            // Nobody is asked about every sheet, only about the one that the page is about.
            JudgeRequest quick = request;
            quick.viewers.count = 0;
            auto judgement = judgeTrial(condition, trial.number, quick);
            if (!judgement) return std::move(judgement).error();
            row.worstDeltaE00 = judgement->verdict.tint.worstDeltaE00;
            // That is the sheet that settled it, else the latest that counts.
            // A later print through a correction is what the work has come to.
            const bool isConfirming = trial.number == confirmedBy;
            const bool isCorrected = !trial.isWithdrawn() && trial.through != 0;
            if (isConfirming || isCorrected || (confirmedBy == 0 && !trial.isWithdrawn())) {
                shown = trial.number;
                input.verdictOf = fmt::format("trial {}", trial.number);
                if (!trial.setting.empty()) input.verdictOf += " at " + wordsFromSetting(trial.setting);
                if (trial.through != 0)
                    input.verdictOf += fmt::format(" through correction {}", trial.through);
            }
        }
        input.trials.push_back(std::move(row));
    }
    if (shown) {
        auto judgement = judgeTrial(condition, *shown, request);
        if (!judgement) return std::move(judgement).error();
        input.verdict = judgement->verdict;
        for (const Note& note : judgement->notes) input.notes.push_back(note.text);
    }
    if (auto added = addCorrections(input, *corrections); !added) return std::move(added).error();
    return htmlFromReport(input);
}

}  // namespace greywright::studio

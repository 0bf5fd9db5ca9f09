#include <fmt/format.h>

#include "studio/convert.h"
#include "studio/report.h"
#include "studio/studio.h"

namespace greywright::studio {

Result<std::string> Studio::report(const std::string& condition, const JudgeRequest& request,
                                   const std::string& when) const {
    auto search = steer(condition, {.aim = request.aim});
    if (!search) return std::move(search).error();
    auto records = trials(condition);
    if (!records) return std::move(records).error();

    const book::ConditionRecord& record = search->condition;
    ReportInput input{.title = condition,
                      .facts = {{"Printer", record.printer},
                                {"Inks", record.inks},
                                {"Paper", record.paper},
                                {"Mode", record.mode}},
                      .axes = search->history.axes,
                      .program = std::string(version()),
                      .date = when};
    if (!search->choices.empty())
        input.facts.push_back({"Driver's choices", textFromChoices(search->choices)});
    for (const Note& note : search->notes) input.notes.push_back(note.text);
    if (!search->learnedFrom.empty()) {
        std::string names;
        for (const std::string& name : search->learnedFrom) names += (names.empty() ? "" : ", ") + name;
        input.notes.push_back("What the driver does was learned from " + names + " as well");
    }
    std::optional<int> shown;
    for (const book::TrialRecord& trial : *records) {
        ReportTrial row{.number = trial.number,
                        .setting = settingFromRecord(trial.setting),
                        .when = trial.when,
                        .choices = textFromChoices(trial.choices),
                        .withdrawnBecause = trial.withdrawnBecause};
        if (!trial.readings.empty()) {
            // Nobody is asked about every sheet, only about the one that the page is about.
            JudgeRequest quick = request;
            quick.viewers.count = 0;
            auto judgement = judgeTrial(condition, trial.number, quick);
            if (!judgement) return std::move(judgement).error();
            row.worstDeltaE00 = judgement->verdict.tint.worstDeltaE00;
            // That is the sheet that settled it, else the latest that counts.
            const bool isConfirming = trial.number == search->summary.confirmedBy;
            if (isConfirming || (search->summary.confirmedBy == 0 && !trial.isWithdrawn())) {
                shown = trial.number;
                input.verdictOf = fmt::format("trial {} at {}", trial.number, textFromSetting(trial.setting));
            }
        }
        input.trials.push_back(std::move(row));
    }
    if (shown) {
        auto judgement = judgeTrial(condition, *shown, request);
        if (!judgement) return std::move(judgement).error();
        input.verdict = judgement->verdict;
    }
    input.summary = search->summary;
    if (search->summary.isUsable()) {
        constexpr std::size_t kMapPoints = 51;
        input.map = steer::settingMap(search->history, search->knowledge ? &*search->knowledge : nullptr,
                                      search->summary.predicted.setting, kMapPoints, {.aim = request.aim});
    }
    return htmlFromReport(input);
}

}  // namespace greywright::studio

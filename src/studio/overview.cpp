#include "studio/overview.h"

#include <algorithm>

#include <fmt/format.h>

#include "core/said.h"
#include "studio/convert.h"
#include "studio/json_parts.h"
#include "studio/studio.h"

namespace greywright::studio {
namespace {

/// What a kept answer of a search said.
struct Kept {
    int trial = 0;
    std::string when = {};
    std::string status = {};
    bool cannotTell = false;
    std::size_t trials = 0;  ///< that it rests on
    book::Setting setting = {};

    [[nodiscard]] bool is(steer::Status which) const { return status == textFromStatus(which); }
};

std::optional<Kept> keptFrom(const book::VerdictRecord& record) {
    const Json json = Json::parse(record.json, nullptr, false);
    if (!json.is_object() || !json.contains("status") || !json["status"].is_string()) return std::nullopt;
    Kept out{.trial = record.trial, .when = record.when, .status = json["status"].get<std::string>()};
    if (const auto cannot = json.find("cannot_tell"); cannot != json.end() && cannot->is_boolean())
        out.cannotTell = cannot->get<bool>();
    if (const auto trials = json.find("trials"); trials != json.end() && trials->is_number_unsigned())
        out.trials = trials->get<std::size_t>();
    if (const auto setting = json.find("setting"); setting != json.end() && setting->is_object()) {
        for (const auto& [axis, value] : setting->items())
            if (value.is_number()) out.setting.push_back({axis, value.get<double>()});
    }
    return out;
}

/// What a condition's standing rests on.
struct Known {
    std::vector<Kept> searches = {};
    std::vector<book::TrialRecord> trials = {};  ///< empty where the searches are known to hold
    int lastSteered = 0;    ///< the latest trial that a search can know of: not through a correction
    bool isJudged = false;  ///< that trial, by itself

    /// A trial that the search counted was withdrawn afterwards.
    [[nodiscard]] bool isOutdated(const Kept& search) const {
        return std::ranges::any_of(trials, [&](const book::TrialRecord& trial) {
            return trial.number <= search.trial && trial.withdrawnWhen && *trial.withdrawnWhen > search.when;
        });
    }
};

/// Whether the trials themselves have to be looked at, which takes long in a large book: unless nothing was
/// searched, or the latest search is of all trials that count and no earlier one matters.
bool needsTrials(const ConditionOverview& one, const std::vector<Kept>& searches) {
    if (one.lastTrial == 0 || searches.empty()) return false;
    const Kept& last = searches.back();
    if (last.trial != one.lastTrial || last.trials != one.trials) return true;
    return last.is(steer::Status::print) && std::ranges::any_of(searches, [](const Kept& search) {
               return search.is(steer::Status::settled);
           });
}

/// Leaves out searches whose latest trial no longer counts.
void addTrials(Known& known, std::vector<book::TrialRecord> trials) {
    known.trials = std::move(trials);
    known.lastSteered = 0;
    std::erase_if(known.searches, [&](const Kept& search) {
        const auto trial = std::ranges::find(known.trials, search.trial, &book::TrialRecord::number);
        return trial == known.trials.end() || trial->isWithdrawn();
    });
    for (const book::TrialRecord& trial : known.trials) {
        if (!trial.isWithdrawn() && !trial.readings.empty() && trial.through == 0)
            known.lastSteered = trial.number;
    }
}

void conclude(ConditionOverview& one, const Known& known) {
    if (one.lastTrial == 0) {
        one.words = said("Print and measure the first sheet");
        return;
    }
    one.standing = Standing::unfinished;
    if (one.condition.axes.empty() || known.lastSteered == 0) {
        one.words = said("Trial {} was measured", one.lastTrial);
        return;
    }
    const auto last =
        std::ranges::find(known.searches.rbegin(), known.searches.rend(), known.lastSteered, &Kept::trial);
    if (last == known.searches.rend()) {
        one.words = known.isJudged ? said("Trial {} is judged; ask what to print next", known.lastSteered)
                                   : said("Trial {} is not judged yet", known.lastSteered);
        return;
    }
    if (known.isOutdated(*last)) {
        one.words = said("A trial was withdrawn; ask again what to print next");
        return;
    }
    const std::string setting = wordsFromSetting(last->setting);
    if (last->is(steer::Status::settled)) {
        one.standing = Standing::neutral;
        one.words = said("Neutral at {}", setting);
        return;
    }
    if (last->is(steer::Status::outOfReach)) {
        one.standing = Standing::outOfReach;
        one.words = said("No setting will do; correct the pictures");
        return;
    }
    const bool wasSettled = std::ranges::any_of(known.searches, [&](const Kept& search) {
        return search.is(steer::Status::settled) && search.trial < last->trial;
    });
    if (wasSettled) one.standing = Standing::drifting;
    if (last->cannotTell) {
        one.words = wasSettled ? said("No longer neutral: cannot tell more; the best known is {}", setting)
                               : said("Cannot tell more; the best known is {}", setting);
        return;
    }
    one.words =
        wasSettled ? said("No longer neutral: print {} next", setting) : said("Print {} next", setting);
}

}  // namespace

Result<std::vector<ConditionOverview>> Studio::overview() const {
    const auto book = open(book::OpenMode::readOnly);
    if (!book) return book.error();
    const auto conditions = book->conditions();
    if (!conditions) return conditions.error();
    std::vector<ConditionOverview> out;
    for (const book::ConditionRecord& condition : *conditions) {
        ConditionOverview one{.condition = condition};
        const auto counts = book->trialCounts(condition.name);
        if (!counts) return counts.error();
        one.trials = counts->counting;
        one.lastTrial = counts->lastMeasured;
        const auto verdicts = book->verdicts(condition.name, "steer");
        if (!verdicts) return verdicts.error();
        Known known{.lastSteered = one.lastTrial};
        for (const book::VerdictRecord& verdict : *verdicts) {
            if (auto search = keptFrom(verdict)) known.searches.push_back(*std::move(search));
        }
        if (needsTrials(one, known.searches)) {
            auto trials = book->trials(condition.name);
            if (!trials) return std::move(trials).error();
            addTrials(known, *std::move(trials));
        }
        if (!condition.axes.empty() &&
            std::ranges::find(known.searches, known.lastSteered, &Kept::trial) == known.searches.end()) {
            const auto judged = book->verdicts(condition.name, "judge");
            if (!judged) return judged.error();
            known.isJudged =
                std::ranges::find(*judged, known.lastSteered, &book::VerdictRecord::trial) != judged->end();
        }
        conclude(one, known);
        out.push_back(std::move(one));
    }
    return out;
}

}  // namespace greywright::studio

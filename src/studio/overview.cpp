#include "studio/overview.h"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "studio/studio.h"

namespace greywright::studio {
namespace {

/// What a kept answer of a search said.
struct Kept {
    int trial = 0;
    std::string status = {};
    std::string setting = {};
};

std::optional<Kept> keptFrom(const book::VerdictRecord& record) {
    const auto json = nlohmann::json::parse(record.json, nullptr, false);
    if (!json.is_object() || !json.contains("status") || !json["status"].is_string()) return std::nullopt;
    Kept out{.trial = record.trial, .status = json["status"].get<std::string>()};
    if (const auto setting = json.find("setting"); setting != json.end() && setting->is_object()) {
        for (const auto& [axis, value] : setting->items()) {
            if (!value.is_number()) continue;
            out.setting +=
                fmt::format("{}{}={:g}", out.setting.empty() ? "" : ", ", axis, value.get<double>());
        }
    }
    return out;
}

void conclude(ConditionOverview& one, const std::vector<Kept>& kept) {
    if (one.lastTrial == 0) {
        one.words = "Print and measure the first sheet";
        return;
    }
    one.standing = Standing::unfinished;
    if (kept.empty() || kept.back().trial < one.lastTrial) {
        one.words = one.condition.axes.empty() ? fmt::format("Trial {} was measured", one.lastTrial)
                                               : fmt::format("Trial {} is not judged yet", one.lastTrial);
        return;
    }
    const Kept& last = kept.back();
    if (last.status == "settled") {
        one.standing = Standing::neutral;
        one.words = fmt::format("Neutral at {}", last.setting);
        return;
    }
    bool wasSettled = false;
    for (const Kept& answer : kept)
        wasSettled = wasSettled || (answer.status == "settled" && answer.trial < last.trial);
    if (wasSettled) one.standing = Standing::drifting;
    if (last.status == "out-of-reach") {
        one.standing = Standing::outOfReach;
        one.words = "No setting will do; correct the pictures";
        return;
    }
    one.words = fmt::format("{}rint {} next", wasSettled ? "No longer neutral: p" : "P", last.setting);
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
        std::vector<Kept> kept;
        for (const book::VerdictRecord& verdict : *verdicts) {
            if (auto answer = keptFrom(verdict)) kept.push_back(*std::move(answer));
        }
        conclude(one, kept);
        out.push_back(std::move(one));
    }
    return out;
}

}  // namespace greywright::studio

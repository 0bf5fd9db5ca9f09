#include "words.h"

#include <fmt/format.h>

#include "core/numbers.h"
#include "studio/convert.h"

namespace greywright::cli {
namespace {

std::string number(double value, int decimals) {
    return textFromNumber(value, decimals);
}

std::string labText(const colour::Lab& lab) {
    return fmt::format("L* {}  a* {}  b* {}", number(lab.L, 1), number(lab.a, 2), number(lab.b, 2));
}

}  // namespace

std::string wordsFromNotes(const std::vector<Note>& notes) {
    std::string out;
    for (const Note& note : notes) {
        const std::string place = note.where.text();
        out += fmt::format("note: {}{}{}\n", place, place.empty() ? "" : ": ", note.text);
    }
    return out;
}

std::string wordsFromRead(const studio::ReadSummary& summary) {
    return fmt::format("Trial {} at {}: {} tones, {}, measurement condition {}\n", summary.trial,
                       studio::textFromSetting(summary.setting), summary.patches,
                       summary.spectral ? "with spectra" : "CIELAB only", summary.conditionM);
}

std::string wordsFromJudgement(const studio::Judgement& judgement) {
    const judge::Verdict& verdict = judgement.verdict;
    std::string out;
    if (judgement.trial > 0) {
        out += fmt::format("Trial {} at {}\n", judgement.trial, studio::textFromSetting(judgement.setting));
    }
    out += verdict.summary + "\n\n";
    if (verdict.paper) out += fmt::format("paper white      {}\n", labText(*verdict.paper));
    if (verdict.black) out += fmt::format("maximum black    {}", labText(*verdict.black));
    if (verdict.black && verdict.visualDensityBlack) {
        out += fmt::format("  visual density {}", number(*verdict.visualDensityBlack, 2));
    }
    if (verdict.black) out += "\n";
    const judge::ToneVerdict& tone = verdict.tone;
    out += fmt::format("tone             {}\n", tone.words);
    if (tone.worstDepartureL) {
        out += fmt::format("                 farthest from the straight line: {} L* too {} at {} %\n",
                           number(*tone.worstDepartureL, 1), tone.worstDepartureIsLighter ? "light" : "dark",
                           number(tone.worstDepartureTonePercent, 0));
    }
    if (tone.firstVisibleTonePercent) {
        out += fmt::format("                 first visible tone {} %\n",
                           number(*tone.firstVisibleTonePercent, 1));
    }
    if (tone.shadowSeparationL) {
        out += fmt::format("                 95 % and 100 % are {} L* apart\n",
                           number(*tone.shadowSeparationL, 1));
    }
    out += fmt::format("tint             {}, {}\n", judge::textFromLevel(verdict.tint.level),
                       verdict.tint.direction);
    for (const judge::ZoneVerdict& zone : verdict.tint.zones) {
        out += fmt::format(
            "                 {:<10}  a* {:>5}  b* {:>5} from the aim, worst {} CIEDE2000: {}\n", zone.name,
            number(zone.tint.a, 2), number(zone.tint.b, 2), number(zone.worstDeltaE00, 2), zone.words);
    }
    if (!verdict.tint.advice.empty()) out += fmt::format("advice           {}\n", verdict.tint.advice);
    out += "\nworst tone under each light, standard observer, CIEDE2000 to the aim\n";
    for (const judge::LightVerdict& light : verdict.lights) {
        out += fmt::format("  {:<8} {:>5}  at {:>3} %  {}\n", light.name, number(light.deltaE00, 2),
                           number(light.worstTonePercent, 0), judge::textFromLevel(light.level));
    }
    if (!judgement.choices.empty()) {
        out += "\ntone at the driver's other choices\n";
        for (const judge::Candidate& candidate : judgement.choices) {
            out += fmt::format("  {:<28} {}\n", candidate.name, candidate.verdict.tone.words);
        }
        out += "  " + judgement.comparison.words + "\n";
    }
    return out;
}

std::string wordsFromSearch(const studio::Search& search) {
    const steer::Summary& summary = search.summary;
    const auto text = [&](const steer::Setting& setting) {
        return studio::textFromSetting(search.history.axes, setting);
    };
    std::string out;
    switch (summary.status) {
        case steer::Status::print:
            out = fmt::format("Print next: {}\n", text(summary.predicted.setting));
            break;
        case steer::Status::settled:
            out = fmt::format("Settled: {}\n", text(summary.predicted.setting));
            break;
        case steer::Status::outOfReach:
            out = fmt::format("Out of reach; the best is {}\n", text(summary.predicted.setting));
            break;
    }
    out += summary.reason + ".\n";
    if (!summary.isUsable()) return out;
    out += fmt::format(
        "\nexpected there    worst {} CIEDE2000 at {} % tone (90 %: {} to {})\n",
        number(summary.predicted.worstDeltaE00, 2), number(summary.predicted.worstTonePercent, 0),
        number(summary.predicted.worstDeltaE00Low, 2), number(summary.predicted.worstDeltaE00High, 2));
    out += fmt::format("best attainable   worst {} CIEDE2000 at {} (90 %: {} to {})\n",
                       number(summary.bestAttainable.worstDeltaE00, 2), text(summary.bestAttainable.setting),
                       number(summary.bestAttainable.worstDeltaE00Low, 2),
                       number(summary.bestAttainable.worstDeltaE00High, 2));
    out += fmt::format("trials            {}; prints differ among themselves by about {} CIELAB units\n",
                       summary.trials, number(summary.printNoise, 2));
    if (!search.choices.empty())
        out += fmt::format("driver's choices  {}\n", studio::textFromChoices(search.choices));
    if (!search.learnedFrom.empty()) {
        std::string names;
        for (const std::string& name : search.learnedFrom) names += (names.empty() ? "" : ", ") + name;
        out += fmt::format("learned from      {} (believed to {} %)\n", names,
                           number(100 * summary.beliefInKnowledge, 0));
    }
    out += "\nwhat the control does, as believed now\n";
    for (const steer::AxisAction& action : summary.control) out += "  " + action.words + "\n";
    return out;
}

std::string wordsFromConditions(const std::vector<book::ConditionRecord>& conditions) {
    if (conditions.empty()) return "No printing condition yet. Enter one with: greywright condition add\n";
    std::string out;
    for (const book::ConditionRecord& condition : conditions) {
        std::string axes;
        for (const book::AxisRecord& axis : condition.axes) {
            axes +=
                fmt::format("{}{} {}..{} by {}", axes.empty() ? "" : ", ", axis.name,
                            textFromNumber(axis.min), textFromNumber(axis.max), textFromNumber(axis.step));
        }
        out += fmt::format("{}\n    printer {}, inks {}, paper {}, mode {}\n    tint control: {}\n",
                           condition.name, condition.printer, condition.inks, condition.paper, condition.mode,
                           axes);
    }
    return out;
}

std::string wordsFromTrials(const std::vector<book::TrialRecord>& trials) {
    if (trials.empty()) return "No trial yet.\n";
    std::string out;
    for (const book::TrialRecord& trial : trials) {
        const std::string choices = studio::textFromChoices(trial.choices);
        out += fmt::format("{:>3}  {:<24} {}{}{}{}\n", trial.number, studio::textFromSetting(trial.setting),
                           trial.when,
                           trial.readings.empty() ? "  not measured" : "  " + trial.readings.front().fileName,
                           choices.empty() ? "" : "  " + choices,
                           trial.isWithdrawn() ? "  withdrawn: " + *trial.withdrawnBecause : "");
    }
    return out;
}

}  // namespace greywright::cli

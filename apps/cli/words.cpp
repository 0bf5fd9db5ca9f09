#include "words.h"

#include <algorithm>

#include <fmt/format.h>

#include "colour/rendering.h"
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

std::string percent(double share) {
    return number(100 * share, 0);
}

std::string shareText(const judge::Share& share) {
    return fmt::format("{:>3} % ({} to {})", percent(share.value), percent(share.low), percent(share.high));
}

/// How much the light and the eye can change such a grey (own experience with the simulated printers: greys
/// of one ink stay below 5, greys mixed of three dyes reach 20 and more).
std::string_view wordsFromUnevenness(double percent) {
    if (percent < 5) return "much the same in every light and for every eye";
    if (percent < 15) return "lights and eyes will differ a little";
    return "a grey mixed from colours; lights and eyes will disagree";
}

std::string tableOfLights(const judge::Verdict& verdict) {
    std::string out = "\nworst tone in each light, standard observer, CIEDE2000 to the aim\n";
    for (const judge::LightVerdict& light : verdict.lights) {
        out += fmt::format("  {:<18} {:>5}  at {:>3} %  {}\n", light.name, number(light.deltaE00, 2),
                           number(light.worstTonePercent, 0), judge::textFromLevel(light.level));
    }
    return out;
}

std::string agesText(const judge::Notice& notice) {
    if (notice.youngestYears == notice.oldestYears) return number(notice.oldestYears, 0) + " years";
    return fmt::format("{} to {} years", number(notice.youngestYears, 0), number(notice.oldestYears, 0));
}

std::string tableOfViewers(const judge::Verdict& verdict) {
    const judge::Notice& notice = *verdict.notice;
    std::string out = fmt::format(
        "\nwho would notice, of {} viewers of {} (share, and where it lies with 90 % certainty)\n"
        "  {:<18} {:<20} {:<20} {:<12} {}\n",
        notice.viewers, agesText(notice), "", "beside a neutral", "alone on a wall", "most at",
        "standard observer");
    for (const judge::LightVerdict& light : verdict.lights) {
        out += fmt::format("  {:<18} {:<20} {:<20} {:>3} % tone   {} at {} %, {}\n", light.name,
                           shareText(light.notice->beside), shareText(light.notice->alone),
                           number(light.notice->givesAwayTonePercent, 0), number(light.deltaE00, 2),
                           number(light.worstTonePercent, 0), judge::textFromLevel(light.level));
    }
    if (verdict.lights.size() > 1) {
        out += fmt::format("  {:<18} {:<20} {}\n", "in any of them", shareText(notice.besideAnywhere),
                           shareText(notice.aloneAnywhere));
    }
    const auto most = std::ranges::max_element(
        verdict.lights, {}, [](const judge::LightVerdict& light) { return light.notice->beside.value; });
    std::string ages;
    for (const judge::WhoNotices::AgeBand& band : most->notice->who.ages) {
        ages += fmt::format("{}{} to {}: {} %", ages.empty() ? "" : ", ", number(band.fromYears, 0),
                            number(band.toYears, 0), percent(band.share));
    }
    out += fmt::format("  who, in {}: {}; by age {}\n", most->name, most->notice->who.words, ages);
    out += fmt::format(
        "  {} % say so of a perfect print too. Thresholds are assumptions (see the report); "
        "colour-deficient\n"
        "  viewers are outside the model.\n",
        percent(notice.assumptions.falseAlarms));
    return out;
}

/// What follows "Trial 3" when a file was read.
std::string wordsOf(const studio::ReadSummary& summary) {
    std::string out;
    if (!summary.setting.empty()) out += " at " + studio::textFromSetting(summary.setting);
    out += fmt::format(": {} tones, ", summary.patches);
    if (summary.colours > 0) out += fmt::format("{} colours beside them, ", summary.colours);
    if (summary.uncertainty) {
        return out + fmt::format(
                         "from a picture; where neutral is may be off by {} in a* and b*, one tone "
                         "beside another by {} (standard deviations)\n",
                         number(summary.uncertainty->shared, 1),
                         number(std::max(0.1, summary.uncertainty->own), 1));
    }
    return out + fmt::format("{}, measurement condition {}\n",
                             summary.spectral ? "with spectra" : "CIELAB only", summary.conditionM);
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
    return fmt::format("Trial {}{}", summary.trial, wordsOf(summary));
}

std::string wordsFromInspected(const studio::Inspected& inspected) {
    const int trial = inspected.summary.trial;
    std::string out = fmt::format(
        "It would be {}{}",
        trial > 0 ? fmt::format("a further reading of trial {}", trial) : std::string("a new trial"),
        wordsOf(inspected.summary));
    if (trial == 0 && !inspected.likelySetting.empty()) {
        out += fmt::format("Most likely printed at {}\n", studio::textFromSetting(inspected.likelySetting));
    }
    for (const studio::Doubt& doubt : inspected.doubts) {
        out += fmt::format("\n{}\n", doubt.question);
        if (!doubt.detail.empty()) out += fmt::format("    {}\n", doubt.detail);
    }
    const bool needsForce = std::ranges::any_of(inspected.doubts, &studio::Doubt::needsForce);
    return out + fmt::format("\nNothing was stored.{}\n",
                             needsForce ? " If the answer is yes, read it with --force." : "");
}

std::string wordsFromJudgement(const studio::Judgement& judgement) {
    const judge::Verdict& verdict = judgement.verdict;
    std::string out;
    if (judgement.trial > 0) {
        out += fmt::format("Trial {}", judgement.trial);
        if (!judgement.setting.empty()) out += " at " + studio::textFromSetting(judgement.setting);
        if (judgement.through != 0) out += fmt::format(" through correction {}", judgement.through);
        out += '\n';
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
    out += verdict.tint.level == judge::TintLevel::unknown
               ? "tint under D50   cannot be told\n"
               : fmt::format("tint under D50   {}, {}\n", judge::textFromLevel(verdict.tint.level),
                             verdict.tint.direction);
    if (verdict.tint.worstDeltaE00Low && verdict.tint.worstDeltaE00High) {
        out +=
            fmt::format("                 worst tone {} CIEDE2000, with a chance of 90 % between {} and {}\n",
                        number(verdict.tint.worstDeltaE00, 1), number(*verdict.tint.worstDeltaE00Low, 1),
                        number(*verdict.tint.worstDeltaE00High, 1));
    }
    for (const judge::ZoneVerdict& zone : verdict.tint.zones) {
        out += fmt::format(
            "                 {:<10}  a* {:>5}  b* {:>5} from the aim, worst {} CIEDE2000: {}\n", zone.name,
            number(zone.tint.a, 2), number(zone.tint.b, 2), number(zone.worstDeltaE00, 2), zone.words);
    }
    if (!verdict.tint.advice.empty()) out += fmt::format("advice           {}\n", verdict.tint.advice);
    if (verdict.unevennessPercent) {
        out += fmt::format("spectra          uneven by {} % at most, at {} % tone: {}\n",
                           number(*verdict.unevennessPercent, 1), number(verdict.unevennessTonePercent, 0),
                           wordsFromUnevenness(*verdict.unevennessPercent));
    }
    out += verdict.notice ? tableOfViewers(verdict) : tableOfLights(verdict);
    if (!judgement.choices.empty()) {
        out += "\ntone at the driver's other choices\n";
        for (const judge::Candidate& candidate : judgement.choices) {
            out += fmt::format("  {:<28} {}\n", candidate.name, candidate.verdict.tone.words);
        }
        out += "  " + judgement.comparison.words + "\n";
    }
    return out;
}

std::string wordsFromForetelling(const studio::Foretelling& foretelling) {
    const steer::Prediction& worst = foretelling.expected.worst;
    return fmt::format(
               "Expected at {}: worst {} CIEDE2000 at {} % tone (90 %: {} to {})\n"
               "What follows is foretold from the sheet of trial {}.\n",
               studio::textFromSetting(foretelling.setting), number(worst.worstDeltaE00, 2),
               number(worst.worstTonePercent, 0), number(worst.worstDeltaE00Low, 2),
               number(worst.worstDeltaE00High, 2), foretelling.sheetTrial) +
           wordsFromJudgement({.verdict = foretelling.verdict});
}

std::string wordsFromSearch(const studio::Search& search) {
    const steer::Summary& summary = search.summary;
    const auto text = [&](const steer::Setting& setting) {
        return studio::textFromSetting(search.history.axes, setting);
    };
    std::string out;
    switch (summary.status) {
        case steer::Status::print:
            out =
                fmt::format("{}: {}\n", summary.cannotTell ? "Cannot tell; the best known is" : "Print next",
                            text(summary.predicted.setting));
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
    const auto& goals = search.history.lights;
    const bool isWeighted = std::ranges::any_of(
        goals, [&](const steer::LightGoal& goal) { return goal.weight != goals.front().weight; });
    out += fmt::format(
        "\nexpected there    worst {} CIEDE2000{} at {} % tone (90 %: {} to {})\n",
        number(summary.predicted.worstDeltaE00, 2), isWeighted ? " times the light's weight" : "",
        number(summary.predicted.worstTonePercent, 0), number(summary.predicted.worstDeltaE00Low, 2),
        number(summary.predicted.worstDeltaE00High, 2));
    out += fmt::format("best attainable   worst {} CIEDE2000 at {} (90 %: {} to {})\n",
                       number(summary.bestAttainable.worstDeltaE00, 2), text(summary.bestAttainable.setting),
                       number(summary.bestAttainable.worstDeltaE00Low, 2),
                       number(summary.bestAttainable.worstDeltaE00High, 2));
    if (!summary.lights.empty()) {
        out += "\nthere, in each light, unweighted (and what that light alone could have)\n";
        for (const steer::LightPrediction& light : summary.lights) {
            out += fmt::format("  {:<16} worst {} at {} % tone   (alone {} at {})\n", light.name,
                               number(light.worstDeltaE00, 2), number(light.worstTonePercent, 0),
                               number(light.bestAloneDeltaE00, 2), text(light.bestAlone));
        }
        if (!summary.disagreement.empty() && summary.reason.find(summary.disagreement) == std::string::npos)
            out += "  " + summary.disagreement + ".\n";
        out += "\n";
    }
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
    out += search.history.lights.empty() ? "\nwhat the control does, as believed now\n"
                                         : "\nwhat the control does under D50, as believed now\n";
    for (const steer::AxisAction& action : summary.control) out += "  " + action.words + "\n";
    return out;
}

std::string wordsFromConditions(const std::vector<studio::ConditionOverview>& conditions) {
    if (conditions.empty()) return "No printing condition yet. Enter one with: greywright condition add\n";
    std::string out;
    for (const studio::ConditionOverview& one : conditions) {
        const book::ConditionRecord& condition = one.condition;
        std::string axes;
        for (const book::AxisRecord& axis : condition.axes) {
            axes +=
                fmt::format("{}{} {}..{} by {}", axes.empty() ? "" : ", ", axis.name,
                            textFromNumber(axis.min), textFromNumber(axis.max), textFromNumber(axis.step));
        }
        out += fmt::format("{}\n    printer {}, inks {}, paper {}, mode {}\n    tint control: {}\n    {}\n",
                           condition.name, condition.printer, condition.inks, condition.paper, condition.mode,
                           axes.empty() ? "none" : axes, one.words);
    }
    return out;
}

namespace {

/// The files of all readings of a sheet.
std::string filesOf(const book::TrialRecord& trial) {
    std::string out;
    for (const book::ReadingRecord& reading : trial.readings)
        out += (out.empty() ? "" : " + ") + reading.fileName;
    return out;
}

}  // namespace

std::string wordsFromTrials(const std::vector<book::TrialRecord>& trials) {
    if (trials.empty()) return "No trial yet.\n";
    std::string out;
    for (const book::TrialRecord& trial : trials) {
        const std::string choices = studio::textFromChoices(trial.choices);
        out += fmt::format("{:>3}  {:<24} {}{}{}{}\n", trial.number, studio::textFromSetting(trial.setting),
                           trial.when, trial.readings.empty() ? "  not measured" : "  " + filesOf(trial),
                           (trial.through == 0 ? "" : fmt::format("  through correction {}", trial.through)) +
                               (choices.empty() ? "" : "  " + choices),
                           trial.isWithdrawn() ? "  withdrawn: " + *trial.withdrawnBecause : "");
    }
    return out;
}

namespace {

std::string kelvinText(const colour::LightFigures& figures) {
    return figures.temperature ? number(figures.temperature->kelvin, 0) + " K" : "no CCT";
}

}  // namespace

std::string wordsFromLights(const studio::Catalogue& catalogue) {
    std::string out;
    for (const std::string& name : catalogue.lightNames()) {
        const auto light = catalogue.light(name);
        if (!light) {
            out += fmt::format("{:<22} {}\n", name, light.error().text());
            continue;
        }
        const colour::LightFigures figures = colour::figuresOf(*light);
        out += fmt::format("{:<22} {:>7}  Duv {:>7}  Ra {:>5}  {}{}\n", light->name, kelvinText(figures),
                           figures.temperature ? number(figures.temperature->duv, 4) : "",
                           figures.ra ? number(*figures.ra, 1) : "", light->description,
                           catalogue.ownLight(name) != nullptr ? " (own)" : "");
    }
    return out + "Any daylight can be written as D60, any black body as P3200.\n";
}

std::string wordsFromLight(const colour::Light& light, const studio::Catalogue& catalogue) {
    const colour::LightFigures figures = colour::figuresOf(light);
    std::string out = fmt::format("{}\n{}\n\n", light.name, light.description);
    out += fmt::format("chromaticity     x {}  y {}\n", number(figures.xy.x, 4), number(figures.xy.y, 4));
    if (figures.temperature) {
        out += fmt::format("white            {} K, Duv {} ({})\n", number(figures.temperature->kelvin, 0),
                           number(figures.temperature->duv, 4),
                           figures.temperature->duv > 0.002    ? "a little green"
                           : figures.temperature->duv < -0.002 ? "a little pink"
                                                               : "on the black body's locus");
    } else {
        out += "white            too coloured for a colour temperature\n";
    }
    if (figures.ra) out += fmt::format("rendering        Ra {}\n", number(*figures.ra, 1));
    out += fmt::format("ultraviolet      {}\n", light.ultraviolet.empty()
                                                    ? "not known; below what was measured it counts as none"
                                                    : "known down to 300 nm");
    out += fmt::format("origin           {}\n", light.origin);
    if (const book::LightRecord* own = catalogue.ownLight(light.name)) {
        for (const book::LightShareRecord& part : own->parts) {
            out += fmt::format("part             {} of {}\n", textFromNumber(part.share), part.light);
        }
        if (!own->fileName.empty()) out += fmt::format("file             {}\n", own->fileName);
    }
    return out;
}

std::string wordsFromScenes(const studio::Catalogue& catalogue) {
    std::string out;
    for (const std::string& name : catalogue.sceneNames()) {
        const auto scene = catalogue.scene(name);
        if (!scene) {
            out += fmt::format("{:<16} {}\n", name, scene.error().text());
            continue;
        }
        out += fmt::format("{:<16} {:<22} {:>7} lux  {:<12} {}\n", scene->name, scene->light.name,
                           textFromNumber(scene->lux),
                           scene->glazing.transmittance.empty() ? "no glazing" : scene->glazing.name,
                           scene->description);
    }
    return out;
}

std::string wordsFromGlazings(const studio::Catalogue& catalogue) {
    std::string out;
    for (const std::string& name : catalogue.glazingNames()) {
        const auto glazing = catalogue.glazing(name);
        if (!glazing) continue;
        const auto at = [&](double nm) {
            return percent(glazing->at(static_cast<std::size_t>(nm - colour::kGlazingGrid.startNm)));
        };
        out +=
            fmt::format("{:<16} lets through {:>3} % at 350 nm, {:>3} % at 400 nm, {:>3} % at 550 nm  {}\n",
                        glazing->name, at(350), at(400), at(550), glazing->description);
    }
    return out;
}

std::string wordsFromViewers(const studio::Catalogue& catalogue) {
    if (catalogue.viewers().empty()) {
        return "No viewer in the book. Enter one with: greywright viewer add NAME --age YEARS\n";
    }
    std::string out;
    for (const book::ViewerRecord& viewer : catalogue.viewers()) {
        out += fmt::format("{:<22} {} years, field of {} degrees, thresholds {}\n", viewer.name,
                           textFromNumber(viewer.ageYears), textFromNumber(viewer.fieldDegrees),
                           viewer.thresholdBeside || viewer.thresholdAlone ? "of their own" : "as assumed");
    }
    return out;
}

}  // namespace greywright::cli

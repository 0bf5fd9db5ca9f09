#include "studio/json.h"

#include "colour/rendering.h"
#include "studio/convert.h"
#include "studio/json_parts.h"

namespace greywright::studio {
namespace {

Json fromSetting(const book::Setting& setting) {
    Json out = Json::object();
    for (const book::AxisValue& value : setting) out[value.axis] = value.value;
    return out;
}

Json fromSetting(const std::vector<steer::TintAxis>& axes, const steer::Setting& setting) {
    Json out = Json::object();
    for (std::size_t j = 0; j < axes.size() && j < setting.size(); ++j) out[axes[j].name] = setting[j];
    return out;
}

Json fromUncertainty(const std::optional<measure::Uncertainty>& uncertainty) {
    if (!uncertainty) return nullptr;
    return {{"shared", uncertainty->shared}, {"own", uncertainty->own}};
}

Json fromAxes(const std::vector<book::AxisRecord>& axes) {
    Json out = Json::array();
    for (const book::AxisRecord& axis : axes) {
        out.push_back({{"name", axis.name}, {"min", axis.min}, {"max", axis.max}, {"step", axis.step}});
    }
    return out;
}

Json fromTone(const judge::ToneVerdict& tone) {
    return {{"even", fromOptional(tone.even)},
            {"monotone", fromOptional(tone.monotone)},
            {"cannot_tell", tone.cannotTell},
            {"worst_departure_L", fromOptional(tone.worstDepartureL)},
            {"worst_departure_tone_percent", tone.worstDepartureTonePercent},
            {"first_visible_tone_percent", fromOptional(tone.firstVisibleTonePercent)},
            {"shadow_separation_L", fromOptional(tone.shadowSeparationL)},
            {"words", tone.words}};
}

Json fromShare(const judge::Share& share) {
    return {{"share", share.value}, {"low", share.low}, {"high", share.high}};
}

Json fromLight(const judge::LightVerdict& light) {
    Json out{{"name", light.name},
             {"description", light.description},
             {"lux", light.lux},
             {"glazing", light.glazing.empty() ? Json("none") : Json(light.glazing)},
             {"worst_tone_percent", light.worstTonePercent},
             {"delta_e00", light.deltaE00},
             {"delta_e00_low", fromOptional(light.deltaE00Low)},
             {"delta_e00_high", fromOptional(light.deltaE00High)},
             {"share_who_notice", nullptr}};
    if (!light.notice) return out;
    const judge::SceneNotice& notice = *light.notice;
    out["share_who_notice"] = notice.beside.value;
    out["beside_neutral"] = fromShare(notice.beside);
    out["alone"] = fromShare(notice.alone);
    out["gives_away_tone_percent"] = notice.givesAwayTonePercent;
    out["spread_radius"] = notice.spreadRadius;
    Json ages = Json::array();
    for (const judge::WhoNotices::AgeBand& band : notice.who.ages) {
        ages.push_back({{"from_years", band.fromYears}, {"to_years", band.toYears}, {"share", band.share}});
    }
    out["who"] = {{"ages", ages},
                  {"trait", notice.who.trait.empty() ? Json(nullptr) : Json(notice.who.trait)},
                  {"correlation", notice.who.correlation},
                  {"words", notice.who.words}};
    return out;
}

/// Whom was asked, and what was taken for granted.
Json fromNotice(const std::optional<judge::Notice>& notice) {
    if (!notice) return nullptr;
    const judge::NoticeAssumptions& assumed = notice->assumptions;
    return {{"count", notice->viewers},
            {"youngest_years", notice->youngestYears},
            {"oldest_years", notice->oldestYears},
            {"with_spectra", notice->hasSpectra},
            {"reading_noise", notice->readingNoise},
            {"anywhere_beside_neutral", fromShare(notice->besideAnywhere)},
            {"anywhere_alone", fromShare(notice->aloneAnywhere)},
            {"assumptions",
             {{"threshold_beside", assumed.thresholdBeside},
              {"threshold_alone", assumed.thresholdAlone},
              {"between_people", assumed.betweenPeople},
              {"within_person", assumed.withinPerson},
              {"false_alarms", assumed.falseAlarms},
              {"per_doubling_of_age", assumed.perDoublingOfAge},
              {"adapted_to_paper", assumed.adaptedToPaper}}}};
}

std::string textFromStanding(Standing standing) {
    switch (standing) {
        case Standing::empty:
            return "empty";
        case Standing::unfinished:
            return "unfinished";
        case Standing::neutral:
            return "neutral";
        case Standing::outOfReach:
            return "out_of_reach";
        case Standing::drifting:
            return "drifting";
    }
    return {};
}

Json fromLightFigures(const colour::Light& light, const Catalogue& catalogue) {
    const colour::LightFigures figures = colour::figuresOf(light);
    Json out{{"name", light.name},
             {"description", light.description},
             {"origin", light.origin},
             {"own", catalogue.ownLight(light.name) != nullptr},
             {"x", figures.xy.x},
             {"y", figures.xy.y},
             {"cct_kelvin", figures.temperature ? Json(figures.temperature->kelvin) : Json(nullptr)},
             {"duv", figures.temperature ? Json(figures.temperature->duv) : Json(nullptr)},
             {"ra", fromOptional(figures.ra)},
             {"ultraviolet_known", !light.ultraviolet.empty()}};
    return out;
}

Json fromRead(const ReadSummary& summary) {
    return {{"trial", summary.trial},
            {"patches", summary.patches},
            {"colours", summary.colours},
            {"spectral", summary.spectral},
            {"condition_m", summary.conditionM},
            {"setting", fromSetting(summary.setting)},
            {"uncertainty", fromUncertainty(summary.uncertainty)},
            {"notes", fromNotes(summary.notes)}};
}

}  // namespace

std::string jsonFromRead(const ReadSummary& summary) {
    return textFrom(fromRead(summary));
}

std::string jsonFromInspected(const Inspected& inspected) {
    Json out = fromRead(inspected.summary);
    if (inspected.summary.trial == 0) out["trial"] = nullptr;
    out["doubts"] = Json::array();
    for (const Doubt& doubt : inspected.doubts) {
        out["doubts"].push_back(
            {{"code", doubt.code}, {"question", doubt.question}, {"detail", doubt.detail}});
    }
    out["likely_setting"] = fromSetting(inspected.likelySetting);
    return textFrom(out);
}

namespace {

Json fromJudgement(const Judgement& judgement) {
    const judge::Verdict& verdict = judgement.verdict;
    Json patches = Json::array();
    for (const judge::PatchVerdict& patch : verdict.patches) {
        patches.push_back({{"tone_percent", patch.tonePercent},
                           {"L", patch.lab.L},
                           {"a", patch.lab.a},
                           {"b", patch.lab.b},
                           {"aim_a", patch.aim.a},
                           {"aim_b", patch.aim.b},
                           {"aim_L", patch.aimL},
                           {"delta_ch", patch.deltaCh},
                           {"delta_e00", patch.deltaE00}});
    }
    Json lights = Json::array();
    for (const judge::LightVerdict& light : verdict.lights) {
        lights.push_back(fromLight(light));
    }
    std::vector<Note> notes = judgement.notes;
    notes.insert(notes.end(), verdict.notes.begin(), verdict.notes.end());
    Json out{
        {"paper", verdict.paper ? fromLab(*verdict.paper) : Json(nullptr)},
        {"black", verdict.black ? fromLab(*verdict.black) : Json(nullptr)},
        {"visual_density_black", fromOptional(verdict.visualDensityBlack)},
        {"tone", fromTone(verdict.tone)},
        {"patches", patches},
        {"lights", lights},
        {"viewers", fromNotice(verdict.notice)},
        {"spectral_unevenness",
         {{"percent", fromOptional(verdict.unevennessPercent)},
          {"tone_percent", verdict.unevennessPercent ? Json(verdict.unevennessTonePercent) : Json(nullptr)}}},
        {"verdict",
         {{"tint", std::string(judge::textFromLevel(verdict.tint.level))},
          {"direction", verdict.tint.direction},
          {"worst_delta_e00", verdict.tint.worstDeltaE00},
          {"worst_delta_e00_low", fromOptional(verdict.tint.worstDeltaE00Low)},
          {"worst_delta_e00_high", fromOptional(verdict.tint.worstDeltaE00High)},
          {"worst_tone_percent", verdict.tint.worstTonePercent},
          {"turns", verdict.tint.turns},
          {"good", verdict.isGood},
          {"advice", verdict.tint.advice},
          {"summary", verdict.summary}}},
        {"notes", fromNotes(notes)}};
    if (judgement.trial > 0) {
        out["trial"] = judgement.trial;
        out["through"] = judgement.through;
        out["setting"] = fromSetting(judgement.setting);
    }
    if (!judgement.choices.empty()) {
        Json choices = Json::array();
        for (const judge::Candidate& candidate : judgement.choices) {
            choices.push_back({{"choices", candidate.name}, {"tone", fromTone(candidate.verdict.tone)}});
        }
        const auto preferred = judgement.comparison.preferred();
        out["choices"] = {{"compared", choices},
                          {"preferred", preferred ? Json(judgement.choices[*preferred].name) : Json(nullptr)},
                          {"words", judgement.comparison.words}};
    }
    return out;
}

}  // namespace

std::string jsonFromJudgement(const Judgement& judgement) {
    return textFrom(fromJudgement(judgement));
}

std::string jsonFromForetelling(const Foretelling& foretelling) {
    Json out = fromJudgement({.verdict = foretelling.verdict});
    const steer::Prediction& worst = foretelling.expected.worst;
    Json ramp = Json::array();
    for (const steer::TonePrediction& tone : foretelling.expected.ramp) {
        ramp.push_back({{"tone_percent", tone.tonePercent},
                        {"a", tone.a},
                        {"a_low", tone.lowA},
                        {"a_high", tone.highA},
                        {"b", tone.b},
                        {"b_low", tone.lowB},
                        {"b_high", tone.highB},
                        {"aim_a", tone.aimA},
                        {"aim_b", tone.aimB}});
    }
    out["setting"] = fromSetting(foretelling.setting);
    out["foretold_from_trial"] = foretelling.sheetTrial;
    out["predicted"] = {{"worst_delta_e00", worst.worstDeltaE00},
                        {"worst_delta_e00_low", worst.worstDeltaE00Low},
                        {"worst_delta_e00_high", worst.worstDeltaE00High},
                        {"worst_tone_percent", worst.worstTonePercent},
                        {"ramp", ramp}};
    return textFrom(out);
}

std::string jsonFromSearch(const Search& search) {
    const steer::Summary& summary = search.summary;
    const auto& axes = search.history.axes;
    Json matrix = Json::array({Json::array(), Json::array()});
    Json errors = matrix;
    Json words = Json::array();
    for (const steer::AxisAction& action : summary.control) {
        matrix[0].push_back(action.a);
        matrix[1].push_back(action.b);
        errors[0].push_back(action.standardErrorA);
        errors[1].push_back(action.standardErrorB);
        words.push_back(action.words);
    }
    Json lights = Json::array();
    for (const steer::LightPrediction& light : summary.lights) {
        lights.push_back({{"name", light.name},
                          {"worst_delta_e00", light.worstDeltaE00},
                          {"worst_tone_percent", light.worstTonePercent},
                          {"best_alone",
                           {{"setting", fromSetting(axes, light.bestAlone)},
                            {"worst_delta_e00", light.bestAloneDeltaE00}}}});
    }
    const auto figure = [&](double value) { return summary.isUsable() ? Json(value) : Json(nullptr); };
    return textFrom(
        {{"status", textFromStatus(summary.status)},
         {"setting", fromSetting(axes, summary.predicted.setting)},
         {"predicted",
          {{"worst_delta_e00", figure(summary.predicted.worstDeltaE00)},
           {"worst_delta_e00_low", figure(summary.predicted.worstDeltaE00Low)},
           {"worst_delta_e00_high", figure(summary.predicted.worstDeltaE00High)},
           {"worst_tone_percent", figure(summary.predicted.worstTonePercent)},
           {"worst_light",
            summary.predicted.worstLight.empty() ? Json("D50") : Json(summary.predicted.worstLight)}}},
         {"best_attainable",
          {{"setting", fromSetting(axes, summary.bestAttainable.setting)},
           {"worst_delta_e00", figure(summary.bestAttainable.worstDeltaE00)},
           {"worst_delta_e00_low", figure(summary.bestAttainable.worstDeltaE00Low)},
           {"worst_delta_e00_high", figure(summary.bestAttainable.worstDeltaE00High)}}},
         {"control", {{"matrix", matrix}, {"standard_error", errors}, {"words", words}}},
         {"trials", summary.trials},
         {"cannot_tell", summary.cannotTell},
         {"reason", summary.reason},
         {"lights", lights},
         {"lights_disagree", summary.lightsDisagree},
         {"disagreement", summary.disagreement.empty() ? Json(nullptr) : Json(summary.disagreement)},
         {"chance_near_best", summary.chanceNearBest},
         {"confirmed_by_trial", summary.confirmedBy > 0 ? Json(summary.confirmedBy) : Json(nullptr)},
         {"learned_from", search.learnedFrom},
         {"notes", fromNotes(search.notes)}});
}

std::string jsonFromConditions(const std::vector<ConditionOverview>& conditions) {
    Json out = Json::array();
    for (const ConditionOverview& one : conditions) {
        const book::ConditionRecord& condition = one.condition;
        out.push_back({{"name", condition.name},
                       {"printer", condition.printer},
                       {"inks", condition.inks},
                       {"paper", condition.paper},
                       {"mode", condition.mode},
                       {"axes", fromAxes(condition.axes)},
                       {"standing", textFromStanding(one.standing)},
                       {"words", one.words}});
    }
    return textFrom({{"conditions", out}});
}

std::string jsonFromTrials(const std::vector<book::TrialRecord>& trials) {
    Json out = Json::array();
    for (const book::TrialRecord& trial : trials) {
        out.push_back(
            {{"trial", trial.number},
             {"setting", fromSetting(trial.setting)},
             {"choices", trial.choices},
             {"through", trial.through},
             {"when", trial.when},
             {"file", trial.readings.empty() ? Json(nullptr) : Json(trial.readings.front().fileName)},
             {"withdrawn", trial.isWithdrawn()},
             {"withdrawn_because", fromOptional(trial.withdrawnBecause)},
             {"withdrawn_when", fromOptional(trial.withdrawnWhen)},
             {"readings", trial.readings.size()}});
    }
    return textFrom({{"trials", out}});
}

std::string jsonFromLights(const Catalogue& catalogue) {
    Json out = Json::array();
    for (const std::string& name : catalogue.lightNames()) {
        if (const auto light = catalogue.light(name)) out.push_back(fromLightFigures(*light, catalogue));
    }
    return textFrom({{"lights", out}});
}

std::string jsonFromLight(const colour::Light& light, const Catalogue& catalogue) {
    Json out = fromLightFigures(light, catalogue);
    out["spectrum"] = {{"start_nm", light.power.grid.startNm},
                       {"step_nm", light.power.grid.stepNm},
                       {"power", light.power.values}};
    return textFrom(out);
}

std::string jsonFromScenes(const Catalogue& catalogue) {
    Json out = Json::array();
    for (const std::string& name : catalogue.sceneNames()) {
        const auto scene = catalogue.scene(name);
        if (!scene) continue;
        out.push_back({{"name", scene->name},
                       {"light", scene->light.name},
                       {"lux", scene->lux},
                       {"glazing", scene->glazing.transmittance.empty() ? "none" : scene->glazing.name},
                       {"description", scene->description},
                       {"own", catalogue.ownScene(name) != nullptr}});
    }
    return textFrom({{"scenes", out}});
}

std::string jsonFromGlazings(const Catalogue& catalogue) {
    Json out = Json::array();
    for (const std::string& name : catalogue.glazingNames()) {
        const auto glazing = catalogue.glazing(name);
        if (!glazing) continue;
        const auto at = [&](double nm) {
            return glazing->at(static_cast<std::size_t>(nm - colour::kGlazingGrid.startNm));
        };
        out.push_back({{"name", glazing->name},
                       {"description", glazing->description},
                       {"origin", glazing->origin},
                       {"transmittance_350_nm", at(350)},
                       {"transmittance_400_nm", at(400)},
                       {"transmittance_550_nm", at(550)}});
    }
    return textFrom({{"glazings", out}});
}

std::string jsonFromViewers(const Catalogue& catalogue) {
    Json out = Json::array();
    for (const book::ViewerRecord& viewer : catalogue.viewers()) {
        out.push_back({{"name", viewer.name},
                       {"age_years", viewer.ageYears},
                       {"field_degrees", viewer.fieldDegrees},
                       {"threshold_beside", fromOptional(viewer.thresholdBeside)},
                       {"threshold_alone", fromOptional(viewer.thresholdAlone)}});
    }
    return textFrom({{"viewers", out}});
}

std::string jsonFromNotes(const std::vector<Note>& notes) {
    return textFrom({{"done", true}, {"notes", fromNotes(notes)}});
}

std::string jsonFromError(const Error& error) {
    return textFrom({{"error",
                      {{"code", error.code},
                       {"what", error.what},
                       {"where", fromPlace(error.where)},
                       {"next", error.next}}}});
}

std::string jsonFromText(const std::string& words) {
    return textFrom(words);
}

}  // namespace greywright::studio

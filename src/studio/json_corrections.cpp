#include "studio/json_corrections.h"

#include "studio/json_parts.h"

namespace greywright::studio {
namespace {

Json fromRecord(const book::CorrectionRecord& record) {
    return {{"correction", record.number},
            {"kind", record.kind},
            {"aim", record.aim},
            {"replaces", record.replaces},
            {"trials", record.trials},
            {"when", record.when},
            {"withdrawn_because", fromOptional(record.withdrawnBecause)},
            {"content", record.content}};
}

Json fromShare(const judge::Share& share) {
    return {{"share", share.value}, {"low", share.low}, {"high", share.high}};
}

Json fromTones(const std::optional<ToneShare>& part) {
    if (!part) return nullptr;
    return {{"from_percent", part->fromPercent}, {"to_percent", part->toPercent}, {"share", part->share}};
}

}  // namespace

std::string jsonFromCurve(const MadeCurve& made) {
    Json out = fromRecord(made.record);
    Json curve = Json::array();
    for (const correct::BandPoint& point : made.fit.band) {
        curve.push_back({{"tone_percent", point.tonePercent},
                         {"send_percent", made.fit.curve.at(point.tonePercent)},
                         {"low_percent", point.lowPercent},
                         {"high_percent", point.highPercent}});
    }
    out["curve"] = curve;
    out["rounds"] = fromRounds(made.rounds, "worst_departure_L");
    out["worst_departure_L"] = made.fit.worst.L;
    out["worst_departure_tone_percent"] = made.fit.worst.tonePercent;
    out["expected_error_L"] = made.fit.expectedErrorL;
    out["noise_L"] = made.fit.noiseL;
    out["notes"] = fromNotes(made.notes);
    return textFrom(out);
}

std::string jsonFromTable(const MadeTable& made) {
    Json out = fromRecord(made.record);
    Json tones = Json::array();
    for (std::size_t i = 0; i < made.fit.tones.size(); ++i) {
        const correct::NeutralTone& tone = made.fit.tones[i];
        const correct::Codes& codes = made.fit.table.rows()[i].codes;
        Json under = Json::object();
        for (std::size_t k = 0; k < tone.deltaE00Under.size(); ++k)
            under[made.lights[k]] = tone.deltaE00Under[k];
        tones.push_back({{"tone_percent", tone.tonePercent},
                         {"codes", codes},
                         {"aim", fromLab(tone.aim)},
                         {"predicted", fromLab(tone.predicted)},
                         {"delta_e00", tone.deltaE00},
                         {"delta_e00_under", under},
                         {"remains", std::string(correct::textFromRemains(tone.remains))}});
    }
    out["tones"] = tones;
    out["worst_delta_e00"] = made.fit.worst.deltaE00;
    out["worst_tone_percent"] = made.fit.worst.tonePercent;
    out["rounds"] = fromRounds(made.rounds, "worst_delta_e00");
    Json notice = Json::array();
    for (const ForetoldNotice& one : made.notice) {
        notice.push_back(
            {{"light", one.light}, {"beside", fromShare(one.beside)}, {"alone", fromShare(one.alone)}});
    }
    out["notice"] = notice;
    out["toned"] = made.toned ? Json{{"beside", fromShare(made.toned->beside)},
                                     {"alone", fromShare(made.toned->alone)},
                                     {"overdone", fromShare(made.toned->overdone)},
                                     {"strongest_tone_percent", made.toned->strongestTonePercent},
                                     {"distance", made.toned->distance}}
                              : Json(nullptr);
    out["notes"] = fromNotes(made.notes);
    return textFrom(out);
}

std::string jsonFromCorrections(const std::vector<book::CorrectionRecord>& corrections,
                                const std::vector<book::MadeFileRecord>& made) {
    Json out = Json::array();
    for (const book::CorrectionRecord& record : corrections) {
        Json one = fromRecord(record);
        one["fingerprint"] = record.fingerprint;
        Json files = Json::array();
        for (const book::MadeFileRecord& file : made) {
            if (file.correction != record.number) continue;
            files.push_back(
                {{"kind", file.kind}, {"source", file.source}, {"file", file.file}, {"when", file.when}});
        }
        one["made"] = files;
        out.push_back(one);
    }
    return textFrom({{"corrections", out}});
}

std::string jsonFromProfile(const MadeProfile& made) {
    return textFrom({{"file", made.file.string()},
                     {"version", made.version},
                     {"description", made.description},
                     {"correction", made.correction},
                     {"trial", made.trial == 0 ? Json(nullptr) : Json(made.trial)},
                     {"predicted", made.isPredicted},
                     {"notes", fromNotes(made.notes)}});
}

std::string jsonFromPrepared(const PreparedPictures& prepared) {
    Json pictures = Json::array();
    for (const PreparedPicture& one : prepared.pictures) {
        pictures.push_back({{"picture", one.picture.string()},
                            {"file", one.error ? Json(nullptr) : Json(one.file.string())},
                            {"width", one.width},
                            {"height", one.height},
                            {"pixels_per_inch", one.pixelsPerInch},
                            {"error", one.error ? Json{{"code", one.error->code}, {"text", one.error->text()}}
                                                : Json(nullptr)},
                            {"notes", fromNotes(one.notes)}});
    }
    return textFrom(
        {{"correction", prepared.correction}, {"pictures", pictures}, {"notes", fromNotes(prepared.notes)}});
}

std::string jsonFromProof(const Proof& proof) {
    return textFrom({{"file", proof.file.string()},
                     {"correction", proof.correction},
                     {"trial", proof.trial},
                     {"predicted", proof.isPredicted},
                     {"light", proof.light},
                     {"magnify", proof.magnify},
                     {"notes", fromNotes(proof.notes)}});
}

std::string jsonFromChecks(const std::vector<PictureCheck>& checks, const std::vector<FailedCheck>& failed) {
    Json out = Json::array();
    for (const PictureCheck& check : checks) {
        Json tinted = Json::array();
        for (const ToneShare& part : check.tinted) tinted.push_back(fromTones(part));
        out.push_back({{"picture", check.picture.string()},
                       {"correction", check.correction},
                       {"trial", check.trial},
                       {"predicted", check.isPredicted},
                       {"blocked_shadows", fromTones(check.blockedShadows)},
                       {"blocked_highlights", fromTones(check.blockedHighlights)},
                       {"tinted", tinted},
                       {"worst_tint_delta_e00", check.worstTintDeltaE00},
                       {"worst_tint_tone_percent", check.worstTintTonePercent},
                       {"good", check.isGood},
                       {"notes", fromNotes(check.notes)}});
    }
    Json errors = Json::array();
    for (const FailedCheck& one : failed) {
        errors.push_back(
            {{"picture", one.picture.string()}, {"code", one.error.code}, {"text", one.error.text()}});
    }
    return textFrom({{"pictures", out}, {"errors", errors}});
}

}  // namespace greywright::studio

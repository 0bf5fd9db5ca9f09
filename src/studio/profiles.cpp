// ICC profiles from a condition's readings.
#include "studio/profiles.h"

#include <charconv>
#include <system_error>
#include <utility>

#include <fmt/format.h>

#include "book/sha256.h"
#include "core/files.h"
#include "core/said.h"
#include "correct/table.h"
#include "correct/tone.h"
#include "profile/profile.h"
#include "studio/outputs.h"
#include "studio/studio.h"

namespace greywright::studio {
namespace {

/// "2031-04-05T06:07:08Z". Valid: a time that the book takes.
profile::Moment momentFrom(const std::string& when) {
    profile::Moment moment;
    int* const parts[] = {&moment.year, &moment.month,  &moment.day,
                          &moment.hour, &moment.minute, &moment.second};
    const char* at = when.data();
    for (int* part : parts) {
        const auto [end, problem] = std::from_chars(at, when.data() + when.size(), *part);
        if (problem != std::errc{} || end == when.data() + when.size()) break;
        at = end + 1;
    }
    return moment;
}

std::string fingerprintOf(const book::TrialRecord& trial) {
    std::string digests;
    for (const book::ReadingRecord& reading : trial.readings) digests += reading.sha256;
    return book::sha256(digests);
}

std::vector<profile::MeasuredTone> tonesOf(const measure::Ramp& ramp) {
    std::vector<profile::MeasuredTone> tones;
    for (const measure::RampPatch& patch : ramp.patches) tones.push_back({patch.tonePercent, patch.lab});
    return tones;
}

Result<std::vector<profile::CodesOfTone>> codesOf(const book::CorrectionRecord& correction) {
    const auto table = correct::NeutralTable::fromText(correction.content);
    if (!table) {
        Error error = table.error();
        error.where.field = said("correction {}", correction.number);
        return error;
    }
    std::vector<profile::CodesOfTone> rows;
    for (int i = 0; i <= 400; ++i) rows.push_back({i / 4.0, table->at(i / 4.0)});
    return rows;
}

std::string wordsOf(ProfileKind kind) {
    return kind == ProfileKind::grey ? "grey" : kind == ProfileKind::rgb ? "RGB" : "grey to RGB";
}

}  // namespace

Result<MadeProfile> Studio::makeProfile(const std::string& condition, const ProfileRequest& request) const {
    if (request.version != 2 && request.version != 4) {
        return Error{.kind = ErrorKind::wrongUse,
                     .code = "icc-version-unknown",
                     .what = said("there is no version {} of ICC profiles to write", request.version),
                     .where = {.field = "--icc"},
                     .next = said("Choose 2 or 4")};
    }
    if (auto may = mayWrite(request.out, request.replace ? IfThere::replace : IfThere::refuse, {book_}); !may)
        return std::move(may).error();
    const auto record = this->condition(condition);
    if (!record) return record.error();
    const bool isGrey = request.kind == ProfileKind::grey;
    CorrectionChoice choice = request.correction;
    if (!choice) {
        // A grey profile is of the prints as they are; the others are of the latest table, whatever curves
        // came after it.
        choice = 0;
        const auto all = corrections(condition);
        if (!all) return all.error();
        for (const book::CorrectionRecord& one : *all) {
            if (!isGrey && one.kind == "table" && !one.withdrawnBecause) choice = one.number;
        }
    }
    const auto correction = chosenCorrection(condition, choice);
    if (!correction) return correction.error();
    const bool isTable = *correction && (*correction)->kind == "table";
    if (isTable == isGrey) {
        Error error{.kind = ErrorKind::wrongUse,
                    .code = "profile-of-a-table",
                    .what = said("grey pictures that go through a table become RGB"),
                    .where = {.field = "--correction"},
                    .next = said("Make a profile for RGB of it, or a link from grey")};
        if (isTable) return error;
        error.code = "profile-needs-a-table";
        error.what = *correction ? said("correction {} is a curve, and such a profile holds a table",
                                        (*correction)->number)
                                 : said("such a profile holds a table, and '{}' has none", condition);
        error.next = said("Make a neutralising table first");
        return error;
    }

    MadeProfile out{.file = request.out,
                    .kind = request.kind,
                    .version = request.version,
                    .correction = *correction ? (*correction)->number : 0};
    out.description = request.description;
    if (out.description.empty()) {
        out.description = fmt::format("{}, {}", condition, wordsOf(request.kind));
        if (*correction) out.description += fmt::format(", correction {}", out.correction);
    }
    if (*correction) {
        auto notes = notesOn(condition, **correction);
        if (!notes) return std::move(notes).error();
        out.notes = *std::move(notes);
    }
    profile::Description description{
        .name = out.description,
        .copyright = request.copyright,
        .condition = fmt::format("{}: {}, {}, {}, {}", condition, record->printer, record->inks,
                                 record->paper, record->mode),
        .readingsSha256 = *correction ? (*correction)->fingerprint : std::string(),
        .made = momentFrom(request.when)};
    const auto version = request.version == 2 ? profile::Version::v2 : profile::Version::v4;

    std::vector<profile::MeasuredTone> response;
    if (request.kind != ProfileKind::link) {
        const auto printed = printedRamp(condition, *correction);
        if (!printed) return printed.error();
        out.trial = printed->trial;
        out.isPredicted = printed->isPredicted;
        const auto smooth = correct::smoothed(printed->ramp);
        if (!smooth) return smooth.error();
        response = tonesOf(*smooth);
        const auto all = trials(condition);
        if (!all) return all.error();
        // Trials are numbered without gaps. What was read through a correction counts beside what that was
        // made from.
        const std::string ramp = fingerprintOf((*all)[std::size_t(out.trial) - 1]);
        if (!*correction) description.readingsSha256 = ramp;
        if (*correction && !out.isPredicted)
            description.readingsSha256 = book::sha256((*correction)->fingerprint + ramp);
        for (const Note& note : printed->notes) {
            if (note.code != "trial-withdrawn") out.notes.push_back(note);
        }
        if (out.isPredicted) {
            out.notes.push_back({.code = "response-predicted",
                                 .text = said("no ramp was read through correction {}: the profile says "
                                              "what the correction foretells",
                                              out.correction)});
        }
    }
    Result<std::string> bytes = std::string();
    if (isGrey) {
        bytes = profile::greyProfile(response, description, version);
    } else {
        const auto codes = codesOf(**correction);
        if (!codes) return codes.error();
        bytes = request.kind == ProfileKind::rgb ? profile::rgbProfile(response, *codes, description, version)
                                                 : profile::deviceLink(*codes, description, version);
    }
    if (!bytes) return std::move(bytes).error();
    if (auto written = writeWholeFile(request.out, *bytes); !written) return std::move(written).error();
    auto book = openExisting();
    Outcome kept = Done{};
    if (book) {
        const book::MadeFileRecord made{.correction = out.correction,
                                        .kind = "profile",
                                        .file = std::filesystem::absolute(request.out).string(),
                                        .when = request.when};
        kept = book->addMadeFiles(condition, {made});
    } else {
        kept = book.error();
    }
    if (!kept) {
        out.notes.push_back(
            {.code = "not-kept",
             .text = said("the profile is made, but the book does not know of it: ") + kept.error().text()});
    }
    return out;
}

}  // namespace greywright::studio

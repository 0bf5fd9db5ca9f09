// From a file to a trial: what is doubtful about it, and storing it.
#include <algorithm>
#include <cmath>
#include <utility>

#include "book/rules.h"
#include "book/sha256.h"
#include "colour/difference.h"
#include "core/numbers.h"
#include "core/said.h"
#include "studio/among_trials.h"
#include "studio/convert.h"
#include "studio/studio.h"
#include "studio/taken.h"

namespace greywright::studio {
namespace {

// Two readings of one paper agree far better than this, even on two instruments; two papers seldom do
// (common practice). Units: CIEDE2000.
constexpr double kOtherPaper = 2.0;

double sharedError(const measure::Ramp& ramp) {
    return ramp.uncertainty ? ramp.uncertainty->shared : 0;
}

/// Whether the paper is one that the condition's trials were printed on.
Outcome knownPaper(const measure::Ramp& ramp, const std::vector<book::TrialRecord>& trials,
                   const ReadRequest& request) {
    const measure::RampPatch* paper = paperOf(ramp);
    if (paper == nullptr) return Done{};
    std::optional<Error> nearest;
    double least = 0;
    for (const book::TrialRecord& trial : trials) {
        if (trial.isWithdrawn() || trial.readings.empty()) continue;
        const measure::Ramp other = rampFromRecord(trial.readings.front());
        const measure::RampPatch* otherPaper = paperOf(other);
        if (otherPaper == nullptr) continue;
        const double difference = colour::deltaE2000(paper->lab, otherPaper->lab);
        if (difference <= kOtherPaper + 3 * std::hypot(sharedError(ramp), sharedError(other))) return Done{};
        if (nearest && difference >= least) continue;
        least = difference;
        nearest =
            Error{.code = "other-paper",
                  .what = said(
                      "the paper (L* {}, a* {}, b* {}) differs by {} CIEDE2000 from that of trial {} of '{}' "
                      "(L* {}, a* {}, b* {})",
                      textFromNumber(paper->lab.L, 1), textFromNumber(paper->lab.a, 1),
                      textFromNumber(paper->lab.b, 1), textFromNumber(difference, 1), trial.number,
                      request.condition, textFromNumber(otherPaper->lab.L, 1),
                      textFromNumber(otherPaper->lab.a, 1), textFromNumber(otherPaper->lab.b, 1)),
                  .where = {.path = request.file.string()},
                  .next = said("Read it into that paper's own condition, unless it is the same paper")};
    }
    if (nearest) return *std::move(nearest);
    return Done{};
}

/// Whether a further reading is of the sheet that a trial was: the same paper where no brightener glows.
Outcome sameSheet(const measure::Ramp& ramp, const book::TrialRecord& trial, const ReadRequest& request) {
    if (trial.readings.empty()) return Done{};
    const measure::Ramp first = rampFromRecord(trial.readings.front());
    const measure::RampPatch *one = paperOf(first), *other = paperOf(ramp);
    if (one == nullptr || other == nullptr) return Done{};
    // Measurement conditions differ in a*, b* by what the brightener adds, hardly in L*.
    const bool alike = first.condition == ramp.condition
                           ? colour::deltaE2000(one->lab, other->lab) <= kOtherPaper
                           : std::abs(one->lab.L - other->lab.L) <= kOtherPaper;
    if (alike) return Done{};
    return Error{.code = "other-paper",
                 .what = said("the paper (L* {}, b* {}) is not that of trial {} (L* {}, b* {})",
                              textFromNumber(other->lab.L, 1), textFromNumber(other->lab.b, 1), trial.number,
                              textFromNumber(one->lab.L, 1), textFromNumber(one->lab.b, 1)),
                 .where = {.path = request.file.string()},
                 .next = said("Read it as a trial of its own, unless it is the same sheet")};
}

/// Two measurements never agree so closely; the same one written by two programs does.
Outcome otherFigures(const measure::Ramp& ramp, const std::string& bytes,
                     const std::vector<book::TrialRecord>& trials, const ReadRequest& request) {
    constexpr std::size_t kFewest = 5;  // of fewer, agreement may be chance
    constexpr double kSame = 0.006;     // two decimals, as most programs write
    if (ramp.patches.size() < kFewest) return Done{};
    const std::string digest = book::sha256(bytes);
    const auto isSame = [&](const measure::RampPatch& one, const measure::RampPatch& other) {
        return std::abs(one.tonePercent - other.tonePercent) < kSame &&
               std::abs(one.lab.L - other.lab.L) < kSame && std::abs(one.lab.a - other.lab.a) < kSame &&
               std::abs(one.lab.b - other.lab.b) < kSame;
    };
    for (const book::TrialRecord& trial : trials) {
        if (trial.isWithdrawn()) continue;
        for (const book::ReadingRecord& reading : trial.readings) {
            if (reading.sha256 == digest) continue;  // told as the very same file
            if (!std::ranges::equal(ramp.patches, rampFromRecord(reading).patches, isSame)) continue;
            return Error{.kind = ErrorKind::wrongUse,
                         .code = "figures-twice",
                         .what = said("these are the figures of trial {}, in another file", trial.number),
                         .where = {.path = request.file.string()},
                         .next = said("Withdraw that trial first, unless it is to be taken again")};
        }
    }
    return Done{};
}

/// The trial that the correction a sheet went through was made from; nothing for none. Errors:
/// correction-unknown, through-and-trial.
Result<std::optional<book::TrialRecord>> printedAsThrough(const book::Book& book, const ReadRequest& request,
                                                          const std::vector<book::TrialRecord>& trials) {
    if (request.through == 0) return std::optional<book::TrialRecord>{};
    if (request.toTrial) {
        return Error{.kind = ErrorKind::wrongUse,
                     .code = "through-and-trial",
                     .what = said("a further reading is of a sheet whose correction is known already"),
                     .where = {.field = "--through"},
                     .next = said("Name either the correction or the trial")};
    }
    const auto corrections = book.corrections(request.condition);
    if (!corrections) return corrections.error();
    const auto through = std::ranges::find(*corrections, request.through, &book::CorrectionRecord::number);
    if (through == corrections->end()) {
        return Error{.kind = ErrorKind::wrongUse,
                     .code = "correction-unknown",
                     .what = said("'{}' has no correction {}", request.condition, request.through),
                     .where = {.field = "--through"},
                     .next = said("Name one that the condition has")};
    }
    const auto base = std::ranges::find(trials, through->trials.back(), &book::TrialRecord::number);
    if (base == trials.end()) return std::optional<book::TrialRecord>{};
    return std::optional(*base);
}

/// A file that is ready to be stored.
struct Prepared {
    ReadSummary summary = {};
    book::NewReading reading = {};
    Choices choices = {};
    std::vector<Error> refusals = {};  ///< why it is not to be taken unless forced
};

/// What a file comes to in its condition. Errors: those that force does not overcome.
Result<Prepared> prepared(const Taken& taken, const book::Book& book, const ReadRequest& request) {
    auto condition = book.condition(request.condition);
    if (!condition) return std::move(condition).error();
    auto trials = book.trials(request.condition);
    if (!trials) return std::move(trials).error();
    const auto base = printedAsThrough(book, request, *trials);
    if (!base) return base.error();

    Prepared out;
    ReadSummary& summary = out.summary;
    summary = {.patches = taken.ramp.patches.size(),
               .spectral = taken.ramp.grid.has_value(),
               .conditionM = std::string(measure::textFromCondition(taken.ramp.condition)),
               .setting = request.setting,
               .uncertainty = taken.ramp.uncertainty,
               .notes = taken.reading.notes};
    summary.notes.insert(summary.notes.end(), taken.ramp.notes.begin(), taken.ramp.notes.end());
    out.reading = {
        .reading = recordFromRamp(taken.ramp, taken.reading, request.file.filename().string(), request.when),
        .originalFile = taken.bytes,
        .evenIfReadBefore = request.force};
    const std::size_t colours = addColoursTo(out.reading.reading, taken.reading);
    if (colours > 0 && request.through != 0) {
        return Error{
            .kind = ErrorKind::wrongUse,
            .code = "colours-through-correction",
            .what = said("a sheet with colours cannot have been printed through a correction"),
            .where = {.path = request.file.string(), .field = "--through"},
            .next = said("Print near-neutral sheets as they are; print a ramp through the correction")};
    }
    summary.colours = colours;
    if (request.toTrial) {
        const auto trial = book.trial(request.condition, *request.toTrial);
        if (!trial) return trial.error();
        summary.trial = trial->number;
        summary.setting = trial->setting;
        if (auto same = sameSheet(taken.ramp, *trial, request); !same)
            out.refusals.push_back(std::move(same).error());
        return out;
    }
    if (summary.setting.empty() && *base) {
        summary.setting = (*base)->setting;
        if (!summary.setting.empty()) {
            summary.notes.push_back({.code = "setting-of-correction",
                                     .text = said("taken as printed at {}, as what correction {} was made "
                                                  "from",
                                                  textFromSetting(summary.setting), request.through),
                                     .where = {.path = request.file.string()}});
        }
    }
    if (summary.setting.empty() && !taken.setting.empty()) {
        summary.setting = settingFromText(taken.setting).value_or(book::Setting{});
        summary.notes.push_back({.code = "setting-of-sheet",
                                 .text = said("taken as printed at {}, as the sheet says", taken.setting),
                                 .where = {.path = request.file.string()}});
    }
    if (summary.setting.empty()) {
        for (const book::AxisRecord& axis : condition->axes) {
            if (axis.min > 0 || axis.max < 0) {
                return Error{
                    .kind = ErrorKind::wrongUse,
                    .code = "setting-missing",
                    .what =
                        said("the setting that the sheet was printed at is not given, and zero is outside "
                             "the range"),
                    .where = {.path = request.file.string(), .field = axis.name},
                    .next = said("Give the setting that it was printed at")};
            }
            summary.setting.push_back({axis.name, 0});
        }
        if (!condition->axes.empty())
            summary.notes.push_back(
                {.code = "setting-taken-as-zero",
                 .text = said("no setting was given: the sheet is taken as printed without any tint"),
                 .where = {.path = request.file.string()}});
    }
    auto setting = book::settingOnAxes(condition->axes, summary.setting);
    if (!setting) {
        Error error = std::move(setting).error();
        error.where.path = request.file.string();
        return error;
    }
    summary.setting = *std::move(setting);
    if (auto known = knownPaper(taken.ramp, *trials, request); !known)
        out.refusals.push_back(std::move(known).error());
    if (auto others = otherFigures(taken.ramp, taken.bytes, *trials, request); !others)
        out.refusals.push_back(std::move(others).error());
    for (const book::TrialRecord& trial : *trials) {
        if (trial.isWithdrawn() || trial.readings.empty()) continue;
        const measure::Condition other = rampFromRecord(trial.readings.front()).condition;
        if (other == taken.ramp.condition) continue;
        summary.notes.push_back(
            {.code = "other-measurement-condition",
             .text = said("measured under {}, but trial {} under {}: paper and tint may differ by that alone",
                          summary.conditionM, trial.number, measure::textFromCondition(other)),
             .where = {.path = request.file.string()}});
        break;
    }
    out.choices = request.choices.empty() && *base ? (*base)->choices : request.choices;
    return out;
}

std::optional<Error> missingPages(const Taken& taken, const ReadRequest& request) {
    if (taken.missingPages == 0) return std::nullopt;
    return Error{.code = "pages-missing",
                 .what = said("{} of the sheet's pages {} not among the pictures", taken.missingPages,
                              taken.missingPages == 1 ? "is" : "are"),
                 .where = {.path = request.file.string()},
                 .next = said("Name their pictures, or take it without them")};
}

}  // namespace

Result<ReadSummary> Studio::read(const ReadRequest& request) const {
    // Everything that needs no book comes first, so that a bad file never touches one.
    auto taken = take(request.file, request.tonesPercent, request.preferred, request.picture,
                      [&] { return pictureContext(request.picture, request.condition); });
    if (!taken) return std::move(taken).error();
    if (auto missing = missingPages(*taken, request); missing && !request.force) return *std::move(missing);
    auto book = openExisting();
    if (!book) return std::move(book).error();
    auto ready = prepared(*taken, *book, request);
    if (!ready) return std::move(ready).error();
    if (!request.force && !ready->refusals.empty()) return ready->refusals.front();
    ReadSummary& summary = ready->summary;
    if (request.toTrial) {
        auto added = book->addReading(request.condition, *request.toTrial, ready->reading);
        if (!added) return std::move(added).error();
        return std::move(summary);
    }
    const book::NewTrial trial{.setting = summary.setting,
                               .choices = ready->choices,
                               .when = request.when,
                               .reading = std::move(ready->reading),
                               .through = request.through};
    auto number = book->addTrial(request.condition, trial);
    if (!number) {
        Error error = std::move(number).error();
        if (error.code == "reading-twice")
            error.next = said("Withdraw that trial first, unless it is to be taken again");
        return error;
    }
    summary.trial = *number;
    return std::move(summary);
}

Result<Inspected> Studio::inspect(const ReadRequest& request) const {
    auto taken = take(request.file, request.tonesPercent, request.preferred, request.picture,
                      [&] { return pictureContext(request.picture, request.condition); });
    if (!taken) return std::move(taken).error();
    const auto book = open(book::OpenMode::readOnly);
    if (!book) return book.error();
    auto ready = prepared(*taken, *book, request);
    if (!ready) return std::move(ready).error();
    const auto condition = book->condition(request.condition);
    if (!condition) return condition.error();
    const auto trials = book->trials(request.condition);
    if (!trials) return trials.error();

    Inspected out{.summary = std::move(ready->summary), .ramp = taken->ramp};
    if (const auto missing = missingPages(*taken, request)) {
        out.doubts.push_back(
            {missing->code, said("Is it to be taken in without the missing pages?"), missing->what});
    }
    for (const Error& refusal : ready->refusals) {
        out.doubts.push_back({refusal.code,
                              refusal.code == "figures-twice" ? said("Is it to be taken in once more?")
                              : request.toTrial               ? said("Is it the same sheet all the same?")
                                                              : said("Is it the same paper all the same?"),
                              refusal.what});
    }
    const auto counts = [](const book::TrialRecord& trial) {
        return !trial.isWithdrawn() && !trial.readings.empty();
    };
    const auto before =
        std::ranges::find_if(*trials, [&, digest = book::sha256(taken->bytes)](const auto& trial) {
            return counts(trial) && std::ranges::find(trial.readings, digest, &book::ReadingRecord::sha256) !=
                                        trial.readings.end();
        });
    if (before != trials->end()) {
        out.doubts.push_back({"reading-twice", said("Is it to be taken in once more?"),
                              said("this very file was read already, as trial {}", before->number)});
    }
    // A picture has no measuring condition; and the first sheet of all has nothing to differ from.
    if (taken->ramp.condition == measure::Condition::unknown && !taken->ramp.uncertainty &&
        std::ranges::any_of(*trials, counts)) {
        out.doubts.push_back(
            {"measured-under-unknown",
             request.toTrial ? said("Was it measured otherwise than the first time, say without ultraviolet?")
                             : said("Was it measured like the other sheets of this condition?"),
             said("the file does not say under which measuring condition (M0, M1, M2)"), false});
    }

    for (const book::AxisRecord& axis : condition->axes)
        out.likelySetting.push_back({axis.name, std::clamp(0.0, axis.min, axis.max)});
    const auto search = steer(
        request.condition,
        {.choices = request.choices.empty() ? std::optional<Choices>{} : std::optional(request.choices)});
    if (search) {
        for (std::size_t i = 0; i < out.likelySetting.size(); ++i)
            out.likelySetting[i].value = search->summary.predicted.setting[i];
    }
    return out;
}

}  // namespace greywright::studio

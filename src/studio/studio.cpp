#include "studio/studio.h"

#include <algorithm>
#include <cmath>
#include <set>
#include <span>
#include <utility>

#include <fmt/format.h>

#include "book/rules.h"
#include "book/sha256.h"
#include "colour/difference.h"
#include "core/files.h"
#include "core/numbers.h"
#include "core/said.h"
#include "judge/sheet_of_ramp.h"
#include "measure/read.h"
#include "measure/tones.h"
#include "measure/write.h"
#include "studio/among_trials.h"
#include "studio/convert.h"
#include "studio/outputs.h"
#include "studio/pictures.h"
#include "studio/printed_ramp.h"

namespace greywright::studio {
namespace {

// Two readings of one paper agree far better than this, even on two instruments; two papers seldom do
// (common practice). Units: CIEDE2000.
constexpr double kOtherPaper = 2.0;

struct Taken {
    measure::Reading reading;
    measure::Ramp ramp;
    std::string bytes;
    std::string setting = {};  ///< what the sheet says it is printed at
    int missingPages = 0;
};

/// Asked for only when a file cannot be understood without it.
using AskContext = std::function<Result<PictureContext>()>;

Result<Taken> takePicture(const std::filesystem::path& file, const PictureRequest& request,
                          const AskContext& ask) {
    const auto context = ask();
    if (!context) return context.error();
    auto read = readPicture(file, request, *context);
    if (!read) return std::move(read).error();
    auto ramp = measure::rampFromReading(read->reading);
    if (!ramp) return std::move(ramp).error();
    if (auto written = writeOutlined(*read); !written) return std::move(written).error();
    std::string text = measure::cgatsFromReading(read->reading);
    return Taken{std::move(read->reading), *std::move(ramp), std::move(text), context->setting,
                 read->missingPages};
}

/// What was sent for each patch of sheets that share a name, in the order of measuring.
struct Sent {
    std::vector<double> tonesPercent = {};
    std::vector<std::array<std::uint16_t, 3>> rgb = {};  ///< of sheets with colours

    bool operator==(const Sent&) const = default;
};

Result<Sent> sentFor(const std::vector<sheet::Sheet>& sheets, const std::string& name) {
    Sent sent;
    for (const sheet::Sheet& sheet : sheets) {
        Sent its;
        for (const sheet::Patch& patch : sheet.patches) {
            its.tonesPercent.push_back(patch.tonePercent);
            if (patch.rgb) its.rgb.push_back(*patch.rgb);
        }
        if (sent.tonesPercent.empty() || sent == its) {
            sent = std::move(its);
            continue;
        }
        std::string codes;
        for (const sheet::Sheet& one : sheets) codes += (codes.empty() ? "" : ", ") + one.code;
        return Error{.kind = ErrorKind::wrongUse,
                     .code = "sheet-ambiguous",
                     .what = said("several sheets of other tones are named '{}'", name),
                     .where = {.field = "--sheet"},
                     .next = said("Give the code that is printed on it: {}", codes)};
    }
    return sent;
}

/// The colours of a sheet as device values, for a file that has none of its own.
Outcome addColours(measure::Reading& reading, const Sent& sent) {
    if (!reading.deviceColumns.empty()) return Done{};
    if (reading.patches.size() != sent.rgb.size()) {
        return Error{
            .code = "wrong-number-of-patches",
            .what = said("the sheet has {} patches, and {} were measured", sent.rgb.size(),
                         reading.patches.size()),
            .where = {.path = reading.path, .field = "--sheet"},
            .next =
                said("Measure every patch in the order of the sheet's definition, and name the right sheet")};
    }
    reading.deviceColumns = {"RGB_R", "RGB_G", "RGB_B"};
    for (std::size_t i = 0; i < sent.rgb.size(); ++i) {
        for (const std::uint16_t code : sent.rgb[i]) reading.patches[i].device.push_back(double(code) / 257);
    }
    return Done{};
}

Result<std::pair<measure::Reading, measure::Ramp>> rampOf(const std::string& bytes, const std::string& path,
                                                          const std::vector<double>& tonesPercent,
                                                          measure::Condition preferred,
                                                          const Sent& sent = {}) {
    auto reading = measure::readingFromBytes(bytes, path, preferred);
    if (!reading) return std::move(reading).error();
    if (!sent.rgb.empty()) {
        if (auto added = addColours(*reading, sent); !added) return std::move(added).error();
    }
    auto ramp = measure::rampFromReading(*reading, {.tonesPercent = tonesPercent});
    if (!ramp) return std::move(ramp).error();
    return std::pair{*std::move(reading), *std::move(ramp)};
}

Result<Taken> take(const std::filesystem::path& file, std::vector<double> tonesPercent,
                   measure::Condition preferred, const PictureRequest& picture, const AskContext& ask) {
    const auto seen = isPicture(file);
    if (!seen) return seen.error();
    if (*seen) return takePicture(file, picture, ask);
    Sent sent;
    std::string setting;
    if (tonesPercent.empty() && !picture.sheet.empty()) {
        const auto context = ask();
        if (!context) return context.error();
        auto found = sentFor(context->sheets, picture.sheet);
        if (!found) return std::move(found).error();
        sent = *std::move(found);
        setting = context->setting;
        if (sent.rgb.empty()) tonesPercent = sent.tonesPercent;
    }
    auto bytes = readWholeFile(file);
    if (!bytes) return std::move(bytes).error();
    auto both = rampOf(*bytes, file.string(), tonesPercent, preferred, sent);
    if (!both) return std::move(both).error();
    return Taken{std::move(both->first), std::move(both->second), *std::move(bytes), std::move(setting)};
}

/// The same patches under M2, from a file that holds several measurement conditions.
std::optional<measure::Ramp> withoutUltraviolet(const Taken& taken, const std::vector<double>& tonesPercent) {
    if (taken.reading.format != "CxF3" || taken.ramp.condition == measure::Condition::m2) return std::nullopt;
    auto again = rampOf(taken.bytes, taken.reading.path, tonesPercent, measure::Condition::m2);
    if (!again || !again->second.grid || again->second.condition != measure::Condition::m2)
        return std::nullopt;
    return again->second;
}

Error noTrials(const std::string& condition) {
    return {.kind = ErrorKind::wrongUse,
            .code = "no-trials",
            .what = said("nothing has been read into the condition '{}' yet", condition),
            .next = said("Print a sheet, measure it, and take the file in")};
}

/// The tones of a reading in each scene; all empty without spectra. D50 by itself is what was read. A reading
/// without bare paper borrows that of `reference`, so that the paper's glow is held apart in all trials
/// alike.
std::vector<std::vector<steer::ToneColour>> tonesUnder(const book::TrialRecord& record,
                                                       const std::vector<judge::Scene>& scenes,
                                                       const std::optional<measure::Ramp>& reference) {
    std::vector<std::vector<steer::ToneColour>> out(scenes.size());
    measure::Ramp ramp = rampFromRecord(record.readings.front());
    if (scenes.empty() || !ramp.grid) return out;
    const bool borrows = paperOf(ramp) == nullptr && reference && reference->grid == ramp.grid &&
                         reference->condition == ramp.condition;
    if (borrows) ramp.patches.insert(ramp.patches.begin(), reference->patches.front());
    const std::optional<measure::Ramp> second = borrows ? std::nullopt : secondOf(record);
    std::vector<Note> ignored;  // judge tells them
    const colour::SheetSpectra sheet = judge::sheetOfRamp(ramp, second ? &*second : nullptr, ignored);
    for (std::size_t i = 0; i < scenes.size(); ++i) {
        const bool isPlainD50 = scenes[i].name == "D50" && scenes[i].glazing.transmittance.empty();
        const measure::Ramp seen = isPlainD50 ? ramp : judge::rampUnder(ramp, sheet, scenes[i]);
        for (const measure::RampPatch& patch : std::span(seen.patches).subspan(borrows ? 1 : 0))
            out[i].push_back({patch.tonePercent, patch.lab});
    }
    return out;
}

steer::History historyOf(const book::ConditionRecord& condition, const std::vector<book::TrialRecord>& trials,
                         const Choices& choices, const std::vector<judge::Scene>& scenes = {}) {
    steer::History history{axesFromRecord(condition), {}};
    const std::optional<measure::Ramp> reference = referenceAmong(trials);
    for (const book::TrialRecord& record : trials) {
        if (record.isWithdrawn() || record.readings.empty() || record.choices != choices) continue;
        if (record.through != 0) continue;  // its tones are not the driver's
        steer::Trial trial{
            .number = record.number, .setting = settingFromRecord(record.setting), .tones = {}};
        const measure::Ramp ramp = rampFromRecord(record.readings.front());
        trial.uncertainty = ramp.uncertainty;
        for (const measure::RampPatch& patch : ramp.patches)
            trial.tones.push_back({patch.tonePercent, patch.lab});
        trial.under = tonesUnder(record, scenes, reference);
        if (!trial.tones.empty()) history.trials.push_back(std::move(trial));
    }
    // In an order of their own: the same sheets must give the same answer, whichever was read first.
    const auto inOrder = [](const steer::Trial& trial) {
        std::vector<double> key = trial.setting;
        for (const steer::ToneColour& tone : trial.tones)
            key.insert(key.end(), {tone.tonePercent, tone.lab.L, tone.lab.a, tone.lab.b});
        return key;
    };
    std::ranges::stable_sort(history.trials, {}, inOrder);
    return history;
}

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

/// Trials at two settings at least say something about the control.
bool teaches(const steer::History& history) {
    std::set<steer::Setting> settings;
    for (const steer::Trial& trial : history.trials) settings.insert(trial.setting);
    return settings.size() > history.axes.size();
}

bool sameAxes(const book::ConditionRecord& one, const book::ConditionRecord& other) {
    return one.axes == other.axes;
}

Choices latestChoices(const std::vector<book::TrialRecord>& trials) {
    for (auto trial = trials.rbegin(); trial != trials.rend(); ++trial) {
        if (!trial->isWithdrawn() && !trial->readings.empty() && trial->through == 0) return trial->choices;
    }
    return {};
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

std::string_view version() {
    return "Greywright 0.1.0";
}

Result<book::Book> Studio::openExisting() const {
    // A mistyped name must not start a new book.
    std::error_code ignored;
    return open(std::filesystem::exists(book_, ignored) ? book::OpenMode::readWrite
                                                        : book::OpenMode::readOnly);
}

Outcome Studio::addCondition(const book::ConditionRecord& condition) const {
    auto book = open(book::OpenMode::readWrite);
    if (!book) return std::move(book).error();
    return book->addCondition(condition);
}

Outcome Studio::correctCondition(const std::string& name, const book::ConditionRecord& corrected) const {
    auto book = openExisting();
    if (!book) return std::move(book).error();
    return book->correctCondition(name, corrected);
}

Outcome Studio::write(const std::filesystem::path& path, std::string_view bytes, bool replace) const {
    if (auto may = mayWrite(path, replace ? IfThere::replace : IfThere::refuse, {book_}); !may) return may;
    return writeWholeFile(path, bytes);
}

Result<std::vector<book::ConditionChangeRecord>> Studio::conditionChanges(const std::string& name) const {
    auto book = open(book::OpenMode::readOnly);
    if (!book) return std::move(book).error();
    return book->conditionChanges(name);
}

Outcome Studio::removeCondition(const std::string& name) const {
    auto book = openExisting();
    if (!book) return std::move(book).error();
    return book->removeCondition(name);
}

Result<std::vector<book::ConditionRecord>> Studio::conditions() const {
    auto book = open(book::OpenMode::readOnly);
    if (!book) {
        if (book.error().code == "book-not-found") return std::vector<book::ConditionRecord>{};
        return std::move(book).error();
    }
    return book->conditions();
}

Result<book::ConditionRecord> Studio::condition(const std::string& name) const {
    auto book = open(book::OpenMode::readOnly);
    if (!book) return std::move(book).error();
    return book->condition(name);
}

Result<std::vector<book::TrialRecord>> Studio::trials(const std::string& condition) const {
    auto book = open(book::OpenMode::readOnly);
    if (!book) return std::move(book).error();
    return book->trials(condition);
}

Outcome Studio::withdraw(const std::string& condition, int trial, const std::string& reason,
                         const std::string& when) const {
    auto book = openExisting();
    if (!book) return std::move(book).error();
    return book->withdrawTrial(condition, trial, reason, when);
}

Outcome Studio::restore(const std::string& condition, int trial) const {
    auto book = openExisting();
    if (!book) return std::move(book).error();
    return book->restoreTrial(condition, trial);
}

Outcome Studio::check() const {
    auto book = open(book::OpenMode::readOnly);
    if (!book) return std::move(book).error();
    return book->check();
}

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

Result<Judgement> Studio::judgeTrial(const std::string& condition, std::optional<int> trial,
                                     const JudgeRequest& request) const {
    auto options = judgeOptions(request);
    if (!options) return std::move(options).error();
    auto book = open(book::OpenMode::readOnly);
    if (!book) return std::move(book).error();
    auto trials = book->trials(condition);
    if (!trials) return std::move(trials).error();
    options->reference = referenceAmong(*trials);

    const book::TrialRecord* chosen = nullptr;
    for (const book::TrialRecord& one : *trials) {
        if (trial ? one.number == *trial : !one.isWithdrawn() && !one.readings.empty()) chosen = &one;
    }
    if (chosen == nullptr) {
        if (!trial) return noTrials(condition);
        return std::move(book->trial(condition, *trial)).error();
    }
    if (chosen->readings.empty()) return withoutReading(chosen->number);
    // Read again under another measurement condition, the latest time it was.
    if (!options->second) options->second = secondOf(*chosen);
    std::vector<Note> notes;
    if (chosen->through != 0) {
        const auto made = book->corrections(condition);
        if (!made) return made.error();
        notes = aimAsCorrected(*options, *chosen, *made);
    }
    auto verdict = judge::judge(rampFromRecord(chosen->readings.front()), *options);
    if (!verdict) return std::move(verdict).error();
    Judgement out{.verdict = *std::move(verdict),
                  .trial = chosen->number,
                  .through = chosen->through,
                  .setting = chosen->setting,
                  .notes = std::move(notes)};

    // The latest ramp of every set of driver's choices, side by side.
    std::map<std::string, const book::TrialRecord*> latest;
    for (const book::TrialRecord& one : *trials) {
        if (!one.isWithdrawn() && !one.readings.empty() && one.through == 0)
            latest[textFromChoices(one.choices)] = &one;
    }
    if (latest.size() > 1) {
        options->viewers.reset();  // only tone is compared
        options->second.reset();
        for (const auto& [name, record] : latest) {
            auto other = judge::judge(rampFromRecord(record->readings.front()), *options);
            if (!other) return std::move(other).error();
            out.choices.push_back(
                {.name = name.empty() ? said("no choice named") : name, .verdict = *std::move(other)});
        }
        out.comparison = judge::compareTone(out.choices);
    }
    return out;
}

Result<Search> Studio::steer(const std::string& condition, const SteerRequest& request) const {
    auto book = open(book::OpenMode::readOnly);
    if (!book) return std::move(book).error();
    auto record = book->condition(condition);
    if (!record) return std::move(record).error();
    if (record->axes.empty()) {
        return Error{.kind = ErrorKind::wrongUse,
                     .code = "no-tint-control",
                     .what = said("'{}' has no tint control to steer", condition),
                     .next = said("Correct it with a neutralising table")};
    }
    auto trials = book->trials(condition);
    if (!trials) return std::move(trials).error();

    auto scenes = scenesOf(request.lights);
    if (!scenes) return std::move(scenes).error();

    Search out{.condition = *record, .choices = request.choices.value_or(latestChoices(*trials))};
    out.history = historyOf(*record, *trials, out.choices, *scenes);
    const bool anySpectra = std::ranges::any_of(out.history.trials, [](const steer::Trial& trial) {
        return !trial.under.empty() && !trial.under.front().empty();
    });
    if (!scenes->empty() && !out.history.trials.empty() && !anySpectra) {
        return Error{.kind = ErrorKind::wrongUse,
                     .code = "lights-without-spectra",
                     .what = said("no trial of '{}' was read with spectra, so nothing is known of it under "
                                  "other lights than D50",
                                  condition),
                     .where = {.path = {}, .field = "--light"},
                     .next = said("Read a sheet with spectra, or ask for D50 alone")};
    }
    for (std::size_t i = 0; i < scenes->size(); ++i)
        out.history.lights.push_back({(*scenes)[i].name, request.lights[i].weight});
    if (request.choices && out.history.trials.empty()) {
        return Error{.kind = ErrorKind::wrongUse,
                     .code = "no-trials-with-choices",
                     .what = said("no trial of '{}' was printed with {}", condition,
                                  out.choices.empty() ? "no choice named" : textFromChoices(out.choices)),
                     .next = said("Name choices that a trial was printed with")};
    }
    const auto others = static_cast<std::size_t>(
        std::count_if(trials->begin(), trials->end(), [&](const book::TrialRecord& trial) {
            return !trial.isWithdrawn() && !trial.readings.empty() && trial.choices != out.choices;
        }));
    const auto corrected = std::ranges::count_if(*trials, [&](const book::TrialRecord& trial) {
        return !trial.isWithdrawn() && !trial.readings.empty() && trial.choices == out.choices &&
               trial.through != 0;
    });
    if (corrected > 0) {
        out.notes.push_back({.code = "corrected-left-out",
                             .text = said("{} trial{} printed through a correction left out", corrected,
                                          corrected == 1 ? "" : "s")});
    }
    if (others > 0) {
        out.notes.push_back({.code = "other-choices-left-out",
                             .text = said("{} trial{} printed with other driver's choices left out", others,
                                          others == 1 ? "" : "s")});
    }

    auto family = book->conditionsOfDriver(record->printer, record->inks, record->mode);
    if (!family) return std::move(family).error();
    std::vector<steer::DriverKnowledge> learned;
    for (const book::ConditionRecord& other : *family) {
        if (other.name == condition || !sameAxes(other, *record)) continue;
        auto otherTrials = book->trials(other.name);
        if (!otherTrials) return std::move(otherTrials).error();
        // The same driver's choices tell most; other ones of that paper only where these tell nothing.
        steer::History history = historyOf(other, *otherTrials, out.choices);
        if (!teaches(history)) history = historyOf(other, *otherTrials, latestChoices(*otherTrials));
        if (!teaches(history)) continue;
        learned.push_back(steer::learn(history, {.aim = request.aim}));
        out.learnedFrom.push_back(other.name);
    }
    std::optional<steer::DriverKnowledge> knowledge;
    if (!learned.empty()) knowledge = steer::combined(learned);
    if (out.history.trials.empty()) {
        out.summary = steer::steer(out.history, knowledge ? &*knowledge : nullptr, {.aim = request.aim});
        return out;
    }
    out.outlook = std::make_shared<const steer::Outlook>(out.history, std::move(knowledge),
                                                         steer::Options{.aim = request.aim});
    out.summary = out.outlook->summary();
    return out;
}

Result<std::string> Studio::cgatsOfTrial(const std::string& condition, int trial) const {
    auto book = open(book::OpenMode::readOnly);
    if (!book) return std::move(book).error();
    auto record = book->trial(condition, trial);
    if (!record) return std::move(record).error();
    if (record->readings.empty()) {
        return Error{.kind = ErrorKind::wrongUse,
                     .code = "trial-without-reading",
                     .what = said("trial {} has no reading", trial),
                     .next = said("Choose another trial")};
    }
    return measure::cgatsFromReading(readingFromRecord(record->readings.front()));
}

Result<std::string> Studio::originalOfTrial(const std::string& condition, int trial) const {
    auto book = open(book::OpenMode::readOnly);
    if (!book) return std::move(book).error();
    return book->originalFile(condition, trial);
}

std::optional<Note> Studio::keepVerdict(const std::string& condition,
                                        const book::VerdictRecord& verdict) const {
    const auto notKept = [&](const Error& error) {
        return Note{.code = "verdict-not-kept",
                    .text = said("the verdict was not kept: ") + error.text(),
                    .where = {}};
    };
    auto book = open(book::OpenMode::readWrite);
    if (!book) return notKept(book.error());
    const auto kept = book->verdicts(condition);
    if (!kept) return notKept(kept.error());
    for (auto last = kept->rbegin(); last != kept->rend(); ++last) {
        if (last->trial != verdict.trial || last->kind != verdict.kind) continue;
        if (last->json == verdict.json) return std::nullopt;
        break;
    }
    const auto added = book->addVerdict(condition, verdict);
    if (!added) return notKept(added.error());
    return std::nullopt;
}

Result<Judgement> Studio::judgeFile(const std::filesystem::path& file,
                                    const std::vector<double>& tonesPercent, const JudgeRequest& request,
                                    const PictureRequest& picture) const {
    auto options = judgeOptions(request);
    if (!options) return std::move(options).error();
    auto taken = take(file, tonesPercent, measure::Condition::unknown, picture,
                      [&] { return pictureContext(picture, ""); });
    if (!taken) return std::move(taken).error();
    if (!options->second) options->second = withoutUltraviolet(*taken, tonesPercent);
    auto verdict = judge::judge(taken->ramp, *options);
    if (!verdict) {
        Error error = std::move(verdict).error();
        if (error.where.path.empty()) error.where.path = file.string();
        return error;
    }
    Judgement out{.verdict = *std::move(verdict), .notes = taken->reading.notes};
    out.notes.insert(out.notes.end(), taken->ramp.notes.begin(), taken->ramp.notes.end());
    return out;
}

}  // namespace greywright::studio

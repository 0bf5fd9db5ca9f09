#include "studio/studio.h"

#include <algorithm>
#include <set>
#include <span>
#include <utility>

#include "core/files.h"
#include "core/said.h"
#include "judge/sheet_of_ramp.h"
#include "measure/write.h"
#include "studio/among_trials.h"
#include "studio/convert.h"
#include "studio/outputs.h"
#include "studio/taken.h"

namespace greywright::studio {
namespace {

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

/// Trials at two settings at least, of more than bare paper, say something about the control.
bool teaches(const steer::History& history) {
    std::set<steer::Setting> settings;
    for (const steer::Trial& trial : history.trials) {
        const bool isPrinted = std::ranges::any_of(
            trial.tones, [](const steer::ToneColour& tone) { return tone.tonePercent >= 5; });
        if (isPrinted) settings.insert(trial.setting);
    }
    return settings.size() > 1;
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
    std::vector<steer::History> papers;
    for (const book::ConditionRecord& other : *family) {
        if (other.name == condition || !sameAxes(other, *record)) continue;
        auto otherTrials = book->trials(other.name);
        if (!otherTrials) return std::move(otherTrials).error();
        // The same driver's choices tell most; other ones of that paper only where these tell nothing.
        steer::History history = historyOf(other, *otherTrials, out.choices);
        if (!teaches(history)) history = historyOf(other, *otherTrials, latestChoices(*otherTrials));
        if (!teaches(history)) continue;
        papers.push_back(std::move(history));
        out.learnedFrom.push_back(other.name);
    }
    std::optional<steer::DriverKnowledge> knowledge;
    if (!papers.empty()) knowledge = steer::learn(std::move(papers), {.aim = request.aim});
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

// Curves and tables from a condition's readings.
#include "studio/corrections.h"

#include <algorithm>
#include <cmath>
#include <span>
#include <utility>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "colour/difference.h"
#include "core/files.h"
#include "core/numbers.h"
#include "core/said.h"
#include "judge/sheet_of_ramp.h"
#include "studio/convert.h"
#include "studio/json_parts.h"
#include "studio/outputs.h"
#include "studio/printed_ramp.h"
#include "studio/studio.h"

namespace greywright::studio {
namespace {

using Records = std::vector<book::TrialRecord>;
using Corrections = std::vector<book::CorrectionRecord>;

// What most would call overdone. Assumption: nobody has measured it; five times what half the people notice
// with the print alone on a wall, where a warm or cold black-and-white print begins to look coloured. Units:
// CAM16-UCS.
constexpr double kOverdone = 12;

// A tenth of a percent beside zero takes the place of the paper's own tone among colours that have none.
constexpr double kNoTonePercent = 0.1;

/// What the book has of a condition.
struct Kept {
    Records trials = {};
    Corrections corrections = {};
};

Result<Kept> keptFor(const book::Book& book, const std::string& condition) {
    auto trials = book.trials(condition);
    if (!trials) return std::move(trials).error();
    auto corrections = book.corrections(condition);
    if (!corrections) return std::move(corrections).error();
    return Kept{*std::move(trials), *std::move(corrections)};
}

/// A table takes what was read for the truth, so whoever gives it a scan should know.
void noteUncertainty(const book::TrialRecord& trial, std::vector<Note>& notes) {
    const auto& uncertainty = trial.readings.front().uncertainty;
    if (!uncertainty) return;
    notes.push_back(
        {.code = "uncertain-reading",
         .text = said("trial {} was read from a picture, a* and b* give or take {}: the "
                      "correction can be no better than that",
                      trial.number, textFromNumber(std::hypot(uncertainty->shared, uncertainty->own), 1))});
}

/// "across=14,up=28, tone=dark", or empty.
std::string printedAt(const book::TrialRecord& trial) {
    std::string text = textFromSetting(trial.setting);
    const std::string choices = textFromChoices(trial.choices);
    if (!text.empty() && !choices.empty()) text += ", ";
    return text + choices;
}

/// Writes the text where it is asked for, then keeps the correction and gives it its number.
Outcome keep(book::Book& book, const std::string& condition, book::CorrectionRecord& record,
             const std::filesystem::path& out) {
    if (!out.empty()) {
        if (auto written = writeWholeFile(out, record.content); !written) return written;
    }
    auto number = book.addCorrection(condition, record);
    if (!number) return std::move(number).error();
    record.number = *number;
    return Done{};
}

bool counts(const book::TrialRecord& trial) {
    return !trial.isWithdrawn() && !trial.readings.empty();
}

bool isWhole(const book::TrialRecord& trial) {
    const measure::Ramp ramp = rampFromRecord(trial.readings.front());
    return ramp.patches.size() >= correct::kFewestTones && ramp.patches.front().tonePercent == 0 &&
           ramp.patches.back().tonePercent == 100;
}

bool hasColours(const book::TrialRecord& trial) {
    return std::ranges::any_of(trial.readings.front().patches, [](const book::PatchRecord& patch) {
        return patch.codes && !patch.tonePercent;
    });
}

bool samePrinting(const book::TrialRecord& one, const book::TrialRecord& other) {
    return one.setting == other.setting && one.choices == other.choices;
}

const book::CorrectionRecord* numbered(const Corrections& corrections, int number) {
    const auto found = std::ranges::find(corrections, number, &book::CorrectionRecord::number);
    return found == corrections.end() ? nullptr : &*found;
}

bool isThroughTable(const book::TrialRecord& trial, const Corrections& corrections) {
    const book::CorrectionRecord* through = numbered(corrections, trial.through);
    return through != nullptr && through->kind == "table";
}

Error inCorrection(Error error, const book::CorrectionRecord& correction) {
    error.where.field = said("correction {}", correction.number);
    return error;
}

Result<correct::ToneCurve> curveIn(const book::CorrectionRecord& correction) {
    auto curve = correct::ToneCurve::fromText(correction.content);
    if (!curve) return inCorrection(std::move(curve).error(), correction);
    return curve;
}

Result<correct::NeutralTable> tableIn(const book::CorrectionRecord& correction) {
    auto table = correct::NeutralTable::fromText(correction.content);
    if (!table) return inCorrection(std::move(table).error(), correction);
    return table;
}

/// The curve that a trial went through; the one that changes nothing where there was none.
Result<correct::ToneCurve> curveOfTrial(const book::TrialRecord& trial, const Corrections& corrections) {
    const book::CorrectionRecord* through = numbered(corrections, trial.through);
    if (through == nullptr) return correct::ToneCurve{};
    return curveIn(*through);
}

Error noWholeRamp(const std::string& condition) {
    return {.kind = ErrorKind::wrongUse,
            .code = "no-whole-ramp",
            .what = said("no trial of '{}' is a ramp from paper to maximum black of {} tones or more",
                         condition, correct::kFewestTones),
            .next = said("Print a ramp, measure it, and read it in")};
}

Result<const book::TrialRecord*> trialFor(const Records& trials, std::optional<int> number,
                                          const std::string& condition) {
    const book::TrialRecord* found = nullptr;
    for (const book::TrialRecord& trial : trials) {
        if (number ? trial.number == *number : counts(trial) && isWhole(trial)) found = &trial;
    }
    if (found == nullptr && !number) return noWholeRamp(condition);
    if (found != nullptr && found->isWithdrawn()) {
        return Error{.kind = ErrorKind::wrongUse,
                     .code = "trial-withdrawn",
                     .what = said("trial {} of '{}' no longer counts", *number, condition),
                     .next = said("Choose another, or make it count again")};
    }
    if (found == nullptr || found->readings.empty()) {
        return Error{.kind = ErrorKind::wrongUse,
                     .code = found == nullptr ? "trial-unknown" : "trial-without-reading",
                     .what = said("'{}' has no reading of a trial {}", condition, *number),
                     .next = said("Choose a trial that was measured")};
    }
    return found;
}

std::string wordsOf(const ToneAimChoice& choice) {
    switch (choice.kind) {
        case ToneAimChoice::Kind::even:
            return said("even in L*");
        case ToneAimChoice::Kind::gamma:
            return said("gamma {}", textFromNumber(choice.gamma));
        case ToneAimChoice::Kind::condition:
            return said("the tone of '{}'", choice.condition);
    }
    return {};
}

/// All patches that have codes, as a ramp that sheetOfRamp() understands: paper first, the rest without a
/// tone of its own.
struct Colours {
    std::vector<correct::NeutralPatch> patches = {};
    measure::Ramp ramp = {};
};

void addPatch(Colours& out, const book::PatchRecord& patch, const correct::Codes& codes) {
    const colour::Lab lab{patch.lab->L, patch.lab->a, patch.lab->b};
    out.patches.push_back({codes, lab});
    out.ramp.patches.push_back({.tonePercent = out.patches.size() == 1 ? 0 : kNoTonePercent,
                                .lab = lab,
                                .reflectance = patch.reflectance});
}

Result<Colours> coloursOf(const book::TrialRecord& trial, const Corrections& corrections) {
    const book::ReadingRecord& reading = trial.readings.front();
    Colours out{.ramp = rampFromRecord(reading)};
    out.ramp.patches.clear();
    std::optional<correct::NeutralTable> table;
    if (const book::CorrectionRecord* through = numbered(corrections, trial.through)) {
        auto read = tableIn(*through);
        if (!read) return std::move(read).error();
        table = *std::move(read);
    }
    for (const book::PatchRecord& patch : reading.patches) {
        if (!patch.lab) continue;
        if (table && patch.tonePercent) {
            addPatch(out, patch, table->at(*patch.tonePercent));
        } else if (!table && patch.codes) {
            addPatch(out, patch, *patch.codes);
        }
    }
    return out;
}

/// Fills in what every patch looks like in each scene.
void lookUnder(Colours& colours, const std::vector<judge::Scene>& scenes, std::vector<Note>& notes) {
    if (scenes.empty()) return;
    const colour::SheetSpectra sheet = judge::sheetOfRamp(colours.ramp, nullptr, notes);
    for (const judge::Scene& scene : scenes) {
        const std::vector<colour::Lab> labs = judge::labsUnder(sheet, scene);
        for (std::size_t i = 0; i < labs.size(); ++i) colours.patches[i].under.push_back(labs[i]);
    }
}

/// The worst departure of a print through a table from what the table is for, tones of 5 % and more.
correct::Departure departureFrom(const correct::NeutralAim& aim, const measure::Ramp& ramp) {
    correct::Departure worst;
    const colour::Lab& paper = ramp.patches.front().lab;
    const double blackL = ramp.patches.back().lab.L;
    for (const measure::RampPatch& patch : ramp.patches) {
        if (patch.tonePercent < 5) continue;
        const double off = colour::deltaE2000(patch.lab, aim.at(patch.tonePercent, paper, blackL));
        if (off > worst.L) worst = {off, patch.tonePercent};
    }
    return worst;
}

const char* textFromKind(colour::TintAimKind kind) {
    switch (kind) {
        case colour::TintAimKind::fade:
            return "fade";
        case colour::TintAimKind::light:
            return "light";
        case colour::TintAimKind::paper:
            return "paper";
    }
    return "fade";
}

Json fromTint(const colour::Tint& tint) {
    return {{"a", tint.a}, {"b", tint.b}};
}

Json fromFit(const correct::NeutralFit& fit) {
    Json tones = Json::array();
    for (const correct::NeutralTone& tone : fit.tones) {
        tones.push_back({{"tone_percent", tone.tonePercent},
                         {"aim", fromLab(tone.aim)},
                         {"predicted", fromLab(tone.predicted)},
                         {"delta_e00", tone.deltaE00},
                         {"delta_e00_under", tone.deltaE00Under},
                         {"remains", std::string(correct::textFromRemains(tone.remains))}});
    }
    return tones;
}

/// A table's tones as foretold, in D50 or in the light of that number.
judge::NoticeSubject subjectOf(const correct::NeutralFit& fit, colour::TintAimKind aim,
                               std::optional<std::size_t> light = {}) {
    judge::NoticeSubject subject{.paper = 0, .black = fit.tones.size() - 1, .aim = aim};
    for (const correct::NeutralTone& tone : fit.tones) {
        subject.tonesPercent.push_back(tone.tonePercent);
        subject.labs.push_back(light ? tone.under[*light] : tone.predicted);
    }
    return subject;
}

Result<std::vector<ForetoldNotice>> whoWouldNotice(const correct::NeutralFit& fit, colour::TintAimKind aim,
                                                   const std::vector<judge::Scene>& scenes,
                                                   const judge::NoticeOptions& viewers) {
    std::vector<ForetoldNotice> out;
    const auto ask = [&](const judge::NoticeSubject& subject, const judge::Scene& scene,
                         const std::string& name) -> Outcome {
        const auto seen = judge::notice(subject, {&scene, 1}, viewers);
        if (!seen) return seen.error();
        out.push_back({name, seen->scenes.front().beside, seen->scenes.front().alone});
        return Done{};
    };
    if (scenes.empty()) {
        const judge::Scene plain = judge::sceneByName("practical-view").value();
        if (auto asked = ask(subjectOf(fit, aim), plain, "D50"); !asked) return std::move(asked).error();
    }
    for (std::size_t i = 0; i < scenes.size(); ++i) {
        if (auto asked = ask(subjectOf(fit, aim, i), scenes[i], scenes[i].name); !asked)
            return std::move(asked).error();
    }
    return out;
}

Result<Toned> lookAt(const correct::NeutralFit& fit, const TableRequest& request,
                     const judge::NoticeOptions& viewers) {
    const judge::NoticeSubject subject = subjectOf(fit, request.tint);
    const judge::Scene scene = judge::sceneByName("practical-view").value();
    const auto seen = judge::notice(subject, {&scene, 1}, viewers);
    if (!seen) return seen.error();
    judge::NoticeOptions strict = viewers;
    strict.assumptions.thresholdAlone = kOverdone;
    strict.assumptions.falseAlarms = 0;
    strict.assumptions.perDoublingOfAge = 1;  // a matter of taste, not of keenness
    // What is asked for is judged, not what the inks reach of it.
    judge::NoticeSubject wanted = subject;
    for (std::size_t i = 0; i < wanted.labs.size(); ++i) wanted.labs[i] = fit.tones[i].aim;
    const auto tooMuch = judge::notice(wanted, {&scene, 1}, strict);
    if (!tooMuch) return tooMuch.error();
    const judge::SceneNotice& there = seen->scenes.front();
    return Toned{.beside = there.beside,
                 .alone = there.alone,
                 .overdone = tooMuch->scenes.front().alone,
                 .strongestTonePercent = there.givesAwayTonePercent,
                 .distance = there.meanDistance};
}

std::string wordsOf(const TableRequest& request, const std::vector<std::string>& lights) {
    std::string words = wordsOf(request.tone);
    words += request.tint == colour::TintAimKind::fade    ? said(", the paper's tint fading into neutral")
             : request.tint == colour::TintAimKind::light ? said(", neutral to the light")
                                                          : said(", the paper's own tint");
    if (request.toning) {
        const auto tint = [](const colour::Tint& one) {
            return fmt::format("a* {}, b* {}", textFromNumber(one.a, 1), textFromNumber(one.b, 1));
        };
        words += request.toning->highlights.a == request.toning->shadows.a &&
                         request.toning->highlights.b == request.toning->shadows.b
                     ? said(", toned by {}", tint(request.toning->shadows))
                     : said(", toned by {} in the highlights and {} in the shadows",
                            tint(request.toning->highlights), tint(request.toning->shadows));
    }
    if (!lights.empty()) words += said(", for {}", fmt::join(lights, ", "));
    return words;
}

}  // namespace

Result<correct::ToneAim> Studio::toneAim(const ToneAimChoice& choice) const {
    if (choice.kind == ToneAimChoice::Kind::even) return correct::ToneAim::even();
    if (choice.kind == ToneAimChoice::Kind::gamma) {
        if (!(choice.gamma >= 0.5 && choice.gamma <= 4)) {
            return Error{.kind = ErrorKind::wrongUse,
                         .code = "gamma-out-of-range",
                         .what = said("a gamma of {}", textFromNumber(choice.gamma)),
                         .where = {.field = "--tone-aim"},
                         .next = said("Give 0.5 to 4; 2.2 is what screens have")};
        }
        return correct::ToneAim::gamma(choice.gamma);
    }
    const auto others = trials(choice.condition);
    if (!others) return others.error();
    const auto found = trialFor(*others, std::nullopt, choice.condition);
    if (!found) return found.error();
    return correct::ToneAim::matching(rampFromRecord((*found)->readings.front()));
}

Result<MadeCurve> Studio::makeCurve(const std::string& condition, const CurveRequest& request) const {
    if (auto may = mayWrite(request.out, IfThere::keep, {book_}); !may) return std::move(may).error();
    auto book = openExisting();
    if (!book) return std::move(book).error();
    const auto kept = keptFor(*book, condition);
    if (!kept) return kept.error();
    const auto& [trials, corrections] = *kept;
    const auto target = trialFor(trials, request.trial, condition);
    if (!target) return target.error();
    if (isThroughTable(**target, corrections)) {
        return Error{.kind = ErrorKind::wrongUse,
                     .code = "tone-of-a-table",
                     .what = said("trial {} was printed through a table, which sets tone and tint "
                                  "together",
                                  (*target)->number),
                     .next = said("Make the table again to mend it")};
    }
    const auto aim = toneAim(request.aim);
    if (!aim) return aim.error();
    if (const double given = request.repeatabilityL.value_or(1); !(std::isfinite(given) && given > 0)) {
        return Error{
            .kind = ErrorKind::wrongUse,
            .code = "repeatability-invalid",
            .what = said("a repeatability of {}", textFromNumber(given)),
            .where = {.field = "--repeatability"},
            .next = said("Give the standard deviation of one patch's L*, above 0; 0.1 to 0.2 is usual")};
    }
    const correct::CurveOptions options{.repeatabilityL = request.repeatabilityL, .force = request.force};

    MadeCurve out{.record = {.kind = "curve",
                             .replaces = (*target)->through,
                             .aim = wordsOf(request.aim),
                             .when = request.when}};
    std::vector<correct::Round> rounds;
    for (const book::TrialRecord& trial : trials) {
        if (!counts(trial) || trial.number > (*target)->number || !samePrinting(trial, **target)) continue;
        if (isThroughTable(trial, corrections)) continue;
        auto curve = curveOfTrial(trial, corrections);
        if (!curve) return std::move(curve).error();
        correct::Round round{*std::move(curve), rampFromRecord(trial.readings.front())};
        // How it stood by itself; a sheet of blocks is no round.
        auto alone =
            correct::curveOf(round.ramp, *aim, {.repeatabilityL = request.repeatabilityL, .force = true});
        if (!alone) {
            if (trial.number == (*target)->number) return std::move(alone).error();
            continue;
        }
        noteUncertainty(trial, out.notes);
        out.record.trials.push_back(trial.number);
        out.rounds.push_back({trial.number, trial.through, alone->worst});
        rounds.push_back(std::move(round));
    }
    auto fit = correct::refine(rounds, *aim, options);
    if (!fit) return std::move(fit).error();
    out.printedAt = printedAt(**target);
    out.fit = *std::move(fit);
    out.record.content = out.fit.curve.text();
    Json band = Json::array();
    for (const correct::BandPoint& point : out.fit.band)
        band.push_back({point.tonePercent, point.lowPercent, point.highPercent});
    out.record.json = textFrom({{"rounds", fromRounds(out.rounds, "worst_departure_L")},
                                {"noise_L", out.fit.noiseL},
                                {"expected_error_L", out.fit.expectedErrorL},
                                {"band", band}});
    if (auto done = keep(*book, condition, out.record, request.out); !done) return std::move(done).error();
    return out;
}

Result<MadeTable> Studio::makeTable(const std::string& condition, const TableRequest& request) const {
    if (auto may = mayWrite(request.out, IfThere::keep, {book_}); !may) return std::move(may).error();
    auto book = openExisting();
    if (!book) return std::move(book).error();
    const auto kept = keptFor(*book, condition);
    if (!kept) return kept.error();
    const auto& [trials, corrections] = *kept;
    const auto aim = toneAim(request.tone);
    if (!aim) return aim.error();
    const auto scenes = scenesOf(request.lights);
    if (!scenes) return scenes.error();

    const book::TrialRecord* latest = nullptr;
    for (const book::TrialRecord& trial : trials) {
        if (counts(trial) && hasColours(trial)) latest = &trial;
    }
    if (latest == nullptr) {
        return Error{
            .kind = ErrorKind::wrongUse,
            .code = "no-near-neutral-sheet",
            .what = said("no trial of '{}' is a near-neutral sheet", condition),
            .next = said("Print near-neutral colours, measure them, and read them in as that sheet")};
    }

    MadeTable out{.record = {.kind = "table", .when = request.when}};
    const correct::NeutralAim neutralAim{
        .tone = *aim, .tint = request.tint, .toning = request.toning.value_or(colour::Toning{})};
    std::vector<correct::NeutralRound> rounds;
    bool anyWithout = false;
    const book::TrialRecord* through = nullptr;
    for (const book::TrialRecord& trial : trials) {
        if (!counts(trial) || !samePrinting(trial, *latest)) continue;
        const bool isRampThrough = isThroughTable(trial, corrections) && isWhole(trial);
        if (!isRampThrough && !hasColours(trial)) continue;
        auto colours = coloursOf(trial, corrections);
        if (!colours) return std::move(colours).error();
        const bool hasSpectra = colours->ramp.grid.has_value();
        if (!scenes->empty() && !hasSpectra) {
            anyWithout = true;
            out.notes.push_back(
                {.code = "trial-without-spectra",
                 .text = said("trial {} left out: it was read without spectra", trial.number)});
            continue;
        }
        noteUncertainty(trial, out.notes);
        std::vector<Note> notes;
        lookUnder(*colours, *scenes, notes);
        for (Note& note : notes) {
            if (std::ranges::find(out.notes, note.text, &Note::text) == out.notes.end())
                out.notes.push_back(std::move(note));
        }
        out.record.trials.push_back(trial.number);
        rounds.push_back({.patches = std::move(colours->patches)});
        if (!isRampThrough) continue;
        through = &trial;
        out.rounds.push_back(
            {trial.number, trial.through, departureFrom(neutralAim, rampFromRecord(trial.readings.front()))});
    }
    if (anyWithout && rounds.empty()) {
        return Error{.kind = ErrorKind::wrongUse,
                     .code = "lights-without-spectra",
                     .what = said("the near-neutral sheets of '{}' were read without spectra, so "
                                  "nothing is known of them under other lights than D50",
                                  condition),
                     .where = {.field = "--light"},
                     .next = said("Read a sheet with spectra, or name no light")};
    }
    if (through != nullptr) {
        auto table = tableIn(*numbered(corrections, through->through));
        if (!table) return std::move(table).error();
        rounds.back().around = *std::move(table);
        out.record.replaces = through->through;
    }
    correct::NeutralOptions options;
    for (std::size_t i = 0; i < scenes->size(); ++i) {
        out.lights.push_back((*scenes)[i].name);
        options.lightWeights.push_back(request.lights[i].weight);
    }
    auto fit = correct::neutralise(rounds, neutralAim, options);
    if (!fit) return std::move(fit).error();
    out.fit = *std::move(fit);
    const auto judging =
        judgeOptions({.aim = request.tint, .viewers = request.viewers, .goOn = request.goOn});
    if (!judging) return judging.error();
    if (judging->viewers && request.toning) {
        auto toned = lookAt(out.fit, request, *judging->viewers);
        if (!toned) return std::move(toned).error();
        out.toned = *toned;
        if (toned->overdone.value > 0.5) {
            out.notes.push_back({.code = "tone-overdone",
                                 .text = said("{:.0f} % of viewers would call this tone overdone",
                                              100 * toned->overdone.value)});
        }
    } else if (judging->viewers) {
        auto noticed = whoWouldNotice(out.fit, request.tint, *scenes, *judging->viewers);
        if (!noticed) return std::move(noticed).error();
        out.notice = *std::move(noticed);
    }
    if (request.goOn && !request.goOn(1))
        return Error{.code = "stopped", .what = said("the work was stopped before the table was stored")};
    out.record.aim = wordsOf(request, out.lights);
    out.record.content = out.fit.table.text();
    out.record.json = textFrom({{"rounds", fromRounds(out.rounds, "worst_delta_e00")},
                                {"tones", fromFit(out.fit)},
                                {"tint", textFromKind(request.tint)},
                                {"toned_highlights", fromTint(neutralAim.toning.highlights)},
                                {"toned_shadows", fromTint(neutralAim.toning.shadows)},
                                {"lights", out.lights}});
    if (auto done = keep(*book, condition, out.record, request.out); !done) return std::move(done).error();
    return out;
}

Result<std::vector<book::CorrectionRecord>> Studio::corrections(const std::string& condition) const {
    auto book = open(book::OpenMode::readOnly);
    if (!book) return std::move(book).error();
    return book->corrections(condition);
}

Result<std::vector<book::MadeFileRecord>> Studio::madeFiles(const std::string& condition) const {
    auto book = open(book::OpenMode::readOnly);
    if (!book) return std::move(book).error();
    return book->madeFiles(condition);
}

Result<book::CorrectionRecord> Studio::correction(const std::string& condition, int number) const {
    auto all = corrections(condition);
    if (!all) return std::move(all).error();
    if (const book::CorrectionRecord* found = numbered(*all, number)) return *found;
    return Error{.kind = ErrorKind::wrongUse,
                 .code = "correction-unknown",
                 .what = said("'{}' has no correction {}", condition, number),
                 .next = said("Name one that the condition has")};
}

Outcome Studio::withdrawCorrection(const std::string& condition, int number, const std::string& reason,
                                   const std::string& when) const {
    auto book = openExisting();
    if (!book) return std::move(book).error();
    return book->withdrawCorrection(condition, number, reason, when);
}

Result<std::optional<book::CorrectionRecord>> Studio::chosenCorrection(const std::string& condition,
                                                                       CorrectionChoice choice) const {
    if (choice == 0) return std::optional<book::CorrectionRecord>{};
    if (choice) {
        auto found = correction(condition, *choice);
        if (!found) return std::move(found).error();
        if (found->withdrawnBecause) {
            return Error{.kind = ErrorKind::wrongUse,
                         .code = "correction-withdrawn",
                         .what = said("correction {} of '{}' is out of use: {}", *choice, condition,
                                      *found->withdrawnBecause),
                         .where = {.field = "--correction"},
                         .next = said("Name another, or make it again")};
        }
        return std::optional(*std::move(found));
    }
    auto all = corrections(condition);
    if (!all) return std::move(all).error();
    std::erase_if(*all, [](const book::CorrectionRecord& one) { return one.withdrawnBecause.has_value(); });
    if (all->empty()) return std::optional<book::CorrectionRecord>{};
    return std::optional(std::move(all->back()));
}

Result<std::vector<Note>> Studio::notesOn(const std::string& condition,
                                          const book::CorrectionRecord& correction) const {
    const auto all = trials(condition);
    if (!all) return all.error();
    std::vector<Note> notes;
    for (const book::TrialRecord& trial : *all) {
        if (!trial.isWithdrawn() ||
            std::ranges::find(correction.trials, trial.number) == correction.trials.end())
            continue;
        notes.push_back({.code = "trial-withdrawn",
                         .text = said("correction {} was made from trial {}, which no longer counts: {}",
                                      correction.number, trial.number, *trial.withdrawnBecause)});
    }
    return notes;
}

Result<PrintedRamp> Studio::printedRamp(const std::string& condition,
                                        const std::optional<book::CorrectionRecord>& correction) const {
    const auto trials = this->trials(condition);
    if (!trials) return trials.error();
    const int number = correction ? correction->number : 0;
    const book::TrialRecord* base = nullptr;
    if (correction) {
        const auto at = std::ranges::find(*trials, correction->trials.back(), &book::TrialRecord::number);
        if (at == trials->end() || at->readings.empty()) return noWholeRamp(condition);
        base = &*at;
    }
    const book::TrialRecord* found = nullptr;
    for (const book::TrialRecord& trial : *trials) {
        if (!counts(trial) || !isWhole(trial) || trial.through != number) continue;
        if (base == nullptr || samePrinting(trial, *base)) found = &trial;
    }
    PrintedRamp out;
    const book::TrialRecord* rests = found != nullptr ? found : base;
    if (rests == nullptr) return noWholeRamp(condition);
    out.trial = rests->number;
    out.isPredicted = found == nullptr;
    out.printedAt = printedAt(*rests);
    if (const auto uncertainty = rests->readings.front().uncertainty) {
        out.notes.push_back(
            {.code = "uncertain-reading",
             .text =
                 said("trial {} was read from a picture: a* and b* may be off by {} (standard "
                      "deviation), and what is said here with them",
                      rests->number, textFromNumber(std::hypot(uncertainty->shared, uncertainty->own), 1))});
    }
    if (rests->isWithdrawn()) {
        out.notes.push_back({.code = "trial-withdrawn",
                             .text = said("trial {}, which this rests on, no longer counts: {}",
                                          rests->number, *rests->withdrawnBecause)});
    }
    if (found != nullptr) {
        out.ramp = rampFromRecord(found->readings.front());
        return out;
    }
    if (correction->kind == "table") {
        auto ramp = predictedByTable(*correction);
        if (!ramp) return std::move(ramp).error();
        out.ramp = *std::move(ramp);
        return out;
    }
    const auto all = corrections(condition);
    if (!all) return all.error();
    const auto before = curveOfTrial(*base, *all);
    if (!before) return before.error();
    const auto curve = curveIn(*correction);
    if (!curve) return curve.error();
    // What the new curve sends is what the base sent for another tone.
    const auto toneOfBase = [&](double tone) { return before->toneThatSends(curve->at(tone)); };
    out.ramp = resampled(rampFromRecord(base->readings.front()), toneOfBase);
    return out;
}

}  // namespace greywright::studio

#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "book/book.h"
#include "colour/aim.h"
#include "judge/compare.h"
#include "judge/judge.h"
#include "measure/reading.h"
#include "steer/steer.h"
#include "studio/catalogue.h"
#include "studio/corrections.h"
#include "studio/inspect.h"
#include "studio/overview.h"
#include "studio/profiles.h"
#include "studio/sheets.h"
#include "studio/sights.h"

/// What both programs can do: the use cases, one function each.
namespace greywright::studio {

struct Foresight;
struct Foretelling;
struct PictureContext;

using Choices = std::map<std::string, std::string>;

/// A measurement file to be taken into the book as a new trial.
struct ReadRequest {
    std::filesystem::path file;
    std::string condition;
    book::Setting setting = {};                                  ///< empty: no tint, every axis at zero
    std::vector<double> tonesPercent = {};                       ///< for files that do not say
    Choices choices = {};                                        ///< the driver's named choices
    measure::Condition preferred = measure::Condition::unknown;  ///< of a file that holds several
    bool force = false;               ///< take it although its paper differs or it was read before
    std::optional<int> toTrial = {};  ///< a further reading of this trial's sheet instead of a new trial
    int through = 0;  ///< number of the correction that the sheet was printed through; 0 = none
    /// Of scans and photographs; its sheet also says the tones of a measurement file.
    PictureRequest picture = {};
    std::string when = {};
};

/// What was taken in.
struct ReadSummary {
    int trial = 0;
    std::size_t patches = 0;  ///< of the ramp
    std::size_t colours = 0;  ///< beside it, of a near-neutral sheet
    bool spectral = false;
    std::string conditionM = {};  ///< "M0".."M3", or "unknown"
    book::Setting setting = {};
    std::optional<measure::Uncertainty> uncertainty = {};  ///< of a scan or photograph
    std::vector<Note> notes = {};
};

/// A file as it would be taken in.
struct Inspected {
    ReadSummary summary = {};  ///< its notes are all that the reading says
    measure::Ramp ramp = {};
    std::vector<Doubt> doubts = {};
    /// What the search asks to be printed; without one zero, or the nearest to it that there is.
    book::Setting likelySetting = {};
};

/// A judged file or trial, and others of the condition beside it.
struct Judgement {
    judge::Verdict verdict = {};
    int trial = 0;    ///< 0 for a file
    int through = 0;  ///< number of the correction that it was printed through; 0 = none
    book::Setting setting = {};
    std::vector<Note> notes = {};  ///< of the reading, printed-through-correction
    /// Ramps printed at different driver's choices, when the condition has several.
    std::vector<judge::Candidate> choices = {};
    judge::Comparison comparison = {};
};

/// The scenes that a judgement looks at where it is not told otherwise.
[[nodiscard]] std::vector<std::string> usualScenes();

struct JudgeRequest {
    colour::TintAimKind aim = colour::TintAimKind::fade;
    std::vector<std::string> lights = {};  ///< names of scenes and lights; empty: the usual scenes
    std::optional<double> lux = {};        ///< for all of them, in place of their own
    std::string glazing = {};              ///< for all of them, in place of their own
    ViewerRequest viewers = {};
    std::filesystem::path second = {};      ///< the same sheet read again, under M2 or with ultraviolet
    std::filesystem::path picture = {};     ///< whose tones count by their share of its area
    std::function<bool(double)> goOn = {};  ///< told the share done; false stops the work
};

/// A light to be entered: a file, or shares of other lights.
struct LightRequest {
    std::string name = {};
    std::string description = {};
    std::filesystem::path file = {};
    std::optional<std::string> column = {};  ///< of a table with several lamps
    std::vector<book::LightShareRecord> parts = {};
    std::string when = {};
};

struct GlazingRequest {
    std::string name = {};
    std::string description = {};
    std::filesystem::path file = {};
    std::optional<std::string> column = {};
    std::string when = {};
};

/// A search with its surroundings.
struct Search {
    book::ConditionRecord condition = {};
    steer::History history = {};  ///< the trials that took part, not in the order of reading
    steer::Summary summary = {};
    Choices choices = {};                                ///< the driver's choices that the trials share
    std::vector<std::string> learnedFrom = {};           ///< conditions whose trials told about the driver
    std::shared_ptr<const steer::Outlook> outlook = {};  ///< null while nothing was printed
    std::vector<Note> notes = {};
};

struct SteerRequest {
    colour::TintAimKind aim = colour::TintAimKind::fade;
    std::optional<Choices> choices = {};  ///< absent: those of the latest trial
    /// Scenes or lights that the print shall look right under, with their weights; empty: D50.
    std::vector<steer::LightGoal> lights = {};
};

/// The use cases over one book. The book is opened for each call, so two programs may share it.
class Studio {
  public:
    explicit Studio(std::filesystem::path book) : book_(std::move(book)) {}

    /// Errors: those of book::Book throughout, besides those named.
    [[nodiscard]] Outcome addCondition(const book::ConditionRecord& condition) const;
    /// Puts right how a condition was entered. Errors: book-not-found, those of Book::correctCondition().
    [[nodiscard]] Outcome correctCondition(const std::string& name,
                                           const book::ConditionRecord& corrected) const;
    [[nodiscard]] Result<std::vector<book::ConditionChangeRecord>> conditionChanges(
        const std::string& name) const;
    /// Takes out one that was entered by mistake. Errors: book-not-found, condition-in-use.
    [[nodiscard]] Outcome removeCondition(const std::string& name) const;
    /// None when there is no book yet.
    [[nodiscard]] Result<std::vector<book::ConditionRecord>> conditions() const;
    [[nodiscard]] Result<book::ConditionRecord> condition(const std::string& name) const;
    [[nodiscard]] Result<std::vector<book::TrialRecord>> trials(const std::string& condition) const;
    [[nodiscard]] Outcome withdraw(const std::string& condition, int trial, const std::string& reason,
                                   const std::string& when) const;
    [[nodiscard]] Outcome restore(const std::string& condition, int trial) const;
    [[nodiscard]] Outcome check() const;

    /// Errors: those of measure::readingFromFile and rampFromReading; other-paper, figures-twice,
    /// figures-twice, colours-through-correction.
    [[nodiscard]] Result<ReadSummary> read(const ReadRequest& request) const;

    /// All that read() would do short of storing; what it would refuse unless forced comes back as doubts.
    /// The book is left as it is. Errors: as read().
    [[nodiscard]] Result<Inspected> inspect(const ReadRequest& request) const;

    /// Every condition at a glance. Errors: book-not-found. Cost: no patches are read but of conditions whose
    /// trials are not those of their last search.
    [[nodiscard]] Result<std::vector<ConditionOverview>> overview() const;

    /// Errors: no-trials, trial-without-reading, unknown-light, unknown-glazing, viewer-unknown,
    /// viewers-invalid, lux-invalid, scene-dark; those of picture::lightnessShares; stopped.
    [[nodiscard]] Result<Judgement> judgeTrial(const std::string& condition, std::optional<int> trial,
                                               const JudgeRequest& request) const;

    /// How far each measured trial's worst tone lies from its aim, withdrawn ones included; by the standard
    /// observer under D50.
    [[nodiscard]] Result<std::vector<TrialWorth>> worths(const std::string& condition,
                                                         colour::TintAimKind aim) const;

    /// A trial's tones as they are seen under a light. Errors: trial-unknown, trial-without-reading,
    /// light-without-spectra, and those of the light's name as judgeTrial.
    [[nodiscard]] Result<Sight> sight(const std::string& condition, int trial,
                                      const SightRequest& request) const;

    /// Judges a file that need not be in any book; the book only lends lights, viewers, sheets and devices.
    /// Errors: as judgeTrial.
    [[nodiscard]] Result<Judgement> judgeFile(const std::filesystem::path& file,
                                              const std::vector<double>& tonesPercent,
                                              const JudgeRequest& request,
                                              const PictureRequest& picture = {}) const;

    /// Errors: no-trials-with-choices, lights-without-spectra, weight-invalid, and those of the lights' names
    /// as judgeTrial.
    [[nodiscard]] Result<Search> steer(const std::string& condition, const SteerRequest& request) const;

    /// A search with the map of its settings, to be asked about any setting: under `looking.lights`, by
    /// `looking.viewers`. Errors: as steer() and judgeTrial().
    [[nodiscard]] Result<Foresight> foresee(const std::string& condition, const SteerRequest& request,
                                            const JudgeRequest& looking) const;

    /// What is expected at a setting. Errors: as foresee(); nothing-measured; those of book::settingOnAxes().
    [[nodiscard]] Result<Foretelling> foretell(const std::string& condition, const book::Setting& setting,
                                               const SteerRequest& request,
                                               const JudgeRequest& looking) const;

    /// A trial's reading as CGATS text. Errors: trial-without-reading.
    [[nodiscard]] Result<std::string> cgatsOfTrial(const std::string& condition, int trial) const;

    /// The file that a trial was read from, byte for byte.
    [[nodiscard]] Result<std::string> originalOfTrial(const std::string& condition, int trial) const;

    /// Writes what a user asked for, whole or not at all, and never over the book. Errors: output-is-input,
    /// output-exists (unless it may be replaced), those of writeWholeFile().
    [[nodiscard]] Outcome write(const std::filesystem::path& path, std::string_view bytes,
                                bool replace) const;

    /// One page about a condition, see report.h. The next setting is sought for `goals`, or for D50 where
    /// there are none.
    [[nodiscard]] Result<std::string> report(const std::string& condition, const JudgeRequest& request,
                                             const std::string& when,
                                             const std::vector<steer::LightGoal>& goals = {}) const;

    /// What can be named: what ships and what the book holds. Only what ships when there is no book yet.
    [[nodiscard]] Result<Catalogue> catalogue() const;

    /// Errors: name-shipped; those of measure::lampFromBytes and lightFromLamp; unknown-light (of a part).
    /// What the reader noted comes back.
    [[nodiscard]] Result<std::vector<Note>> addLight(const LightRequest& request) const;
    [[nodiscard]] Outcome removeLight(const std::string& name) const;
    /// Errors: name-shipped, unknown-light, unknown-glazing.
    [[nodiscard]] Outcome addScene(const book::SceneRecord& scene) const;
    [[nodiscard]] Outcome removeScene(const std::string& name) const;
    /// Errors: name-shipped; those of measure::transmittanceFromBytes.
    [[nodiscard]] Result<std::vector<Note>> addGlazing(const GlazingRequest& request) const;
    [[nodiscard]] Outcome removeGlazing(const std::string& name) const;
    [[nodiscard]] Outcome addViewer(const book::ViewerRecord& viewer) const;
    [[nodiscard]] Outcome removeViewer(const std::string& name) const;

    /// Designs a sheet, writes it with its definition beside it, and keeps the definition in the book.
    /// Errors: those of the designs, of sheet::writePage() and writePdf(); file-ending, encoding-unknown,
    /// book-not-written and its like.
    [[nodiscard]] Result<MadeSheet> makeSheet(const SheetRequest& request) const;
    /// None when there is no book yet.
    [[nodiscard]] Result<std::vector<book::SheetRecord>> sheets() const;
    /// Those of a code, or else of a name, the one made last first. Errors: sheet-unknown.
    [[nodiscard]] Result<std::vector<book::SheetRecord>> sheetsNamed(const std::string& nameOrCode) const;

    /// Learns a scanner or camera and keeps it. Errors: those of reading either file; sheets-differ;
    /// device-not-usable (with what is wrong).
    [[nodiscard]] Result<LearnedDevice> learnDevice(const DeviceRequest& request) const;
    /// None when there is no book yet.
    [[nodiscard]] Result<std::vector<book::DeviceRecord>> devices() const;
    [[nodiscard]] Outcome removeDevice(const std::string& name) const;

    /// Makes a curve from a condition's ramps and keeps it. Errors: no-whole-ramp, trial-unknown,
    /// tone-of-a-table, gamma-out-of-range; those of correct::refine(), already-even among them.
    [[nodiscard]] Result<MadeCurve> makeCurve(const std::string& condition,
                                              const CurveRequest& request) const;
    /// Makes a table from a condition's near-neutral sheets and ramps through earlier tables, and keeps it.
    /// Errors: no-near-neutral-sheet, lights-without-spectra, weight-invalid, those of the lights' names as
    /// judgeTrial, of viewers and of correct::neutralise().
    [[nodiscard]] Result<MadeTable> makeTable(const std::string& condition,
                                              const TableRequest& request) const;
    [[nodiscard]] Result<std::vector<book::CorrectionRecord>> corrections(const std::string& condition) const;
    [[nodiscard]] Result<std::vector<book::MadeFileRecord>> madeFiles(const std::string& condition) const;
    /// Errors: correction-unknown.
    [[nodiscard]] Result<book::CorrectionRecord> correction(const std::string& condition, int number) const;

    [[nodiscard]] Outcome withdrawCorrection(const std::string& condition, int number,
                                             const std::string& reason, const std::string& when) const;

    /// Makes pictures ready to print, one after the other, and keeps in the book what was made. What one
    /// picture suffers from stands with it and stops no other. Errors: no-pictures, bits-invalid,
    /// format-unknown, file-ending, correction-unknown; those of profileNamed(). With a picture: those of
    /// picture::prepare(); output-exists.
    [[nodiscard]] Result<PreparedPictures> preparePictures(const PrepareRequest& request) const;
    /// A picture of how a print will look, for the screen. Errors: file-ending, output-exists,
    /// magnify-out-of-range, light-without-spectra, no-whole-ramp, correction-unknown; those of
    /// picture::prepare().
    [[nodiscard]] Result<Proof> proof(const ProofRequest& request) const;
    /// Which tones of a picture block up or would show a tint. Errors: no-whole-ramp, correction-unknown;
    /// those of picture::greyShares() and judge::judge().
    [[nodiscard]] Result<PictureCheck> checkPicture(const CheckRequest& request) const;

    /// Writes an ICC profile of a condition and keeps in the book that it was made. Errors:
    /// icc-version-unknown, output-exists, correction-unknown, profile-of-a-table, profile-needs-a-table,
    /// no-whole-ramp; those of correct::smoothed() and of the profiles; write-failed.
    [[nodiscard]] Result<MadeProfile> makeProfile(const std::string& condition,
                                                  const ProfileRequest& request) const;

    /// Keeps what was concluded, unless the same was concluded last. A book that cannot be written is no
    /// error here: the answer stands without it, and the note says that it was not kept.
    [[nodiscard]] std::optional<Note> keepVerdict(const std::string& condition,
                                                  const book::VerdictRecord& verdict) const;

    [[nodiscard]] const std::filesystem::path& path() const { return book_; }

  private:
    [[nodiscard]] Result<book::Book> open(book::OpenMode mode) const { return book::Book::open(book_, mode); }

    [[nodiscard]] Result<book::Book> openExisting() const;

    /// The scenes that a search is steered for. Errors: weight-invalid, light-twice, unknown-light.
    [[nodiscard]] Result<std::vector<judge::Scene>> scenesOf(
        const std::vector<steer::LightGoal>& goals) const;

    /// What helps to read a picture; `condition` may be empty. Errors: sheet-unknown, device-unknown,
    /// device-paper-missing; those of sheet::sheetFromCgats().
    [[nodiscard]] Result<PictureContext> pictureContext(const PictureRequest& request,
                                                        const std::string& condition) const;

    /// The place after that of the blocks made last under this name.
    [[nodiscard]] Result<int> nextPlace(const sheet::BlockRequest& blocks) const;

    /// Which trial the blocks are of, from the condition, as far as the request does not say.
    [[nodiscard]] Result<std::vector<Note>> describeBlocks(sheet::BlockRequest& blocks,
                                                           const SheetRequest& request) const;

    /// Errors: gamma-out-of-range, no-whole-ramp; those of correct::ToneAim::matching().
    [[nodiscard]] Result<correct::ToneAim> toneAim(const ToneAimChoice& choice) const;

    /// Nothing where none is meant, or the condition has none in use. Errors: correction-unknown,
    /// correction-withdrawn.
    [[nodiscard]] Result<std::optional<book::CorrectionRecord>> chosenCorrection(
        const std::string& condition, CorrectionChoice choice) const;

    /// What has happened to a correction since it was made: trials under it that no longer count.
    [[nodiscard]] Result<std::vector<Note>> notesOn(const std::string& condition,
                                                    const book::CorrectionRecord& correction) const;

    /// The latest measured ramp through a correction, else what it foretells. Errors: no-whole-ramp.
    [[nodiscard]] Result<PrintedRamp> printedRamp(
        const std::string& condition, const std::optional<book::CorrectionRecord>& correction) const;

    /// What a request asks of a judgement. The book is opened only for names that do not ship.
    [[nodiscard]] Result<judge::Options> judgeOptions(const JudgeRequest& request) const;

    std::filesystem::path book_;
};

/// Program and version, for reports.
[[nodiscard]] std::string_view version();

}  // namespace greywright::studio

#pragma once

#include <chrono>
#include <filesystem>
#include <memory>
#include <string>
#include <vector>

#include "book/records.h"
#include "core/result.h"

namespace greywright::book {

class Connection;

enum class OpenMode {
    readWrite,  ///< creates the book, and the folders above it, where there is none
    readOnly,   ///< changes nothing; only a change that another program left half done is taken back
};

/// The studio's record of everything: one SQLite file. Trials are withdrawn, never deleted; lights, scenes,
/// glazings and viewers may be removed.
///
/// Every function is one transaction: done completely or, after an error or a kill, not at all. Several
/// programs may use a book at once; one that has to wait longer than the patience given gets `book-locked`.
/// Every error has the book as its path (reading-invalid: the file that was read). Beside those named at the
/// functions, every function may fail with book-locked, book-damaged or book-unreadable, and every changing
/// one with book-read-only, disc-full or book-not-written (all three of kind cannotWrite); the book then is
/// as it was before. Thread: a Book belongs to one thread at a time; every thread may open its own.
class Book {
  public:
    /// Opens a book; one of an earlier version is brought up to date (read-only: a copy in memory is).
    /// Errors: book-not-found (read-only, and no file or one without content), not-a-book (left untouched),
    /// book-newer (left untouched), book-damaged, book-unreadable, book-locked, book-not-written, disc-full.
    [[nodiscard]] static Result<Book> open(const std::filesystem::path& path, OpenMode mode,
                                           std::chrono::milliseconds patience = std::chrono::seconds(5));

    Book(Book&&) noexcept;
    Book& operator=(Book&&) noexcept;
    ~Book();

    /// Enters a printing condition.
    /// Errors: condition-exists, and those of checkCondition().
    [[nodiscard]] Outcome addCondition(const ConditionRecord& condition);

    /// Puts right what a condition is called, what it is, or what its control is like, and keeps what was
    /// changed; the time of its entry stays, `corrected` has that of the change. Its trials keep their
    /// values, axis by axis; sheets of its name are found by the new one. Errors: condition-unknown,
    /// condition-exists, axes-of-trials (a trial's setting does not lie on these axes), nothing-corrected,
    /// and those of checkCondition().
    [[nodiscard]] Outcome correctCondition(const std::string& name, const ConditionRecord& corrected);

    /// What was put right, in the order in which it was. Errors: condition-unknown.
    [[nodiscard]] Result<std::vector<ConditionChangeRecord>> conditionChanges(const std::string& name) const;

    /// Takes out a condition that was entered by mistake.
    /// Errors: condition-unknown, condition-in-use (it has trials, corrections or files made for it).
    [[nodiscard]] Outcome removeCondition(const std::string& name);

    /// All conditions in the order they were entered.
    [[nodiscard]] Result<std::vector<ConditionRecord>> conditions() const;

    /// One condition by its exact name.
    /// Errors: condition-unknown, with the nearest name.
    [[nodiscard]] Result<ConditionRecord> condition(const std::string& name) const;

    /// The conditions that share a driver's behaviour: same printer, inks and mode, whatever the paper.
    [[nodiscard]] Result<std::vector<ConditionRecord>> conditionsOfDriver(const std::string& printer,
                                                                          const std::string& inks,
                                                                          const std::string& mode) const;

    /// Enters a trial, with its reading where there is one, and hands back its number.
    /// Errors: condition-unknown, reading-twice (the same bytes are a reading of a trial of this condition
    /// that is not withdrawn), choice-invalid, correction-unknown (that it was printed through), and those of
    /// settingOnAxes() and checkReading().
    [[nodiscard]] Result<int> addTrial(const std::string& condition, const NewTrial& trial);

    /// Adds a further reading to a trial (measured again, or under another condition M) and hands back its
    /// number, 1 for the first.
    /// Errors: condition-unknown, trial-unknown, reading-twice, and those of checkReading().
    [[nodiscard]] Result<int> addReading(const std::string& condition, int trial, const NewReading& reading);

    /// All trials of a condition by number, withdrawn ones included.
    /// Errors: condition-unknown.
    [[nodiscard]] Result<std::vector<TrialRecord>> trials(const std::string& condition) const;

    /// Errors: condition-unknown. Cost: as many rows as the condition has trials, no patches.
    [[nodiscard]] Result<TrialCounts> trialCounts(const std::string& condition) const;

    /// One trial.
    /// Errors: condition-unknown, trial-unknown.
    [[nodiscard]] Result<TrialRecord> trial(const std::string& condition, int number) const;

    /// Takes a trial out of the account and says why and when; it stays in the book. Once more: the new
    /// reason and time count. Errors: condition-unknown, trial-unknown, reason-missing, time-invalid.
    [[nodiscard]] Outcome withdrawTrial(const std::string& condition, int number, const std::string& reason,
                                        const std::string& when);

    /// Makes a withdrawn trial count again.
    /// Errors: condition-unknown, trial-unknown.
    [[nodiscard]] Outcome restoreTrial(const std::string& condition, int number);

    /// The file that a reading came from, byte for byte, checked against its digest.
    /// Errors: condition-unknown, trial-unknown, reading-unknown, book-damaged (the digest does not fit).
    [[nodiscard]] Result<std::string> originalFile(const std::string& condition, int trial,
                                                   int reading = 1) const;

    /// Keeps what was concluded at `verdict.trial`.
    /// Errors: condition-unknown, trial-unknown, verdict-invalid (no kind or no text), time-invalid.
    [[nodiscard]] Outcome addVerdict(const std::string& condition, const VerdictRecord& verdict);

    /// The verdicts of a condition in the order they were reached; of one kind, or of all.
    /// Errors: condition-unknown.
    [[nodiscard]] Result<std::vector<VerdictRecord>> verdicts(const std::string& condition,
                                                              const std::string& kind = {}) const;

    /// Enters a light. Names of lights, scenes, glazings and viewers are unique within their kind and found
    /// whatever the case of A to Z.
    /// Errors: light-exists, and those of checkLight(); light-invalid also for a mix that, by way of other
    /// mixes of this book, holds itself.
    [[nodiscard]] Outcome addLight(const NewLight& light);

    /// The studio's own lights in the order they were entered.
    [[nodiscard]] Result<std::vector<LightRecord>> lights() const;

    /// The file that a light came from, byte for byte, checked against its digest; empty for a mix.
    /// Errors: light-unknown, with the nearest name; book-damaged (the digest does not fit).
    [[nodiscard]] Result<std::string> originalOfLight(const std::string& name) const;

    /// Deletes a light.
    /// Errors: light-unknown, with the nearest name; light-in-use, with the scene or mix that uses it.
    [[nodiscard]] Outcome removeLight(const std::string& name);

    /// Enters a scene. Its light and glazing may be ones that ship, so the book does not look for them.
    /// Errors: scene-exists, and those of checkScene().
    [[nodiscard]] Outcome addScene(const SceneRecord& scene);

    /// The studio's scenes in the order they were entered.
    [[nodiscard]] Result<std::vector<SceneRecord>> scenes() const;

    /// Deletes a scene.
    /// Errors: scene-unknown, with the nearest name.
    [[nodiscard]] Outcome removeScene(const std::string& name);

    /// Enters a glazing.
    /// Errors: glazing-exists, and those of checkGlazing().
    [[nodiscard]] Outcome addGlazing(const NewGlazing& glazing);

    /// The studio's own glazings in the order they were entered.
    [[nodiscard]] Result<std::vector<GlazingRecord>> glazings() const;

    /// The file that a glazing came from, byte for byte, checked against its digest.
    /// Errors: glazing-unknown, with the nearest name; book-damaged (the digest does not fit).
    [[nodiscard]] Result<std::string> originalOfGlazing(const std::string& name) const;

    /// Deletes a glazing.
    /// Errors: glazing-unknown, with the nearest name; glazing-in-use, with the scene that uses it.
    [[nodiscard]] Outcome removeGlazing(const std::string& name);

    /// Enters a viewer.
    /// Errors: viewer-exists, and those of checkViewer().
    [[nodiscard]] Outcome addViewer(const ViewerRecord& viewer);

    /// The studio's viewers in the order they were entered.
    [[nodiscard]] Result<std::vector<ViewerRecord>> viewers() const;

    /// Deletes a viewer.
    /// Errors: viewer-unknown, with the nearest name.
    [[nodiscard]] Outcome removeViewer(const std::string& name);

    /// Keeps a sheet. One of the same code and name is the same: its setting and time become the new ones.
    /// Errors: sheet-invalid (code, name or definition is missing), time-invalid.
    [[nodiscard]] Outcome addSheet(const SheetRecord& sheet);

    /// All sheets in the order they were first made.
    [[nodiscard]] Result<std::vector<SheetRecord>> sheets() const;

    /// The sheets of a code, or else those of a name, whatever the case, the one made last first; at least
    /// one. Errors: sheet-unknown, with the nearest name.
    [[nodiscard]] Result<std::vector<SheetRecord>> sheetsNamed(const std::string& nameOrCode) const;

    /// Keeps what was learned about a scanner or camera; what was known of it on the same paper goes.
    /// Errors: device-invalid (name or characterisation is missing), time-invalid.
    [[nodiscard]] Outcome keepDevice(const DeviceRecord& device);

    /// All scanners and cameras, in the order they were first learned.
    [[nodiscard]] Result<std::vector<DeviceRecord>> devices() const;

    /// Forgets a scanner or camera on all papers.
    /// Errors: device-unknown, with the nearest name.
    [[nodiscard]] Outcome removeDevice(const std::string& name);

    /// Keeps a correction and hands back its number. Errors: condition-unknown, trial-unknown,
    /// correction-unknown (that it replaces), correction-invalid (kind or content is missing, or no trial),
    /// trial-without-reading, time-invalid.
    [[nodiscard]] Result<int> addCorrection(const std::string& condition, const CorrectionRecord& correction);

    /// All corrections of a condition by number.
    /// Errors: condition-unknown.
    [[nodiscard]] Result<std::vector<CorrectionRecord>> corrections(const std::string& condition) const;

    /// Takes a correction out of use and says why and when; it stays in the book, and so does what was
    /// printed through it. Errors: condition-unknown, correction-unknown, reason-missing, time-invalid.
    [[nodiscard]] Outcome withdrawCorrection(const std::string& condition, int number,
                                             const std::string& reason, const std::string& when);

    /// Keeps what was made for a condition, all of it or nothing.
    /// Errors: condition-unknown, correction-unknown, made-file-invalid (kind or file is missing),
    /// time-invalid.
    [[nodiscard]] Outcome addMadeFiles(const std::string& condition, const std::vector<MadeFileRecord>& made);

    /// All files made for a condition in the order they were made.
    /// Errors: condition-unknown.
    [[nodiscard]] Result<std::vector<MadeFileRecord>> madeFiles(const std::string& condition) const;

    /// Reads the whole book and compares everything with everything: the file's structure, references between
    /// rows, and every original file with its digest.
    /// Errors: book-damaged, with the first thing found.
    [[nodiscard]] Outcome check() const;

    /// The file as it was named to open().
    [[nodiscard]] const std::filesystem::path& path() const;

  private:
    explicit Book(std::unique_ptr<Connection> connection);
    std::unique_ptr<Connection> connection_;
};

}  // namespace greywright::book

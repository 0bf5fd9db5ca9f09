#pragma once

#include <filesystem>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "book/book.h"
#include "colour/aim.h"
#include "judge/compare.h"
#include "judge/judge.h"
#include "measure/reading.h"
#include "steer/steer.h"

/// What both programs can do: the use cases, one function each.
namespace greywright::studio {

using Choices = std::map<std::string, std::string>;

/// A measurement file to be taken into the book as a new trial.
struct ReadRequest {
    std::filesystem::path file;
    std::string condition;
    book::Setting setting = {};                                  ///< empty: no tint, every axis at zero
    std::vector<double> tonesPercent = {};                       ///< for files that do not say
    Choices choices = {};                                        ///< the driver's named choices
    measure::Condition preferred = measure::Condition::unknown;  ///< of a file that holds several
    bool force = false;  ///< take it although its paper differs or it was read before
    std::string when = {};
};

/// What was taken in.
struct ReadSummary {
    int trial = 0;
    std::size_t patches = 0;
    bool spectral = false;
    std::string conditionM = {};  ///< "M0".."M3", or "unknown"
    book::Setting setting = {};
    std::vector<Note> notes = {};
};

/// A judged file or trial, and others of the condition beside it.
struct Judgement {
    judge::Verdict verdict = {};
    int trial = 0;  ///< 0 for a file
    book::Setting setting = {};
    std::vector<Note> notes = {};  ///< of the reading
    /// Ramps printed at different driver's choices, when the condition has several.
    std::vector<judge::Candidate> choices = {};
    judge::Comparison comparison = {};
};

struct JudgeRequest {
    colour::TintAimKind aim = colour::TintAimKind::fade;
    std::vector<std::string> lights = {};  ///< empty: the usual ones
};

/// A search with its surroundings.
struct Search {
    book::ConditionRecord condition = {};
    steer::History history = {};  ///< the trials that took part, not in the order of reading
    steer::Summary summary = {};
    Choices choices = {};                       ///< the driver's choices that the trials share
    std::vector<std::string> learnedFrom = {};  ///< conditions whose trials told about the driver
    std::optional<steer::DriverKnowledge> knowledge = {};
    std::vector<Note> notes = {};
};

struct SteerRequest {
    colour::TintAimKind aim = colour::TintAimKind::fade;
    std::optional<Choices> choices = {};  ///< absent: those of the latest trial
};

/// The use cases over one book. The book is opened for each call, so two programs may share it.
class Studio {
  public:
    explicit Studio(std::filesystem::path book) : book_(std::move(book)) {}

    /// Errors: those of book::Book throughout, besides those named.
    [[nodiscard]] Outcome addCondition(const book::ConditionRecord& condition) const;
    /// None when there is no book yet.
    [[nodiscard]] Result<std::vector<book::ConditionRecord>> conditions() const;
    [[nodiscard]] Result<book::ConditionRecord> condition(const std::string& name) const;
    [[nodiscard]] Result<std::vector<book::TrialRecord>> trials(const std::string& condition) const;
    [[nodiscard]] Outcome withdraw(const std::string& condition, int trial, const std::string& reason,
                                   const std::string& when) const;
    [[nodiscard]] Outcome restore(const std::string& condition, int trial) const;
    [[nodiscard]] Outcome check() const;

    /// Errors: those of measure::readingFromFile and rampFromReading; other-paper.
    [[nodiscard]] Result<ReadSummary> read(const ReadRequest& request) const;

    /// Errors: no-trials, trial-without-reading.
    [[nodiscard]] Result<Judgement> judgeTrial(const std::string& condition, std::optional<int> trial,
                                               const JudgeRequest& request) const;

    /// Errors: no-trials-with-choices.
    [[nodiscard]] Result<Search> steer(const std::string& condition, const SteerRequest& request) const;

    /// A trial's reading as CGATS text. Errors: trial-without-reading.
    [[nodiscard]] Result<std::string> cgatsOfTrial(const std::string& condition, int trial) const;

    /// The file that a trial was read from, byte for byte.
    [[nodiscard]] Result<std::string> originalOfTrial(const std::string& condition, int trial) const;

    /// One page about a condition, see report.h.
    [[nodiscard]] Result<std::string> report(const std::string& condition, const JudgeRequest& request,
                                             const std::string& when) const;

    /// Keeps what was concluded, unless the same was concluded last. A book that cannot be written is no
    /// error here: the answer stands without it, and the note says that it was not kept.
    [[nodiscard]] std::optional<Note> keepVerdict(const std::string& condition,
                                                  const book::VerdictRecord& verdict) const;

    [[nodiscard]] const std::filesystem::path& path() const { return book_; }

  private:
    [[nodiscard]] Result<book::Book> open(book::OpenMode mode) const { return book::Book::open(book_, mode); }

    [[nodiscard]] Result<book::Book> openExisting() const;

    std::filesystem::path book_;
};

/// Judges a file that need not be in any book.
[[nodiscard]] Result<Judgement> judgeFile(const std::filesystem::path& file,
                                          const std::vector<double>& tonesPercent,
                                          const JudgeRequest& request);

/// Program and version, for reports.
[[nodiscard]] std::string_view version();

}  // namespace greywright::studio

#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <SQLiteCpp/SQLiteCpp.h>

#include "book/records.h"
#include "book/statements.h"

// Records to rows and back, one function for each. Inside the module only: it names third-party types, and
// every function may throw SQLite::Exception.
namespace greywright::book::rows {

/// Conditions with their axes, in the order they were entered; `where` is SQL over the table's columns with a
/// `?` for each of `values`.
struct ConditionRow {
    Id id = 0;
    ConditionRecord record = {};
};
[[nodiscard]] std::vector<ConditionRow> conditions(SQLite::Database& database, std::string_view where = "1",
                                                   const std::vector<std::string>& values = {});
void addCondition(SQLite::Database& database, const ConditionRecord& condition);
/// All but the time of its entry.
void correctCondition(SQLite::Database& database, Id id, const ConditionRecord& condition);
void addChange(SQLite::Database& database, Id condition, const ConditionChangeRecord& change);
[[nodiscard]] std::vector<ConditionChangeRecord> changes(SQLite::Database& database, Id condition);
/// Whether trials, corrections or made files belong to it.
[[nodiscard]] bool isInUse(SQLite::Database& database, Id condition);
void removeCondition(SQLite::Database& database, Id id);

/// Trials with everything but the bytes of the original files; `number` 0 = all of them.
[[nodiscard]] std::vector<TrialRecord> trials(SQLite::Database& database, const ConditionRow& condition,
                                              int number = 0);
/// What each trial was printed at, by its number.
[[nodiscard]] std::vector<std::pair<int, Setting>> settings(SQLite::Database& database,
                                                            const ConditionRow& condition);
/// 0 when there is no such trial.
[[nodiscard]] Id trialId(SQLite::Database& database, Id condition, int number);
/// `trial.setting` in the order of the axes. Hands back the number given.
int addTrial(SQLite::Database& database, Id condition, const NewTrial& trial);
void setWithdrawn(SQLite::Database& database, Id trial, const std::optional<std::string>& because,
                  const std::optional<std::string>& when);

/// The number of the trial of `condition`, not withdrawn, that has a reading with this digest; 0 = none.
[[nodiscard]] int trialWithDigest(SQLite::Database& database, Id condition, const std::string& sha256);
/// `reading.reading.sha256` filled in. Hands back the number given.
int addReading(SQLite::Database& database, Id trial, const NewReading& reading);

/// A file as it was read in, and its digest then.
struct Original {
    std::string bytes = {};
    std::string sha256 = {};
};
/// Nothing when there is no such reading.
[[nodiscard]] std::optional<Original> original(SQLite::Database& database, Id trial, int reading);

[[nodiscard]] TrialCounts trialCounts(SQLite::Database& database, Id condition);
/// Of one kind; empty: all.
[[nodiscard]] std::vector<VerdictRecord> verdicts(SQLite::Database& database, Id condition,
                                                  const std::string& kind);
void addVerdict(SQLite::Database& database, Id trial, const VerdictRecord& verdict);

}  // namespace greywright::book::rows

#pragma once

#include <string>

#include <SQLiteCpp/SQLiteCpp.h>

#include "book/rows.h"
#include "book/viewing_rows.h"
#include "core/result.h"

// Inside the module only: may throw SQLite::Exception.
namespace greywright::book {

/// The key of an entry. Errors: WORD-unknown with the nearest name, e.g. light-unknown.
[[nodiscard]] Result<rows::Id> entryNamed(SQLite::Database& database, const rows::NamedTable& kind,
                                          const std::string& name);

/// Errors: condition-unknown with the nearest name.
[[nodiscard]] Result<rows::ConditionRow> conditionNamed(SQLite::Database& database, const std::string& name);

/// The key of a trial of a condition. Errors: condition-unknown, trial-unknown.
[[nodiscard]] Result<rows::Id> trialNumbered(SQLite::Database& database, const std::string& condition,
                                             int number);

/// The key of a correction. Errors: correction-unknown.
[[nodiscard]] Result<rows::Id> correctionNumbered(SQLite::Database& database,
                                                  const rows::ConditionRow& condition, int number);

}  // namespace greywright::book

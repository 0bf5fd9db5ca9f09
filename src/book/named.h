#pragma once

#include <string>

#include <SQLiteCpp/SQLiteCpp.h>

#include "book/viewing_rows.h"
#include "core/result.h"

// Inside the module only: may throw SQLite::Exception.
namespace greywright::book {

/// The key of an entry. Errors: WORD-unknown with the nearest name, e.g. light-unknown.
[[nodiscard]] Result<rows::Id> entryNamed(SQLite::Database& database, const rows::NamedTable& kind,
                                          const std::string& name);

}  // namespace greywright::book

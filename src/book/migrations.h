#pragma once

#include <span>

// Inside the module only: it names third-party types.
namespace SQLite {
class Database;
}

namespace greywright::book {

/// The `application_id` in the file's header that makes an SQLite file a book: "GrWr" in ASCII.
inline constexpr int kApplicationId = 0x47725772;

/// One SQL script for each version of the book, in order: the n-th takes a book of version n-1 to version n.
/// A script that a released program has run is never changed again; a new version adds one at the end.
[[nodiscard]] std::span<const char* const> migrations();

/// The version a book has now: how many scripts it has been through.
[[nodiscard]] int bookVersion(const SQLite::Database& database);

/// Brings an empty file or an older book up to the last of `scripts` in one transaction, all of it or
/// nothing. Errors: SQLite::Exception.
void migrate(SQLite::Database& database, std::span<const char* const> scripts);

}  // namespace greywright::book

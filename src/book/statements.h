#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <type_traits>
#include <vector>

#include <SQLiteCpp/SQLiteCpp.h>

// Values into SQL statements and out of their columns. Inside the module only: it names third-party types,
// and every function may throw SQLite::Exception.
namespace greywright::book::rows {

/// A row's key in its table.
using Id = std::int64_t;

/// A count as a value for a column.
[[nodiscard]] inline Id asId(std::size_t count) {
    return static_cast<Id>(count);
}

/// Doubles as a column keeps them. Shape: 8 bytes each, little-endian.
[[nodiscard]] std::string bytesFromDoubles(const std::vector<double>& values);

/// The way back.
[[nodiscard]] std::vector<double> doublesFromBytes(std::string_view bytes);

/// What a column holds; nothing for NULL.
[[nodiscard]] std::optional<double> optionalNumber(const SQLite::Column& column);
[[nodiscard]] std::optional<std::string> optionalText(const SQLite::Column& column);

inline void bindAll(SQLite::Statement&, int) {}

/// Binds values to the statement's question marks, in order from the `at`-th; an absent value and an empty
/// list of doubles become NULL.
template <typename First, typename... Rest>
void bindAll(SQLite::Statement& statement, int at, const First& first, const Rest&... rest) {
    if constexpr (std::is_same_v<First, std::optional<double>> ||
                  std::is_same_v<First, std::optional<std::string>>) {
        if (first) {
            statement.bind(at, *first);
        } else {
            statement.bind(at);
        }
    } else if constexpr (std::is_same_v<First, std::vector<double>>) {
        if (first.empty()) {
            statement.bind(at);
        } else {
            const std::string bytes = bytesFromDoubles(first);
            statement.bind(at, bytes.data(), static_cast<int>(bytes.size()));
        }
    } else {
        statement.bind(at, first);
    }
    bindAll(statement, at + 1, rest...);
}

/// A statement with all its values.
template <typename... Values>
[[nodiscard]] SQLite::Statement prepared(SQLite::Database& database, const std::string& sql,
                                         const Values&... values) {
    SQLite::Statement statement(database, sql);
    bindAll(statement, 1, values...);
    return statement;
}

/// Runs a statement that gives no rows.
template <typename... Values>
void run(SQLite::Database& database, const std::string& sql, const Values&... values) {
    prepared(database, sql, values...).exec();
}

/// The first column of the first row; 0 when there is none.
template <typename... Values>
[[nodiscard]] Id oneNumber(SQLite::Database& database, const std::string& sql, const Values&... values) {
    SQLite::Statement statement = prepared(database, sql, values...);
    return statement.executeStep() ? statement.getColumn(0).getInt64() : 0;
}

}  // namespace greywright::book::rows

#pragma once

#include <chrono>
#include <filesystem>
#include <memory>
#include <span>

#include <SQLiteCpp/SQLiteCpp.h>

#include "book/book.h"
#include "book/migrations.h"
#include "core/result.h"

namespace greywright::book {

/// An open book file. Inside the module only: it names third-party types. SQLiteCpp reports through
/// exceptions; they are turned into Results here, and nowhere else.
class Connection {
  public:
    /// As Book::open(), for any list of migrations so that tests can add versions.
    [[nodiscard]] static Result<std::unique_ptr<Connection>> open(
        const std::filesystem::path& path, OpenMode mode, std::chrono::milliseconds patience,
        std::span<const char* const> scripts = migrations());

    /// Runs `work(database)`, which returns a Result, on one unchanging view of the book.
    template <typename Work>
    [[nodiscard]] auto read(Work work) -> decltype(work(std::declval<SQLite::Database&>())) {
        try {
            const SQLite::Transaction view(database_, SQLite::TransactionBehavior::DEFERRED);
            return placed(work(database_));
        } catch (const SQLite::Exception& problem) {
            return readingFailed(path_, problem);
        }
    }

    /// Runs `work(database)` as one transaction; when it returns an error, nothing has happened.
    template <typename Work>
    [[nodiscard]] auto write(Work work) -> decltype(work(std::declval<SQLite::Database&>())) {
        if (!writable_) return readOnly(path_);
        try {
            SQLite::Transaction change(database_, SQLite::TransactionBehavior::IMMEDIATE);
            auto result = work(database_);
            if (result) change.commit();
            return placed(std::move(result));
        } catch (const SQLite::Exception& problem) {
            return writingFailed(path_, problem);
        }
    }

    [[nodiscard]] const std::filesystem::path& path() const { return path_; }

  private:
    Connection(std::filesystem::path path, SQLite::Database database, bool writable)
        : path_(std::move(path)), database_(std::move(database)), writable_(writable) {}

    [[nodiscard]] static Error readOnly(const std::filesystem::path& path);
    [[nodiscard]] static Error readingFailed(const std::filesystem::path& path,
                                             const SQLite::Exception& problem);
    [[nodiscard]] static Error writingFailed(const std::filesystem::path& path,
                                             const SQLite::Exception& problem);

    template <typename T>
    [[nodiscard]] Result<T> placed(Result<T> result) const {
        if (result || !result.error().where.path.empty()) return result;
        Error error = std::move(result).error();
        error.where.path = path_.string();
        return error;
    }

    std::filesystem::path path_;
    SQLite::Database database_;
    bool writable_;
};

}  // namespace greywright::book

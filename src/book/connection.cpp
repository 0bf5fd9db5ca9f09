#include "book/connection.h"

#include <fstream>
#include <string_view>
#include <system_error>

#include <SQLiteCpp/Backup.h>
#include <fmt/format.h>
#include <sqlite3.h>

#include "book/errors.h"
#include "core/said.h"

namespace greywright::book {
namespace {

namespace fs = std::filesystem;

enum class Content { nothing, book, somethingElse, unreadable };

// Looked up in the file's first bytes, so that SQLite never opens (and perhaps tidies up) a stranger's
// database. A book's very first transaction writes its application_id: without it there is no book.
// Source: SQLite, "Database File Format", section 1.3: magic at 0, big-endian application_id at 68.
Content contentOf(const fs::path& path) {
    std::error_code problem;
    const fs::file_status status = fs::status(path, problem);
    if (!fs::exists(status)) {
        return status.type() == fs::file_type::not_found ? Content::nothing : Content::unreadable;
    }
    if (!fs::is_regular_file(status)) return Content::unreadable;
    std::ifstream file(path, std::ios::binary);
    if (!file) return Content::unreadable;
    constexpr std::string_view kMagic("SQLite format 3\0", 16);
    std::string header(72, '\0');
    file.read(header.data(), static_cast<std::streamsize>(header.size()));
    if (file.bad()) return Content::unreadable;
    if (file.gcount() == 0) return Content::nothing;
    if (static_cast<std::size_t>(file.gcount()) < header.size() || !header.starts_with(kMagic)) {
        return Content::somethingElse;
    }
    std::string id;
    for (int shift = 24; shift >= 0; shift -= 8) id += static_cast<char>(kApplicationId >> shift & 0xff);
    return header.compare(68, 4, id) == 0 ? Content::book : Content::somethingElse;
}

Error notFound(const fs::path& path) {
    return {.code = "book-not-found",
            .what = said("there is no book here yet"),
            .where = {.path = path.string()},
            .next = said("Check the name, or enter a printing condition: that starts a new book")};
}

Error notABook(const fs::path& path) {
    return {.code = "not-a-book",
            .what = said("is a file of another kind and was left as it is"),
            .where = {.path = path.string()},
            .next = said("Name the book itself, or another file to start a new book in")};
}

Error newer(const fs::path& path, int version, std::size_t known) {
    return {.code = "book-newer",
            .what = said("was written by a newer version of this program (book version {}, this one "
                         "knows {})",
                         version, known),
            .where = {.path = path.string()},
            .next = said("Update this program; the book was left as it is")};
}

Error locked(const fs::path& path, ErrorKind kind) {
    return {.kind = kind,
            .code = "book-locked",
            .what = said("another program is working in the book and did not finish in time"),
            .where = {.path = path.string()},
            .next = said("Close the other program or try again")};
}

Error unreadable(const fs::path& path, std::string_view why) {
    return {.code = "book-unreadable",
            .what = said("cannot be read ({})", why),
            .where = {.path = path.string()},
            .next = said(
                "Check that it is a file that you may read, and write if another program was ended in the "
                "middle of a change")};
}

Error notWritten(const fs::path& path, std::string_view why) {
    return {.kind = ErrorKind::cannotWrite,
            .code = "book-not-written",
            .what = said("could not be written ({})", why),
            .where = {.path = path.string()},
            .next = said("Check that you may write to the file and its folder; nothing was changed")};
}

// Prepares a database just opened by SQLite: an SQLite::Exception on the way is the caller's.
void prepare(SQLite::Database& database, std::chrono::milliseconds patience) {
    database.setBusyTimeout(static_cast<int>(patience.count()));
    database.exec("PRAGMA foreign_keys = ON");
    // EXTRA also pushes the end of the journal to the disc: what was reported as kept survives a power cut.
    database.exec("PRAGMA synchronous = EXTRA");
}

SQLite::Database upgradedCopy(SQLite::Database& old, std::chrono::milliseconds patience,
                              std::span<const char* const> scripts) {
    SQLite::Database copy(":memory:", SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE);
    const int copied = SQLite::Backup(copy, old).executeStep(-1);
    if (copied != SQLITE_DONE) throw SQLite::Exception(old.getHandle(), copied);
    prepare(copy, patience);
    migrate(copy, scripts);
    return copy;
}

}  // namespace

Error Connection::readOnly(const fs::path& path) {
    return {.kind = ErrorKind::cannotWrite,
            .code = "book-read-only",
            .what = said("is open for reading only"),
            .where = {.path = path.string()},
            .next = said("Use a book that you may write to")};
}

Error Connection::readingFailed(const fs::path& path, const SQLite::Exception& problem) {
    switch (problem.getErrorCode() & 0xff) {
        case SQLITE_BUSY:
        case SQLITE_LOCKED:
            return locked(path, ErrorKind::badInput);
        // Beside damaged pages: a table or a column that is not there, a value of the wrong type.
        case SQLITE_ERROR:
        case SQLITE_CORRUPT:
        case SQLITE_NOTADB:
        case SQLITE_CONSTRAINT:
        case SQLITE_MISMATCH:
            return damaged(said("is damaged ({})", problem.what()), {.path = path.string()});
        default:
            return unreadable(path, problem.what());
    }
}

Error Connection::writingFailed(const fs::path& path, const SQLite::Exception& problem) {
    switch (problem.getErrorCode() & 0xff) {
        case SQLITE_BUSY:
        case SQLITE_LOCKED:
            return locked(path, ErrorKind::cannotWrite);
        case SQLITE_READONLY:
            return readOnly(path);
        case SQLITE_FULL:
            return {.kind = ErrorKind::cannotWrite,
                    .code = "disc-full",
                    .what = said("there is no room left for it"),
                    .where = {.path = path.string()},
                    .next = said("Free some space and do it again; nothing was changed")};
        case SQLITE_CANTOPEN:
        case SQLITE_IOERR:
        case SQLITE_PERM:
        case SQLITE_TOOBIG:
            return notWritten(path, problem.what());
        default:
            return readingFailed(path, problem);
    }
}

Result<std::unique_ptr<Connection>> Connection::open(const fs::path& path, OpenMode mode,
                                                     std::chrono::milliseconds patience,
                                                     std::span<const char* const> scripts) {
    const bool writing = mode == OpenMode::readWrite;
    const Content content = contentOf(path);
    if (content == Content::unreadable) return unreadable(path, said("no file, or none that may be read"));
    if (content == Content::somethingElse) return notABook(path);
    if (content == Content::nothing && !writing) return notFound(path);
    std::error_code problem;
    // Absolute, because SQLite gives names like ":memory:" a meaning of their own.
    const fs::path file = fs::absolute(path, problem);
    if (content == Content::nothing) {
        if (!problem) fs::create_directories(file.parent_path(), problem);
        if (problem) return notWritten(path, problem.message());
    }
    try {
        // For reading, too: only so can a change that was cut off half done be taken back.
        SQLite::Database database(file, SQLite::OPEN_READWRITE | (writing ? SQLite::OPEN_CREATE : 0),
                                  static_cast<int>(patience.count()));
        prepare(database, patience);
        const int version = bookVersion(database);
        if (version < 0)
            return damaged(said("is damaged (its version is {})", version), {.path = path.string()});
        const auto reached = static_cast<std::size_t>(version);
        if (reached > scripts.size()) return newer(path, version, scripts.size());
        const bool writable = sqlite3_db_readonly(database.getHandle(), "main") == 0;
        if (!writing) {
            // Version 0: the program that was about to create it was ended before it could.
            if (reached == 0) return notFound(path);
            if (reached < scripts.size()) database = upgradedCopy(database, patience, scripts);
            database.exec("PRAGMA query_only = ON");
        } else if (reached < scripts.size()) {
            migrate(database, scripts);
        }
        return std::unique_ptr<Connection>(new Connection(path, std::move(database), writing && writable));
    } catch (const SQLite::Exception& exception) {
        return writing ? writingFailed(path, exception) : readingFailed(path, exception);
    }
}

}  // namespace greywright::book

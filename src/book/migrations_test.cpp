#include "book/migrations.h"

#include <array>

#include <SQLiteCpp/SQLiteCpp.h>
#include <gtest/gtest.h>

#include "book/book.h"
#include "book/connection.h"
#include "book/sample.h"
#include "core/files.h"
#include "testing/near.h"
#include "testing/temporary_folder.h"

namespace greywright::book {
namespace {

using greywright::testing::succeeded;
using greywright::testing::TemporaryFolder;
using std::chrono::milliseconds;

constexpr milliseconds kImpatient{50};
constexpr const char* kAddColumn = "ALTER TABLE trials ADD COLUMN mood TEXT NOT NULL DEFAULT 'calm'";
constexpr const char* kAddTable = "CREATE TABLE moods (name TEXT) STRICT";

class Migrations : public ::testing::Test {
  protected:
    Migrations() {
        auto book = Book::open(path_, OpenMode::readWrite);
        EXPECT_TRUE(succeeded(book));
        EXPECT_TRUE(succeeded(book->addCondition(sample::condition())));
        EXPECT_TRUE(succeeded(book->addTrial("Pearl", sample::trial(0, 0))));
    }

    static std::vector<const char*> withMore(std::initializer_list<const char*> more) {
        std::vector<const char*> scripts(migrations().begin(), migrations().end());
        scripts.insert(scripts.end(), more);
        return scripts;
    }

    static Result<std::string> moodOfTheFirstTrial(Connection& connection) {
        return connection.read([](SQLite::Database& database) -> Result<std::string> {
            SQLite::Statement row(database, "SELECT mood FROM trials");
            row.executeStep();
            return row.getColumn(0).getString();
        });
    }

    std::string bytes() const { return readWholeFile(path_).value(); }
    int version() const { return bookVersion(SQLite::Database(path_)); }

    TemporaryFolder folder_;
    std::filesystem::path path_ = folder_ / "studio.book";
};

TEST_F(Migrations, ANewBookIsMarkedAndOfTheLatestVersion) {
    SQLite::Database database(path_);
    EXPECT_EQ(bookVersion(database), static_cast<int>(migrations().size()));
    EXPECT_EQ(database.execAndGet("PRAGMA application_id").getInt(), kApplicationId);
    EXPECT_EQ(database.execAndGet("PRAGMA journal_mode").getString(), "delete");
}

TEST_F(Migrations, AnOlderBookIsBroughtUpToDateWithAllItHolds) {
    const auto scripts = withMore({kAddColumn, kAddTable});
    auto connection = Connection::open(path_, OpenMode::readWrite, kImpatient, scripts);
    ASSERT_TRUE(succeeded(connection));
    EXPECT_EQ(moodOfTheFirstTrial(**connection).value(), "calm");
    EXPECT_EQ(version(), static_cast<int>(migrations().size()) + 2);
    EXPECT_EQ(Book::open(path_, OpenMode::readOnly).error().code, "book-newer");
}

TEST_F(Migrations, EveryScriptRunsOnce) {
    const auto scripts = withMore({kAddTable});
    for (int round = 0; round < 2; ++round) {
        EXPECT_TRUE(succeeded(Connection::open(path_, OpenMode::readWrite, kImpatient, scripts)));
    }
}

TEST_F(Migrations, ReadOnlyAnOlderBookIsReadFromACopy) {
    const std::string before = bytes();
    auto connection = Connection::open(path_, OpenMode::readOnly, kImpatient, withMore({kAddColumn}));
    ASSERT_TRUE(succeeded(connection));
    EXPECT_EQ(moodOfTheFirstTrial(**connection).value(), "calm");
    const auto change = [](SQLite::Database&) -> Outcome { return Done{}; };
    EXPECT_EQ((*connection)->write(change).error().code, "book-read-only");
    EXPECT_EQ(bytes(), before);
}

TEST_F(Migrations, AScriptThatFailsLeavesTheBookAsItWas) {
    const std::string before = bytes();
    const auto result = Connection::open(path_, OpenMode::readWrite, kImpatient,
                                         withMore({kAddTable, "CREATE TABLE trials (id)"}));
    ASSERT_FALSE(result);
    EXPECT_EQ(result.error().code, "book-damaged");
    EXPECT_EQ(bytes(), before);
}

TEST_F(Migrations, AnUpgradeWaitsForItsTurn) {
    SQLite::Database other(path_, SQLite::OPEN_READWRITE);
    const SQLite::Transaction writing(other, SQLite::TransactionBehavior::IMMEDIATE);
    const auto result = Connection::open(path_, OpenMode::readWrite, kImpatient, withMore({kAddTable}));
    ASSERT_FALSE(result);
    EXPECT_EQ(result.error().code, "book-locked");
    EXPECT_EQ(result.error().kind, ErrorKind::cannotWrite);
}

}  // namespace
}  // namespace greywright::book

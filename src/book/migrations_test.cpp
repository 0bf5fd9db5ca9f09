#include "book/migrations.h"

#include <array>

#include <SQLiteCpp/SQLiteCpp.h>
#include <gtest/gtest.h>

#include "book/book.h"
#include "book/connection.h"
#include "book/sample.h"
#include "book/sha256.h"
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

// A book that version 1 filled, as it is or brought up to version 2 since.
class OlderBook : public ::testing::TestWithParam<std::size_t> {
  protected:
    OlderBook() {
        SQLite::Database database(path_, SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE);
        migrate(database, migrations().first(1));
        database.exec(R"sql(
INSERT INTO conditions VALUES
    (1, 'Pearl', 'Studio printer', 'Six greys', 'Pearl 300', 'Monochrome', '2031-04-05T06:07:08Z');
INSERT INTO axes VALUES (1, 1, 'across', -50, 50, 1), (1, 2, 'up', -1, 1, 0.1);
INSERT INTO trials VALUES (1, 1, 1, '2031-04-05T06:07:08Z', NULL), (2, 1, 2, '2031-04-05T06:07:08Z', 'dust');
INSERT INTO settings VALUES (1, 1, -8), (1, 2, 0.3), (2, 1, 0), (2, 2, 0);
INSERT INTO choices VALUES (1, 'tone', 'dark');
INSERT INTO readings VALUES (1, 1, 1, '2031-04-05T06:07:08Z', 'ramp.txt',
    'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad', 'CGATS', 'M1', 'Spectro', '',
    380, 10, 2, CAST('abc' AS BLOB));
INSERT INTO reading_notes VALUES (1, 1, 'tones-assumed', 'evenly spaced tones are assumed', '', 0, '');
INSERT INTO patches VALUES
    (1, 1, 'A1', 0, 96.1, -0.2, 0.5, 12, x'000000000000F03F000000000000E03F'),
    (1, 2, 'A2', 100, NULL, NULL, NULL, 13, NULL);
INSERT INTO verdicts VALUES (1, 1, 'judge', '{}', '2031-04-05T06:07:08Z');
)sql");
        migrate(database, migrations().first(GetParam()));
    }

    static void expectAllThere(const Book& book) {
        EXPECT_TRUE(succeeded(book.check()));
        EXPECT_EQ(book.condition("Pearl").value(), sample::condition());
        const auto trials = book.trials("Pearl").value();
        ASSERT_EQ(trials.size(), 2U);
        EXPECT_EQ(trials[0].setting, (Setting{{"across", -8}, {"up", 0.3}}));
        EXPECT_EQ(trials[0].choices.at("tone"), "dark");
        EXPECT_FALSE(trials[0].isWithdrawn());
        ASSERT_EQ(trials[0].readings.size(), 1U);
        EXPECT_EQ(trials[0].readings[0].notes.size(), 1U);
        ASSERT_EQ(trials[0].readings[0].patches.size(), 2U);
        EXPECT_EQ(trials[0].readings[0].patches[0].reflectance, (std::vector<double>{1, 0.5}));
        EXPECT_EQ(book.originalFile("Pearl", 1).value(), "abc");
        EXPECT_EQ(trials[1].withdrawnBecause, "dust");
        EXPECT_FALSE(trials[1].withdrawnWhen) << "version 1 did not keep it";
        EXPECT_EQ(book.verdicts("Pearl").value().size(), 1U);
        EXPECT_TRUE(book.lights().value().empty());
        EXPECT_TRUE(book.scenes().value().empty());
        EXPECT_TRUE(book.glazings().value().empty());
        EXPECT_TRUE(book.viewers().value().empty());
        EXPECT_FALSE(trials[0].readings[0].uncertainty);
        EXPECT_TRUE(book.sheets().value().empty());
        EXPECT_TRUE(book.devices().value().empty());
        EXPECT_EQ(trials[0].through, 0);
        EXPECT_FALSE(trials[0].readings[0].patches[0].codes);
        EXPECT_TRUE(book.corrections("Pearl").value().empty());
    }

    TemporaryFolder folder_;
    std::filesystem::path path_ = folder_ / "studio.book";
};

TEST_P(OlderBook, IsReadWithoutBeingChanged) {
    const std::string before = readWholeFile(path_).value();
    const auto book = Book::open(path_, OpenMode::readOnly);
    ASSERT_TRUE(succeeded(book));
    expectAllThere(*book);
    EXPECT_EQ(readWholeFile(path_).value(), before);
}

TEST_P(OlderBook, IsBroughtUpToDateAndWorkedOn) {
    {
        auto book = Book::open(path_, OpenMode::readWrite);
        ASSERT_TRUE(succeeded(book));
        expectAllThere(*book);
        EXPECT_TRUE(succeeded(book->addLight(sample::light())));
        EXPECT_TRUE(succeeded(book->addScene(sample::scene())));
        EXPECT_TRUE(succeeded(book->addGlazing(sample::glazing())));
        EXPECT_TRUE(succeeded(book->addViewer(sample::viewer())));
        EXPECT_TRUE(succeeded(book->addSheet(sample::sheet())));
        EXPECT_TRUE(succeeded(book->keepDevice(sample::device())));
        EXPECT_EQ(book->addCorrection("Pearl", sample::correction({1})).value(), 1);
        EXPECT_TRUE(succeeded(book->withdrawTrial("Pearl", 1, "dust", sample::kLater)));
    }
    const auto book = Book::open(path_, OpenMode::readOnly);
    ASSERT_TRUE(succeeded(book));
    EXPECT_TRUE(succeeded(book->check()));
    EXPECT_EQ(book->lights().value().size(), 1U);
    EXPECT_EQ(book->trial("Pearl", 1).value().withdrawnWhen, sample::kLater);
    EXPECT_EQ(bookVersion(SQLite::Database(path_)), static_cast<int>(migrations().size()));
}

INSTANTIATE_TEST_SUITE_P(Versions, OlderBook, ::testing::Values(1U, 2U, 3U, 4U));

// A script that books have been made with stays as it is: a change belongs into a new one.
TEST(MigrationScripts, StayAsTheyWereReleased) {
    EXPECT_EQ(sha256(migrations()[0]), "c3d1a5eac2c61c56b56f51df83439d2e71ebbdbfd61df7ae1156176126014bae");
    EXPECT_EQ(sha256(migrations()[1]), "284e4af1789bf3ab334dd08f7082c5c0afe1864da2fdfdb6e84a43fbd43ab43f");
    EXPECT_EQ(sha256(migrations()[2]), "f719e095ff80fee80784896deb5078fc2a32b23856d7f7821876ae42fee704f2");
    EXPECT_EQ(sha256(migrations()[3]), "860787afb2e33a7a1c32aa4f9ab31fc871388590fb8f32d2cb5733f6c367bca7");
}

}  // namespace
}  // namespace greywright::book

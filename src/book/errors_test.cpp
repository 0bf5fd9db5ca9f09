#include <cstdint>
#include <fstream>
#include <functional>
#include <map>

#include <SQLiteCpp/SQLiteCpp.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sqlite3.h>

#include "book/book.h"
#include "book/migrations.h"
#include "book/sample.h"
#include "core/files.h"
#include "testing/near.h"
#include "testing/temporary_folder.h"

// Every error: its code, its kind, its place, something to do about it, and a book that is as it was.
namespace greywright::book {
namespace {

using greywright::testing::succeeded;
using greywright::testing::TemporaryFolder;
using std::chrono::milliseconds;
using ::testing::HasSubstr;

constexpr milliseconds kImpatient{50};

class BookErrors : public ::testing::Test {
  protected:
    BookErrors() {
        Book book = open();
        EXPECT_TRUE(succeeded(book.addCondition(sample::condition())));
        EXPECT_TRUE(succeeded(book.addTrial("Pearl", sample::trial(0, 0, "first file"))));
    }

    Book open(OpenMode mode = OpenMode::readWrite) const {
        auto book = Book::open(path_, mode, kImpatient);
        EXPECT_TRUE(succeeded(book));
        return std::move(book).value();
    }

    std::string bytes() const { return readWholeFile(path_).value(); }

    /// Runs SQL in the file behind the book's back.
    void tamper(const std::string& sql) const {
        SQLite::Database database(path_, SQLite::OPEN_READWRITE);
        database.exec(sql);
    }

    /// The error that `work` on a book gives; checks kind, place, advice and that the file has not changed.
    template <typename Work>
    Error errorOf(Work work, ErrorKind kind, OpenMode mode = OpenMode::readWrite) const {
        const std::string before = bytes();
        Book book = open(mode);
        const auto result = work(book);
        EXPECT_FALSE(result);
        if (result) return {};
        EXPECT_EQ(result.error().kind, kind);
        EXPECT_EQ(result.error().where.path, path_.string());
        EXPECT_NE(result.error().next, "");
        EXPECT_EQ(bytes(), before) << "the book was changed";
        return result.error();
    }

    Error openingError(const std::filesystem::path& path, OpenMode mode) const {
        const auto result = Book::open(path, mode, kImpatient);
        EXPECT_FALSE(result);
        if (result) return {};
        EXPECT_EQ(result.error().where.path, path.string());
        EXPECT_NE(result.error().next, "");
        return result.error();
    }

    TemporaryFolder folder_;
    std::filesystem::path path_ = folder_ / "studio.book";
};

TEST_F(BookErrors, AConditionExistsOnce) {
    const auto error =
        errorOf([](Book& book) { return book.addCondition(sample::condition()); }, ErrorKind::wrongUse);
    EXPECT_EQ(error.code, "condition-exists");
    EXPECT_EQ(error.where.field, "Pearl");
}

TEST_F(BookErrors, AnUnsoundConditionIsNotEntered) {
    ConditionRecord condition = sample::condition("Cotton");
    condition.axes[1].step = 0.3;
    const auto error = errorOf([&](Book& book) { return book.addCondition(condition); }, ErrorKind::wrongUse);
    EXPECT_EQ(error.code, "axis-step-invalid");
    EXPECT_EQ(error.where.field, "up");
}

TEST_F(BookErrors, AnUnknownConditionIsNamedEverywhere) {
    const std::vector<std::function<Outcome(Book&)>> calls{
        [](Book& book) -> Outcome { return book.condition("Peerl").error(); },
        [](Book& book) -> Outcome { return book.addTrial("Peerl", sample::trial(0, 0)).error(); },
        [](Book& book) -> Outcome { return book.addReading("Peerl", 1, sample::reading("x")).error(); },
        [](Book& book) -> Outcome { return book.trials("Peerl").error(); },
        [](Book& book) -> Outcome { return book.trial("Peerl", 1).error(); },
        [](Book& book) -> Outcome { return book.originalFile("Peerl", 1).error(); },
        [](Book& book) -> Outcome { return book.verdicts("Peerl").error(); },
        [](Book& book) { return book.withdrawTrial("Peerl", 1, "why", sample::kWhen); },
        [](Book& book) { return book.restoreTrial("Peerl", 1); },
        [](Book& book) {
            return book.addVerdict("Peerl", {1, "judge", "{}", sample::kWhen});
        }};
    for (const auto& call : calls) {
        const auto error = errorOf(call, ErrorKind::wrongUse);
        EXPECT_EQ(error.code, "condition-unknown");
        EXPECT_EQ(error.where.field, "Peerl");
        EXPECT_EQ(error.next, "Did you mean \"Pearl\"?");
    }
    EXPECT_THAT(errorOf([](Book& book) { return book.condition("Matt"); }, ErrorKind::wrongUse).next,
                HasSubstr("List the conditions"));
}

TEST_F(BookErrors, AnUnknownTrialIsNamedEverywhere) {
    const std::vector<std::function<Outcome(Book&)>> calls{
        [](Book& book) -> Outcome { return book.addReading("Pearl", 2, sample::reading("x")).error(); },
        [](Book& book) -> Outcome { return book.trial("Pearl", 2).error(); },
        [](Book& book) -> Outcome { return book.originalFile("Pearl", 2).error(); },
        [](Book& book) { return book.withdrawTrial("Pearl", 2, "why", sample::kWhen); },
        [](Book& book) { return book.restoreTrial("Pearl", 2); },
        [](Book& book) {
            return book.addVerdict("Pearl", {2, "judge", "{}", sample::kWhen});
        }};
    for (const auto& call : calls) {
        const auto error = errorOf(call, ErrorKind::wrongUse);
        EXPECT_EQ(error.code, "trial-unknown");
        EXPECT_EQ(error.where.field, "trial 2");
    }
}

TEST_F(BookErrors, AReadingThatIsNotThere) {
    const auto error =
        errorOf([](Book& book) { return book.originalFile("Pearl", 1, 2); }, ErrorKind::wrongUse);
    EXPECT_EQ(error.code, "reading-unknown");
    EXPECT_EQ(error.where.field, "trial 1");
}

TEST_F(BookErrors, ATrialNeedsASettingOfItsCondition) {
    const std::pair<NewTrial, const char*> cases[] = {
        {sample::trial(51, 0), "setting-out-of-range"},
        {sample::trial(0.5, 0), "setting-off-step"},
        {{.setting = {{"across", 0}}, .when = sample::kWhen}, "setting-axis-missing"},
        {{.setting = {{"down", 0}}, .when = sample::kWhen}, "setting-axis-unknown"},
        {{.setting = {{"up", 0}, {"up", 0}, {"across", 0}}, .when = sample::kWhen}, "setting-axis-twice"},
        {{.setting = {{"up", 0}, {"across", 0}}, .choices = {{" ", "x"}}, .when = sample::kWhen},
         "choice-invalid"},
        {{.setting = {{"up", 0}, {"across", 0}}, .when = "today"}, "time-invalid"}};
    for (const auto& [trial, code] : cases) {
        EXPECT_EQ(errorOf([&entry = trial](Book& book) { return book.addTrial("Pearl", entry); },
                          ErrorKind::wrongUse)
                      .code,
                  code);
    }
}

TEST_F(BookErrors, TheSameFileTwiceIsNoticedUnlessItIsMeant) {
    NewTrial again = sample::trial(5, 0, "first file");
    again.reading->reading.fileName = "another name.txt";
    auto error = errorOf([&](Book& book) { return book.addTrial("Pearl", again); }, ErrorKind::wrongUse);
    EXPECT_EQ(error.code, "reading-twice");
    EXPECT_EQ(error.where.field, "another name.txt");
    EXPECT_THAT(error.what, HasSubstr("trial 1"));
    error =
        errorOf([&](Book& book) { return book.addReading("Pearl", 1, *again.reading); }, ErrorKind::wrongUse);
    EXPECT_EQ(error.code, "reading-twice");
    again.reading->evenIfReadBefore = true;
    EXPECT_EQ(open().addTrial("Pearl", again).value(), 2);
}

TEST_F(BookErrors, AReadingThatCannotBeKeptLeavesNoTrialBehind) {
    NewTrial trial = sample::trial(5, 0, "second file");
    trial.reading->reading.patches[0].reflectance.pop_back();
    const std::string before = bytes();
    const auto result = open().addTrial("Pearl", trial);
    ASSERT_FALSE(result);
    EXPECT_EQ(result.error().code, "reading-invalid");
    EXPECT_EQ(result.error().kind, ErrorKind::badInput);
    EXPECT_EQ(result.error().where.text(), "ramp.txt:12: A1");
    EXPECT_EQ(bytes(), before);
}

TEST_F(BookErrors, AWithdrawalNeedsAReason) {
    const auto error = errorOf([](Book& book) { return book.withdrawTrial("Pearl", 1, " ", sample::kWhen); },
                               ErrorKind::wrongUse);
    EXPECT_EQ(error.code, "reason-missing");
    EXPECT_EQ(error.where.field, "trial 1");
    const auto untimely = [](Book& book) { return book.withdrawTrial("Pearl", 1, "why", "late"); };
    EXPECT_EQ(errorOf(untimely, ErrorKind::wrongUse).code, "time-invalid");
}

TEST_F(BookErrors, AVerdictSaysSomething) {
    const std::pair<VerdictRecord, const char*> cases[] = {{{1, "", "{}", sample::kWhen}, "kind"},
                                                           {{1, "judge", "", sample::kWhen}, "json"}};
    for (const auto& [verdict, field] : cases) {
        const auto error = errorOf([&entry = verdict](Book& book) { return book.addVerdict("Pearl", entry); },
                                   ErrorKind::wrongUse);
        EXPECT_EQ(error.code, "verdict-invalid");
        EXPECT_EQ(error.where.field, field);
    }
    const auto late = [](Book& book) { return book.addVerdict("Pearl", {1, "judge", "{}", "late"}); };
    EXPECT_EQ(errorOf(late, ErrorKind::wrongUse).code, "time-invalid");
}

TEST_F(BookErrors, ReadOnlyMeansReadOnly) {
    const std::vector<std::function<Outcome(Book&)>> calls{
        [](Book& book) { return book.addCondition(sample::condition("New")); },
        [](Book& book) -> Outcome { return book.addTrial("Pearl", sample::trial(0, 0)).error(); },
        [](Book& book) -> Outcome { return book.addReading("Pearl", 1, sample::reading("x")).error(); },
        [](Book& book) { return book.withdrawTrial("Pearl", 1, "why", sample::kWhen); },
        [](Book& book) { return book.restoreTrial("Pearl", 1); },
        [](Book& book) {
            return book.addVerdict("Pearl", {1, "judge", "{}", sample::kWhen});
        }};
    for (const auto& call : calls) {
        EXPECT_EQ(errorOf(call, ErrorKind::cannotWrite, OpenMode::readOnly).code, "book-read-only");
    }
}

TEST_F(BookErrors, ReadingAnAbsentBookMakesNone) {
    const auto absent = folder_ / "absent" / "studio.book";
    EXPECT_EQ(openingError(absent, OpenMode::readOnly).code, "book-not-found");
    EXPECT_FALSE(std::filesystem::exists(absent.parent_path()));
    ASSERT_TRUE(succeeded(writeWholeFile(folder_ / "empty", "")));
    EXPECT_EQ(openingError(folder_ / "empty", OpenMode::readOnly).code, "book-not-found");
}

TEST_F(BookErrors, AnEmptyFileBecomesABook) {
    ASSERT_TRUE(succeeded(writeWholeFile(folder_ / "empty", "")));
    ASSERT_TRUE(succeeded(Book::open(folder_ / "empty", OpenMode::readWrite)));
    EXPECT_TRUE(succeeded(Book::open(folder_ / "empty", OpenMode::readOnly)));
}

TEST_F(BookErrors, AFileOfAnotherKindIsNeverTouched) {
    const auto database = [](const std::string& sql) {
        return [sql](const std::filesystem::path& file) {
            SQLite::Database made(file, SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE);
            made.exec(sql);
        };
    };
    const auto file = [](const std::string& content) {
        return [content](const std::filesystem::path& path) {
            EXPECT_TRUE(succeeded(writeWholeFile(path, content)));
        };
    };
    const std::map<std::string, std::function<void(const std::filesystem::path&)>> strangers{
        {"text", file("CGATS.17\nNUMBER_OF_FIELDS 4\n")},
        {"one byte", file("S")},
        {"long text", file(std::string(5000, 'x'))},
        {"cut short", file(bytes().substr(0, 60))},
        {"another program's", database("PRAGMA application_id = 1; CREATE TABLE conditions (id)")},
        {"nobody's", database("CREATE TABLE conditions (id)")},
        {"write-ahead", database("PRAGMA journal_mode = WAL; CREATE TABLE conditions (id)")}};
    for (const auto& [name, make] : strangers) {
        const auto path = folder_ / name;
        make(path);
        const std::string before = readWholeFile(path).value();
        const std::size_t files = folder_.count();
        for (const OpenMode mode : {OpenMode::readOnly, OpenMode::readWrite}) {
            const auto error = openingError(path, mode);
            EXPECT_EQ(error.code, "not-a-book") << name;
            EXPECT_EQ(error.kind, ErrorKind::badInput);
        }
        EXPECT_EQ(readWholeFile(path).value(), before) << name;
        EXPECT_EQ(folder_.count(), files) << name << ": something was made beside it";
    }
}

TEST_F(BookErrors, ABookFromTheFutureIsLeftAlone) {
    const auto next = migrations().size() + 1;
    tamper("PRAGMA user_version = " + std::to_string(next));
    const std::string before = bytes();
    for (const OpenMode mode : {OpenMode::readOnly, OpenMode::readWrite}) {
        const auto error = openingError(path_, mode);
        EXPECT_EQ(error.code, "book-newer");
        EXPECT_EQ(error.kind, ErrorKind::badInput);
        EXPECT_THAT(error.what, HasSubstr("book version " + std::to_string(next)));
    }
    EXPECT_EQ(bytes(), before);
}

TEST_F(BookErrors, AFolderIsNoBook) {
    for (const OpenMode mode : {OpenMode::readOnly, OpenMode::readWrite}) {
        const auto error = openingError(folder_.path(), mode);
        EXPECT_EQ(error.code, "book-unreadable");
        EXPECT_EQ(error.kind, ErrorKind::badInput);
    }
}

TEST_F(BookErrors, AFileWhereAFolderIsNeeded) {
    const auto error = openingError(path_ / "below" / "studio.book", OpenMode::readWrite);
    EXPECT_EQ(error.code, "book-not-written");
    EXPECT_EQ(error.kind, ErrorKind::cannotWrite);
}

// SQLite would take this name for a database that is never written to a file.
TEST_F(BookErrors, AStrangeNameIsANameLikeAnyOther) {
    const auto path = folder_ / ":memory:";
    {
        auto book = Book::open(path, OpenMode::readWrite);
        ASSERT_TRUE(succeeded(book));
    }
    EXPECT_TRUE(std::filesystem::exists(path));
    EXPECT_EQ(openingError("", OpenMode::readOnly).code, "book-not-found");
    EXPECT_EQ(openingError("", OpenMode::readWrite).code, "book-not-written");
}

TEST_F(BookErrors, ABookInUseIsWaitedForAndThenNamed) {
    SQLite::Database other(path_, SQLite::OPEN_READWRITE);
    const std::string before = bytes();
    Book book = open();
    {
        const SQLite::Transaction writing(other, SQLite::TransactionBehavior::IMMEDIATE);
        const auto result = book.addTrial("Pearl", sample::trial(1, 0));
        ASSERT_FALSE(result);
        EXPECT_EQ(result.error().code, "book-locked");
        EXPECT_EQ(result.error().kind, ErrorKind::cannotWrite);
        EXPECT_EQ(result.error().where.path, path_.string());
        EXPECT_EQ(book.trials("Pearl").value().size(), 1U) << "reading goes on while another program writes";
    }
    {
        const SQLite::Transaction closing(other, SQLite::TransactionBehavior::EXCLUSIVE);
        const auto result = book.trials("Pearl");
        ASSERT_FALSE(result);
        EXPECT_EQ(result.error().code, "book-locked");
        EXPECT_EQ(result.error().kind, ErrorKind::badInput);
        EXPECT_EQ(openingError(path_, OpenMode::readOnly).code, "book-locked");
    }
    {
        // A reader holds up the very end of a change.
        const SQLite::Transaction reading(other);
        other.execAndGet("SELECT count(*) FROM trials");
        EXPECT_EQ(book.addTrial("Pearl", sample::trial(1, 0)).error().code, "book-locked");
    }
    EXPECT_EQ(bytes(), before);
    EXPECT_EQ(book.addTrial("Pearl", sample::trial(1, 0)).value(), 2) << "and works again afterwards";
}

// A full disc, as SQLite sees it: every database opened from now on may not grow.
class NoRoom {
  public:
    explicit NoRoom(int pages) {
        pages_ = pages;
        sqlite3_auto_extension(reinterpret_cast<void (*)()>(&limit));
    }
    ~NoRoom() { sqlite3_reset_auto_extension(); }
    NoRoom(const NoRoom&) = delete;
    NoRoom& operator=(const NoRoom&) = delete;

  private:
    static int limit(sqlite3* database, char**, const void*) {
        const std::string sql = "PRAGMA max_page_count = " + std::to_string(pages_);
        return sqlite3_exec(database, sql.c_str(), nullptr, nullptr, nullptr);
    }
    inline static int pages_ = 0;
};

TEST_F(BookErrors, AFullDiscLeavesTheBookAsItWas) {
    const NoRoom full(1);
    const auto big = [](Book& book) {
        return book.addTrial("Pearl", sample::trial(1, 0, std::string(100000, 'x')));
    };
    EXPECT_EQ(errorOf(big, ErrorKind::cannotWrite).code, "disc-full");
    EXPECT_EQ(open().trials("Pearl").value().size(), 1U);
    EXPECT_TRUE(succeeded(open().check()));
}

TEST_F(BookErrors, AFullDiscAtTheStartMakesNoBook) {
    const auto path = folder_ / "second.book";
    {
        const NoRoom full(3);
        const auto error = openingError(path, OpenMode::readWrite);
        EXPECT_EQ(error.code, "disc-full");
        EXPECT_EQ(error.kind, ErrorKind::cannotWrite);
    }
    EXPECT_TRUE(succeeded(Book::open(path, OpenMode::readWrite))) << "and it works once there is room";
}

TEST_F(BookErrors, AMissingTableIsDamage) {
    tamper("PRAGMA foreign_keys = OFF; DROP TABLE verdicts");
    EXPECT_EQ(errorOf([](Book& book) { return book.verdicts("Pearl"); }, ErrorKind::badInput).code,
              "book-damaged");
    const auto add = [](Book& book) { return book.addVerdict("Pearl", {1, "judge", "{}", sample::kWhen}); };
    EXPECT_EQ(errorOf(add, ErrorKind::badInput).code, "book-damaged");
}

TEST_F(BookErrors, AVersionBelowNoneIsDamage) {
    tamper("PRAGMA user_version = -1");
    EXPECT_EQ(openingError(path_, OpenMode::readOnly).code, "book-damaged");
}

TEST_F(BookErrors, ABookCutShortIsDamage) {
    std::filesystem::resize_file(path_, std::uintmax_t{3} * 4096);
    const auto opened = Book::open(path_, OpenMode::readOnly);
    const Outcome outcome = opened ? opened->check() : opened.error();
    ASSERT_FALSE(outcome);
    EXPECT_EQ(outcome.error().code, "book-damaged");
}

TEST_F(BookErrors, AnOverwrittenPageIsDamage) {
    {
        std::fstream file(path_, std::ios::binary | std::ios::in | std::ios::out);
        file.seekp(4096);
        file << std::string(std::size_t{3} * 4096, '\x55');
    }
    const auto book = Book::open(path_, OpenMode::readOnly);
    ASSERT_TRUE(succeeded(book));
    EXPECT_EQ(book->check().error().code, "book-damaged");
    EXPECT_EQ(book->trials("Pearl").error().code, "book-damaged");
}

TEST_F(BookErrors, AChangedOriginalIsNoticed) {
    tamper("UPDATE readings SET original = CAST('First file' AS BLOB)");
    const auto error = errorOf([](Book& book) { return book.originalFile("Pearl", 1); }, ErrorKind::badInput);
    EXPECT_EQ(error.code, "book-damaged");
    EXPECT_EQ(error.where.field, "trial 1");
    const auto found = errorOf([](Book& book) { return book.check(); }, ErrorKind::badInput);
    EXPECT_EQ(found.code, "book-damaged");
    EXPECT_EQ(found.where.field, "readings, id 1");
}

TEST_F(BookErrors, ARowThatBelongsToNothingIsNoticed) {
    tamper("PRAGMA foreign_keys = OFF; INSERT INTO choices VALUES (77, 'tone', 'dark')");
    const auto error = errorOf([](Book& book) { return book.check(); }, ErrorKind::badInput);
    EXPECT_EQ(error.code, "book-damaged");
    EXPECT_EQ(error.where.field, "choices");
}

}  // namespace
}  // namespace greywright::book

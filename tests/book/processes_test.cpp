#include <array>
#include <chrono>
#include <csignal>
#include <map>
#include <memory>
#include <random>
#include <set>
#include <string>
#include <thread>
#include <vector>

#include <fcntl.h>
#include <gtest/gtest.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include "book/book.h"
#include "core/files.h"
#include "expected_trial.h"
#include "testing/near.h"
#include "testing/temporary_folder.h"

extern char** environ;  // NOLINT(readability-redundant-declaration): POSIX asks for it

namespace greywright::book {
namespace {

using greywright::testing::succeeded;
using greywright::testing::TemporaryFolder;

/// A running book_child, with what it says on standard output.
class Child {
  public:
    explicit Child(std::vector<std::string> words) {
        words.insert(words.begin(), BOOK_CHILD);
        std::vector<char*> pointers;
        pointers.reserve(words.size() + 1);
        for (std::string& word : words) pointers.push_back(word.data());
        pointers.push_back(nullptr);
        std::array<int, 2> ends{};
        expects(pipe(ends.data()) == 0, "a pipe");
        // Only the copy that becomes its standard output goes to the child.
        for (const int end : ends) fcntl(end, F_SETFD, FD_CLOEXEC);
        posix_spawn_file_actions_t actions;
        posix_spawn_file_actions_init(&actions);
        posix_spawn_file_actions_adddup2(&actions, ends[1], STDOUT_FILENO);
        expects(posix_spawn(&process_, BOOK_CHILD, &actions, nullptr, pointers.data(), environ) == 0,
                "a child");
        posix_spawn_file_actions_destroy(&actions);
        close(ends[1]);
        output_ = ends[0];
        // It says "started" first: whatever time a program takes to start does not count.
        while (said_.find('\n') == std::string::npos && hear()) {
        }
        said_.erase(0, said_.find('\n') + 1);
    }
    ~Child() {
        if (process_ > 0) finish();
        close(output_);
    }
    Child(const Child&) = delete;
    Child& operator=(const Child&) = delete;

    void kill() const { ::kill(process_, SIGKILL); }

    /// Reads what it says until it ends, and hands back its exit code; -1 when it was killed.
    int finish() {
        while (hear()) {
        }
        int status = 0;
        waitpid(process_, &status, 0);
        process_ = 0;
        return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
    }

    /// The lines it said, after finish().
    [[nodiscard]] std::vector<std::string> lines() const {
        std::vector<std::string> all;
        std::size_t start = 0;
        for (std::size_t end = 0; (end = said_.find('\n', start)) != std::string::npos; start = end + 1) {
            all.push_back(said_.substr(start, end - start));
        }
        return all;
    }

  private:
    /// Waits for more of what it says; false when it has ended.
    bool hear() {
        std::array<char, 4096> part{};
        const ssize_t got = read(output_, part.data(), part.size());
        if (got <= 0) return false;
        said_.append(part.data(), static_cast<std::size_t>(got));
        return true;
    }

    pid_t process_ = 0;
    int output_ = -1;
    std::string said_;
};

void letRunFor(std::mt19937& random, int fromMicroseconds, int toMicroseconds) {
    std::uniform_int_distribution<int> time(fromMicroseconds, toMicroseconds);
    std::this_thread::sleep_for(std::chrono::microseconds(time(random)));
}

bool wasCutOff(const std::filesystem::path& book) {
    return std::filesystem::exists(book.string() + "-journal");
}

TEST(BookProcesses, AKillAtAnyMomentLosesNothingThatWasEntered) {
    const TemporaryFolder folder;
    const auto path = folder / "studio.book";
    std::mt19937 random(20310405);
    std::size_t told = 0;
    int cutOff = 0;
    int kills = 0;
    // On a slow disc more rounds than 50, until enough has been entered for the test to mean something.
    for (; kills < 50 || ((told < 30 || cutOff < 5) && kills < 1000); ++kills) {
        Child child({path.string(), "Pearl", "1", "1000000"});
        letRunFor(random, 1000, 200000);
        child.kill();
        ASSERT_EQ(child.finish(), -1) << "it ended by itself";
        told += child.lines().size();
        if (wasCutOff(path)) ++cutOff;

        // Whoever comes next, reading or writing, finds the book in order.
        if (!std::filesystem::exists(path)) continue;
        const auto book = Book::open(path, kills % 2 == 0 ? OpenMode::readOnly : OpenMode::readWrite);
        if (!book && book.error().code == "book-not-found") continue;
        ASSERT_TRUE(succeeded(book));
        ASSERT_TRUE(succeeded(book->check()));
    }
    auto book = Book::open(path, OpenMode::readWrite);
    ASSERT_TRUE(succeeded(book));
    ASSERT_TRUE(succeeded(book->check()));
    const auto trials = book->trials("Pearl");
    ASSERT_TRUE(succeeded(trials));
    EXPECT_GE(trials->size(), told) << "a trial that was reported as entered is missing";
    EXPECT_LE(trials->size(), told + static_cast<std::size_t>(kills));
    EXPECT_TRUE(isWhole(*book, "Pearl", *trials));
    // A journal that had not come to count may stay until the next change.
    ASSERT_TRUE(succeeded(book->addCondition(expectedCondition("Cotton"))));
    EXPECT_EQ(folder.count(), 1U) << "something was left beside the book";
    // Otherwise this test has not tested what it is for.
    EXPECT_GE(told, 30U);
    EXPECT_GE(cutOff, 5) << "kills in the middle of a change";
    RecordProperty("kills", kills);
    RecordProperty("trials", static_cast<int>(told));
    RecordProperty("cut_off_in_the_middle", cutOff);
}

TEST(BookProcesses, AKillWhileTheBookIsMadeLeavesOneThatOpens) {
    const TemporaryFolder folder;
    std::mt19937 random(20310406);
    int cutOff = 0;
    for (int round = 0; round < 50 || (cutOff < 5 && round < 1000); ++round) {
        const auto path = folder / ("book " + std::to_string(round));
        {
            Child child({path.string(), "Pearl", "1", "1000000"});
            letRunFor(random, 0, 20000);
            child.kill();
            child.finish();
        }
        if (wasCutOff(path)) ++cutOff;
        if (round % 2 == 0) {
            const auto read = Book::open(path, OpenMode::readOnly);
            EXPECT_TRUE(read || read.error().code == "book-not-found") << read.error().text();
        }
        const auto book = Book::open(path, OpenMode::readWrite);
        ASSERT_TRUE(succeeded(book));
        EXPECT_TRUE(succeeded(book->check()));
        EXPECT_TRUE(succeeded(book->conditions()));
    }
    RecordProperty("cut_off_in_the_middle", cutOff);
    EXPECT_GE(cutOff, 5) << "kills in the middle of a change";
}

TEST(BookProcesses, SeveralProgramsAtOnceLoseNothing) {
    const TemporaryFolder folder;
    const auto path = folder / "studio.book";
    constexpr int kEach = 30;
    std::map<std::string, std::set<std::string>> numbersByWriter;
    {
        // The book itself is made by whoever comes first.
        std::array<std::unique_ptr<Child>, 3> children;
        for (std::size_t i = 0; i < children.size(); ++i) {
            children[i] = std::make_unique<Child>(std::vector<std::string>{
                path.string(), "Pearl", std::to_string(i + 1), std::to_string(kEach)});
        }
        for (std::size_t i = 0; i < children.size(); ++i) {
            ASSERT_EQ(children[i]->finish(), 0) << children[i]->lines().back();
            for (const std::string& number : children[i]->lines()) {
                EXPECT_TRUE(numbersByWriter[std::to_string(i + 1)].insert(number).second);
            }
        }
    }
    const auto book = Book::open(path, OpenMode::readOnly);
    ASSERT_TRUE(succeeded(book));
    ASSERT_TRUE(succeeded(book->check()));
    const auto trials = book->trials("Pearl");
    ASSERT_TRUE(succeeded(trials));
    ASSERT_EQ(trials->size(), 3U * kEach);
    EXPECT_TRUE(isWhole(*book, "Pearl", *trials));
    std::map<std::string, std::set<std::string>> kept;
    for (const TrialRecord& trial : *trials) {
        kept[trial.choices.at("writer")].insert(std::to_string(trial.number));
    }
    EXPECT_EQ(kept, numbersByWriter) << "a program was told another number than the one in the book";
}

TEST(BookProcesses, ADiscThatFillsUpKeepsWhatWasEntered) {
    const TemporaryFolder folder;
    const auto path = folder / "studio.book";
    Child child({path.string(), "Pearl", "1", "1000", "--in-small-memory-disc", folder.path().string()});
    const int code = child.finish();
    if (code == 77) GTEST_SKIP() << "a small memory disc may not be made here";
    ASSERT_EQ(code, 10);
    // The child has looked into the book itself: nobody else can see its disc.
    EXPECT_EQ(child.lines().back(), "disc-full");
    EXPECT_GT(child.lines().size(), 2U);
}

TEST(BookProcesses, AFileThatMayNotGrowKeepsWhatWasEntered) {
    const TemporaryFolder folder;
    const auto path = folder / "studio.book";
    Child child({path.string(), "Pearl", "1", "1000", "--file-limit", "300000"});
    ASSERT_EQ(child.finish(), 10);
    EXPECT_EQ(child.lines().back(), "book-not-written");
    const auto book = Book::open(path, OpenMode::readOnly);
    ASSERT_TRUE(succeeded(book));
    EXPECT_TRUE(succeeded(book->check()));
    const auto trials = book->trials("Pearl");
    ASSERT_TRUE(succeeded(trials));
    EXPECT_GT(trials->size(), 1U);
    EXPECT_EQ(trials->size(), child.lines().size() - 1);
    EXPECT_TRUE(isWhole(*book, "Pearl", *trials));
}

}  // namespace
}  // namespace greywright::book

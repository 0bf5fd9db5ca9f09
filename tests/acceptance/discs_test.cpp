#include <csignal>
#include <filesystem>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>
#ifdef __linux__
#include <sched.h>
#include <sys/mount.h>
#endif

#include "stage.h"

// Discs that are full or may not be written to.
namespace greywright::acceptance {
namespace {

using ::testing::AnyOf;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::Not;

/// A small disc in memory at a folder, in a mount table of this process alone.
class SmallDisc {
  public:
    SmallDisc([[maybe_unused]] const std::string& folder, [[maybe_unused]] const char* size)
        : folder_(folder) {
#ifdef __linux__
        if (unshare(CLONE_NEWNS) != 0 && unshare(CLONE_NEWUSER | CLONE_NEWNS) != 0) return;
        if (mount("none", "/", nullptr, MS_REC | MS_PRIVATE, nullptr) != 0) return;
        std::filesystem::create_directories(folder_);
        made_ = mount("tmpfs", folder_.c_str(), "tmpfs", 0, size) == 0;
#endif
    }
    ~SmallDisc() {
#ifdef __linux__
        if (made_) umount2(folder_.c_str(), MNT_DETACH);
#endif
    }
    SmallDisc(const SmallDisc&) = delete;
    SmallDisc& operator=(const SmallDisc&) = delete;

    [[nodiscard]] bool isThere() const {
        return made_;
    }

    [[nodiscard]] bool forReadingOnly() const {
#ifdef __linux__
        return mount("none", folder_.c_str(), nullptr, MS_REMOUNT | MS_RDONLY, nullptr) == 0;
#else
        return false;
#endif
    }

  private:
    std::string folder_;
    bool made_ = false;
};

class Discs : public ::testing::Test {
  protected:
    [[nodiscard]] Answer ask(const std::string& book, Words words,
                             const Surroundings& surroundings = {}) const {
        words.insert(words.begin(), {"--json", "--book", book});
        return run(words, surroundings);
    }
    [[nodiscard]] Answer enter(const std::string& book) const {
        return ask(book, {"condition", "add", "chalk", "--printer", "Heron", "--inks", "pigment", "--paper",
                          "Chalk", "--mode", "grey", "--axis", "across:-50:50:1", "--axis", "up:-50:50:1"});
    }
    [[nodiscard]] Words readWords(int turn) {
        const steer::Setting setting{static_cast<double>(turn), 0};
        const std::string file =
            studio_.write(studio_.freshName("txt"), sheetText(driver_.print(setting), Format::cgats));
        return {"read", file, "--condition", "chalk", "--setting", settingText(usualAxes(), setting)};
    }

    Studio studio_;
    Driver driver_{usualRecipe(), usualAxes()};
};

TEST_F(Discs, AFullDiscLosesNothing) {
    const SmallDisc disc(studio_.path("small").string(), "size=256k");
    if (!disc.isThere()) GTEST_SKIP() << "a small disc in memory may not be made here";
    const std::string book = studio_.path("small/studio.book").string();
    ASSERT_EQ(enter(book).code, 0);
    Answer answer;
    std::size_t taken = 0;
    for (int turn = 0; turn < 40; ++turn) {
        answer = ask(book, readWords(turn));
        if (answer.code != 0) break;
        ++taken;
    }
    EXPECT_GT(taken, 1U);
    EXPECT_EQ(answer.code, 4) << answer.err;
    EXPECT_EQ(answer.errorCode(), "disc-full");
    EXPECT_THAT(answer.err, HasSubstr("studio.book"));
    EXPECT_THAT(answer.err, HasSubstr("Free some space"));
    EXPECT_EQ(ask(book, {"trial", "list", "--condition", "chalk"}).json()["trials"].size(), taken);
    EXPECT_EQ(ask(book, {"book", "check"}).code, 0);
    // The answer stands although it cannot be kept, or is kept where it fits.
    const Answer steer = ask(book, {"steer", "--condition", "chalk"});
    EXPECT_EQ(steer.code, 0) << steer.err;
    EXPECT_EQ(steer.json()["trials"], taken);
}

TEST_F(Discs, AnExportOntoAFullDiscLeavesNoHalfFile) {
    const SmallDisc disc(studio_.path("small").string(), "size=8k");
    if (!disc.isThere()) GTEST_SKIP() << "a small disc in memory may not be made here";
    const std::string book = studio_.book().string();
    ASSERT_EQ(enter(book).code, 0);
    ASSERT_EQ(ask(book, readWords(0)).code, 0);
    const std::string out = studio_.path("small/out.txt").string();
    const Answer answer = ask(book, {"export", "--condition", "chalk", "--trial", "1", "--out", out});
    EXPECT_EQ(answer.code, 4) << answer.err;
    EXPECT_EQ(answer.errorCode(), "write-failed");
    EXPECT_THAT(answer.err, HasSubstr("out.txt"));
    EXPECT_TRUE(std::filesystem::is_empty(studio_.path("small")));
}

TEST_F(Discs, AFileThatMayNotGrowLosesNothing) {
    const std::string book = studio_.book().string();
    ASSERT_EQ(enter(book).code, 0);
    ASSERT_EQ(ask(book, readWords(0)).code, 0);
    const std::string before = studio_.bookBytes();
    const Surroundings limited{.before = [most = before.size()] {
        std::signal(SIGXFSZ, SIG_IGN);
        const rlimit limit{most, most};
        setrlimit(RLIMIT_FSIZE, &limit);
    }};
    Answer answer;
    for (int turn = 1; turn < 10 && answer.code <= 0; ++turn) answer = ask(book, readWords(turn), limited);
    EXPECT_EQ(answer.code, 4) << answer.err;
    EXPECT_THAT(answer.errorCode(), AnyOf("disc-full", "book-not-written"));
    EXPECT_THAT(answer.err, HasSubstr("studio.book"));
    EXPECT_EQ(ask(book, {"book", "check"}).code, 0);
    EXPECT_EQ(studio_.bookBytes().size(), before.size());
}

TEST_F(Discs, ABookThatMayOnlyBeReadIsRead) {
    const SmallDisc disc(studio_.path("disc").string(), "size=4m");
    if (!disc.isThere()) GTEST_SKIP() << "a disc in memory may not be made here";
    const std::string book = studio_.path("disc/studio.book").string();
    ASSERT_EQ(enter(book).code, 0);
    ASSERT_EQ(ask(book, readWords(0)).code, 0);
    if (!disc.forReadingOnly()) GTEST_SKIP() << "a disc may not be made read-only here";

    const Answer read = ask(book, readWords(1));
    EXPECT_EQ(read.code, 4) << read.err;
    EXPECT_THAT(read.errorCode(), AnyOf("book-read-only", "book-not-written"));
    EXPECT_THAT(read.err, HasSubstr("studio.book"));
    EXPECT_EQ(ask(book, {"trial", "list", "--condition", "chalk"}).json()["trials"].size(), 1U);
    const Answer withdraw =
        ask(book, {"trial", "withdraw", "--condition", "chalk", "--trial", "1", "--reason", "r"});
    EXPECT_EQ(withdraw.code, 4);
    // Questions are answered; that the answer is not kept is told where it does not disturb a script.
    for (const Words& words :
         {Words{"judge", "--condition", "chalk"}, Words{"steer", "--condition", "chalk"}}) {
        const Answer answer = ask(book, words);
        EXPECT_EQ(answer.code, 0) << answer.err;
        EXPECT_TRUE(answer.json().is_object());
        EXPECT_THAT(answer.err, HasSubstr("not kept"));
    }
    // A new book cannot be made there.
    const Answer fresh = enter(studio_.path("disc/other.book").string());
    EXPECT_EQ(fresh.code, 4) << fresh.err;
    EXPECT_THAT(fresh.err, HasSubstr("other.book"));
}

TEST_F(Discs, AFileAndAFolderThatMayOnlyBeReadAreRead) {
    const std::string book = studio_.book().string();
    ASSERT_EQ(enter(book).code, 0);
    ASSERT_EQ(ask(book, readWords(0)).code, 0);
    ASSERT_EQ(chmod(book.c_str(), 0444), 0);
    ASSERT_EQ(chmod(studio_.folder().c_str(), 0555), 0);
    const std::string before = studio_.bookBytes();
    // Permissions do not bind the system's owner: run as nobody then.
    const Surroundings bound{.before = [] {
        constexpr uid_t kNobody = 65534;
        if (geteuid() == 0 && setuid(kNobody) != 0) _exit(125);
    }};
    const Answer list = ask(book, {"trial", "list", "--condition", "chalk"}, bound);
    const Answer withdraw =
        ask(book, {"trial", "withdraw", "--condition", "chalk", "--trial", "1", "--reason", "r"}, bound);
    const Answer steer = ask(book, {"steer", "--condition", "chalk"}, bound);
    const Answer fresh = ask(studio_.path("other.book").string(),
                             {"condition", "add", "fen", "--printer", "p", "--inks", "i", "--paper", "q",
                              "--mode", "m", "--axis", "warm:-5:5:1"},
                             bound);
    ASSERT_EQ(chmod(studio_.folder().c_str(), 0755), 0);
    ASSERT_EQ(chmod(book.c_str(), 0644), 0);
    if (list.code == 125 || list.code == 127) GTEST_SKIP() << "nobody may not run the program here";
    ASSERT_EQ(list.code, 0) << list.err;
    EXPECT_EQ(list.json()["trials"].size(), 1U);
    EXPECT_EQ(withdraw.code, 4) << withdraw.err;
    EXPECT_THAT(withdraw.err, HasSubstr("studio.book"));
    EXPECT_EQ(steer.code, 0) << steer.err;
    EXPECT_THAT(steer.err, HasSubstr("not kept"));
    EXPECT_EQ(fresh.code, 4) << fresh.err;
    EXPECT_THAT(fresh.err, HasSubstr("other.book"));
    EXPECT_EQ(studio_.bookBytes(), before);
    EXPECT_EQ(ask(book, readWords(1)).code, 0) << "and written once it may be";
}

TEST_F(Discs, TheBookCannotBeAFolderOrBelowAFile) {
    const Answer folder = enter(studio_.folder().string());
    EXPECT_THAT(folder.code, AnyOf(3, 4)) << folder.err;
    EXPECT_THAT(folder.errorCode(), Not(IsEmpty()));
    static_cast<void>(studio_.write("plain", "text"));
    const Answer below = enter(studio_.path("plain/studio.book").string());
    EXPECT_THAT(below.code, AnyOf(3, 4)) << below.err;
    EXPECT_THAT(below.errorCode(), Not(IsEmpty()));
    EXPECT_THAT(below.err, HasSubstr("plain/studio.book"));
}

TEST_F(Discs, TheDemoNeedsAFolderItMayMake) {
    static_cast<void>(studio_.write("plain", "text"));
    const Answer answer = run({"demo", "--json", "--out", studio_.path("plain/demo").string()});
    EXPECT_EQ(answer.code, 4) << answer.err;
    EXPECT_EQ(answer.errorCode(), "folder-not-made");
}

TEST_F(Discs, TheDemoNeverTouchesAnEarlierOne) {
    const std::string out = studio_.path("demo").string();
    const Json first = run({"demo", "--json", "--out", out}).json();
    ASSERT_TRUE(first.contains("book"));
    const auto written = std::filesystem::last_write_time(first["book"].get<std::string>());
    const Json second = run({"demo", "--json", "--out", out}).json();
    EXPECT_NE(first["book"], second["book"]);
    EXPECT_EQ(std::filesystem::last_write_time(first["book"].get<std::string>()), written);
    EXPECT_EQ(first["reports"].size(), 4U);
    for (const Json& report : first["reports"])
        EXPECT_TRUE(std::filesystem::exists(report.get<std::string>()));
}

}  // namespace
}  // namespace greywright::acceptance

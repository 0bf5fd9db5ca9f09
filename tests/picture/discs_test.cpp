#include <array>
#include <cerrno>
#include <csignal>
#include <cstdint>
#include <cstring>
#include <filesystem>
#include <sstream>
#include <string>
#include <vector>

#include <fcntl.h>
#include <gtest/gtest.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include "core/contract.h"
#include "core/files.h"
#include "picture/apply.h"
#include "picture/write.h"
#include "testing/near.h"
#include "testing/temporary_folder.h"

extern char** environ;  // NOLINT(readability-redundant-declaration): POSIX asks for it

// No room for the picture that is made, and a program that is killed half way.
namespace greywright::picture {
namespace {

namespace fs = std::filesystem;

using greywright::testing::succeeded;
using greywright::testing::TemporaryFolder;

constexpr int kFailed = 10;
constexpr int kNotPermitted = 77;

/// A running picture_child, with what it says on standard output.
class Child {
  public:
    explicit Child(std::vector<std::string> words) {
        words.insert(words.begin(), PICTURE_CHILD);
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
        expects(posix_spawn(&process_, PICTURE_CHILD, &actions, nullptr, pointers.data(), environ) == 0,
                "a child");
        posix_spawn_file_actions_destroy(&actions);
        close(ends[1]);
        output_ = ends[0];
    }
    ~Child() {
        if (process_ > 0) {
            ::kill(process_, SIGKILL);
            finish();
        }
        close(output_);
    }
    Child(const Child&) = delete;
    Child& operator=(const Child&) = delete;

    void signal(int number) const { ::kill(process_, number); }

    /// The next line it says; empty when it has ended.
    std::string line() {
        std::string text;
        char letter = 0;
        while (read(output_, &letter, 1) == 1 && letter != '\n') text += letter;
        return text;
    }

    /// Waits for its end, and hands back its exit code, or the signal that ended it below 0.
    int finish() {
        int status = 0;
        waitpid(process_, &status, 0);
        process_ = 0;
        return WIFEXITED(status) ? WEXITSTATUS(status) : -WTERMSIG(status);
    }

  private:
    pid_t process_ = 0;
    int output_ = -1;
};

class PrepareDiscs : public ::testing::Test {
  protected:
    void SetUp() override {
        fs::create_directory(made_);
        const PixelFile file{.width = 400, .height = 1500};
        ASSERT_TRUE(succeeded(writePixels(in_, file, [](std::size_t row, auto codes) {
            auto noise = static_cast<std::uint32_t>(row + 1);
            for (std::uint16_t& code : codes) {
                noise = noise * 1664525U + 1013904223U;
                code = static_cast<std::uint16_t>(noise >> 16U);
            }
        })));
        before_ = readWholeFile(in_).value();
    }

    void TearDown() override { EXPECT_EQ(readWholeFile(in_).value(), before_) << "the original"; }

    void expectRefusal(Child& child, const char* why) const {
        const std::string code = child.line();
        const std::string place = child.line();
        const std::string what = child.line();
        const std::string files = child.line();
        const int end = child.finish();
        if (end == kNotPermitted) GTEST_SKIP() << "such a disc may not be made here";
        EXPECT_EQ(end, kFailed);
        EXPECT_EQ(code, "write-failed");
        EXPECT_EQ(place, out_.string());
        EXPECT_EQ(what, std::string("could not be written (") + why + ")");
        EXPECT_EQ(files, "0") << "a file was left";
    }

    TemporaryFolder folder_;
    fs::path in_ = folder_ / "in.tif";
    fs::path made_ = folder_ / "made";
    fs::path out_ = made_ / "out.tif";
    std::string before_;
};

TEST_F(PrepareDiscs, OnAFullDiscNoHalfFileIsLeft) {
    Child child({in_.string(), out_.string(), "in-small-memory-disc"});
    expectRefusal(child, std::strerror(ENOSPC));
}

TEST_F(PrepareDiscs, AFileThatMayNotGrowIsNotLeftHalf) {
    ASSERT_TRUE(succeeded(prepare(in_, out_, {})));
    const auto whole = fs::file_size(out_);
    fs::remove(out_);
    for (const std::uintmax_t most : {std::uintmax_t{0}, whole / 3, whole - 100, whole - 1}) {
        Child child({in_.string(), out_.string(), "file-limit", std::to_string(most)});
        expectRefusal(child, std::strerror(EFBIG));
    }
}

TEST_F(PrepareDiscs, KilledHalfWayItLeavesWhatWasThere) {
    for (const int number : {SIGTERM, SIGINT, SIGKILL}) {
        for (const bool old : {false, true}) {
            if (old) {
                ASSERT_TRUE(succeeded(writeWholeFile(out_, "old")));
            }
            Child child({in_.string(), out_.string(), "waits"});
            ASSERT_EQ(child.line(), "half way");
            child.signal(number);
            EXPECT_EQ(child.finish(), -number);
            EXPECT_EQ(fs::exists(out_), old);
            if (old) {
                EXPECT_EQ(readWholeFile(out_).value(), "old");
            }
            // What is in the way of nothing: the next one is made.
            EXPECT_TRUE(succeeded(prepare(in_, out_, {})));
            fs::remove_all(made_);
            fs::create_directory(made_);
        }
    }
}

}  // namespace
}  // namespace greywright::picture

// The other program of the tests beside it. Says "started", then reports every trial that the book has taken
// as a line with its number on standard output, unbuffered, so that it is told even when the program is
// killed right afterwards.
//
//   book_child BOOK CONDITION WRITER COUNT [--in-small-memory-disc FOLDER | --file-limit BYTES]
//
// Exit codes: 0 all COUNT trials entered, 10 an error (its code is the last line), 77 not permitted here.

#include <csignal>
#include <cstdlib>
#include <string>

#include <sys/resource.h>
#include <sys/types.h>
#include <unistd.h>
#ifdef __linux__
#include <sched.h>
#include <sys/mount.h>
#endif

#include "book/book.h"
#include "expected_trial.h"

namespace {

constexpr int kFailed = 10;
constexpr int kNotPermitted = 77;

void tell(const std::string& text) {
    const std::string line = text + "\n";
    if (write(STDOUT_FILENO, line.data(), line.size()) < 0) std::_Exit(1);
}

bool inSmallMemoryDisc([[maybe_unused]] const char* folder) {
#ifdef __linux__
    // In a mount table of its own: nobody else sees the disc, and it goes with this program.
    if (unshare(CLONE_NEWNS) != 0 && unshare(CLONE_NEWUSER | CLONE_NEWNS) != 0) return false;
    if (mount("none", "/", nullptr, MS_REC | MS_PRIVATE, nullptr) != 0) return false;
    return mount("tmpfs", folder, "tmpfs", 0, "size=384k") == 0;
#else
    return false;
#endif
}

bool withFileLimit(const char* bytes) {
    std::signal(SIGXFSZ, SIG_IGN);
    const auto most = static_cast<rlim_t>(std::strtoull(bytes, nullptr, 10));
    const rlimit limit{most, most};
    return setrlimit(RLIMIT_FSIZE, &limit) == 0;
}

int enterTrials(const char* path, const std::string& condition, int writer, int count) {
    using namespace greywright::book;
    auto book = Book::open(path, OpenMode::readWrite);
    if (!book) {
        tell(book.error().code);
        return kFailed;
    }
    auto entered = book->addCondition(expectedCondition(condition));
    if (!entered && entered.error().code != "condition-exists") {
        tell(entered.error().code);
        return kFailed;
    }
    const auto before = book->trials(condition);
    if (!before) {
        tell(before.error().code);
        return kFailed;
    }
    const int start = static_cast<int>(before->size());
    for (int i = 0; i < count; ++i) {
        const auto number = book->addTrial(condition, expectedTrial(writer, start + i));
        if (!number) {
            const auto kept = book->trials(condition);
            const bool whole = kept && book->check() && isWhole(*book, condition, *kept);
            tell(whole ? number.error().code : "not whole after " + number.error().code);
            return kFailed;
        }
        tell(std::to_string(*number));
    }
    return 0;
}

}  // namespace

int main(int count, char** words) {
    if (count < 5) return 2;
    tell("started");
    const std::string limit = count > 6 ? words[5] : "";
    if (limit == "--in-small-memory-disc" && !inSmallMemoryDisc(words[6])) return kNotPermitted;
    if (limit == "--file-limit" && !withFileLimit(words[6])) return kNotPermitted;
    return enterTrials(words[1], words[2], std::atoi(words[3]), std::atoi(words[4]));
}

// The other program of the tests beside it: prepares a picture where something goes wrong.
//
//   picture_child IN OUT waits                half way it says "half way" and waits to be killed
//   picture_child IN OUT in-small-memory-disc the folder of OUT is a disc of 64 KB
//   picture_child IN OUT file-limit BYTES     no file may grow larger
//
// When it ends by itself it says the error's code, its place, what happened and how many files are in the
// folder of OUT, each on a line. Exit codes: 0 prepared, 10 an error, 77 not permitted here.

#include <csignal>
#include <cstdlib>
#include <filesystem>
#include <iterator>
#include <string>

#include <sys/resource.h>
#include <unistd.h>
#ifdef __linux__
#include <sched.h>
#include <sys/mount.h>
#endif

#include "picture/apply.h"

namespace {

constexpr int kFailed = 10;
constexpr int kNotPermitted = 77;

void tell(const std::string& text) {
    const std::string line = text + "\n";
    if (write(STDOUT_FILENO, line.data(), line.size()) < 0) std::_Exit(1);
}

bool inSmallMemoryDisc([[maybe_unused]] const std::string& folder) {
#ifdef __linux__
    // In a mount table of its own: nobody else sees the disc, and it goes with this program.
    if (unshare(CLONE_NEWNS) != 0 && unshare(CLONE_NEWUSER | CLONE_NEWNS) != 0) return false;
    if (mount("none", "/", nullptr, MS_REC | MS_PRIVATE, nullptr) != 0) return false;
    return mount("tmpfs", folder.c_str(), "tmpfs", 0, "size=64k") == 0;
#else
    return false;
#endif
}

bool withFileLimit(const std::string& bytes) {
    std::signal(SIGXFSZ, SIG_IGN);
    const auto most = static_cast<rlim_t>(std::stoull(bytes));
    const rlimit limit{most, most};
    return setrlimit(RLIMIT_FSIZE, &limit) == 0;
}

}  // namespace

int main(int count, char** words) {
    if (count < 4) return 1;
    const std::filesystem::path out = words[2];
    const std::string trouble = words[3];
    greywright::picture::Preparation how;
    if (trouble == "waits") {
        how.goOn = [](double share) {
            if (share < 0.5) return true;
            tell("half way");
            for (;;) pause();
        };
    } else if (trouble == "in-small-memory-disc") {
        if (!inSmallMemoryDisc(out.parent_path().string())) return kNotPermitted;
    } else if (count < 5 || !withFileLimit(words[4])) {
        return kNotPermitted;
    }
    const auto result = greywright::picture::prepare(words[1], out, how);
    if (result) return 0;
    tell(result.error().code);
    tell(result.error().where.path);
    tell(result.error().what);
    tell(std::to_string(std::distance(std::filesystem::directory_iterator(out.parent_path()), {})));
    return kFailed;
}

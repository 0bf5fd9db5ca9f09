#include "core/platform.h"

#include <chrono>
#include <cstdlib>

#include <fmt/chrono.h>

#ifdef _WIN32
#include <io.h>
#include <process.h>
#include <windows.h>
#else
#include <fcntl.h>
#include <unistd.h>
#endif

namespace greywright::platform {

#ifdef _WIN32

bool flushToDisc(const std::filesystem::path& path) {
    const HANDLE file = CreateFileW(path.c_str(), GENERIC_WRITE, FILE_SHARE_READ, nullptr, OPEN_EXISTING,
                                    FILE_ATTRIBUTE_NORMAL, nullptr);
    if (file == INVALID_HANDLE_VALUE) return false;
    const bool flushed = FlushFileBuffers(file) != 0;
    CloseHandle(file);
    return flushed;
}

unsigned long processNumber() {
    return static_cast<unsigned long>(_getpid());
}

std::filesystem::path userDataFolder() {
    if (const auto folder = environment("APPDATA")) return *folder;
    return std::filesystem::current_path();
}

#else

bool flushToDisc(const std::filesystem::path& path) {
    const int file = open(path.c_str(), O_RDONLY | O_CLOEXEC);
    if (file < 0) return false;
    const bool flushed = fsync(file) == 0;
    return close(file) == 0 && flushed;
}

unsigned long processNumber() {
    return static_cast<unsigned long>(getpid());
}

std::filesystem::path userDataFolder() {
    // XDG Base Directory Specification; on a Mac its own custom.
    if (const auto folder = environment("XDG_DATA_HOME")) return *folder;
    const std::filesystem::path home = environment("HOME").value_or(".");
#ifdef __APPLE__
    return home / "Library" / "Application Support";
#else
    return home / ".local" / "share";
#endif
}

#endif

std::optional<std::string> environment(const char* name) {
    const char* value = std::getenv(name);
    if (value == nullptr || *value == '\0') return std::nullopt;
    return std::string(value);
}

std::string utcNow() {
    const auto now = std::chrono::system_clock::to_time_t(std::chrono::system_clock::now());
    return fmt::format("{:%Y-%m-%dT%H:%M:%SZ}", fmt::gmtime(now));
}

}  // namespace greywright::platform

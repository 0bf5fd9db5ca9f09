#include "core/platform.h"

#include <chrono>
#include <cstdint>
#include <cstdlib>
#include <system_error>

#include <fmt/chrono.h>

#ifdef _WIN32
#include <io.h>
#include <process.h>
#include <windows.h>
#else
#include <dlfcn.h>
#include <fcntl.h>
#include <sys/resource.h>
#include <unistd.h>
#ifdef __APPLE__
#include <mach-o/dyld.h>
#endif
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

std::filesystem::path programFolder() {
    std::wstring path(32768, L'\0');
    const DWORD length = GetModuleFileNameW(nullptr, path.data(), static_cast<DWORD>(path.size()));
    return std::filesystem::path(path.substr(0, length)).parent_path();
}

std::string libraryFileName(const std::string& name) {
    return name + ".dll";
}

void* functionOfLibrary(const std::filesystem::path& library, const char* function) {
    const HMODULE loaded = LoadLibraryW(library.c_str());
    return loaded == nullptr ? nullptr : reinterpret_cast<void*>(GetProcAddress(loaded, function));
}

void giveWayToOthers() {
    SetThreadPriority(GetCurrentThread(), THREAD_PRIORITY_BELOW_NORMAL);
}

#else

bool flushToDisc(const std::filesystem::path& path) {
    const int file = open(path.c_str(), O_RDONLY | O_CLOEXEC);
    if (file < 0) return false;
    const bool flushed = fsync(file) == 0;
    return close(file) == 0 && flushed;
}

void giveWayToOthers() {
#ifdef __linux__
    // There a nice value belongs to a thread; elsewhere it would be the whole program's.
    constexpr int kNice = 10;
    (void)setpriority(PRIO_PROCESS, 0, kNice);
#endif
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

std::filesystem::path programFolder() {
#ifdef __APPLE__
    std::string path(4096, '\0');
    auto size = static_cast<std::uint32_t>(path.size());
    if (_NSGetExecutablePath(path.data(), &size) != 0) return {};
    return std::filesystem::path(path.c_str()).parent_path();
#else
    std::error_code problem;
    return std::filesystem::read_symlink("/proc/self/exe", problem).parent_path();
#endif
}

std::string libraryFileName(const std::string& name) {
    return "lib" + name + ".so";
}

void* functionOfLibrary(const std::filesystem::path& library, const char* function) {
    void* loaded = dlopen(library.c_str(), RTLD_NOW | RTLD_LOCAL);
    return loaded == nullptr ? nullptr : dlsym(loaded, function);
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

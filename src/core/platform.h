#pragma once

#include <filesystem>
#include <optional>
#include <string>

/// Everything that differs from one operating system to the next stands in platform.cpp, and nowhere else.
/// Only the programs under apps/ ask for the environment, the clock and the data folder.
namespace greywright::platform {

/// Pushes a written file through to the disc. False when the system refuses (a full disc among them).
[[nodiscard]] bool flushToDisc(const std::filesystem::path& path);

/// A number that no other running program has.
[[nodiscard]] unsigned long processNumber();

/// Lets other threads of the machine go before the calling one and, on most systems, before those that it
/// starts from now on. Without effect where the system knows no such thing for a thread.
void giveWayToOthers();

/// An environment variable, or nothing when it is unset or empty.
[[nodiscard]] std::optional<std::string> environment(const char* name);

/// The folder in which this user's programs keep their data (not created here).
[[nodiscard]] std::filesystem::path userDataFolder();

/// Now, as UTC in ISO 8601 to the second, e.g. "2031-04-05T06:07:08Z".
[[nodiscard]] std::string utcNow();

/// The folder in which the running program lies; empty when the system does not tell.
[[nodiscard]] std::filesystem::path programFolder();

/// How this system calls the file of a library that is loaded while a program runs, e.g. "libx.so" for "x".
[[nodiscard]] std::string libraryFileName(const std::string& name);

/// Loads a library, for as long as the program runs, and hands back the address of one of its functions; null
/// when there is no such library or function.
[[nodiscard]] void* functionOfLibrary(const std::filesystem::path& library, const char* function);

}  // namespace greywright::platform

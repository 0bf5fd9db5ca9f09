#pragma once

#include <filesystem>
#include <string>
#include <string_view>

#include "core/result.h"

namespace greywright {

/// All bytes of a regular file.
/// Errors: file-not-found, file-unreadable, file-too-large (more than `mostBytes`), file-not-regular.
[[nodiscard]] Result<std::string> readWholeFile(const std::filesystem::path& path,
                                                std::size_t mostBytes = std::size_t{256} << 20);

/// Writes a file completely or not at all: to a temporary name beside it, flushed to the disc, then renamed
/// over `path`. What stood there before stays until the new file is complete.
/// Errors: write-failed (kind cannotWrite), with the system's own words.
[[nodiscard]] Outcome writeWholeFile(const std::filesystem::path& path, std::string_view bytes);

/// The error `write-failed` for those who write a file by other means, equally completely or not at all.
[[nodiscard]] Error writeFailed(const std::filesystem::path& path, const std::string& why);

}  // namespace greywright

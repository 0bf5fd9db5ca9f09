#pragma once

#include <filesystem>

#include "picture/read.h"

/// Camera raw files by LibRaw; for this module's sources only.
namespace greywright::picture::byVips {

/// `surely` when the file says itself that it is one.
/// Errors: picture-not-recognised (none that LibRaw knows), picture-damaged, picture-too-large; stopped.
[[nodiscard]] Result<Reduced> readRaw(const std::filesystem::path& path, bool surely,
                                      const ReadOptions& options);

}  // namespace greywright::picture::byVips

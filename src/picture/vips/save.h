#pragma once

#include <filesystem>
#include <string>

#include "picture/vips/library.h"
#include "picture/write.h"

/// Writing pictures completely or not at all; for this module's sources only.
namespace greywright::picture::byVips {

/// Saves under a temporary name beside `path`, flushes it to the disc and renames it over `path`; in trouble
/// no trace is left. Why it could not be done, or nothing.
[[nodiscard]] std::string troubleSaving(const library::Image& image, const std::filesystem::path& path,
                                        FileFormat format);

}  // namespace greywright::picture::byVips

#pragma once

#include <filesystem>
#include <string>
#include <string_view>

#include "core/result.h"
#include "picture/vips/library.h"

/// Opening pictures, and the words for what is wrong with them; for this module's sources only.
namespace greywright::picture::byVips {

[[nodiscard]] Error wrong(const std::filesystem::path& path, std::string code, std::string what,
                          std::string next);
[[nodiscard]] Error unreadable(const std::filesystem::path& path, std::string_view why);
[[nodiscard]] Error notRecognised(const std::filesystem::path& path, std::string what);
/// picture-damaged, or picture-too-large where that is what libvips complains of.
[[nodiscard]] Error damaged(const std::filesystem::path& path, std::string_view why);

/// Errors: picture-not-found, picture-unreadable, picture-empty.
[[nodiscard]] Outcome checkFile(const std::filesystem::path& path);

struct Opened {
    library::Image image = {};  ///< pixels can be asked for once, from top to bottom
    std::string format = {};    ///< e.g. "TIFF"
};

/// Errors: picture-unreadable, picture-not-recognised, picture-damaged.
[[nodiscard]] Result<Opened> openedByVips(const std::filesystem::path& path);

/// Without its transparency.
[[nodiscard]] library::Image onWhite(const library::Image& image, bool isInk);

}  // namespace greywright::picture::byVips

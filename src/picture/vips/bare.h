#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "core/result.h"
#include "picture/vips/library.h"
#include "picture/vips/open.h"
#include "picture/vips/tags.h"

/// What can be worked on in an opened picture; for this module's sources only.
namespace greywright::picture::byVips {

struct Bare {
    library::Image image = {};  ///< one or three channels of 8 or 16 bits, as stored
    int channels = 1;           ///< 1 grey, 3 RGB
    int bits = 8;               ///< of `image`
    int fileBits = 8;
    bool onWhite = false;                      ///< it had transparency
    int orientation = 1;                       ///< the file's tag
    std::optional<double> pixelsPerInch = {};  ///< where the file says so credibly
    std::string profile = {};                  ///< empty = none that fits
    std::vector<Note> notes = {};
};

/// Whether a picture can be read within bounds of memory. Errors: picture-too-large.
[[nodiscard]] Outcome checkSize(const std::filesystem::path& path, const Opened& file,
                                const tags::Tags& tags);

/// Errors: picture-one-bit, picture-palette, picture-inks, picture-too-large, picture-not-recognised.
[[nodiscard]] Result<Bare> bareOf(const std::filesystem::path& path, const Opened& file,
                                  const tags::Tags& tags);

}  // namespace greywright::picture::byVips

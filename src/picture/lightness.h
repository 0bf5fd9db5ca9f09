#pragma once

#include <filesystem>
#include <vector>

#include "core/result.h"

namespace greywright::picture {

/// How much of a picture's area has each lightness, by its own profile or, where it has none that fits, as
/// sRGB; what is transparent counts as if it lay on white. Units: fractions of the area that add up to 1; L*
/// for D50, relative to the picture's white. Shape: 101 values, for L* nearest to 0, 1 .. 100. Valid: JPEG,
/// PNG, TIFF, WebP, HEIF, JPEG 2000 and JPEG XL as far as this machine's libvips reads them; 8 or 16 bits;
/// grey, RGB, or inks with a profile. Errors: picture-not-found, picture-unreadable (a folder, no
/// permission), picture-empty (a file without content), picture-not-recognised (another kind of file or of
/// pixels), picture-too-large (as readReduced()), picture-damaged (begins like a picture and does not go on
/// like one). Cost: every pixel once; a few rows in memory at a time, but interlaced and progressive files
/// whole. Thread: any number of calls at once.
[[nodiscard]] Result<std::vector<double>> lightnessShares(const std::filesystem::path& path);

}  // namespace greywright::picture

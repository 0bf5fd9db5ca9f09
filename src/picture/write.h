#pragma once

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <functional>
#include <span>

#include "core/result.h"

namespace greywright::picture {

/// What the codes of a grey picture mean to whoever opens it. The codes themselves are the same.
enum class Encoding {
    srgb,         ///< three channels R = G = B, with libvips' sRGB profile
    greyGamma22,  ///< one channel, with a profile of gamma 2.2 for D50
};

enum class FileFormat { tiff, png };

/// The file that writeGrey16() makes. Units: pixels; pixels per inch.
/// Valid: 1 to 200,000 pixels each way; 1 to 10,000 pixels per inch.
struct GreyFile {
    std::size_t width = 0;
    std::size_t height = 0;
    double pixelsPerInch = 300;
    Encoding encoding = Encoding::greyGamma22;
    FileFormat format = FileFormat::tiff;
};

/// Fills one row, 0 black .. 65535 white. Shape: one code for each pixel of the row.
using FillRow = std::function<void(std::size_t row, std::span<std::uint16_t> codes)>;

/// Writes a grey picture of 16 bits, completely or not at all: under a temporary name beside `path`, flushed
/// to the disc, then renamed over it. Rows are asked for once each, from top to bottom, one after the other,
/// though not on the caller's thread; what `fill` throws is thrown here. `goOn` is told the share of rows
/// done and stops the work by returning false. TIFF is LZW-compressed and states the resolution as pixels per
/// inch; PNG can only state whole pixels per metre.
/// Errors: write-failed (kind cannotWrite); stopped (goOn said so).
/// Cost: some hundred rows in memory, whatever the height. Thread: any number of calls at once.
[[nodiscard]] Outcome writeGrey16(const std::filesystem::path& path, const GreyFile& file,
                                  const FillRow& fill, const std::function<bool(double)>& goOn = {});

}  // namespace greywright::picture

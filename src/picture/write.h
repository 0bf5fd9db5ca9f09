#pragma once

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <functional>
#include <span>
#include <string>

#include "core/result.h"

namespace greywright::picture {

/// Encodings whose profiles ship.
enum class Encoding { greyGamma22, srgb, displayP3 };

/// The ICC profile of an encoding; always the same bytes. Errors: picture-library-missing.
[[nodiscard]] Result<std::string> profileOf(Encoding encoding);

/// The number of channels that a profile is for: 1 grey, 3 RGB.
/// Errors: profile-unusable (damaged, or for something else than grey or RGB), picture-library-missing.
[[nodiscard]] Result<int> channelsOfProfile(const std::string& profile);

enum class FileFormat { tiff, png };

/// The file that writePixels() makes. Units: pixels; pixels per inch.
/// Valid: 1 to 200,000 pixels each way; 1 to 10,000 pixels per inch.
struct PixelFile {
    std::size_t width = 0;
    std::size_t height = 0;
    double pixelsPerInch = 300;
    int channels = 1;          ///< 1 grey, 3 RGB
    int bits = 16;             ///< 8 or 16 in each channel
    std::string profile = {};  ///< ICC bytes; empty = the file is not tagged
    FileFormat format = FileFormat::tiff;
};

/// Fills one row, 0 black .. 65535 white. Shape: the channels of each pixel side by side.
using FillRow = std::function<void(std::size_t row, std::span<std::uint16_t> samples)>;

/// Writes a picture, completely or not at all: under a temporary name beside `path`, flushed to the disc,
/// then renamed over it. Rows are asked for once each, from top to bottom, one after the other, though not on
/// the caller's thread; what `fill` throws is thrown here. `goOn` is told the share of rows done and stops
/// the work by returning false. Samples are written as they are; for 8 bits the upper half of each. TIFF is
/// LZW-compressed and states the resolution as pixels per inch; PNG can only state whole pixels per metre.
/// Errors: write-failed (kind cannotWrite); stopped (goOn said so).
/// Cost: some hundred rows in memory, whatever the height. Thread: any number of calls at once.
[[nodiscard]] Outcome writePixels(const std::filesystem::path& path, const PixelFile& file,
                                  const FillRow& fill, const std::function<bool(double)>& goOn = {});

}  // namespace greywright::picture

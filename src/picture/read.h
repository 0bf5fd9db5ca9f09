#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/result.h"

namespace greywright::picture {

/// What says which colour the codes of a picture are.
enum class ColourSource {
    profile,    ///< its embedded ICC profile
    rawMatrix,  ///< a camera raw file's own matrix
    assumed,    ///< nothing: sRGB is assumed
};

/// A whole picture in memory, made smaller where it is too large: each pixel is the mean of factor x factor
/// pixels of the file, in the file's own codes. What is left over at the right and lower edge, as the file
/// stores it, is dropped.
/// Shape: `codes` holds the channels of a pixel side by side, rows from top to bottom, turned as the file's
/// orientation tag says. Units: codes 0 .. 65535, whatever the file's bits.
struct Reduced {
    std::size_t width = 0;
    std::size_t height = 0;
    std::size_t channels = 3;  ///< 1 grey, 3 RGB; what is transparent lies on white
    std::size_t factor = 1;
    std::size_t fileWidth = 0;  ///< as shown, before it was made smaller
    std::size_t fileHeight = 0;
    int fileBits = 8;                          ///< per channel
    std::string format = {};                   ///< "TIFF", "PNG", "JPEG" .. or "raw"
    std::optional<double> pixelsPerInch = {};  ///< of the file, where it says so credibly
    std::string profile = {};                  ///< the embedded ICC profile's bytes; empty = none that fits
    ColourSource source = ColourSource::assumed;  ///< what xyzFromCodes() goes by
    std::vector<std::uint16_t> codes = {};
    /// picture-profile-left-out, picture-channel-left-out, picture-pages, picture-white-assumed
    std::vector<Note> notes = {};
};

struct ReadOptions {
    std::size_t mostPixels = 16'000'000;  ///< of the picture in memory
    /// Told the share done, perhaps not on the caller's thread; false stops the work.
    std::function<bool(double)> goOn = {};
};

/// Reads a TIFF, PNG, JPEG or any other picture that lightnessShares() takes, or a camera raw file (LibRaw:
/// linear sRGB primaries by its own matrix, white as shot, full code where the sensor is full; at half the
/// size where that is what `mostPixels` asks for), in one pass. What `goOn` throws is thrown here. The result
/// does not depend on the number of threads.
/// Errors: those of lightnessShares(); picture-one-bit; picture-palette (colours from a table, which a
/// scanner's calibration does not survive); picture-inks (CMYK); picture-too-large (more than 2^32 pixels;
/// more than about 400 MB that the file's format makes the reader hold at once, as an interlaced PNG does;
/// more than a file of so few bytes can hold; one tile larger than the library takes);
/// picture-library-missing; stopped. Cost: every pixel once; `mostPixels` in memory, twice where the picture
/// is turned; what cannot be read row by row whole. Thread: any number of calls at once.
[[nodiscard]] Result<Reduced> readReduced(const std::filesystem::path& path, const ReadOptions& options = {});

using Triple = std::array<double, 3>;

/// What codes of this picture look like. Units: codes 0 .. 1, a grey picture's three alike; CIEXYZ for D50,
/// Y = 1 for white, linear, relative to the profile's white, black as it is.
/// Errors: profile-unusable, picture-library-missing. Thread: any number of calls at once.
[[nodiscard]] Result<std::vector<Triple>> xyzFromCodes(const Reduced& picture, std::span<const Triple> codes);

}  // namespace greywright::picture

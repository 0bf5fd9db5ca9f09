#pragma once

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "core/result.h"
#include "picture/write.h"

namespace greywright::picture {

/// How a picture is made ready to print.
struct Preparation {
    /// What each grey becomes. Shape: 65,536 entries, black first, of `channels` codes side by side; empty =
    /// every channel is the grey itself. Units: codes 0 .. 65535.
    std::vector<std::uint16_t> table = {};
    int channels = 1;  ///< of the file that is made: 1 grey, 3 RGB
    int bits = 16;     ///< 16, or 8 with dither
    /// The grey ICC profile whose codes the table is indexed by; empty = Encoding::greyGamma22.
    std::string greyProfile = {};
    std::string profile = {};  ///< embedded in the file that is made; empty = it is not tagged
    FileFormat format = FileFormat::tiff;
    /// Width on paper. Alone it changes the stated resolution only.
    std::optional<double> widthMm = {};
    /// The resolution to state; together with `widthMm` the picture gets other pixels to fit both.
    std::optional<double> pixelsPerInch = {};
    std::size_t threads = 0;  ///< 0 = as many as the machine has
    /// Told the share done, on the caller's thread or another, one call at a time; false stops the work.
    std::function<bool(double)> goOn = {};
};

/// What was made of a picture.
struct Prepared {
    std::size_t width = 0;  ///< as stored
    std::size_t height = 0;
    double pixelsPerInch = 300;
    bool resampled = false;
    /// picture-profile-left-out, picture-channel-left-out, picture-profile-assumed (untagged: taken as sRGB),
    /// picture-on-white (it was transparent), picture-resolution-assumed (300 pixels per inch),
    /// picture-turned-by-tag (stored lying, and so it stays, with its tag), picture-exif-left-out (neither
    /// taken over from TIFF nor written into it), picture-iptc-left-out (not written into PNG)
    std::vector<Note> notes = {};
};

/// Makes a picture ready to print: takes the luminance of every pixel by the picture's own profile, finds the
/// grey of that luminance in `greyProfile`, looks it up in the table and writes the result to `out`,
/// completely or not at all, with the picture's XMP, EXIF into PNG and IPTC into TIFF. Pixels of a colour
/// become the grey of their CIE Y for D50. Never writes over `in`, by whatever name. The codes are within 1
/// of those worked out in double precision and the same for any number of threads and any tiling of the file.
/// Valid: `pixelsPerInch` 1 .. 10,000; `widthMm` above 0. Errors: those of readReduced(), camera raw files as
/// picture-not-recognised; profile-unusable; picture-over-itself; picture-size (more or fewer than 1 to
/// 200,000 pixels each way, or 1 to 10,000 per inch, would come of it); write-failed;
/// picture-library-missing; stopped. Cost: every pixel once, some hundred rows in memory; what cannot be read
/// row by row whole. Thread: any number of calls at once.
[[nodiscard]] Result<Prepared> prepare(const std::filesystem::path& in, const std::filesystem::path& out,
                                       const Preparation& how);

/// How much of a picture's area has each grey that prepare() would look up, in steps of 16 codes. Units:
/// fractions of the area that add up to 1. Shape: 4096 values, black first. `greyProfile` as in Preparation.
/// Errors: those of prepare() that concern reading. Thread: any number of calls at once.
[[nodiscard]] Result<std::vector<double>> greyShares(const std::filesystem::path& path,
                                                     const std::string& greyProfile = {});

}  // namespace greywright::picture

#pragma once

#include <cstdint>
#include <filesystem>

/// What a picture file says of itself and libvips does not pass on; for this module's sources only.
namespace greywright::picture::tags {

/// Unknown where nothing is said.
struct Tags {
    bool tiff = false;            ///< begins like a TIFF file, whatever follows
    int bits = 0;                 ///< per channel, before libvips makes it more
    bool palette = false;         ///< colours from a table
    bool cameraRaw = false;       ///< what a camera's sensor saw: whatever else the file holds are thumbnails
    bool lacksUnit = false;       ///< its resolution is not of a length
    bool extraIsAlpha = true;     ///< what comes after grey or RGB
    bool hasProfile = false;      ///< an ICC profile is embedded, readable or not; PNG and TIFF only
    bool compressed = false;      ///< TIFF only
    bool exif = false;            ///< TIFF only: it has a directory of EXIF data
    std::uint64_t stripRows = 0;  ///< TIFF only: rows that are packed together, in a strip
    std::uint64_t tileRows = 0;   ///< TIFF only: or in tiles
};

/// Reads a PNG's header and the chunks before its pixels, or the directories of a TIFF file, and nothing
/// else. Never fails: what cannot be followed is left unknown. Source: PNG (ISO/IEC
/// 15948), 5.3, 11.2.2, 11.3.3.3; TIFF 6.0, sections 2 and 8; BigTIFF and EXIF's tag from memory; camera raw
/// files: Adobe DNG 1.4 (DNGVersion, CFA and LinearRaw), the marks "CR" and "IIII" behind the header from
/// memory.
[[nodiscard]] Tags tagsOf(const std::filesystem::path& path);

}  // namespace greywright::picture::tags

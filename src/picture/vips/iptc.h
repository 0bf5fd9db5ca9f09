#pragma once

#include <string>
#include <string_view>

/// A picture's caption data; for this module's sources only.
namespace greywright::picture::iptc {

/// What the container of resources in a JPEG file (APP13) and each resource in it begin with; bytes, since
/// the first spells a name that is not ours. Source: from memory.
inline constexpr std::string_view kContainer{"\x50\x68\x6F\x74\x6F\x73\x68\x6F\x70\x20\x33\x2E\x30\0", 14};
inline constexpr std::string_view kResource{"\x38\x42\x49\x4D", 4};

/// The records of IPTC alone, as TIFF holds them, from what libvips hands out: JPEG packs them among other
/// resources. Empty when there are none.
/// Source: IPTC IIM 4.2 for the records; the resources (number 0x0404) from memory.
[[nodiscard]] std::string recordsIn(std::string_view bytes);

/// Records as they have to be handed to libvips, which counts words of 4 bytes where libtiff counts bytes, so
/// that a quarter would be written: filled up with NUL to four times their length, which readers pass over
/// where both count alike. Source: seen with libvips 8.14 and libtiff 4.5.
[[nodiscard]] std::string forTiff(std::string records);

}  // namespace greywright::picture::iptc

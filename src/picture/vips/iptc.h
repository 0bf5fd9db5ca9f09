#pragma once

#include <string>
#include <string_view>

/// A picture's caption data; for this module's sources only.
namespace greywright::picture::iptc {

/// The records of IPTC alone, as TIFF holds them, from what libvips hands out: JPEG packs them among other
/// resources. Empty when there are none.
/// Source: IPTC IIM 4.2 for the records; the resources ("8BIM", number 0x0404) from memory.
[[nodiscard]] std::string recordsIn(std::string_view bytes);

/// Records as they have to be handed to libvips, which counts words of 4 bytes where libtiff counts bytes, so
/// that a quarter would be written: filled up with NUL to four times their length, which readers pass over
/// where both count alike. Source: seen with libvips 8.14 and libtiff 4.5.
[[nodiscard]] std::string forTiff(std::string records);

}  // namespace greywright::picture::iptc

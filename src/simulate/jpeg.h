#pragma once

#include <cstddef>
#include <cstdint>
#include <span>

namespace greywright::simulate {

/// What is left of a picture of 8 bits after JPEG: blocks of 8 x 8, the standard's example tables scaled by
/// quality as the Independent JPEG Group's library does, chroma at half the resolution. Shape: three channels
/// side by side, values 0 .. 255. Source: ITU-T T.81, tables K.1 and K.2, from memory.
void roundAsJpeg(std::span<float> rgb, std::size_t width, std::size_t height, int quality);

}  // namespace greywright::simulate

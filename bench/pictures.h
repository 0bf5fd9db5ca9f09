#pragma once

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <span>

#include <vips/vips.h>

#include "check.h"

/// What benchmarks of pictures have in common.
namespace greywright::bench {

/// A gradient with the noise of a scanner in it.
inline void fill(std::size_t row, std::span<std::uint16_t> samples) {
    auto noise = static_cast<std::uint32_t>(row * 2654435761U + 1);
    for (std::size_t i = 0; i < samples.size(); ++i) {
        noise = noise * 1664525U + 1013904223U;
        samples[i] = static_cast<std::uint16_t>(8000 + (i + row) + (noise >> 23U));
    }
}

inline VipsImage* openedByVips(const std::filesystem::path& path) {
    VipsImage* image =
        vips_image_new_from_file(path.string().c_str(), "access", VIPS_ACCESS_SEQUENTIAL, nullptr);
    require(image != nullptr, "libvips does not open the file");
    return image;
}

}  // namespace greywright::bench

#pragma once

#include <bit>
#include <csetjmp>
#include <cstdint>
#include <cstdio>
#include <filesystem>
#include <functional>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include <gtest/gtest.h>
#include <png.h>
#include <tiffio.h>

/// For tests only: files read by libtiff and libpng themselves, without libvips.
namespace greywright::picture::readback {

/// What a file says of itself.
struct Facts {
    std::size_t width = 0;
    std::size_t height = 0;
    int bits = 0;
    int channels = 0;
    double perInch = 0;          ///< TIFF
    std::uint32_t perMetre = 0;  ///< PNG
    std::string profile = {};
};

/// Told each row in turn, all channels of a pixel side by side, as the file has them: up to 255 or 65535.
using SeeRow = std::function<void(std::size_t row, std::span<const std::uint16_t> samples)>;

/// Bytes, packed at the beginning of the row, become samples.
inline void widen(std::span<std::uint16_t> row) {
    const auto* bytes = reinterpret_cast<const std::uint8_t*>(row.data());
    for (std::size_t i = row.size(); i-- > 0;) row[i] = bytes[i];
}

inline Facts readTiff(const std::filesystem::path& path, const SeeRow& see) {
    Facts facts;
    const std::unique_ptr<TIFF, decltype(&TIFFClose)> file(TIFFOpen(path.string().c_str(), "r"), &TIFFClose);
    if (!file) {
        ADD_FAILURE() << "libtiff does not open " << path;
        return facts;
    }
    std::uint32_t width = 0;
    std::uint32_t height = 0;
    std::uint16_t bits = 0;
    std::uint16_t channels = 0;
    std::uint16_t unit = 0;
    std::uint16_t meaning = 0;
    float across = 0;
    float down = 0;
    EXPECT_EQ(TIFFGetField(file.get(), TIFFTAG_IMAGEWIDTH, &width), 1);
    EXPECT_EQ(TIFFGetField(file.get(), TIFFTAG_IMAGELENGTH, &height), 1);
    EXPECT_EQ(TIFFGetField(file.get(), TIFFTAG_BITSPERSAMPLE, &bits), 1);
    EXPECT_EQ(TIFFGetField(file.get(), TIFFTAG_SAMPLESPERPIXEL, &channels), 1);
    EXPECT_EQ(TIFFGetField(file.get(), TIFFTAG_RESOLUTIONUNIT, &unit), 1);
    EXPECT_EQ(TIFFGetField(file.get(), TIFFTAG_XRESOLUTION, &across), 1);
    EXPECT_EQ(TIFFGetField(file.get(), TIFFTAG_YRESOLUTION, &down), 1);
    EXPECT_EQ(TIFFGetField(file.get(), TIFFTAG_PHOTOMETRIC, &meaning), 1);
    EXPECT_EQ(unit, RESUNIT_INCH);
    EXPECT_EQ(across, down);
    EXPECT_EQ(meaning, channels == 1 ? PHOTOMETRIC_MINISBLACK : PHOTOMETRIC_RGB);
    std::uint32_t profileBytes = 0;
    const void* profile = nullptr;
    if (TIFFGetField(file.get(), TIFFTAG_ICCPROFILE, &profileBytes, &profile) == 1) {
        facts.profile.assign(static_cast<const char*>(profile), profileBytes);
    }
    facts.width = width;
    facts.height = height;
    facts.bits = bits;
    facts.channels = channels;
    facts.perInch = static_cast<double>(across);
    std::vector<std::uint16_t> row(std::size_t{width} * channels);
    for (std::uint32_t y = 0; y < height; ++y) {
        if (TIFFReadScanline(file.get(), row.data(), y, 0) != 1) {
            ADD_FAILURE() << "libtiff cannot read row " << y;
            return facts;
        }
        if (bits == 8) widen(row);
        see(y, row);
    }
    return facts;
}

inline Facts readPng(const std::filesystem::path& path, const SeeRow& see) {
    Facts facts;
    const std::unique_ptr<std::FILE, int (*)(std::FILE*)> file(std::fopen(path.string().c_str(), "rb"),
                                                               &std::fclose);
    if (!file) {
        ADD_FAILURE() << "cannot open " << path;
        return facts;
    }
    png_structp png = png_create_read_struct(PNG_LIBPNG_VER_STRING, nullptr, nullptr, nullptr);
    png_infop info = png_create_info_struct(png);
    std::vector<std::uint16_t> row;
    if (setjmp(png_jmpbuf(png)) != 0) {  // NOLINT(cert-err52-cpp): libpng knows no other way
        ADD_FAILURE() << "libpng cannot read " << path;
        png_destroy_read_struct(&png, &info, nullptr);
        return facts;
    }
    png_init_io(png, file.get());
    png_read_info(png, info);
    facts.width = png_get_image_width(png, info);
    facts.height = png_get_image_height(png, info);
    facts.bits = png_get_bit_depth(png, info);
    facts.channels = png_get_channels(png, info);
    facts.perMetre = png_get_x_pixels_per_meter(png, info);
    EXPECT_EQ(png_get_y_pixels_per_meter(png, info), facts.perMetre);
    EXPECT_EQ(png_get_interlace_type(png, info), PNG_INTERLACE_NONE);
    png_charp name = nullptr;
    int method = 0;
    png_bytep profile = nullptr;
    png_uint_32 profileBytes = 0;
    if (png_get_iCCP(png, info, &name, &method, &profile, &profileBytes) != 0) {
        facts.profile.assign(reinterpret_cast<const char*>(profile), profileBytes);
    }
    if constexpr (std::endian::native == std::endian::little) png_set_swap(png);
    png_read_update_info(png, info);
    row.resize(facts.width * static_cast<std::size_t>(facts.channels));
    for (std::size_t y = 0; y < facts.height; ++y) {
        png_read_row(png, reinterpret_cast<png_bytep>(row.data()), nullptr);
        if (facts.bits == 8) widen(row);
        see(y, row);
    }
    png_destroy_read_struct(&png, &info, nullptr);
    return facts;
}

/// By the ending of the name: .png, else TIFF.
inline Facts readBack(const std::filesystem::path& path, const SeeRow& see) {
    return path.extension() == ".png" ? readPng(path, see) : readTiff(path, see);
}

}  // namespace greywright::picture::readback

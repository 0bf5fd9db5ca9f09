#pragma once

#include <csetjmp>
#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <filesystem>
#include <functional>
#include <memory>
#include <string>
#include <vector>

#include <gtest/gtest.h>
#include <png.h>
#include <tiffio.h>

/// For tests only: files made by libtiff and libpng themselves, also such as libvips does not make.
namespace greywright::picture::made {

struct TiffFile {
    std::uint32_t width = 0;
    std::uint32_t height = 0;
    int channels = 1;
    int bits = 8;
    int photometric = PHOTOMETRIC_MINISBLACK;
    std::function<void(TIFF*)> more = {};  ///< sets further fields
};

/// `bytes` holds the rows one after the other, as the file has them; fewer rows leave the file unfinished.
inline void writeTiff(const std::filesystem::path& path, const TiffFile& file,
                      const std::vector<std::uint8_t>& bytes) {
    const std::unique_ptr<TIFF, decltype(&TIFFClose)> tiff(TIFFOpen(path.string().c_str(), "w"), &TIFFClose);
    ASSERT_TRUE(tiff) << path;
    TIFFSetField(tiff.get(), TIFFTAG_IMAGEWIDTH, file.width);
    TIFFSetField(tiff.get(), TIFFTAG_IMAGELENGTH, file.height);
    TIFFSetField(tiff.get(), TIFFTAG_SAMPLESPERPIXEL, file.channels);
    TIFFSetField(tiff.get(), TIFFTAG_BITSPERSAMPLE, file.bits);
    TIFFSetField(tiff.get(), TIFFTAG_PHOTOMETRIC, file.photometric);
    TIFFSetField(tiff.get(), TIFFTAG_PLANARCONFIG, PLANARCONFIG_CONTIG);
    TIFFSetField(tiff.get(), TIFFTAG_ROWSPERSTRIP, 1);
    if (file.more) file.more(tiff.get());
    const auto rowBytes = static_cast<std::size_t>(TIFFScanlineSize(tiff.get()));
    std::vector<std::uint8_t> row(rowBytes);
    for (std::uint32_t y = 0; y < file.height && (y + 1) * rowBytes <= bytes.size(); ++y) {
        std::copy_n(bytes.begin() + static_cast<std::ptrdiff_t>(y * rowBytes), rowBytes, row.begin());
        ASSERT_EQ(TIFFWriteScanline(tiff.get(), row.data(), y, 0), 1);
    }
}

struct PngFile {
    std::uint32_t width = 0;
    std::uint32_t height = 0;
    int bits = 8;
    int colourType = PNG_COLOR_TYPE_GRAY;
    bool interlaced = false;
};

/// As writeTiff(); a table of colours, where one is needed, is black, red and white.
inline void writePng(const std::filesystem::path& path, const PngFile& file,
                     const std::vector<std::uint8_t>& bytes) {
    const std::unique_ptr<std::FILE, int (*)(std::FILE*)> out(std::fopen(path.string().c_str(), "wb"),
                                                              &std::fclose);
    ASSERT_TRUE(out) << path;
    png_structp png = png_create_write_struct(PNG_LIBPNG_VER_STRING, nullptr, nullptr, nullptr);
    png_infop info = png_create_info_struct(png);
    if (setjmp(png_jmpbuf(png)) != 0) {  // NOLINT(cert-err52-cpp): libpng knows no other way
        png_destroy_write_struct(&png, &info);
        FAIL() << "libpng cannot write " << path;
    }
    png_init_io(png, out.get());
    png_set_IHDR(png, info, file.width, file.height, file.bits, file.colourType,
                 file.interlaced ? PNG_INTERLACE_ADAM7 : PNG_INTERLACE_NONE, PNG_COMPRESSION_TYPE_DEFAULT,
                 PNG_FILTER_TYPE_DEFAULT);
    const png_color colours[3]{{0, 0, 0}, {255, 0, 0}, {255, 255, 255}};
    if (file.colourType == PNG_COLOR_TYPE_PALETTE) png_set_PLTE(png, info, colours, 3);
    png_write_info(png, info);
    const std::size_t rowBytes = png_get_rowbytes(png, info);
    std::size_t y = 0;
    for (; y < file.height && (y + 1) * rowBytes <= bytes.size(); ++y) {
        png_write_row(png, bytes.data() + y * rowBytes);
    }
    if (y == file.height) {
        png_write_end(png, info);
    } else {
        png_write_flush(png);
    }
    png_destroy_write_struct(&png, &info);
}

}  // namespace greywright::picture::made

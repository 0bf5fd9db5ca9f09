#include <cstdint>
#include <string>
#include <vector>

#include <gtest/gtest.h>
#include <vips/vips.h>

#include "core/files.h"
#include "picture/make_files.h"
#include "picture/read.h"
#include "testing/near.h"
#include "testing/temporary_folder.h"

namespace greywright::picture {
namespace {

using greywright::testing::succeeded;
using greywright::testing::TemporaryFolder;
using made::writePng;
using made::writeTiff;

class Refuse : public ::testing::Test {
  protected:
    static void SetUpTestSuite() { ASSERT_EQ(vips_init("picture_test"), 0); }

    static Error errorOf(const std::filesystem::path& path) {
        const auto result = readReduced(path);
        EXPECT_FALSE(result) << path;
        EXPECT_STREQ(vips_error_buffer(), "") << "something was left for others to find";
        if (result) return {};
        EXPECT_EQ(result.error().kind, ErrorKind::badInput);
        EXPECT_EQ(result.error().where.path, path.string());
        EXPECT_NE(result.error().next, "");
        return result.error();
    }

    TemporaryFolder folder_;
};

TEST_F(Refuse, BlackAndWhiteWithoutGreys) {
    writeTiff(folder_ / "line.tif", {.width = 16, .height = 2, .bits = 1}, {0xF0, 0x0F, 0xAA, 0x55});
    EXPECT_EQ(errorOf(folder_ / "line.tif").code, "picture-one-bit");
    writePng(folder_ / "line.png", {.width = 16, .height = 2, .bits = 1}, {0xF0, 0x0F, 0xAA, 0x55});
    EXPECT_EQ(errorOf(folder_ / "line.png").code, "picture-one-bit");
}

TEST_F(Refuse, ColoursFromATable) {
    writePng(folder_ / "table.png", {.width = 3, .height = 1, .colourType = PNG_COLOR_TYPE_PALETTE},
             {0, 1, 2});
    EXPECT_EQ(errorOf(folder_ / "table.png").code, "picture-palette");
    std::vector<std::uint16_t> map(256, 40000);
    writeTiff(
        folder_ / "table.tif",
        {.width = 3,
         .height = 1,
         .photometric = PHOTOMETRIC_PALETTE,
         .more =
             [&](TIFF* tiff) { TIFFSetField(tiff, TIFFTAG_COLORMAP, map.data(), map.data(), map.data()); }},
        {0, 1, 2});
    EXPECT_EQ(errorOf(folder_ / "table.tif").code, "picture-palette");
}

TEST_F(Refuse, Inks) {
    writeTiff(folder_ / "inks.tif",
              {.width = 2, .height = 1, .channels = 4, .photometric = PHOTOMETRIC_SEPARATED},
              {0, 0, 0, 255, 1, 2, 3, 4});
    EXPECT_EQ(errorOf(folder_ / "inks.tif").code, "picture-inks");
    VipsImage* black = nullptr;
    ASSERT_EQ(vips_black(&black, 16, 16, "bands", 4, nullptr), 0);
    VipsImage* inks = nullptr;
    ASSERT_EQ(vips_copy(black, &inks, "interpretation", VIPS_INTERPRETATION_CMYK, nullptr), 0);
    ASSERT_EQ(vips_image_write_to_file(inks, (folder_ / "inks.jpg").string().c_str(), nullptr), 0);
    g_object_unref(inks);
    g_object_unref(black);
    EXPECT_EQ(errorOf(folder_ / "inks.jpg").code, "picture-inks");
}

TEST_F(Refuse, OtherPixels) {
    writeTiff(folder_ / "real.tif",
              {.width = 1,
               .height = 1,
               .bits = 32,
               .more = [](TIFF* tiff) { TIFFSetField(tiff, TIFFTAG_SAMPLEFORMAT, SAMPLEFORMAT_IEEEFP); }},
              {0, 0, 0x80, 0x3F});
    EXPECT_EQ(errorOf(folder_ / "real.tif").code, "picture-not-recognised");
    writeTiff(folder_ / "lab.tif",
              {.width = 1, .height = 1, .channels = 3, .photometric = PHOTOMETRIC_CIELAB}, {200, 1, 2});
    EXPECT_EQ(errorOf(folder_ / "lab.tif").code, "picture-not-recognised");
}

TEST_F(Refuse, ManyChannels) {
    for (const int channels : {13, 60}) {
        const std::vector<std::uint16_t> unspecified(std::size_t(channels - 1), EXTRASAMPLE_UNSPECIFIED);
        writeTiff(folder_ / "many.tif",
                  {.width = 2,
                   .height = 1,
                   .channels = channels,
                   .more =
                       [&](TIFF* tiff) {
                           TIFFSetField(tiff, TIFFTAG_EXTRASAMPLES, channels - 1, unspecified.data());
                       }},
                  std::vector<std::uint8_t>(std::size_t(2 * channels), 90));
        const Error error = errorOf(folder_ / "many.tif");
        EXPECT_EQ(error.code, "picture-not-recognised") << error.text();
        EXPECT_NE(error.what.find(std::to_string(channels) + " channels"), std::string::npos) << error.what;
    }
}

TEST_F(Refuse, OneHugeTile) {
    constexpr std::uint32_t kSide = 11008;  // a whole picture in one piece of more than 100 million bytes
    std::vector<std::uint8_t> tile(std::size_t{kSide} * kSide, 90);
    writeTiff(folder_ / "tile.tif",
              {.width = kSide,
               .height = kSide,
               .more =
                   [&](TIFF* tiff) {
                       TIFFUnsetField(tiff, TIFFTAG_ROWSPERSTRIP);
                       TIFFSetField(tiff, TIFFTAG_TILEWIDTH, kSide);
                       TIFFSetField(tiff, TIFFTAG_TILELENGTH, kSide);
                       TIFFSetField(tiff, TIFFTAG_COMPRESSION, COMPRESSION_ADOBE_DEFLATE);
                       ASSERT_GT(TIFFWriteTile(tiff, tile.data(), 0, 0, 0, 0), 0);
                   }},
              {});
    const Error error = errorOf(folder_ / "tile.tif");
    EXPECT_EQ(error.code, "picture-too-large") << error.text();
    EXPECT_NE(error.what.find("tiles"), std::string::npos) << error.what;
}

TEST_F(Refuse, WhatIsNoPicture) {
    EXPECT_EQ(errorOf(folder_ / "absent.tif").code, "picture-not-found");
    EXPECT_EQ(errorOf(folder_.path()).code, "picture-unreadable");
    ASSERT_TRUE(succeeded(writeWholeFile(folder_ / "empty.tif", "")));
    EXPECT_EQ(errorOf(folder_ / "empty.tif").code, "picture-empty");
    using namespace std::string_literals;
    for (const std::string& text :
         {"1,2,3\n4,5,6\n"s, "P2\n2 1\n255\n0 255\n"s, "<svg width='9' height='9'></svg>"s, "x"s,
          std::string(100'000, '\0'), "RIFF\0\0\0\0WAVE"s, "%PDF-1.4\n"s}) {
        ASSERT_TRUE(succeeded(writeWholeFile(folder_ / "text.tif", text)));
        EXPECT_EQ(errorOf(folder_ / "text.tif").code, "picture-not-recognised") << text.substr(0, 20);
    }
    ASSERT_TRUE(succeeded(writeWholeFile(folder_ / "text.tif", "II*\0\x10\0\0\0"s)));
    EXPECT_EQ(errorOf(folder_ / "text.tif").code, "picture-damaged");
}

// Whether libvips takes its readers of these for safe depends on its version; none is called damaged.
TEST_F(Refuse, FormatsThatAreNotReadHereAreNotCalledDamaged) {
    VipsImage* black = nullptr;
    ASSERT_EQ(vips_black(&black, 32, 32, nullptr), 0);
    for (const char* name : {"sound.jxl", "sound.jp2"}) {
        const auto path = folder_ / name;
        if (vips_image_write_to_file(black, path.string().c_str(), nullptr) != 0) {
            vips_error_clear();
            continue;
        }
        const auto picture = readReduced(path);
        EXPECT_TRUE(picture || picture.error().code == "picture-not-recognised") << name;
    }
    g_object_unref(black);
}

TEST_F(Refuse, WhatIsCutShort) {
    VipsImage* noise = nullptr;
    ASSERT_EQ(vips_gaussnoise(&noise, 300, 300, "mean", 128.0, "sigma", 40.0, nullptr), 0);
    VipsImage* bytes = nullptr;
    ASSERT_EQ(vips_cast(noise, &bytes, VIPS_FORMAT_UCHAR, nullptr), 0);
    for (const char* name : {"whole.png", "whole.jpg", "whole.tif", "whole.webp"}) {
        const auto path = folder_ / name;
        ASSERT_EQ(vips_image_write_to_file(bytes, path.string().c_str(), nullptr), 0);
        ASSERT_TRUE(succeeded(readReduced(path)));
        const std::string whole = readWholeFile(path).value();
        for (const std::size_t kept : {whole.size() * 9 / 10, whole.size() / 2, std::size_t{20}}) {
            ASSERT_TRUE(succeeded(writeWholeFile(path, whole.substr(0, kept))));
            EXPECT_EQ(errorOf(path).code, "picture-damaged") << name << " " << kept;
        }
    }
    g_object_unref(bytes);
    g_object_unref(noise);
}

// Kinds of files that make the library hold much of the picture at once.
TEST_F(Refuse, PicturesThatCannotBeReadAFewRowsAtATime) {
    std::vector<std::uint8_t> row;
    for (std::uint32_t i = 0; i < 8'000'000; ++i) {
        row.push_back(static_cast<std::uint8_t>((i * i * 2654435761U) >> 24U));  // not to be made smaller
    }
    writePng(folder_ / "in-turns.png",
             {.width = 12000,
              .height = 10000,
              .bits = 16,
              .colourType = PNG_COLOR_TYPE_RGB_ALPHA,
              .interlaced = true},
             {row.begin(), row.begin() + 10 * 8 * 12000});
    writePng(folder_ / "wide.png",
             {.width = 1'000'000, .height = 60, .bits = 16, .colourType = PNG_COLOR_TYPE_RGB_ALPHA}, row);
    const auto inOneStrip = [](TIFF* tiff) {
        TIFFSetField(tiff, TIFFTAG_ROWSPERSTRIP, 64);
        TIFFSetField(tiff, TIFFTAG_COMPRESSION, COMPRESSION_ADOBE_DEFLATE);
    };
    writeTiff(folder_ / "one-strip.tif", {.width = 64, .height = 64, .more = inOneStrip},
              {row.begin(), row.begin() + 64 * 64});
    EXPECT_TRUE(readReduced(folder_ / "one-strip.tif")) << "a strip as large as this small picture";
    std::filesystem::resize_file(folder_ / "one-strip.tif", 500'000'000);  // as if packed badly
    for (const char* name : {"in-turns.png", "wide.png", "one-strip.tif"}) {
        const Error error = errorOf(folder_ / name);
        EXPECT_EQ(error.code, "picture-too-large") << name;
        EXPECT_NE(error.what.find("a few rows at a time"), std::string::npos) << error.what;
    }
    EXPECT_LT(vips_tracked_get_mem_highwater(), std::size_t{40} << 20);
}

// Whatever a header says, nothing is set aside for it.
TEST_F(Refuse, HeadersThatPromiseMoreThanTheFileHolds) {
    std::vector<std::uint8_t> row;
    for (std::uint32_t i = 0; i < 900'000; ++i) {
        row.push_back(static_cast<std::uint8_t>((i * i * 2654435761U) >> 24U));  // not to be made smaller
    }
    writePng(folder_ / "promise.png", {.width = 60000, .height = 60000}, {row.begin(), row.begin() + 60000});
    writePng(folder_ / "promise-in-turns.png", {.width = 70000, .height = 30000, .interlaced = true}, row);
    writePng(folder_ / "promise-beyond.png", {.width = 900'000, .height = 900'000}, row);
    writeTiff(folder_ / "promise.tif", {.width = 60000, .height = 60000}, {row.begin(), row.begin() + 60000});
    VipsImage* black = nullptr;
    ASSERT_EQ(vips_black(&black, 16, 16, nullptr), 0);
    ASSERT_EQ(vips_image_write_to_file(black, (folder_ / "promise.jpg").string().c_str(), nullptr), 0);
    g_object_unref(black);
    // The frame header: its mark, length, bits, height and width. Source: ITU-T T.81, B.2.2.
    std::string jpeg = readWholeFile(folder_ / "promise.jpg").value();
    const std::size_t frame = jpeg.find("\xFF\xC0");
    ASSERT_NE(frame, std::string::npos);
    jpeg.replace(frame + 5, 4, "\xEA\x60\xEA\x60");
    ASSERT_TRUE(succeeded(writeWholeFile(folder_ / "promise.jpg", jpeg)));
    for (const char* name :
         {"promise.png", "promise-in-turns.png", "promise-beyond.png", "promise.tif", "promise.jpg"}) {
        EXPECT_EQ(errorOf(folder_ / name).code, "picture-too-large") << name;
    }
    EXPECT_LT(vips_tracked_get_mem_highwater(), std::size_t{40} << 20);
}

// 900 million pixels, read within a small part of that.
TEST_F(Refuse, ButNotAHugePictureThatIsHonest) {
    VipsImage* black = nullptr;
    ASSERT_EQ(vips_black(&black, 30000, 30000, nullptr), 0);
    const auto path = folder_ / "huge.png";
    ASSERT_EQ(vips_pngsave(black, path.string().c_str(), "compression", 1, "filter",
                           VIPS_FOREIGN_PNG_FILTER_NONE, nullptr),
              0);
    g_object_unref(black);
    const auto picture = readReduced(path);
    ASSERT_TRUE(succeeded(picture));
    EXPECT_EQ(picture->factor, 8U);
    EXPECT_EQ(picture->width, 3750U);
    RecordProperty("megabytes", static_cast<int>(vips_tracked_get_mem_highwater() >> 20));
    EXPECT_LT(vips_tracked_get_mem_highwater(), std::size_t{100} << 20);
}

}  // namespace
}  // namespace greywright::picture

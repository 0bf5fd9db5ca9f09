#include "picture/apply.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include <gtest/gtest.h>
#include <lcms2.h>
#include <vips/vips.h>

#include "core/files.h"
#include "picture/make_files.h"
#include "picture/prepare_fixture.h"
#include "picture/vips/iptc.h"

namespace greywright::picture {
namespace {

using namespace preparing;
using made::writeTiff;

TEST_F(Prepare, EveryCodeIsWithinOneOfDoublePrecision) {
    const fs::path in = file("in.tif", 256, everyCode(), gamma22());
    for (const std::size_t channels : {1U, 3U}) {
        for (const FileFormat format : {FileFormat::tiff, FileFormat::png}) {
            const Codes out = prepared(
                in, {.table = tableOf(channels), .channels = static_cast<int>(channels), .format = format});
            ASSERT_EQ(out.size(), kCodes * channels);
            double worst = 0;
            for (std::size_t i = 0; i < out.size(); ++i) {
                const double exact = curve(static_cast<double>(i / channels) / 65535, i % channels);
                worst = std::max(worst, std::abs(out[i] - exact));
            }
            EXPECT_LE(worst, 0.5 + 1e-9);
        }
    }
}

// Source: sRGB to linear light: IEC 61966-2-1; the Y of its primaries for D50: 0.2225045, 0.7168786,
// 0.0606169 (B. Lindbloom, from memory; the matrix in the profile is rounded to 1/65536, so each may be off
// by 1e-5, or 0.6 of a code where the table has a slope of 2); the encoding is luminance to the power 256/563
// (the profile that ships).
TEST_F(Prepare, ColoursBecomeTheGreyOfTheirLuminance) {
    const auto light = [](double v) { return v <= 0.04045 ? v / 12.92 : std::pow((v + 0.055) / 1.055, 2.4); };
    for (const int bits : {8, 16}) {
        Codes rgb;
        std::uint32_t random = 1;
        for (std::size_t i = 0; i < 3 * 64 * 64; ++i) {
            random = random * 1664525U + 1013904223U;
            rgb.push_back(static_cast<std::uint16_t>(bits == 8 ? (random >> 24U) * 257 : random >> 16U));
        }
        const Codes out = prepared(file("in.tif", 64, rgb, "", 3, bits), {});
        ASSERT_EQ(out.size(), rgb.size() / 3);
        for (std::size_t i = 0; i < out.size(); ++i) {
            const double luminance = 0.2225045 * light(rgb[3 * i] / 65535.0) +
                                     0.7168786 * light(rgb[3 * i + 1] / 65535.0) +
                                     0.0606169 * light(rgb[3 * i + 2] / 65535.0);
            const double exact = 65535 * std::pow(luminance, 256.0 / 563);
            // In code values: what 2e-5 of luminance, and 2e-4 of it in all, make of the dark colours.
            const double slope = exact * (256.0 / 563) / luminance;
            ASSERT_NEAR(out[i], exact, 1 + slope * 3e-5) << bits << " bits, pixel " << i;
        }
    }
}

// A grey is the same whichever way it comes: as grey or RGB, 8 bits or 16.
TEST_F(Prepare, AGreyIsTheSameWhateverHoldsIt) {
    Codes grey;
    Codes rgb;
    for (std::size_t i = 0; i < 256; ++i) {
        grey.push_back(static_cast<std::uint16_t>(i * 257));
        rgb.insert(rgb.end(), 3, grey.back());
    }
    const Preparation how{.table = tableOf(3), .channels = 3};
    const Codes first = prepared(file("a.tif", 16, grey, ""), how);
    for (const int bits : {8, 16}) {
        for (const Codes& other : {prepared(file("b.png", 16, grey, "", 1, bits), how),
                                   prepared(file("c.tif", 16, rgb, "", 3, bits), how)}) {
            ASSERT_EQ(other.size(), first.size());
            for (std::size_t i = 0; i < first.size(); ++i) ASSERT_NEAR(other[i], first[i], 1) << i;
        }
    }
}

// Source: lcms2, asked in double precision for each pixel by itself.
TEST_F(Prepare, ItsOwnProfileCounts) {
    const std::string profile = profileOf(Encoding::displayP3).value();
    const Codes rgb = busy(60, 60, 3);
    const Codes out = prepared(file("in.png", 60, rgb, profile, 3), {});
    cmsHPROFILE from = cmsOpenProfileFromMem(profile.data(), static_cast<cmsUInt32Number>(profile.size()));
    cmsHPROFILE xyz = cmsCreateXYZProfile();
    cmsHTRANSFORM transform = cmsCreateTransform(from, TYPE_RGB_DBL, xyz, TYPE_XYZ_DBL,
                                                 INTENT_RELATIVE_COLORIMETRIC, cmsFLAGS_NOOPTIMIZE);
    ASSERT_NE(transform, nullptr);
    ASSERT_EQ(out.size(), rgb.size() / 3);
    for (std::size_t i = 0; i < out.size(); ++i) {
        const double pixel[3]{rgb[3 * i] / 65535.0, rgb[3 * i + 1] / 65535.0, rgb[3 * i + 2] / 65535.0};
        cmsCIEXYZ seen{};
        cmsDoTransform(transform, pixel, &seen, 1);
        ASSERT_NEAR(out[i], 65535 * std::pow(seen.Y, 256.0 / 563), 1) << i;
    }
    cmsDeleteTransform(transform);
    cmsCloseProfile(xyz);
    cmsCloseProfile(from);
}

TEST_F(Prepare, TheFileSaysWhatItIs) {
    const std::string rgb = profileOf(Encoding::displayP3).value();
    const fs::path in = file("in.tif", 254, Codes(254 * 127, 20000), gamma22());
    const auto stated = [&](const Preparation& how) {
        const auto result = prepare(in, folder_ / "out.tif", how);
        EXPECT_TRUE(succeeded(result));
        const auto facts = readBack(folder_ / "out.tif", [](auto, auto) {});
        if (result) {
            EXPECT_EQ(result->width, facts.width);
            EXPECT_EQ(result->height, facts.height);
            EXPECT_NEAR(result->pixelsPerInch, facts.perInch, 1e-4);
            EXPECT_TRUE(result->notes.empty());
        }
        return facts;
    };
    auto facts = stated({.channels = 3, .profile = rgb});
    EXPECT_EQ(facts.profile, rgb);
    EXPECT_EQ(facts.channels, 3);
    EXPECT_EQ(facts.bits, 16);
    EXPECT_EQ(facts.perInch, 300);  // the file's own
    EXPECT_EQ(stated({}).profile, "");
    EXPECT_EQ(stated({.bits = 8}).bits, 8);
    EXPECT_EQ(stated({.pixelsPerInch = 720}).perInch, 720);
    // 254 pixels on 25.4 mm, by 25.4 mm to the inch.
    facts = stated({.widthMm = 25.4});
    EXPECT_EQ(facts.perInch, 254);
    EXPECT_EQ(facts.width, 254U);
    facts = stated({.widthMm = 50.8, .pixelsPerInch = 360});
    EXPECT_EQ(facts.width, 720U);
    EXPECT_EQ(facts.height, 360U);
    EXPECT_EQ(facts.perInch, 360);
    facts = stated({.widthMm = 12.7, .pixelsPerInch = 200});
    EXPECT_EQ(facts.width, 100U);
    EXPECT_EQ(facts.height, 50U);
}

// 25.4 mm to the inch; a page that stands and one that lies, TIFF and PNG, which holds whole pixels per
// metre.
TEST_F(Prepare, TheSizeOnPaperIsRight) {
    const fs::path in = file("in.tif", 333, Codes(333 * 501, 20000), gamma22());
    for (const FileFormat format : {FileFormat::tiff, FileFormat::png}) {
        for (const double widthMm : {17.3, 40.0, 101.6}) {
            for (const std::optional<double> perInch : {std::optional<double>{}, std::optional(180.0)}) {
                const fs::path out = folder_ / (format == FileFormat::png ? "out.png" : "out.tif");
                const auto result =
                    prepare(in, out, {.format = format, .widthMm = widthMm, .pixelsPerInch = perInch});
                ASSERT_TRUE(succeeded(result));
                const auto facts = readBack(out, [](auto, auto) {});
                const double mm = format == FileFormat::png ? 1000.0 / facts.perMetre : 25.4 / facts.perInch;
                // Half a pixel where the resolution is given, else what its last digit is worth.
                const double most = (perInch ? 0.5 * mm : 0) + widthMm * (0.5 / (1000 / mm) + 1e-6);
                EXPECT_NEAR(static_cast<double>(facts.width) * mm, widthMm, most);
                EXPECT_NEAR(static_cast<double>(facts.height) * mm, widthMm * 501 / 333,
                            most * 501 / 333 + mm);
                EXPECT_NEAR(25.4 / mm, result->pixelsPerInch, result->pixelsPerInch * 0.5 * mm / 1000 + 1e-3);
            }
        }
    }
    writeTiff(folder_ / "lying.tif",
              {.width = 300,
               .height = 200,
               .more = [](TIFF* tiff) { TIFFSetField(tiff, TIFFTAG_ORIENTATION, ORIENTATION_RIGHTTOP); }},
              std::vector<std::uint8_t>(300 * 200, 9));
    ASSERT_TRUE(succeeded(prepare(folder_ / "lying.tif", folder_ / "out.tif", {.widthMm = 25.4})));
    EXPECT_EQ(readBack(folder_ / "out.tif", [](auto, auto) {}).perInch, 200) << "as it is shown, 200 across";
}

TEST_F(Prepare, AFlatGreyIsNotChangedByOtherPixels) {
    const fs::path in = file("in.tif", 300, Codes(300 * 200, 12345), gamma22());
    for (const double perInch : {100.0, 411.0, 900.0}) {
        for (const std::uint16_t code : prepared(in, {.widthMm = 25.4, .pixelsPerInch = perInch})) {
            ASSERT_EQ(code, 12345);
        }
    }
}

// The same pixels in strips and in tiles of several sizes, which libvips asks for in areas of other shapes.
TEST_F(Prepare, ThreadsAndTilesDoNotChangeABit) {
    for (const int channels : {1, 3}) {
        const std::size_t width = 611;
        const Codes codes = busy(width, 377, static_cast<std::size_t>(channels));
        const fs::path strips = file("in.tif", width, codes, "", channels);
        for (Preparation how : {Preparation{.table = tableOf(3), .channels = 3},
                                Preparation{.table = tableOf(3), .channels = 3, .bits = 8},
                                Preparation{.widthMm = 80, .pixelsPerInch = 180},
                                Preparation{.bits = 8, .widthMm = 80, .pixelsPerInch = 500}}) {
            how.threads = 1;
            const Codes first = prepared(strips, how);
            for (const std::size_t threads : {2U, 5U}) {
                how.threads = threads;
                ASSERT_EQ(prepared(strips, how), first) << threads;
            }
            for (const int tile : {16, 64, 256}) {
                VipsImage* image = vips_image_new_from_file(strips.string().c_str(), nullptr);
                ASSERT_EQ(vips_tiffsave(image, (folder_ / "tiles.tif").string().c_str(), "tile", TRUE,
                                        "tile_width", tile, "tile_height", tile, nullptr),
                          0);
                g_object_unref(image);
                ASSERT_EQ(prepared(folder_ / "tiles.tif", how), first) << tile;
            }
        }
    }
}

TEST_F(Prepare, MetadataIsKept) {
    const fs::path plain = file("plain.png", 40, Codes(40 * 30, 30000), gamma22());
    VipsImage* image = vips_image_new_from_file(plain.string().c_str(), nullptr);
    ASSERT_NE(image, nullptr);
    const std::string packet = "<x:xmpmeta xmlns:x='adobe:ns:meta/'>a title</x:xmpmeta>";
    vips_image_set_blob_copy(image, VIPS_META_XMP_NAME, packet.data(), packet.size());
    vips_image_set_string(image, "exif-ifd0-ImageDescription",
                          "a quay (a quay, ASCII, 7 components, 7 bytes)");
    ASSERT_EQ(vips_image_write_to_file(image, (folder_ / "in.jpg").string().c_str(), nullptr), 0);
    g_object_unref(image);

    for (const char* name : {"out.png", "out.tif"}) {
        const auto result =
            prepare(folder_ / "in.jpg", folder_ / name,
                    {.format = std::string(name) == "out.png" ? FileFormat::png : FileFormat::tiff});
        ASSERT_TRUE(succeeded(result));
        VipsImage* made = vips_image_new_from_file((folder_ / name).string().c_str(), nullptr);
        ASSERT_NE(made, nullptr);
        const void* data = nullptr;
        std::size_t bytes = 0;
        EXPECT_EQ(vips_image_get_blob(made, VIPS_META_XMP_NAME, &data, &bytes), 0) << name;
        EXPECT_EQ(std::string(static_cast<const char*>(data), bytes), packet) << name;
        const char* description = "";
        const bool kept = vips_image_get_typeof(made, "exif-ifd0-ImageDescription") != 0 &&
                          vips_image_get_string(made, "exif-ifd0-ImageDescription", &description) == 0;
        EXPECT_EQ(std::string(description).starts_with("a quay"), kept);
        const bool told = std::ranges::any_of(
            result->notes, [](const Note& note) { return note.code == "picture-exif-left-out"; });
        EXPECT_NE(kept, told) << name;
        EXPECT_EQ(kept, std::string(name) == "out.png");
        g_object_unref(made);
    }
}

// Source: a record of IPTC IIM 4.2: mark, number 2:05 (object name), length, text; among the resources of a
// JPEG file (APP13) from memory.
TEST_F(Prepare, CaptionsAreKept) {
    using namespace std::string_literals;
    const std::string record = "\x1C\x02\x05\0\x07"s + "a title";
    const std::string container(iptc::kContainer), mark(iptc::kResource);
    const std::string resources =
        container + mark + "\x04\x25\0\0\0\0\0\x03odd\0"s + mark + "\x04\x04\0\0\0\0\0\x0C"s + record;
    const fs::path plain = file("plain.png", 40, Codes(40 * 30, 30000), gamma22());
    VipsImage* image = vips_image_new_from_file(plain.string().c_str(), nullptr);
    ASSERT_NE(image, nullptr);
    ASSERT_EQ(vips_image_write_to_file(image, (folder_ / "in.jpg").string().c_str(), nullptr), 0);
    g_object_unref(image);
    std::string jpeg = *readWholeFile(folder_ / "in.jpg");
    jpeg.insert(2, "\xFF\xED\0"s + static_cast<char>(resources.size() + 2) + resources);
    ASSERT_TRUE(succeeded(writeWholeFile(folder_ / "in.jpg", jpeg)));
    writeTiff(folder_ / "in.tif",
              {.width = 2,
               .height = 1,
               .more =
                   [&](TIFF* tiff) {
                       TIFFSetField(tiff, TIFFTAG_RICHTIFFIPTC, static_cast<std::uint32_t>(record.size()),
                                    record.data());
                   }},
              {1, 2});
    for (const char* name : {"in.jpg", "in.tif"}) {
        ASSERT_TRUE(succeeded(prepare(folder_ / name, folder_ / "out.tif", {})));
        const std::unique_ptr<TIFF, decltype(&TIFFClose)> tiff(
            TIFFOpen((folder_ / "out.tif").string().c_str(), "r"), &TIFFClose);
        ASSERT_TRUE(tiff);
        std::uint32_t bytes = 0;
        const void* data = nullptr;
        ASSERT_EQ(TIFFGetField(tiff.get(), TIFFTAG_RICHTIFFIPTC, &bytes, &data), 1) << name;
        const std::string found(static_cast<const char*>(data), bytes);
        EXPECT_TRUE(found.starts_with(record)) << name;
        EXPECT_EQ(found.find_first_not_of('\0', record.size()), std::string::npos) << name;

        const auto result = prepare(folder_ / name, folder_ / "out.png", {.format = FileFormat::png});
        ASSERT_TRUE(succeeded(result));
        VipsImage* made = vips_image_new_from_file((folder_ / "out.png").string().c_str(), nullptr);
        const bool kept = vips_image_get_typeof(made, VIPS_META_IPTC_NAME) != 0;
        g_object_unref(made);
        const bool told = std::ranges::any_of(
            result->notes, [](const Note& note) { return note.code == "picture-iptc-left-out"; });
        EXPECT_NE(kept, told) << name;
    }
}

// Resources that claim more than there is, or hold no captions.
TEST_F(Prepare, CaptionsThatAreCutOffAreNone) {
    using namespace std::string_literals;
    const fs::path plain = file("plain.png", 40, Codes(40 * 30, 30000), gamma22());
    VipsImage* image = vips_image_new_from_file(plain.string().c_str(), nullptr);
    ASSERT_NE(image, nullptr);
    const fs::path in = folder_ / "in.jpg";
    ASSERT_EQ(vips_image_write_to_file(image, in.string().c_str(), nullptr), 0);
    g_object_unref(image);
    const std::string sound = *readWholeFile(in);
    const std::string mark(iptc::kResource);
    for (const std::string& rest :
         {""s, mark, mark + "\x04\x04"s, mark + "\x04\x04\xFF"s, mark + "\x04\x04\0\0\xFF\xFF\xFF\xFFtext"s,
          mark + "\x04\x25\0\0\0\0\0\x01x"s, mark + "\x04\x04\0\0\0\0\0\0"s}) {
        const std::string resources = std::string(iptc::kContainer) + rest;
        std::string jpeg = sound;
        jpeg.insert(2, "\xFF\xED\0"s + static_cast<char>(resources.size() + 2) + resources);
        ASSERT_TRUE(succeeded(writeWholeFile(in, jpeg)));
        ASSERT_TRUE(succeeded(prepare(in, folder_ / "out.tif", {})));
        const std::unique_ptr<TIFF, decltype(&TIFFClose)> tiff(
            TIFFOpen((folder_ / "out.tif").string().c_str(), "r"), &TIFFClose);
        ASSERT_TRUE(tiff);
        std::uint32_t bytes = 0;
        const void* data = nullptr;
        EXPECT_NE(TIFFGetField(tiff.get(), TIFFTAG_RICHTIFFIPTC, &bytes, &data), 1) << rest;
    }
}

TEST_F(Prepare, SharesCountTheGreysThatAreLookedUp) {
    Codes codes(100, 0);
    std::fill_n(codes.begin(), 25, std::uint16_t{65535});
    std::fill_n(codes.begin() + 25, 50, std::uint16_t{16 * 1000 + 3});
    const auto shares = greyShares(file("in.tif", 10, codes, gamma22()));
    ASSERT_TRUE(succeeded(shares));
    ASSERT_EQ(shares->size(), 4096U);
    EXPECT_NEAR(shares->front(), 0.25, 1e-12);
    EXPECT_NEAR((*shares)[1000], 0.5, 1e-12);
    EXPECT_NEAR(shares->back(), 0.25, 1e-12);
    const auto missing = greyShares(folder_ / "missing.tif");
    ASSERT_FALSE(missing);
    EXPECT_EQ(missing.error().code, "picture-not-found");
}

}  // namespace
}  // namespace greywright::picture

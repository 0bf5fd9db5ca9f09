#include "picture/apply.h"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <cstdint>
#include <functional>
#include <numeric>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

#include <gtest/gtest.h>
#include <lcms2.h>
#include <vips/vips.h>

#include "core/files.h"
#include "picture/make_files.h"
#include "picture/read_back.h"
#include "testing/near.h"
#include "testing/temporary_folder.h"

namespace greywright::picture {
namespace {

using greywright::testing::succeeded;
using greywright::testing::TemporaryFolder;
using made::writePng;
using made::writeTiff;
using readback::readBack;

namespace fs = std::filesystem;

using Codes = std::vector<std::uint16_t>;

constexpr std::size_t kCodes = 65536;

// A curve and a tint, as no printer needs them: steep, flat, and another one in each channel.
double curve(double share, std::size_t channel) {
    const double powers[3]{0.6, 1.0, 1.9};
    return 3000 + 61000 * std::pow(share, powers[channel]);
}

Codes tableOf(std::size_t channels) {
    Codes table;
    for (std::size_t i = 0; i < kCodes; ++i) {
        for (std::size_t c = 0; c < channels; ++c) {
            table.push_back(
                static_cast<std::uint16_t>(std::lround(curve(static_cast<double>(i) / 65535, c))));
        }
    }
    return table;
}

std::string gamma22() {
    return profileOf(Encoding::greyGamma22).value();
}

Codes codesOf(const fs::path& path) {
    Codes codes;
    (void)readBack(path, [&](auto, auto row) { codes.insert(codes.end(), row.begin(), row.end()); });
    return codes;
}

Codes busy(std::size_t width, std::size_t height, std::size_t channels) {
    Codes codes;
    std::uint32_t random = 7;
    for (std::size_t i = 0; i < width * height * channels; ++i) {
        random = random * 1664525U + 1013904223U;
        codes.push_back(static_cast<std::uint16_t>(i * 3 + (random >> 22U)));
    }
    return codes;
}

class Prepare : public ::testing::Test {
  protected:
    static void SetUpTestSuite() { ASSERT_EQ(vips_init("picture_test"), 0); }

    // A file of the codes given, by us; read back by libtiff in what follows.
    fs::path file(const std::string& name, std::size_t width, const Codes& codes, const std::string& profile,
                  int channels = 1, int bits = 16) const {
        const std::size_t rowCodes = width * static_cast<std::size_t>(channels);
        const PixelFile made{.width = width,
                             .height = codes.size() / rowCodes,
                             .channels = channels,
                             .bits = bits,
                             .profile = profile,
                             .format = name.ends_with(".png") ? FileFormat::png : FileFormat::tiff};
        EXPECT_TRUE(succeeded(writePixels(folder_ / name, made, [&](std::size_t row, auto samples) {
            std::copy_n(codes.begin() + static_cast<std::ptrdiff_t>(row * rowCodes), rowCodes,
                        samples.begin());
        })));
        return folder_ / name;
    }

    Codes prepared(const fs::path& in, const Preparation& how) const {
        const fs::path out = folder_ / (how.format == FileFormat::png ? "out.png" : "out.tif");
        EXPECT_TRUE(succeeded(prepare(in, out, how)));
        return codesOf(out);
    }

    static Codes everyCode() {
        Codes codes(kCodes);
        std::iota(codes.begin(), codes.end(), std::uint16_t{0});
        return codes;
    }

    Error errorOf(const fs::path& in, const fs::path& out, const Preparation& how = {}) const {
        const std::size_t before = folder_.count();
        const auto result = prepare(in, out, how);
        EXPECT_FALSE(result) << in;
        EXPECT_STREQ(vips_error_buffer(), "") << "something was left for others to find";
        EXPECT_EQ(folder_.count(), before) << "a file was left";
        if (result) return {};
        EXPECT_NE(result.error().what, "");
        return result.error();
    }

    TemporaryFolder folder_;
};

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

// A gradient of 4096 greys through the curve to 8 bits, each 16 x 16 pixels. Rounding makes a step of one
// code of 8 bits, 257, where the gradient has one of 16; dither must not. The mean over 16 x 16 pixels is off
// by no more than one threshold of 256, so a step between two means by no more than two.
TEST_F(Prepare, DitherAddsNoSteps) {
    constexpr std::size_t kSide = 16;
    constexpr std::size_t kWidth = 4096 * kSide;
    constexpr double kThreshold = 257.0 / 256;
    Codes codes;
    for (std::size_t i = 0; i < kWidth * kSide; ++i) {
        codes.push_back(static_cast<std::uint16_t>(i % kWidth / kSide * 65535 / 4095));
    }
    const fs::path in = file("in.tif", kWidth, codes, gamma22());
    const Codes table = tableOf(1);
    const Codes out = prepared(in, {.table = table, .bits = 8});
    ASSERT_EQ(out.size(), codes.size());
    const auto means = [&](const std::function<double(std::size_t)>& codeAt) {
        std::vector<double> made(kWidth / kSide);
        for (std::size_t i = 0; i < codes.size(); ++i) {
            made[i % kWidth / kSide] += codeAt(i) / static_cast<double>(kSide * kSide);
        }
        return made;
    };
    const auto worstBend = [](const std::vector<double>& of, const std::vector<double>& than) {
        double worst = 0;
        for (std::size_t i = 1; i + 1 < of.size(); ++i) {
            const auto bend = [i](const auto& v) { return v[i + 1] - 2 * v[i] + v[i - 1]; };
            worst = std::max(worst, std::abs(bend(of) - bend(than)));
        }
        return worst;
    };
    const auto exact = means([&](std::size_t i) { return table[codes[i]]; });
    const auto dithered = means([&](std::size_t i) { return out[i] * 257.0; });
    const auto rounded = means([&](std::size_t i) { return std::rint(table[codes[i]] / 257.0) * 257.0; });
    EXPECT_LE(worstBend(dithered, exact), 4 * kThreshold);
    EXPECT_GT(worstBend(rounded, exact), 60) << "the test would not see banding";
    for (std::size_t i = 1; i < dithered.size(); ++i) {
        ASSERT_LE(dithered[i] - dithered[i - 1], exact[i] - exact[i - 1] + 2 * kThreshold) << i;
        ASSERT_GE(dithered[i] - dithered[i - 1], exact[i] - exact[i - 1] - 2 * kThreshold) << i;
    }
    for (std::size_t i = 0; i < out.size(); ++i) {
        ASSERT_LT(std::abs(out[i] * 257.0 - table[codes[i]]), 257) << "more than the next code";
    }
}

// Any 16 pixels of a column take one threshold from each sixteenth of a code, whatever lies beside them.
TEST_F(Prepare, ASmoothGradientStaysSmooth) {
    constexpr std::size_t kLength = 4096;
    constexpr std::size_t kSide = 16;
    const Codes table = tableOf(1);
    Codes across;
    Codes down;
    for (std::size_t i = 0; i < kLength * kSide; ++i) {
        across.push_back(static_cast<std::uint16_t>(i % kLength * 65535 / (kLength - 1)));
        down.push_back(static_cast<std::uint16_t>(i / kSide * 65535 / (kLength - 1)));
    }
    const Codes flat = prepared(file("across.tif", kLength, across, gamma22()), {.table = table, .bits = 8});
    const Codes tall = prepared(file("down.tif", kSide, down, gamma22()), {.table = table, .bits = 8});
    for (std::size_t i = 0; i < kLength; ++i) {
        double column = 0;
        double row = 0;
        for (std::size_t j = 0; j < kSide; ++j) {
            column += (flat[j * kLength + i] * 257.0 - table[across[i]]) / kSide;
            row += (tall[i * kSide + j] * 257.0 - table[down[i * kSide]]) / kSide;
        }
        ASSERT_LE(std::abs(column), 257.0 / 16) << i;
        ASSERT_LE(std::abs(row), 257.0 / 16) << i;
    }
}

TEST_F(Prepare, EightBitsThatAreNotChangedStay) {
    Codes grey;
    for (std::size_t i = 0; i < 256 * 20; ++i) grey.push_back(static_cast<std::uint16_t>(i % 256 * 257));
    const Codes out = prepared(file("in.png", 256, grey, gamma22(), 1, 8), {.bits = 8});
    ASSERT_EQ(out.size(), grey.size());
    for (std::size_t i = 0; i < out.size(); ++i) ASSERT_EQ(out[i] * 257, grey[i]);
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

TEST_F(Prepare, WhatWasDecidedIsNoted) {
    const auto notes = [&](const fs::path& in) {
        std::vector<std::string> codes;
        const auto result = prepare(in, folder_ / "out.tif", {});
        EXPECT_TRUE(succeeded(result));
        if (result) {
            for (const Note& note : result->notes) codes.push_back(note.code);
        }
        return codes;
    };
    using Found = std::vector<std::string>;
    // Half of black on white.
    writePng(folder_ / "alpha.png", {.width = 1, .height = 1, .colourType = PNG_COLOR_TYPE_GRAY_ALPHA},
             {0, 51});
    EXPECT_EQ(notes(folder_ / "alpha.png"),
              (Found{"picture-profile-assumed", "picture-on-white", "picture-resolution-assumed"}));
    EXPECT_GT(codesOf(folder_ / "out.tif").front(), 50000);
    EXPECT_EQ(notes(file("rgb.tif", 2, Codes(12, 9), gamma22(), 3)),
              (Found{"picture-profile-left-out", "picture-profile-assumed"}));
    writeTiff(folder_ / "turned.tif",
              {.width = 2,
               .height = 1,
               .more =
                   [](TIFF* tiff) {
                       TIFFSetField(tiff, TIFFTAG_ORIENTATION, ORIENTATION_RIGHTTOP);
                       TIFFSetField(tiff, TIFFTAG_RESOLUTIONUNIT, RESUNIT_INCH);
                       TIFFSetField(tiff, TIFFTAG_XRESOLUTION, 600.0);
                       TIFFSetField(tiff, TIFFTAG_YRESOLUTION, 600.0);
                   }},
              {1, 2});
    EXPECT_EQ(notes(folder_ / "turned.tif"), (Found{"picture-profile-assumed", "picture-turned-by-tag"}));
}

TEST_F(Prepare, TheOriginalIsNeverWrittenOver) {
    const fs::path in = file("in.tif", 20, Codes(400, 1), gamma22());
    const std::string before = *readWholeFile(in);
    fs::create_hard_link(in, folder_ / "hard.tif");
    fs::create_symlink(in, folder_ / "soft.tif");
    for (const fs::path& out : {in, folder_ / "hard.tif", folder_ / "soft.tif",
                                folder_ / ("../" + folder_.path().filename().string()) / "in.tif"}) {
        const Error error = errorOf(in, out);
        EXPECT_EQ(error.code, "picture-over-itself") << out;
        EXPECT_EQ(error.kind, ErrorKind::wrongUse);
    }
    EXPECT_EQ(*readWholeFile(in), before);
    ASSERT_TRUE(succeeded(prepare(in, folder_ / "out.tif", {})));
    EXPECT_EQ(*readWholeFile(in), before);
}

TEST_F(Prepare, WhatCannotBePreparedIsRefused) {
    const fs::path out = folder_ / "out.tif";
    EXPECT_EQ(errorOf(folder_ / "missing.tif", out).code, "picture-not-found");
    ASSERT_TRUE(succeeded(writeWholeFile(folder_ / "empty.tif", "")));
    EXPECT_EQ(errorOf(folder_ / "empty.tif", out).code, "picture-empty");
    ASSERT_TRUE(succeeded(writeWholeFile(folder_ / "text.tif", "no picture at all")));
    EXPECT_EQ(errorOf(folder_ / "text.tif", out).code, "picture-not-recognised");
    writeTiff(folder_ / "inks.tif",
              {.width = 2, .height = 1, .channels = 4, .photometric = PHOTOMETRIC_SEPARATED},
              {0, 0, 0, 255, 1, 2, 3, 4});
    EXPECT_EQ(errorOf(folder_ / "inks.tif", out).code, "picture-inks");
    writeTiff(folder_ / "line.tif", {.width = 16, .height = 2, .bits = 1}, {0xF0, 0x0F, 0xAA, 0x55});
    EXPECT_EQ(errorOf(folder_ / "line.tif", out).code, "picture-one-bit");
    writePng(folder_ / "table.png", {.width = 3, .height = 1, .colourType = PNG_COLOR_TYPE_PALETTE},
             {0, 1, 2});
    EXPECT_EQ(errorOf(folder_ / "table.png", out).code, "picture-palette");
    writeTiff(folder_ / "real.tif",
              {.width = 1,
               .height = 1,
               .bits = 32,
               .more = [](TIFF* tiff) { TIFFSetField(tiff, TIFFTAG_SAMPLEFORMAT, SAMPLEFORMAT_IEEEFP); }},
              {0, 0, 0, 0});
    EXPECT_EQ(errorOf(folder_ / "real.tif", out).code, "picture-not-recognised");
    for (const char* name : {"cut.tif", "cut.png"}) {
        const std::string whole = *readWholeFile(file(name, 300, busy(300, 300, 1), ""));
        ASSERT_TRUE(succeeded(writeWholeFile(folder_ / name, whole.substr(0, whole.size() * 3 / 4))));
        EXPECT_EQ(errorOf(folder_ / name, out).code, "picture-damaged") << name;
    }
}

TEST_F(Prepare, WhatIsAskedForIsChecked) {
    const fs::path in = file("in.tif", 100, Codes(100 * 50, 1), gamma22());
    const fs::path out = folder_ / "out.tif";
    EXPECT_EQ(errorOf(in, out, {.channels = 3, .profile = gamma22()}).code, "profile-unusable");
    EXPECT_EQ(errorOf(in, out, {.profile = "no profile"}).code, "profile-unusable");
    EXPECT_EQ(errorOf(in, out, {.greyProfile = "no profile"}).code, "profile-unusable");
    EXPECT_EQ(errorOf(in, out, {.greyProfile = profileOf(Encoding::srgb).value()}).code, "profile-unusable");
    EXPECT_EQ(errorOf(in, out, {.widthMm = 0.1}).code, "picture-size");
    EXPECT_EQ(errorOf(in, out, {.pixelsPerInch = 20000}).code, "picture-size");
    EXPECT_EQ(errorOf(in, out, {.widthMm = 20000, .pixelsPerInch = 9000}).code, "picture-size");
    EXPECT_EQ(errorOf(in, folder_.path()).code, "write-failed");
    const Error error = errorOf(in, folder_ / "missing/out.tif");
    EXPECT_EQ(error.code, "write-failed");
    EXPECT_EQ(error.kind, ErrorKind::cannotWrite);
    EXPECT_THROW((void)prepare(in, out, {.table = Codes(10)}), ContractViolation);
}

TEST_F(Prepare, StoppedHalfWayItLeavesNothing) {
    const fs::path in = file("in.tif", 500, busy(500, 3000, 1), gamma22());
    const fs::path out = folder_ / "out.tif";
    const std::string before = *readWholeFile(in);
    ASSERT_TRUE(succeeded(writeWholeFile(out, "old")));
    double told = 0;
    Preparation how{.goOn = [&](double share) {
        EXPECT_GE(share, told);
        told = share;
        return share < 0.5;
    }};
    EXPECT_EQ(errorOf(in, out, how).code, "stopped");
    EXPECT_GE(told, 0.5);
    EXPECT_LT(told, 1);
    how.goOn = [](double) -> bool { throw std::runtime_error("no"); };
    EXPECT_THROW((void)prepare(in, out, how), std::runtime_error);
    EXPECT_EQ(*readWholeFile(out), "old");
    EXPECT_EQ(*readWholeFile(in), before);
    EXPECT_EQ(folder_.count(), 2U);
    told = 0;
    how.goOn = [&](double share) {
        told = share;
        return true;
    };
    ASSERT_TRUE(succeeded(prepare(in, out, how)));
    EXPECT_NEAR(told, 1, 0.1);
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

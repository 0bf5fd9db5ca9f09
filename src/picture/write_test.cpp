#include "picture/write.h"

#include <array>
#include <cmath>
#include <cstdint>
#include <functional>
#include <memory>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

#include <gtest/gtest.h>
#include <lcms2.h>
#include <vips/vips.h>

#include "core/files.h"
#include "picture/lightness.h"
#include "picture/read_back.h"
#include "testing/near.h"
#include "testing/temporary_folder.h"

namespace greywright::picture {
namespace {

using greywright::testing::allNear;
using greywright::testing::succeeded;
using greywright::testing::TemporaryFolder;
using readback::Facts;
using readback::readBack;

// Every sample another code, so that a row, column, channel or byte out of place shows.
std::uint16_t codeAt(std::size_t row, std::size_t sample) {
    return static_cast<std::uint16_t>(row * 40503 + sample * 257 + sample / 7);
}

void fillWithCodes(std::size_t row, std::span<std::uint16_t> samples) {
    for (std::size_t i = 0; i < samples.size(); ++i) samples[i] = codeAt(row, i);
}

struct Kind {
    std::string name;
    FileFormat format;
    int channels;
    int bits;

    /// A file of this kind without a profile.
    [[nodiscard]] PixelFile file(std::size_t width, std::size_t height) const {
        return {.width = width, .height = height, .channels = channels, .bits = bits, .format = format};
    }
};

const std::vector<Kind> kKinds{
    {"grey16.tif", FileFormat::tiff, 1, 16}, {"grey16.png", FileFormat::png, 1, 16},
    {"rgb16.tif", FileFormat::tiff, 3, 16},  {"rgb16.png", FileFormat::png, 3, 16},
    {"grey8.tif", FileFormat::tiff, 1, 8},   {"grey8.png", FileFormat::png, 1, 8},
    {"rgb8.tif", FileFormat::tiff, 3, 8},    {"rgb8.png", FileFormat::png, 3, 8}};

TEST(Write, EveryCodeComesBackFromOtherReaders) {
    const TemporaryFolder folder;
    for (const Kind& kind : kKinds) {
        for (const bool tagged : {true, false}) {
            PixelFile file = kind.file(523, 311);
            const Encoding encoding = kind.channels == 1 ? Encoding::greyGamma22 : Encoding::displayP3;
            if (tagged) file.profile = profileOf(encoding).value();
            ASSERT_TRUE(succeeded(writePixels(folder / kind.name, file, fillWithCodes)));
            std::size_t wrong = 0;
            std::size_t rows = 0;
            const Facts facts = readBack(folder / kind.name, [&](std::size_t y, auto samples) {
                ++rows;
                for (std::size_t i = 0; i < samples.size(); ++i) {
                    wrong += samples[i] != (kind.bits == 16 ? codeAt(y, i) : codeAt(y, i) / 256);
                }
            });
            EXPECT_EQ(wrong, 0U) << kind.name;
            EXPECT_EQ(rows, 311U) << kind.name;
            EXPECT_EQ(facts.width, 523U);
            EXPECT_EQ(facts.height, 311U);
            EXPECT_EQ(facts.bits, kind.bits);
            EXPECT_EQ(facts.channels, kind.channels);
            EXPECT_EQ(facts.profile, file.profile) << kind.name;
        }
    }
    EXPECT_EQ(folder.count(), kKinds.size()) << "a temporary file was left";
}

// Source: PNG (ISO/IEC 15948, 11.3.5.3) states whole pixels per metre: 300, 360 and 720 per inch are
// 11811.02, 14173.23 and 28346.46 of them, by 25.4 mm to the inch.
TEST(Write, ResolutionIsStatedAsExactlyAsTheFormatCan) {
    const TemporaryFolder folder;
    for (const auto& [perInch, perMetre] :
         {std::pair{300.0, 11811U}, std::pair{360.0, 14173U}, std::pair{720.0, 28346U}}) {
        PixelFile file{.width = 8, .height = 8, .pixelsPerInch = perInch};
        ASSERT_TRUE(succeeded(writePixels(folder / "x.tif", file, fillWithCodes)));
        EXPECT_EQ(readBack(folder / "x.tif", [](auto, auto) {}).perInch, perInch);
        file.format = FileFormat::png;
        ASSERT_TRUE(succeeded(writePixels(folder / "x.png", file, fillWithCodes)));
        EXPECT_EQ(readBack(folder / "x.png", [](auto, auto) {}).perMetre, perMetre);
    }
}

TEST(Write, RowsAreAskedForOnceFromTopToBottom) {
    const TemporaryFolder folder;
    for (const Kind& kind : kKinds) {
        std::vector<std::size_t> asked;
        const PixelFile file = kind.file(300, 2000);
        ASSERT_TRUE(succeeded(writePixels(folder / kind.name, file, [&](std::size_t row, auto codes) {
            asked.push_back(row);
            fillWithCodes(row, codes);
        })));
        ASSERT_EQ(asked.size(), 2000U) << kind.name;
        for (std::size_t i = 0; i < asked.size(); ++i) ASSERT_EQ(asked[i], i) << kind.name;
    }
}

struct Meaning {
    Encoding encoding;
    int channels;
    std::function<double(double)> luminanceFromCode;
    std::array<double, 3> red;  ///< CIEXYZ of the first channel alone
};

// The profiles say what was meant. Source: gamma 2.2 and sRGB (IEC 61966-2-1) give luminance, CIE 15
// lightness; 563/256 stands for 2.2 in the file; red of sRGB for D50: B. Lindbloom, from memory; red of
// Display P3 for D50: worked out with NumPy from its primaries (SMPTE EG 432-1), D65 and the Bradford matrix;
// its Z, -0.0011, is 0 in libvips' profile.
// lcms2 does the reading.
TEST(Write, TheProfilesMeanWhatTheySay) {
    const auto fromSrgb = [](double v) {
        return v <= 0.04045 ? v / 12.92 : std::pow((v + 0.055) / 1.055, 2.4);
    };
    const auto fromGamma = [](double v) { return std::pow(v, 563.0 / 256); };
    const auto lightness = [](double luminance) {
        return luminance > 216.0 / 24389 ? 116 * std::cbrt(luminance) - 16 : luminance * 24389 / 27;
    };
    const Meaning meanings[] = {{Encoding::greyGamma22, 1, fromGamma, {0.9642, 1, 0.8249}},
                                {Encoding::srgb, 3, fromSrgb, {0.4360747, 0.2225045, 0.0139322}},
                                {Encoding::displayP3, 3, fromSrgb, {0.5151, 0.2412, 0}}};
    for (const Meaning& meaning : meanings) {
        const std::string bytes = profileOf(meaning.encoding).value();
        EXPECT_EQ(bytes, profileOf(meaning.encoding).value());
        EXPECT_EQ(channelsOfProfile(bytes).value(), meaning.channels);
        cmsHPROFILE profile = cmsOpenProfileFromMem(bytes.data(), static_cast<cmsUInt32Number>(bytes.size()));
        ASSERT_NE(profile, nullptr);
        const cmsUInt32Number pixels = meaning.channels == 1 ? TYPE_GRAY_16 : TYPE_RGB_16;
        EXPECT_EQ(cmsGetColorSpace(profile), meaning.channels == 1 ? cmsSigGrayData : cmsSigRgbData);
        cmsHPROFILE lab = cmsCreateLab4Profile(nullptr);
        cmsHPROFILE xyz = cmsCreateXYZProfile();
        cmsHTRANSFORM toLab = cmsCreateTransform(profile, pixels, lab, TYPE_Lab_DBL,
                                                 INTENT_RELATIVE_COLORIMETRIC, cmsFLAGS_NOOPTIMIZE);
        cmsHTRANSFORM toXyz =
            cmsCreateTransform(profile, meaning.channels == 1 ? TYPE_GRAY_DBL : TYPE_RGB_DBL, xyz,
                               TYPE_XYZ_DBL, INTENT_RELATIVE_COLORIMETRIC, cmsFLAGS_NOOPTIMIZE);
        ASSERT_NE(toLab, nullptr);
        ASSERT_NE(toXyz, nullptr);
        for (const int code : {0, 2000, 8000, 20000, 32768, 50000, 65535}) {
            const auto word = static_cast<std::uint16_t>(code);
            const std::uint16_t pixel[3]{word, word, word};
            cmsCIELab seen{};
            cmsDoTransform(toLab, pixel, &seen, 1);
            EXPECT_NEAR(seen.L, lightness(meaning.luminanceFromCode(code / 65535.0)), 0.02) << code;
            EXPECT_NEAR(seen.a, 0, 0.02) << code;
            EXPECT_NEAR(seen.b, 0, 0.02) << code;
        }
        const double red[3]{1, 0, 0};
        cmsCIEXYZ seen{};
        cmsDoTransform(toXyz, red, &seen, 1);
        EXPECT_TRUE(allNear(std::array{seen.X, seen.Y, seen.Z}, meaning.red, 3e-4));
        cmsDeleteTransform(toLab);
        cmsDeleteTransform(toXyz);
        cmsCloseProfile(xyz);
        cmsCloseProfile(lab);
        cmsCloseProfile(profile);
    }
}

TEST(Write, WhatIsNoProfileForPixelsIsToldApart) {
    cmsHPROFILE lab = cmsCreateLab4Profile(nullptr);  // a profile, but neither for grey nor for RGB
    cmsUInt32Number size = 0;
    ASSERT_TRUE(cmsSaveProfileToMem(lab, nullptr, &size));
    std::string bytes(size, '\0');
    ASSERT_TRUE(cmsSaveProfileToMem(lab, bytes.data(), &size));
    cmsCloseProfile(lab);
    const std::string whole = profileOf(Encoding::srgb).value();
    for (const std::string& wrong : {bytes, std::string(), std::string(300, 'x'), whole.substr(0, 130)}) {
        const auto channels = channelsOfProfile(wrong);
        ASSERT_FALSE(channels);
        EXPECT_EQ(channels.error().code, "profile-unusable");
        EXPECT_NE(channels.error().next, "");
    }
    EXPECT_STREQ(vips_error_buffer(), "");
}

TEST(Write, OurOwnReaderUnderstandsIt) {
    const TemporaryFolder folder;
    for (const Kind& kind : kKinds) {
        const PixelFile file = kind.file(40, 40);
        ASSERT_TRUE(succeeded(writePixels(folder / kind.name, file, [](std::size_t row, auto codes) {
            for (std::uint16_t& code : codes) code = row < 10 ? 0 : 65535;
        })));
        const auto shares = lightnessShares(folder / kind.name);
        ASSERT_TRUE(succeeded(shares));
        EXPECT_NEAR(shares->front(), 0.25, 1e-12) << kind.name;
        EXPECT_NEAR(shares->back(), 0.75, 1e-12) << kind.name;
    }
}

TEST(Write, TheSameRequestGivesTheSameBytes) {
    const TemporaryFolder folder;
    for (const Kind& kind : kKinds) {
        const PixelFile file = kind.file(60, 60);
        ASSERT_TRUE(succeeded(writePixels(folder / "one", file, fillWithCodes)));
        ASSERT_TRUE(succeeded(writePixels(folder / "two", file, fillWithCodes)));
        EXPECT_EQ(*readWholeFile(folder / "one"), *readWholeFile(folder / "two")) << kind.name;
    }
}

TEST(Write, WhatStopsLeavesTheOldFileAlone) {
    const TemporaryFolder folder;
    const auto path = folder / "old.tif";
    ASSERT_TRUE(succeeded(writeWholeFile(path, "old")));
    const PixelFile file{.width = 50, .height = 3000};

    double told = -1;
    const auto stopped = writePixels(path, file, fillWithCodes, [&](double share) {
        EXPECT_GT(share, told);
        told = share;
        return share < 0.5;
    });
    ASSERT_FALSE(stopped);
    EXPECT_EQ(stopped.error().code, "stopped");
    EXPECT_NEAR(told, 0.5, 1e-3);

    EXPECT_THROW((void)writePixels(path, file,
                                   [](std::size_t row, auto) {
                                       if (row == 700) throw std::runtime_error("row 700");
                                   }),
                 std::runtime_error);
    EXPECT_EQ(*readWholeFile(path), "old");
    EXPECT_EQ(folder.count(), 1U) << "a temporary file was left";
}

TEST(Write, WhatCannotBeWrittenIsNamed) {
    const TemporaryFolder folder;
    for (const auto& path : {folder.path(), folder / "missing/x.tif"}) {
        const auto outcome = writePixels(path, {.width = 5, .height = 5}, fillWithCodes);
        ASSERT_FALSE(outcome);
        EXPECT_EQ(outcome.error().code, "write-failed");
        EXPECT_EQ(outcome.error().kind, ErrorKind::cannotWrite);
        EXPECT_EQ(outcome.error().where.path, path.string());
        EXPECT_NE(outcome.error().next, "");
    }
    EXPECT_EQ(folder.count(), 0U);
}

TEST(Write, AnEmptyPictureIsTheProgrammersMistake) {
    EXPECT_THROW((void)writePixels("x.tif", {}, fillWithCodes), ContractViolation);
    EXPECT_THROW((void)writePixels("x.tif", {.width = 5, .height = 5, .channels = 4}, fillWithCodes),
                 ContractViolation);
    EXPECT_THROW((void)writePixels("x.tif", {.width = 5, .height = 5, .bits = 12}, fillWithCodes),
                 ContractViolation);
}

}  // namespace
}  // namespace greywright::picture

#include "picture/write.h"

#include <cmath>
#include <cstdint>
#include <memory>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

#include <gtest/gtest.h>
#include <lcms2.h>

#include "core/files.h"
#include "picture/grey_profile.h"
#include "picture/lightness.h"
#include "picture/read_back.h"
#include "testing/near.h"
#include "testing/temporary_folder.h"

namespace greywright::picture {
namespace {

using greywright::testing::succeeded;
using greywright::testing::TemporaryFolder;
using readback::Facts;
using readback::readBack;

// Every pixel another code, so that a row, column or byte out of place shows.
std::uint16_t codeAt(std::size_t row, std::size_t column) {
    return static_cast<std::uint16_t>(row * 40503 + column * 257 + column / 7);
}

void fillWithCodes(std::size_t row, std::span<std::uint16_t> codes) {
    for (std::size_t x = 0; x < codes.size(); ++x) codes[x] = codeAt(row, x);
}

struct Kind {
    Encoding encoding;
    FileFormat format;
    std::string name;
    int channels;
};

const std::vector<Kind> kKinds{{Encoding::greyGamma22, FileFormat::tiff, "grey.tif", 1},
                               {Encoding::greyGamma22, FileFormat::png, "grey.png", 1},
                               {Encoding::srgb, FileFormat::tiff, "rgb.tif", 3},
                               {Encoding::srgb, FileFormat::png, "rgb.png", 3}};

TEST(Write, EveryCodeComesBackFromOtherReaders) {
    const TemporaryFolder folder;
    for (const Kind& kind : kKinds) {
        const GreyFile file{.width = 523,
                            .height = 311,
                            .pixelsPerInch = 300,
                            .encoding = kind.encoding,
                            .format = kind.format};
        ASSERT_TRUE(succeeded(writeGrey16(folder / kind.name, file, fillWithCodes)));
        std::size_t wrong = 0;
        std::size_t rows = 0;
        const Facts facts = readBack(folder / kind.name, [&](std::size_t y, auto samples) {
            ++rows;
            for (std::size_t i = 0; i < samples.size(); ++i) {
                wrong += samples[i] != codeAt(y, i / static_cast<std::size_t>(kind.channels));
            }
        });
        EXPECT_EQ(wrong, 0U) << kind.name;
        EXPECT_EQ(rows, 311U) << kind.name;
        EXPECT_EQ(facts.width, 523U);
        EXPECT_EQ(facts.height, 311U);
        EXPECT_EQ(facts.bits, 16);
        EXPECT_EQ(facts.channels, kind.channels);
        EXPECT_FALSE(facts.profile.empty()) << kind.name;
    }
    EXPECT_EQ(folder.count(), kKinds.size()) << "a temporary file was left";
}

// Source: PNG (ISO/IEC 15948, 11.3.5.3) states whole pixels per metre: 300, 360 and 720 per inch are
// 11811.02, 14173.23 and 28346.46 of them, by 25.4 mm to the inch.
TEST(Write, ResolutionIsStatedAsExactlyAsTheFormatCan) {
    const TemporaryFolder folder;
    for (const auto& [perInch, perMetre] :
         {std::pair{300.0, 11811U}, std::pair{360.0, 14173U}, std::pair{720.0, 28346U}}) {
        GreyFile file{.width = 8, .height = 8, .pixelsPerInch = perInch};
        ASSERT_TRUE(succeeded(writeGrey16(folder / "x.tif", file, fillWithCodes)));
        EXPECT_EQ(readBack(folder / "x.tif", [](auto, auto) {}).perInch, perInch);
        file.format = FileFormat::png;
        ASSERT_TRUE(succeeded(writeGrey16(folder / "x.png", file, fillWithCodes)));
        EXPECT_EQ(readBack(folder / "x.png", [](auto, auto) {}).perMetre, perMetre);
    }
}

TEST(Write, RowsAreAskedForOnceFromTopToBottom) {
    const TemporaryFolder folder;
    for (const Kind& kind : kKinds) {
        std::vector<std::size_t> asked;
        const GreyFile file{.width = 300, .height = 2000, .encoding = kind.encoding, .format = kind.format};
        ASSERT_TRUE(succeeded(writeGrey16(folder / kind.name, file, [&](std::size_t row, auto codes) {
            asked.push_back(row);
            fillWithCodes(row, codes);
        })));
        ASSERT_EQ(asked.size(), 2000U) << kind.name;
        for (std::size_t i = 0; i < asked.size(); ++i) ASSERT_EQ(asked[i], i) << kind.name;
    }
}

// The profiles say what was meant. Source: gamma 2.2 and sRGB (IEC 61966-2-1) give luminance, CIE 15
// lightness; 563/256 stands for 2.2 in the file. lcms2 does the reading.
TEST(Write, TheProfilesMeanWhatTheySay) {
    const TemporaryFolder folder;
    const auto fromSrgb = [](double v) {
        return v <= 0.04045 ? v / 12.92 : std::pow((v + 0.055) / 1.055, 2.4);
    };
    const auto lightness = [](double luminance) {
        return luminance > 216.0 / 24389 ? 116 * std::cbrt(luminance) - 16 : luminance * 24389 / 27;
    };
    for (const Kind& kind : kKinds) {
        const GreyFile file{.width = 4, .height = 4, .encoding = kind.encoding, .format = kind.format};
        ASSERT_TRUE(succeeded(writeGrey16(folder / kind.name, file, fillWithCodes)));
        const std::string bytes = readBack(folder / kind.name, [](auto, auto) {}).profile;
        cmsHPROFILE profile = cmsOpenProfileFromMem(bytes.data(), static_cast<cmsUInt32Number>(bytes.size()));
        ASSERT_NE(profile, nullptr) << kind.name;
        EXPECT_EQ(cmsGetColorSpace(profile), kind.channels == 1 ? cmsSigGrayData : cmsSigRgbData);
        cmsHPROFILE lab = cmsCreateLab4Profile(nullptr);
        cmsHTRANSFORM transform =
            cmsCreateTransform(profile, kind.channels == 1 ? TYPE_GRAY_16 : TYPE_RGB_16, lab, TYPE_Lab_DBL,
                               INTENT_RELATIVE_COLORIMETRIC, cmsFLAGS_NOOPTIMIZE);
        ASSERT_NE(transform, nullptr);
        for (const int code : {0, 2000, 8000, 20000, 32768, 50000, 65535}) {
            const auto word = static_cast<std::uint16_t>(code);
            const std::uint16_t pixel[3]{word, word, word};
            cmsCIELab seen{};
            cmsDoTransform(transform, pixel, &seen, 1);
            const double v = code / 65535.0;
            const double luminance = kind.channels == 1 ? std::pow(v, 563.0 / 256) : fromSrgb(v);
            EXPECT_NEAR(seen.L, lightness(luminance), 0.02) << kind.name << " " << code;
            EXPECT_NEAR(seen.a, 0, 0.02) << kind.name << " " << code;
            EXPECT_NEAR(seen.b, 0, 0.02) << kind.name << " " << code;
        }
        cmsDeleteTransform(transform);
        cmsCloseProfile(lab);
        cmsCloseProfile(profile);
    }
}

TEST(Write, OurOwnReaderUnderstandsIt) {
    const TemporaryFolder folder;
    for (const Kind& kind : kKinds) {
        const GreyFile file{.width = 40, .height = 40, .encoding = kind.encoding, .format = kind.format};
        ASSERT_TRUE(succeeded(writeGrey16(folder / kind.name, file, [](std::size_t row, auto codes) {
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
        const GreyFile file{.width = 60, .height = 60, .encoding = kind.encoding, .format = kind.format};
        ASSERT_TRUE(succeeded(writeGrey16(folder / "one", file, fillWithCodes)));
        ASSERT_TRUE(succeeded(writeGrey16(folder / "two", file, fillWithCodes)));
        EXPECT_EQ(*readWholeFile(folder / "one"), *readWholeFile(folder / "two")) << kind.name;
    }
}

TEST(Write, WhatStopsLeavesTheOldFileAlone) {
    const TemporaryFolder folder;
    const auto path = folder / "old.tif";
    ASSERT_TRUE(succeeded(writeWholeFile(path, "old")));
    const GreyFile file{.width = 50, .height = 3000};

    double told = -1;
    const auto stopped = writeGrey16(path, file, fillWithCodes, [&](double share) {
        EXPECT_GT(share, told);
        told = share;
        return share < 0.5;
    });
    ASSERT_FALSE(stopped);
    EXPECT_EQ(stopped.error().code, "stopped");
    EXPECT_NEAR(told, 0.5, 1e-3);

    EXPECT_THROW((void)writeGrey16(path, file,
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
        const auto outcome = writeGrey16(path, {.width = 5, .height = 5}, fillWithCodes);
        ASSERT_FALSE(outcome);
        EXPECT_EQ(outcome.error().code, "write-failed");
        EXPECT_EQ(outcome.error().kind, ErrorKind::cannotWrite);
        EXPECT_EQ(outcome.error().where.path, path.string());
        EXPECT_NE(outcome.error().next, "");
    }
    EXPECT_EQ(folder.count(), 0U);
}

TEST(Write, AnEmptyPictureIsTheProgrammersMistake) {
    EXPECT_THROW((void)writeGrey16("x.tif", {}, fillWithCodes), ContractViolation);
}

}  // namespace
}  // namespace greywright::picture

#include "picture/read.h"

#include <atomic>
#include <cstdint>
#include <stdexcept>
#include <string>
#include <thread>
#include <utility>
#include <vector>

#include <gtest/gtest.h>
#include <vips/vips.h>

#include "core/files.h"
#include "picture/make_files.h"
#include "picture/write.h"
#include "testing/near.h"
#include "testing/temporary_folder.h"

namespace greywright::picture {
namespace {

using greywright::testing::succeeded;
using greywright::testing::TemporaryFolder;
using made::writePng;
using made::writeTiff;

std::uint16_t codeAt(std::size_t row, std::size_t sample) {
    return static_cast<std::uint16_t>(row * 40503 + sample * 9973 + sample / 7);
}

void fillWithCodes(std::size_t row, std::span<std::uint16_t> samples) {
    for (std::size_t i = 0; i < samples.size(); ++i) samples[i] = codeAt(row, i);
}

struct Unref {
    void operator()(VipsImage* image) const { g_object_unref(image); }
};
using Image = std::unique_ptr<VipsImage, Unref>;

class Read : public ::testing::Test {
  protected:
    static void SetUpTestSuite() { ASSERT_EQ(vips_init("picture_test"), 0); }

    static Reduced read(const std::filesystem::path& path, const ReadOptions& options = {}) {
        auto picture = readReduced(path, options);
        EXPECT_TRUE(succeeded(picture));
        EXPECT_STREQ(vips_error_buffer(), "") << "something was left for others to find";
        return picture ? std::move(picture).value() : Reduced{};
    }

    static std::vector<std::string> codesOf(const std::vector<Note>& notes) {
        std::vector<std::string> codes;
        for (const Note& note : notes) codes.push_back(note.code);
        return codes;
    }

    TemporaryFolder folder_;
};

TEST_F(Read, EveryCodeAndFactIsThatOfTheFile) {
    for (const FileFormat format : {FileFormat::tiff, FileFormat::png}) {
        for (const int channels : {1, 3}) {
            for (const int bits : {8, 16}) {
                const Encoding encoding = channels == 1 ? Encoding::greyGamma22 : Encoding::displayP3;
                const PixelFile file{.width = 523,
                                     .height = 311,
                                     .pixelsPerInch = 400,
                                     .channels = channels,
                                     .bits = bits,
                                     .profile = profileOf(encoding).value(),
                                     .format = format};
                ASSERT_TRUE(succeeded(writePixels(folder_ / "picture", file, fillWithCodes)));
                const Reduced picture = read(folder_ / "picture");
                EXPECT_EQ(picture.width, 523U);
                EXPECT_EQ(picture.height, 311U);
                EXPECT_EQ(picture.factor, 1U);
                EXPECT_EQ(picture.fileWidth, 523U);
                EXPECT_EQ(picture.fileHeight, 311U);
                EXPECT_EQ(picture.channels, static_cast<std::size_t>(channels));
                EXPECT_EQ(picture.fileBits, bits);
                EXPECT_EQ(picture.format, format == FileFormat::tiff ? "TIFF" : "PNG");
                EXPECT_NEAR(picture.pixelsPerInch.value_or(0), 400, 0.02);
                EXPECT_EQ(picture.profile, file.profile);
                EXPECT_EQ(picture.source, ColourSource::profile);
                EXPECT_TRUE(picture.notes.empty());
                const std::size_t rowSamples = 523 * picture.channels;
                ASSERT_EQ(picture.codes.size(), rowSamples * 311);
                std::size_t wrong = 0;
                for (std::size_t i = 0; i < picture.codes.size(); ++i) {
                    const std::uint16_t code = codeAt(i / rowSamples, i % rowSamples);
                    wrong += picture.codes[i] != (bits == 16 ? code : code / 256 * 257);
                }
                EXPECT_EQ(wrong, 0U) << channels << " channels of " << bits << " bits";
            }
        }
    }
}

// The mean of whole codes, rounded half up, worked out here pixel by pixel in whole numbers.
TEST_F(Read, ASmallerPictureHoldsTheExactMeansWhateverTheThreads) {
    for (const int bits : {8, 16}) {
        const PixelFile file{.width = 1003, .height = 517, .channels = 3, .bits = bits};
        ASSERT_TRUE(succeeded(writePixels(folder_ / "large.tif", file, fillWithCodes)));
        for (const std::size_t factor : {2U, 3U, 7U, 60U}) {
            const std::size_t width = 1003 / factor;
            const std::size_t height = 517 / factor;
            std::vector<std::uint16_t> expected;
            for (std::size_t i = 0; i < width * height * 3; ++i) {
                std::uint64_t sum = 0;
                for (std::size_t box = 0; box < factor * factor; ++box) {
                    const std::size_t row = i / 3 / width * factor + box / factor;
                    const std::size_t column = i / 3 % width * factor + box % factor;
                    const std::uint64_t code = codeAt(row, column * 3 + i % 3);
                    sum += bits == 16 ? code : code / 256 * 257;
                }
                expected.push_back(
                    static_cast<std::uint16_t>((2 * sum + factor * factor) / (2 * factor * factor)));
            }
            for (const int threads : {1, 2, 5}) {
                vips_concurrency_set(threads);
                const Reduced picture = read(folder_ / "large.tif", {.mostPixels = width * height});
                EXPECT_EQ(picture.factor, factor);
                EXPECT_EQ(picture.width, width);
                EXPECT_EQ(picture.height, height);
                EXPECT_EQ(picture.fileWidth, 1003U);
                EXPECT_TRUE(picture.codes == expected) << factor << ", " << threads << " threads";
            }
            vips_concurrency_set(0);
        }
    }
}

// Source: TIFF 6.0, tag 274: where row 0 and column 0 of the file lie as shown: 1 top left, 2 top right,
// 3 bottom right, 4 bottom left, 5 left top, 6 right top, 7 right bottom, 8 left bottom.
TEST_F(Read, IsTurnedAsTheFileSays) {
    const std::vector<std::uint8_t> stored{'a', 'b', 'c', 'd', 'e', 'f'};  // abc over def
    const std::vector<std::string> shown{"abcdef", "cbafed", "fedcba", "defabc",
                                         "adbecf", "daebfc", "fcebda", "cfbead"};
    for (std::size_t i = 0; i < shown.size(); ++i) {
        writeTiff(
            folder_ / "turned.tif",
            {.width = 3,
             .height = 2,
             .more = [&](TIFF* tiff) { TIFFSetField(tiff, TIFFTAG_ORIENTATION, static_cast<int>(i) + 1); }},
            stored);
        const Reduced picture = read(folder_ / "turned.tif");
        EXPECT_EQ(picture.width, i < 4 ? 3U : 2U);
        EXPECT_EQ(picture.height, i < 4 ? 2U : 3U);
        EXPECT_EQ(picture.fileWidth, picture.width);
        EXPECT_EQ(picture.fileHeight, picture.height);
        std::string seen;
        for (const std::uint16_t code : picture.codes) seen += static_cast<char>(code / 257);
        EXPECT_EQ(seen, shown[i]) << "orientation " << i + 1;
    }
}

TEST_F(Read, AColourPhotographIsTurnedAsItsExifSays) {
    VipsImage* black = nullptr;
    ASSERT_EQ(vips_black(&black, 64, 32, "bands", 3, nullptr), 0);
    const Image image(black);
    VipsImage* meant = nullptr;
    ASSERT_EQ(vips_copy(image.get(), &meant, "interpretation", VIPS_INTERPRETATION_sRGB, nullptr), 0);
    const Image photograph(meant);
    double red[3]{255, 0, 0};
    VipsImage* inMemory = vips_image_copy_memory(photograph.get());
    const Image painted(inMemory);
    ASSERT_EQ(vips_draw_rect(painted.get(), red, 3, 0, 0, 32, 32, "fill", TRUE, nullptr), 0);
    vips_image_set_int(painted.get(), VIPS_META_ORIENTATION, 6);
    ASSERT_EQ(vips_image_write_to_file(painted.get(), (folder_ / "phone.jpg").string().c_str(), nullptr), 0);
    const Reduced picture = read(folder_ / "phone.jpg", {.mostPixels = 32 * 64 / 64});
    ASSERT_EQ(picture.width, 4U);
    ASSERT_EQ(picture.height, 8U);
    EXPECT_EQ(picture.format, "JPEG");
    EXPECT_GT(picture.codes[0], 63000) << "what was on the left is above";
    EXPECT_LT(picture.codes[(7 * 4 + 3) * 3], 2000);
}

// Black that lets half of white through: 255 x (1 - 128/255) = 127.
TEST_F(Read, WhatIsTransparentLiesOnWhite) {
    const std::vector<std::uint8_t> pixels{0, 0, 0, 128, 10, 20, 30, 255};
    writePng(folder_ / "clear.png", {.width = 2, .height = 1, .colourType = PNG_COLOR_TYPE_RGB_ALPHA},
             pixels);
    const Reduced picture = read(folder_ / "clear.png");
    EXPECT_EQ(picture.channels, 3U);
    const std::vector<std::uint16_t> expected{127 * 257, 127 * 257, 127 * 257, 10 * 257, 20 * 257, 30 * 257};
    EXPECT_EQ(picture.codes, expected);
}

// Some scanners store infrared beside the colours.
TEST_F(Read, AFourthChannelThatIsNotTransparencyIsLeftOut) {
    writeTiff(folder_ / "infrared.tif",
              {.width = 2,
               .height = 1,
               .channels = 4,
               .photometric = PHOTOMETRIC_RGB,
               .more =
                   [](TIFF* tiff) {
                       const std::uint16_t unspecified[]{EXTRASAMPLE_UNSPECIFIED};
                       TIFFSetField(tiff, TIFFTAG_EXTRASAMPLES, 1, unspecified);
                   }},
              {1, 2, 3, 77, 4, 5, 6, 0});
    const Reduced picture = read(folder_ / "infrared.tif");
    EXPECT_EQ(picture.channels, 3U);
    const std::vector<std::uint16_t> expected{257, 2 * 257, 3 * 257, 4 * 257, 5 * 257, 6 * 257};
    EXPECT_EQ(picture.codes, expected);
    EXPECT_EQ(codesOf(picture.notes), std::vector<std::string>{"picture-channel-left-out"});
}

TEST_F(Read, WhiteMayBeZero) {
    writeTiff(folder_ / "white.tif", {.width = 2, .height = 1, .photometric = PHOTOMETRIC_MINISWHITE},
              {0, 200});
    const std::vector<std::uint16_t> expected{65535, 55 * 257};
    EXPECT_EQ(read(folder_ / "white.tif").codes, expected);
}

TEST_F(Read, AProfileThatDoesNotFitIsLeftOutWithANote) {
    for (const std::string& profile : {profileOf(Encoding::srgb).value(), std::string(300, 'x')}) {
        writeTiff(folder_ / "grey.tif",
                  {.width = 2,
                   .height = 1,
                   .more =
                       [&](TIFF* tiff) {
                           TIFFSetField(tiff, TIFFTAG_ICCPROFILE, static_cast<std::uint32_t>(profile.size()),
                                        profile.data());
                       }},
                  {1, 2});
        const Reduced picture = read(folder_ / "grey.tif");
        EXPECT_EQ(picture.source, ColourSource::assumed);
        EXPECT_EQ(picture.profile, "");
        EXPECT_EQ(codesOf(picture.notes), std::vector<std::string>{"picture-profile-left-out"});
    }
}

// libpng drops a profile that it cannot unpack or does not believe, and says nothing.
TEST_F(Read, ADamagedProfileOfAPngIsNotedToo) {
    ASSERT_TRUE(succeeded(writePixels(folder_ / "whole.png",
                                      {.width = 4,
                                       .height = 4,
                                       .channels = 3,
                                       .bits = 8,
                                       .profile = profileOf(Encoding::srgb).value(),
                                       .format = FileFormat::png},
                                      fillWithCodes)));
    EXPECT_EQ(read(folder_ / "whole.png").source, ColourSource::profile);
    std::string bytes = readWholeFile(folder_ / "whole.png").value();
    const std::size_t chunk = bytes.find("iCCP");
    ASSERT_NE(chunk, std::string::npos);
    for (std::size_t i = 20; i < 60; ++i) bytes[chunk + i] = static_cast<char>(i);
    ASSERT_TRUE(succeeded(writeWholeFile(folder_ / "broken.png", bytes)));
    const Reduced picture = read(folder_ / "broken.png");
    EXPECT_EQ(picture.source, ColourSource::assumed);
    EXPECT_EQ(codesOf(picture.notes), std::vector<std::string>{"picture-profile-left-out"});
}

TEST_F(Read, OnlyTheFirstOfSeveralPicturesIsReadAndThatIsSaid) {
    writeTiff(folder_ / "pages.tif",
              {.width = 2,
               .height = 1,
               .more =
                   [](TIFF* tiff) {
                       std::uint8_t row[]{10, 20};
                       ASSERT_EQ(TIFFWriteScanline(tiff, row, 0, 0), 1);
                       ASSERT_EQ(TIFFWriteDirectory(tiff), 1);
                       TIFFSetField(tiff, TIFFTAG_IMAGEWIDTH, 2);
                       TIFFSetField(tiff, TIFFTAG_IMAGELENGTH, 1);
                       TIFFSetField(tiff, TIFFTAG_SAMPLESPERPIXEL, 1);
                       TIFFSetField(tiff, TIFFTAG_BITSPERSAMPLE, 8);
                       TIFFSetField(tiff, TIFFTAG_PHOTOMETRIC, PHOTOMETRIC_MINISBLACK);
                   }},
              {30, 40});
    const Reduced picture = read(folder_ / "pages.tif");
    EXPECT_EQ(picture.codes, (std::vector<std::uint16_t>{10 * 257, 20 * 257}));
    ASSERT_EQ(codesOf(picture.notes), std::vector<std::string>{"picture-pages"});
    EXPECT_NE(picture.notes.front().text.find("2 pictures"), std::string::npos);
}

TEST_F(Read, AResolutionIsTakenOnlyWhereItIsOne) {
    struct Case {
        double across;
        double down;
        int unit;
        double expected;
    };
    const Case cases[] = {{300, 300, RESUNIT_INCH, 300},  {120, 120, RESUNIT_CENTIMETER, 304.8},
                          {300, 300, RESUNIT_NONE, 0},    {600, 300, RESUNIT_INCH, 0},
                          {72, 72, RESUNIT_INCH, 0},      {96, 96, RESUNIT_INCH, 0},
                          {75, 75, RESUNIT_INCH, 75},     {1, 1, RESUNIT_INCH, 0},
                          {90000, 90000, RESUNIT_INCH, 0}};
    for (const Case& one : cases) {
        writeTiff(folder_ / "x.tif",
                  {.width = 2,
                   .height = 1,
                   .more =
                       [&](TIFF* tiff) {
                           TIFFSetField(tiff, TIFFTAG_XRESOLUTION, one.across);
                           TIFFSetField(tiff, TIFFTAG_YRESOLUTION, one.down);
                           TIFFSetField(tiff, TIFFTAG_RESOLUTIONUNIT, one.unit);
                       }},
                  {1, 2});
        EXPECT_NEAR(read(folder_ / "x.tif").pixelsPerInch.value_or(0), one.expected, 1e-3) << one.across;
    }
    writeTiff(folder_ / "x.tif", {.width = 2, .height = 1}, {1, 2});
    EXPECT_FALSE(read(folder_ / "x.tif").pixelsPerInch);
    writePng(folder_ / "x.png", {.width = 2, .height = 1}, {1, 2});
    EXPECT_FALSE(read(folder_ / "x.png").pixelsPerInch);
}

TEST_F(Read, ItIsToldHowFarAndStopsWhenAsked) {
    const auto path = folder_ / "long.tif";
    ASSERT_TRUE(succeeded(writePixels(path, {.width = 50, .height = 9000}, fillWithCodes)));
    double told = -1;
    int times = 0;
    const auto whole = readReduced(path, {.goOn = [&](double share) {
                                       EXPECT_GT(share, told);
                                       told = share;
                                       ++times;
                                       return true;
                                   }});
    ASSERT_TRUE(succeeded(whole));
    EXPECT_GT(times, 5);
    EXPECT_LT(told, 1);
    const auto stopped = readReduced(path, {.goOn = [](double share) { return share < 0.5; }});
    ASSERT_FALSE(stopped);
    EXPECT_EQ(stopped.error().code, "stopped");
    EXPECT_EQ(stopped.error().where.path, path.string());
    EXPECT_STREQ(vips_error_buffer(), "");
    EXPECT_THROW((void)readReduced(path, {.goOn = [](double) -> bool { throw std::runtime_error("no"); }}),
                 std::runtime_error);
    EXPECT_STREQ(vips_error_buffer(), "");
}

TEST_F(Read, SeveralMayBeReadAtOnce) {
    const auto good = folder_ / "good.png";
    ASSERT_TRUE(succeeded(writePixels(
        good, {.width = 300, .height = 300, .channels = 3, .format = FileFormat::png}, fillWithCodes)));
    const auto bad = folder_ / "bad.png";
    ASSERT_TRUE(succeeded(writeWholeFile(bad, readWholeFile(good).value().substr(0, 20000))));
    const auto expected = read(good).codes;
    std::atomic<int> asExpected{0};
    {
        std::vector<std::jthread> threads(4);
        for (std::jthread& thread : threads) {
            thread = std::jthread([&] {
                for (int round = 0; round < 10; ++round) {
                    const auto picture = readReduced(good);
                    if (picture && picture->codes == expected) ++asExpected;
                    const auto damaged = readReduced(bad);
                    if (!damaged && damaged.error().code == "picture-damaged") ++asExpected;
                }
            });
        }
    }
    EXPECT_EQ(asExpected, 80);
}

TEST_F(Read, ANameIsANameWhateverItsLetters) {
    const auto strange = folder_ / "Größe [page=3].png";
    writePng(strange, {.width = 2, .height = 1}, {1, 2});
    EXPECT_EQ(read(strange).codes.size(), 2U);
}

TEST_F(Read, NoPixelsIsTheProgrammersMistake) {
    EXPECT_THROW((void)readReduced("x.tif", {.mostPixels = 0}), ContractViolation);
}

}  // namespace
}  // namespace greywright::picture

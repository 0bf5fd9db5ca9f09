#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <cstring>
#include <random>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "core/files.h"
#include "picture/make_files.h"
#include "picture/read.h"
#include "testing/near.h"
#include "testing/temporary_folder.h"

namespace greywright::picture {
namespace {

using greywright::testing::allNear;
using greywright::testing::succeeded;
using greywright::testing::TemporaryFolder;

// A sensor of red, green, green and blue, which sees one colour in all of a patch. The patches are columns.
struct Scene {
    std::vector<Triple> patches;            ///< what red, green and blue sensors see, 0 .. 1
    std::array<float, 3> neutral{1, 1, 1};  ///< what they see of white
    std::array<float, 9> camera;            ///< from CIEXYZ, row by row
    std::uint32_t patchPixels = 20;
    std::uint32_t height = 60;
    std::uint32_t promisedHeight = 0;
    int orientation = 1;
};

// D65 is white, and the sensors see the primaries of sRGB. Source: IEC 61966-2-1, matrix from CIEXYZ.
constexpr std::array<float, 9> kSrgbCamera{3.2406F, -1.5372F, -0.4986F, -0.9689F, 1.8758F,
                                           0.0415F, 0.0557F,  -0.2040F, 1.0570F};

void writeDng(const std::filesystem::path& path, const Scene& scene) {
    constexpr double kMost = 65535;
    const auto width = static_cast<std::uint32_t>(scene.patches.size()) * scene.patchPixels;
    std::vector<std::uint8_t> bytes;
    for (std::uint32_t y = 0; y < scene.height; ++y) {
        for (std::uint32_t x = 0; x < width; ++x) {
            const Triple& seen = scene.patches[x / scene.patchPixels];
            const auto code = static_cast<std::uint16_t>(std::lround(seen[x % 2 + y % 2] * kMost));
            std::uint8_t two[2];
            std::memcpy(two, &code, 2);
            bytes.insert(bytes.end(), two, two + 2);
        }
    }
    const auto more = [&](TIFF* tiff) {
        const std::uint8_t version[]{1, 1, 0, 0};
        const std::uint16_t repeat[]{2, 2};
        const std::uint8_t pattern[]{0, 1, 1, 2};
        const std::uint32_t most[]{65535};
        TIFFSetField(tiff, TIFFTAG_SUBFILETYPE, 0);
        TIFFSetField(tiff, TIFFTAG_ORIENTATION, scene.orientation);
        TIFFSetField(tiff, TIFFTAG_MAKE, "Greywright");
        TIFFSetField(tiff, TIFFTAG_MODEL, "Made for a test");
        TIFFSetField(tiff, TIFFTAG_UNIQUECAMERAMODEL, "Greywright made for a test");
        TIFFSetField(tiff, TIFFTAG_DNGVERSION, version);
        TIFFSetField(tiff, TIFFTAG_CFAREPEATPATTERNDIM, repeat);
        TIFFSetField(tiff, TIFFTAG_CFAPATTERN, 4, pattern);
        TIFFSetField(tiff, TIFFTAG_WHITELEVEL, 1, most);
        TIFFSetField(tiff, TIFFTAG_CALIBRATIONILLUMINANT1, 21);  // D65
        TIFFSetField(tiff, TIFFTAG_COLORMATRIX1, 9, scene.camera.data());
        TIFFSetField(tiff, TIFFTAG_ASSHOTNEUTRAL, 3, scene.neutral.data());
    };
    made::writeTiff(path,
                    {.width = width,
                     .height = scene.promisedHeight > 0 ? scene.promisedHeight : scene.height,
                     .bits = 16,
                     .photometric = PHOTOMETRIC_CFA,
                     .more = more},
                    bytes);
}

// The colour in the middle of each patch, as shares of full white.
std::vector<Triple> middles(const Reduced& picture, std::size_t patches) {
    std::vector<Triple> colours;
    for (std::size_t i = 0; i < patches; ++i) {
        const std::size_t x = (2 * i + 1) * picture.width / (2 * patches);
        const std::size_t at = (picture.height / 2 * picture.width + x) * 3;
        colours.push_back(
            {picture.codes[at] / 65535.0, picture.codes[at + 1] / 65535.0, picture.codes[at + 2] / 65535.0});
    }
    return colours;
}

TEST(Raw, CodesAreInProportionToTheLight) {
    const TemporaryFolder folder;
    Scene scene{.camera = kSrgbCamera};
    for (const double light : {0.9, 0.45, 0.225, 0.1, 0.05, 0.02})
        scene.patches.push_back({light, light, light});
    writeDng(folder / "steps.dng", scene);
    const auto picture = readReduced(folder / "steps.dng");
    ASSERT_TRUE(succeeded(picture));
    EXPECT_EQ(picture->format, "raw");
    EXPECT_EQ(picture->source, ColourSource::rawMatrix);
    EXPECT_EQ(picture->channels, 3U);
    EXPECT_EQ(picture->width, 120U);
    EXPECT_EQ(picture->height, 60U);
    EXPECT_EQ(picture->factor, 1U);
    EXPECT_EQ(picture->fileBits, 16);
    EXPECT_FALSE(picture->pixelsPerInch);
    const auto seen = middles(*picture, scene.patches.size());
    for (std::size_t i = 0; i < seen.size(); ++i) {
        EXPECT_TRUE(allNear(seen[i], scene.patches[i], 1e-3 * scene.patches[i][0] + 1e-4)) << i;
    }
}

// What the sensors see of white is white, whatever its colour to them; half of it is half.
TEST(Raw, WhiteIsAsShot) {
    const TemporaryFolder folder;
    const Scene scene{.patches = {{0.4, 0.8, 0.6}, {0.2, 0.4, 0.3}, {0.1, 0.2, 0.15}},
                      .neutral = {0.5F, 1, 0.75F},
                      .camera = kSrgbCamera};
    writeDng(folder / "warm.dng", scene);
    const auto picture = readReduced(folder / "warm.dng");
    ASSERT_TRUE(succeeded(picture));
    EXPECT_TRUE(picture->notes.empty());
    const auto seen = middles(*picture, 3);
    for (std::size_t i = 0; i < 3; ++i) {
        EXPECT_NEAR(seen[i][0] / seen[i][1], 1, 2e-3) << i;
        EXPECT_NEAR(seen[i][2] / seen[i][1], 1, 2e-3) << i;
    }
    EXPECT_NEAR(seen[1][1] / seen[0][1], 0.5, 1e-3);
    EXPECT_NEAR(seen[2][1] / seen[0][1], 0.25, 1e-3);
    const auto xyz = xyzFromCodes(*picture, seen);
    ASSERT_TRUE(succeeded(xyz));
    EXPECT_NEAR((*xyz)[0][0] / (*xyz)[0][1], 0.9642, 3e-3) << "neutral is neutral for D50";
}

// A camera whose sensors see the primaries of sRGB shows them as they are.
TEST(Raw, ColoursGoThroughTheCamerasMatrix) {
    const TemporaryFolder folder;
    const Scene scene{.patches = {{0.6, 0.2, 0.1}, {0.1, 0.5, 0.2}, {0.1, 0.2, 0.7}}, .camera = kSrgbCamera};
    writeDng(folder / "colours.dng", scene);
    const auto picture = readReduced(folder / "colours.dng");
    ASSERT_TRUE(succeeded(picture));
    const auto seen = middles(*picture, 3);
    for (std::size_t i = 0; i < 3; ++i) EXPECT_TRUE(allNear(seen[i], scene.patches[i], 2e-3)) << i;
}

TEST(Raw, ALargeOneIsReadAtHalfItsSize) {
    const TemporaryFolder folder;
    const Scene scene{.patches = {{0.8, 0.8, 0.8}, {0.4, 0.4, 0.4}},
                      .camera = kSrgbCamera,
                      .patchPixels = 60,
                      .height = 120};
    writeDng(folder / "large.dng", scene);
    for (const auto& [most, factor] : {std::pair{120U * 120U, 1U}, {60U * 60U, 2U}, {30U * 30U, 4U}}) {
        const auto picture = readReduced(folder / "large.dng", {.mostPixels = most});
        ASSERT_TRUE(succeeded(picture));
        EXPECT_EQ(picture->factor, factor);
        EXPECT_EQ(picture->width, 120 / factor);
        EXPECT_EQ(picture->height, 120 / factor);
        EXPECT_EQ(picture->fileWidth, 120U);
        const auto seen = middles(*picture, 2);
        EXPECT_NEAR(seen[0][1], 0.8, 1e-3);
        EXPECT_NEAR(seen[1][1], 0.4, 1e-3);
    }
}

// Source: TIFF 6.0, tag 274: with 6 the file's first column is the upper edge, with 8 the lower one.
TEST(Raw, IsTurnedAsTheFileSays) {
    const TemporaryFolder folder;
    for (const int orientation : {6, 8}) {
        writeDng(folder / "turned.dng", {.patches = {{0.8, 0.8, 0.8}, {0.4, 0.4, 0.4}, {0.2, 0.2, 0.2}},
                                         .camera = kSrgbCamera,
                                         .height = 100,
                                         .orientation = orientation});
        for (const std::size_t most : {100'000U, 3'000U}) {
            const auto picture = readReduced(folder / "turned.dng", {.mostPixels = most});
            ASSERT_TRUE(succeeded(picture));
            EXPECT_EQ(picture->fileWidth, 100U);
            EXPECT_EQ(picture->fileHeight, 60U);
            EXPECT_EQ(picture->width, 100 / picture->factor);
            EXPECT_EQ(picture->height, 60 / picture->factor);
            const std::size_t upper = picture->height / 6 * picture->width * 3 + picture->width / 2 * 3;
            EXPECT_NEAR(picture->codes[upper] / 65535.0, orientation == 6 ? 0.8 : 0.2, 1e-3);
        }
    }
}

TEST(Raw, OneCutShortIsDamagedAndSaysNothingElsewhere) {
    const TemporaryFolder folder;
    const Scene scene{.patches = {{0.8, 0.8, 0.8}, {0.4, 0.4, 0.4}}, .camera = kSrgbCamera, .height = 200};
    const auto path = folder / "whole.dng";
    writeDng(path, scene);
    const std::string whole = readWholeFile(path).value();
    ::testing::internal::CaptureStderr();
    // libtiff puts the directory behind the pixels.
    ASSERT_TRUE(succeeded(writeWholeFile(path, whole.substr(0, whole.size() / 2))));
    const auto withoutEnd = readReduced(path);
    ASSERT_FALSE(withoutEnd);
    EXPECT_EQ(withoutEnd.error().code, "picture-damaged") << withoutEnd.error().text();
    // Rows that are promised and are not there.
    Scene promising = scene;
    promising.promisedHeight = 4000;
    writeDng(path, promising);
    const auto withoutRows = readReduced(path);
    ASSERT_FALSE(withoutRows);
    EXPECT_EQ(withoutRows.error().code, "picture-damaged") << withoutRows.error().text();
    EXPECT_EQ(withoutRows.error().where.path, path.string());
    EXPECT_NE(withoutRows.error().next, "");
    EXPECT_EQ(::testing::internal::GetCapturedStderr(), "");
}

// Bytes changed at random, always the same ones: whatever comes of it, it is a picture of the size it states
// or a refusal in words.
TEST(Raw, ChangedBytesNeverDoHarm) {
    const TemporaryFolder folder;
    writeDng(folder / "whole.dng", {.patches = {{0.8, 0.8, 0.8}, {0.4, 0.4, 0.4}}, .camera = kSrgbCamera});
    made::writeTiff(folder / "whole.tif", {.width = 40, .height = 30}, std::vector<std::uint8_t>(1200, 99));
    made::writePng(folder / "whole.png", {.width = 40, .height = 30}, std::vector<std::uint8_t>(1200, 99));
    std::mt19937 random(20240229);
    int read = 0;
    int refused = 0;
    for (const char* name : {"whole.dng", "whole.tif", "whole.png"}) {
        const std::string whole = readWholeFile(folder / name).value();
        // What says how the pixels lie stands in the first and the last bytes.
        const std::size_t told = std::min<std::size_t>(whole.size() / 2, 300);
        for (int round = 0; round < 60; ++round) {
            std::string changed = whole;
            for (int i = 0; i < 3; ++i) {
                const std::size_t at = random() % (2 * told);
                changed[at < told ? at : whole.size() - 1 - (at - told)] = static_cast<char>(random());
            }
            ASSERT_TRUE(succeeded(writeWholeFile(folder / "changed", changed)));
            const auto picture = readReduced(folder / "changed", {.mostPixels = 100'000});
            if (picture) {
                EXPECT_EQ(picture->codes.size(), picture->width * picture->height * picture->channels);
                EXPECT_TRUE(picture->channels == 1 || picture->channels == 3);
            } else {
                EXPECT_TRUE(picture.error().code.starts_with("picture-")) << picture.error().code;
                EXPECT_NE(picture.error().next, "");
            }
            ++(picture ? read : refused);
        }
    }
    EXPECT_GT(read, 20);
    EXPECT_GT(refused, 20);
}

TEST(Raw, MorePixelsThanMemoryAreRefused) {
    const TemporaryFolder folder;
    Scene scene{.patches = {{0.8, 0.8, 0.8}}, .camera = kSrgbCamera, .patchPixels = 60000, .height = 2};
    scene.promisedHeight = 60000;
    writeDng(folder / "huge.dng", scene);
    const auto picture = readReduced(folder / "huge.dng");
    ASSERT_FALSE(picture);
    EXPECT_EQ(picture.error().code, "picture-too-large") << picture.error().text();
}

TEST(Raw, ItStopsWhenAsked) {
    const TemporaryFolder folder;
    writeDng(folder / "x.dng", {.patches = {{0.8, 0.8, 0.8}, {0.4, 0.4, 0.4}}, .camera = kSrgbCamera});
    double told = -1;
    const auto stopped = readReduced(folder / "x.dng", {.goOn = [&](double share) {
                                         EXPECT_GE(share, told);
                                         EXPECT_LE(share, 1);
                                         told = share;
                                         return share < 0.4;
                                     }});
    ASSERT_FALSE(stopped);
    EXPECT_EQ(stopped.error().code, "stopped");
}

// Not every TIFF file with a camera's name in it is a camera raw file.
TEST(Raw, APlainTiffStaysOne) {
    const TemporaryFolder folder;
    made::writeTiff(folder / "scan.tif",
                    {.width = 2,
                     .height = 1,
                     .channels = 3,
                     .photometric = PHOTOMETRIC_RGB,
                     .more =
                         [](TIFF* tiff) {
                             TIFFSetField(tiff, TIFFTAG_MAKE, "Greywright");
                             TIFFSetField(tiff, TIFFTAG_MODEL, "Made for a test");
                         }},
                    {1, 2, 3, 4, 5, 6});
    const auto picture = readReduced(folder / "scan.tif");
    ASSERT_TRUE(succeeded(picture));
    EXPECT_EQ(picture->format, "TIFF");
    EXPECT_EQ(picture->codes[1], 2 * 257);
}

}  // namespace
}  // namespace greywright::picture

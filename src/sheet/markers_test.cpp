#include "sheet/markers.h"

#include <array>
#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <map>
#include <memory>
#include <set>
#include <vector>

#include <apriltag/apriltag.h>
#include <apriltag/tagStandard41h12.h>
#include <gtest/gtest.h>

#include "picture/read_back.h"
#include "sheet/design.h"
#include "sheet/render.h"
#include "testing/near.h"
#include "testing/temporary_folder.h"

namespace greywright::sheet {
namespace {

using greywright::testing::succeeded;
using greywright::testing::TemporaryFolder;

// Source: the layout that sheet.h states, worked out by hand. '2' is 0, '3' is 1, 'Z' is 31.
TEST(Markers, NumbersHoldPositionAndByte) {
    using Numbers = std::array<int, 8>;
    EXPECT_EQ(markerNumbers("222222", 1), (Numbers{0, 256, 512, 768, 1024, 1280, 1536, 1792}));
    // 31 in the lowest five bits: byte 0 at the upper left corner and at the bottom.
    EXPECT_EQ(markerNumbers("Z22222", 1), (Numbers{31, 256, 512, 768, 1024, 1280, 1536 + 31, 1792}));
    // 31 << 5 = 0x3E0: byte 0 is 224, byte 1 is 3, at the upper right corner and at the left.
    EXPECT_EQ(markerNumbers("2Z2222", 1),
              (Numbers{224, 256 + 3, 512, 768, 1024, 1280, 1536 + 224, 1792 + 3}));
    // Page 4 is 3 << 30: byte 3 is 192, at the lower left corner and at the right.
    EXPECT_EQ(markerNumbers("222222", 4), (Numbers{0, 256, 512, 768 + 192, 1024, 1280 + 192, 1536, 1792}));
    EXPECT_EQ(markerNumbers("ZZZZZZ", 4), (Numbers{255, 511, 767, 1023, 1279, 1535, 1791, 2047}));
    EXPECT_THROW((void)markerNumbers("22222", 1), ContractViolation);
    EXPECT_THROW((void)markerNumbers("2222O2", 1), ContractViolation);
    EXPECT_THROW((void)markerNumbers("222222", 5), ContractViolation);
}

// By the AprilTag library's own drawing.
TEST(Markers, CellsAreThoseOfTheFamily) {
    const std::unique_ptr<apriltag_family_t, decltype(&tagStandard41h12_destroy)> family(
        tagStandard41h12_create(), &tagStandard41h12_destroy);
    for (int number = 0; number < 2048; number += 89) {
        image_u8_t* const drawn = apriltag_to_image(family.get(), number);
        ASSERT_EQ(drawn->width, 9);
        std::array<std::array<bool, 9>, 9> black{};
        for (const RectMm& run : blackCellsOf({{.number = number, .at = {18, 36, 9, 9}, .page = 2}}, 2)) {
            for (double x = run.x; x < run.x + run.width - 0.5; x += 1) {
                black[std::size_t(std::lround(run.y) - 36)][std::size_t(std::lround(x) - 18)] = true;
            }
        }
        for (int row = 0; row < 9; ++row) {
            for (int column = 0; column < 9; ++column) {
                EXPECT_EQ(black[std::size_t(row)][std::size_t(column)],
                          drawn->buf[row * drawn->stride + column] == 0)
                    << number << " " << row << " " << column;
            }
        }
        std::free(drawn->buf);
        std::free(drawn);
    }
    EXPECT_TRUE(blackCellsOf({{.number = 1, .at = {18, 36, 9, 9}, .page = 2}}, 1).empty());
}

/// What the library's own detector sees: number and corners.
std::map<int, std::vector<std::array<double, 2>>> detect(const std::filesystem::path& path) {
    std::vector<std::uint8_t> pixels;
    const auto facts = picture::readback::readBack(path, [&](std::size_t, auto codes) {
        for (const std::uint16_t code : codes) pixels.push_back(static_cast<std::uint8_t>(code >> 8U));
    });
    image_u8_t image{.width = int(facts.width),
                     .height = int(facts.height),
                     .stride = int(facts.width),
                     .buf = pixels.data()};
    apriltag_family_t* const family = tagStandard41h12_create();
    apriltag_detector_t* const detector = apriltag_detector_create();
    apriltag_detector_add_family_bits(detector, family, 0);
    detector->quad_decimate = 1;
    zarray_t* const found = apriltag_detector_detect(detector, &image);
    std::map<int, std::vector<std::array<double, 2>>> corners;
    for (int i = 0; i < zarray_size(found); ++i) {
        apriltag_detection_t* one = nullptr;
        zarray_get(found, i, &one);
        if (one->hamming > 0) continue;
        for (const auto& corner : one->p) corners[one->id].push_back({corner[0], corner[1]});
    }
    apriltag_detections_destroy(found);
    apriltag_detector_destroy(detector);
    tagStandard41h12_destroy(family);
    return corners;
}

TEST(Markers, ADetectorFindsAllEightWhereTheyArePrinted) {
    const TemporaryFolder folder;
    for (const char* const name : {"A4", "4x6in"}) {
        const auto sheet = cameraSheet(
            {.title = {"Rag", ""}, .tonesPercent = evenTones(21), .shuffle = 2, .page = *pageByName(name)});
        ASSERT_TRUE(succeeded(sheet));
        for (const int dotsPerInch : {150, 360}) {
            ASSERT_TRUE(succeeded(writePage(*sheet, 1, folder / "x.tif", {.dotsPerInch = dotsPerInch})));
            const auto found = detect(folder / "x.tif");
            EXPECT_EQ(found.size(), 8U) << name << dotsPerInch;
            for (const Marker& marker : sheet->markers) {
                ASSERT_TRUE(found.contains(marker.number)) << name << dotsPerInch;
                const double cell = marker.at.width / 9;
                // The corners of the middle 5 x 5 cells, at the edges between pixels that are nearest.
                const auto edge = [&](double mm) { return std::round(mm * dotsPerInch / 25.4); };
                for (const auto& [x, y] : found.at(marker.number)) {
                    const double nearX = std::min(std::abs(x - edge(marker.at.x + 2 * cell)),
                                                  std::abs(x - edge(marker.at.x + 7 * cell)));
                    const double nearY = std::min(std::abs(y - edge(marker.at.y + 2 * cell)),
                                                  std::abs(y - edge(marker.at.y + 7 * cell)));
                    EXPECT_LT(nearX, 0.5) << name << dotsPerInch;
                    EXPECT_LT(nearY, 0.5) << name << dotsPerInch;
                }
            }
        }
    }
}

}  // namespace
}  // namespace greywright::sheet

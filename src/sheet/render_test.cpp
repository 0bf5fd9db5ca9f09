#include "sheet/render.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "picture/read_back.h"
#include "sheet/design.h"
#include "sheet/lettering.h"
#include "testing/near.h"
#include "testing/temporary_folder.h"

namespace greywright::sheet {
namespace {

using greywright::testing::succeeded;
using greywright::testing::TemporaryFolder;
using picture::readback::readBack;

Sheet ramp(const Page& page) {
    // Odd sizes, so that hardly any edge falls between two pixels; and 37 steps, so that no tone's code is a
    // half, which rounding errors would decide.
    return *rampSheet({.title = {"Odd sizes", "2031-04-05"},
                       .tonesPercent = evenTones(38),
                       .sizes = {.lengthMm = 7.3, .widthMm = 9.1, .gapMm = 3.7, .leadMm = 6.1},
                       .shuffle = 11,
                       .page = page});
}

// Read by libtiff and libpng. The expected code is worked out here from the definition, not by the program.
TEST(Render, EveryPixelOfEveryPatchHasItsCode) {
    const TemporaryFolder folder;
    const Sheet sheet = ramp({133.7, 121.9, 5.3});
    for (const int dotsPerInch : {300, 360, 720}) {
        for (const bool isPng : {false, true}) {
            for (const auto encoding : {picture::Encoding::greyGamma22, picture::Encoding::srgb}) {
                const auto path = folder / (isPng ? "x.png" : "x.tif");
                const RenderOptions options{
                    .dotsPerInch = dotsPerInch,
                    .encoding = encoding,
                    .format = isPng ? picture::FileFormat::png : picture::FileFormat::tiff};
                ASSERT_TRUE(succeeded(writePage(sheet, 1, path, options)));
                const double pixelsPerMm = dotsPerInch / 25.4;
                const std::size_t channels = encoding == picture::Encoding::srgb ? 3 : 1;
                std::size_t seen = 0;
                std::size_t wrong = 0;
                const auto facts = readBack(path, [&](std::size_t y, auto samples) {
                    for (const Patch& patch : sheet.patches) {
                        // Pixels that lie wholly inside, half a pixel from every stated edge.
                        if (patch.page != 1 || double(y) < patch.at.y * pixelsPerMm + 0.5 ||
                            double(y + 1) > (patch.at.y + patch.at.height) * pixelsPerMm - 0.5) {
                            continue;
                        }
                        const long code = std::lround(65535 * (100 - patch.tonePercent) / 100);
                        const auto from = static_cast<std::size_t>(std::ceil(patch.at.x * pixelsPerMm + 0.5));
                        const auto to = static_cast<std::size_t>(
                            std::floor((patch.at.x + patch.at.width) * pixelsPerMm - 0.5));
                        for (std::size_t i = from * channels; i < to * channels; ++i, ++seen) {
                            wrong += samples[i] != code;
                        }
                    }
                });
                EXPECT_EQ(wrong, 0U) << dotsPerInch;
                EXPECT_GT(seen, 100'000U);
                EXPECT_EQ(facts.bits, 16);
                EXPECT_NEAR(double(facts.width), 133.7 * pixelsPerMm, 0.5);
                EXPECT_NEAR(double(facts.height), 121.9 * pixelsPerMm, 0.5);
                EXPECT_EQ(facts.perInch, isPng ? 0 : dotsPerInch);
            }
        }
    }
}

// Each edge is found in the file, as the first and last row and column that hold the tone.
TEST(Render, EveryEdgeIsWithinHalfAPixelOfItsPlace) {
    const TemporaryFolder folder;
    const Sheet sheet = ramp({133.7, 121.9, 5.3});
    ASSERT_EQ(sheet.pages, 1);
    struct Extent {
        std::size_t left = SIZE_MAX, right = 0, top = SIZE_MAX, bottom = 0;
    };
    for (const int dotsPerInch : {300, 360, 720}) {
        ASSERT_TRUE(succeeded(writePage(sheet, 1, folder / "x.tif", {.dotsPerInch = dotsPerInch})));
        std::map<std::uint16_t, Extent> found;
        (void)readBack(folder / "x.tif", [&](std::size_t y, auto codes) {
            for (std::size_t x = 0; x < codes.size(); ++x) {
                if (codes[x] == 0 || codes[x] == 65535) continue;  // leads, words and paper have these too
                Extent& extent = found[codes[x]];
                extent.left = std::min(extent.left, x);
                extent.right = std::max(extent.right, x + 1);
                extent.top = std::min(extent.top, y);
                extent.bottom = std::max(extent.bottom, y + 1);
            }
        });
        EXPECT_EQ(found.size(), 36U);
        const double pixelsPerMm = dotsPerInch / 25.4;
        constexpr double kHalf = 0.5 + 1e-6;
        for (const Patch& patch : sheet.patches) {
            if (patch.tonePercent == 0 || patch.tonePercent == 100) continue;
            const Extent& extent =
                found[static_cast<std::uint16_t>(std::lround(65535 * (100 - patch.tonePercent) / 100))];
            EXPECT_NEAR(double(extent.left), patch.at.x * pixelsPerMm, kHalf) << patch.label;
            EXPECT_NEAR(double(extent.right), (patch.at.x + patch.at.width) * pixelsPerMm, kHalf);
            EXPECT_NEAR(double(extent.top), patch.at.y * pixelsPerMm, kHalf);
            EXPECT_NEAR(double(extent.bottom), (patch.at.y + patch.at.height) * pixelsPerMm, kHalf);
        }
    }
}

double distance(double x, double y, const Stroke& s) {
    const double dx = s.x2 - s.x1;
    const double dy = s.y2 - s.y1;
    const double along = std::clamp(((x - s.x1) * dx + (y - s.y1) * dy) / (dx * dx + dy * dy), 0.0, 1.0);
    return std::hypot(x - s.x1 - along * dx, y - s.y1 - along * dy);
}

// By another way than the renderer's: the distance of each pixel's middle from the nearest stroke.
TEST(Render, WordsAreThePixelsWhoseMiddleLiesOnAStroke) {
    const TemporaryFolder folder;
    Sheet sheet{.page = {50, 50, 0}};
    sheet.letterings = {{.text = "ABCDEFGHIJKLM", .xMm = 3, .baselineMm = 10},
                        {.text = "NOPQRSTUVWXYZ", .xMm = 3, .baselineMm = 16},
                        {.text = "0123456789", .xMm = 3, .baselineMm = 22},
                        {.text = "%=,.-/:+()#_'&", .xMm = 3, .baselineMm = 28, .heightMm = 4}};
    ASSERT_TRUE(succeeded(
        writePage(sheet, 1, folder / "x.png", {.dotsPerInch = 300, .format = picture::FileFormat::png})));
    std::size_t black = 0;
    std::size_t wrong = 0;
    (void)readBack(folder / "x.png", [&](std::size_t row, auto codes) {
        for (std::size_t column = 0; column < codes.size(); ++column) {
            const double x = (double(column) + 0.5) * 25.4 / 300;
            const double y = (double(row) + 0.5) * 25.4 / 300;
            double over = 1;  // how far outside the nearest stroke
            for (const Lettering& words : sheet.letterings) {
                if (std::abs(y - words.baselineMm) > 6) continue;
                for (const Stroke& stroke : strokesOf(words)) {
                    over = std::min(over, distance(x, y, stroke) - kStrokeFraction * words.heightMm / 2);
                }
            }
            if (std::abs(over) < 1e-9) continue;  // rounding decides
            black += over < 0;
            wrong += codes[column] != (over < 0 ? 0 : 65535);
        }
    });
    EXPECT_EQ(wrong, 0U);
    EXPECT_GT(black, 5000U);
}

// The three channels of colours, at the edges too; markers' cells are whole.
TEST(Render, ColoursAndCellsAreExact) {
    const TemporaryFolder folder;
    const auto made = neutralSheet({.title = {"Odd sizes", ""},
                                    .tonesPercent = {13, 47, 88},
                                    .hasMarkers = true,
                                    .page = {133.7, 181.9, 5.3}});
    ASSERT_TRUE(succeeded(made));
    const Sheet& sheet = made->sheet;
    for (const int dotsPerInch : {300, 360, 720}) {
        for (const bool isPng : {false, true}) {
            const auto path = folder / (isPng ? "x.png" : "x.tif");
            const RenderOptions options{
                .dotsPerInch = dotsPerInch,
                .encoding = picture::Encoding::displayP3,
                .format = isPng ? picture::FileFormat::png : picture::FileFormat::tiff};
            ASSERT_TRUE(succeeded(writePage(sheet, 1, path, options)));
            const double pixelsPerMm = dotsPerInch / 25.4;
            const auto edge = [&](double mm) { return std::size_t(std::lround(mm * pixelsPerMm)); };
            std::size_t seen = 0;
            std::size_t wrong = 0;
            const auto facts = readBack(path, [&](std::size_t y, auto samples) {
                const auto expect = [&](const RectMm& at, const std::array<std::uint16_t, 3>& rgb) {
                    if (y < edge(at.y) || y >= edge(at.y + at.height)) return;
                    for (std::size_t x = edge(at.x); x < edge(at.x + at.width); ++x, ++seen) {
                        for (std::size_t i = 0; i < 3; ++i) wrong += samples[3 * x + i] != rgb[i];
                    }
                };
                for (const Patch& patch : sheet.patches) {
                    if (patch.page == 1) expect(patch.at, *patch.rgb);
                }
                for (const BarePaper& bare : sheet.bare) {
                    if (bare.page == 1) expect(bare.at, {65535, 65535, 65535});
                }
                for (const Marker& marker : sheet.markers) {
                    // Two cells in from the corner lies the white frame, five cells long.
                    const double cell = marker.at.width / 9;
                    if (marker.page != 1) continue;
                    expect({marker.at.x + 2 * cell, marker.at.y + 2 * cell, 5 * cell, cell},
                           {65535, 65535, 65535});
                    expect({marker.at.x + 1 * cell, marker.at.y + 1 * cell, 7 * cell, cell}, {0, 0, 0});
                }
            });
            EXPECT_EQ(wrong, 0U) << dotsPerInch;
            EXPECT_GT(seen, 500'000U);
            EXPECT_EQ(facts.channels, 3);
            EXPECT_EQ(facts.profile, *picture::profileOf(picture::Encoding::displayP3));
        }
    }
}

// A drawing is the same picture at every resolution: gradients by their formula, the landscape by itself.
TEST(Render, DrawingsKeepTheirTones) {
    const TemporaryFolder folder;
    Sheet sheet{.page = {60, 50, 0}};
    sheet.drawings = {{.fromPercent = 0, .toPercent = 100, .at = {5, 5, 50, 10}},
                      {.kind = DrawingKind::landscape, .at = {5, 20, 50, 28}, .seed = 3}};
    std::map<int, std::vector<double>> landscape;
    for (const int dotsPerInch : {127, 254, 1270}) {  // 5, 10 and 50 pixels each mm
        ASSERT_TRUE(succeeded(writePage(sheet, 1, folder / "x.tif", {.dotsPerInch = dotsPerInch})));
        const auto perMm = std::size_t(dotsPerInch / 25.4 + 0.5);
        std::vector<double> means(50UL * 28);
        (void)readBack(folder / "x.tif", [&](std::size_t y, auto codes) {
            if (y >= 5 * perMm && y < 15 * perMm) {
                for (std::size_t x = 5 * perMm; x < 55 * perMm; ++x) {
                    const double across = (double(x) + 0.5 - 5.0 * double(perMm)) / (50.0 * double(perMm));
                    ASSERT_NEAR(codes[x], 65535 * (1 - across), 0.501);
                }
            }
            if (y < 20 * perMm || y >= 48 * perMm) return;
            for (std::size_t x = 5 * perMm; x < 55 * perMm; ++x) {
                means[(y / perMm - 20) * 50 + x / perMm - 5] += codes[x] / double(perMm * perMm) / 655.35;
            }
        });
        landscape[dotsPerInch] = means;
    }
    // Means over square millimetres; only where an edge runs through one does the number of its pixels count.
    EXPECT_TRUE(greywright::testing::allNear(landscape[254], landscape[1270], 1.5));
    EXPECT_TRUE(greywright::testing::allNear(landscape[127], landscape[1270], 4));
}

TEST(Render, WhatCannotBeRenderedIsRefused) {
    const Sheet sheet = ramp({133.7, 121.9, 5.3});
    const auto codeOf = [&](int page, int dotsPerInch) {
        const auto outcome = writePage(sheet, page, "never.tif", {.dotsPerInch = dotsPerInch});
        return outcome ? "none" : outcome.error().code;
    };
    EXPECT_EQ(codeOf(0, 300), "page-number-out-of-range");
    EXPECT_EQ(codeOf(2, 300), "page-number-out-of-range");
    EXPECT_EQ(codeOf(1, 99), "resolution-out-of-range");
    EXPECT_EQ(codeOf(1, 1441), "resolution-out-of-range");
    const auto colours = choiceSheet({.title = {"X", ""}, .page = {133.7, 121.9, 5.3}});
    const auto grey = writePage(*colours, 1, "never.tif");
    ASSERT_FALSE(grey);
    EXPECT_EQ(grey.error().code, "encoding-grey");
    EXPECT_EQ(grey.error().kind, ErrorKind::wrongUse);
    const auto damaged = writePage(sheet, 1, "never.tif", {.profile = "no profile"});
    ASSERT_FALSE(damaged);
    EXPECT_EQ(damaged.error().code, "profile-unusable");
    const TemporaryFolder folder;
    const auto stopped = writePage(sheet, 1, folder / "x.tif", {.goOn = [](double) { return false; }});
    ASSERT_FALSE(stopped);
    EXPECT_EQ(stopped.error().code, "stopped");
    EXPECT_EQ(folder.count(), 0U);
}

}  // namespace
}  // namespace greywright::sheet

#include "sheet/kinds.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <map>
#include <set>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "sheet/design.h"
#include "sheet/drawing.h"
#include "sheet/sound.h"
#include "testing/near.h"

namespace greywright::sheet {
namespace {

using greywright::testing::succeeded;

const Title kTitle{"Matt rag 21", "2031-04-05"};
const Page kA4{210, 297, 10};
const Page kCard{101.6, 152.4, 5};

TEST(Kinds, NothingOverlapsAndNothingLeavesThePage) {
    std::vector<Page> pages{{297, 210, 10}, {148, 210, 0}};
    for (const std::string& name : pageNames()) pages.push_back(*pageByName(name));
    for (const Page& page : pages) {
        for (const std::size_t count : {11U, 21U, 51U, 101U}) {
            const auto camera =
                cameraSheet({.title = kTitle, .tonesPercent = evenTones(count), .page = page});
            ASSERT_TRUE(succeeded(camera)) << page.widthMm << " " << count;
            expectSound(*camera);
            EXPECT_EQ(camera->patches.size(), count);
            EXPECT_EQ(camera->markers.size(), std::size_t(camera->pages) * 8);
            EXPECT_TRUE(camera->card);
            EXPECT_GE(camera->bare.size(), 12U);
        }
        for (const bool hasMarkers : {false, true}) {
            const auto neutral = neutralSheet(
                {.title = kTitle, .tonesPercent = {20, 50, 80}, .hasMarkers = hasMarkers, .page = page});
            ASSERT_TRUE(succeeded(neutral));
            expectSound(neutral->sheet);
        }
        const auto pictures = eyePictureSheet({.title = kTitle, .page = page});
        ASSERT_TRUE(succeeded(pictures));
        expectSound(*pictures);
        for (const int rings : {1, 2, 3}) {
            const auto choice = choiceSheet({.title = kTitle, .rings = rings, .page = page});
            ASSERT_TRUE(succeeded(choice));
            expectSound(*choice);
        }
    }
}

bool says(const Sheet& sheet, const std::string& words) {
    return std::ranges::any_of(sheet.letterings, [&](const Lettering& one) { return one.text == words; });
}

TEST(Kinds, NarrowPagesSayHowTheyAreUsedToo) {
    const auto camera = cameraSheet({.title = kTitle, .tonesPercent = evenTones(21), .page = kCard});
    ASSERT_TRUE(succeeded(camera));
    EXPECT_TRUE(says(*camera, "SHOW ALL EIGHT MARKS"));
    const auto strips = rampSheet({.title = kTitle, .tonesPercent = evenTones(21), .page = kCard});
    ASSERT_TRUE(succeeded(strips));
    EXPECT_TRUE(says(*strips, "READ EVERY STRIP FROM ITS LETTER"));
    const auto choice = choiceSheet({.title = kTitle, .rings = 1, .page = kCard});
    ASSERT_TRUE(succeeded(choice));
    EXPECT_TRUE(says(*choice, "LOOK UNDER THE LIGHT THAT COUNTS"));
}

TEST(Kinds, EveryColourOfAStripBearsItsNumber) {
    const auto made = neutralSheet({.title = kTitle,
                                    .tonesPercent = {20, 50, 80},
                                    .instrument = Instrument::strip,
                                    .sizes = usualSizes(Instrument::strip),
                                    .page = kA4});
    ASSERT_TRUE(succeeded(made));
    for (const Patch& patch : made->sheet.patches) {
        const std::string number = patch.label.substr(1);  // "B12": the strip has its letter at the left
        const auto isBelow = [&](const Lettering& one) {
            return one.text == number && one.page == patch.page && one.xMm >= patch.at.x &&
                   one.xMm < patch.at.x + patch.at.width && one.baselineMm > patch.at.y + patch.at.height &&
                   one.baselineMm < patch.at.y + patch.at.height + 5;
        };
        EXPECT_EQ(std::ranges::count_if(made->sheet.letterings, isBelow), 1) << patch.label;
    }
}

TEST(Kinds, MarkersTellThePage) {
    const auto sheet = cameraSheet({.title = kTitle, .tonesPercent = evenTones(101), .page = kCard});
    ASSERT_TRUE(succeeded(sheet));
    EXPECT_EQ(sheet->pages, 4);
    for (int page = 1; page <= 4; ++page) {
        const auto numbers = markerNumbers(sheet->code, page);
        std::vector<RectMm> places;
        for (const Marker& marker : sheet->markers) {
            if (marker.page != page) continue;
            EXPECT_EQ(marker.number, numbers[places.size()]);
            places.push_back(marker.at);
        }
        ASSERT_EQ(places.size(), 8U);
        // Upper left, upper right, lower right, lower left; top, right, bottom, left.
        EXPECT_LT(places[0].x, places[1].x);
        EXPECT_EQ(places[0].y, places[1].y);
        EXPECT_EQ(places[1].x, places[2].x);
        EXPECT_LT(places[1].y, places[2].y);
        EXPECT_EQ(places[3].x, places[0].x);
        EXPECT_EQ(places[4].y, places[0].y);
        EXPECT_NEAR(places[4].x + places[4].width / 2, kCard.widthMm / 2, 1e-9);
        EXPECT_EQ(places[5].x, places[1].x);
        EXPECT_NEAR(places[5].y + places[5].height / 2, kCard.heightMm / 2, 1e-9);
        EXPECT_EQ(places[6].y, places[2].y);
        EXPECT_EQ(places[7].x, places[0].x);
    }
}

TEST(Kinds, EveryPatchOfACameraSheetHasBarePaperAboveAndBelow) {
    const auto sheet = cameraSheet({.title = kTitle, .tonesPercent = evenTones(51), .page = kA4});
    ASSERT_TRUE(succeeded(sheet));
    for (const Patch& patch : sheet->patches) {
        int near = 0;
        for (const BarePaper& bare : sheet->bare) {
            const bool isThere =
                bare.page == patch.page && bare.at.x == patch.at.x && bare.at.width == patch.at.width;
            const double above = patch.at.y - bare.at.y - bare.at.height;
            const double below = bare.at.y - patch.at.y - patch.at.height;
            near += isThere && std::abs(std::max(above, below) - 0.75) < 1e-9;
        }
        EXPECT_EQ(near, 2) << patch.label;
    }
}

// Equal sums keep the light that is sent; the six directions cancel each other.
TEST(Kinds, ColoursLieInSixDirectionsOfEqualSum) {
    const auto made = neutralSheet({.title = kTitle, .shuffle = {}, .page = kA4});
    ASSERT_TRUE(succeeded(made));
    const auto& patches = made->sheet.patches;
    // Eleven greys of 13 colours; paper and black have none around them.
    EXPECT_EQ(patches.size(), 119U);
    EXPECT_EQ(made->leftOut, 24U);
    for (std::size_t i = 1; i + 13 <= patches.size(); i += 13) {
        const auto& grey = *patches[i].rgb;
        EXPECT_EQ(grey[0], codeOfTone(patches[i].tonePercent));
        EXPECT_EQ(grey[0], grey[1]);
        EXPECT_EQ(grey[0], grey[2]);
        std::array<int, 3> sums{};
        std::set<std::array<std::uint16_t, 3>> colours{grey};
        for (std::size_t j = 1; j < 13; ++j) {
            const auto& rgb = *patches[i + j].rgb;
            EXPECT_EQ(patches[i + j].tonePercent, patches[i].tonePercent);
            EXPECT_NEAR(rgb[0] + rgb[1] + rgb[2], 3 * grey[0], 1.5);
            int largest = 0;
            for (std::size_t c = 0; c < 3; ++c) {
                sums[c] += rgb[c] - grey[c];
                largest = std::max(largest, std::abs(rgb[c] - grey[c]));
            }
            EXPECT_NEAR(largest, 65535 * (j <= 6 ? 0.025 : 0.05), 0.5);
            colours.insert(rgb);
        }
        EXPECT_EQ(colours.size(), 13U);
        for (const int sum : sums) EXPECT_NEAR(sum, 0, 4);
    }
    // Towards red and towards cyan. Source: 65535 / 40 = 1638.4 and half of it, worked out by hand.
    const auto& grey = *patches[14].rgb;
    EXPECT_EQ((*patches[15].rgb)[0] - grey[0], 1638);
    EXPECT_EQ((*patches[15].rgb)[1] - grey[1], -819);
    EXPECT_EQ((*patches[18].rgb)[0] - grey[0], -1638);
    EXPECT_EQ((*patches[18].rgb)[2] - grey[2], 819);
}

TEST(Kinds, StripsOfColoursHaveContrastingNeighbours) {
    const auto made = neutralSheet({.title = kTitle,
                                    .instrument = Instrument::strip,
                                    .sizes = usualSizes(Instrument::strip),
                                    .page = kA4});
    ASSERT_TRUE(succeeded(made));
    for (std::size_t i = 1; i < made->sheet.patches.size(); ++i) {
        const Patch& one = made->sheet.patches[i - 1];
        const Patch& other = made->sheet.patches[i];
        if (one.at.y != other.at.y) continue;
        EXPECT_GE(std::abs(one.tonePercent - other.tonePercent), 10 - 1e-9) << other.label;
    }
}

TEST(Kinds, ChoicesAreAHexagonInAnOrderOfItsSeed) {
    const auto colours = [](int rings, std::uint64_t seed) {
        std::vector<std::array<std::uint16_t, 3>> all;
        const auto sheet = choiceSheet({.title = kTitle, .rings = rings, .seed = seed, .page = kA4});
        for (const Patch& patch : sheet->patches) all.push_back(*patch.rgb);
        return all;
    };
    for (const auto& [rings, count] : std::map<int, std::size_t>{{1, 7}, {2, 19}, {3, 37}}) {
        auto one = colours(rings, 1);
        auto other = colours(rings, 2);
        EXPECT_EQ(one.size(), count);
        EXPECT_NE(one, other);
        EXPECT_EQ(one, colours(rings, 1));
        std::ranges::sort(one);
        std::ranges::sort(other);
        EXPECT_EQ(one, other);
        EXPECT_EQ(std::set(one.begin(), one.end()).size(), count);
        double farthest = 0;
        for (const auto& [r, g, b] : one) {
            EXPECT_NEAR(r + g + b, 3 * 32768, 1.5);
            farthest = std::max(farthest, std::hypot(r - 32768, g - 32768, b - 32768));
        }
        // A step of 1.5 % is 983 codes of one channel and 491.5 of the two others.
        EXPECT_NEAR(farthest, rings * 983.0 * std::sqrt(1.5), 2);
    }
}

TEST(Kinds, PairsDifferByWhatWasAskedOnTheSideTheLabelTells) {
    const EyePictureRequest request{.title = kTitle, .page = kA4};
    const auto sheet = eyePictureSheet(request);
    ASSERT_TRUE(succeeded(sheet));
    EXPECT_NE(sheet->code, eyePictureSheet({.title = kTitle, .seed = 2, .page = kA4})->code);
    ASSERT_EQ(sheet->patches.size(), 30U);
    std::set<char> sides;
    for (std::size_t i = 0; i < 30; i += 2) {
        const Patch& left = sheet->patches[i];
        const Patch& right = sheet->patches[i + 1];
        EXPECT_NEAR(left.at.x + left.at.width, right.at.x, 1e-9);
        const bool isRight = right.tonePercent > left.tonePercent;
        EXPECT_EQ((isRight ? right : left).label.back(), isRight ? 'R' : 'L');
        EXPECT_NEAR(std::abs(right.tonePercent - left.tonePercent), request.differencesPercent[i / 2 % 5],
                    1e-9);
        EXPECT_NEAR((right.tonePercent + left.tonePercent) / 2, request.tonesPercent[i / 10], 1e-9);
        sides.insert(isRight ? 'R' : 'L');
    }
    EXPECT_EQ(sides.size(), 2U);
}

TEST(Kinds, GradientsAreStraightAndTheLandscapeHasEveryTone) {
    const Painter gradient({.fromPercent = 40, .toPercent = 60, .at = {10, 20, 100, 10}});
    EXPECT_NEAR(gradient.tonePercentAt(10, 25), 40, 1e-12);
    EXPECT_NEAR(gradient.tonePercentAt(35, 21), 45, 1e-12);
    EXPECT_NEAR(gradient.tonePercentAt(110, 29), 60, 1e-12);
    for (const std::uint64_t seed : {1U, 2U, 3U, 4U, 5U}) {
        const Painter landscape({.kind = DrawingKind::landscape, .at = {10, 100, 190, 120}, .seed = seed});
        std::array<int, 10> tenths{};
        double previous = 0;
        int steep = 0;
        for (double y = 100.25; y < 220; y += 0.5) {
            for (double x = 10.25; x < 200; x += 0.5) {
                const double tone = landscape.tonePercentAt(x, y);
                EXPECT_TRUE(tone >= 0 && tone <= 100);
                ++tenths[std::min<std::size_t>(9, std::size_t(tone / 10))];
                steep += x > 11 && std::abs(tone - previous) > 2;
                previous = tone;
            }
        }
        const int all = 240 * 380;
        for (const int count : tenths) EXPECT_GT(count, all / 100) << seed;
        EXPECT_LT(steep, all / 20) << "large smooth areas";
    }
}

TEST(Kinds, WhatCannotBeMadeIsRefused) {
    const auto camera = [](auto change) {
        CameraRequest request{.title = kTitle, .tonesPercent = evenTones(21), .page = kA4};
        change(request);
        return codeOf(cameraSheet(request));
    };
    EXPECT_EQ(camera([](auto&) {}), "none");
    EXPECT_EQ(camera([](auto& r) { r.tonesPercent = evenTones(10); }), "tone-count");
    EXPECT_EQ(camera([](auto& r) { r.tonesPercent[3] = 101; }), "tone-out-of-range");
    EXPECT_EQ(camera([](auto& r) { r.sideMm = 4; }), "size-out-of-range");
    EXPECT_EQ(camera([](auto& r) { r.title.name = ""; }), "text-missing");
    EXPECT_EQ(camera([](auto& r) {
                  r.title.name = "X";
                  r.page = {60, 60, 5};
              }),
              "page-too-small");
    EXPECT_EQ(camera([](auto& r) {
                  r.page = kCard;
                  r.sideMm = 40;
              }),
              "page-too-small");

    const auto neutral = [](auto change) {
        NeutralRequest request{.title = kTitle, .page = kA4};
        change(request);
        return codeOf(neutralSheet(request));
    };
    EXPECT_EQ(neutral([](auto&) {}), "none");
    EXPECT_EQ(neutral([](auto& r) { r.tonesPercent = {}; }), "tone-count");
    EXPECT_EQ(neutral([](auto& r) { r.stepsPercent = {}; }), "step-count");
    EXPECT_EQ(neutral([](auto& r) { r.stepsPercent = {1, 2, 3, 4, 5}; }), "step-count");
    EXPECT_EQ(neutral([](auto& r) { r.stepsPercent = {21}; }), "step-out-of-range");
    EXPECT_EQ(neutral([](auto& r) { r.stepsPercent = {2, 2}; }), "step-out-of-range");
    EXPECT_EQ(neutral([](auto& r) { r.sizes.lengthMm = 3; }), "size-out-of-range");

    const auto pictures = [](auto change) {
        EyePictureRequest request{.title = kTitle, .page = kA4};
        change(request);
        return codeOf(eyePictureSheet(request));
    };
    EXPECT_EQ(pictures([](auto&) {}), "none");
    EXPECT_EQ(pictures([](auto& r) { r.tonesPercent = {5}; }), "tone-out-of-range");
    EXPECT_EQ(pictures([](auto& r) { r.tonesPercent = {}; }), "tone-count");
    EXPECT_EQ(pictures([](auto& r) { r.differencesPercent = {}; }), "step-count");
    EXPECT_EQ(pictures([](auto& r) { r.differencesPercent = {11}; }), "step-out-of-range");
    EXPECT_EQ(pictures([](auto& r) {
                  r.title = {"X", ""};
                  r.page = {80, 70, 5};
              }),
              "page-too-small");

    const auto choice = [](auto change) {
        ChoiceRequest request{.title = kTitle, .page = kA4};
        change(request);
        return codeOf(choiceSheet(request));
    };
    EXPECT_EQ(choice([](auto&) {}), "none");
    EXPECT_EQ(choice([](auto& r) { r.tonePercent = 101; }), "tone-out-of-range");
    EXPECT_EQ(choice([](auto& r) { r.tonePercent = 99; }), "step-out-of-range");
    EXPECT_EQ(choice([](auto& r) { r.stepPercent = 0; }), "step-out-of-range");
    EXPECT_EQ(choice([](auto& r) { r.rings = 4; }), "rings-out-of-range");
    EXPECT_EQ(choice([](auto& r) {
                  r.title = {"X", ""};
                  r.page = {80, 60, 5};
              }),
              "page-too-small");
}

}  // namespace
}  // namespace greywright::sheet

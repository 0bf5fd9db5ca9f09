#include "sheet/sheet.h"

#include <algorithm>
#include <cmath>
#include <set>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "measure/read.h"
#include "measure/tones.h"
#include "sheet/design.h"
#include "sheet/lettering.h"
#include "sheet/sound.h"
#include "testing/near.h"

namespace greywright::sheet {
namespace {

using greywright::testing::allNear;
using greywright::testing::succeeded;

const Title kTitle{"Matt rag 21", "2031-04-05"};
const Page kA4{210, 297, 10};
const Page kCard{101.6, 152.4, 5};

std::vector<double> tonesOf(const Sheet& sheet) {
    std::vector<double> tones;
    for (const Patch& patch : sheet.patches) tones.push_back(patch.tonePercent);
    return tones;
}

TEST(Sheet, NothingOverlapsAndNothingLeavesThePage) {
    for (const std::string& name : pageNames()) {
        const auto page = pageByName(name);
        ASSERT_TRUE(succeeded(page));
        for (const std::size_t count : {11U, 21U, 51U, 101U}) {
            for (const Instrument instrument : {Instrument::strip, Instrument::spot}) {
                const auto sheet = rampSheet({.title = {"Matt rag", "2031-04-05"},
                                              .tonesPercent = evenTones(count),
                                              .instrument = instrument,
                                              .sizes = usualSizes(instrument),
                                              .page = *page});
                ASSERT_TRUE(succeeded(sheet)) << name;
                EXPECT_EQ(sheet->patches.size(), count);
                expectSound(*sheet);
            }
        }
        const auto eye = eyeSheet({.title = {"Matt rag", ""}, .page = *page});
        ASSERT_TRUE(succeeded(eye)) << name;
        EXPECT_EQ(eye->patches.size(), 20U);
        expectSound(*eye);
    }
}

TEST(Sheet, AllTonesAreThereInTheOrderAskedFor) {
    const auto tones = evenTones(101);
    const auto plain = rampSheet({.title = kTitle, .tonesPercent = tones, .page = kCard});
    ASSERT_TRUE(succeeded(plain));
    EXPECT_GT(plain->pages, 1);
    EXPECT_TRUE(allNear(tonesOf(*plain), tones, 0));

    const RampRequest request{.title = kTitle, .tonesPercent = tones, .shuffle = 7, .page = kCard};
    auto mixed = tonesOf(*rampSheet(request));
    EXPECT_EQ(mixed, tonesOf(*rampSheet(request))) << "a seed gives one order";
    auto other = request;
    other.shuffle = 8;
    EXPECT_NE(mixed, tonesOf(*rampSheet(other)));
    std::ranges::sort(mixed);
    EXPECT_TRUE(allNear(mixed, tones, 0));
}

TEST(Sheet, ShuffledNeighboursDiffer) {
    for (const std::uint64_t seed : {1U, 2U, 3U, 4U, 5U}) {
        const auto sheet =
            rampSheet({.title = kTitle, .tonesPercent = evenTones(101), .shuffle = seed, .page = kA4});
        ASSERT_TRUE(succeeded(sheet));
        for (std::size_t i = 1; i < sheet->patches.size(); ++i) {
            if (sheet->patches[i].at.y != sheet->patches[i - 1].at.y) continue;
            EXPECT_GE(std::abs(sheet->patches[i].tonePercent - sheet->patches[i - 1].tonePercent), 10);
        }
    }
}

TEST(Sheet, EveryStripBeginsAndEndsBesideWhatContrasts) {
    const auto sheet =
        rampSheet({.title = kTitle, .tonesPercent = evenTones(101), .shuffle = 3, .page = kA4});
    ASSERT_TRUE(succeeded(sheet));
    const auto toneAt = [&](double x, double y) {
        double tone = 0;
        for (const Mark& mark : sheet->marks) {
            if (x > mark.at.x && x < mark.at.x + mark.at.width && y > mark.at.y &&
                y < mark.at.y + mark.at.height)
                tone = mark.tonePercent;
        }
        return tone;
    };
    for (std::size_t i = 0; i < sheet->patches.size(); ++i) {
        const Patch& patch = sheet->patches[i];
        const double y = patch.at.y + 6;
        if (i == 0 || sheet->patches[i - 1].at.y != patch.at.y) {
            EXPECT_GE(std::abs(toneAt(patch.at.x - 4, y) - patch.tonePercent), 50) << patch.label;
        }
        if (i + 1 == sheet->patches.size() || sheet->patches[i + 1].at.y != patch.at.y) {
            EXPECT_GE(std::abs(toneAt(patch.at.x + 8 + 4, y) - patch.tonePercent), 50) << patch.label;
        }
    }
}

TEST(Sheet, BlocksOfAllPlacesTogetherLeaveOneAnotherAlone) {
    for (const Page& page : {kA4, kCard}) {
        BlockRequest request{.title = {"Matt rag", ""}, .page = page};
        const auto places = blockPlaces(request);
        ASSERT_TRUE(succeeded(places));
        EXPECT_EQ(*places, page.widthMm > 200 ? 24 : 6);
        Sheet together{.page = page};
        for (int place = 1; place <= *places; ++place) {
            request.place = place;
            request.trial = "Trial " + std::to_string(place);
            request.setting = "across=-12.5,up=0,density=3.5,more=2";
            const auto sheet = blockSheet(request);
            ASSERT_TRUE(succeeded(sheet));
            together.patches.insert(together.patches.end(), sheet->patches.begin(), sheet->patches.end());
            together.letterings.insert(together.letterings.end(), sheet->letterings.begin(),
                                       sheet->letterings.end());
            EXPECT_EQ(sheet->marks.empty(), place != 1) << "the heading is printed once";
            EXPECT_TRUE(std::ranges::any_of(
                sheet->letterings, [&](const Lettering& words) { return words.text == request.trial; }));
        }
        expectSound(together);
    }
}

TEST(Sheet, EyesAreToldNothingByTheOrderOfSides) {
    const auto one = eyeSheet({.title = kTitle, .seed = 1, .page = kA4});
    const auto other = eyeSheet({.title = kTitle, .seed = 2, .page = kA4});
    ASSERT_TRUE(succeeded(one));
    ASSERT_TRUE(succeeded(other));
    EXPECT_NE(one->code, other->code);
    std::set<char> sides;
    for (std::size_t i = 0; i < one->patches.size(); ++i) {
        // The label tells the side that the square is on: cells are 21 mm wide from the margin on.
        const RectMm& at = one->patches[i].at;
        const double inCell = std::fmod(at.x + at.width / 2 - kA4.marginMm, 21);
        EXPECT_EQ(one->patches[i].label.back(), inCell > 10.5 ? 'R' : 'L');
        sides.insert(one->patches[i].label.back());
    }
    EXPECT_EQ(sides.size(), 2U);
}

TEST(Sheet, TheCodeTellsDesignsApartAndNotOccasions) {
    RampRequest request{.title = kTitle, .tonesPercent = evenTones(21), .page = kA4};
    const std::string code = rampSheet(request)->code;
    EXPECT_EQ(code.size(), 6U);
    EXPECT_EQ(code.find_first_not_of("23456789ABCDEFGHJKLMNPQRSTUVWXYZ"), std::string::npos);
    request.title = {"Another", "2032-01-01"};
    EXPECT_EQ(rampSheet(request)->code, code);
    std::set<std::string> codes{code};
    request.shuffle = 1;
    codes.insert(rampSheet(request)->code);
    request.shuffle = 2;
    codes.insert(rampSheet(request)->code);
    request.sizes.lengthMm = 8.5;
    codes.insert(rampSheet(request)->code);
    request.tonesPercent[3] += 0.1;
    codes.insert(rampSheet(request)->code);
    request.page.marginMm = 11;
    codes.insert(rampSheet(request)->code);
    EXPECT_EQ(codes.size(), 6U);
}

// Source: the definition, round(65535 (1 - tone / 100)), worked out by hand.
TEST(Sheet, ATonesCodeIsLinear) {
    EXPECT_EQ(codeOfTone(0), 65535);
    EXPECT_EQ(codeOfTone(100), 0);
    EXPECT_EQ(codeOfTone(20), 52428);
    EXPECT_EQ(codeOfTone(99.5), 328);
    EXPECT_THROW((void)codeOfTone(100.1), ContractViolation);
    EXPECT_THROW((void)codeOfTone(std::nan("")), ContractViolation);
}

/// The definition with a measurement of each patch at the end of its row, as an instrument's program adds it.
std::string measured(const Sheet& sheet, const std::string& without) {
    std::string text = cgatsOfSheet(sheet);
    const auto replace = [&](const std::string& from, const std::string& to) {
        const std::size_t at = text.find(from);
        ASSERT_NE(at, std::string::npos) << from;
        text.replace(at, from.size(), to);
    };
    replace("NUMBER_OF_FIELDS 12", "NUMBER_OF_FIELDS 15");
    replace("HEIGHT_MM\nEND", "HEIGHT_MM\tLAB_L\tLAB_A\tLAB_B\nEND");
    for (std::size_t at = 0; !without.empty() && (at = text.find(without, at)) != std::string::npos;) {
        text.replace(at, without.size(), "OTHER_" + without.substr(0, 1));
    }
    std::size_t row = text.find("BEGIN_DATA\n") + 11;
    for (const Patch& patch : sheet.patches) {
        const std::size_t end = text.find('\n', row);
        const std::string lab = "\t" + std::to_string(95 - 0.75 * patch.tonePercent) + "\t0\t0";
        text.insert(end, lab);
        row = end + lab.size() + 1;
    }
    return text;
}

TEST(Sheet, ItsDefinitionTellsTonesToOurReader) {
    const auto sheet = rampSheet({.title = kTitle, .tonesPercent = evenTones(33), .shuffle = 5, .page = kA4});
    ASSERT_TRUE(succeeded(sheet));
    // By the tone, without it by GREY.
    for (const std::string without : {"", "TONE_PERCENT"}) {
        const auto reading = measure::readingFromBytes(measured(*sheet, without), "sheet.txt");
        ASSERT_TRUE(succeeded(reading)) << without;
        ASSERT_EQ(reading->patches.size(), 33U);
        const auto ramp = measure::rampFromReading(*reading);
        ASSERT_TRUE(succeeded(ramp)) << without;
        std::vector<double> tones;
        for (const auto& patch : ramp->patches) {
            tones.push_back(patch.tonePercent);
            EXPECT_NEAR(patch.lab.L, 95 - 0.75 * patch.tonePercent, 1e-5);
        }
        EXPECT_TRUE(allNear(tones, evenTones(33), 1e-9));
    }
}

TEST(Sheet, WhatCannotBeMadeIsRefused) {
    const auto ramp = [](auto change) {
        RampRequest request{.title = kTitle, .tonesPercent = evenTones(21), .page = kA4};
        change(request);
        return codeOf(rampSheet(request));
    };
    EXPECT_EQ(ramp([](auto&) {}), "none");
    EXPECT_EQ(ramp([](auto& r) { r.tonesPercent = evenTones(10); }), "tone-count");
    EXPECT_EQ(ramp([](auto& r) { r.tonesPercent = evenTones(102); }), "tone-count");
    EXPECT_EQ(ramp([](auto& r) { r.tonesPercent[4] = 100.5; }), "tone-out-of-range");
    EXPECT_EQ(ramp([](auto& r) { r.tonesPercent[4] = -1; }), "tone-out-of-range");
    EXPECT_EQ(ramp([](auto& r) { r.tonesPercent[4] = std::nan(""); }), "tone-out-of-range");
    EXPECT_EQ(ramp([](auto& r) { r.page = {40, 297, 0}; }), "page-out-of-range");
    EXPECT_EQ(ramp([](auto& r) { r.page.heightMm = INFINITY; }), "page-out-of-range");
    EXPECT_EQ(ramp([](auto& r) { r.page.marginMm = 106; }), "margin-too-large");
    EXPECT_EQ(ramp([](auto& r) { r.page.marginMm = -1; }), "margin-too-large");
    EXPECT_EQ(ramp([](auto& r) { r.sizes.lengthMm = 3; }), "size-out-of-range");
    EXPECT_EQ(ramp([](auto& r) { r.sizes.widthMm = 61; }), "size-out-of-range");
    EXPECT_EQ(ramp([](auto& r) { r.sizes.gapMm = 0; }), "size-out-of-range");
    EXPECT_EQ(ramp([](auto& r) { r.sizes.leadMm = -1; }), "size-out-of-range");
    EXPECT_EQ(ramp([](auto& r) {
                  r.page = {210, 60, 5};  // high enough for strips of 12 mm, not for these
                  r.sizes.widthMm = 30;
              }),
              "page-too-small");
    EXPECT_EQ(ramp([](auto& r) {
                  r.page = kCard;
                  r.sizes.leadMm = 40;
              }),
              "page-too-small");
    EXPECT_EQ(ramp([](auto& r) { r.title.name = "  "; }), "text-missing");
    EXPECT_EQ(ramp([](auto& r) { r.title.name = std::string(200, 'A'); }), "text-too-long");
    EXPECT_EQ(ramp([](auto& r) { r.title.date = std::string(200, '1'); }), "text-too-long");
    EXPECT_EQ(ramp([](auto& r) { r.title.name = "papier m\xC3\xA2t"; }), "text-not-drawable");
    EXPECT_EQ(codeOf(pageByName("A7")), "page-unknown");
    EXPECT_EQ(codeOf(pageByName("letter")), "none");

    const auto block = [](auto change) {
        BlockRequest request{.title = kTitle, .trial = "Trial 1", .setting = "across=0", .page = kA4};
        change(request);
        return codeOf(blockSheet(request));
    };
    EXPECT_EQ(block([](auto&) {}), "none");
    EXPECT_EQ(block([](auto& r) { r.places = 25; }), "places-out-of-range");
    EXPECT_EQ(block([](auto& r) { r.places = 0; }), "places-out-of-range");
    EXPECT_EQ(block([](auto& r) { r.place = 25; }), "place-out-of-range");
    EXPECT_EQ(block([](auto& r) { r.place = 0; }), "place-out-of-range");
    EXPECT_EQ(block([](auto& r) {
                  r.places = 8;
                  r.place = 9;
              }),
              "place-out-of-range");
    EXPECT_EQ(block([](auto& r) { r.page = {80, 60, 5}; }), "page-too-small");
    EXPECT_EQ(block([](auto& r) {
                  r.page = kCard;
                  r.places = 24;
              }),
              "page-too-small");
    EXPECT_EQ(block([](auto& r) { r.tonesPercent = {}; }), "tone-count");
    EXPECT_EQ(block([](auto& r) { r.tonesPercent = {1, 2, 3, 4, 5}; }), "tone-count");
    EXPECT_EQ(block([](auto& r) { r.sideMm = 5; }), "size-out-of-range");
    EXPECT_EQ(block([](auto& r) { r.trial = ""; }), "text-missing");
    EXPECT_EQ(block([](auto& r) { r.trial = std::string(60, 'T'); }), "text-too-long");
    EXPECT_EQ(block([](auto& r) { r.setting = std::string(60, 'T'); }), "text-too-long");
    EXPECT_EQ(block([](auto& r) { r.setting = "a?b"; }), "text-not-drawable");

    EXPECT_EQ(codeOf(eyeSheet({.title = kTitle, .lightTonesPercent = {1}, .page = kA4})), "tone-count");
    EXPECT_EQ(codeOf(eyeSheet({.title = kTitle, .darkTonesPercent = {99, 101}, .page = kA4})),
              "tone-out-of-range");
    EXPECT_EQ(codeOf(eyeSheet({.title = {"X", ""}, .page = {50, 60, 0}})), "page-too-small");
    EXPECT_EQ(codeOf(eyeSheet({.title = {"X", ""}, .page = {61, 90, 3}})), "page-too-small") << "words";
}

}  // namespace
}  // namespace greywright::sheet

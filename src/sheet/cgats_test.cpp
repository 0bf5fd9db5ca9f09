#include <cmath>
#include <string>
#include <string_view>
#include <vector>

#include <gtest/gtest.h>
#include <rapidcheck.h>

#include "measure/read.h"
#include "measure/tones.h"
#include "sheet/design.h"
#include "sheet/sheet.h"
#include "testing/near.h"

namespace greywright::sheet {
namespace {

using greywright::testing::succeeded;

bool same(const RectMm& one, const RectMm& other) {
    constexpr double kRounding = 0.0005 + 1e-9;
    return std::abs(one.x - other.x) < kRounding && std::abs(one.y - other.y) < kRounding &&
           std::abs(one.width - other.width) < kRounding && std::abs(one.height - other.height) < kRounding;
}

/// Any sheet of any kind that can be made.
Result<Sheet> anySheet() {
    const auto seed = *rc::gen::arbitrary<std::uint64_t>();
    const auto count = static_cast<std::size_t>(*rc::gen::inRange(11, 102));
    const auto page =
        *rc::gen::elementOf(std::vector<Page>{{210, 297, 10}, {101.6, 152.4, 5}, {215.9, 279.4, 0.37}});
    const Title title{*rc::gen::elementOf(std::vector<std::string>{"Matt rag", "a '#' b", "SAY  IT"}),
                      *rc::gen::elementOf(std::vector<std::string>{"", "2031-04-05"})};
    switch (*rc::gen::inRange(0, 7)) {
        case 0:
            return rampSheet(
                {.title = title, .tonesPercent = evenTones(count), .shuffle = seed, .page = page});
        case 1:
            return blockSheet({.title = title, .place = 2, .trial = "Trial 2", .page = page});
        case 2:
            return eyeSheet({.title = title, .seed = seed, .page = page});
        case 3:
            return eyePictureSheet({.title = title, .seed = seed, .page = page});
        case 4:
            return choiceSheet({.title = title, .seed = seed, .page = page});
        case 5:
            return cameraSheet(
                {.title = title, .tonesPercent = evenTones(count), .shuffle = seed, .page = page});
        default: {
            auto sheet = neutralSheet({.title = title,
                                       .tonesPercent = {12.3, 50, 81},
                                       .stepsPercent = {1.7, 4},
                                       .hasMarkers = seed % 2 == 0,
                                       .shuffle = seed,
                                       .page = page});
            if (!sheet) return std::move(sheet).error();
            return std::move(sheet->sheet);
        }
    }
}

TEST(Definition, AnySheetComesBack) {
    EXPECT_TRUE(rc::check("a sheet survives being written as text", [] {
        const auto sheet = anySheet();
        RC_ASSERT(sheet.has_value());
        const std::string text = cgatsOfSheet(*sheet);
        const auto back = sheetFromCgats(text);
        RC_ASSERT(back.has_value());
        RC_ASSERT(back->kind == sheet->kind);
        RC_ASSERT(back->name == sheet->name);
        RC_ASSERT(back->date == sheet->date);
        RC_ASSERT(back->code == sheet->code);
        RC_ASSERT(back->pages == sheet->pages);
        RC_ASSERT(back->page.widthMm == sheet->page.widthMm);
        RC_ASSERT(back->page.heightMm == sheet->page.heightMm);
        RC_ASSERT(back->page.marginMm == sheet->page.marginMm);
        RC_ASSERT(back->patches.size() == sheet->patches.size());
        for (std::size_t i = 0; i < sheet->patches.size(); ++i) {
            const Patch& one = sheet->patches[i];
            const Patch& other = back->patches[i];
            RC_ASSERT(other.label == one.label);
            RC_ASSERT(other.tonePercent == one.tonePercent);
            RC_ASSERT(other.page == one.page);
            RC_ASSERT(other.rgb == one.rgb);
            RC_ASSERT(same(other.at, one.at));
        }
        RC_ASSERT(back->markers.size() == sheet->markers.size());
        for (std::size_t i = 0; i < sheet->markers.size(); ++i) {
            RC_ASSERT(back->markers[i].number == sheet->markers[i].number);
            RC_ASSERT(back->markers[i].page == sheet->markers[i].page);
            RC_ASSERT(same(back->markers[i].at, sheet->markers[i].at));
        }
        RC_ASSERT(back->bare.size() == sheet->bare.size());
        for (std::size_t i = 0; i < sheet->bare.size(); ++i) {
            RC_ASSERT(back->bare[i].page == sheet->bare[i].page);
            RC_ASSERT(same(back->bare[i].at, sheet->bare[i].at));
        }
        RC_ASSERT(back->card.has_value() == sheet->card.has_value());
        if (sheet->card) RC_ASSERT(same(*back->card, *sheet->card));
        RC_ASSERT(cgatsOfSheet(*back) == text);
    }));
}

TEST(Definition, EveryCodeComesBack) {
    Sheet sheet{.kind = Kind::nearNeutral};
    for (int code = 0; code < 65536; code += 3) {
        const auto at = [&](int by) { return static_cast<std::uint16_t>((code + by) % 65536); };
        sheet.patches.push_back({.tonePercent = 50,
                                 .at = {1, 2, 3, 4},
                                 .label = std::to_string(code),
                                 .rgb = {{at(0), at(1), at(2)}}});
    }
    sheet.code = codeOfSheet(sheet);
    const auto back = sheetFromCgats(cgatsOfSheet(sheet));
    ASSERT_TRUE(succeeded(back));
    std::size_t wrong = 0;
    for (std::size_t i = 0; i < sheet.patches.size(); ++i)
        wrong += back->patches[i].rgb != sheet.patches[i].rgb;
    EXPECT_EQ(wrong, 0U);
}

// A camera's sheet measured with an instrument is a ramp; of a sheet of colours, only the greys are.
TEST(Definition, OurReaderTakesItsGreysForARampAndNoColours) {
    const auto measuredRamp = [](const Sheet& sheet, const std::string& fields, const std::string& more) {
        std::string text = cgatsOfSheet(sheet);
        const auto replace = [&](const std::string& from, const std::string& to) {
            const std::size_t at = text.find(from);
            ASSERT_NE(at, std::string::npos) << from;
            text.replace(at, from.size(), to);
        };
        replace("NUMBER_OF_FIELDS " + fields, "NUMBER_OF_FIELDS " + more);
        replace("HEIGHT_MM\nEND", "HEIGHT_MM\tLAB_L\tLAB_A\tLAB_B\nEND");
        std::size_t row = text.find("BEGIN_DATA\n") + 11;
        for (const Patch& patch : sheet.patches) {
            const std::size_t end = text.find('\n', row);
            const std::string lab = "\t" + std::to_string(95 - 0.75 * patch.tonePercent) + "\t0\t0";
            text.insert(end, lab);
            row = end + lab.size() + 1;
        }
        return measure::readingFromBytes(text, "sheet.txt");
    };
    const auto camera = cameraSheet(
        {.title = {"Rag", ""}, .tonesPercent = evenTones(21), .shuffle = 1, .page = {210, 297, 10}});
    ASSERT_TRUE(succeeded(camera));
    const auto reading = measuredRamp(*camera, "12", "15");
    ASSERT_TRUE(succeeded(reading));
    const auto ramp = measure::rampFromReading(*reading);
    ASSERT_TRUE(succeeded(ramp));
    EXPECT_EQ(ramp->patches.size(), 21U);

    const auto neutral = neutralSheet({.title = {"Rag", ""}, .page = {210, 297, 10}});
    ASSERT_TRUE(succeeded(neutral));
    const auto colours = measuredRamp(neutral->sheet, "11", "14");
    ASSERT_TRUE(succeeded(colours));
    EXPECT_EQ(colours->patches.size(), neutral->sheet.patches.size());
    const auto greys = measure::rampFromReading(*colours);
    ASSERT_TRUE(succeeded(greys));
    std::vector<double> tones;
    for (const auto& patch : greys->patches) tones.push_back(patch.tonePercent);
    EXPECT_TRUE(greywright::testing::allNear(tones, evenTones(11), 0.001));
}

TEST(Definition, WhatIsNoneOrDamagedIsToldWithItsLine) {
    const auto sheet =
        cameraSheet({.title = {"Rag", ""}, .tonesPercent = evenTones(11), .page = {210, 297, 10}});
    ASSERT_TRUE(succeeded(sheet));
    const std::string text = cgatsOfSheet(*sheet);
    ASSERT_TRUE(succeeded(sheetFromCgats(text)));
    const auto lineOf = [&](std::string_view words) {
        std::size_t line = 1;
        for (std::size_t i = 0; i < text.find(words); ++i) line += text[i] == '\n';
        return line;
    };
    const auto expectRefused = [](const std::string& changed, const std::string& code, std::size_t line) {
        const auto result = sheetFromCgats(changed);
        ASSERT_FALSE(result) << changed.substr(0, 200);
        EXPECT_EQ(result.error().code, code);
        EXPECT_EQ(result.error().kind, ErrorKind::badInput);
        EXPECT_EQ(result.error().where.line, line) << result.error().text();
    };
    const auto with = [&](std::string_view from, std::string_view to) {
        std::string changed = text;
        changed.replace(text.find(from), from.size(), to);
        return changed;
    };
    expectRefused("", "sheet-not-recognised", 1);
    expectRefused("CGATS.17\nORIGINATOR \"Another\"\n", "sheet-not-recognised", 2);
    expectRefused(with("SHEET_KIND \"camera\"", "SHEET_KIND \"poster\""), "sheet-damaged",
                  lineOf("SHEET_KIND \"camera\""));
    expectRefused(with("SHEET_CARD \"", "SHEET_CARD \"a "), "sheet-damaged", lineOf("SHEET_CARD \""));
    expectRefused(with("SHEET_BARE \"1 ", "SHEET_BARE \"2 "), "sheet-damaged", lineOf("SHEET_BARE \""));
    expectRefused(with("SHEET_MARKER \"1 ", "SHEET_MARKER \"1 9999"), "sheet-damaged",
                  lineOf("SHEET_MARKER \""));
    expectRefused(with("TONE_PERCENT\tGREY", "TONE_PERCENT\tGRAY"), "sheet-damaged", lineOf("SAMPLE_ID\t"));
    expectRefused(with("NUMBER_OF_SETS 11", "NUMBER_OF_SETS 12"), "sheet-damaged", lineOf("END_DATA\n"));
    expectRefused(with("\t10\t10\t229.5", "\t10\t11\t229.5"), "sheet-damaged", lineOf("\"A2\""));
    expectRefused(with("\t10\t10\t229.5", "\t101\t101\t229.5"), "sheet-damaged", lineOf("\"A2\""));
    // A tone that could be one, but is not the one that the code was given for.
    expectRefused(with("\t10\t10\t229.5", "\t12\t12\t229.5"), "sheet-damaged", lineOf("END_DATA\n"));
    expectRefused(text.substr(0, text.find("END_DATA\n")), "sheet-damaged", lineOf("END_DATA\n"));
    expectRefused(text + "more\n", "sheet-damaged", lineOf("END_DATA\n"));
    // What lies off the page, twice the same marker, and more places than any design has.
    expectRefused(with("PAGE_WIDTH_MM \"210", "PAGE_WIDTH_MM \"110"), "sheet-damaged",
                  lineOf("SHEET_MARKER \"") + 1);  // the first lies on the left
    const std::size_t at = text.find("SHEET_MARKER \"");
    const std::string marker = text.substr(at, text.find('\n', at) + 1 - at);
    expectRefused(with(marker, marker + marker), "sheet-damaged", lineOf(marker) + 1);
    const std::size_t bareAt = text.find("SHEET_BARE \"");
    const std::string bare = text.substr(bareAt, text.find('\n', bareAt) + 1 - bareAt);
    // Bare paper where something is printed: all of the page, and a patch's own place.
    expectRefused(with(bare, "SHEET_BARE \"1 0 0 210 297\"\n"), "sheet-damaged", lineOf(bare));
    const RectMm& first = sheet->patches.front().at;
    expectRefused(with(bare, "SHEET_BARE \"1 " + std::to_string(first.x + 1) + " " +
                                 std::to_string(first.y + 1) + " 5 5\"\n"),
                  "sheet-damaged", lineOf("1\t\"" + sheet->patches.front().label + "\""));
    std::string many;
    for (int i = 0; i < 300'000; ++i) many += bare;
    expectRefused(with(bare, many), "sheet-damaged", lineOf(bare) + 2000);
}

TEST(SheetCgats, ReadsWhatAnEditorHasGivenItsOwnLineEnds) {
    const Sheet sheet =
        cameraSheet({.title = {"Rag", ""}, .tonesPercent = evenTones(11), .page = {210, 297, 10}}).value();
    std::string text;
    for (const char c : cgatsOfSheet(sheet)) text += c == '\n' ? std::string("\r\n") : std::string(1, c);
    const auto read = sheetFromCgats(text);
    ASSERT_TRUE(succeeded(read));
    EXPECT_EQ(cgatsOfSheet(*read), cgatsOfSheet(sheet));
}

}  // namespace
}  // namespace greywright::sheet

#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

#include "core/contract.h"
#include "figure/gallery.h"
#include "figure/inspect.h"
#include "figure/layout.h"
#include "figure/style.h"

namespace greywright::figure {
namespace {

using gallery::kNaN;
using inspect::all;
using inspect::expectOnPage;
using inspect::expectTextsApart;
using inspect::says;

std::vector<Polygon> filled(const Scene& scene) {
    auto polygons = all<Polygon>(scene);
    std::erase_if(polygons, [](const Polygon& polygon) { return !polygon.fill; });
    return polygons;
}

// Source: contrast ratio of at least 4.5 for small text, WCAG 2.1 (W3C 2018), 1.4.3.
TEST(Cells, NumbersAreLegibleOnEveryFill) {
    const auto linear = [](std::uint8_t code) {
        const double v = code / 255.0;
        return v <= 0.04045 ? v / 12.92 : std::pow((v + 0.055) / 1.055, 2.4);
    };
    const auto luminance = [&](Rgb c) {
        return 0.2126 * linear(c.r) + 0.7152 * linear(c.g) + 0.0722 * linear(c.b);
    };
    double before = 2;
    for (int i = 0; i <= 1000; ++i) {
        const Rgb fill = cellRamp(i / 1000.0);
        const double of = luminance(fill);
        const double text = luminance(textColourOn(fill));
        EXPECT_GE((std::max(of, text) + 0.05) / (std::min(of, text) + 0.05), 4.5) << i;
        EXPECT_LE(of, before) << "a larger share is never lighter: " << i;
        before = of;
    }
    EXPECT_EQ(textColourOn(cellRamp(0)), Rgb{});
    EXPECT_EQ(textColourOn(cellRamp(1)), kWhite);
}

TEST(Cells, ALargerShareIsDarkerAndEveryCellSaysItsOwn) {
    const Scene scene =
        sceneFromCells({.columns = {"first", "second"}, .rows = {{"one", {0.1, 0.304}}, {"other", {1, 0}}}});
    const auto boxes = filled(scene);
    ASSERT_EQ(boxes.size(), 4U);
    const auto numberIn = [&](const Polygon& box) {
        const Rect area{box.rings[0][0].x, box.rings[0][0].y, box.rings[0][2].x - box.rings[0][0].x,
                        box.rings[0][2].y - box.rings[0][0].y};
        std::string found;
        for (const Text& text : all<Text>(scene)) {
            if (area.contains(textBox(text))) found += text.text;
        }
        return found;
    };
    EXPECT_EQ(numberIn(boxes[0]), "10");
    EXPECT_EQ(numberIn(boxes[1]), "30");
    EXPECT_EQ(numberIn(boxes[2]), "100");
    EXPECT_EQ(numberIn(boxes[3]), "0");
    EXPECT_LT(boxes[2].fill->colour.r, boxes[1].fill->colour.r);
    EXPECT_LT(boxes[1].fill->colour.r, boxes[0].fill->colour.r);
    EXPECT_EQ(boxes[3].fill->colour, cellRamp(0));
    for (const char* name : {"first", "second", "one", "other"}) EXPECT_TRUE(says(scene, name)) << name;
    EXPECT_EQ(scene.description, "Largest share: one 30 % at second; other 100 % at first.");
}

TEST(Cells, WhatIsNotKnownIsNoShareOfNothing) {
    const Scene scene = sceneFromCells({.columns = {"a", "b"}, .rows = {{"row", {kNaN, 0}}}});
    EXPECT_EQ(filled(scene).size(), 1U);
    EXPECT_TRUE(says(scene, "–"));
    EXPECT_TRUE(says(sceneFromCells({.columns = {"a"}}), "No data"));
    EXPECT_EQ(sceneFromCells({.columns = {"a"}, .rows = {{"row", {kNaN}}}}).description, "No data");
}

TEST(Cells, AFrameGoesAroundTheMarkedCellOnly) {
    Cells table = gallery::cells();
    table.marked = Cells::Place{1, 2};
    const Scene scene = sceneFromCells(table);
    const auto& last = std::get<Polygon>(scene.primitives.back());
    ASSERT_TRUE(last.stroke && !last.fill);
    std::size_t inside = 0;
    for (const Polygon& box : filled(scene)) {
        const Point corner = box.rings[0][0];
        if (corner.x > last.rings[0][0].x && corner.x < last.rings[0][2].x && corner.y > last.rings[0][0].y &&
            corner.y < last.rings[0][2].y)
            ++inside;
    }
    EXPECT_EQ(inside, 1U);
}

TEST(Cells, ManyColumnsAndLongWordsStayOnThePage) {
    for (const std::size_t columns : {1U, 2U, 12U, 40U, 300U}) {
        for (const std::size_t apart : {std::size_t{0}, std::size_t{1}, columns}) {
            SCOPED_TRACE(columns);
            Cells table{.title = std::string(120, 'W'),
                        .columnsTitle = "the name of all these columns together, which is long",
                        .columnsApart = apart,
                        .marked = Cells::Place{1, columns - 1},
                        .widthPt = 150};
            for (std::size_t i = 0; i < columns; ++i)
                table.columns.push_back("an exceptionally wide column " + std::to_string(i));
            table.rows = {{"a name much longer than there is room for", std::vector(columns, 1.0)},
                          {"", std::vector(columns, 0.0)}};
            const Scene scene = sceneFromCells(table);
            expectOnPage(scene);
            expectTextsApart(scene);
            EXPECT_EQ(filled(scene).size(), 2 * columns);
        }
    }
}

TEST(Cells, ShapesThatDoNotFitAreAProgrammersMistake) {
    EXPECT_THROW((void)sceneFromCells({.columns = {"a"}, .rows = {{"row", {0.1, 0.2}}}}), ContractViolation);
    EXPECT_THROW((void)sceneFromCells({.columns = {"a"}, .rows = {{"row", {1.1}}}}), ContractViolation);
    EXPECT_THROW((void)sceneFromCells({.columns = {"a"}, .rows = {{"row", {0.1}}}, .columnsApart = 2}),
                 ContractViolation);
    EXPECT_THROW(
        (void)sceneFromCells({.columns = {"a"}, .rows = {{"row", {0.1}}}, .marked = Cells::Place{0, 1}}),
        ContractViolation);
}

}  // namespace
}  // namespace greywright::figure

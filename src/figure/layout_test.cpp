#include "figure/layout.h"

#include <algorithm>
#include <cmath>
#include <random>

#include <gtest/gtest.h>

#include "core/contract.h"
#include "figure/gallery.h"
#include "figure/inspect.h"
#include "figure/place_labels.h"

namespace greywright::figure {
namespace {

using gallery::kNaN;
using inspect::all;
using inspect::expectOnPage;
using inspect::expectTextsApart;
using inspect::says;

std::vector<Circle> discs(const Scene& scene) {
    auto circles = all<Circle>(scene);
    std::erase_if(circles, [](const Circle& circle) { return circle.radiusPt != 2.4; });
    return circles;
}

TEST(Layout, EverySampleStaysOnItsPageAndKeepsItsWordsApart) {
    for (const auto& [name, scene] : gallery::scenes()) {
        SCOPED_TRACE(name);
        EXPECT_FALSE(scene.primitives.empty());
        expectOnPage(scene);
        expectTextsApart(scene);
    }
}

TEST(Layout, StaysOnThePageForAnyDataSizeAndWords) {
    std::mt19937_64 random(11);
    std::uniform_real_distribution<double> unit(-1, 1);
    std::uniform_real_distribution<double> exponent(-12, 12);
    const std::string words = "A name & title that is rather longer than anybody would sensibly wish for, Ω ";
    for (int trial = 0; trial < 400; ++trial) {
        SCOPED_TRACE(trial);
        Plot plot{.title = words.substr(0, static_cast<std::size_t>(trial % 80)),
                  .x = {.title = words.substr(0, static_cast<std::size_t>(trial * 7 % 60)), .unit = "%"},
                  .y = {.title = words.substr(0, static_cast<std::size_t>(trial * 3 % 70)), .unit = "u"},
                  .equalAspect = trial % 3 == 0,
                  .legend = static_cast<LegendPlace>(trial % 5),
                  .widthPt = 220.0 + trial,
                  .heightPt = 120.0 + (trial * 37) % 300};
        const double scaleX = std::pow(10.0, exponent(random));
        const double scaleY = std::pow(10.0, exponent(random));
        const double offset = unit(random) * 10 * scaleY;
        Line line{.name = words.substr(0, static_cast<std::size_t>(trial % 70)),
                  .naming = trial % 2 == 0 ? Naming::direct : Naming::legend,
                  .marker = static_cast<Marker>(trial % 7)};
        Points points{.name = "points"};
        for (int i = 0; i < 12; ++i) {
            line.points.push_back({scaleX * i, offset + scaleY * unit(random)});
            if (trial % 5 == 1 && i % 4 == 2) line.points.back().y = kNaN;
            points.points.push_back({scaleX * 12 * unit(random), offset + scaleY * unit(random)});
            points.labels.push_back(words.substr(0, static_cast<std::size_t>(i * trial % 30)));
            points.errorX.push_back(scaleX * unit(random));
            points.errorY.push_back(scaleY);
        }
        plot.series = {Ellipse{.centre = line.points[0],
                               .semiAxis1 = scaleX,
                               .semiAxis2 = scaleY,
                               .angleDegrees = 90 * unit(random),
                               .name = "e",
                               .label = "rim",
                               .fillOpacity = 0.1},
                       line, points, ReferenceLine{.at = offset, .label = words},
                       Annotation{line.points[3], words}};
        if (trial % 4 == 1) plot.x.range = Range{-scaleX, scaleX * 5};
        if (trial % 4 >= 2) plot.y.range = Range{offset - scaleY / 3, offset + scaleY / 3};
        const Scene scene = sceneFromPlot(plot);
        expectOnPage(scene);
        EXPECT_GE(scene.widthPt, plot.widthPt);
        if (HasFailure()) return;
    }
}

TEST(Layout, AHigherValueStandsHigherAndAGreaterOneFurtherRight) {
    const auto found = discs(sceneFromPlot({.series = {Points{.points = {{1, 5}, {2, 9}, {3, -4}}}}}));
    ASSERT_EQ(found.size(), 3U);
    EXPECT_LT(found[1].centre.y, found[0].centre.y);
    EXPECT_GT(found[2].centre.y, found[0].centre.y);
    EXPECT_LT(found[0].centre.x, found[1].centre.x);
    EXPECT_NEAR(found[1].centre.x - found[0].centre.x, found[2].centre.x - found[1].centre.x, 1e-9)
        << "axes are linear";
}

TEST(Layout, DataMeetTheirTicks) {
    // The point at a tick's value stands at the tick's words.
    const Scene scene = sceneFromPlot({.series = {Points{.points = {{0, 0}, {20, 40}, {100, 100}}}}});
    const auto found = discs(scene);
    ASSERT_EQ(found.size(), 3U);
    int seen = 0;
    for (const Text& text : all<Text>(scene)) {
        if (text.text == "20" && text.anchor == Anchor::middle) {
            EXPECT_NEAR(text.at.x, found[1].centre.x, 1e-9);
            ++seen;
        }
        if (text.text == "40" && text.anchor == Anchor::end) {
            EXPECT_NEAR(textBox(text).centre().y, found[1].centre.y, 1.0);
            ++seen;
        }
    }
    EXPECT_EQ(seen, 2);
}

TEST(Layout, OneUnitIsAsLongOnBothTiedAxes) {
    for (const bool given : {false, true}) {
        Plot plot{.series = {Points{.points = {{0, 0}, {3, 0}, {0, 3}}}, Annotation{{7, 1}, "far"}},
                  .equalAspect = true,
                  .widthPt = 500,
                  .heightPt = 260};
        if (given) {
            plot.x.range = Range{-1, 4};
            plot.y.range = Range{-5, 8};
        }
        const auto found = discs(sceneFromPlot(plot));
        ASSERT_EQ(found.size(), 3U);
        EXPECT_NEAR(found[1].centre.x - found[0].centre.x, found[0].centre.y - found[2].centre.y, 1e-9);
    }
}

TEST(Layout, ATiedCircleIsRound) {
    const Scene scene = sceneFromPlot(
        {.series = {Ellipse{.centre = {2, -7}, .semiAxis1 = 3, .semiAxis2 = 3, .fillOpacity = 0.5}},
         .equalAspect = true,
         .widthPt = 300,
         .heightPt = 500});
    const auto polygons = all<Polygon>(scene);
    ASSERT_EQ(polygons.size(), 1U);
    const auto& ring = polygons[0].rings.at(0);
    Point centre;
    for (const Point p : ring) {
        centre = {centre.x + p.x / static_cast<double>(ring.size()),
                  centre.y + p.y / static_cast<double>(ring.size())};
    }
    const double radius = std::hypot(ring[0].x - centre.x, ring[0].y - centre.y);
    for (const Point p : ring) EXPECT_NEAR(std::hypot(p.x - centre.x, p.y - centre.y), radius, 1e-6);
}

TEST(Layout, AGapInTheDataIsAGapInTheLine) {
    const std::vector<XY> broken{{0, 1}, {1, 2}, {2, kNaN}, {3, 2}, {4, 1}, {5, kNaN}, {6, 3}, {kNaN, 2}};
    const auto inPlot = [&](const std::vector<XY>& points) {
        const Scene scene = sceneFromPlot({.series = {Line{.points = points, .widthPt = 1.75}}});
        auto lines = all<Polyline>(scene);
        std::erase_if(lines, [](const Polyline& line) { return line.stroke.widthPt != 1.75; });
        const auto dots = all<Circle>(scene);
        return std::pair{lines.size(), dots.size()};
    };
    EXPECT_EQ(inPlot(broken), (std::pair<std::size_t, std::size_t>{2, 1})) << "two pieces and a lone point";
    EXPECT_EQ(inPlot({{0, 1}, {1, 2}, {3, 2}}), (std::pair<std::size_t, std::size_t>{1, 0}));
}

TEST(Layout, WithoutDataItSaysSo) {
    EXPECT_TRUE(says(sceneFromPlot({.title = "Empty"}), "No data"));
    EXPECT_TRUE(says(sceneFromPlot(gallery::emptyPlot()), "No data"));
    EXPECT_TRUE(says(sceneFromPlot({.series = {Contours{.grid = {{}, {}, 2, 2, {kNaN, kNaN, kNaN, kNaN}}}}}),
                     "No data"));
    EXPECT_TRUE(says(sceneFromStrip({.title = "Empty", .rows = {{.name = "row"}}}), "No data"));
    EXPECT_FALSE(says(sceneFromPlot(gallery::tonePlot()), "No data"));
    for (const Polyline& line : all<Polyline>(sceneFromPlot(gallery::emptyPlot()))) {
        ADD_FAILURE() << "an axis of " << line.points.size() << " points without data";
    }
}

TEST(Layout, EverySeriesIsNamedOnce) {
    const Scene scene = sceneFromPlot(gallery::tintPlot());
    for (const char* name :
         {"a* (magenta +, green −)", "b* (yellow +, blue −)", "aim for a*", "aim for b*", "neutral"}) {
        const auto texts = all<Text>(scene);
        EXPECT_EQ(std::ranges::count(texts, name, &Text::text), 1) << name;
    }
    EXPECT_NE(scene.description.find("Tone"), std::string::npos);
    EXPECT_NE(scene.description.find("aim for b*"), std::string::npos);
}

TEST(Layout, TrialsOnTheMapAreNumberedAndTheMapEndsAtItsGrid) {
    const Scene scene = sceneFromPlot(gallery::settingsMap());
    for (const char* number : {"1", "2", "3", "4", "5"}) EXPECT_TRUE(says(scene, number));
    double left = 1e9;
    double axis = 1e9;
    for (const Polygon& polygon : all<Polygon>(scene)) {
        if (polygon.rings[0].size() < 50) continue;
        for (const auto& ring : polygon.rings) {
            for (const Point p : ring) left = std::min(left, p.x);
        }
    }
    for (const Polyline& line : all<Polyline>(scene)) {
        if (line.stroke.widthPt == 0.75 && line.points[0].x == line.points[1].x)
            axis = std::min(axis, line.points[0].x);
    }
    EXPECT_NEAR(left, axis, 1e-6);
}

TEST(Layout, ShapesThatDoNotFitAreAProgrammersMistake) {
    EXPECT_THROW((void)sceneFromPlot({.series = {Band{.x = {1, 2}, .low = {0}, .high = {1, 1}}}}),
                 ContractViolation);
    EXPECT_THROW((void)sceneFromPlot({.series = {Points{.points = {{1, 1}}, .labels = {"a", "b"}}}}),
                 ContractViolation);
    EXPECT_THROW((void)sceneFromPlot({.series = {Points{.points = {{1, 1}}, .errorY = {1, 2}}}}),
                 ContractViolation);
    EXPECT_THROW((void)sceneFromPlot({.series = {Points{.points = {{1, 1}}}}, .widthPt = 20}),
                 ContractViolation);
}

TEST(Strip, PatchesAreAsWideAsOneAnotherAndInTheirColours) {
    const Scene scene = sceneFromStrip(
        {.rows = {{.name = "r", .swatches = {{{1, 2, 3}, "a"}, {{4, 5, 6}, "b"}, {{7, 8, 9}, "c"}}}}});
    auto patches = all<Polygon>(scene);
    std::erase_if(patches, [](const Polygon& polygon) { return !polygon.fill; });
    ASSERT_EQ(patches.size(), 3U);
    EXPECT_EQ(patches[1].fill->colour, (Rgb{4, 5, 6}));
    for (const Polygon& patch : patches) {
        EXPECT_NEAR(patch.rings[0][1].x - patch.rings[0][0].x,
                    patches[0].rings[0][1].x - patches[0].rings[0][0].x, 1e-9);
    }
    EXPECT_TRUE(says(scene, "a") && says(scene, "b") && says(scene, "c"));
}

TEST(Strip, ManyPatchesAndLongNamesStayOnThePage) {
    Strip strip{.title = std::string(200, 'W'), .widthPt = 150};
    for (int i = 0; i < 240; ++i) {
        if (i % 120 == 0) strip.rows.push_back({.name = "a name much longer than there is room for"});
        strip.rows.back().swatches.push_back({{}, "patch " + std::to_string(i)});
    }
    const Scene scene = sceneFromStrip(strip);
    expectOnPage(scene);
    expectTextsApart(scene);
}

TEST(LabelPlacer, TakesTheFreePlaceAndRemembersIt) {
    LabelPlacer placer({0, 0, 100, 100});
    placer.avoid({0, 0, 50, 100}, 1);
    const std::vector<Rect> places{{10, 10, 20, 10}, {60, 10, 20, 10}, {95, 10, 20, 10}};
    EXPECT_EQ(placer.choose(places), 1U);
    EXPECT_EQ(placer.choose(places), 0U) << "the free one is taken now, outside is worse";
    EXPECT_EQ(placer.choose(std::vector<Rect>{{10, 40, 20, 10}}, 5.0), std::nullopt);
    const std::vector<Point> line{{60, 60}, {90, 60}};
    placer.avoid(line, 1);
    EXPECT_EQ(placer.choose(std::vector<Rect>{{65, 55, 10, 10}, {65, 70, 10, 10}}), 1U);
}

}  // namespace
}  // namespace greywright::figure

#pragma once

#include <cmath>
#include <limits>
#include <string>
#include <utility>
#include <vector>

#include "figure/layout.h"
#include "figure/plot.h"

/// Sample figures of an invented print, for tests and for looking at.
namespace greywright::figure::gallery {

inline constexpr double kNaN = std::numeric_limits<double>::quiet_NaN();

inline double sampleTone(double t) {
    return 96.5 - 80.2 * (t + 0.09 * std::sin(3.14159 * t));
}

inline Plot tonePlot() {
    Line measured{.name = "measured", .naming = Naming::direct, .marker = Marker::circle};
    Line aim{.points = {{0, 96.5}, {100, 16.3}},
             .name = "even aim",
             .naming = Naming::direct,
             .ink = Ink::petrol,
             .dash = Dash::longDashed};
    Band band{.name = "instrument's repeatability, two standard deviations"};
    for (int i = 0; i <= 20; ++i) {
        const double t = i / 20.0;
        measured.points.push_back({100 * t, sampleTone(t)});
        band.x.push_back(100 * t);
        band.low.push_back(96.5 - 80.2 * t - 1.5);
        band.high.push_back(96.5 - 80.2 * t + 1.5);
    }
    return {.title = "Tone: lightness along the ramp",
            .x = {.title = "Tone", .unit = "%"},
            .y = {.title = "L*", .range = Range{0, 100}},
            .series = {band, aim, measured, ReferenceLine{.at = 16.3, .label = "maximum black, L* 16.3"},
                       Annotation{{50, sampleTone(0.5)}, "7.2 darker than even"}}};
}

inline double sampleA(double t) {
    return 0.4 - 0.9 * t + 0.25 * std::sin(9 * t);
}
inline double sampleB(double t) {
    return -3.6 * (1 - t) + 1.1 * std::sin(5 * t) * t + 0.1 * std::cos(31 * t);
}

inline Plot tintPlot() {
    Line a{.name = "a* (magenta +, green −)", .naming = Naming::direct, .ink = Ink::petrol, .widthPt = 1.4};
    Line b{.name = "b* (yellow +, blue −)",
           .naming = Naming::direct,
           .ink = Ink::copper,
           .dash = Dash::dashed,
           .widthPt = 1.4};
    Line aimA{.name = "aim for a*", .ink = Ink::petrol, .dash = Dash::dotted, .widthPt = 0.9};
    Line aimB{.name = "aim for b*", .ink = Ink::copper, .dash = Dash::dashDotted, .widthPt = 0.9};
    Band noticeA{
        .name = "not noticed by half the viewers beside a neutral (a*)", .ink = Ink::petrol, .opacity = 0.12};
    Band noticeB{.name = "the same (b*)", .ink = Ink::copper, .opacity = 0.14};
    for (int i = 0; i <= 50; ++i) {
        const double t = i / 50.0;
        a.points.push_back({100 * t, sampleA(t)});
        b.points.push_back({100 * t, sampleB(t)});
        aimA.points.push_back({100 * t, 0.4 * (1 - 0.85 * t)});
        aimB.points.push_back({100 * t, -3.6 * (1 - 0.85 * t)});
        for (auto* band : {&noticeA, &noticeB}) {
            const double aim = (band == &noticeA ? aimA : aimB).points.back().y;
            band->x.push_back(100 * t);
            band->low.push_back(aim - 0.5);
            band->high.push_back(aim + 0.5);
        }
    }
    return {.title = "Tint along the ramp",
            .x = {.title = "Tone", .unit = "%"},
            .y = {.title = "a*, b*", .unit = "CIELAB units, D50, 2°"},
            .series = {noticeA, noticeB, aimA, aimB, a, b, ReferenceLine{.at = 0, .label = "neutral"}}};
}

inline Plot pathPlot() {
    Line path{.name = "paper to black", .ink = Ink::petrol, .widthPt = 1.3};
    Points tones{.name = "tone in %", .ink = Ink::petrol, .marker = Marker::square};
    for (int i = 0; i <= 50; ++i) {
        const double t = i / 50.0;
        path.points.push_back({sampleA(t), sampleB(t)});
        if (i % 5 != 0) continue;
        tones.points.push_back({sampleA(t), sampleB(t)});
        tones.labels.push_back(std::to_string(i * 2));
    }
    return {.title = "Tint in the a*b* plane",
            .x = {.title = "a*"},
            .y = {.title = "b*"},
            .series = {Ellipse{.semiAxis1 = 1,
                               .semiAxis2 = 1,
                               .name = "noticed by half the viewers",
                               .label = "noticed",
                               .fillOpacity = 0.06},
                       ReferenceLine{.at = 0},
                       ReferenceLine{.at = 0, .across = ReferenceLine::Across::upright}, path, tones},
            .equalAspect = true,
            .widthPt = 380,
            .heightPt = 380};
}

inline Plot settingsMap() {
    Contours map{.grid = {.x = {-50, 50}, .y = {-50, 50}, .columns = 101, .rows = 101},
                 .levels = {0.5, 1, 1.5, 2, 3, 4, 6, 8, 10},
                 .name = "predicted worst tint, ΔE00, light is better"};
    for (int row = -50; row <= 50; ++row) {
        for (int column = -50; column <= 50; ++column) {
            const double u = 0.13 * (column + 9) + 0.05 * (row - 4);
            const double v = -0.04 * (column + 9) + 0.17 * (row - 4);
            map.grid.values.push_back(0.42 + std::hypot(u, v) + 0.15 * std::sin(u) * std::cos(v));
        }
    }
    Points trials{.points = {{0, 0}, {-20, 10}, {-12, 2}, {-10, 3}, {30, -24}},
                  .labels = {"1", "2", "3", "4", "5"},
                  .name = "trials",
                  .radiusPt = 2.6};
    Points next{.points = {{-9, 4}},
                .labels = {"print next: across −9, up 4"},
                .name = "next setting",
                .ink = Ink::plum,
                .marker = Marker::diamond,
                .radiusPt = 4.2};
    Ellipse outline = ellipseFromCovariance({-9, 4}, 6.2, 2.1, 3.4, 2.146);
    outline.name = "where the best setting lies (90 %)";
    outline.ink = Ink::plum;
    return {.title = "Map of settings",
            .x = {.title = "across", .unit = "driver units"},
            .y = {.title = "up", .unit = "driver units"},
            .series = {map, outline, trials, next},
            .equalAspect = true,
            .grid = false,
            .widthPt = 400,
            .heightPt = 460};
}

inline Plot uncertainPlot() {
    Points drift{.points = {{0, 0.21}, {1, 0.25}, {2, kNaN}, {3, 0.44}, {4, 0.4}, {5, 0.71}},
                 .errorY = {0.1, 0.12, 0.1, 0.1, kNaN, 0.14},
                 .name = "glossy paper A & dye inks <old>",
                 .ink = Ink::plum};
    Line other{.points = {{0, 0.1}, {1, 0.12}, {2, kNaN}, {3, 0.09}, {4, kNaN}, {5, 0.2}},
               .name = "matt \"B\"",
               .ink = Ink::copper,
               .dash = Dash::dashed,
               .marker = Marker::triangle};
    return {.title =
                "Drift over half a year & what the bars mean: 90 % of repeated readings of one and the same "
                "patch would fall within them",
            .x = {.marks =
                      {{0, "January"}, {1, "February"}, {2, "March"}, {3, "April"}, {4, "May"}, {5, "June"}}},
            .y = {.title = "distance from the first print", .unit = "ΔE00"},
            .series = {drift, other, ReferenceLine{.at = 0.5, .label = "noticed by half the viewers"}},
            .legend = LegendPlace::topLeft};
}

inline Plot holedMap() {
    Contours map{.grid = {.x = {0, 4}, .y = {-1, 1}, .columns = 41, .rows = 21},
                 .name = "saddle with a hole"};
    for (int row = 0; row < 21; ++row) {
        for (int column = 0; column < 41; ++column) {
            const double x = column / 10.0 - 2;
            const double y = row / 10.0 - 1;
            map.grid.values.push_back(std::hypot(x + 1.2, y - 0.4) < 0.25 ? kNaN : x * x - 4 * y * y);
        }
    }
    return {.title = "A saddle", .x = {.title = "x"}, .y = {.title = "y"}, .series = {map}, .heightPt = 240};
}

inline Plot emptyPlot() {
    return {.title = "Nothing measured yet",
            .x = {.title = "Tone", .unit = "%"},
            .series = {Line{.points = {{kNaN, 1}, {2, kNaN}}, .name = "none"}, ReferenceLine{.at = 1}},
            .heightPt = 140};
}

inline Strip strip() {
    SwatchRow asMeasured{.name = "as measured"};
    SwatchRow neutral{.name = "neutral"};
    for (int i = 0; i <= 20; ++i) {
        const auto grey = static_cast<std::uint8_t>(246 - i * 10.6);
        neutral.swatches.push_back({Rgb{grey, grey, grey}, {}});
        asMeasured.swatches.push_back(
            {Rgb{grey, static_cast<std::uint8_t>(grey - 2), static_cast<std::uint8_t>(grey + 5)},
             std::to_string(i * 5) + " %"});
    }
    return {.title = "The ramp", .rows = {neutral, asMeasured}};
}

inline Cells cells() {
    Cells table{.title = "Who would notice, beside something neutral",
                .columnsTitle = "tone, %",
                .columns = {},
                .rows = {{.name = "living room"}, {.name = "north window"}, {.name = "not measured"}},
                .columnsApart = 1,
                .marked = Cells::Place{0, 5}};
    for (int i = 0; i <= 10; ++i) {
        const double t = i / 10.0;
        table.columns.push_back(std::to_string(10 * i));
        table.rows[0].fractions.push_back(std::sin(3.14159 * t));
        table.rows[1].fractions.push_back(0.4 * t * t);
        table.rows[2].fractions.push_back(i < 3 ? 0.02 * i : kNaN);
    }
    table.columns.emplace_back("whole print");
    for (CellRow& row : table.rows) row.fractions.push_back(row.fractions[5]);
    return table;
}

/// Every sample with a name.
inline std::vector<std::pair<std::string, Scene>> scenes() {
    return {{"tone", sceneFromPlot(tonePlot())},       {"tint", sceneFromPlot(tintPlot())},
            {"path", sceneFromPlot(pathPlot())},       {"map", sceneFromPlot(settingsMap())},
            {"drift", sceneFromPlot(uncertainPlot())}, {"saddle", sceneFromPlot(holedMap())},
            {"empty", sceneFromPlot(emptyPlot())},     {"strip", sceneFromStrip(strip())},
            {"cells", sceneFromCells(cells())}};
}

}  // namespace greywright::figure::gallery

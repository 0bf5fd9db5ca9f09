#include "studio/notice_figures.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <filesystem>
#include <numbers>
#include <string>

#include <gtest/gtest.h>

#include "core/contract.h"
#include "core/files.h"
#include "core/platform.h"
#include "figure/inspect.h"
#include "figure/layout.h"
#include "figure/svg.h"
#include "judge/sample.h"
#include "testing/near.h"

namespace greywright::studio {
namespace {

using figure::inspect::expectOnPage;
using figure::inspect::expectTextsApart;

/// A ramp of three coloured inks that make a grey for D50, a little red in the mid-tones.
measure::Ramp inkedRamp(double red) {
    return judge::sample::spectralRamp(21, [red](double tone, double nm) {
        const auto hump = [nm](double at, double width) { return std::exp(-std::pow((nm - at) / width, 2)); };
        const double uneven = 0.10 * hump(450, 28) - 0.07 * hump(500, 25) + 0.08 * hump(545, 22) -
                              0.05 * hump(585, 18) + red / (1 + std::exp((600 - nm) / 8));
        return judge::sample::greyReflectance(tone) * (1 + 4 * tone * (1 - tone) * uneven);
    });
}

judge::Verdict judged(double red, std::size_t viewers = 200) {
    judge::Options options{.viewers = judge::NoticeOptions{}};
    for (const std::string& name : judge::sceneNames())
        options.scenes.push_back(judge::sceneByName(name).value());
    options.viewers->population.count = viewers;
    return judge::judge(inkedRamp(red), options).value();
}

std::vector<double> tonesOf(const judge::Verdict& verdict) {
    std::vector<double> tones;
    for (const judge::PatchVerdict& patch : verdict.patches) tones.push_back(patch.tonePercent);
    return tones;
}

constexpr std::array<double, 11> kTenths{0, 10, 20, 30, 40, 50, 60, 70, 80, 90, 100};

// With GREYWRIGHT_GALLERY set to a folder the figures are written there to be looked at.
TEST(NoticeFigures, AreWholeAndKeepTheirWordsApart) {
    const judge::Verdict verdict = judged(0.012, 300);
    const judge::Notice& notice = *verdict.notice;
    const std::vector<std::pair<std::string, figure::Scene>> pages{
        {"lights-by-tones", sceneFromCells(lightsByTones(notice, tonesOf(verdict)))},
        {"lights-by-ages", sceneFromCells(lightsByAges(notice))},
        {"viewers-one", sceneFromPlot(viewersOnThePlane(notice.scenes[1]))},
        {"viewers-two", sceneFromPlot(viewersOnThePlane(notice))},
        {"magnified", sceneFromStrip(magnifiedTint(verdict.patches, kTenths, tintFactor(verdict.patches)))}};
    for (const auto& [name, page] : pages) {
        SCOPED_TRACE(name);
        if (const auto folder = platform::environment("GREYWRIGHT_GALLERY")) {
            ASSERT_TRUE(testing::succeeded(
                writeWholeFile(std::filesystem::path(*folder) / (name + ".svg"), svgFromScene(page, name))));
        }
        expectOnPage(page);
        expectTextsApart(page);
        EXPECT_FALSE(figure::inspect::says(page, "No data"));
    }
}

/// 51 tones, the first lent by another sheet; most notice at 34 % in the second scene.
judge::Notice madeUpNotice() {
    judge::Notice notice;
    for (const double height : {0.3, 0.8}) {
        judge::SceneNotice scene{.name = height < 0.5 ? "dim" : "bright", .beside = {height + 0.1, 0, 1}};
        for (int i = 0; i <= 50; ++i) {
            const double tone = 2.0 * i;
            scene.besideByTone.push_back(tone < 5 ? 0 : height * std::exp(-std::pow((tone - 34) / 30, 2)));
        }
        scene.spreadTonePercent = 34;
        notice.scenes.push_back(std::move(scene));
    }
    return notice;
}

std::vector<double> evenTones(int count) {
    std::vector<double> tones;
    tones.reserve(static_cast<std::size_t>(count));
    for (int i = 0; i < count; ++i) tones.push_back(100.0 * i / (count - 1));
    return tones;
}

/// As many tints as asked for, spread around a centre as a tilted ellipse, the same every time.
std::vector<colour::Tint> spreadAround(colour::Tint centre, int count) {
    std::vector<colour::Tint> tints;
    tints.reserve(static_cast<std::size_t>(count));
    for (int i = 0; i < count; ++i) {
        const double angle = 2.399963 * i;
        const double radius = std::sqrt((i + 0.5) / count);
        const double u = radius * std::cos(angle);
        const double v = radius * std::sin(angle);
        tints.push_back({centre.a + 0.6 * u + 0.1 * v, centre.b + 0.4 * u - 0.3 * v});
    }
    return tints;
}

template <typename Kind>
std::vector<Kind> all(const figure::Plot& plot) {
    std::vector<Kind> found;
    for (const figure::Series& series : plot.series) {
        if (const auto* one = std::get_if<Kind>(&series)) found.push_back(*one);
    }
    return found;
}

TEST(LightsByTones, ShowsTheWorstToneAndEachShareUnderItsOwn) {
    const judge::Notice notice = madeUpNotice();
    const std::vector<double> tones = evenTones(51);
    const figure::Cells cells = lightsByTones(notice, tones);
    ASSERT_EQ(cells.rows.size(), 2U);
    ASSERT_LE(cells.columns.size(), 12U);
    EXPECT_EQ(cells.columns.back(), "whole print");
    EXPECT_EQ(cells.columnsApart, 1U);
    ASSERT_TRUE(cells.marked);
    EXPECT_EQ(cells.rows[cells.marked->row].name, "bright");
    EXPECT_EQ(cells.columns[cells.marked->column], "34");
    for (std::size_t row = 0; row < 2; ++row) {
        for (std::size_t column = 0; column + 1 < cells.columns.size(); ++column) {
            const auto patch = static_cast<std::size_t>(std::stoi(cells.columns[column]) / 2);
            EXPECT_EQ(cells.rows[row].fractions[column], notice.scenes[row].besideByTone[patch]);
        }
        EXPECT_EQ(cells.rows[row].fractions.back(), notice.scenes[row].beside.value);
    }
}

TEST(LightsByTones, ToneByToneStaysApartOnThePageForAnyRamp) {
    for (const int count : {2, 3, 11, 12, 13, 22, 51, 240}) {
        SCOPED_TRACE(count);
        judge::Notice notice;
        judge::SceneNotice scene{.name = "room"};
        for (int i = 0; i < count; ++i) scene.besideByTone.push_back(i == 0 ? 0 : 1.0 / (1 + i));
        notice.scenes = {scene};
        const figure::Cells cells = lightsByTones(notice, evenTones(count));
        EXPECT_LE(cells.columns.size(), 12U);
        EXPECT_GE(cells.columns.size(), std::min<std::size_t>(7, static_cast<std::size_t>(count)));
        const figure::Scene page = sceneFromCells(cells);
        expectOnPage(page);
        expectTextsApart(page);
    }
}

TEST(LightsByTones, SaysSoWhereNothingWasJudged) {
    EXPECT_TRUE(figure::inspect::says(sceneFromCells(lightsByTones({}, {})), "No data"));
    judge::Notice paperOnly;
    paperOnly.scenes = {{.name = "room", .besideByTone = {0, 0}}};
    EXPECT_TRUE(lightsByTones(paperOnly, std::array{0.0, 50.0}).rows.empty());
    EXPECT_THROW((void)lightsByTones(madeUpNotice(), kTenths), ContractViolation);
}

TEST(LightsByAges, HasAColumnForEachAgeAndOneForAll) {
    judge::Notice notice;
    EXPECT_TRUE(lightsByAges(notice).rows.empty());
    judge::SceneNotice scene{.name = "room", .beside = {0.4, 0, 1}};
    scene.who.ages = {{20, 40, 0.6}, {40, 60, 0.3}, {60, 80, 0.2}};
    notice.scenes = {scene};
    notice.youngestYears = 25;
    notice.oldestYears = 75;
    const figure::Cells cells = lightsByAges(notice);
    EXPECT_EQ(cells.columns, (std::vector<std::string>{"25 to 39", "40 to 59", "60 to 75", "all"}));
    EXPECT_EQ(cells.rows.at(0).fractions, (std::vector{0.6, 0.3, 0.2, 0.4}));
    notice.scenes[0].who.ages.resize(1);
    EXPECT_TRUE(lightsByAges(notice).rows.empty()) << "one age is no comparison";
}

TEST(ViewersOnThePlane, TheOutlineHoldsNinetyFivePercent) {
    judge::SceneNotice scene{
        .name = "room", .spread = spreadAround({1.2, -0.7}, 300), .spreadTonePercent = 40};
    const figure::Plot plot = viewersOnThePlane(scene);
    EXPECT_TRUE(plot.equalAspect);
    const auto outlines = all<figure::Ellipse>(plot);
    ASSERT_EQ(outlines.size(), 1U);
    const figure::Ellipse& outline = outlines[0];
    const double angle = outline.angleDegrees * std::numbers::pi / 180;
    int inside = 0;
    for (const colour::Tint& tint : scene.spread) {
        const double x = tint.a - outline.centre.x;
        const double y = tint.b - outline.centre.y;
        const double u = (x * std::cos(angle) + y * std::sin(angle)) / outline.semiAxis1;
        const double v = (y * std::cos(angle) - x * std::sin(angle)) / outline.semiAxis2;
        if (u * u + v * v <= 1 + 1e-9) ++inside;
    }
    EXPECT_EQ(inside, 285);
    EXPECT_NEAR(outline.centre.x, 1.2, 0.02);
    EXPECT_NEAR(outline.centre.y, -0.7, 0.02);
}

TEST(ViewersOnThePlane, RedLiesToTheRightOfTheAimAndYellowAboveIt) {
    judge::SceneNotice scene{.name = "room", .spread = spreadAround({2, 3}, 40)};
    const figure::Scene page = sceneFromPlot(viewersOnThePlane(scene));
    const auto texts = figure::inspect::all<figure::Text>(page);
    const auto placeOf = [&](std::string_view words) {
        const auto found = std::ranges::find(texts, words, &figure::Text::text);
        EXPECT_NE(found, texts.end()) << words;
        return found == texts.end() ? figure::Point{} : found->at;
    };
    EXPECT_GT(placeOf("room, mean").x, placeOf("aim").x);
    EXPECT_LT(placeOf("room, mean").y, placeOf("aim").y) << "pages are counted from the top";
}

TEST(ViewersOnThePlane, ComparesTheSceneWhereFewestNoticeWithTheOneWhereMostDo) {
    judge::Notice notice;
    for (const double share : {0.4, 0.1, 0.9, 0.5}) {
        notice.scenes.push_back({.name = "scene " + std::to_string(static_cast<int>(10 * share)),
                                 .beside = {share, 0, 1},
                                 .spread = spreadAround({share, 0}, 30)});
    }
    std::string names;
    for (const figure::Points& points : all<figure::Points>(viewersOnThePlane(notice))) names += points.name;
    EXPECT_NE(names.find("scene 1"), std::string::npos);
    EXPECT_NE(names.find("scene 9"), std::string::npos);
    EXPECT_EQ(names.find("scene 4"), std::string::npos);
    notice.scenes.resize(1);
    EXPECT_EQ(all<figure::Ellipse>(viewersOnThePlane(notice)).size(), 1U);
    EXPECT_TRUE(figure::inspect::says(sceneFromPlot(viewersOnThePlane(judge::Notice{})), "No data"));
}

TEST(ViewersOnThePlane, EyesThatAreAllAlikeAreOnePoint) {
    const judge::SceneNotice scene{
        .name = "D50", .spread = std::vector<colour::Tint>(300, {0.2, -0.1}), .spreadTonePercent = 12.5};
    const figure::Plot plot = viewersOnThePlane(scene);
    EXPECT_TRUE(all<figure::Ellipse>(plot).empty());
    for (const figure::Points& points : all<figure::Points>(plot)) EXPECT_EQ(points.points.size(), 1U);
    const figure::Scene page = sceneFromPlot(plot);
    expectOnPage(page);
    expectTextsApart(page);
    EXPECT_TRUE(figure::inspect::says(page, "D50 at 12.5 % tone: all viewers alike"));
    EXPECT_GE(plot.x.range.value().span(), 2) << "next to nothing does not fill the page";
}

figure::Rgb asMeasured(const colour::Lab& lab) {
    const std::array patches{judge::PatchVerdict{.tonePercent = 50, .lab = lab}};
    return magnifiedTint(patches, std::array{50.0}, 1).rows.at(1).swatches.at(0).colour;
}

void expectColour(figure::Rgb found, figure::Rgb wanted) {
    EXPECT_NEAR(found.r, wanted.r, 1);
    EXPECT_NEAR(found.g, wanted.g, 1);
    EXPECT_NEAR(found.b, wanted.b, 1);
}

// Source: the primaries of sRGB adapted to D50 by Bradford as its ICC profile has them, and L* 50 as grey 119
// (common practice); CIELAB values from memory. Within one code: the figures have two decimals.
TEST(MagnifiedTint, IsInTheScreensColours) {
    expectColour(asMeasured({100, 0, 0}), {255, 255, 255});
    expectColour(asMeasured({50, 0, 0}), {119, 119, 119});
    expectColour(asMeasured({0, 0, 0}), {0, 0, 0});
    expectColour(asMeasured({54.29, 80.81, 69.89}), {255, 0, 0});
    expectColour(asMeasured({87.82, -79.29, 80.99}), {0, 255, 0});
    expectColour(asMeasured({29.57, 68.30, -112.03}), {0, 0, 255});
}

TEST(MagnifiedTint, ANeutralHasNoColourAtAnyLightness) {
    for (int i = 0; i <= 1000; ++i) {
        const figure::Rgb grey = asMeasured({0.1 * i, 0, 0});
        EXPECT_TRUE(grey.r == grey.g && grey.g == grey.b) << 0.1 * i;
    }
}

TEST(MagnifiedTint, OnlyTheDistanceFromTheAimGrows) {
    const std::array patches{judge::PatchVerdict{.tonePercent = 0, .lab = {96, 0.5, -4}, .aim = {0.5, -4}},
                             judge::PatchVerdict{.tonePercent = 50, .lab = {55, 1.5, -2}, .aim = {0.3, -2}},
                             judge::PatchVerdict{.tonePercent = 100, .lab = {16, 0, 0}, .aim = {0, 0}}};
    const figure::Strip strip = magnifiedTint(patches, std::array{0.0, 49.0, 51.0, 90.0}, 8);
    ASSERT_EQ(strip.rows.size(), 3U);
    EXPECT_EQ(strip.rows[2].name, "tint × 8");
    for (const figure::SwatchRow& row : strip.rows) ASSERT_EQ(row.swatches.size(), 3U);
    for (const std::size_t onAim : {0U, 2U}) {
        for (const figure::SwatchRow& row : strip.rows)
            EXPECT_EQ(row.swatches[onAim].colour, strip.rows[0].swatches[onAim].colour);
    }
    const auto redness = [&](std::size_t row) {
        const figure::Rgb colour = strip.rows[row].swatches[1].colour;
        return static_cast<int>(colour.r) - static_cast<int>(colour.g);
    };
    EXPECT_GT(redness(1), redness(0));
    EXPECT_GT(redness(2), redness(1) + 5);
    EXPECT_EQ(strip.rows[2].swatches[1].colour, asMeasured({55, 0.3 + 8 * 1.2, -2}));
    EXPECT_EQ(strip.rows[2].swatches[1].label, "50 %");
    EXPECT_EQ(magnifiedTint(patches, kTenths, 1).rows.size(), 2U) << "the same row twice tells nothing";
    EXPECT_THROW((void)magnifiedTint(patches, kTenths, 0.5), ContractViolation);
    EXPECT_TRUE(figure::inspect::says(sceneFromStrip(magnifiedTint({}, kTenths, 2)), "No data"));
}

TEST(TintFactor, BringsTheLargestTintNearTen) {
    const auto factorOf = [](double tint) {
        return tintFactor(
            std::array{judge::PatchVerdict{.lab = {90, 0.1 * tint, 1}, .aim = {0, 1}},
                       judge::PatchVerdict{.lab = {50, 2 + 0.6 * tint, 1 - 0.8 * tint}, .aim = {2, 1}}});
    };
    double before = 20;
    for (int step = 0; step < 68; ++step) {
        const double tint = 0.5 * std::pow(1.05, step);  // to 13.1
        const double factor = factorOf(tint);
        EXPECT_GE(factor * tint, 10 / std::numbers::sqrt2 - 1e-9) << tint;
        EXPECT_LE(factor * tint, 10 * std::numbers::sqrt2 + 1e-9) << tint;
        EXPECT_LE(factor, before);
        before = factor;
    }
    EXPECT_EQ(factorOf(2), 5);
    EXPECT_EQ(factorOf(40), 1) << "never made smaller";
    EXPECT_EQ(factorOf(0.01), 20) << "noise is not blown up without end";
    EXPECT_EQ(factorOf(0), 20);
}

}  // namespace
}  // namespace greywright::studio

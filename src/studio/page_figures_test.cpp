#include "studio/page_figures.h"

#include <cmath>
#include <filesystem>
#include <set>
#include <string>

#include <gtest/gtest.h>

#include "core/contract.h"
#include "core/files.h"
#include "core/platform.h"
#include "figure/inspect.h"
#include "figure/layout.h"
#include "figure/svg.h"
#include "judge/sample.h"
#include "studio/report_figures.h"
#include "testing/near.h"

namespace greywright::studio {
namespace {

/// A ramp of `count` tones whose mid-tones are off by a tint.
measure::Ramp rampOff(colour::Tint off, int count = 21) {
    return judge::sample::tintedRamp(count, [off](double tone) -> colour::Tint {
        const double weight = 4 * tone * (1 - tone);
        return {off.a * weight, off.b * weight};
    });
}

judge::Verdict judged(const measure::Ramp& ramp) {
    return judge::judge(ramp).value();
}

/// A single block at 50 %.
measure::Ramp oneBlock() {
    measure::Ramp ramp = rampOff({2, -3});
    ramp.patches = {ramp.patches[10]};
    return ramp;
}

std::vector<figure::Line> linesOf(const figure::Plot& plot) {
    std::vector<figure::Line> lines;
    for (const figure::Series& series : plot.series) {
        if (const auto* line = std::get_if<figure::Line>(&series)) lines.push_back(*line);
    }
    return lines;
}

std::vector<double> heightsOf(const figure::Line& line) {
    std::vector<double> heights;
    for (const figure::XY& point : line.points) heights.push_back(point.y);
    return heights;
}

/// Expects that the plot is another one with lines over it, and hands those back.
std::vector<figure::Line> linesOver(const figure::Plot& plot, const figure::Plot& other) {
    EXPECT_EQ(plot.description, other.description);
    EXPECT_EQ(plot.y.title, other.y.title);
    EXPECT_TRUE(plot.title.empty());
    const auto before = linesOf(other);
    auto lines = linesOf(plot);
    EXPECT_GE(lines.size(), before.size());
    for (std::size_t i = 0; i < before.size(); ++i) {
        EXPECT_EQ(lines[i].name, before[i].name);
        EXPECT_EQ(heightsOf(lines[i]), heightsOf(before[i]));
    }
    lines.erase(lines.begin(), lines.begin() + static_cast<std::ptrdiff_t>(before.size()));
    return lines;
}

/// Expects that no two lines are drawn alike.
void expectToldApart(const figure::Plot& plot) {
    std::set<std::pair<figure::Ink, figure::Dash>> seen;
    for (const figure::Line& line : linesOf(plot))
        EXPECT_TRUE(seen.emplace(line.ink, line.dash).second) << line.name << " looks like another line";
}

// With GREYWRIGHT_GALLERY set to a folder the figures are written there to be looked at.
TEST(PageFigures, AreWholeAndKeepTheirWordsApart) {
    const judge::Verdict first = judged(rampOff({3, 1})), second = judged(rampOff({-1, -9}));
    const judge::Verdict block = judged(oneBlock());
    const Beside beside{&second, "trial 3"}, blockBeside{&block, "trial 12"};
    const std::vector<std::pair<std::string, figure::Plot>> plots{
        {"tone-beside", tonePlotBeside(first, beside)},
        {"tint-beside", tintPlotBeside(first, beside)},
        {"tone-beside-block", tonePlotBeside(first, blockBeside)},
        {"tint-beside-block", tintPlotBeside(first, blockBeside)},
        {"reading", readingPlot(rampOff({3, -9}))},
        {"reading-block", readingPlot(oneBlock())}};
    for (const auto& [name, plot] : plots) {
        SCOPED_TRACE(name);
        const figure::Scene page = sceneFromPlot(plot);
        if (const auto folder = platform::environment("GREYWRIGHT_GALLERY")) {
            ASSERT_TRUE(testing::succeeded(
                writeWholeFile(std::filesystem::path(*folder) / (name + ".svg"), svgFromScene(page, name))));
        }
        figure::inspect::expectOnPage(page);
        figure::inspect::expectTextsApart(page);
        EXPECT_FALSE(figure::inspect::says(page, "No data"));
        expectToldApart(plot);
    }
}

TEST(PageFigures, AnotherTrialLiesOverTheTones) {
    const judge::Verdict first = judged(rampOff({3, 1})), second = judged(rampOff({-1, -9}, 11));
    const figure::Plot plot = tonePlotBeside(first, {&second, "trial 3"});
    const auto over = linesOver(plot, reportTonePlot(first));
    ASSERT_EQ(over.size(), 1U);
    EXPECT_EQ(over[0].name, "trial 3");
    ASSERT_EQ(over[0].points.size(), 11U) << "at its own tones";
    for (std::size_t i = 0; i < 11; ++i) {
        EXPECT_EQ(over[0].points[i].x, second.patches[i].tonePercent);
        EXPECT_EQ(over[0].points[i].y, second.patches[i].lab.L);
    }
}

TEST(PageFigures, AnotherTrialLiesOverTheTint) {
    const judge::Verdict first = judged(rampOff({3, 1})), second = judged(rampOff({-1, -9}, 11));
    const figure::Plot plot = tintPlotBeside(first, {&second, "trial 3"});
    const auto over = linesOver(plot, reportTintPlot(first));
    ASSERT_EQ(over.size(), 2U);
    EXPECT_EQ(over[0].name, "a* of trial 3");
    EXPECT_EQ(over[1].name, "b* of trial 3");
    ASSERT_EQ(over[0].points.size(), 11U);
    for (std::size_t i = 0; i < 11; ++i) {
        EXPECT_EQ(over[0].points[i].x, second.patches[i].tonePercent);
        EXPECT_EQ(over[0].points[i].y, second.patches[i].lab.a);
        EXPECT_EQ(over[1].points[i].y, second.patches[i].lab.b);
    }
    // Each in the colour of what it is compared with.
    for (const figure::Line& line : linesOf(plot)) {
        if (line.name.starts_with("a* (")) {
            EXPECT_EQ(line.ink, over[0].ink);
        }
        if (line.name.starts_with("b* (")) {
            EXPECT_EQ(line.ink, over[1].ink);
        }
    }
}

TEST(PageFigures, ASingleBlockIsMarked) {
    const judge::Verdict ramp = judged(rampOff({3, 1})), block = judged(oneBlock());
    for (const figure::Plot& plot : {tonePlotBeside(ramp, {&block, "trial 3"}),
                                     tintPlotBeside(ramp, {&block, "trial 3"}), readingPlot(oneBlock())}) {
        for (const figure::Line& line : linesOf(plot)) {
            if (line.points.size() == 1) {
                EXPECT_NE(line.marker, figure::Marker::none) << line.name;
            }
        }
    }
}

TEST(PageFigures, NothingToCompareWithIsTheProgrammersMistake) {
    const judge::Verdict verdict = judged(rampOff({3, 1}));
    EXPECT_THROW(static_cast<void>(tonePlotBeside(verdict, {})), ContractViolation);
    EXPECT_THROW(static_cast<void>(tintPlotBeside(verdict, {})), ContractViolation);
}

TEST(PageFigures, AReadingIsShownAsItWasRead) {
    const measure::Ramp ramp = rampOff({3, -9});
    const figure::Plot plot = readingPlot(ramp);
    EXPECT_TRUE(plot.title.empty());
    const auto lines = linesOf(plot);
    ASSERT_EQ(lines.size(), 3U);
    EXPECT_TRUE(lines[0].name.starts_with("L*"));
    EXPECT_TRUE(lines[1].name.starts_with("a*"));
    EXPECT_TRUE(lines[2].name.starts_with("b*"));
    for (std::size_t i = 0; i < ramp.patches.size(); ++i) {
        for (const figure::Line& line : lines) EXPECT_EQ(line.points[i].x, ramp.patches[i].tonePercent);
        EXPECT_EQ(lines[0].points[i].y, ramp.patches[i].lab.L);
        EXPECT_EQ(lines[1].points[i].y, ramp.patches[i].lab.a);
        EXPECT_EQ(lines[2].points[i].y, ramp.patches[i].lab.b);
    }
}

}  // namespace
}  // namespace greywright::studio

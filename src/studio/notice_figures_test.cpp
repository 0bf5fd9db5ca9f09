#include "studio/notice_figures.h"

#include <algorithm>
#include <cmath>
#include <filesystem>

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

}  // namespace
}  // namespace greywright::studio

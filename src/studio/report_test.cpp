#include "studio/report.h"

#include <algorithm>
#include <cmath>
#include <set>
#include <string>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <pugixml.hpp>

#include "colour/colorimeter.h"
#include "colour/light.h"
#include "steer/control.h"
#include "studio/report_figures.h"

namespace greywright::studio {
namespace {

using ::testing::AllOf;
using ::testing::HasSubstr;
using ::testing::Not;

/// An invented sheet: a straight ramp that the paper tints a little, each axis pulling its own way.
measure::Ramp rampAt(const steer::Setting& setting) {
    measure::Ramp ramp;
    double pullA = 1.5;
    double pullB = -1.0;
    for (std::size_t axis = 0; axis < setting.size(); ++axis) {
        const double angle = 0.4 + 1.4 * static_cast<double>(axis);
        pullA += 0.15 * setting[axis] * std::cos(angle);
        pullB += 0.15 * setting[axis] * std::sin(angle);
    }
    for (int i = 0; i <= 20; ++i) {
        const double t = i / 20.0;
        const double weight = 4 * t * (1 - t);
        const double fade = 1 - 0.85 * t;
        ramp.patches.push_back(
            {100 * t, {96 - 80 * t, 0.5 * fade + pullA * weight, -4 * fade + pullB * weight}, {}});
    }
    return ramp;
}

/// A search of three trials over one to three axes.
ReportInput searched(std::size_t axes) {
    ReportInput input{.title = "Matt paper", .program = "Greywright", .date = "2031-04-05"};
    const std::vector<steer::TintAxis> all{
        {"across", -50, 50, 1}, {"up", -50, 50, 1}, {"warmth", -20, 20, 1}};
    input.axes.assign(all.begin(), all.begin() + static_cast<std::ptrdiff_t>(axes));
    steer::History history{input.axes, {}};
    for (std::size_t i = 0; i <= axes; ++i) {
        steer::Setting setting(axes, 0.0);
        if (i > 0) setting[i - 1] = 10;
        const measure::Ramp ramp = rampAt(setting);
        const int number = static_cast<int>(i) + 1;
        steer::Trial trial{.number = number, .setting = setting, .tones = {}};
        for (const measure::RampPatch& patch : ramp.patches)
            trial.tones.push_back({patch.tonePercent, patch.lab});
        history.trials.push_back(std::move(trial));
        input.verdict = judge::judge(ramp).value();
        input.trials.push_back({.number = number,
                                .setting = setting,
                                .worstDeltaE00 = input.verdict->tint.worstDeltaE00,
                                .when = "2031-04-05",
                                .choices = "tone=dark"});
    }
    input.summary = steer::steer(history);
    input.map = steer::Outlook(history).map(input.summary->predicted.setting, 11);
    return input;
}

/// The page as XML; the test fails when it is not well formed.
void parse(const std::string& html, pugi::xml_document& document) {
    const pugi::xml_parse_result result = document.load_buffer(html.data(), html.size(), pugi::parse_full);
    ASSERT_TRUE(result) << result.description() << " near: "
                        << html.substr(
                               static_cast<std::size_t>(std::max<std::ptrdiff_t>(0, result.offset - 60)),
                               120);
}

std::string textOf(const pugi::xml_node& node) {
    std::string text;
    for (const auto& inside : node.select_nodes(".//text()")) text += inside.node().value();
    return text;
}

pugi::xml_node sectionOf(const pugi::xml_document& document, const std::string& id) {
    return document.select_node(("//section[@id='" + id + "']").c_str()).node();
}

constexpr std::initializer_list<const char*> kSections{
    "verdict",    "tone-section", "tint-section", "lights",   "settings-section",
    "correction", "trials",       "control",      "measured", "method"};

void expectWholePage(const ReportInput& input) {
    const std::string html = htmlFromReport(input);
    pugi::xml_document document;
    ASSERT_NO_FATAL_FAILURE(parse(html, document));
    EXPECT_TRUE(html.starts_with("<!DOCTYPE html>"));
    EXPECT_STREQ(document.child("html").attribute("lang").value(), "en");
    for (const char* id : kSections) {
        const pugi::xml_node section = sectionOf(document, id);
        ASSERT_TRUE(section) << id;
        const std::string heading = section.child_value("h2");
        EXPECT_FALSE(heading.empty()) << id;
        EXPECT_GT(textOf(section).size(), heading.size() + 15) << id << " is empty";
    }
    // Nothing fetched: no element that loads, no address but names of XML namespaces.
    EXPECT_TRUE(
        document.select_nodes("//script | //link | //img | //image | //iframe | //object | //@src").empty());
    for (const auto& reference : document.select_nodes("//@*[name()='href' or name()='xlink:href']")) {
        EXPECT_EQ(reference.attribute().value()[0], '#');
    }
    EXPECT_THAT(html, Not(HasSubstr("url(http")));
    EXPECT_THAT(html, Not(HasSubstr("@import")));
    EXPECT_THAT(html, Not(HasSubstr("nan")));
    EXPECT_THAT(html, Not(HasSubstr("-0.00")));
    // Ids are unique over the whole page, figures included.
    std::set<std::string> ids;
    for (const auto& id : document.select_nodes("//@id")) {
        EXPECT_TRUE(ids.insert(id.attribute().value()).second) << id.attribute().value();
    }
    EXPECT_EQ(html, htmlFromReport(input));
}

std::size_t count(const pugi::xml_node& node, const char* path) {
    return node.select_nodes(path).size();
}

TEST(Report, IsWholeWithOneTwoAndThreeAxes) {
    for (const std::size_t axes : {1U, 2U, 3U}) {
        SCOPED_TRACE(axes);
        const ReportInput input = searched(axes);
        expectWholePage(input);
        pugi::xml_document document;
        ASSERT_NO_FATAL_FAILURE(parse(htmlFromReport(input), document));
        EXPECT_EQ(count(document, "//figure"), 5U);
        EXPECT_EQ(count(document, "//figure/*[local-name()='svg']"), 5U);
        EXPECT_EQ(count(sectionOf(document, "trials"), ".//tbody/tr"), axes + 1);
        EXPECT_EQ(count(sectionOf(document, "control"), ".//tbody/tr"), axes);
        EXPECT_EQ(count(sectionOf(document, "measured"), ".//tbody/tr"), 21U);
    }
}

TEST(Report, SaysWhatTheSearchAndTheJudgementSay) {
    const ReportInput input = searched(2);
    pugi::xml_document document;
    ASSERT_NO_FATAL_FAILURE(parse(htmlFromReport(input), document));
    const std::string verdict = textOf(sectionOf(document, "verdict"));
    EXPECT_THAT(verdict, HasSubstr(input.verdict->summary));
    EXPECT_THAT(verdict, HasSubstr(input.summary->reason));
    for (const steer::AxisAction& action : input.summary->control) {
        EXPECT_THAT(textOf(sectionOf(document, "control")), HasSubstr(action.words));
    }
}

TEST(Report, OneAxisIsACurveAndThreeAreAMapWithTheThirdHeld) {
    const figure::Plot curve = reportSettingPlot(searched(1));
    EXPECT_TRUE(std::ranges::none_of(
        curve.series, [](const auto& series) { return std::holds_alternative<figure::Contours>(series); }));
    const ReportInput three = searched(3);
    const figure::Plot map = reportSettingPlot(three);
    EXPECT_TRUE(std::ranges::any_of(
        map.series, [](const auto& series) { return std::holds_alternative<figure::Contours>(series); }));
    EXPECT_THAT(htmlFromReport(three), HasSubstr("The third axis, warmth, is held at"));
    // Every trial is inside what is shown.
    for (const ReportTrial& trial : three.trials) {
        EXPECT_GE(trial.setting[0], map.x.range->low);
        EXPECT_LE(trial.setting[0], map.x.range->high);
        EXPECT_GE(trial.setting[1], map.y.range->low);
        EXPECT_LE(trial.setting[1], map.y.range->high);
    }
}

TEST(Report, TheHardlySeenBandIsNarrowerInAThanInB) {
    // CIEDE2000 counts a* about 1.5 times near neutral (Sharma, Wu and Dalal 2005, equation 5).
    const figure::Plot plot = reportTintPlot(judge::judge(rampAt({0})).value());
    const auto& a = std::get<figure::Band>(plot.series[0]);
    const auto& b = std::get<figure::Band>(plot.series[1]);
    const std::size_t black = a.x.size() - 1;
    EXPECT_NEAR((a.high[black] - a.low[black]) / 2, 1 / 1.5, 0.03);
    EXPECT_NEAR((b.high[black] - b.low[black]) / 2, 1.0, 0.05);
}

TEST(Report, WithoutAnyTrialEverySectionSaysSo) {
    ReportInput input{.title = "New paper", .axes = {{"across", -50, 50, 1}}};
    input.summary = steer::steer({input.axes, {}});
    expectWholePage(input);
    pugi::xml_document document;
    ASSERT_NO_FATAL_FAILURE(parse(htmlFromReport(input), document));
    EXPECT_EQ(count(document, "//figure"), 0U);
    EXPECT_THAT(textOf(sectionOf(document, "settings-section")), HasSubstr("across 0"));
    expectWholePage({});
}

TEST(Report, AJudgementAloneIsEnough) {
    const ReportInput input{.title = "A file", .verdict = judge::judge(rampAt({0})).value()};
    expectWholePage(input);
    EXPECT_THAT(htmlFromReport(input), HasSubstr("No setting has been searched for."));
}

TEST(Report, OtherLightsNeedSpectra) {
    const measure::Ramp ramp = rampAt({0});  // CIELAB only
    ReportInput input{.title = "CIELAB only"};
    input.verdict =
        judge::judge(ramp, {.scenes = {judge::sceneOf(colour::lightByName("A").value())}}).value();
    expectWholePage(input);
    pugi::xml_document document;
    ASSERT_NO_FATAL_FAILURE(parse(htmlFromReport(input), document));
    EXPECT_THAT(textOf(sectionOf(document, "lights")), HasSubstr("need a reading with spectra"));
    EXPECT_THAT(textOf(sectionOf(document, "verdict")), HasSubstr("no spectra"));
}

TEST(Report, ViewersAreShownWithWhatIsAssumedOfThem) {
    constexpr colour::WavelengthGrid kGrid{380, 10, 36};
    const colour::Colorimeter meter(colour::observer(colour::ObserverName::cie1931),
                                    colour::lightByName("D50").value(), kGrid);
    measure::Ramp ramp{.grid = kGrid, .condition = measure::Condition::m2};
    for (int i = 0; i <= 10; ++i) {
        measure::RampPatch patch{.tonePercent = 10.0 * i};
        for (std::size_t w = 0; w < kGrid.count; ++w) {
            const double red = 0.1 * i * (10 - i) / 25 / (1 + std::exp((600 - kGrid.atNm(w)) / 8));
            patch.reflectance.push_back(0.9 * std::pow(0.022, 0.1 * i) * (1 + red));
        }
        patch.lab = meter.labFromReflectance(patch.reflectance);
        ramp.patches.push_back(std::move(patch));
    }
    judge::Options options{.scenes = {judge::sceneByName("gallery").value()},
                           .viewers = judge::NoticeOptions{}};
    options.viewers->population.count = 60;
    const auto page = [&](const measure::Ramp& judged) {
        const ReportInput input{.title = "Viewers", .verdict = judge::judge(judged, options).value()};
        expectWholePage(input);
        pugi::xml_document document;
        parse(htmlFromReport(input), document);
        return std::pair{textOf(sectionOf(document, "lights")),
                         count(sectionOf(document, "lights"), ".//figure")};
    };
    const auto [words, figures] = page(ramp);
    EXPECT_EQ(figures, 3U);
    EXPECT_THAT(words,
                AllOf(HasSubstr("gallery, 50 lx"), HasSubstr("Assumed, not measured"),
                      HasSubstr("Colour-deficient viewers are outside the model"), HasSubstr("uneven by")));
    // A few blocks that borrow paper and black from another sheet.
    options.reference = ramp;
    measure::Ramp blocks = ramp;
    blocks.patches = {ramp.patches[3], ramp.patches[5]};
    EXPECT_EQ(page(blocks).second, 3U);
}

TEST(Report, ASingleBlockGivesAPage) {
    measure::Ramp block;
    block.patches = {{50, {55, 1, -2}, {}}};
    expectWholePage({.title = "One block", .verdict = judge::judge(block).value()});
}

TEST(Report, EscapesWhatPeopleWrote) {
    const std::string nasty = "<b onclick=\"x()\">&amp; 'paper' </script>\x01\n";
    ReportInput input = searched(1);
    input.title = nasty;
    input.facts = {{nasty, nasty}};
    input.axes[0].name = nasty;
    input.verdictOf = nasty;
    input.notes = {nasty};
    input.program = input.date = nasty;
    input.trials[0].when = input.trials[0].choices = nasty;
    input.trials[1].withdrawnBecause = nasty;
    input.summary->reason = nasty;
    input.summary->control[0].axis = input.summary->control[0].words = nasty;
    input.verdict->summary = nasty;
    expectWholePage(input);
    const std::string html = htmlFromReport(input);
    EXPECT_THAT(html, Not(HasSubstr("<b onclick")));
    EXPECT_THAT(html,
                HasSubstr("&lt;b onclick=&quot;x()&quot;&gt;&amp;amp; &#39;paper&#39; &lt;/script&gt;"));
}

TEST(Report, AWithdrawnTrialStaysInTheTableAndLeavesTheMap) {
    ReportInput input = searched(2);
    input.trials[1].withdrawnBecause = "fed the wrong side up";
    EXPECT_THAT(htmlFromReport(input), HasSubstr("withdrawn: fed the wrong side up"));
    const auto marks = [](const figure::Plot& plot) {
        std::size_t points = 0;
        for (const auto& series : plot.series) {
            if (const auto* found = std::get_if<figure::Points>(&series)) points += found->labels.size();
        }
        return points;
    };
    EXPECT_EQ(marks(reportSettingPlot(input)), 2U);
    EXPECT_EQ(marks(reportSettingPlot(searched(2))), 3U);
}

TEST(Report, ShowsTheCurveWithItsBand) {
    ReportInput input;
    input.corrections = {
        {.number = 2, .kind = "curve", .aim = "even in L*", .trials = {1, 3}, .replaces = 1}};
    for (int tone = 0; tone <= 100; tone += 10)
        input.curve.push_back(
            {double(tone), tone + 4.0 * tone * (100 - tone) / 2500, tone - 1.0, tone + 6.0});
    pugi::xml_document document;
    ASSERT_NO_FATAL_FAILURE(parse(htmlFromReport(input), document));
    const auto section = sectionOf(document, "correction");
    EXPECT_THAT(textOf(section), HasSubstr("1, 3"));
    EXPECT_EQ(count(section, ".//svg"), 1U);
    EXPECT_THAT(textOf(section), HasSubstr("90 % of where the curve may lie"));
}

TEST(Report, ShowsATableAndWhatRemains) {
    ReportInput input;
    input.corrections = {{.number = 1, .kind = "table", .aim = "even in L*", .trials = {1}}};
    input.table = {{0, {65535, 65535, 65535}, 0, "nothing"},
                   {50, {30000, 31000, 32000}, 0.2, "nothing"},
                   {100, {0, 0, 900}, 1.3, "range reached"}};
    pugi::xml_document document;
    ASSERT_NO_FATAL_FAILURE(parse(htmlFromReport(input), document));
    const auto section = sectionOf(document, "correction");
    EXPECT_THAT(textOf(section), HasSubstr("100 % (range reached: 1.3)"));
    EXPECT_THAT(textOf(section), ::testing::Not(HasSubstr("50 % (")));
    EXPECT_EQ(count(section, ".//svg"), 1U);
}

}  // namespace
}  // namespace greywright::studio

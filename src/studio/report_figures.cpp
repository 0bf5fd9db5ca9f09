#include "studio/report_figures.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "colour/difference.h"
#include "core/contract.h"
#include "core/numbers.h"
#include "core/said.h"
#include "judge/thresholds.h"
#include "studio/convert.h"

namespace greywright::studio {
namespace {

using colour::Lab;
using figure::Band;
using figure::Dash;
using figure::Ink;
using figure::Line;
using figure::Marker;
using figure::Naming;
using figure::Plot;
using figure::Points;
using figure::ReferenceLine;
using figure::XY;

// Standard deviations of a two-dimensional normal distribution that hold 90 %: sqrt(-2 ln 0.1).
constexpr double kNinetyPercent = 2.146;

/// How far from the aim one may go along a direction before somebody is likely to see it.
double unseenReach(const Lab& aim, double alongA, double alongB) {
    // The difference grows all but in proportion, so scaling closes in quickly.
    constexpr int kMostRounds = 12;
    constexpr double kNearEnough = 1e-6;
    double reach = judge::kNobodySeesDeltaE00;
    for (int round = 0; round < kMostRounds; ++round) {
        const Lab there{aim.L, aim.a + alongA * reach, aim.b + alongB * reach};
        const double times = judge::kNobodySeesDeltaE00 / colour::deltaE2000(there, aim);
        reach *= times;
        if (std::abs(times - 1) < kNearEnough) break;
    }
    return reach;
}

Band bandAround(std::string name, Ink ink) {
    return {.name = std::move(name), .ink = ink, .opacity = 0.14};
}

std::string limit() {
    return textFromNumber(judge::kNobodySeesDeltaE00, 1);
}

std::string axisTitle(const steer::TintAxis& axis) {
    return axis.name.empty() ? said("tint control") : axis.name;
}

/// Of sorted values, the one that a share of them lies below.
double quantile(const std::vector<double>& sorted, double share) {
    const auto last = static_cast<double>(sorted.size() - 1);
    return sorted[static_cast<std::size_t>(std::lround(share * last))];
}

std::string suggestionName(const steer::Summary& summary) {
    if (summary.cannotTell) return said("best known");
    switch (summary.status) {
        case steer::Status::print:
            return said("print next");
        case steer::Status::settled:
            return said("settled at");
        case steer::Status::outOfReach:
            return said("nearest there is");
    }
    return "";
}

Plot curveOfOneAxis(const ReportInput& input) {
    const steer::SettingMap& map = *input.map;
    const steer::Summary& summary = *input.summary;
    Line predicted{
        .name = said("predicted worst tone"), .naming = Naming::legend, .ink = Ink::petrol, .widthPt = 1.4};
    double top = judge::kPlainDeltaE00;
    for (std::size_t i = 0; i < map.across.size(); ++i) {
        predicted.points.push_back({map.across[i], map.worst[i]});
        top = std::max(top, map.worst[i]);
    }
    Points trials{.name = said("trials as measured"), .marker = Marker::disc};
    for (const ReportTrial& trial : input.trials) {
        if (trial.withdrawnBecause || !trial.worstDeltaE00) continue;
        trials.points.push_back({trial.setting[0], *trial.worstDeltaE00});
        trials.labels.push_back(std::to_string(trial.number));
        top = std::max(top, *trial.worstDeltaE00);
    }
    Plot plot{
        .description = said("Predicted worst tint against the setting of the one axis, with the trials."),
        .x = {.title = axisTitle(input.axes[0]),
              .unit = said("driver's units"),
              .range = figure::Range{map.across.front(), map.across.back()}},
        .y = {.title = said("worst tint"), .unit = "ΔE00", .range = figure::Range{0, std::ceil(1.08 * top)}}};
    if (!map.likelyBest.empty()) {
        std::vector<double> best;
        for (const steer::Setting& setting : map.likelyBest) best.push_back(setting[0]);
        std::ranges::sort(best);
        const double half = input.axes[0].step / 2;  // a setting stands for its own step
        Band band = bandAround(said("where the best setting lies (90 %)"), Ink::plum);
        band.x = {quantile(best, 0.05) - half, quantile(best, 0.95) + half};
        band.low = {0, 0};
        band.high = {plot.y.range->high, plot.y.range->high};
        plot.series.emplace_back(std::move(band));
    }
    plot.series.emplace_back(
        ReferenceLine{.at = judge::kNobodySeesDeltaE00, .label = said("hardly seen below")});
    plot.series.emplace_back(std::move(predicted));
    plot.series.emplace_back(std::move(trials));
    const steer::Prediction& next = summary.predicted;
    plot.series.emplace_back(
        Points{.points = {{next.setting[0], next.worstDeltaE00}},
               .errorY = {(next.worstDeltaE00High - next.worstDeltaE00Low) / 2},
               .name = said("{}: {}", suggestionName(summary), wordsFromSetting(input.axes, next.setting)),
               .ink = Ink::plum,
               .marker = Marker::diamond,
               .radiusPt = 4});
    return plot;
}

figure::Contours contoursOf(const steer::SettingMap& map) {
    figure::Contours contours{.grid = {.x = {map.across.front(), map.across.back()},
                                       .y = {map.up.front(), map.up.back()},
                                       .columns = map.across.size(),
                                       .rows = map.up.size(),
                                       .values = map.worst},
                              .name = said("predicted worst tint, ΔE00; lower is better")};
    const auto [low, high] = std::ranges::minmax_element(map.worst);
    for (const double level : {0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 6.0, 8.0, 12.0, 16.0, 24.0, 32.0}) {
        if (level > *low && level < *high) contours.levels.push_back(level);
    }
    return contours;
}

figure::Ellipse whereTheBestLies(const std::vector<steer::Setting>& likely) {
    const auto count = static_cast<double>(likely.size());
    XY mean;
    for (const steer::Setting& setting : likely) {
        mean.x += setting[0] / count;
        mean.y += setting[1] / count;
    }
    double xx = 0;
    double xy = 0;
    double yy = 0;
    for (const steer::Setting& setting : likely) {
        xx += (setting[0] - mean.x) * (setting[0] - mean.x) / count;
        xy += (setting[0] - mean.x) * (setting[1] - mean.y) / count;
        yy += (setting[1] - mean.y) * (setting[1] - mean.y) / count;
    }
    figure::Ellipse outline = figure::ellipseFromCovariance(mean, xx, xy, yy, kNinetyPercent);
    outline.name = said("where the best setting lies (90 %)");
    outline.ink = Ink::plum;
    return outline;
}

/// The part of an axis where trials, suggestion and likely best settings lie, with a margin, not the far
/// corners that nobody asked about.
figure::Range partToShow(const ReportInput& input, std::size_t axis, const std::vector<double>& all) {
    figure::Range part{input.summary->predicted.setting[axis], input.summary->predicted.setting[axis]};
    const auto include = [&](const steer::Setting& setting) {
        part.low = std::min(part.low, setting[axis]);
        part.high = std::max(part.high, setting[axis]);
    };
    for (const ReportTrial& trial : input.trials) include(trial.setting);
    for (const steer::Setting& setting : input.map->likelyBest) include(setting);
    const double whole = all.back() - all.front();
    const double margin = std::max(0.1 * whole, (0.4 * whole - part.span()) / 2);
    return {std::max(all.front(), part.low - margin), std::min(all.back(), part.high + margin)};
}

Plot mapOfTwoAxes(const ReportInput& input) {
    const steer::SettingMap& map = *input.map;
    const steer::Summary& summary = *input.summary;
    const steer::Setting& next = summary.predicted.setting;
    Points trials{.name = input.axes.size() > 2 ? said("trials, third axis held") : "trials",
                  .radiusPt = 2.6};
    Points others{
        .name = said("trials at other values of the third axis"), .marker = Marker::circle, .radiusPt = 2.6};
    // Several sheets at one setting share one label, so that no number hides another.
    for (const ReportTrial& trial : input.trials) {
        if (trial.withdrawnBecause || !trial.worstDeltaE00) continue;
        Points& where = trial.setting.size() > 2 && trial.setting[2] != next[2] ? others : trials;
        const XY at{trial.setting[0], trial.setting[1]};
        const auto same = std::ranges::find(where.points, at);
        if (same == where.points.end()) {
            where.points.push_back(at);
            where.labels.push_back(std::to_string(trial.number));
        } else {
            where.labels[static_cast<std::size_t>(same - where.points.begin())] +=
                ", " + std::to_string(trial.number);
        }
    }
    Plot plot{.description = said(
                  "Predicted worst tint over the settings of two axes, with the trials and the suggestion."),
              .x = {.title = axisTitle(input.axes[0]), .unit = said("driver's units")},
              .y = {.title = axisTitle(input.axes[1]), .unit = said("driver's units")},
              .series = {contoursOf(map)},
              .grid = false,
              .widthPt = 400,
              .heightPt = 400};
    plot.x.range = partToShow(input, 0, map.across);
    plot.y.range = partToShow(input, 1, map.up);
    // Axes of like range get like units; a narrow second axis would otherwise become a sliver.
    const double ratio = plot.x.range->span() / plot.y.range->span();
    plot.equalAspect = ratio > 0.5 && ratio < 2;
    if (map.likelyBest.size() > 1) plot.series.emplace_back(whereTheBestLies(map.likelyBest));
    if (!trials.points.empty()) plot.series.emplace_back(std::move(trials));
    if (!others.points.empty()) plot.series.emplace_back(std::move(others));
    plot.series.emplace_back(
        Points{.points = {{next[0], next[1]}},
               .name = said("{}: {}", suggestionName(summary), wordsFromSetting(input.axes, next)),
               .ink = Ink::plum,
               .marker = Marker::diamond,
               .radiusPt = 4.2});
    return plot;
}

}  // namespace

Plot reportTonePlot(const judge::Verdict& verdict) {
    Line measured{.name = said("measured"), .naming = Naming::legend, .marker = Marker::circle};
    for (const judge::PatchVerdict& patch : verdict.patches)
        measured.points.push_back({patch.tonePercent, patch.lab.L});
    Plot plot{.description = said("Lightness along the ramp."),
              .x = {.title = said("Tone"), .unit = "%", .range = figure::Range{0, 100}},
              .y = {.title = "L*", .range = figure::Range{0, 100}},
              .heightPt = 230};
    if (verdict.paper && verdict.black) {
        plot.series.emplace_back(Line{.points = {{0, verdict.paper->L}, {100, verdict.black->L}},
                                      .name = said("straight line from paper to black"),
                                      .ink = Ink::petrol,
                                      .dash = Dash::longDashed});
    }
    plot.series.emplace_back(std::move(measured));
    if (verdict.tone.even && !*verdict.tone.even && verdict.tone.worstDepartureL) {
        const auto worst = std::ranges::find(verdict.patches, verdict.tone.worstDepartureTonePercent,
                                             &judge::PatchVerdict::tonePercent);
        expects(worst != verdict.patches.end(), "the worst departure is at a measured tone");
        plot.series.emplace_back(
            figure::Annotation{{worst->tonePercent, worst->lab.L},
                               said("{} too {}", textFromNumber(*verdict.tone.worstDepartureL, 1),
                                    verdict.tone.worstDepartureIsLighter ? "light" : "dark")});
    }
    return plot;
}

Plot reportTintPlot(const judge::Verdict& verdict) {
    Line a{.name = said("a* (red +, green −)"), .naming = Naming::legend, .ink = Ink::petrol, .widthPt = 1.5};
    Line b{.name = said("b* (yellow +, blue −)"), .ink = Ink::copper, .dash = Dash::dashed, .widthPt = 1.5};
    // A single block would make a line without length.
    if (verdict.patches.size() == 1) {
        a.marker = Marker::disc;
        b.marker = Marker::triangle;
    }
    Line aimA{.name = said("aim for a*"), .ink = Ink::petrol, .dash = Dash::dotted, .widthPt = 0.9};
    Line aimB{.name = said("aim for b*"), .ink = Ink::copper, .dash = Dash::dashDotted, .widthPt = 0.9};
    Band bandA = bandAround(said("a* within {} ΔE00 of the aim: hardly seen", limit()), Ink::petrol);
    Band bandB = bandAround(said("the same for b*"), Ink::copper);
    for (const judge::PatchVerdict& patch : verdict.patches) {
        const double tone = patch.tonePercent;
        const Lab aim{patch.lab.L, patch.aim.a, patch.aim.b};
        a.points.push_back({tone, patch.lab.a});
        b.points.push_back({tone, patch.lab.b});
        aimA.points.push_back({tone, aim.a});
        aimB.points.push_back({tone, aim.b});
        bandA.x.push_back(tone);
        bandA.low.push_back(aim.a - unseenReach(aim, -1, 0));
        bandA.high.push_back(aim.a + unseenReach(aim, 1, 0));
        bandB.x.push_back(tone);
        bandB.low.push_back(aim.b - unseenReach(aim, 0, -1));
        bandB.high.push_back(aim.b + unseenReach(aim, 0, 1));
    }
    return {.description = said("a* and b* along the ramp with the aim and what is hardly seen around it."),
            .x = {.title = said("Tone"), .unit = "%", .range = figure::Range{0, 100}},
            .y = {.title = "a*, b*", .unit = "CIELAB, D50, 2°"},
            .series = {std::move(bandA), std::move(bandB), ReferenceLine{.at = 0}, std::move(aimA),
                       std::move(aimB), std::move(a), std::move(b)},
            .heightPt = 255};
}

Plot reportPathPlot(const judge::Verdict& verdict) {
    Line path{.name = said("measured, paper to black"), .ink = Ink::petrol, .widthPt = 1.3};
    Line aim{.name = said("aim"), .ink = Ink::black, .dash = Dash::dotted};
    Points tones{.name = said("tone in %"), .ink = Ink::petrol, .marker = Marker::square, .radiusPt = 2};
    double labelled = -1e9;
    for (const judge::PatchVerdict& patch : verdict.patches) {
        path.points.push_back({patch.lab.a, patch.lab.b});
        aim.points.push_back({patch.aim.a, patch.aim.b});
        // About every tenth percent says which way the path runs; more would cover it.
        const bool last = &patch == &verdict.patches.back();
        if (patch.tonePercent - labelled < 10 - 1e-6 && !last) continue;
        labelled = patch.tonePercent;
        tones.points.push_back({patch.lab.a, patch.lab.b});
        tones.labels.push_back(fmt::format("{:.0f}", patch.tonePercent));
    }
    const auto worst =
        std::ranges::find(verdict.patches, verdict.tint.worstTonePercent, &judge::PatchVerdict::tonePercent);
    expects(worst != verdict.patches.end(), "the worst tint is at a measured tone");
    const Lab centre{worst->lab.L, worst->aim.a, worst->aim.b};
    return {
        .description = said("The way of the ramp through the a*b* plane beside the aim."),
        .x = {.title = "a*", .unit = said("green − to red +")},
        .y = {.title = "b*", .unit = said("blue − to yellow +")},
        .series = {figure::Ellipse{.centre = {centre.a, centre.b},
                                   .semiAxis1 = unseenReach(centre, 1, 0),
                                   .semiAxis2 = unseenReach(centre, 0, 1),
                                   .name = said("within {} ΔE00 of the aim at {:.0f} %, the worst tone",
                                                limit(), worst->tonePercent),
                                   .fillOpacity = 0.06},
                   ReferenceLine{.at = 0}, ReferenceLine{.at = 0, .across = ReferenceLine::Across::upright},
                   std::move(aim), std::move(path), std::move(tones)},
        .equalAspect = true,
        .widthPt = 300,
        .heightPt = 290};
}

Plot reportCurvePlot(const ReportInput& input) {
    Band band = bandAround(said("90 % of where the curve may lie"), Ink::stone);
    Line line{.name = said("curve"), .naming = Naming::legend, .ink = Ink::petrol, .widthPt = 1.4};
    for (const ReportCurvePoint& point : input.curve) {
        band.x.push_back(point.tonePercent);
        band.low.push_back(point.lowPercent - point.tonePercent);
        band.high.push_back(point.highPercent - point.tonePercent);
        line.points.push_back({point.tonePercent, point.sendPercent - point.tonePercent});
    }
    Plot plot{.description = said("What the curve sends beyond the tone that is asked for."),
              .x = {.title = said("tone asked for"), .unit = "%", .range = figure::Range{0, 100}},
              .y = {.title = said("sent beyond it"), .unit = "%"}};
    plot.series = {std::move(band), ReferenceLine{.at = 0, .label = said("sent as asked")}, std::move(line)};
    return plot;
}

Plot reportTablePlot(const ReportInput& input) {
    const std::array<std::pair<const char*, Dash>, 3> channels{
        {{"red", Dash::solid}, {"green", Dash::dashed}, {"blue", Dash::dotted}}};
    Plot plot{.description = said("What the table sends to each channel beyond the mean of the three."),
              .x = {.title = said("tone"), .unit = "%", .range = figure::Range{0, 100}},
              .y = {.title = said("beyond the mean of the three"), .unit = said("% of full light")}};
    plot.series.emplace_back(ReferenceLine{.at = 0, .label = said("equal codes")});
    for (std::size_t k = 0; k < channels.size(); ++k) {
        const auto& [name, dash] = channels[k];
        Line line{.name = name, .naming = Naming::legend, .dash = dash, .widthPt = 1.4};
        for (const ReportTableRow& row : input.table) {
            const double mean = (row.codes[0] + row.codes[1] + row.codes[2]) / 3;
            line.points.push_back({row.tonePercent, 100 * (row.codes[k] - mean) / 65535});
        }
        plot.series.emplace_back(std::move(line));
    }
    return plot;
}

Plot reportSettingPlot(const ReportInput& input) {
    expects(input.map && input.summary && input.summary->isUsable(), "a map needs a search");
    expects(!input.axes.empty(), "a map needs its axes");
    return input.map->up.empty() ? curveOfOneAxis(input) : mapOfTwoAxes(input);
}

}  // namespace greywright::studio

#include "studio/page_figures.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "core/contract.h"
#include "core/numbers.h"
#include "core/said.h"
#include "studio/among_trials.h"
#include "studio/report_figures.h"

namespace greywright::studio {
namespace {

using figure::Dash;
using figure::Ink;
using figure::Line;
using figure::Marker;
using figure::Plot;

/// A colour-free difference from the trial in front: thin, long dashes. `marker` is for a single block, whose
/// line has no length.
Line lineBeside(const Beside& other, const std::string& name, Ink ink, Marker marker) {
    return {.name = name,
            .ink = ink,
            .dash = Dash::longDashed,
            .widthPt = 0.8,
            .marker = other.verdict->patches.size() == 1 ? marker : Marker::none};
}

constexpr double kVisibleFromNm = 400;
constexpr double kVisibleToNm = 700;
// So that a spectrum that is flat but for noise looks flat.
constexpr double kLeastSpan = 0.1;

const measure::RampPatch& nearest(const measure::Ramp& ramp, double tonePercent) {
    return *std::ranges::min_element(ramp.patches, {}, [&](const measure::RampPatch& patch) {
        return std::abs(patch.tonePercent - tonePercent);
    });
}

}  // namespace

Plot tonePlotBeside(const judge::Verdict& verdict, const Beside& other) {
    expects(other.verdict != nullptr, "a trial to compare with");
    Plot plot = reportTonePlot(verdict);
    Line line = lineBeside(other, other.name, Ink::copper, Marker::square);
    for (const judge::PatchVerdict& patch : other.verdict->patches)
        line.points.push_back({patch.tonePercent, patch.lab.L});
    plot.series.emplace_back(std::move(line));
    return plot;
}

Plot tintPlotBeside(const judge::Verdict& verdict, const Beside& other) {
    expects(other.verdict != nullptr, "a trial to compare with");
    Plot plot = reportTintPlot(verdict);
    Line a = lineBeside(other, said("a* of {}", other.name), Ink::petrol, Marker::square);
    Line b = lineBeside(other, said("b* of {}", other.name), Ink::copper, Marker::diamond);
    for (const judge::PatchVerdict& patch : other.verdict->patches) {
        a.points.push_back({patch.tonePercent, patch.lab.a});
        b.points.push_back({patch.tonePercent, patch.lab.b});
    }
    plot.series.emplace_back(std::move(a));
    plot.series.emplace_back(std::move(b));
    return plot;
}

Plot spectrumPlot(const measure::Ramp& ramp, double tonePercent) {
    Plot plot{.description =
                  said("How one tone's share of the paper's light runs over the wavelengths, as a multiple "
                       "of its mean."),
              .x = {.title = said("Wavelength"), .unit = "nm"},
              .y = {.title = said("Against the paper, mean = 1")},
              .heightPt = 230};
    if (!ramp.grid || ramp.patches.empty()) return plot;
    const measure::RampPatch& patch = nearest(ramp, tonePercent);
    const measure::RampPatch* paper = paperOf(ramp);
    std::vector<double> share;
    double sum = 0, seen = 0;
    for (std::size_t i = 0; i < patch.reflectance.size(); ++i) {
        const double white = paper != nullptr ? paper->reflectance[i] : 1;
        share.push_back(white > 0 ? patch.reflectance[i] / white : std::nan(""));
        const double nm = ramp.grid->atNm(i);
        if (nm < kVisibleFromNm || nm > kVisibleToNm || !std::isfinite(share.back())) continue;
        sum += share.back();
        ++seen;
    }
    if (seen == 0 || !(sum > 0)) return plot;
    Line line{.name = said("{:g} % tone, which sends back {} % of the {}", patch.tonePercent,
                           textFromNumber(100 * sum / seen, 1), paper != nullptr ? "paper's light" : "light"),
              .ink = Ink::petrol,
              .widthPt = 1.3};
    double least = kLeastSpan, most = kLeastSpan;
    for (std::size_t i = 0; i < share.size(); ++i) {
        const double nm = ramp.grid->atNm(i), relative = share[i] * seen / sum;
        line.points.push_back({nm, relative});
        if (nm < kVisibleFromNm || nm > kVisibleToNm || !std::isfinite(relative)) continue;
        least = std::max(least, 1 - relative);
        most = std::max(most, relative - 1);
    }
    plot.x.range = figure::Range{kVisibleFromNm, kVisibleToNm};
    plot.y.range = figure::Range{1 - 1.15 * least, 1 + 1.15 * most};
    if (paper == nullptr) plot.y.title = said("Reflectance, mean = 1");
    plot.series.emplace_back(std::move(line));
    plot.series.emplace_back(Line{.points = {{kVisibleFromNm, 1}, {kVisibleToNm, 1}},
                                  .name = said("flat: grey in every light"),
                                  .ink = Ink::stone,
                                  .dash = Dash::dashed});
    return plot;
}

Plot readingPlot(const measure::Ramp& ramp) {
    Line lightness{.name = "L*", .marker = figure::Marker::circle};
    Line a{.name = said("a* (red +, green −)"), .ink = Ink::petrol};
    Line b{.name = said("b* (yellow +, blue −)"), .ink = Ink::copper, .dash = Dash::dashed};
    // A single block would make a line without length.
    if (ramp.patches.size() == 1) {
        a.marker = Marker::disc;
        b.marker = Marker::triangle;
    }
    for (const measure::RampPatch& patch : ramp.patches) {
        lightness.points.push_back({patch.tonePercent, patch.lab.L});
        a.points.push_back({patch.tonePercent, patch.lab.a});
        b.points.push_back({patch.tonePercent, patch.lab.b});
    }
    return {.description = said("L*, a* and b* along the ramp as read."),
            .x = {.title = said("Tone"), .unit = "%", .range = figure::Range{0, 100}},
            .y = {.title = "L*, a*, b*", .unit = "CIELAB, D50, 2°"},
            .series = {std::move(lightness), std::move(a), std::move(b)}};
}

}  // namespace greywright::studio

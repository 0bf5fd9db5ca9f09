#include "studio/page_figures.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "core/contract.h"
#include "studio/among_trials.h"
#include "studio/report_figures.h"

namespace greywright::studio {
namespace {

using figure::Dash;
using figure::Ink;
using figure::Line;
using figure::Plot;

/// A colour-free difference from the trial in front: thin, long dashes.
Line lineBeside(std::string name, Ink ink) {
    return {.name = std::move(name), .ink = ink, .dash = Dash::longDashed, .widthPt = 0.8};
}

const measure::RampPatch& nearest(const measure::Ramp& ramp, double tonePercent) {
    return *std::ranges::min_element(ramp.patches, {}, [&](const measure::RampPatch& patch) {
        return std::abs(patch.tonePercent - tonePercent);
    });
}

}  // namespace

Plot tonePlotBeside(const judge::Verdict& verdict, const Beside& other) {
    expects(other.verdict != nullptr, "a trial to compare with");
    Plot plot = reportTonePlot(verdict);
    Line line = lineBeside(other.name, Ink::copper);
    for (const judge::PatchVerdict& patch : other.verdict->patches)
        line.points.push_back({patch.tonePercent, patch.lab.L});
    plot.series.emplace_back(std::move(line));
    return plot;
}

Plot tintPlotBeside(const judge::Verdict& verdict, const Beside& other) {
    expects(other.verdict != nullptr, "a trial to compare with");
    Plot plot = reportTintPlot(verdict);
    Line a = lineBeside(fmt::format("a* of {}", other.name), Ink::petrol);
    Line b = lineBeside(fmt::format("b* of {}", other.name), Ink::copper);
    b.dash = Dash::dashDotted;
    for (const judge::PatchVerdict& patch : other.verdict->patches) {
        a.points.push_back({patch.tonePercent, patch.lab.a});
        b.points.push_back({patch.tonePercent, patch.lab.b});
    }
    plot.series.emplace_back(std::move(a));
    plot.series.emplace_back(std::move(b));
    return plot;
}

Plot spectrumPlot(const measure::Ramp& ramp, double tonePercent) {
    Plot plot{.description = "Reflectance of one tone and of the paper over the wavelengths.",
              .x = {.title = "Wavelength", .unit = "nm"},
              .y = {.title = "Reflectance"},
              .heightPt = 230};
    if (!ramp.grid || ramp.patches.empty()) return plot;
    const measure::RampPatch& patch = nearest(ramp, tonePercent);
    const measure::RampPatch* paper = paperOf(ramp);
    const auto curve = [&](std::string name, Ink ink, const std::vector<double>& values) {
        Line line{.name = std::move(name), .ink = ink, .widthPt = 1.3};
        for (std::size_t i = 0; i < values.size(); ++i)
            line.points.push_back({ramp.grid->atNm(i), values[i]});
        return line;
    };
    if (paper != nullptr && paper != &patch) {
        Line line = curve("paper", Ink::stone, paper->reflectance);
        line.dash = Dash::dashed;
        plot.series.emplace_back(std::move(line));
    }
    plot.series.emplace_back(curve(fmt::format("{:g} %", patch.tonePercent), Ink::petrol, patch.reflectance));
    if (paper != nullptr && paper != &patch) {
        std::vector<double> share;
        for (std::size_t i = 0; i < patch.reflectance.size(); ++i)
            share.push_back(paper->reflectance[i] > 0 ? patch.reflectance[i] / paper->reflectance[i]
                                                      : std::nan(""));
        Line line = curve("its share of the paper's: flat = grey in every light", Ink::copper, share);
        line.dash = Dash::dashDotted;
        plot.series.emplace_back(std::move(line));
    }
    return plot;
}

Plot readingPlot(const measure::Ramp& ramp) {
    Line lightness{.name = "L*", .marker = figure::Marker::circle};
    Line a{.name = "a* (red +, green −)", .ink = Ink::petrol};
    Line b{.name = "b* (yellow +, blue −)", .ink = Ink::copper, .dash = Dash::dashed};
    for (const measure::RampPatch& patch : ramp.patches) {
        lightness.points.push_back({patch.tonePercent, patch.lab.L});
        a.points.push_back({patch.tonePercent, patch.lab.a});
        b.points.push_back({patch.tonePercent, patch.lab.b});
    }
    return {.description = "L*, a* and b* along the ramp as read.",
            .x = {.title = "Tone", .unit = "%", .range = figure::Range{0, 100}},
            .y = {.title = "L*, a*, b*", .unit = "CIELAB, D50, 2°"},
            .series = {std::move(lightness), std::move(a), std::move(b)}};
}

}  // namespace greywright::studio

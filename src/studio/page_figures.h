#pragma once

#include <span>
#include <string>

#include "figure/plot.h"
#include "judge/judge.h"
#include "measure/ramp.h"

/// Figures for a page about one trial, beside those of a report. They carry no titles.
namespace greywright::studio {

/// Another trial laid over a tone or tint plot, to compare with.
struct Beside {
    const judge::Verdict* verdict = nullptr;
    std::string name = {};  ///< e.g. "trial 3"
};

/// reportTonePlot() with another trial over it. Valid: a verdict.
[[nodiscard]] figure::Plot tonePlotBeside(const judge::Verdict& verdict, const Beside& other);

/// reportTintPlot() with another trial over it. Valid: a verdict.
[[nodiscard]] figure::Plot tintPlotBeside(const judge::Verdict& verdict, const Beside& other);

/// The reflectance of one tone over the paper's, as a multiple of its mean: flat for a grey that no light can
/// tint. Without series where there are no spectra. Units: nm.
[[nodiscard]] figure::Plot spectrumPlot(const measure::Ramp& ramp, double tonePercent);

/// What was read: L*, a* and b* along the ramp.
[[nodiscard]] figure::Plot readingPlot(const measure::Ramp& ramp);

}  // namespace greywright::studio

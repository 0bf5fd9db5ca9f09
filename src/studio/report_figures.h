#pragma once

#include "figure/plot.h"
#include "studio/report.h"

/// The figures of a report as plain plots. They carry no titles: the page's headings are theirs.
namespace greywright::studio {

/// L* along the ramp beside the straight line.
[[nodiscard]] figure::Plot reportTonePlot(const judge::Verdict& verdict);

/// a* and b* along the ramp with the aim and what nobody is likely to see around it.
[[nodiscard]] figure::Plot reportTintPlot(const judge::Verdict& verdict);

/// The ramp's way through the a*b* plane.
[[nodiscard]] figure::Plot reportPathPlot(const judge::Verdict& verdict);

/// What a curve sends beyond the tone that is asked for, with 90 % of where it may lie.
/// Valid: input.curve not empty.
[[nodiscard]] figure::Plot reportCurvePlot(const ReportInput& input);

/// What a table sends to each channel beyond the mean of the three. Valid: input.table not empty.
[[nodiscard]] figure::Plot reportTablePlot(const ReportInput& input);

/// Predicted worst tint over the settings with trials and suggestion: contours for two and three axes, a
/// curve for one. Valid: input.map and input.summary present.
[[nodiscard]] figure::Plot reportSettingPlot(const ReportInput& input);

}  // namespace greywright::studio

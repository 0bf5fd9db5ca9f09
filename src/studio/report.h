#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "judge/judge.h"
#include "steer/steer.h"

namespace greywright::studio {

/// One line of what identifies a condition, e.g. "Paper" and its name.
struct ReportFact {
    std::string name = {};
    std::string value = {};
};

/// One row of the table of trials.
struct ReportTrial {
    int number = 0;
    steer::Setting setting = {};
    std::optional<double> worstDeltaE00 = {};  ///< absent: not measured
    std::string when = {};
    std::string choices = {};                          ///< the driver's other choices, for people
    std::optional<std::string> withdrawnBecause = {};  ///< present when the trial no longer counts
};

/// One row of the table of corrections.
struct ReportCorrection {
    int number = 0;
    std::string kind = {};  ///< "curve" or "table"
    std::string aim = {};
    std::vector<int> trials = {};  ///< that it rests on
    int replaces = 0;              ///< number of the one it goes on from; 0 = none
    std::string when = {};
};

/// A curve at one tone, with 90 % of where it may lie.
struct ReportCurvePoint {
    double tonePercent = 0;
    double sendPercent = 0;
    double lowPercent = 0;
    double highPercent = 0;
};

/// A table at one tone.
struct ReportTableRow {
    double tonePercent = 0;
    std::array<double, 3> codes = {};  ///< red, green, blue; 0 .. 65535
    double deltaE00 = 0;               ///< foretold
    std::string remains = {};          ///< "nothing", or why the aim is not met
};

/// What goes into a report. What is absent is said to be missing; no section is left out.
struct ReportInput {
    std::string title = {};
    std::vector<ReportFact> facts = {};  ///< printer, inks, paper, mode ..., in the order of showing
    std::vector<steer::TintAxis> axes = {};
    bool hasNoControl = false;  ///< the route has no tint control, and none is missed
    std::optional<judge::Verdict> verdict = {};
    std::string verdictOf = {};  ///< what was judged, e.g. "trial 4 at across=-8,up=0"
    std::optional<steer::Summary> summary = {};
    std::optional<steer::SettingMap> map = {};
    std::vector<ReportTrial> trials = {};
    std::vector<ReportCorrection> corrections = {};
    std::vector<ReportCurvePoint> curve = {};  ///< of the latest correction, where that is a curve
    std::vector<ReportTableRow> table = {};    ///< where it is a table
    std::vector<std::string> notes = {};       ///< of the reading and the search; the verdict brings its own
    std::string program = {};                  ///< name and version
    std::string date = {};
};

/// One self-contained page: words, tables and figures as SVG inside; no script, nothing fetched, made for A4
/// paper and screens alike. Well-formed as XML too. All texts are escaped; the same bytes for the same input.
/// Shape: settings hold one value for each axis; a map belongs to `axes`.
[[nodiscard]] std::string htmlFromReport(const ReportInput& input);

}  // namespace greywright::studio

#pragma once

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

/// What goes into a report. What is absent is said to be missing; no section is left out.
struct ReportInput {
    std::string title = {};
    std::vector<ReportFact> facts = {};  ///< printer, inks, paper, mode ..., in the order of showing
    std::vector<steer::TintAxis> axes = {};
    std::optional<judge::Verdict> verdict = {};
    std::string verdictOf = {};  ///< what was judged, e.g. "trial 4 at across=-8,up=0"
    std::optional<steer::Summary> summary = {};
    std::optional<steer::SettingMap> map = {};
    std::vector<ReportTrial> trials = {};
    std::vector<std::string> notes = {};  ///< of the reading and the search; the verdict brings its own
    std::string program = {};             ///< name and version
    std::string date = {};
};

/// One self-contained page: words, tables and figures as SVG inside; no script, nothing fetched, made for A4
/// paper and screens alike. Well-formed as XML too. All texts are escaped; the same bytes for the same input.
/// Shape: settings hold one value for each axis; a map belongs to `axes`.
[[nodiscard]] std::string htmlFromReport(const ReportInput& input);

}  // namespace greywright::studio

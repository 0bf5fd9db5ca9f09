#include "studio/report.h"

#include <algorithm>
#include <string_view>
#include <vector>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "colour/words.h"
#include "core/markup.h"
#include "core/numbers.h"
#include "core/said.h"
#include "figure/layout.h"
#include "figure/svg.h"
#include "judge/thresholds.h"
#include "studio/convert.h"
#include "studio/notice_figures.h"
#include "studio/report_figures.h"
#include "studio/report_words.h"

namespace greywright::studio {
namespace {

/// A number for people, with a true minus sign.
std::string number(double value, int decimals) {
    std::string text = textFromNumber(value, decimals);
    if (text.starts_with('-')) text.replace(0, 1, "−");
    return text;
}

std::string withFullStop(std::string text) {
    if (!text.empty() && text.back() != '.') text += '.';
    return text;
}

std::string paragraph(std::string_view text) {
    return fmt::format("<p>{}</p>\n", markupFromText(text));
}

std::string missing(std::string_view text) {
    return fmt::format("<p class=\"missing\">{}</p>\n", markupFromText(text));
}

std::string figureOf(const figure::Scene& scene, std::string_view id, std::string_view caption) {
    return fmt::format("<figure>\n{}\n<figcaption>{}</figcaption>\n</figure>\n",
                       figure::svgFromScene(scene, id), markupFromText(caption));
}

std::string figureOf(const figure::Plot& plot, std::string_view id, std::string_view caption) {
    return figureOf(figure::sceneFromPlot(plot), id, caption);
}

/// A table whose head repeats on every printed page. Numbers stand in cells of class "n".
class Table {
  public:
    Table(std::string_view kind, const std::vector<std::string_view>& heads) {
        html_ = fmt::format("<table class=\"{}\">\n<thead><tr>", kind);
        for (const std::string_view head : heads)
            html_ += fmt::format("<th scope=\"col\">{}</th>", markupFromText(head));
        html_ += "</tr></thead>\n<tbody>\n";
    }

    Table& row(std::string_view rowClass = {}) {
        closeRow();
        html_ += rowClass.empty() ? "<tr>" : fmt::format("<tr class=\"{}\">", rowClass);
        open_ = true;
        return *this;
    }
    Table& text(std::string_view words) {
        html_ += fmt::format("<td>{}</td>", markupFromText(words));
        return *this;
    }
    Table& figure(double value, int decimals) {
        html_ += fmt::format("<td class=\"n\">{}</td>", number(value, decimals));
        return *this;
    }
    Table& figure(const std::optional<double>& value, int decimals) {
        if (value) return figure(*value, decimals);
        html_ += "<td class=\"n\">–</td>";
        return *this;
    }

    [[nodiscard]] std::string html() {
        closeRow();
        return html_ + "</tbody>\n</table>\n";
    }

  private:
    void closeRow() {
        if (open_) html_ += "</tr>\n";
        open_ = false;
    }

    std::string html_;
    bool open_ = false;
};

std::string section(std::string_view id, std::string_view heading, const std::string& content) {
    return fmt::format("<section id=\"{}\">\n<h2>{}</h2>\n{}</section>\n", id, markupFromText(heading),
                       content);
}

constexpr std::string_view kNothingMeasured = "Nothing has been measured on this paper yet.";

std::string verdictSection(const ReportInput& input) {
    std::string out;
    if (input.verdict) {
        out += fmt::format("<p class=\"verdict\">{}</p>\n", markupFromText(input.verdict->summary));
        if (!input.verdictOf.empty())
            out += fmt::format("<p class=\"quiet\">Judged: {}.</p>\n", markupFromText(input.verdictOf));
    } else {
        out += missing(kNothingMeasured);
    }
    if (input.summary)
        out += fmt::format("<p class=\"next\">{}</p>\n", markupFromText(withFullStop(input.summary->reason)));
    std::vector<std::string> notes = input.notes;
    if (input.verdict) {
        for (const Note& note : input.verdict->notes) notes.push_back(note.text);
    }
    if (notes.empty()) return out;
    out += "<ul class=\"notes\">\n";
    for (const std::string& note : notes) out += fmt::format("<li>{}</li>\n", markupFromText(note));
    return out + "</ul>\n";
}

std::string toneSection(const ReportInput& input) {
    if (!input.verdict) return missing(kNothingMeasured);
    const judge::Verdict& verdict = *input.verdict;
    std::string out = paragraph(verdict.tone.words);
    out += figureOf(reportTonePlot(verdict), "tone",
                    "Lightness of every measured tone. On the straight line equal steps "
                    "of tone are equal steps of L*.");
    Table table("facts", {"Figure", "Value"});
    const auto labText = [](const std::optional<colour::Lab>& lab) {
        return lab ? fmt::format("L* {}, a* {}, b* {}", number(lab->L, 1), number(lab->a, 1),
                                 number(lab->b, 1))
                   : std::string("not measured");
    };
    const auto figureText = [](const std::optional<double>& value, int decimals, std::string_view unit) {
        return value ? number(*value, decimals) + std::string(unit) : std::string("not known");
    };
    table.row().text("Paper white").text(labText(verdict.paper));
    table.row().text("Maximum black").text(labText(verdict.black));
    table.row().text("Visual density of the black").text(figureText(verdict.visualDensityBlack, 2, ""));
    table.row()
        .text("Largest departure from the straight line")
        .text(verdict.tone.worstDepartureL
                  ? fmt::format("{} L* too {} at {:.0f} %", number(*verdict.tone.worstDepartureL, 1),
                                verdict.tone.worstDepartureIsLighter ? "light" : "dark",
                                verdict.tone.worstDepartureTonePercent)
                  : std::string("not known"));
    table.row().text("First tone to show").text(figureText(verdict.tone.firstVisibleTonePercent, 1, " %"));
    table.row()
        .text("Shadow separation, 95 % to 100 %")
        .text(figureText(verdict.tone.shadowSeparationL, 1, " L*"));
    return out + table.html();
}

std::string tintSection(const ReportInput& input) {
    if (!input.verdict) return missing(kNothingMeasured);
    const judge::Verdict& verdict = *input.verdict;
    std::string out = paragraph(fmt::format("The aim: {}.", wordsOfAim(verdict.aim)));
    if (!verdict.tint.zones.empty()) {
        Table table("facts", {"Part of the ramp", "Mean tint", "a* from aim", "b* from aim", "Worst ΔE00"});
        for (const judge::ZoneVerdict& zone : verdict.tint.zones) {
            table.row()
                .text(zone.name)
                .text(zone.words)
                .figure(zone.tint.a, 2)
                .figure(zone.tint.b, 2)
                .figure(zone.worstDeltaE00, 2);
        }
        out += table.html();
    }
    out += figureOf(reportTintPlot(verdict), "tint",
                    "Tint along the ramp. While a line stays inside its own band, and the other one on its "
                    "aim, nobody is "
                    "likely to see a tint.");
    out += figureOf(reportPathPlot(verdict), "path",
                    "The same in the a*b* plane: the way from paper to black beside the aim.");
    const std::vector<double> shown{0, 10, 20, 30, 40, 50, 60, 70, 80, 90, 100};
    const double factor = tintFactor(verdict.patches);
    out += figureOf(figure::sceneFromStrip(magnifiedTint(verdict.patches, shown, factor)), "magnified",
                    factor > 1
                        ? fmt::format("The tint, and the tint magnified {:.0f} times to show its direction; "
                                      "no print looks like the last row.",
                                      factor)
                        : std::string("The tint as it is."));
    return out;
}

std::string shareText(const judge::Share& share) {
    return fmt::format("{:.0f} % ({:.0f}–{:.0f})", 100 * share.value, 100 * share.low, 100 * share.high);
}

std::string lightText(const judge::LightVerdict& light) {
    std::string text = said("{}, {} lx", light.name, textFromNumber(light.lux));
    if (!light.glazing.empty()) text += ", " + light.glazing;
    return text;
}

std::string agesText(const judge::Notice& notice) {
    if (notice.youngestYears == notice.oldestYears) return fmt::format("{:.0f} years", notice.oldestYears);
    return fmt::format("{:.0f} to {:.0f} years", notice.youngestYears, notice.oldestYears);
}

/// What the table of lights cannot show: which tones, which people, how their eyes disagree.
std::string viewersPart(const judge::Verdict& verdict) {
    const judge::Notice& notice = *verdict.notice;
    std::string out;
    if (verdict.lights.size() > 1) {
        out += paragraph(
            fmt::format("In any of these lights: {} notice it beside a neutral, {} alone on a wall.",
                        shareText(notice.besideAnywhere), shareText(notice.aloneAnywhere)));
    }
    out += figureOf(
        figure::sceneFromCells(lightsByTones(notice, notice.tonesPercent)), "noticed",
        fmt::format("Share of {} viewers of {} who notice each tone beside something neutral, in percent. "
                    "The tone that most notice is framed.",
                    notice.viewers, agesText(notice)));
    if (notice.hasSpectra) {
        out += figureOf(
            viewersOnThePlane(notice), "viewers",
            "Where each viewer's own eyes see the worst tone. A wide cloud means that people will not "
            "agree about this grey.");
    }
    const figure::Cells ages = lightsByAges(notice);
    if (!ages.rows.empty()) {
        out += figureOf(figure::sceneFromCells(ages), "ages",
                        "Share who notice beside something neutral, by age, in percent.");
    }
    if (verdict.unevennessPercent) {
        out +=
            paragraph(fmt::format("The spectra of the greys are uneven by {} % at most, at {:.0f} % tone. A "
                                  "grey with an even spectrum is "
                                  "neutral in every light and for every eye; one mixed from coloured inks is "
                                  "uneven by 20 % and more.",
                                  number(*verdict.unevennessPercent, 1), verdict.unevennessTonePercent));
    }
    const judge::NoticeAssumptions& assumed = notice.assumptions;
    return out +
           fmt::format(
               "<p class=\"quiet\">{}</p>\n",
               markupFromText(fmt::format(
                   "Brackets hold 90 % intervals from the readings' noise ({} CIELAB units a patch) and "
                   "the number of viewers. Eyes follow CIE 170-1 and the spread of Asano et al. (2016). "
                   "Assumed, not measured: half the people of 30 years notice {} CAM16-UCS units beside "
                   "a neutral and {} alone on a wall; {:.0f} % see a tint where there is none. "
                   "Colour-deficient viewers are outside the model.",
                   number(notice.readingNoise, 2), number(assumed.thresholdBeside, 2),
                   number(assumed.thresholdAlone, 1), 100 * assumed.falseAlarms)));
}

std::string lightsSection(const ReportInput& input) {
    if (!input.verdict) return missing(kNothingMeasured);
    const std::vector<judge::LightVerdict>& lights = input.verdict->lights;
    const bool population = input.verdict->notice.has_value();
    std::vector<std::string_view> heads{"Light", "Worst tone", "ΔE00", "Direction", "Tint"};
    if (population) {
        heads.emplace_back("Notice it beside a neutral");
        heads.emplace_back("Alone on a wall");
    }
    Table table("facts", heads);
    for (const judge::LightVerdict& light : lights) {
        const bool seen = light.level == judge::TintLevel::slight || light.level == judge::TintLevel::plain;
        table.row()
            .text(lightText(light))
            .text(fmt::format("{:.0f} %", light.worstTonePercent))
            .figure(light.deltaE00, 2)
            .text(seen ? fmt::format("towards {}", colour::tintName(light.tint)) : "–")
            .text(judge::textFromLevel(light.level));
        if (!population) continue;
        table.text(shareText(light.notice->beside)).text(shareText(light.notice->alone));
    }
    std::string out = table.html();
    if (lights.size() < 2) {
        out += missing("Only D50 is answered: other lights need a reading with spectra.");
    }
    if (population) out += viewersPart(*input.verdict);
    return out;
}

std::string settingsSection(const ReportInput& input) {
    if (!input.summary || !input.summary->isUsable()) {
        return missing(input.summary
                           ? fmt::format("No trial has been read yet. The first sheet to print: {}.",
                                         wordsFromSetting(input.axes, input.summary->predicted.setting))
                       : input.hasNoControl ? std::string("This route has no tint control.")
                                            : std::string("No setting has been searched for."));
    }
    const steer::Summary& summary = *input.summary;
    Table table("facts", {"", "Setting", "Worst ΔE00 expected", "90 % interval", "At tone"});
    const auto add = [&](std::string_view name, const steer::Prediction& prediction) {
        table.row()
            .text(name)
            .text(wordsFromSetting(input.axes, prediction.setting))
            .figure(prediction.worstDeltaE00, 2)
            .text(fmt::format("{} to {}", number(prediction.worstDeltaE00Low, 2),
                              number(prediction.worstDeltaE00High, 2)))
            .text(fmt::format("{:.0f} %", prediction.worstTonePercent));
    };
    add(wordsOfStatus(summary), summary.predicted);
    add("Best this control can do", summary.bestAttainable);
    std::string out = table.html();
    if (!input.map) return out + missing("No map of settings was drawn.");
    std::string caption =
        input.map->up.empty()
            ? "Worst tint expected at every setting, with the trials by their numbers."
            : "Worst tint expected at every setting of two axes, with the trials by their numbers.";
    if (input.axes.size() > 2) {
        caption += fmt::format(" The third axis, {}, is held at {}.", input.axes[2].name,
                               number(summary.predicted.setting[2], 0));
    }
    return out + figureOf(reportSettingPlot(input), "settings", caption);
}

std::string correctionSection(const ReportInput& input) {
    if (input.corrections.empty()) return missing("Nothing is corrected by a curve or a table.");
    Table table("facts", {"Correction", "Kind", "Aim", "From trials", "After", "When"});
    for (const ReportCorrection& one : input.corrections) {
        table.row()
            .text(std::to_string(one.number))
            .text(one.kind)
            .text(one.aim)
            .text(fmt::format("{}", fmt::join(one.trials, ", ")))
            .text(one.replaces == 0 ? "–" : std::to_string(one.replaces))
            .text(one.when);
    }
    std::string out = table.html();
    if (!input.curve.empty()) {
        out +=
            figureOf(reportCurvePlot(input), "curve",
                     "The latest curve as its distance from the straight one. Where the straight line lies "
                     "within the band, the readings do not support a bend.");
    }
    if (!input.table.empty()) {
        out += figureOf(reportTablePlot(input), "table",
                        "The latest table as what each channel gets beyond the mean of the three.");
        double worst = 0;
        std::string named;
        for (const ReportTableRow& row : input.table) {
            worst = std::max(worst, row.tonePercent >= 5 ? row.deltaE00 : 0);
            if (row.remains == "nothing") continue;
            named += fmt::format("{}{} % ({}: {})", named.empty() ? "" : ", ", number(row.tonePercent, 0),
                                 row.remains, number(row.deltaE00, 1));
        }
        out += paragraph(fmt::format(
            "Foretold with it: {} CIEDE2000 from the aim at worst, lightness included. {}", number(worst, 2),
            named.empty() ? std::string("Nothing is left that anybody is likely to see.")
                          : fmt::format("What remains, and why: {}.", named)));
    }
    return out;
}

std::string trialsSection(const ReportInput& input) {
    if (input.trials.empty()) return missing("No trial has been printed yet.");
    Table table("trials", {"Trial", "Setting", "Worst ΔE00", "When", "Other choices", "Remark"});
    for (const ReportTrial& trial : input.trials) {
        table.row(trial.withdrawnBecause ? "withdrawn" : "")
            .text(std::to_string(trial.number))
            .text(wordsFromSetting(input.axes, trial.setting))
            .figure(trial.worstDeltaE00, 2)
            .text(trial.when)
            .text(trial.choices)
            .text(trial.withdrawnBecause ? "withdrawn: " + *trial.withdrawnBecause
                  : trial.worstDeltaE00  ? std::string()
                                         : std::string("not measured"));
    }
    return table.html();
}

std::string controlSection(const ReportInput& input) {
    if (!input.summary || input.summary->control.empty()) {
        return missing(input.hasNoControl ? "This route has no tint control."
                                          : "Not known yet: that takes trials at different settings.");
    }
    std::string out = "<ul>\n";
    Table table("facts", {"Axis, one unit up", "a*", "± s.e.", "b*", "± s.e.", "L*", "± s.e."});
    for (const steer::AxisAction& action : input.summary->control) {
        out += fmt::format("<li>{}</li>\n", markupFromText(action.words));
        table.row()
            .text(action.axis)
            .figure(action.a, 3)
            .figure(action.standardErrorA, 3)
            .figure(action.b, 3)
            .figure(action.standardErrorB, 3)
            .figure(action.L, 3)
            .figure(action.standardErrorL, 3);
    }
    return out + "</ul>\n" + table.html() +
           "<p class=\"quiet\">At the mid tone (50 %), in CIELAB units; s.e. is half of what the middle 68 % "
           "of the belief cover.</p>\n";
}

std::string measuredSection(const ReportInput& input) {
    if (!input.verdict) return missing(kNothingMeasured);
    Table table("measured", {"Tone %", "L*", "a*", "b*", "aim L*", "aim a*", "aim b*", "ΔCh", "ΔE00"});
    for (const judge::PatchVerdict& patch : input.verdict->patches) {
        table.row()
            .figure(patch.tonePercent, 1)
            .figure(patch.lab.L, 2)
            .figure(patch.lab.a, 2)
            .figure(patch.lab.b, 2)
            .figure(patch.aimL, 2)
            .figure(patch.aim.a, 2)
            .figure(patch.aim.b, 2)
            .figure(patch.deltaCh, 2)
            .figure(patch.deltaE00, 2);
    }
    return table.html() + "<p class=\"quiet\">CIELAB for D50 and the 2° observer.</p>\n";
}

std::string methodSection() {
    std::string out;
    for (const std::string& text : methodParagraphs()) out += paragraph(text);
    out += "<ul class=\"sources\">\n";
    for (const std::string_view source : methodSources())
        out += fmt::format("<li>{}</li>\n", markupFromText(source));
    return out + "</ul>\n";
}

constexpr std::string_view kStyle = R"(
:root { color-scheme: light; }
body { margin: 0 auto; padding: 24pt 20pt; max-width: 494pt; background: #fff; color: #22262a;
  font: 10pt/1.45 Georgia, "Times New Roman", serif; }
h1, h2, th, figcaption, .quiet, .missing, dt { font-family: "Helvetica Neue", Arial, sans-serif; }
h1 { font-size: 19pt; line-height: 1.2; margin: 0 0 4pt; font-weight: 600; overflow-wrap: anywhere; }
h2 { font-size: 12pt; margin: 22pt 0 6pt; padding-top: 6pt; border-top: 0.75pt solid #9ba1a6; font-weight: 600; }
p { margin: 0 0 6pt; }
dl { display: grid; grid-template-columns: max-content 1fr; gap: 1pt 12pt; margin: 8pt 0 0; font-size: 9.5pt; }
dt { color: #50575d; }
dd { margin: 0; overflow-wrap: anywhere; }
ul { margin: 0 0 6pt; padding-left: 14pt; }
.verdict { font-size: 12.5pt; line-height: 1.4; }
.next { border-left: 2pt solid #22262a; padding-left: 8pt; }
.quiet, .notes, .sources { color: #50575d; font-size: 8.5pt; }
.missing { color: #50575d; font-style: italic; font-size: 9.5pt; }
figure { margin: 10pt 0 12pt; }
figure svg { display: block; max-width: 100%; height: auto; }
figcaption { font-size: 8.5pt; color: #50575d; margin-top: 3pt; }
table { border-collapse: collapse; margin: 6pt 0 10pt; font-size: 9pt; width: 100%; }
th { text-align: left; font-size: 8pt; font-weight: 600; color: #50575d; border-bottom: 0.75pt solid #22262a; }
th, td { padding: 2.2pt 8pt 2.2pt 0; vertical-align: baseline; overflow-wrap: break-word; }
td { border-bottom: 0.4pt solid #d5d9dc; }
td.n { font-variant-numeric: tabular-nums lining-nums; white-space: nowrap; }
.measured td { padding-top: 1pt; padding-bottom: 1pt; font-size: 8.5pt; }
.withdrawn td { color: #50575d; }
footer { margin-top: 18pt; font-size: 8pt; color: #50575d; }
@page { size: A4; margin: 16mm 18mm 18mm; }
@media print {
  body { padding: 0; max-width: none; }
  figure, tr, li, .verdict, .facts, dl { break-inside: avoid; }
  h2 { break-after: avoid; }
  p.missing { break-before: avoid; }
  thead { display: table-header-group; }
}
)";

}  // namespace

std::string htmlFromReport(const ReportInput& input) {
    const std::string title = markupFromText(input.title.empty() ? "Report" : input.title);
    std::string facts;
    for (const ReportFact& fact : input.facts) {
        facts +=
            fmt::format("<dt>{}</dt><dd>{}</dd>\n", markupFromText(fact.name), markupFromText(fact.value));
    }
    if (!facts.empty()) facts = "<dl>\n" + facts + "</dl>\n";
    std::string out = fmt::format(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\"/>\n"
        "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n<title>{}</title>\n"
        "<style>{}</style>\n</head>\n<body>\n<header>\n<h1>{}</h1>\n{}</header>\n<main>\n",
        title, kStyle, title, facts);
    out += section("verdict", "Verdict", verdictSection(input));
    out += section("tone-section", "Tone", toneSection(input));
    out += section("tint-section", "Tint", tintSection(input));
    out += section("lights", "Who would notice, and under which light", lightsSection(input));
    out += section("settings-section", "Settings, for D50", settingsSection(input));
    out += section("correction", "Correction", correctionSection(input));
    out += section("trials", "Trials", trialsSection(input));
    out += section("control", "What the tint control does", controlSection(input));
    out += section("measured", "What was measured", measuredSection(input));
    out += section("method", "Method and sources", methodSection());
    out += "</main>\n<footer>";
    out += markupFromText(input.program);
    if (!input.program.empty() && !input.date.empty()) out += ", ";
    out += markupFromText(input.date);
    return out + "</footer>\n</body>\n</html>\n";
}

}  // namespace greywright::studio

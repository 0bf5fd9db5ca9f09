#include <algorithm>
#include <cmath>
#include <optional>

#include "core/contract.h"
#include "core/numbers.h"
#include "core/said.h"
#include "figure/layout.h"
#include "figure/style.h"
#include "figure/type.h"

namespace greywright::figure {
namespace {

constexpr double kGapPt = 3;       // between cells; room for a frame, less where there are many
constexpr double kApartPt = 9;     // more, before the columns that stand apart
constexpr double kNamesGapPt = 6;  // from the names of rows to the cells
constexpr double kLeastNameWidthPt = 30;
constexpr double kMostNamesShare = 0.35;
constexpr std::size_t kMostNameLines = 3;
constexpr double kFramePt = 1.1;

std::string percentText(double fraction) {
    return textFromNumber(100 * fraction, 0);
}

/// Where the cells stand on the page.
struct Places {
    double left = 0;
    double top = 0;
    double width = 0;   ///< of a cell
    double height = 0;  ///< of a cell
    double gap = kGapPt;
    double apart = 0;
    std::size_t firstApart = 0;

    [[nodiscard]] Rect cell(std::size_t row, std::size_t column) const {
        return {left + static_cast<double>(column) * (width + gap) + (column >= firstApart ? apart : 0),
                top + static_cast<double>(row) * (height + kGapPt), width, height};
    }
};

Text words(std::string text, Point at, Rgb colour, Anchor anchor) {
    return {.at = at, .text = std::move(text), .sizePt = kLabelSizePt, .colour = colour, .anchor = anchor};
}

/// For readers who cannot see the cells.
std::string describe(const Cells& cells) {
    std::string text;
    const std::size_t together = cells.columns.size() - cells.columnsApart;
    for (const CellRow& row : cells.rows) {
        std::optional<std::size_t> largest;
        for (std::size_t i = 0; i < together; ++i) {
            if (!std::isfinite(row.fractions[i])) continue;
            if (!largest || row.fractions[i] > row.fractions[*largest]) largest = i;
        }
        if (!largest) continue;
        text +=
            (text.empty() ? "" : "; ") +
            said("{} {} % at {}", row.name, percentText(row.fractions[*largest]), cells.columns[*largest]);
    }
    return text.empty() ? said("No data") : said("Largest share: {}.", text);
}

std::vector<std::string> linesOfName(const std::string& name, double cellWidthPt) {
    std::vector<std::string> lines =
        wrapped(name, kLabelSizePt, std::max(cellWidthPt + kGapPt - 2, kLeastNameWidthPt));
    if (lines.size() > kMostNameLines) lines.resize(kMostNameLines);
    return lines;
}

/// The names of the columns upwards from `bottom`; of names that would meet, the later ones stay away.
void paintColumnNames(const Cells& cells, const Places& places, double bottom, Scene& scene) {
    double freeFrom = 0;
    for (std::size_t column = 0; column < cells.columns.size(); ++column) {
        const std::vector<std::string> lines = linesOfName(cells.columns[column], places.width);
        double width = 0;
        for (const std::string& line : lines) width = std::max(width, textWidthPt(line, kLabelSizePt));
        const double middle = std::min(places.cell(0, column).centre().x, cells.widthPt - width / 2);
        if (middle - width / 2 < freeFrom) continue;
        freeFrom = middle + width / 2 + 2;
        addLines(scene, lines, {middle, bottom - linesHeightPt(lines.size(), kLabelSizePt)}, kLabelSizePt,
                 kQuietTextColour, Anchor::middle);
    }
}

void paintCell(double fraction, const Rect& box, bool hasNumbers, Scene& scene) {
    const bool known = std::isfinite(fraction);
    if (known) {
        addRect(scene, box, Fill{cellRamp(fraction)}, {});
    } else {
        addRect(scene, box, {}, Stroke{kGridColour, 0.5, {}});
    }
    if (!hasNumbers) return;
    Text text =
        words(known ? percentText(fraction) : "–", {box.centre().x, box.centre().y + 0.36 * kLabelSizePt},
              kQuietTextColour, Anchor::middle);
    if (known) {
        text.ground = cellRamp(fraction);
        text.colour = textColourOn(*text.ground);
    }
    add(scene, std::move(text));
}

void check(const Cells& cells) {
    expects(cells.widthPt >= 150 && cells.cellHeightPt >= 12, "cells are at least 150 pt wide and 12 high");
    expects(cells.columnsApart <= cells.columns.size(), "no more columns stand apart than there are");
    for (const CellRow& row : cells.rows) {
        expects(row.fractions.size() == cells.columns.size(), "one fraction per column");
        for (const double fraction : row.fractions)
            expects(!std::isfinite(fraction) || (fraction >= 0 && fraction <= 1), "a share is 0 to 1");
    }
    expects(!cells.marked ||
                (cells.marked->row < cells.rows.size() && cells.marked->column < cells.columns.size()),
            "the marked cell exists");
}

}  // namespace

CellPage layOut(const Cells& cells) {
    check(cells);
    CellPage page{{.widthPt = cells.widthPt, .title = cells.title, .description = cells.description}, {}};
    Scene& scene = page.scene;
    if (scene.description.empty()) scene.description = describe(cells);
    const double inner = cells.widthPt - 2 * kPagePaddingPt;
    double y = addLines(scene, wrapped(cells.title, kTitleSizePt, inner), {kPagePaddingPt, kPagePaddingPt},
                        kTitleSizePt, kTextColour, Anchor::start);
    if (!cells.title.empty()) y += 4;
    if (cells.rows.empty() || cells.columns.empty()) {
        y = addLines(scene, {"No data"}, {cells.widthPt / 2, y + 4}, kTitleSizePt, kQuietTextColour,
                     Anchor::middle);
        scene.heightPt = y + kPagePaddingPt;
        return page;
    }

    double namesWidth = 0;
    for (const CellRow& row : cells.rows)
        namesWidth = std::max(namesWidth, textWidthPt(row.name, kLabelSizePt));
    namesWidth = std::min(namesWidth, cells.widthPt * kMostNamesShare);
    Places places{.left = kPagePaddingPt + (namesWidth > 0 ? namesWidth + kNamesGapPt : 0),
                  .height = cells.cellHeightPt,
                  .firstApart = cells.columns.size() - cells.columnsApart};
    const double area = cells.widthPt - kPagePaddingPt - places.left;
    const auto count = static_cast<double>(cells.columns.size());
    places.apart = places.firstApart > 0 && places.firstApart < cells.columns.size() ? kApartPt : 0;
    places.gap = std::min(kGapPt, 0.2 * area / count);
    places.width = (area - places.apart - (count - 1) * places.gap) / count;

    y = addLines(scene, wrapped(cells.columnsTitle, kAxisTitleSizePt, area), {places.left, y},
                 kAxisTitleSizePt, kTextColour, Anchor::start);
    std::size_t lines = 0;
    for (const std::string& name : cells.columns)
        lines = std::max(lines, linesOfName(name, places.width).size());
    y += linesHeightPt(lines, kLabelSizePt) + 2;
    paintColumnNames(cells, places, y, scene);
    places.top = y + 2;

    double widest = 0;
    for (const CellRow& row : cells.rows) {
        for (const double fraction : row.fractions) {
            if (std::isfinite(fraction))
                widest = std::max(widest, textWidthPt(percentText(fraction), kLabelSizePt));
        }
    }
    for (std::size_t row = 0; row < cells.rows.size(); ++row) {
        const double middle = places.cell(row, 0).centre().y;
        add(scene, words(shortened(cells.rows[row].name, kLabelSizePt, namesWidth),
                         {kPagePaddingPt, middle + 0.36 * kLabelSizePt}, kTextColour, Anchor::start));
        for (std::size_t column = 0; column < cells.columns.size(); ++column) {
            const Rect box = places.cell(row, column);
            paintCell(cells.rows[row].fractions[column], box, widest <= places.width, scene);
            page.cells.push_back({row, column, box});
        }
    }
    if (cells.marked) {
        const Rect box = places.cell(cells.marked->row, cells.marked->column);
        const double out = places.gap / 2;
        addRect(scene, {box.left - out, box.top - out, box.width + 2 * out, box.height + 2 * out}, {},
                Stroke{kTextColour, kFramePt, {}});
    }
    scene.heightPt = places.cell(cells.rows.size() - 1, 0).bottom() + kPagePaddingPt;
    return page;
}

Scene sceneFromCells(const Cells& cells) {
    return layOut(cells).scene;
}

}  // namespace greywright::figure

#include <algorithm>
#include <array>
#include <functional>
#include <utility>

#include <fmt/format.h>

#include "core/said.h"
#include "measure/lamp_points.h"
#include "measure/lamp_rows.h"

namespace greywright::measure {
namespace {

constexpr char kBlanks = ' ';
constexpr std::string_view kSeparators{"\t;, "};
constexpr std::size_t kMostLines = 200'000;  // at 0.01 nm from 187 to 1117 nm there are 93,000
constexpr std::size_t kMostHeadingsListed = 24;
constexpr const char* kGiveTable =
    toSay("Give a spectrum as IES TM-27 or as a table of wavelengths and values");

using Cells = std::vector<std::string_view>;

/// Splits at runs of two blanks or more, or tabs: how blank-aligned headings of several words are set.
void splitAtWideBlanks(std::string_view line, Cells& cells) {
    cells.clear();
    line = trimmed(line);
    while (!line.empty() && cells.size() < kMostColumns) {
        std::size_t end = 0;
        while (end < line.size() && line[end] != '\t' && line.substr(end, 2) != "  ") ++end;
        cells.push_back(trimmed(line.substr(0, end)));
        line = trimmed(line.substr(end));
    }
}

class LampTable {
  public:
    LampTable(std::string_view text, const LampSource& source, const std::optional<std::string>& column,
              std::vector<Note> notes)
        : source_(source), column_(column) {
        points_.notes = std::move(notes);
        points_.format = "table";
        LineCursor cursor(text);
        while (lines_.size() <= kMostLines) {
            const auto line = cursor.next();
            if (!line) break;
            lines_.push_back(*line);
        }
    }

    Result<SpectralPoints> read() {
        if (lines_.size() > kMostLines) {
            return source_.refusal("too-long", said("has more than {} lines", kMostLines),
                                   said("Check that it is the file you meant"), kMostLines + 1);
        }
        separator_ = lampSeparator(lines_);
        blocks_ = lampBlocks(lines_, separator_);
        if (blocks_.empty()) {
            return source_.refusal("not-recognised", said("has no rows of a wavelength and a value"),
                                   kGiveTable, 1);
        }
        chooseBlock();
        if (auto checked = checkLayout(); !checked) return std::move(checked).error();
        for (const auto step :
             {&LampTable::findHeadings, &LampTable::checkWavelengths, &LampTable::chooseColumn,
              &LampTable::takeValues, &LampTable::settleOrdinate}) {
            if (auto done = (this->*step)(); !done) return std::move(done).error();
        }
        takeNames();
        noteRest();
        return std::move(points_);
    }

  private:
    Outcome checkLayout() {
        if (block_->strayLine) {
            return source_.refusal(
                "row-unreadable",
                said("{} stands amid the rows of the spectrum", shown(lines_[*block_->strayLine].text)),
                said("Remove the line or correct it"), lines_[*block_->strayLine].number);
        }
        const Line& first = lineOf(block_->rows.front());
        splitLampLine(first.text, separator_, cells_);
        if (block_->rows.size() == 1 && cells_.size() >= kFewestTableRows) {
            return source_.refusal("not-recognised", said("has its values in a row"),
                                   said("Give one wavelength per line"), first.number);
        }
        return Done{};
    }

    /// The finest over what is visible, of equals the widest.
    void chooseBlock() {
        block_ = &blocks_.front();
        std::size_t mostVisible = 0;
        std::size_t tables = 0;
        for (const LampBlock& block : blocks_) {
            const std::size_t visible = block.visibleCount();
            if (block.rows.size() >= kFewestTableRows) ++tables;
            if (visible > mostVisible || (visible == mostVisible && block.width() > block_->width())) {
                mostVisible = visible;
                block_ = &block;
            }
        }
        if (tables > 1) {
            points_.notes.push_back(
                {"several-spectra",
                 said("the file holds {} tables; the finest was read, which begins on line {}", tables,
                      lines_[block_->rows.front().lineIndex].number),
                 {source_.source.path, lines_[block_->rows.front().lineIndex].number}});
        }
    }

    [[nodiscard]] const Line& lineOf(const LampRow& row) const { return lines_[row.lineIndex]; }

    // --- headings ---

    /// The line above `below` that is no blank and no marker, unless it is a row of another table.
    [[nodiscard]] std::optional<std::size_t> lineAbove(std::size_t below) const {
        while (below > 0) {
            const std::string_view text = lines_[--below].text;
            if (isEmptyLine(text) || isBlockMarker(text) || trimmed(text) == "#") continue;
            return below;
        }
        return std::nullopt;
    }

    /// Whether a line has one cell per column; if so they are in cells_.
    bool splitHeading(std::string_view text) {
        text = trimmed(text);
        while (text.starts_with('#')) text = trimmed(text.substr(1));
        splitLampLine(text, separator_, cells_);
        if (cells_.size() != count_ && separator_ == kBlanks) splitAtWideBlanks(text, cells_);
        return cells_.size() == count_ && !wavelengthFromCell(cellText(cells_[0]));
    }

    Outcome findHeadings() {
        splitLampLine(lineOf(block_->rows.front()).text, separator_, cells_);
        count_ = cells_.size();
        headings_.assign(count_, "");
        const auto nearest = lineAbove(block_->rows.front().lineIndex);
        if (!nearest) return Done{};
        headingLine_ = lines_[*nearest].number;
        const std::string_view text = lines_[*nearest].text;
        if (!splitHeading(text)) {
            // Of a line that is not split, only the first word tells that it is a heading.
            if (!namesWavelengths(text.substr(0, text.find_first_of(" \t")))) return Done{};
            if (separator_ == ',' && cells_.size() >= 2 && cells_.size() < count_) {
                return source_.refusal(
                    "row-too-long", said("this row has {} cells, the header has {}", count_, cells_.size()),
                    said("Correct the row; decimal commas need semicolons or tabs between the cells"),
                    lineOf(block_->rows.front()).number);
            }
            wholeHeading_ = text;
            firstHeadingLine_ = *nearest;
            return Done{};
        }
        if (!namesWavelengths(cellText(cells_[0])) && count_ < 3) return Done{};
        for (std::size_t i = 0; i < count_; ++i) headings_[i] = cellText(cells_[i]);
        firstHeadingLine_ = *nearest;
        if (!areUnits()) return checkUnit();
        const auto above = lineAbove(*nearest);
        if (!above || !splitHeading(lines_[*above].text)) return checkUnit();
        if (count_ == 2 && !namesWavelengths(cellText(cells_[0]))) return checkUnit();
        firstHeadingLine_ = *above;
        units_ = std::exchange(headings_, std::vector<std::string>(count_));
        for (std::size_t i = 0; i < count_; ++i) headings_[i] = cellText(cells_[i]);
        return checkUnit();
    }

    /// Whether the headings are units, so that names may stand above them.
    [[nodiscard]] bool areUnits() const {
        const auto isUnit = [](const std::string& heading) {
            return heading.find('/') != std::string::npos || heading.find("-1") != std::string::npos ||
                   heading.starts_with('[') || heading.starts_with('(');
        };
        const auto first = headings_.begin() + 1;
        return std::all_of(first, headings_.end(), isUnit) ||
               (count_ > 2 &&
                std::adjacent_find(first, headings_.end(), std::not_equal_to<>()) == headings_.end());
    }

    Outcome checkUnit() const {
        const std::string words = headings_[0] + ' ' + (units_.empty() ? "" : units_[0]);
        if (wavelengthUnitIn(words) != WavelengthUnit::foreign) return Done{};
        return source_.refusal("wavelength-unit", said("{} is no wavelength in nanometres", shown(words)),
                               said("Give the wavelengths in nm, in the first column"), headingLine_,
                               "wavelength");
    }

    /// Row numbers are no wavelengths: said before anything is asked about columns.
    Outcome checkWavelengths() {
        SpectralPoints wavelengths;
        for (const LampRow& row : block_->rows) {
            wavelengths.wavelengths.push_back(row.wavelength);
            wavelengths.lines.push_back(lineOf(row).number);
        }
        return inNanometres(wavelengths, source_);
    }

    // --- the column ---

    [[nodiscard]] std::string headingOf(std::size_t column) const {
        return headings_[column].empty() ? said("column {}", column) : headings_[column];
    }

    Outcome chooseColumn() {
        std::vector<bool> hasNumbers(count_, false);
        for (const LampRow& row : block_->rows) {
            splitLampLine(lineOf(row).text, separator_, cells_);
            for (std::size_t i = 1; i < std::min(cells_.size(), count_); ++i) {
                if (!hasNumbers[i]) hasNumbers[i] = isLampNumber(cells_[i]);
            }
        }
        std::vector<std::size_t> columns;
        for (std::size_t i = 1; i < count_; ++i) {
            if (hasNumbers[i]) columns.push_back(i);
        }
        isOneOfSeveral_ = columns.size() > 1;
        std::string listed;
        for (std::size_t i = 0; i < std::min(columns.size(), kMostHeadingsListed); ++i) {
            listed += fmt::format("{}{} {}", i == 0 ? "" : ", ", i + 1, shown(headingOf(columns[i])));
        }
        if (columns.size() > kMostHeadingsListed) listed += " ...";
        const std::size_t line =
            firstHeadingLine_ ? lines_[*firstHeadingLine_].number : lineOf(block_->rows.front()).number;
        if (!column_ && columns.size() > 1) {
            return source_.refusal("column-missing", said("holds {} spectra: {}", columns.size(), listed),
                                   said("Say which one, by its heading or its number"), line);
        }
        if (!column_) {
            chosen_ = columns.front();
            return Done{};
        }
        const std::string wanted = upper(cleanText(*column_));
        std::vector<std::size_t> fitting;
        for (const std::size_t column : columns) {
            if (!headings_[column].empty() && upper(headings_[column]) == wanted) fitting.push_back(column);
        }
        if (fitting.empty()) {
            for (std::size_t i = 0; i < columns.size(); ++i) {
                if (wanted == std::to_string(i + 1)) fitting.push_back(columns[i]);
            }
        }
        if (fitting.size() != 1) {
            return source_.refusal(
                "column-unknown",
                said("has {} spectrum {}; it holds {}", fitting.empty() ? "no" : said("more than one"),
                     shown(*column_), listed),
                said("Say which one, by its heading or its number"), line, cleanText(*column_));
        }
        chosen_ = fitting.front();
        return Done{};
    }

    // --- values ---

    Outcome takeValues() {
        MarkedNumbers numbers;
        for (const LampRow& row : block_->rows) {
            splitLampLine(lineOf(row).text, separator_, cells_);
            const std::size_t line = lineOf(row).number;
            if (cells_.size() > count_) {
                return source_.refusal(
                    "row-too-long", said("this row has {} cells, the first has {}", cells_.size(), count_),
                    separator_ == ',' ? said("Correct the row; decimal commas need semicolons or tabs "
                                             "between the cells")
                                      : said("Correct the row or export it again"),
                    line);
            }
            const std::string text = chosen_ < cells_.size() ? cellText(cells_[chosen_]) : "";
            if (text.empty()) {
                return source_.refusal("value-missing", said("this row has no value"),
                                       said("Give a value or leave the row out"), line, headings_[chosen_]);
            }
            const auto value = numbers.read(text);
            if (!value) {
                return source_.refusal("not-a-number", said("{} is not a number", shown(text)),
                                       said("Correct the value or export it again"), line,
                                       headings_[chosen_]);
            }
            const auto wavelength = wavelengthFromCell(cellText(cells_[0]));
            (void)numbers.read(wavelength->digits);
            points_.wavelengths.push_back(row.wavelength);
            points_.values.push_back(*value);
            points_.lines.push_back(line);
        }
        return checkMarks(numbers, source_, points_.lines.front(), points_.notes);
    }

    // --- what the values are ---

    /// A line above the table: "key: value", or a remark without a key.
    struct Entry {
        std::string key = {};
        std::string value = {};
    };
    [[nodiscard]] static Entry entryOf(std::string_view line) {
        std::string_view text = trimmed(line);
        while (!text.empty() && (text.front() == '#' || text.front() == '"')) text.remove_prefix(1);
        text = trimmed(text.substr(0, 1000));
        const std::size_t at = text.find_first_of(":=\t;,");
        if (at == std::string_view::npos) return {.value = cleanText(text)};
        std::string_view value = text.substr(at + 1);
        const auto isEdge = [](char c) { return c == '"' || kSeparators.find(c) != std::string_view::npos; };
        while (!value.empty() && isEdge(value.front())) value.remove_prefix(1);
        while (!value.empty() && isEdge(value.back())) value.remove_suffix(1);
        return {.key = cleanText(text.substr(0, at)), .value = cleanText(value)};
    }

    [[nodiscard]] std::size_t endOfPreamble() const {
        return firstHeadingLine_.value_or(block_->rows.front().lineIndex);
    }

    Outcome settleOrdinate() {
        std::string heading = wholeHeading_;
        if (heading.empty()) heading = headings_[chosen_] + ' ' + (units_.empty() ? "" : units_[chosen_]);
        Ordinate found = ordinateIn(heading);
        found.line = headingLine_;
        found.field = headings_[chosen_];
        using enum Ordinate::Kind;
        for (std::size_t i = 0; i < endOfPreamble(); ++i) {
            if (isEmptyLine(lines_[i].text)) continue;
            const Entry entry = entryOf(lines_[i].text);
            // Figures derived from the spectrum have units too, and remarks may praise a lamp's efficiency or
            // thank a Photon Laboratory.
            const bool isRemark = entry.key.empty() || entry.value.empty();
            const bool speaks = speaksOfSpectrum(entry.key, lines_[i].text);
            if (!isRemark && !speaks) continue;
            Ordinate said = ordinateIn(lines_[i].text);
            const bool isWord = said.kind == photons && said.quantity.empty() &&
                                upper(lines_[i].text.substr(0, 1000)).find("MOL") == std::string::npos;
            if (!speaks && (said.kind == power || said.kind == other || isWord)) said.kind = notSaid;
            if (found.quantity.empty()) found.quantity = said.quantity;
            if (found.scale == SpectralScale::notSaid) found.scale = said.scale;
            if (said.kind == notSaid) continue;
            said.line = lines_[i].number;
            said.field = entry.key;
            if (!remark_ || remark_->kind == said.kind) {
                if (!remark_) remark_ = std::move(said);
            } else {
                remarkOther_ = std::move(said);
            }
        }
        if (found.kind == notSaid && remark_) {
            if (remarkOther_) {
                return source_.refusal("unit-unclear",
                                       said("says two different things about its values, here and on "
                                            "line {}",
                                            remark_->line),
                                       said("Name the unit in the heading of the column"), remarkOther_->line,
                                       remarkOther_->field);
            }
            found.kind = remark_->kind;
            found.line = remark_->line;
            found.field = remark_->field;
        }
        points_.ordinate = std::move(found);
        return Done{};
    }

    void takeNames() {
        static constexpr std::array<std::string_view, 8> kNames{
            "NAME", "LAMP", "LAMPNAME", "LIGHTSOURCE", "SAMPLE", "SAMPLENAME", "TITLE", "PRODUCT"};
        static constexpr std::array<std::string_view, 6> kDescriptions{"DESCRIPTION", "COMMENT", "COMMENTS",
                                                                       "NOTE",        "NOTES",   "REMARK"};
        for (std::size_t i = 0; i < endOfPreamble(); ++i) {
            const Entry entry = entryOf(lines_[i].text);
            const std::string key = bareName(entry.key);
            const auto isOneOf = [&](const auto& keys) { return std::ranges::find(keys, key) != keys.end(); };
            if (points_.name.empty() && isOneOf(kNames)) points_.name = entry.value;
            if (points_.description.empty() && isOneOf(kDescriptions)) points_.description = entry.value;
        }
        if (!isOneOfSeveral_) return;
        if (points_.description.empty()) points_.description = std::move(points_.name);
        points_.name = headingOf(chosen_);
    }

    /// Lines below the table that belong to no table.
    void noteRest() {
        std::vector<bool> isInTable(lines_.size(), false);
        for (const LampBlock& block : blocks_) {
            if (block.rows.size() < kFewestTableRows) continue;
            for (const LampRow& row : block.rows) isInTable[row.lineIndex] = true;
        }
        std::size_t count = 0;
        std::size_t first = 0;
        for (std::size_t i = block_->rows.back().lineIndex + 1; i < lines_.size(); ++i) {
            const std::string_view text = lines_[i].text;
            if (isInTable[i] || isEmptyLine(text) || isComment(text) || isBlockMarker(text)) continue;
            if (count++ == 0) first = lines_[i].number;
        }
        if (count == 0) return;
        points_.notes.push_back(
            {"rows-ignored",
             said("{} {} below the spectrum {} no wavelength and {} left out", count,
                  count == 1 ? "line" : "lines", count == 1 ? "has" : "have", count == 1 ? "was" : "were"),
             {source_.source.path, first}});
    }

    const LampSource& source_;
    const std::optional<std::string>& column_;
    std::vector<Line> lines_;
    std::vector<LampBlock> blocks_;
    const LampBlock* block_ = nullptr;
    Cells cells_;
    char separator_ = ',';
    std::size_t count_ = 0;  // cells of a row
    std::vector<std::string> headings_;
    std::vector<std::string> units_;
    std::string wholeHeading_;
    std::size_t headingLine_ = 0;
    std::optional<std::size_t> firstHeadingLine_;  // index
    std::size_t chosen_ = 1;
    bool isOneOfSeveral_ = false;
    std::optional<Ordinate> remark_;
    std::optional<Ordinate> remarkOther_;
    SpectralPoints points_;
};

}  // namespace

Result<SpectralPoints> pointsFromLampTable(std::string_view text, const LampSource& source,
                                           const std::optional<std::string>& column,
                                           std::vector<Note> notes) {
    return LampTable(text, source, column, std::move(notes)).read();
}

}  // namespace greywright::measure

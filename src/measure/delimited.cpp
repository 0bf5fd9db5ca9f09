#include "measure/delimited.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "core/numbers.h"
#include "core/said.h"
#include "measure/table.h"

namespace greywright::measure {
namespace {

constexpr std::size_t kMostPreambleLines = 200;
constexpr char kBlanks = ' ';
constexpr std::string_view kSeparators{"\t;, "};

/// False for a quote that is not closed, or for more cells than any instrument writes.
bool split(std::string_view line, char separator, std::vector<std::string_view>& cells) {
    if (separator != kBlanks) return splitCells(line, separator, cells);
    return splitTokens(line, cells) && cells.size() <= kMostColumns;
}

bool isNothing(std::string_view line) {
    const std::string_view text = trimmed(line);
    return text.empty() || text.front() == '#' || text.find_first_not_of("\t;, ") == std::string_view::npos;
}

/// Ten or more wavelengths in equal steps, in the order of the columns: not just a row of numbers.
bool isWavelengthRow(const ColumnRoles& roles) {
    const auto& bands = roles.bands;
    if (bands.size() < 10) return false;
    const double step = (bands.back().first - bands.front().first) / static_cast<double>(bands.size() - 1);
    for (std::size_t i = 1; i < bands.size(); ++i) {
        if (std::abs(bands[i].first - bands[i - 1].first - step) > 1) return false;
    }
    return true;
}

bool isHeader(const ColumnRoles& roles, const std::vector<std::string>& columns) {
    if (roles.hasLab() || roles.hasLch() || roles.hasXyz() || !roles.wavelengthAndValue.empty()) return true;
    const auto marked = [&](const auto& band) {
        return wavelengthFromName(columns[band.second], ShortNames::no).has_value();
    };
    if (std::ranges::any_of(roles.bands, marked)) return roles.bands.size() >= 4;
    return isWavelengthRow(roles);
}

class DelimitedParser {
  public:
    DelimitedParser(std::string_view text, const Source& source, std::vector<Note> notes)
        : text_(text), source_(source), notes_(std::move(notes)) {}

    Result<Reading> read() {
        LineCursor cursor(text_);
        for (std::size_t i = 0; i < kMostPreambleLines; ++i) {
            const auto line = cursor.next();
            if (!line) break;
            const auto found = tryHeader(*line);
            if (!found) return found.error();
            if (*found) return readRows(cursor);
            takePreamble(*line);
        }
        return readOnEnd();
    }

  private:
    /// Whether this line names the columns. When it would but for a fault, that fault.
    Result<bool> tryHeader(const Line& line) {
        if (isNothing(line.text)) return false;
        for (const char separator : kSeparators) {
            if (line.text.find(separator) == std::string_view::npos) continue;
            if (!split(line.text, separator, cells_)) continue;
            while (!cells_.empty() && cells_.back().empty()) cells_.pop_back();
            std::vector<std::string> columns;
            for (const std::string_view cell : cells_) columns.push_back(cellText(cell));
            const auto roles = columnRoles(columns, line.number, ShortNames::yes, source_);
            if (roles ? isHeader(*roles, columns) : isFaultyHeader(columns, line.number)) {
                if (!roles) return roles.error();
                separator_ = separator;
                table_.columns = std::move(columns);
                table_.columnsLine = line.number;
                return true;
            }
            // "measurement_device,LAB_L" holds device values only: say so rather than "no header".
            if (roles && roles->device.size() >= 3 && !deviceOnlyLine_) deviceOnlyLine_ = line.number;
        }
        return false;
    }

    /// Whether the line would be a header without the columns that do not fit beside the others.
    bool isFaultyHeader(const std::vector<std::string>& columns, std::size_t line) {
        if (columns.size() > 128 || ++faultyLines_ > 5) return false;
        std::vector<std::string> fitting;
        for (const std::string& column : columns) {
            fitting.push_back(column);
            if (!columnRoles(fitting, line, ShortNames::yes, source_)) fitting.pop_back();
        }
        const auto roles = columnRoles(fitting, line, ShortNames::yes, source_);
        return roles && isHeader(*roles, fitting);
    }

    void takePreamble(const Line& line) {
        std::string_view text = trimmed(line.text);
        while (!text.empty() && (text.front() == '#' || text.front() == '"')) text.remove_prefix(1);
        text = trimmed(text);
        if (text.size() > 1000) return;
        const std::size_t split = text.find_first_of(":=\t;,");
        if (split == std::string_view::npos) return;
        std::string keyword = upper(cleanText(text.substr(0, split)));
        std::ranges::replace(keyword, ' ', '_');
        std::string_view value = text.substr(split + 1);
        while (!value.empty() &&
               (kSeparators.find(value.back()) != std::string_view::npos || value.back() == '"')) {
            value.remove_suffix(1);
        }
        while (!value.empty() && value.front() == '"') value.remove_prefix(1);
        table_.header.push_back({std::move(keyword), cleanText(value), line.number});
    }

    Result<Reading> readRows(LineCursor cursor) {
        const std::size_t count = table_.columns.size();
        while (const auto line = cursor.next()) {
            if (isNothing(line->text)) continue;
            if (!split(line->text, separator_, cells_)) {
                if (cells_.size() >= kMostColumns) return wrongCount(*line);
                return source_.refusal("quote-unfinished", said("a quote is not closed"),
                                       said("Close the quote or remove it"), line->number);
            }
            while (cells_.size() > count && cells_.back().empty()) cells_.pop_back();
            if (cells_.size() != count) return wrongCount(*line);
            table_.cells.insert(table_.cells.end(), cells_.begin(), cells_.end());
            table_.rowLines.push_back(line->number);
        }
        if (auto taken = takeConditionColumn(); !taken) return std::move(taken).error();
        return readingFromTable(table_, ShortNames::yes, format(), std::move(notes_), source_);
    }

    [[nodiscard]] std::string format() const {
        return separator_ == '\t' || separator_ == kBlanks ? "TSV" : "CSV";
    }

    Error wrongCount(const Line& line) const {
        const std::size_t count = table_.columns.size();
        const bool commas = separator_ == ',' && cells_.size() > count;
        return source_.refusal(
            cells_.size() < count ? "row-too-short" : "row-too-long",
            said("this row has {}{} cells, the header has {}",
                 cells_.size() >= kMostColumns ? said("at least ") : "", cells_.size(), count),
            commas ? said("Correct the row; decimal commas need semicolons or tabs between the cells")
                   : said("Correct the row or export it again"),
            line.number);
    }

    /// A column may state the condition row by row.
    Outcome takeConditionColumn() {
        for (std::size_t column = 0; column < table_.columns.size(); ++column) {
            const std::string name = bareName(table_.columns[column]);
            if (name != "MEASUREMENTCONDITION" && name != "CONDITION" && name != "MCONDITION") continue;
            Condition first = Condition::unknown;
            for (std::size_t row = 0; row < table_.rowLines.size(); ++row) {
                const Condition here = conditionNamedIn(table_.cells[row * table_.columns.size() + column]);
                if (row == 0) first = here;
                if (here == first) continue;
                return source_.refusal("conditions-mixed",
                                       said("this row was measured in {}, the first in {}",
                                            textFromCondition(here), textFromCondition(first)),
                                       said("Export one measurement condition per file"),
                                       table_.rowLines[row], table_.columns[column]);
            }
            if (first != Condition::unknown) {
                table_.header.push_back(
                    {"MEASUREMENT_CONDITION", std::string(textFromCondition(first)), table_.columnsLine});
            }
        }
        return Done{};
    }

    // --- a wavelength per line ---

    Result<Reading> readOnEnd() {
        for (const char separator : kSeparators) {
            separator_ = separator;
            auto raw = rawOnEnd();
            if (!raw) return raw.error();
            if (raw->patches.empty()) continue;
            raw->format = format();
            return settled(*std::move(raw), source_);
        }
        if (deviceOnlyLine_) {
            return source_.refusal("no-measurement", said("holds device values only, nothing measured"),
                                   said("Export the measurement with spectra or CIELAB"), *deviceOnlyLine_);
        }
        return source_.refusal(
            "no-header", said("has no line that names the columns of a measurement"),
            said("Begin the table with a line of names such as NAME, LAB_L, LAB_A, LAB_B or "
                 "380nm, 390nm ..."),
            1);
    }

    /// Empty when the text is not of this kind.
    Result<RawReading> rawOnEnd() {
        RawReading raw;
        commaSeen_ = pointSeen_ = false;
        std::vector<double> nm;
        std::vector<std::string_view> names;
        std::size_t firstLine = 0;
        std::size_t count = 0;
        LineCursor cursor(text_);
        std::size_t preamble = 0;
        while (const auto line = cursor.next()) {
            if (isNothing(line->text)) continue;
            if (!split(line->text, separator_, cells_)) return RawReading{};
            while (!cells_.empty() && cells_.back().empty()) cells_.pop_back();
            const auto wavelength =
                cells_.size() < 2 ? std::nullopt : wavelengthFromName(cellText(cells_[0]), ShortNames::yes);
            if (!wavelength) {
                if (!nm.empty() || ++preamble > kMostPreambleLines) return RawReading{};
                names = cells_;
                continue;
            }
            if (nm.empty()) {
                firstLine = line->number;
                count = cells_.size();
                raw.patches.resize(count - 1);
            }
            if (cells_.size() != count || nm.size() == kMostColumns) return RawReading{};
            for (std::size_t i = 1; i < count; ++i) {
                const auto value = number(cells_[i]);
                if (!value) return RawReading{};
                raw.patches[i - 1].spectrum.push_back(*value);
            }
            nm.push_back(*wavelength);
        }
        if (nm.size() < 10 || !std::ranges::is_sorted(nm)) return RawReading{};
        if (commaSeen_ && pointSeen_) {
            return source_.refusal("mixed-decimal-marks", said("has decimal points and decimal commas"),
                                   said("Export all numbers with the same decimal mark"), firstLine);
        }
        if (count < 6 && !mentionsReflectance(names)) {
            return source_.refusal(
                "spectrum-kind-unclear",
                said("does not say whether its spectra are reflectances of a print or those of a "
                     "light"),
                said("Add a line above the first wavelength: wavelength, reflectance"), firstLine);
        }
        const auto grid = gridFromWavelengths(nm, source_, firstLine, notes_);
        if (!grid) return grid.error();
        raw.grid = *grid;
        for (std::size_t i = 0; i < raw.patches.size(); ++i) {
            raw.patches[i].line = firstLine;
            if (names.size() == count) raw.patches[i].name = cellText(names[i + 1]);
        }
        notes_.push_back({"wavelengths-in-rows", said("every line is a wavelength, every column a patch")});
        if (commaSeen_)
            notes_.push_back({"decimal-comma", said("the numbers of this file have decimal commas")});
        raw.statements = statementsFromHeader(table_.header, notes_);
        raw.notes = std::move(notes_);
        return raw;
    }

    /// A number with either mark; which of them came up is remembered.
    std::optional<double> number(std::string_view cell) {
        std::string text = cellText(cell);
        const bool comma = text.find(',') != std::string::npos;
        const bool point = text.find('.') != std::string::npos;
        if (comma) std::ranges::replace(text, ',', '.');
        const auto value = numberFromText(text);
        commaSeen_ = commaSeen_ || comma;
        pointSeen_ = pointSeen_ || point;
        return comma && point ? std::nullopt : value;
    }

    bool mentionsReflectance(const std::vector<std::string_view>& names) const {
        const auto mentions = [](std::string_view text) {
            return upper(text.substr(0, 1000)).find("REFLECT") != std::string::npos;
        };
        return std::ranges::any_of(names, mentions) ||
               std::ranges::any_of(table_.header, [&](const HeaderEntry& entry) {
                   return mentions(entry.keyword) || mentions(entry.value);
               });
    }

    std::string_view text_;
    const Source& source_;
    std::vector<Note> notes_;
    std::vector<std::string_view> cells_;
    Table table_;
    char separator_ = ',';
    std::optional<std::size_t> deviceOnlyLine_;
    std::size_t faultyLines_ = 0;
    bool commaSeen_ = false;
    bool pointSeen_ = false;
};

}  // namespace

Result<Reading> readingFromDelimited(std::string_view text, const Source& source, std::vector<Note> notes) {
    return DelimitedParser(text, source, std::move(notes)).read();
}

}  // namespace greywright::measure

#include "correct/table.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

#include <fmt/format.h>

#include "core/contract.h"
#include "core/numbers.h"
#include "core/said.h"

namespace greywright::correct {
namespace {

constexpr std::string_view kFirstLine = "greywright neutral table 1";
constexpr double kFullCode = 65535;

/// The first row that is wrong, if any.
std::optional<std::size_t> flawOf(const std::vector<TableRow>& rows) {
    if (rows.size() < 2) return 0;
    for (std::size_t i = 0; i < rows.size(); ++i) {
        if (i > 0 && !(rows[i].tonePercent > rows[i - 1].tonePercent)) return i;
        for (const double code : rows[i].codes) {
            if (!(code >= 0 && code <= kFullCode)) return i;
        }
    }
    if (rows.front().tonePercent != 0) return 0;
    if (rows.back().tonePercent != 100) return rows.size() - 1;
    return std::nullopt;
}

Error notRead(std::size_t line, std::string what) {
    return {.kind = ErrorKind::badInput,
            .code = "table-not-read",
            .what = std::move(what),
            .where = {.line = line},
            .next = said("Make the table again from its readings")};
}

std::optional<TableRow> rowFromText(std::string_view text) {
    std::array<double, 4> numbers{};
    for (std::size_t i = 0; i < numbers.size(); ++i) {
        const std::size_t space = text.find(' ');
        if ((space == std::string_view::npos) != (i == 3)) return std::nullopt;
        const auto number = numberFromText(text.substr(0, space));
        if (!number) return std::nullopt;
        numbers[i] = *number;
        if (i < 3) text.remove_prefix(space + 1);
    }
    return TableRow{numbers[0], {numbers[1], numbers[2], numbers[3]}};
}

}  // namespace

NeutralTable::NeutralTable() : rows_{{0, {kFullCode, kFullCode, kFullCode}}, {100, {0, 0, 0}}} {}

NeutralTable::NeutralTable(std::vector<TableRow> rows) : rows_(std::move(rows)) {
    expects(!flawOf(rows_), "a table's tones ascend from 0 to 100 and its codes lie within range");
}

Codes NeutralTable::at(double tonePercent) const {
    if (!(tonePercent > 0)) return rows_.front().codes;
    if (tonePercent >= 100) return rows_.back().codes;
    const auto after =
        std::upper_bound(rows_.begin(), rows_.end(), tonePercent,
                         [](double tone, const TableRow& row) { return tone < row.tonePercent; });
    const auto i = static_cast<std::size_t>(after - rows_.begin()) - 1;
    const double step = rows_[i + 1].tonePercent - rows_[i].tonePercent;
    const double u = (tonePercent - rows_[i].tonePercent) / step;
    Codes out{};
    for (std::size_t k = 0; k < out.size(); ++k) {
        const auto slope = [&](std::size_t row) {
            const TableRow& before = rows_[row == 0 ? 0 : row - 1];
            const TableRow& behind = rows_[std::min(row + 1, rows_.size() - 1)];
            return step * (behind.codes[k] - before.codes[k]) / (behind.tonePercent - before.tonePercent);
        };
        const double from = rows_[i].codes[k];
        const double rise = rows_[i + 1].codes[k] - from;
        const double cubic =
            from + u * u * (3 - 2 * u) * rise + u * (1 - u) * ((1 - u) * slope(i) - u * slope(i + 1));
        out[k] = std::clamp(cubic, 0.0, kFullCode);
    }
    return out;
}

std::string NeutralTable::text() const {
    std::string out(kFirstLine);
    out += '\n';
    for (const TableRow& row : rows_) {
        out += textFromNumber(row.tonePercent);
        for (const double code : row.codes) out += ' ' + textFromNumber(code);
        out += '\n';
    }
    return out;
}

Result<NeutralTable> NeutralTable::fromText(std::string_view text) {
    std::vector<TableRow> rows;
    std::size_t line = 0;
    while (!text.empty()) {
        const std::size_t end = text.find('\n');
        const std::string_view row = text.substr(0, end);
        text.remove_prefix(end == std::string_view::npos ? text.size() : end + 1);
        ++line;
        if (line == 1) {
            if (row != kFirstLine) return notRead(1, said("this is not a neutralising table"));
            continue;
        }
        const auto read = rowFromText(row);
        if (!read) return notRead(line, said("\"{}\" is not a tone and three codes", row));
        rows.push_back(*read);
    }
    if (line == 0) return notRead(0, said("the text is empty"));
    if (const auto flaw = flawOf(rows))
        return notRead(*flaw + 2, said("tones do not ascend from 0 to 100 or codes leave 0 .. 65535"));
    return NeutralTable(std::move(rows));
}

}  // namespace greywright::correct

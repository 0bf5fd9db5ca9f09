#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "measure/text.h"

namespace greywright::measure {

/// How many rows make a table of what may be one.
inline constexpr std::size_t kFewestTableRows = 10;

/// One row of a table: which of the lines, and its first cell.
struct LampRow {
    std::size_t lineIndex = 0;
    double wavelength = 0;  ///< in the file's own unit
};

/// Rows that follow each other with the same words around their wavelengths. Shape: at least one row.
struct LampBlock {
    std::string label = {};
    std::vector<LampRow> rows = {};
    std::optional<std::size_t> strayLine = {};  ///< index of the first line amid the rows that is none

    /// Rows in 400..700 nm, in whichever unit. Cost: linear.
    [[nodiscard]] std::size_t visibleCount() const;
    [[nodiscard]] double width() const { return rows.back().wavelength - rows.front().wavelength; }
};

/// The cells of a line, without empty ones at its end; none for a line that cannot be split. A blank for
/// `separator` stands for runs of blanks and tabs.
void splitLampLine(std::string_view line, char separator, std::vector<std::string_view>& cells);

/// Whether a cell is a number with either decimal mark.
[[nodiscard]] bool isLampNumber(std::string_view cell);

/// Nothing but separators.
[[nodiscard]] bool isEmptyLine(std::string_view line);

[[nodiscard]] bool isComment(std::string_view line);

/// The separator - tab, semicolon, comma or blank - that makes the most rows of a wavelength and a number.
[[nodiscard]] char lampSeparator(const std::vector<Line>& lines);

/// All runs of rows in the order of the file.
[[nodiscard]] std::vector<LampBlock> lampBlocks(const std::vector<Line>& lines, char separator);

}  // namespace greywright::measure

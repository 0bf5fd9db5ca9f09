#include "measure/lamp_rows.h"

#include <algorithm>

#include "measure/lamp_points.h"

namespace greywright::measure {
namespace {

constexpr char kBlanks = ' ';
constexpr std::string_view kSeparators{"\t;, "};

}  // namespace

std::size_t LampBlock::visibleCount() const {
    const auto isVisible = [](const LampRow& row) {
        return (row.wavelength >= 400 && row.wavelength <= 700) ||
               (row.wavelength >= 0.4 && row.wavelength <= 0.7);
    };
    return static_cast<std::size_t>(std::ranges::count_if(rows, isVisible));
}

void splitLampLine(std::string_view line, char separator, std::vector<std::string_view>& cells) {
    const bool isSplit = separator == kBlanks ? splitTokens(line, cells) && cells.size() <= kMostColumns
                                              : splitCells(line, separator, cells);
    if (!isSplit) cells.clear();
    while (!cells.empty() && cellText(cells.back()).empty()) cells.pop_back();
}

bool isLampNumber(std::string_view cell) {
    return MarkedNumbers().read(cellText(cell)).has_value();
}

bool isEmptyLine(std::string_view line) {
    return line.find_first_not_of(kSeparators) == std::string_view::npos;
}

bool isComment(std::string_view line) {
    return trimmed(line).starts_with('#');
}

char lampSeparator(const std::vector<Line>& lines) {
    char best = ',';
    std::vector<std::string_view> cells;
    std::size_t most = 0;
    for (const char separator : kSeparators) {
        std::size_t count = 0;
        for (const Line& line : lines) {
            if (isEmptyLine(line.text) || isComment(line.text)) continue;
            splitLampLine(line.text, separator, cells);
            const bool isRow = cells.size() >= 2 &&
                               std::any_of(cells.begin() + 1, cells.end(), isLampNumber) &&
                               wavelengthFromCell(cellText(cells[0]));
            if (isRow) ++count;
        }
        if (count > most) {
            most = count;
            best = separator;
        }
    }
    return best;
}

std::vector<LampBlock> lampBlocks(const std::vector<Line>& lines, char separator) {
    std::vector<LampBlock> blocks;
    std::vector<std::string_view> cells;
    bool isOpen = false;
    std::optional<std::size_t> stray;
    for (std::size_t i = 0; i < lines.size(); ++i) {
        const std::string_view text = lines[i].text;
        if (isEmptyLine(text) || isComment(text)) continue;
        splitLampLine(text, separator, cells);
        auto cell = !cells.empty() ? wavelengthFromCell(cellText(cells[0])) : std::nullopt;
        const bool hasNumber = cells.size() >= 2 && std::any_of(cells.begin() + 1, cells.end(), isLampNumber);
        // A wavelength without a number belongs to a table that has begun, and to nothing otherwise.
        const bool goesOn = isOpen && cell && cell->label == blocks.back().label &&
                            cell->number > blocks.back().rows.back().wavelength &&
                            cell->number < 1.2 * blocks.back().rows.back().wavelength;
        if (!cell || (!hasNumber && !goesOn)) {
            if (isBlockMarker(text))
                isOpen = false;
            else if (isOpen && !stray)
                stray = i;
            continue;
        }
        if (isOpen && !goesOn) {
            const LampBlock& last = blocks.back();
            const bool startsAgain = cell->label != last.label || stray ||
                                     cell->number > 2 * last.rows.back().wavelength ||
                                     (last.rows.size() >= kFewestTableRows && last.width() > 0 &&
                                      cell->number <= last.rows.front().wavelength);
            if (startsAgain) isOpen = false;
        }
        if (!isOpen) {
            blocks.push_back({.label = cell->label});
            isOpen = true;
        } else if (stray && !blocks.back().strayLine) {
            blocks.back().strayLine = stray;
        }
        stray.reset();
        blocks.back().rows.push_back({i, cell->number});
    }
    return blocks;
}

}  // namespace greywright::measure

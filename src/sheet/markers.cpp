#include "sheet/markers.h"

#include <cstddef>
#include <cstdint>
#include <memory>

#include <apriltag/apriltag.h>
#include <apriltag/tagStandard41h12.h>

#include "core/contract.h"

namespace greywright::sheet {
namespace {

constexpr int kCells = 9;
constexpr int kBorder =
    5;  // cells across the white frame in the middle, whose outline is what a detector finds
constexpr int kBorderAt = (kCells - kBorder) / 2;

using Cells = std::array<std::array<bool, kCells>, kCells>;  // rows from the top; true = white

Cells cellsOf(const apriltag_family_t& family, int number) {
    Cells white{};
    for (int i = 0; i < kBorder; ++i) {
        const auto first = std::size_t{kBorderAt};
        const auto last = std::size_t{kBorderAt + kBorder - 1};
        const auto at = static_cast<std::size_t>(kBorderAt + i);
        white[first][at] = white[last][at] = white[at][first] = white[at][last] = true;
    }
    const std::uint64_t code = family.codes[number];
    for (std::uint32_t bit = 0; bit < family.nbits; ++bit) {
        // The library counts from the corner of the frame.
        const auto row = static_cast<std::size_t>(static_cast<std::int32_t>(family.bit_y[bit]) + kBorderAt);
        const auto column =
            static_cast<std::size_t>(static_cast<std::int32_t>(family.bit_x[bit]) + kBorderAt);
        white[row][column] = (code >> (family.nbits - bit - 1) & 1U) != 0;
    }
    return white;
}

void add(std::vector<RectMm>& out, const Cells& white, const RectMm& at) {
    const double cell = at.width / kCells;
    for (std::size_t row = 0; row < white.size(); ++row) {
        for (std::size_t first = 0; first < white.size(); ++first) {
            std::size_t end = first;
            while (end < white.size() && !white[row][end]) ++end;
            if (end == first) continue;
            out.push_back(
                {at.x + double(first) * cell, at.y + double(row) * cell, double(end - first) * cell, cell});
            first = end;
        }
    }
}

}  // namespace

std::vector<RectMm> blackCellsOf(const std::vector<Marker>& markers, int page) {
    const std::unique_ptr<apriltag_family_t, decltype(&tagStandard41h12_destroy)> family(
        tagStandard41h12_create(), &tagStandard41h12_destroy);
    expects(family->total_width == kCells && family->width_at_border == kBorder && family->reversed_border,
            "blackCellsOf: the family is not the one that is known");
    std::vector<RectMm> cells;
    for (const Marker& marker : markers) {
        expects(marker.number >= 0 && static_cast<std::uint32_t>(marker.number) < family->ncodes,
                "blackCellsOf: a number that the family does not have");
        if (marker.page == page) add(cells, cellsOf(*family, marker.number), marker.at);
    }
    return cells;
}

}  // namespace greywright::sheet

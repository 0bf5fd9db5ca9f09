#include "sheet/tiles.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "core/random.h"
#include "core/said.h"
#include "sheet/layout.h"
#include "sheet/lettering.h"

namespace greywright::sheet {
namespace {

using layout::kBelowMm;
using layout::kSmallMm;

constexpr double kNeighboursPercent = 10;
constexpr double kSmallestWordsMm = 2;
constexpr double kLetterColumnMm = 6;
constexpr double kEndLineMm = 0.3;
constexpr double kHardlyPrintedPercent = 5;
constexpr std::size_t kLeastPerStrip = 2;

std::size_t roundedUp(std::size_t number, std::size_t by) {
    return (number + by - 1) / by;
}

/// How many neighbours within a row are hardly apart.
std::size_t tooAlike(const std::vector<Tile>& tiles, std::size_t perRow) {
    std::size_t count = 0;
    for (std::size_t i = 1; i < tiles.size(); ++i) {
        const double apart = std::abs(tiles[i].tonePercent - tiles[i - 1].tonePercent);
        count += i % perRow != 0 && apart < kNeighboursPercent ? 1U : 0U;
    }
    return count;
}

/// How rows of patches lie on pages.
struct Grid {
    std::size_t perRow = 0;
    std::size_t rowsPerPage = 0;
    double left = 0;  ///< of the first patch
    double top = 0;
    double stepMm = 0;  ///< from patch to patch
    double rowMm = 0;   ///< from row to row

    [[nodiscard]] RectMm placeOf(std::size_t index, double lengthMm, double widthMm) const {
        const std::size_t row = index / perRow % rowsPerPage;
        return {left + double(index % perRow) * stepMm, top + double(row) * rowMm, lengthMm, widthMm};
    }
    [[nodiscard]] int pageOf(std::size_t index) const { return 1 + int(index / perRow / rowsPerPage); }
    [[nodiscard]] std::string labelOf(std::size_t index) const {
        return fmt::format("{}{}", rowName(index / perRow), index % perRow + 1);
    }
};

class TileLayout {
  public:
    explicit TileLayout(const TileRequest& request)
        : request_(request),
          sizes_(request.sizes),
          strips_(request.instrument == Instrument::strip),
          heightMm_(strips_ ? sizes_.widthMm : sizes_.lengthMm),
          tiles_(request.tiles) {}

    Result<Sheet> make() {
        if (auto checked = check(); !checked) return std::move(checked).error();
        if (auto found = findGrid(); !found) return std::move(found).error();
        if (request_.shuffle) tiles_ = shuffled(std::move(tiles_), grid_.perRow, *request_.shuffle);
        sheet_.kind = request_.kind;
        sheet_.name = request_.title.name;
        sheet_.date = request_.title.date;
        sheet_.page = request_.page;
        for (std::size_t i = 0; i < tiles_.size(); ++i) {
            sheet_.patches.push_back({.tonePercent = tiles_[i].tonePercent,
                                      .at = grid_.placeOf(i, sizes_.lengthMm, heightMm_),
                                      .page = grid_.pageOf(i),
                                      .label = grid_.labelOf(i),
                                      .rgb = tiles_[i].rgb});
        }
        sheet_.pages = sheet_.patches.back().page;
        sheet_.code = codeOfSheet(sheet_);
        layout::addHeading(sheet_, layout::frameOf(sheet_.page),
                           strips_ ? "READ EVERY STRIP FROM ITS LETTER" : "READ ROW BY ROW");
        if (strips_) {
            addStripEnds();
        } else {
            outlineLightSquares();
        }
        addWords();
        return std::move(sheet_);
    }

  private:
    Outcome check() const {
        if (auto sound = layout::checkPage(request_.page); !sound) return sound;
        if (auto sound = layout::checkTitle(request_.title, request_.page); !sound) return sound;
        if (auto sound = layout::checkSize(sizes_.lengthMm, 4, 60, "length"); !sound) return sound;
        if (auto sound = layout::checkSize(sizes_.gapMm, 1, 60, "gap"); !sound) return sound;
        if (!strips_) return Done{};
        if (auto sound = layout::checkSize(sizes_.widthMm, 4, 60, "width"); !sound) return sound;
        return layout::checkSize(sizes_.leadMm, 0, 60, "lead");
    }

    Outcome findGrid() {
        const RectMm room = layout::roomOn(request_.page);
        grid_.top = room.y;
        grid_.rowMm = heightMm_ + kBelowMm + kSmallMm + sizes_.gapMm;
        grid_.stepMm = sizes_.lengthMm + (strips_ ? 0 : sizes_.gapMm);
        const double aside = strips_ ? kLetterColumnMm + 2 * sizes_.leadMm : 0;
        grid_.left = room.x + (strips_ ? kLetterColumnMm + sizes_.leadMm : 0);
        const double across = (room.width - aside + (strips_ ? 0 : sizes_.gapMm)) / grid_.stepMm;
        const double down = (room.height + sizes_.gapMm) / grid_.rowMm;
        if (across < double(kLeastPerStrip) || down < 1) {
            return layout::pageTooSmall(
                said("there is no room for one {} of patches on {} x {} mm", strips_ ? "strip" : "row",
                     request_.page.widthMm, request_.page.heightMm),
                said("Choose a larger page, a smaller margin or smaller patches"));
        }
        grid_.rowsPerPage = static_cast<std::size_t>(down);
        const std::size_t rows = roundedUp(tiles_.size(), static_cast<std::size_t>(across));
        grid_.perRow = roundedUp(tiles_.size(), rows);  // rows as even as they can be
        return Done{};
    }

    void addStripEnds() {
        const double lead = sizes_.leadMm;
        for (std::size_t first = 0; first < sheet_.patches.size(); first += grid_.perRow) {
            const std::size_t last = std::min(first + grid_.perRow, sheet_.patches.size()) - 1;
            const Patch& begin = sheet_.patches[first];
            const Patch& end = sheet_.patches[last];
            layout::letter(sheet_, rowName(first / grid_.perRow), request_.page.marginMm,
                           begin.at.y + (heightMm_ + kSmallMm) / 2, kSmallMm, begin.page);
            if (lead <= 0) continue;
            addLead(begin, begin.at.x - lead, begin.at.x - lead);
            addLead(end, end.at.x + end.at.width, end.at.x + end.at.width + lead - kEndLineMm);
        }
    }

    void addLead(const Patch& beside, double x, double lineX) {
        const RectMm& at = beside.at;
        const bool isLight = beside.tonePercent < 50;
        sheet_.marks.push_back(
            {.tonePercent = 100,
             .at = {isLight ? x : lineX, at.y, isLight ? sizes_.leadMm : kEndLineMm, at.height},
             .page = beside.page});
    }

    // A square that is hardly printed has to be found.
    void outlineLightSquares() {
        for (const Patch& patch : sheet_.patches) {
            if (patch.tonePercent >= kHardlyPrintedPercent) continue;
            for (const double y : {patch.at.y - kEndLineMm, patch.at.y + patch.at.height}) {
                sheet_.marks.push_back({.tonePercent = 100,
                                        .at = {patch.at.x, y, patch.at.width, kEndLineMm},
                                        .page = patch.page});
            }
        }
    }

    std::string wordsOf(const Patch& patch) const {
        const std::string tone = layout::textFromTone(patch.tonePercent);
        if (!strips_) return fmt::format("{} {}%", patch.label, tone);
        // One tone has many colours: they are counted along the strip, as their labels are.
        return patch.rgb ? patch.label.substr(patch.label.find_first_of("123456789")) : tone;
    }

    void addWords() {
        const auto fit = [&](double heightMm) {
            return std::ranges::all_of(sheet_.patches, [&](const Patch& patch) {
                return letteringWidthMm(wordsOf(patch), heightMm) <= grid_.stepMm - heightMm / 3;
            });
        };
        const double heightMm = fit(kSmallMm) ? kSmallMm : kSmallestWordsMm;
        if (!fit(heightMm)) return;
        for (const Patch& patch : sheet_.patches) {
            layout::letterCentred(sheet_, wordsOf(patch), patch.at.x + patch.at.width / 2,
                                  patch.at.y + heightMm_ + kBelowMm + heightMm, heightMm, patch.page);
        }
    }

    const TileRequest& request_;
    const PatchSizes& sizes_;
    bool strips_;
    double heightMm_;
    std::vector<Tile> tiles_;
    Grid grid_;
    Sheet sheet_;
};

}  // namespace

std::string rowName(std::size_t row) {
    std::string name(1, static_cast<char>('A' + static_cast<int>(row % 26)));
    return row < 26 ? name : rowName(row / 26 - 1) + name;
}

std::vector<Tile> shuffled(std::vector<Tile> tiles, std::size_t perRow, std::uint64_t seed) {
    Random random(seed);
    const auto oneOf = [&](std::size_t count) { return static_cast<std::size_t>(random.bits() % count); };
    for (std::size_t i = tiles.size(); i > 1; --i) std::swap(tiles[i - 1], tiles[oneOf(i)]);
    constexpr int kTries = 5000;
    std::size_t alike = tooAlike(tiles, perRow);
    for (int i = 0; i < kTries && alike > 0; ++i) {
        const std::size_t one = oneOf(tiles.size());
        const std::size_t other = oneOf(tiles.size());
        std::swap(tiles[one], tiles[other]);
        const std::size_t now = tooAlike(tiles, perRow);
        if (now > alike) {
            std::swap(tiles[one], tiles[other]);
        } else {
            alike = now;
        }
    }
    return tiles;
}

Result<Sheet> tiledSheet(const TileRequest& request) {
    return TileLayout(request).make();
}

}  // namespace greywright::sheet

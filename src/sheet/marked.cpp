#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "core/contract.h"
#include "core/said.h"
#include "sheet/layout.h"
#include "sheet/lettering.h"
#include "sheet/tiles.h"

namespace greywright::sheet {
namespace {

using layout::kBelowMm;
using layout::kSmallMm;

constexpr int kMostPages = 4;  // that markers can tell
constexpr double kCellsPerMarker = 9;
constexpr double kLeastCellMm = 1;
constexpr double kMostCellMm = 2.2;
constexpr double kCellOfPage = 0.0082;  // 14 mm markers on A4
constexpr double kCardCellsAcross = 16;
constexpr double kCardCellsDown = 13;
constexpr double kCardApartMm = 0.5;
constexpr double kBelowCardMm = 4;
constexpr double kLetterColumnMm = 6;
constexpr double kBareInsetMm = 0.75;  // bare paper keeps away from what is printed beside it
constexpr double kLargestSquareMm = 22;
constexpr double kSmallestSquareMm = 6;
constexpr double kSquareStepMm = 0.5;

double gapOf(double sideMm) {
    return std::clamp(0.3 * sideMm, 3.5, 6.0);
}

double cellOf(const Page& page) {
    const double inside = std::min(page.widthMm, page.heightMm) - 2 * page.marginMm;
    constexpr double kGridMm = 0.05;
    return std::clamp(std::round(kCellOfPage * inside / kGridMm) * kGridMm, kLeastCellMm, kMostCellMm);
}

/// How squares of one size lie on pages.
struct Grid {
    double sideMm = 0;
    double gapMm = 0;
    std::size_t perRow = 0;
    std::size_t rowsPerPage = 0;

    [[nodiscard]] double stepMm() const { return sideMm + gapMm; }
    [[nodiscard]] std::size_t perPage() const { return perRow * rowsPerPage; }
};

class MarkedLayout {
  public:
    explicit MarkedLayout(const MarkedRequest& request)
        : request_(request),
          cellMm_(cellOf(request.page)),
          markerMm_(kCellsPerMarker * cellMm_),
          edgeMm_(std::max(request.page.marginMm, cellMm_)) {}

    Result<Sheet> make() {
        expects(!request_.tiles.empty(), "markedSheet: one tile or more");
        if (auto checked = check(); !checked) return std::move(checked).error();
        placeFrame();
        if (auto found = findGrid(); !found) return std::move(found).error();
        sheet_.kind = request_.kind;
        sheet_.name = request_.title.name;
        sheet_.date = request_.title.date;
        sheet_.page = request_.page;
        sheet_.card = card_;
        addPatches();
        sheet_.code = codeOfSheet(sheet_);
        layout::addHeading(sheet_, frame_, "SHOW ALL EIGHT MARKS");
        for (int page = 1; page <= sheet_.pages; ++page) {
            addMarkers(page);
            addCard(page);
            addAround(page);
        }
        return std::move(sheet_);
    }

  private:
    Outcome check() const {
        if (auto sound = layout::checkPage(request_.page); !sound) return sound;
        if (auto sound = layout::checkTitle(request_.title, request_.page); !sound) return sound;
        if (!request_.sideMm) return Done{};
        return layout::checkSize(*request_.sideMm, 5, 40, "side");
    }

    void placeFrame() {
        const Page& page = request_.page;
        const double aside = edgeMm_ + markerMm_ + cellMm_;
        frame_ = {page.marginMm, aside, page.widthMm - 2 * page.marginMm, page.heightMm - 2 * aside};
        const RectMm room = layout::roomIn(frame_);
        card_ = {aside + kCardApartMm + layout::kThinMm, room.y, kCardCellsAcross * cellMm_,
                 kCardCellsDown * cellMm_};
        const double top = card_.y + card_.height + kBelowCardMm + kSmallMm + kBelowMm;
        room_ = {aside + kLetterColumnMm, top, page.widthMm - 2 * aside - kLetterColumnMm,
                 room.y + room.height - top};
    }

    [[nodiscard]] Grid gridOf(double sideMm) const {
        Grid grid{.sideMm = sideMm, .gapMm = gapOf(sideMm)};
        const auto fit = [&](double mm) {
            return static_cast<std::size_t>(std::max(0.0, (mm - grid.gapMm) / grid.stepMm()));
        };
        grid.perRow = fit(room_.width);
        grid.rowsPerPage = fit(room_.height);
        return grid;
    }

    /// The largest squares that the fewest pages hold.
    [[nodiscard]] std::optional<Grid> largestGrid() const {
        const std::size_t count = request_.tiles.size();
        if (request_.sideMm) {
            const Grid grid = gridOf(*request_.sideMm);
            return grid.perPage() * kMostPages >= count ? std::optional(grid) : std::nullopt;
        }
        for (std::size_t pages = 1; pages <= kMostPages; ++pages) {
            for (double side = kLargestSquareMm; side >= kSmallestSquareMm; side -= kSquareStepMm) {
                const Grid grid = gridOf(side);
                if (grid.perPage() * pages >= count) return grid;
            }
        }
        return std::nullopt;
    }

    Outcome findGrid() {
        const double sideMarkersTop = request_.page.heightMm / 2 - markerMm_ / 2 - cellMm_;
        // Side markers keep clear of the heading, and of the scale and the markers in the corners.
        const bool isHighEnough = layout::roomIn(frame_).y <= sideMarkersTop;
        const bool isWideEnough = request_.page.widthMm >= 2 * edgeMm_ + 3 * markerMm_ + 4 * cellMm_;
        const auto grid = largestGrid();
        if (!grid || grid->perRow < 3 || !isHighEnough || !isWideEnough) {
            return layout::pageTooSmall(
                said("there is no room for {} squares between markers on {} pages of {} x {} mm",
                     request_.tiles.size(), kMostPages, request_.page.widthMm, request_.page.heightMm),
                said("Choose a larger page, a smaller margin, fewer patches or smaller ones"));
        }
        grid_ = *grid;
        // Pages and rows as even as they can be.
        const auto roundedUp = [](std::size_t number, std::size_t by) { return (number + by - 1) / by; };
        const std::size_t rows = roundedUp(request_.tiles.size(), grid_.perRow);
        grid_.rowsPerPage = roundedUp(rows, roundedUp(rows, grid_.rowsPerPage));
        grid_.perRow = roundedUp(request_.tiles.size(), rows);
        return Done{};
    }

    [[nodiscard]] double columnX(std::size_t column) const {
        return room_.x + grid_.gapMm + double(column) * grid_.stepMm();
    }
    [[nodiscard]] double rowY(std::size_t row) const {
        return room_.y + grid_.gapMm + double(row) * grid_.stepMm();
    }

    void addPatches() {
        const std::vector<Tile> tiles =
            request_.shuffle ? shuffled(request_.tiles, grid_.perRow, *request_.shuffle) : request_.tiles;
        for (std::size_t i = 0; i < tiles.size(); ++i) {
            const std::size_t row = i / grid_.perRow;
            sheet_.patches.push_back(
                {.tonePercent = tiles[i].tonePercent,
                 .at = {columnX(i % grid_.perRow), rowY(row % grid_.rowsPerPage), grid_.sideMm, grid_.sideMm},
                 .page = 1 + int(row / grid_.rowsPerPage),
                 .label = fmt::format("{}{}", rowName(row), i % grid_.perRow + 1),
                 .rgb = tiles[i].rgb});
        }
        sheet_.pages = sheet_.patches.back().page;
    }

    void addMarkers(int page) {
        const double right = request_.page.widthMm - edgeMm_ - markerMm_;
        const double low = request_.page.heightMm - edgeMm_ - markerMm_;
        const double centre = (request_.page.widthMm - markerMm_) / 2;
        const double middle = (request_.page.heightMm - markerMm_) / 2;
        const std::array<std::pair<double, double>, 8> places{{{edgeMm_, edgeMm_},
                                                               {right, edgeMm_},
                                                               {right, low},
                                                               {edgeMm_, low},
                                                               {centre, edgeMm_},
                                                               {right, middle},
                                                               {centre, low},
                                                               {edgeMm_, middle}}};
        const auto numbers = markerNumbers(sheet_.code, page);
        for (std::size_t i = 0; i < places.size(); ++i) {
            sheet_.markers.push_back({.number = numbers[i],
                                      .at = {places[i].first, places[i].second, markerMm_, markerMm_},
                                      .page = page});
        }
    }

    void addCard(int page) {
        layout::outline(sheet_, card_, kCardApartMm, page);
        const double x = card_.x + card_.width + 3;
        const double baseline = card_.y + kSmallMm + 1;
        const double right = frame_.x + frame_.width;
        layout::letter(sheet_, "NEUTRAL CARD", x, baseline, kSmallMm, page);
        constexpr const char* kWords = "LAY ONE HERE IF YOU HAVE ONE";
        if (x + letteringWidthMm(kWords, kSmallMm) > right) return;
        layout::letter(sheet_, kWords, x, baseline + layout::kLineMm, kSmallMm, page);
    }

    /// Names of rows and columns, and the bare paper that is read with the patches.
    void addAround(int page) {
        const std::size_t firstRow = std::size_t(page - 1) * grid_.rowsPerPage;
        const std::size_t last = (sheet_.patches.size() - 1) / grid_.perRow;
        const std::size_t rows = std::min(grid_.rowsPerPage, last + 1 - firstRow);
        const double thin = grid_.gapMm - 2 * kBareInsetMm;
        const auto addBare = [&](double x, double y, double width, double height) {
            sheet_.bare.push_back({.at = {x, y, width, height}, .page = page});
        };
        for (std::size_t column = 0; column < grid_.perRow; ++column) {
            layout::letterCentred(sheet_, fmt::format("{}", column + 1), columnX(column) + grid_.sideMm / 2,
                                  room_.y - kBelowMm, kSmallMm, page);
        }
        const double afterLast = columnX(grid_.perRow - 1) + grid_.sideMm + kBareInsetMm;
        for (std::size_t row = 0; row < rows; ++row) {
            layout::letter(sheet_, rowName(firstRow + row), room_.x - kLetterColumnMm + 1,
                           rowY(row) + (grid_.sideMm + kSmallMm) / 2, kSmallMm, page);
            addBare(room_.x + kBareInsetMm, rowY(row), thin, grid_.sideMm);
            addBare(afterLast, rowY(row), thin, grid_.sideMm);
        }
        for (std::size_t row = 0; row <= rows; ++row) {
            for (std::size_t column = 0; column < grid_.perRow; ++column) {
                addBare(columnX(column), rowY(row) - grid_.gapMm + kBareInsetMm, grid_.sideMm, thin);
            }
        }
    }

    const MarkedRequest& request_;
    double cellMm_;
    double markerMm_;
    double edgeMm_;
    RectMm frame_;  ///< of heading and scale
    RectMm card_;
    RectMm room_;  ///< of patches and the bare paper around them
    Grid grid_;
    Sheet sheet_;
};

}  // namespace

Result<Sheet> markedSheet(const MarkedRequest& request) {
    return MarkedLayout(request).make();
}

}  // namespace greywright::sheet

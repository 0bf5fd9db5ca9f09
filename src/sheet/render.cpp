#include "sheet/render.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <span>
#include <vector>

#include <fmt/format.h>

#include "sheet/lettering.h"

namespace greywright::sheet {
namespace {

constexpr double kMmPerInch = 25.4;
constexpr int kLeastDotsPerInch = 100;
constexpr int kMostDotsPerInch = 1440;

/// An even area in whole pixels; the ends are not part of it.
struct Area {
    std::size_t left, right, top, bottom;
    std::uint16_t code;
};

/// A line of words in pixels.
struct Words {
    double top, bottom, radius;
    std::vector<Stroke> strokes;
};

/// One page, row by row.
class Raster {
  public:
    Raster(const Sheet& sheet, int page, int dotsPerInch)
        : pixelsPerMm_(dotsPerInch / kMmPerInch),
          width_(edge(sheet.page.widthMm)),
          height_(edge(sheet.page.heightMm)) {
        for (const Mark& mark : sheet.marks) {
            if (mark.page == page) add(mark.at, mark.tonePercent);
        }
        for (const Patch& patch : sheet.patches) {
            if (patch.page == page) add(patch.at, patch.tonePercent);
        }
        for (const Lettering& lettering : sheet.letterings) {
            if (lettering.page == page) add(lettering);
        }
    }

    [[nodiscard]] std::size_t width() const { return width_; }
    [[nodiscard]] std::size_t height() const { return height_; }

    void fill(std::size_t row, std::span<std::uint16_t> codes) const {
        std::ranges::fill(codes, codeOfTone(0));
        for (const Area& area : areas_) {
            if (row < area.top || row >= area.bottom) continue;
            std::ranges::fill(codes.subspan(area.left, area.right - area.left), area.code);
        }
        const double middle = static_cast<double>(row) + 0.5;
        for (const Words& words : words_) {
            if (middle < words.top || middle > words.bottom) continue;
            for (const Stroke& stroke : words.strokes) draw(stroke, words.radius, middle, codes);
        }
    }

  private:
    // The nearest edge between pixels. The small amount keeps two edges at one place together where
    // rounding errors would part them.
    [[nodiscard]] std::size_t edge(double mm) const {
        return static_cast<std::size_t>(std::max(0.0, std::floor(mm * pixelsPerMm_ + 0.5 + 1e-7)));
    }

    void add(const RectMm& at, double tonePercent) {
        Area area{.left = std::min(edge(at.x), width_ - 1),
                  .right = std::min(edge(at.x + at.width), width_),
                  .top = std::min(edge(at.y), height_ - 1),
                  .bottom = std::min(edge(at.y + at.height), height_),
                  .code = codeOfTone(tonePercent)};
        area.right = std::max(area.right, area.left + 1);
        area.bottom = std::max(area.bottom, area.top + 1);
        areas_.push_back(area);
    }

    void add(const Lettering& lettering) {
        Words words{.top = std::numeric_limits<double>::max(),
                    .bottom = 0,
                    .radius = kStrokeFraction * lettering.heightMm / 2 * pixelsPerMm_,
                    .strokes = strokesOf(lettering)};
        for (Stroke& stroke : words.strokes) {
            for (double* number : {&stroke.x1, &stroke.y1, &stroke.x2, &stroke.y2}) *number *= pixelsPerMm_;
            words.top = std::min({words.top, stroke.y1 - words.radius, stroke.y2 - words.radius});
            words.bottom = std::max({words.bottom, stroke.y1 + words.radius, stroke.y2 + words.radius});
        }
        words_.push_back(std::move(words));
    }

    // A stroke is a band with round ends, convex, so its part in a row runs from the leftmost to the
    // rightmost crossing of its two circles and its two long edges.
    static void draw(const Stroke& stroke, double radius, double y, std::span<std::uint16_t> codes) {
        double left = std::numeric_limits<double>::max();
        double right = std::numeric_limits<double>::lowest();
        const auto reach = [&](double x) {
            left = std::min(left, x);
            right = std::max(right, x);
        };
        const auto circle = [&](double cx, double cy) {
            const double square = radius * radius - (y - cy) * (y - cy);
            if (square < 0) return;
            reach(cx - std::sqrt(square));
            reach(cx + std::sqrt(square));
        };
        circle(stroke.x1, stroke.y1);
        circle(stroke.x2, stroke.y2);
        const double dx = stroke.x2 - stroke.x1;
        const double dy = stroke.y2 - stroke.y1;
        const double length = std::hypot(dx, dy);
        if (length > 0) {
            for (const double side : {-radius, radius}) {
                const double offsetX = -dy / length * side;
                const double offsetY = dx / length * side;
                // Level edges add nothing to what the circles reach.
                const double along = dy == 0 ? -1 : (y - stroke.y1 - offsetY) / dy;
                if (along >= 0 && along <= 1) reach(stroke.x1 + offsetX + along * dx);
            }
        }
        if (left > right) return;
        const double end = static_cast<double>(codes.size());
        const auto first = static_cast<std::size_t>(std::clamp(std::ceil(left - 0.5), 0.0, end));
        const auto last = static_cast<std::size_t>(std::clamp(std::floor(right - 0.5) + 1, 0.0, end));
        if (last > first) std::ranges::fill(codes.subspan(first, last - first), codeOfTone(100));
    }

    double pixelsPerMm_;
    std::size_t width_;
    std::size_t height_;
    std::vector<Area> areas_;
    std::vector<Words> words_;
};

}  // namespace

Outcome writePage(const Sheet& sheet, int page, const std::filesystem::path& path,
                  const RenderOptions& options) {
    if (page < 1 || page > sheet.pages) {
        return Error{.kind = ErrorKind::wrongUse,
                     .code = "page-number-out-of-range",
                     .what = fmt::format("there is no page {} of {}", page, sheet.pages),
                     .where = {.field = "page"},
                     .next = "Count pages from 1"};
    }
    if (options.dotsPerInch < kLeastDotsPerInch || options.dotsPerInch > kMostDotsPerInch) {
        return Error{.kind = ErrorKind::wrongUse,
                     .code = "resolution-out-of-range",
                     .what = fmt::format("{} dots per inch are not within {} to {}", options.dotsPerInch,
                                         kLeastDotsPerInch, kMostDotsPerInch),
                     .where = {.field = "dpi"},
                     .next = "Ask for what the printer works with: 300, 360, 600 or 720"};
    }
    const Raster raster(sheet, page, options.dotsPerInch);
    const picture::GreyFile file{.width = raster.width(),
                                 .height = raster.height(),
                                 .pixelsPerInch = static_cast<double>(options.dotsPerInch),
                                 .encoding = options.encoding,
                                 .format = options.format};
    return picture::writeGrey16(
        path, file, [&](std::size_t row, std::span<std::uint16_t> codes) { raster.fill(row, codes); },
        options.goOn);
}

}  // namespace greywright::sheet

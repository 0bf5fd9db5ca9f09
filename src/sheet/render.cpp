#include "sheet/render.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <limits>
#include <span>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "core/said.h"
#include "sheet/drawing.h"
#include "sheet/kinds.h"
#include "sheet/lettering.h"
#include "sheet/markers.h"
#include "sheet/target.h"

namespace greywright::sheet {
namespace {

constexpr double kMmPerInch = 25.4;
constexpr int kLeastDotsPerInch = 100;
constexpr int kMostDotsPerInch = 1440;

using Colour = std::array<std::uint16_t, 3>;

Colour greyOf(double tonePercent) {
    const std::uint16_t code = codeOfTone(tonePercent);
    return {code, code, code};
}

/// Whole pixels; the ends are not part of them.
struct Box {
    std::size_t left, right, top, bottom;

    [[nodiscard]] bool hasRow(std::size_t row) const { return row >= top && row < bottom; }
};

struct Area {
    Box at;
    Colour colour;
};

struct Picture {
    Box at;
    Painter painter;
};

/// A line of words in pixels.
struct Words {
    double top, bottom, radius;
    std::vector<Stroke> strokes;
};

/// One page, row by row.
class Raster {
  public:
    Raster(const Sheet& sheet, int page, int dotsPerInch, int channels)
        : pixelsPerMm_(dotsPerInch / kMmPerInch),
          channels_(static_cast<std::size_t>(channels)),
          width_(edge(sheet.page.widthMm)),
          height_(edge(sheet.page.heightMm)) {
        for (const Mark& mark : sheet.marks) {
            if (mark.page == page) under_.push_back({boxOf(mark.at), greyOf(mark.tonePercent)});
        }
        for (const Drawing& drawing : sheet.drawings) {
            if (drawing.page == page) pictures_.push_back({boxOf(drawing.at), Painter(drawing)});
        }
        for (const Patch& patch : sheet.patches) {
            if (patch.page != page) continue;
            over_.push_back({boxOf(patch.at), patch.rgb.value_or(greyOf(patch.tonePercent))});
        }
        for (const RectMm& cells : blackCellsOf(sheet.markers, page)) {
            over_.push_back({boxOf(cells), greyOf(100)});
        }
        for (const Lettering& lettering : sheet.letterings) {
            if (lettering.page == page) add(lettering);
        }
    }

    [[nodiscard]] std::size_t width() const { return width_; }
    [[nodiscard]] std::size_t height() const { return height_; }

    void fill(std::size_t row, std::span<std::uint16_t> samples) const {
        std::ranges::fill(samples, codeOfTone(0));
        const double middle = static_cast<double>(row) + 0.5;
        fill(under_, row, samples);
        for (const Picture& picture : pictures_) {
            if (!picture.at.hasRow(row)) continue;
            for (std::size_t x = picture.at.left; x < picture.at.right; ++x) {
                const double tone = picture.painter.tonePercentAt(
                    (static_cast<double>(x) + 0.5) / pixelsPerMm_, middle / pixelsPerMm_);
                fill(samples, x, x + 1, greyOf(tone));
            }
        }
        fill(over_, row, samples);
        for (const Words& words : words_) {
            if (middle < words.top || middle > words.bottom) continue;
            for (const Stroke& stroke : words.strokes) draw(stroke, words.radius, middle, samples);
        }
    }

  private:
    // The nearest edge between pixels. The small amount keeps two edges at one place together where
    // rounding errors would part them.
    [[nodiscard]] std::size_t edge(double mm) const {
        return static_cast<std::size_t>(std::max(0.0, std::floor(mm * pixelsPerMm_ + 0.5 + 1e-7)));
    }

    [[nodiscard]] Box boxOf(const RectMm& at) const {
        Box box{.left = std::min(edge(at.x), width_ - 1),
                .right = std::min(edge(at.x + at.width), width_),
                .top = std::min(edge(at.y), height_ - 1),
                .bottom = std::min(edge(at.y + at.height), height_)};
        box.right = std::max(box.right, box.left + 1);
        box.bottom = std::max(box.bottom, box.top + 1);
        return box;
    }

    void fill(std::span<std::uint16_t> samples, std::size_t first, std::size_t end,
              const Colour& colour) const {
        const auto pixels = samples.subspan(first * channels_, (end - first) * channels_);
        if (channels_ == 1) {
            std::ranges::fill(pixels, colour[0]);
        } else {
            for (std::size_t i = 0; i < pixels.size(); ++i) pixels[i] = colour[i % colour.size()];
        }
    }

    void fill(const std::vector<Area>& areas, std::size_t row, std::span<std::uint16_t> samples) const {
        for (const auto& [at, colour] : areas) {
            if (at.hasRow(row)) fill(samples, at.left, at.right, colour);
        }
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
    void draw(const Stroke& stroke, double radius, double y, std::span<std::uint16_t> samples) const {
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
        const double end = static_cast<double>(width_);
        const auto first = static_cast<std::size_t>(std::clamp(std::ceil(left - 0.5), 0.0, end));
        const auto last = static_cast<std::size_t>(std::clamp(std::floor(right - 0.5) + 1, 0.0, end));
        if (last > first) fill(samples, first, last, greyOf(100));
    }

    double pixelsPerMm_;
    std::size_t channels_;
    std::size_t width_;
    std::size_t height_;
    std::vector<Area> under_;
    std::vector<Picture> pictures_;
    std::vector<Area> over_;
    std::vector<Words> words_;
};

}  // namespace

Result<Target> targetOf(const Sheet& sheet, const RenderOptions& options) {
    if (options.dotsPerInch < kLeastDotsPerInch || options.dotsPerInch > kMostDotsPerInch) {
        return Error{.kind = ErrorKind::wrongUse,
                     .code = "resolution-out-of-range",
                     .what = said("{} dots per inch are not within {} to {}", options.dotsPerInch,
                                  kLeastDotsPerInch, kMostDotsPerInch),
                     .where = {.field = "dpi"},
                     .next = said("Ask for what the printer works with: 300, 360, 600 or 720")};
    }
    Target target{.profile = options.profile};
    if (target.profile.empty()) {
        auto profile = picture::profileOf(options.encoding);
        if (!profile) return std::move(profile).error();
        target.profile = std::move(*profile);
        target.channels = options.encoding == picture::Encoding::greyGamma22 ? 1 : 3;
    } else {
        const auto channels = picture::channelsOfProfile(target.profile);
        if (!channels) return channels.error();
        target.channels = *channels;
    }
    if (target.channels == 3 || !hasColours(sheet)) return target;
    return Error{.kind = ErrorKind::wrongUse,
                 .code = "encoding-grey",
                 .what = said("a sheet of colours cannot be written as grey"),
                 .where = {.field = "encoding"},
                 .next = said("Ask for an encoding or a profile of RGB")};
}

Outcome writePage(const Sheet& sheet, int page, const std::filesystem::path& path,
                  const RenderOptions& options) {
    if (page < 1 || page > sheet.pages) {
        return Error{.kind = ErrorKind::wrongUse,
                     .code = "page-number-out-of-range",
                     .what = said("there is no page {} of {}", page, sheet.pages),
                     .where = {.field = "page"},
                     .next = said("Count pages from 1")};
    }
    auto target = targetOf(sheet, options);
    if (!target) return std::move(target).error();
    const Raster raster(sheet, page, options.dotsPerInch, target->channels);
    const picture::PixelFile file{.width = raster.width(),
                                  .height = raster.height(),
                                  .pixelsPerInch = static_cast<double>(options.dotsPerInch),
                                  .channels = target->channels,
                                  .profile = std::move(target->profile),
                                  .format = options.format};
    return picture::writePixels(
        path, file, [&](std::size_t row, std::span<std::uint16_t> samples) { raster.fill(row, samples); },
        options.goOn);
}

}  // namespace greywright::sheet

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <utility>
#include <vector>

#include "picture/write.h"
#include "scan/scan.h"

namespace greywright::scan {
namespace {

constexpr std::size_t kLongSidePx = 2000;

/// How a line is drawn: so many pixels drawn, then so many not.
struct Style {
    int drawn = 1;
    int open = 0;
    bool isDouble = false;
    bool isCrossed = false;
    std::array<std::uint16_t, 3> ink = {};
};

constexpr std::array<std::uint16_t, 3> kLight{65535, 65535, 65535};
constexpr Style kRead{.ink = {0, 40000, 65535}};
constexpr Style kLeftOut{.drawn = 6, .open = 4, .isCrossed = true, .ink = {65535, 20000, 0}};
constexpr Style kBare{.drawn = 2, .open = 5, .ink = {20000, 20000, 20000}};
constexpr Style kCard{.isDouble = true, .ink = {0, 30000, 0}};

/// The picture made smaller, and what is drawn on it.
class Canvas {
  public:
    explicit Canvas(const picture::Reduced& picture)
        : step_((std::max(picture.width, picture.height) + kLongSidePx - 1) / kLongSidePx),
          width_(picture.width / step_),
          height_(picture.height / step_),
          perFilePx_(1 / double(step_ * picture.factor)),
          samples_(3 * width_ * height_) {
        for (std::size_t i = 0; i < width_ * height_; ++i) {
            for (std::size_t c = 0; c < 3; ++c) {
                std::size_t sum = 0;
                for (std::size_t k = 0; k < step_ * step_; ++k) {
                    const std::size_t row = i / width_ * step_ + k / step_;
                    const std::size_t column = i % width_ * step_ + k % step_;
                    sum += picture.codes[(row * picture.width + column) * picture.channels +
                                         (picture.channels == 3 ? c : 0)];
                }
                samples_[3 * i + c] = static_cast<std::uint16_t>(sum / (step_ * step_));
            }
        }
    }

    [[nodiscard]] std::size_t width() const { return width_; }
    [[nodiscard]] std::size_t height() const { return height_; }
    [[nodiscard]] std::vector<std::uint16_t> samples() && { return std::move(samples_); }

    void draw(const std::array<PointPx, 4>& corners, const Style& style) {
        for (std::size_t k = 0; k < 4; ++k) line(corners[k], corners[(k + 1) % 4], style);
        if (style.isCrossed) {
            line(corners[0], corners[2], style);
            line(corners[1], corners[3], style);
        }
        if (!style.isDouble) return;
        const auto between = [](const PointPx& one, const PointPx& other, double share) {
            return PointPx{one.x + (other.x - one.x) * share, one.y + (other.y - one.y) * share};
        };
        std::array<PointPx, 4> inner;
        for (std::size_t k = 0; k < 4; ++k) inner[k] = between(corners[k], corners[(k + 2) % 4], 0.08);
        for (std::size_t k = 0; k < 4; ++k) line(inner[k], inner[(k + 1) % 4], style);
    }

  private:
    // Two pixels of ink beside one of white, which show on every tone.
    void line(const PointPx& from, const PointPx& to, const Style& style) {
        const double dx = (to.x - from.x) * perFilePx_;
        const double dy = (to.y - from.y) * perFilePx_;
        const int steps = std::max(1, static_cast<int>(std::ceil(std::max(std::abs(dx), std::abs(dy)))));
        for (int i = 0; i <= steps; ++i) {
            if (i % (style.drawn + style.open) >= style.drawn) continue;
            const double x = from.x * perFilePx_ + dx * i / steps;
            const double y = from.y * perFilePx_ + dy * i / steps;
            const bool isSteep = std::abs(dy) > std::abs(dx);
            for (int aside = -1; aside <= 1; ++aside) {
                dot(x + (isSteep ? aside : 0), y + (isSteep ? 0 : aside), aside < 0 ? kLight : style.ink);
            }
        }
    }

    void dot(double x, double y, const std::array<std::uint16_t, 3>& ink) {
        if (!(x >= 0 && y >= 0 && x < double(width_) && y < double(height_))) return;
        const std::size_t at = static_cast<std::size_t>(y) * width_ + static_cast<std::size_t>(x);
        std::ranges::copy(ink, samples_.begin() + std::ptrdiff_t(3 * at));
    }

    std::size_t step_;
    std::size_t width_;
    std::size_t height_;
    double perFilePx_;
    std::vector<std::uint16_t> samples_;
};

}  // namespace

picture::Reduced outlined(const picture::Reduced& picture, const SheetReading& reading) {
    Canvas canvas(picture);
    for (const auto& corners : reading.bare) canvas.draw(corners, kBare);
    for (const PatchColour& patch : reading.patches) canvas.draw(patch.corners, kRead);
    for (const LeftOut& patch : reading.leftOut) canvas.draw(patch.corners, kLeftOut);
    if (reading.card) canvas.draw(*reading.card, kCard);
    // A colour picture's codes keep their meaning with its own profile.
    const bool isColour = picture.channels == 3;
    return {.width = canvas.width(),
            .height = canvas.height(),
            .fileWidth = canvas.width(),
            .fileHeight = canvas.height(),
            .profile = isColour ? picture.profile : std::string(),
            .source = isColour ? picture.source : picture::ColourSource::assumed,
            .codes = std::move(canvas).samples()};
}

Outcome writeOutlined(const picture::Reduced& outlined, const std::filesystem::path& path) {
    const auto fill = [&](std::size_t row, std::span<std::uint16_t> samples) {
        std::ranges::copy(std::span(outlined.codes).subspan(samples.size() * row, samples.size()),
                          samples.begin());
    };
    return picture::writePixels(path,
                                {.width = outlined.width,
                                 .height = outlined.height,
                                 .channels = 3,
                                 .bits = 8,
                                 .profile = outlined.profile,
                                 .format = picture::FileFormat::png},
                                fill);
}

}  // namespace greywright::scan

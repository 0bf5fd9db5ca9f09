#include "scan/sample.h"

#include <algorithm>
#include <cmath>

#include <Eigen/Dense>
#include <fmt/format.h>

#include "core/said.h"

namespace greywright::scan {
namespace {

constexpr std::size_t kLeastPixels = 25;
constexpr double kFarthest = 3.5;      // standard deviations
constexpr double kLeastScale = 0.003;  // of the codes: below it is 8 bits' own rounding
constexpr std::size_t kBlocks = 4;     // each way
constexpr double kMostLeftOut = 0.25;
constexpr double kMostBright = 0.02;
constexpr double kMostDark = 0.05;
constexpr double kMostSlope = 0.12;
constexpr double kMostUnevenness = 0.016;

struct Pixel {
    double s = 0;  // -1 .. 1 across
    double t = 0;  // -1 .. 1 down
    std::array<double, 3> codes{};
    bool counts = true;
};

double median(std::vector<double>& values) {
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

std::vector<Pixel> pixelsIn(const picture::Reduced& picture, const Quad& quad) {
    Eigen::Vector2d low = quad[0];
    Eigen::Vector2d high = quad[0];
    for (const Eigen::Vector2d& corner : quad) {
        low = low.cwiseMin(corner);
        high = high.cwiseMax(corner);
    }
    const auto bound = [](double value, std::size_t most) {
        return static_cast<std::size_t>(std::clamp(value, 0.0, static_cast<double>(most)));
    };
    const Eigen::Vector2d middle = (quad[0] + quad[1] + quad[2] + quad[3]) / 4;
    Eigen::Matrix2d sides;
    sides.col(0) = (quad[1] + quad[2] - quad[0] - quad[3]) / 4;
    sides.col(1) = (quad[2] + quad[3] - quad[0] - quad[1]) / 4;
    const Eigen::Matrix2d back = sides.inverse();
    const auto cross = [](const Eigen::Vector2d& one, const Eigen::Vector2d& other) {
        return one.x() * other.y() - one.y() * other.x();
    };
    std::vector<Pixel> out;
    for (std::size_t row = bound(std::floor(low.y()), picture.height);
         row < bound(std::ceil(high.y()), picture.height); ++row) {
        for (std::size_t column = bound(std::floor(low.x()), picture.width);
             column < bound(std::ceil(high.x()), picture.width); ++column) {
            const Eigen::Vector2d at{static_cast<double>(column) + 0.5, static_cast<double>(row) + 0.5};
            bool left = false;
            bool right = false;
            for (std::size_t k = 0; k < 4; ++k) {
                const double side = cross(quad[(k + 1) % 4] - quad[k], at - quad[k]);
                (side > 0 ? left : right) = true;
            }
            if (left && right) continue;
            const Eigen::Vector2d place = back * (at - middle);
            Pixel pixel{.s = place.x(), .t = place.y()};
            for (std::size_t c = 0; c < 3; ++c) {
                const std::size_t channel = picture.channels == 3 ? c : 0;
                pixel.codes[c] =
                    picture.codes[(row * picture.width + column) * picture.channels + channel] / 65535.0;
            }
            out.push_back(pixel);
        }
    }
    return out;
}

using Plane = Eigen::Matrix3d;  // rows: at the middle, across, down; columns: channels

double residual(const Plane& plane, const Pixel& pixel, std::size_t channel) {
    const auto c = static_cast<Eigen::Index>(channel);
    return pixel.codes[channel] - plane(0, c) - plane(1, c) * pixel.s - plane(2, c) * pixel.t;
}

/// Marks the pixels that are too far from the plane; whether anything changed.
bool leaveOut(std::vector<Pixel>& pixels, const Plane& plane) {
    std::array<double, 3> limit{};
    std::vector<double> sizes(pixels.size());
    for (std::size_t c = 0; c < 3; ++c) {
        for (std::size_t i = 0; i < pixels.size(); ++i) sizes[i] = std::abs(residual(plane, pixels[i], c));
        limit[c] = kFarthest * std::max(kLeastScale, 1.4826 * median(sizes));
    }
    bool changed = false;
    for (Pixel& pixel : pixels) {
        bool counts = true;
        for (std::size_t c = 0; c < 3; ++c)
            counts = counts && std::abs(residual(plane, pixel, c)) <= limit[c];
        changed = changed || counts != pixel.counts;
        pixel.counts = counts;
    }
    return changed;
}

Plane fitted(const std::vector<Pixel>& pixels, const Plane& before) {
    Eigen::Matrix3d left = Eigen::Matrix3d::Identity() * 1e-9;
    Eigen::Matrix3d right = Eigen::Matrix3d::Zero();
    std::size_t count = 0;
    for (const Pixel& pixel : pixels) {
        if (!pixel.counts) continue;
        const Eigen::Vector3d place{1, pixel.s, pixel.t};
        left += place * place.transpose();
        right += place * Eigen::RowVector3d(pixel.codes[0], pixel.codes[1], pixel.codes[2]);
        ++count;
    }
    return count < 6 ? before : left.ldlt().solve(right);
}

}  // namespace

Sample sampleOf(const picture::Reduced& picture, const Quad& quad) {
    std::vector<Pixel> pixels = pixelsIn(picture, quad);
    Sample out{.pixels = pixels.size()};
    if (pixels.size() < kLeastPixels) return out;
    Plane plane = Plane::Zero();
    for (std::size_t c = 0; c < 3; ++c) {
        std::vector<double> values;
        values.reserve(pixels.size());
        for (const Pixel& pixel : pixels) values.push_back(pixel.codes[c]);
        plane(0, static_cast<Eigen::Index>(c)) = median(values);
    }
    for (int round = 0; round < 6; ++round) {
        if (!leaveOut(pixels, plane) && round > 0) break;
        plane = fitted(pixels, plane);
    }
    std::array<picture::Triple, kBlocks * kBlocks> sums{};
    std::array<double, kBlocks * kBlocks> counts{};
    double left = 0;
    double bright = 0;
    double dark = 0;
    const double top = picture.fileBits > 8 ? 0.9998 : 254.5 / 255;
    for (const Pixel& pixel : pixels) {
        const auto [least, most] = std::ranges::minmax(pixel.codes);
        bright += most >= top ? 1 : 0;
        dark += least <= 1 - top ? 1 : 0;
        if (!pixel.counts) {
            ++left;
            continue;
        }
        const auto part = [](double place) {
            return std::min(kBlocks - 1, static_cast<std::size_t>(std::max(0.0, (place + 1) / 2 * kBlocks)));
        };
        const std::size_t block = part(pixel.t) * kBlocks + part(pixel.s);
        counts[block] += 1;
        for (std::size_t c = 0; c < 3; ++c) sums[block][c] += residual(plane, pixel, c);
    }
    const double all = static_cast<double>(pixels.size());
    out.leftOutFraction = left / all;
    out.brightFraction = bright / all;
    out.darkFraction = dark / all;
    for (std::size_t i = 0; i < sums.size(); ++i) {
        if (counts[i] < all / (2 * sums.size())) continue;
        for (std::size_t c = 0; c < 3; ++c) {
            sums[i][c] = sums[i][c] / counts[i] + plane(0, static_cast<Eigen::Index>(c));
        }
        out.blocks.push_back(sums[i]);
    }
    for (std::size_t c = 0; c < 3; ++c) {
        const auto channel = static_cast<Eigen::Index>(c);
        out.mean[c] = plane(0, channel);
        out.slope = std::max(out.slope, 2 * std::hypot(plane(1, channel), plane(2, channel)));
        double squares = 0;
        for (const picture::Triple& block : out.blocks) squares += std::pow(block[c] - out.mean[c], 2);
        if (!out.blocks.empty()) {
            out.unevenness =
                std::max(out.unevenness, std::sqrt(squares / static_cast<double>(out.blocks.size())));
        }
    }
    return out;
}

std::string faultOf(const Sample& sample) {
    if (sample.pixels < kLeastPixels) return said("too few pixels in the picture");
    if (sample.brightFraction > kMostBright) return said("lighter than the picture can show");
    if (sample.darkFraction > kMostDark) return said("darker than the picture can show");
    if (sample.leftOutFraction > kMostLeftOut) {
        return said("{:.0f} % of it is covered or glares", 100 * sample.leftOutFraction);
    }
    if (sample.slope > kMostSlope) return said("it is not evenly lit");
    if (sample.unevenness > kMostUnevenness) return said("it is not even");
    return {};
}

}  // namespace greywright::scan

#include "simulate/jpeg.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <vector>

namespace greywright::simulate {
namespace {

using Table = std::array<int, 64>;

constexpr Table kLuma{16, 11, 10, 16, 24,  40,  51,  61,  12, 12, 14, 19, 26,  58,  60,  55,
                      14, 13, 16, 24, 40,  57,  69,  56,  14, 17, 22, 29, 51,  87,  80,  62,
                      18, 22, 37, 56, 68,  109, 103, 77,  24, 35, 55, 64, 81,  104, 113, 92,
                      49, 64, 78, 87, 103, 121, 120, 101, 72, 92, 95, 98, 112, 100, 103, 99};
constexpr Table kChroma{17, 18, 24, 47, 99, 99, 99, 99, 18, 21, 26, 66, 99, 99, 99, 99,
                        24, 26, 56, 99, 99, 99, 99, 99, 47, 66, 99, 99, 99, 99, 99, 99,
                        99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99,
                        99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99};

Table scaled(const Table& table, int quality) {
    const int percent = quality < 50 ? 5000 / quality : 200 - 2 * quality;
    Table out{};
    for (std::size_t i = 0; i < 64; ++i) out[i] = std::clamp((table[i] * percent + 50) / 100, 1, 255);
    return out;
}

using Block = std::array<float, 64>;

const Block& cosines() {
    static const Block kCosines = [] {
        Block out{};
        for (std::size_t k = 0; k < 8; ++k) {
            for (std::size_t i = 0; i < 8; ++i) {
                const double scale = k == 0 ? std::sqrt(0.125) : 0.5;
                out[k * 8 + i] = static_cast<float>(
                    scale * std::cos(std::numbers::pi * (2.0 * static_cast<double>(i) + 1) *
                                     static_cast<double>(k) / 16));
            }
        }
        return out;
    }();
    return kCosines;
}

/// Along rows, then turned over: twice is the whole transform.
Block half(const Block& in, bool forward) {
    const Block& c = cosines();
    Block out{};
    for (std::size_t row = 0; row < 8; ++row) {
        for (std::size_t k = 0; k < 8; ++k) {
            float sum = 0;
            for (std::size_t i = 0; i < 8; ++i)
                sum += in[row * 8 + i] * (forward ? c[k * 8 + i] : c[i * 8 + k]);
            out[k * 8 + row] = sum;
        }
    }
    return out;
}

void roundPlane(std::vector<float>& plane, std::size_t width, std::size_t height, const Table& steps) {
    for (std::size_t y = 0; y < height; y += 8) {
        for (std::size_t x = 0; x < width; x += 8) {
            Block block{};
            for (std::size_t i = 0; i < 64; ++i) {
                const std::size_t row = std::min(y + i / 8, height - 1);
                block[i] = plane[row * width + std::min(x + i % 8, width - 1)];
            }
            block = half(half(block, true), true);
            for (std::size_t i = 0; i < 64; ++i) {
                const auto step = static_cast<float>(steps[i]);
                block[i] = step * std::round(block[i] / step);
            }
            block = half(half(block, false), false);
            for (std::size_t i = 0; i < 64; ++i) {
                if (y + i / 8 < height && x + i % 8 < width)
                    plane[(y + i / 8) * width + x + i % 8] = block[i];
            }
        }
    }
}

}  // namespace

void roundAsJpeg(std::span<float> rgb, std::size_t width, std::size_t height, int quality) {
    const std::size_t smallWidth = (width + 1) / 2;
    const std::size_t smallHeight = (height + 1) / 2;
    std::vector<float> luma(width * height);
    std::vector<float> blue(smallWidth * smallHeight);
    std::vector<float> red(smallWidth * smallHeight);
    std::vector<float> count(smallWidth * smallHeight);
    for (std::size_t i = 0; i < luma.size(); ++i) {
        const float r = rgb[3 * i];
        const float g = rgb[3 * i + 1];
        const float b = rgb[3 * i + 2];
        const float y = 0.299F * r + 0.587F * g + 0.114F * b;
        luma[i] = y - 128;
        const std::size_t at = i / width / 2 * smallWidth + i % width / 2;
        blue[at] += 0.564F * (b - y);
        red[at] += 0.713F * (r - y);
        count[at] += 1;
    }
    for (std::size_t i = 0; i < count.size(); ++i) {
        blue[i] /= count[i];
        red[i] /= count[i];
    }
    roundPlane(luma, width, height, scaled(kLuma, quality));
    roundPlane(blue, smallWidth, smallHeight, scaled(kChroma, quality));
    roundPlane(red, smallWidth, smallHeight, scaled(kChroma, quality));
    for (std::size_t i = 0; i < luma.size(); ++i) {
        const std::size_t at = i / width / 2 * smallWidth + i % width / 2;
        const float y = luma[i] + 128;
        rgb[3 * i] = y + 1.403F * red[at];
        rgb[3 * i + 1] = y - 0.714F * red[at] - 0.344F * blue[at];
        rgb[3 * i + 2] = y + 1.773F * blue[at];
    }
}

}  // namespace greywright::simulate

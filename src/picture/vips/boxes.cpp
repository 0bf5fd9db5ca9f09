#include "picture/vips/boxes.h"

#include <algorithm>
#include <cmath>
#include <utility>

namespace greywright::picture {

Boxes::Boxes(std::size_t width, std::size_t height, std::size_t channels, std::size_t factor)
    : factor_(factor),
      width_(width / factor),
      height_(height / factor),
      channels_(channels),
      columns_(width_ * factor * channels, 0) {
    codes_.reserve(width_ * height_ * channels_);
}

std::size_t Boxes::factorFor(std::size_t width, std::size_t height, std::size_t mostPixels) {
    std::size_t factor = 1;
    const std::size_t most = std::min(width, height);
    while (factor < most && (width / factor) * (height / factor) > mostPixels) ++factor;
    return factor;
}

template <typename Sample>
void Boxes::addSamples(const Sample* row) {
    constexpr unsigned kScale = sizeof(Sample) == 1 ? 257 : 1;
    if (rowsDone_ / factor_ == height_) return;  // what is left over
    ++rowsDone_;
    if (factor_ == 1) {
        std::transform(row, row + columns_.size(), std::back_inserter(codes_),
                       [](Sample sample) { return static_cast<std::uint16_t>(sample * kScale); });
        return;
    }
    for (std::size_t i = 0; i < columns_.size(); ++i) columns_[i] += row[i];
    if (rowsDone_ % factor_ == 0) finishRow(kScale);
}

void Boxes::finishRow(double scale) {
    // The quotient of two whole numbers below 2^53 never rounds up to a whole number that it does not reach.
    const auto pixels = static_cast<double>(factor_ * factor_);
    const std::uint32_t* box = columns_.data();
    for (std::size_t x = 0; x < width_; ++x, box += factor_ * channels_) {
        for (std::size_t channel = 0; channel < channels_; ++channel) {
            std::uint64_t sum = 0;
            for (std::size_t i = 0; i < factor_; ++i) sum += box[i * channels_ + channel];
            const double half = std::floor(pixels / 2);
            codes_.push_back(static_cast<std::uint16_t>((static_cast<double>(sum) * scale + half) / pixels));
        }
    }
    std::ranges::fill(columns_, 0U);
}

template void Boxes::addSamples(const std::uint8_t* row);
template void Boxes::addSamples(const std::uint16_t* row);

Turned turned(std::vector<std::uint16_t> codes, std::size_t width, std::size_t height, std::size_t channels,
              int orientation) {
    if (orientation < 2 || orientation > 8) return {width, height, std::move(codes)};
    const bool onItsSide = orientation >= 5;
    const bool rightToLeft = orientation == 2 || orientation == 3 || orientation == 7 || orientation == 8;
    const bool bottomToTop = orientation == 3 || orientation == 4 || orientation == 6 || orientation == 7;
    Turned out{onItsSide ? height : width, onItsSide ? width : height, {}};
    out.codes.reserve(codes.size());
    for (std::size_t row = 0; row < out.height; ++row) {
        for (std::size_t column = 0; column < out.width; ++column) {
            std::size_t x = onItsSide ? row : column;
            std::size_t y = onItsSide ? column : row;
            if (rightToLeft) x = width - 1 - x;
            if (bottomToTop) y = height - 1 - y;
            const auto from = codes.begin() + static_cast<std::ptrdiff_t>((y * width + x) * channels);
            out.codes.insert(out.codes.end(), from, from + static_cast<std::ptrdiff_t>(channels));
        }
    }
    return out;
}

}  // namespace greywright::picture

#include "picture/table.h"

#include <cstring>

#include "core/contract.h"

namespace greywright::picture {
namespace {

constexpr std::size_t kCodes = 65536;
constexpr std::size_t kSide = 16;
constexpr std::uint32_t kStep = 257;  // codes of 16 bits to one of 8

using Thresholds = std::array<std::array<std::uint16_t, kSide>, kSide>;

// 0 .. 256, each rank's middle: what is added before the division by 257.
constexpr Thresholds thresholds() {
    Thresholds made{};
    for (std::size_t y = 0; y < kSide; ++y) {
        for (std::size_t x = 0; x < kSide; ++x) {
            const std::size_t rank = 16 * ((5 * x + 7 * y) % kSide) + (2 * x + 7 * y) % kSide;
            made[y][x] = static_cast<std::uint16_t>((2 * rank + 1) * kStep / (2 * kSide * kSide));
        }
    }
    return made;
}

constexpr Thresholds kThresholds = thresholds();

}  // namespace

CodeTable::CodeTable(std::span<const std::uint16_t> codes, std::size_t channels) : channels_(channels) {
    expects((channels == 1 || channels == 3) && !codes.empty() && codes.size() % channels == 0,
            "CodeTable: entries of 1 or 3 channels");
    if (channels == 1) {
        single_.assign(codes.begin(), codes.end());
        return;
    }
    triple_.resize(codes.size() / 3);
    for (std::size_t i = 0; i < triple_.size(); ++i) {
        triple_[i] = {codes[3 * i], codes[3 * i + 1], codes[3 * i + 2], 0};
    }
}

template <typename Code>
void CodeTable::look(std::span<const Code> grey, std::uint16_t* out) const {
    if (channels_ == 1) {
        for (std::size_t i = 0; i < grey.size(); ++i) out[i] = single_[grey[i]];
        return;
    }
    if (grey.empty()) return;
    // Four codes at once, of which the next pixel overwrites the last one.
    for (std::size_t i = 0; i + 1 < grey.size(); ++i) {
        std::memcpy(out + 3 * i, triple_[grey[i]].data(), 4 * sizeof(std::uint16_t));
    }
    std::memcpy(out + 3 * (grey.size() - 1), triple_[grey.back()].data(), 3 * sizeof(std::uint16_t));
}

void CodeTable::apply(std::span<const std::uint8_t> grey, std::uint16_t* out) const {
    look(grey, out);
}
void CodeTable::apply(std::span<const std::uint16_t> grey, std::uint16_t* out) const {
    look(grey, out);
}

BetweenCodes::BetweenCodes(std::span<const std::uint16_t> codes, std::size_t channels)
    : channels_(channels), codes_(codes.begin(), codes.end()) {
    expects((channels == 1 || channels == 3) && codes.size() == kCodes * channels,
            "BetweenCodes: 65,536 entries of 1 or 3 channels");
    codes_.insert(codes_.end(), codes.end() - static_cast<std::ptrdiff_t>(channels), codes.end());
}

void dither(std::span<const std::uint16_t> codes, std::size_t channels, std::size_t left, std::size_t row,
            std::uint8_t* out) {
    const auto& line = kThresholds[row % kSide];
    for (std::size_t i = 0; i < codes.size(); ++i) {
        out[i] = static_cast<std::uint8_t>((codes[i] + line[(left + i / channels) % kSide]) / kStep);
    }
}

}  // namespace greywright::picture

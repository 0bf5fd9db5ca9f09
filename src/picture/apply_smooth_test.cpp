#include <algorithm>
#include <cmath>
#include <cstdint>
#include <functional>
#include <vector>

#include <gtest/gtest.h>

#include "picture/prepare_fixture.h"
#include "testing/banding.h"

namespace greywright::picture {
namespace {

using namespace preparing;

// A gradient of 4096 greys through the curve to 8 bits, each 16 x 16 pixels. Rounding makes a step of one
// code of 8 bits, 257, where the gradient has one of 16; dither must not. The mean over 16 x 16 pixels is off
// by no more than one threshold of 256, so a step between two means by no more than two.
TEST_F(Prepare, DitherAddsNoSteps) {
    constexpr std::size_t kSide = 16;
    constexpr std::size_t kWidth = 4096 * kSide;
    constexpr double kThreshold = 257.0 / 256;
    Codes codes;
    for (std::size_t i = 0; i < kWidth * kSide; ++i) {
        codes.push_back(static_cast<std::uint16_t>(i % kWidth / kSide * 65535 / 4095));
    }
    const fs::path in = file("in.tif", kWidth, codes, gamma22());
    const Codes table = tableOf(1);
    const Codes out = prepared(in, {.table = table, .bits = 8});
    ASSERT_EQ(out.size(), codes.size());
    const auto means = [&](const std::function<double(std::size_t)>& codeAt) {
        std::vector<double> made(kWidth / kSide);
        for (std::size_t i = 0; i < codes.size(); ++i) {
            made[i % kWidth / kSide] += codeAt(i) / static_cast<double>(kSide * kSide);
        }
        return made;
    };
    const auto worstBend = [](const std::vector<double>& of, const std::vector<double>& than) {
        double worst = 0;
        for (std::size_t i = 1; i + 1 < of.size(); ++i) {
            const auto bend = [i](const auto& v) { return v[i + 1] - 2 * v[i] + v[i - 1]; };
            worst = std::max(worst, std::abs(bend(of) - bend(than)));
        }
        return worst;
    };
    const auto exact = means([&](std::size_t i) { return table[codes[i]]; });
    const auto dithered = means([&](std::size_t i) { return out[i] * 257.0; });
    const auto rounded = means([&](std::size_t i) { return std::rint(table[codes[i]] / 257.0) * 257.0; });
    EXPECT_LE(worstBend(dithered, exact), 4 * kThreshold);
    EXPECT_GT(worstBend(rounded, exact), 60) << "the test would not see banding";
    for (std::size_t i = 1; i < dithered.size(); ++i) {
        ASSERT_LE(dithered[i] - dithered[i - 1], exact[i] - exact[i - 1] + 2 * kThreshold) << i;
        ASSERT_GE(dithered[i] - dithered[i - 1], exact[i] - exact[i - 1] - 2 * kThreshold) << i;
    }
    for (std::size_t i = 0; i < out.size(); ++i) {
        ASSERT_LT(std::abs(out[i] * 257.0 - table[codes[i]]), 257) << "more than the next code";
    }
}

// Any 16 pixels of a column take one threshold from each sixteenth of a code, whatever lies beside them.
TEST_F(Prepare, ASmoothGradientStaysSmooth) {
    constexpr std::size_t kLength = 4096;
    constexpr std::size_t kSide = 16;
    const Codes table = tableOf(1);
    Codes across;
    Codes down;
    for (std::size_t i = 0; i < kLength * kSide; ++i) {
        across.push_back(static_cast<std::uint16_t>(i % kLength * 65535 / (kLength - 1)));
        down.push_back(static_cast<std::uint16_t>(i / kSide * 65535 / (kLength - 1)));
    }
    const Codes flat = prepared(file("across.tif", kLength, across, gamma22()), {.table = table, .bits = 8});
    const Codes tall = prepared(file("down.tif", kSide, down, gamma22()), {.table = table, .bits = 8});
    for (std::size_t i = 0; i < kLength; ++i) {
        double column = 0;
        double row = 0;
        for (std::size_t j = 0; j < kSide; ++j) {
            column += (flat[j * kLength + i] * 257.0 - table[across[i]]) / kSide;
            row += (tall[i * kSide + j] * 257.0 - table[down[i * kSide]]) / kSide;
        }
        ASSERT_LE(std::abs(column), 257.0 / 16) << i;
        ASSERT_LE(std::abs(row), 257.0 / 16) << i;
    }
}

TEST_F(Prepare, EightBitsThatAreNotChangedStay) {
    Codes grey;
    for (std::size_t i = 0; i < 256 * 20; ++i) grey.push_back(static_cast<std::uint16_t>(i % 256 * 257));
    const Codes out = prepared(file("in.png", 256, grey, gamma22(), 1, 8), {.bits = 8});
    ASSERT_EQ(out.size(), grey.size());
    for (std::size_t i = 0; i < out.size(); ++i) ASSERT_EQ(out[i] * 257, grey[i]);
}

}  // namespace
}  // namespace greywright::picture

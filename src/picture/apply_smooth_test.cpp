#include <algorithm>
#include <cmath>
#include <cstdint>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "picture/prepare_fixture.h"
#include "testing/banding.h"

namespace greywright::picture {
namespace {

using namespace preparing;
using greywright::testing::Banding;
using greywright::testing::bandingOf;

constexpr std::size_t kSide = 16;

// What a table makes between its entries, not rounded.
double between(const Codes& table, double place) {
    const auto below = std::min(static_cast<std::size_t>(place), kCodes - 2);
    return table[below] + (place - static_cast<double>(below)) * (table[below + 1] - table[below]);
}

// Means of squares, `across` of them in a row.
std::vector<double> meansOf(const Codes& codes, std::size_t across) {
    std::vector<double> means(codes.size() / (kSide * kSide));
    for (std::size_t i = 0; i < codes.size(); ++i) {
        const std::size_t square = i / (across * kSide * kSide) * across + i % (across * kSide) / kSide;
        means[square] += codes[i] / static_cast<double>(kSide * kSide);
    }
    return means;
}

// All 65,536 greys through the curve to 8 bits, each a square of 16 x 16 pixels. Rounding to 8 bits makes a
// step of 257 where the table has one of a few codes or none; dither must not. 256 thresholds stand for 257
// codes, so a step is larger than the table's by one in 257 at most, and never the other way.
TEST_F(Prepare, DitherMakesNoStepLargerThanTheTables) {
    constexpr std::size_t kAcross = 4096;
    constexpr double kThreshold = 257.0 / 256;
    Codes codes;
    for (std::size_t i = 0; i < kCodes * kSide * kSide; ++i) {
        const std::size_t x = i % (kAcross * kSide);
        const std::size_t y = i / (kAcross * kSide);
        codes.push_back(static_cast<std::uint16_t>(y / kSide * kAcross + x / kSide));
    }
    const Codes table = tableOf(1);
    const fs::path in = file("in.tif", kAcross * kSide, codes, gamma22());
    Codes out = prepared(in, {.table = table, .bits = 8});
    ASSERT_EQ(out.size(), codes.size());
    for (std::size_t i = 0; i < out.size(); ++i) {
        out[i] = static_cast<std::uint16_t>(out[i] * 257);
        ASSERT_LT(std::abs(out[i] - table[codes[i]]), 257) << "more than the next code";
    }
    const auto dithered = meansOf(out, kAcross);
    for (std::size_t i = 1; i < dithered.size(); ++i) {
        const double step = dithered[i] - dithered[i - 1];
        ASSERT_GE(step, 0) << i;
        ASSERT_LE(step, (table[i] - table[i - 1]) * kThreshold + 1e-6) << i;
    }
    const std::vector<double> asked(table.begin(), table.end());
    const Banding banding = bandingOf(dithered, asked);
    EXPECT_LE(banding.deviation, kThreshold);
    EXPECT_LE(banding.excessStep, kThreshold + 1e-6);
    EXPECT_LE(banding.excessBend, 2 * kThreshold + 1e-6);
    RecordProperty("bend", std::to_string(banding.excessBend));

    std::vector<double> rounded;
    for (const double code : asked) rounded.push_back(std::rint(code / 257) * 257);
    EXPECT_GT(bandingOf(rounded, asked).excessBend, 200) << "the measure would not see banding";
}

// The same from the picture's own curve, that of sRGB, through the encoding's and the table, as a colour
// picture of three equal channels: beside what is worked out in double precision, one code of 16 bits more
// may be off, for rounding before dither.
// Source: sRGB to linear light: IEC 61966-2-1; the encoding: luminance to the power 256/563 (the profile that
// ships).
TEST_F(Prepare, ACurveBeforeTheTableAddsNoSteps) {
    constexpr std::size_t kAcross = 1024;
    constexpr double kThreshold = 257.0 / 256;
    const auto light = [](double v) { return v <= 0.04045 ? v / 12.92 : std::pow((v + 0.055) / 1.055, 2.4); };
    const Codes table = tableOf(1);
    Codes rgb;
    std::vector<double> asked;
    const auto greyAt = [](std::size_t i) { return i * 65535 / (kAcross - 1); };
    for (std::size_t i = 0; i < kAcross; ++i) {
        const double luminance = light(static_cast<double>(greyAt(i)) / 65535);
        asked.push_back(between(table, 65535 * std::pow(luminance, 256.0 / 563)));
    }
    for (std::size_t i = 0; i < kAcross * kSide * kSide; ++i) {
        rgb.insert(rgb.end(), 3, static_cast<std::uint16_t>(greyAt(i % (kAcross * kSide) / kSide)));
    }
    Codes out = prepared(file("in.tif", kAcross * kSide, rgb, "", 3), {.table = table, .bits = 8});
    ASSERT_EQ(out.size(), kAcross * kSide * kSide);
    for (std::uint16_t& code : out) code = static_cast<std::uint16_t>(code * 257);
    const Banding banding = bandingOf(meansOf(out, kAcross), asked);
    EXPECT_LE(banding.deviation, kThreshold + 1);
    EXPECT_LE(banding.excessStep, 2 * (kThreshold + 1));
    EXPECT_LE(banding.excessBend, 4 * (kThreshold + 1));
}

// The measure itself, by hand: one tone of five is off by 3.
TEST(Banding, SeesAStepAndABend) {
    const std::vector<double> asked{0, 10, 20, 30, 40};
    const std::vector<double> made{0, 10, 23, 30, 40};
    const Banding banding = bandingOf(made, asked);
    EXPECT_DOUBLE_EQ(banding.deviation, 3);
    EXPECT_DOUBLE_EQ(banding.excessStep, 3);
    EXPECT_DOUBLE_EQ(banding.excessBend, 6);
    EXPECT_DOUBLE_EQ(bandingOf(asked, asked).excessBend, 0);
    const std::vector<double> lighter{1, 11, 21, 31, 41};
    EXPECT_DOUBLE_EQ(bandingOf(lighter, asked).excessStep, 0);
}

// Any 16 pixels of a column take one threshold from each sixteenth of a code, whatever lies beside them.
TEST_F(Prepare, ASmoothGradientStaysSmooth) {
    constexpr std::size_t kLength = 4096;
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

#pragma once

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <numeric>
#include <string>
#include <vector>

#include <gtest/gtest.h>
#include <vips/vips.h>

#include "picture/apply.h"
#include "picture/read_back.h"
#include "testing/near.h"
#include "testing/temporary_folder.h"

/// For tests only: what those of prepare() have in common.
namespace greywright::picture::preparing {

using greywright::testing::succeeded;
using greywright::testing::TemporaryFolder;
using readback::readBack;

namespace fs = std::filesystem;

using Codes = std::vector<std::uint16_t>;

inline constexpr std::size_t kCodes = 65536;

// A curve and a tint, as no printer needs them: steep, flat, and another one in each channel.
inline double curve(double share, std::size_t channel) {
    const double powers[3]{0.6, 1.0, 1.9};
    return 3000 + 61000 * std::pow(share, powers[channel]);
}

inline Codes tableOf(std::size_t channels) {
    Codes table;
    for (std::size_t i = 0; i < kCodes; ++i) {
        for (std::size_t c = 0; c < channels; ++c) {
            table.push_back(
                static_cast<std::uint16_t>(std::lround(curve(static_cast<double>(i) / 65535, c))));
        }
    }
    return table;
}

inline std::string gamma22() {
    return profileOf(Encoding::greyGamma22).value();
}

inline Codes codesOf(const fs::path& path) {
    Codes codes;
    (void)readBack(path, [&](auto, auto row) { codes.insert(codes.end(), row.begin(), row.end()); });
    return codes;
}

inline Codes busy(std::size_t width, std::size_t height, std::size_t channels) {
    Codes codes;
    std::uint32_t random = 7;
    for (std::size_t i = 0; i < width * height * channels; ++i) {
        random = random * 1664525U + 1013904223U;
        codes.push_back(static_cast<std::uint16_t>(i * 3 + (random >> 22U)));
    }
    return codes;
}

class Prepare : public ::testing::Test {
  protected:
    static void SetUpTestSuite() { ASSERT_EQ(vips_init("picture_test"), 0); }

    // A file of the codes given, by us; read back by libtiff in what follows.
    fs::path file(const std::string& name, std::size_t width, const Codes& codes, const std::string& profile,
                  int channels = 1, int bits = 16) const {
        const std::size_t rowCodes = width * static_cast<std::size_t>(channels);
        const PixelFile made{.width = width,
                             .height = codes.size() / rowCodes,
                             .channels = channels,
                             .bits = bits,
                             .profile = profile,
                             .format = name.ends_with(".png") ? FileFormat::png : FileFormat::tiff};
        EXPECT_TRUE(succeeded(writePixels(folder_ / name, made, [&](std::size_t row, auto samples) {
            std::copy_n(codes.begin() + static_cast<std::ptrdiff_t>(row * rowCodes), rowCodes,
                        samples.begin());
        })));
        return folder_ / name;
    }

    Codes prepared(const fs::path& in, const Preparation& how) const {
        const fs::path out = folder_ / (how.format == FileFormat::png ? "out.png" : "out.tif");
        EXPECT_TRUE(succeeded(prepare(in, out, how)));
        return codesOf(out);
    }

    static Codes everyCode() {
        Codes codes(kCodes);
        std::iota(codes.begin(), codes.end(), std::uint16_t{0});
        return codes;
    }

    Error errorOf(const fs::path& in, const fs::path& out, const Preparation& how = {}) const {
        const std::size_t before = folder_.count();
        const auto result = prepare(in, out, how);
        EXPECT_FALSE(result) << in;
        EXPECT_STREQ(vips_error_buffer(), "") << "something was left for others to find";
        EXPECT_EQ(folder_.count(), before) << "a file was left";
        if (result) return {};
        EXPECT_NE(result.error().what, "");
        return result.error();
    }

    TemporaryFolder folder_;
};

}  // namespace greywright::picture::preparing

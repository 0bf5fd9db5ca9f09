// What it costs to read a scan of 200 million pixels, beside the decoding and averaging that nobody can
// avoid.
#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <numeric>
#include <span>
#include <string>

#include <vips/vips.h>

#include "picture/read.h"
#include "picture/write.h"
#include "testing/temporary_folder.h"

namespace {

using namespace greywright;
namespace fs = std::filesystem;

constexpr std::size_t kWidth = 16384;
constexpr std::size_t kHeight = 12208;
constexpr int kRounds = 3;
constexpr double kMostTimes = 1.5;

void require(bool holds, const char* what) {
    if (holds) return;
    std::fprintf(stderr, "wrong answer: %s\n", what);
    std::exit(1);
}

// A gradient with the noise of a scanner in it.
void fill(std::size_t row, std::span<std::uint16_t> samples) {
    auto noise = static_cast<std::uint32_t>(row * 2654435761U + 1);
    for (std::size_t i = 0; i < samples.size(); ++i) {
        noise = noise * 1664525U + 1013904223U;
        samples[i] = static_cast<std::uint16_t>(8000 + (i + row) + (noise >> 23U));
    }
}

double averageByVips(const fs::path& path) {
    VipsImage* image =
        vips_image_new_from_file(path.string().c_str(), "access", VIPS_ACCESS_SEQUENTIAL, nullptr);
    require(image != nullptr, "libvips does not open the file");
    double average = 0;
    require(vips_avg(image, &average, nullptr) == 0, "libvips does not read the file");
    g_object_unref(image);
    return average;
}

template <typename Work>
double bestSeconds(const Work& work) {
    double best = HUGE_VAL;
    for (int round = 0; round < kRounds; ++round) {
        const auto begin = std::chrono::steady_clock::now();
        work();
        best =
            std::min(best, std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count());
    }
    return best;
}

// Decoded and averaged by libvips alone, and read by us, one after the other.
bool compare(const fs::path& path, const char* name, double scale) {
    const auto picture = picture::readReduced(path);
    require(static_cast<bool>(picture), "the file is not read");
    require(picture->factor == 4 && picture->width == kWidth / 4, "the size of what was read");
    const double sum = std::accumulate(picture->codes.begin(), picture->codes.end(), 0.0);
    require(std::abs(sum / static_cast<double>(picture->codes.size()) - averageByVips(path) * scale) < 0.5,
            "the mean of what was read");

    const double least = bestSeconds([&] { averageByVips(path); });
    const double ours =
        bestSeconds([&] { require(static_cast<bool>(picture::readReduced(path)), "read again"); });
    std::printf("%-24s libvips alone %6.2f s   readReduced %6.2f s   %.2f times\n", name, least, ours,
                ours / least);
    return ours < kMostTimes * least;
}

}  // namespace

int main() {
    require(vips_init("picture_bench") == 0, "libvips does not start");
    vips_cache_set_max(0);
    const testing::TemporaryFolder folder;
    bool fast = true;
    for (const int bits : {8, 16}) {
        const fs::path packed = folder / "packed.tif";
        const fs::path plain = folder / "plain.tif";
        const picture::PixelFile file{.width = kWidth, .height = kHeight, .channels = 3, .bits = bits};
        require(static_cast<bool>(picture::writePixels(packed, file, fill)), "the file is not written");
        VipsImage* image =
            vips_image_new_from_file(packed.string().c_str(), "access", VIPS_ACCESS_SEQUENTIAL, nullptr);
        require(image != nullptr && vips_image_write_to_file(image, plain.string().c_str(), nullptr) == 0,
                "the file is not copied");
        g_object_unref(image);
        const std::string name = std::to_string(bits) + " bits, ";
        fast = compare(packed, (name + "LZW").c_str(), bits == 8 ? 257 : 1) && fast;
        fast = compare(plain, (name + "uncompressed").c_str(), bits == 8 ? 257 : 1) && fast;
    }
    if (!fast) std::fprintf(stderr, "slower than %.1f times what libvips needs alone\n", kMostTimes);
    return fast ? 0 : 1;
}

// What it costs to read a scan of 200 million pixels, beside the decoding and averaging that nobody can
// avoid.
#include <cmath>
#include <cstddef>
#include <cstdio>
#include <filesystem>
#include <numeric>
#include <string>

#include <vips/vips.h>

#include "picture/read.h"
#include "picture/write.h"
#include "pictures.h"
#include "testing/temporary_folder.h"

namespace {

using namespace greywright;
using namespace greywright::bench;
namespace fs = std::filesystem;

constexpr std::size_t kWidth = 16384;
constexpr std::size_t kHeight = 12208;
constexpr int kRounds = 3;
constexpr double kMostTimes = 1.5;

double averageByVips(const fs::path& path) {
    VipsImage* image = openedByVips(path);
    double average = 0;
    require(vips_avg(image, &average, nullptr) == 0, "libvips does not read the file");
    g_object_unref(image);
    return average;
}

// Decoded and averaged by libvips alone, and read by us, one after the other.
bool compare(const fs::path& path, const char* name, double scale) {
    const auto picture = picture::readReduced(path);
    require(static_cast<bool>(picture), "the file is not read");
    require(picture->factor == 4 && picture->width == kWidth / 4, "the size of what was read");
    const double sum = std::accumulate(picture->codes.begin(), picture->codes.end(), 0.0);
    require(std::abs(sum / static_cast<double>(picture->codes.size()) - averageByVips(path) * scale) < 0.5,
            "the mean of what was read");

    const double least = bestSeconds(kRounds, [&] { averageByVips(path); });
    const double ours =
        bestSeconds(kRounds, [&] { require(static_cast<bool>(picture::readReduced(path)), "read again"); });
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
        VipsImage* image = openedByVips(packed);
        require(vips_image_write_to_file(image, plain.string().c_str(), nullptr) == 0,
                "the file is not copied");
        g_object_unref(image);
        const std::string name = std::to_string(bits) + " bits, ";
        fast = compare(packed, (name + "LZW").c_str(), bits == 8 ? 257 : 1) && fast;
        fast = compare(plain, (name + "uncompressed").c_str(), bits == 8 ? 257 : 1) && fast;
    }
    if (!fast) std::fprintf(stderr, "slower than %.1f times what libvips needs alone\n", kMostTimes);
    return fast ? 0 : 1;
}

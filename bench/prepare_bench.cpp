// What it costs to make a picture of 300 million pixels ready to print, beside a copy by libvips that writes
// as much, and what the arithmetic costs beside that of lcms2.
//
// prepare_bench            all of it
// prepare_bench PIXELS     prepares a picture of so many million pixels and prints the peak of memory
#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <span>
#include <string>
#include <vector>

#include <lcms2.h>
#include <sys/resource.h>
#include <vips/vips.h>

#include "picture/apply.h"
#include "picture/table.h"
#include "testing/temporary_folder.h"

namespace {

using namespace greywright;
namespace fs = std::filesystem;

constexpr std::size_t kWidth = 20000;
constexpr double kMostTimes = 1.15;
constexpr double kLeastTimes = 4;
constexpr double kMostMegabytes = 300;

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

fs::path source(const testing::TemporaryFolder& folder, std::size_t millionPixels) {
    const picture::PixelFile file{.width = kWidth,
                                  .height = millionPixels * 1'000'000 / kWidth,
                                  .profile = picture::profileOf(picture::Encoding::greyGamma22).value()};
    require(static_cast<bool>(picture::writePixels(folder / "in.tif", file, fill)), "the file is not made");
    return folder / "in.tif";
}

std::vector<std::uint16_t> table() {
    std::vector<std::uint16_t> codes;
    for (int i = 0; i < 65536; ++i) {
        for (const double power : {0.9, 0.92, 0.95}) {
            codes.push_back(static_cast<std::uint16_t>(std::lround(65535 * std::pow(i / 65535.0, power))));
        }
    }
    return codes;
}

template <typename Work>
double seconds(const Work& work) {
    const auto begin = std::chrono::steady_clock::now();
    work();
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
}

VipsImage* openedBy(const fs::path& path) {
    VipsImage* image =
        vips_image_new_from_file(path.string().c_str(), "access", VIPS_ACCESS_SEQUENTIAL, nullptr);
    require(image != nullptr, "libvips does not open the file");
    return image;
}

// The grey three times over, so that as many bytes are written.
void copyByVips(const fs::path& in, const fs::path& out) {
    VipsImage* grey = openedBy(in);
    VipsImage* three[3]{grey, grey, grey};
    VipsImage* joined = nullptr;
    require(vips_bandjoin(three, &joined, 3, nullptr) == 0, "libvips does not join");
    VipsImage* rgb = nullptr;
    require(vips_copy(joined, &rgb, "interpretation", VIPS_INTERPRETATION_RGB16, nullptr) == 0,
            "libvips does not copy");
    require(vips_tiffsave(rgb, out.string().c_str(), "compression", VIPS_FOREIGN_TIFF_COMPRESSION_LZW,
                          "predictor", VIPS_FOREIGN_TIFF_PREDICTOR_HORIZONTAL, nullptr) == 0,
            "libvips does not save");
    g_object_unref(rgb);
    g_object_unref(joined);
    g_object_unref(grey);
}

// Every row's mean in each channel, by libvips, against the table.
void check(const fs::path& path, const std::vector<std::uint16_t>& codes, std::size_t height) {
    VipsImage* image = openedBy(path);
    require(vips_image_get_bands(image) == 3 && vips_image_get_format(image) == VIPS_FORMAT_USHORT,
            "the kind of pixels");
    double sums[3]{};
    std::vector<std::uint16_t> row(kWidth);
    for (std::size_t y = 0; y < height; ++y) {
        fill(y, row);
        for (const std::uint16_t grey : row) {
            for (std::size_t c = 0; c < 3; ++c) sums[c] += codes[3U * grey + c];
        }
    }
    VipsImage* statistics = nullptr;
    require(vips_stats(image, &statistics, nullptr) == 0, "libvips does not count");
    for (int c = 0; c < 3; ++c) {
        const int place = (c + 1) * vips_image_get_width(statistics) + 4;
        const double mean = static_cast<const double*>(vips_image_get_data(statistics))[place];
        require(std::abs(mean - sums[c] / static_cast<double>(kWidth * height)) < 1e-6,
                "the mean of a channel");
    }
    g_object_unref(statistics);
    g_object_unref(image);
}

double peakMegabytes() {
    rusage usage{};
    getrusage(RUSAGE_SELF, &usage);
    return static_cast<double>(usage.ru_maxrss) / 1024;
}

void prepareOnce(const fs::path& in, const fs::path& out, const std::vector<std::uint16_t>& codes) {
    require(static_cast<bool>(picture::prepare(in, out, {.table = codes, .channels = 3})), "not prepared");
}

bool compareFiles() {
    constexpr std::size_t kMillion = 300;
    const testing::TemporaryFolder folder;
    const fs::path in = source(folder, kMillion);
    const auto codes = table();
    double ours = HUGE_VAL;
    double copy = HUGE_VAL;
    for (int round = 0; round < 2; ++round) {
        ours = std::min(ours, seconds([&] { prepareOnce(in, folder / "ours.tif", codes); }));
        if (round == 0) check(folder / "ours.tif", codes, kMillion * 1'000'000 / kWidth);
        copy = std::min(copy, seconds([&] { copyByVips(in, folder / "copy.tif"); }));
    }
    std::printf(
        "300 million pixels: copy by libvips %.1f s (%.0f MB), prepare %.1f s (%.0f MB), %.2f times\n", copy,
        static_cast<double>(fs::file_size(folder / "copy.tif")) / 1e6, ours,
        static_cast<double>(fs::file_size(folder / "ours.tif")) / 1e6, ours / copy);
    return ours / copy <= kMostTimes;
}

// A grey profile with a curve, to one for RGB, as lcms2 does it at its quickest: 16 bits, optimised.
bool compareArithmetic() {
    constexpr std::size_t kPixels = 30'000'000;
    std::vector<std::uint16_t> grey(kPixels);
    fill(0, grey);
    std::vector<std::uint16_t> byUs(3 * kPixels);
    std::vector<std::uint16_t> byLcms(3 * kPixels);
    const std::string from = picture::profileOf(picture::Encoding::greyGamma22).value();
    cmsHPROFILE in = cmsOpenProfileFromMem(from.data(), static_cast<cmsUInt32Number>(from.size()));
    cmsHPROFILE out = cmsCreate_sRGBProfile();
    cmsHTRANSFORM transform =
        cmsCreateTransform(in, TYPE_GRAY_16, out, TYPE_RGB_16, INTENT_RELATIVE_COLORIMETRIC, 0);
    require(transform != nullptr, "lcms2 makes no transform");
    // The same work for both: the table is what lcms2 makes of every grey.
    std::vector<std::uint16_t> every(65536);
    for (std::size_t i = 0; i < every.size(); ++i) every[i] = static_cast<std::uint16_t>(i);
    std::vector<std::uint16_t> codes(3 * every.size());
    cmsDoTransform(transform, every.data(), codes.data(), static_cast<cmsUInt32Number>(every.size()));
    const picture::CodeTable ready(codes, 3);

    double ours = HUGE_VAL;
    double theirs = HUGE_VAL;
    for (int round = 0; round < 5; ++round) {
        ours = std::min(ours, seconds([&] { ready.apply(grey, byUs.data()); }));
        theirs = std::min(theirs, seconds([&] {
                              cmsDoTransform(transform, grey.data(), byLcms.data(),
                                             static_cast<cmsUInt32Number>(kPixels));
                          }));
        require(byUs == byLcms, "the codes of the two differ");
    }
    cmsDeleteTransform(transform);
    cmsCloseProfile(out);
    cmsCloseProfile(in);
    std::printf(
        "arithmetic on one thread: lcms2 %.0f, ours %.0f million pixels a second, %.1f times as fast\n",
        kPixels / theirs / 1e6, kPixels / ours / 1e6, theirs / ours);
    return theirs / ours >= kLeastTimes;
}

}  // namespace

int main(int count, char** words) {
    require(vips_init("prepare_bench") == 0, "libvips does not start");
    if (count > 1) {
        const testing::TemporaryFolder folder;
        const fs::path in = source(folder, std::strtoul(words[1], nullptr, 10));
        prepareOnce(in, folder / "out.tif", table());
        std::printf("%s million pixels: %.0f MB of memory at most\n", words[1], peakMegabytes());
        return peakMegabytes() <= kMostMegabytes ? 0 : 1;
    }
    const bool quick = compareArithmetic();
    const bool light = compareFiles();
    return quick && light ? 0 : 1;
}

// What it costs to make a picture ready to print, beside what people would otherwise use, on the same file
// and machine and in one run.
//
// The file: 300 million pixels, grey of 16 bits, a gradient with a scanner's noise; LZW with the horizontal
// predictor. prepare() makes RGB of 16 bits of it.
//
// The copy by libvips puts the same grey into three channels, with the same compression and predictor, in
// libvips' own strips, on as many threads. For it to be a copy of equal output, prepare() gets a table that
// hands out the grey itself and works it like any other; every pixel of the two files is compared. How long
// LZW takes depends on the pixels, and it is most of the work: with another curve in each channel the pixels
// are harder to pack, which is told but is no copy's equal. prepare() pushes its file through to the disc and
// the copy does not: that counts against prepare(). Each begins with nothing left to be written of the other.
// They take turns, and the best of each counts, since other work on the machine only ever adds. Time on all
// processors is given too.
//
// The peak of memory is that of a process that does nothing but prepare.
//
// The arithmetic alone is in memory and on one thread, beside lcms2's own transform at its quickest.
//
// prepare_bench              all of it
// prepare_bench PIXELS       with so many million pixels; bounds are for 300
// prepare_bench peak IN OUT  prepares IN and prints the peak of memory
#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <filesystem>
#include <fstream>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include <lcms2.h>
#include <vips/vips.h>
#if defined(__unix__) || defined(__APPLE__)
#include <sys/resource.h>
#endif

#include "core/platform.h"
#include "picture/apply.h"
#include "picture/table.h"
#include "pictures.h"
#include "testing/banding.h"
#include "testing/temporary_folder.h"

namespace {

using namespace greywright;
using namespace greywright::bench;
namespace fs = std::filesystem;

constexpr std::size_t kWidth = 20000;
constexpr std::size_t kFewMillions = 30;
constexpr std::array<double, 3> kCurves{0.9, 0.92, 0.95};
constexpr double kMostTimes = 1.15;
constexpr double kLeastTimes = 4;
constexpr double kMostMegabytes = 300;
constexpr double kMostTimesMemory = 1.1;  // the peak of 30 million pixels; threads differ from run to run

fs::path source(const testing::TemporaryFolder& folder, std::size_t millionPixels) {
    const picture::PixelFile file{.width = kWidth,
                                  .height = millionPixels * 1'000'000 / kWidth,
                                  .profile = picture::profileOf(picture::Encoding::greyGamma22).value()};
    require(static_cast<bool>(picture::writePixels(folder / "in.tif", file, fill)), "the file is not made");
    return folder / "in.tif";
}

std::vector<std::uint16_t> table(const std::array<double, 3>& powers) {
    std::vector<std::uint16_t> codes;
    for (int i = 0; i < 65536; ++i) {
        for (const double power : powers) {
            codes.push_back(static_cast<std::uint16_t>(std::lround(65535 * std::pow(i / 65535.0, power))));
        }
    }
    return codes;
}

void copyByVips(const fs::path& in, const fs::path& out) {
    VipsImage* grey = openedByVips(in);
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
    VipsImage* image = openedByVips(path);
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

void checkSame(const fs::path& one, const fs::path& other) {
    VipsImage* first = openedByVips(one);
    VipsImage* second = openedByVips(other);
    VipsImage* equal = nullptr;
    double least = 0;
    require(vips_equal(first, second, &equal, nullptr) == 0 && vips_min(equal, &least, nullptr) == 0,
            "libvips does not compare");
    require(least > 0, "a pixel of the copy is not ours");
    g_object_unref(equal);
    g_object_unref(second);
    g_object_unref(first);
}

// The largest memory this process ever had; nothing where the system is not asked.
std::optional<double> peakMegabytes() {
#if defined(__unix__) || defined(__APPLE__)
    rusage usage{};
    if (getrusage(RUSAGE_SELF, &usage) != 0) return std::nullopt;
#ifdef __APPLE__
    constexpr double kUnit = 1e6;  // bytes there
#else
    constexpr double kUnit = 1e6 / 1024;  // of 1024 bytes
#endif
    return static_cast<double>(usage.ru_maxrss) / kUnit;
#else
    return std::nullopt;
#endif
}

struct Cost {
    double wall = HUGE_VAL;
    double processors = HUGE_VAL;  // seconds of all threads together

    template <typename Work>
    void add(const Work& work) {
        const std::clock_t before = std::clock();
        wall = std::min(wall, seconds(work));
        processors = std::min(processors, static_cast<double>(std::clock() - before) / CLOCKS_PER_SEC);
    }
};

void prepareOnce(const fs::path& in, const fs::path& out, const std::vector<std::uint16_t>& codes) {
    require(static_cast<bool>(picture::prepare(in, out, {.table = codes, .channels = 3})), "not prepared");
}

int tellPeak(const fs::path& in, const fs::path& out) {
    prepareOnce(in, out, table(kCurves));
    std::ofstream(out.string() + ".peak") << peakMegabytes().value_or(0);
    return 0;
}

// By this program once more, since a peak never falls. Nothing where the system does not tell.
std::optional<double> peakOf(const char* program, const fs::path& in, const fs::path& out) {
    const std::string line =
        "\"" + std::string(program) + "\" peak \"" + in.string() + "\" \"" + out.string() + "\"";
    require(std::system(line.c_str()) == 0, "the same program once more");
    double peak = 0;
    std::ifstream(out.string() + ".peak") >> peak;
    return peak > 0 ? std::optional(peak) : std::nullopt;
}

bool compareMemory(const char* program, std::size_t millions) {
    std::optional<double> few;
    for (const std::size_t some : {kFewMillions, millions}) {
        const testing::TemporaryFolder folder;
        const auto peak = peakOf(program, source(folder, some), folder / "out.tif");
        if (!peak) {
            std::printf("memory is not measured on this system\n");
            return true;
        }
        std::printf("%zu million pixels: %.0f MB of memory at most\n", some, *peak);
        if (*peak > kMostMegabytes || (few && *peak > *few * kMostTimesMemory)) return false;
        few = peak;
    }
    return true;
}

bool compareFiles(std::size_t millions) {
    constexpr int kRounds = 3;
    const testing::TemporaryFolder folder;
    const fs::path in = source(folder, millions);
    const std::size_t height = millions * 1'000'000 / kWidth;
    const std::vector<std::uint16_t> itself = table({1, 1, 1});
    const std::vector<std::uint16_t> curves = table(kCurves);
    Cost ours;
    Cost copy;
    Cost curved;
    double flush = HUGE_VAL;
    for (int round = 0; round < kRounds; ++round) {
        ours.add([&] { prepareOnce(in, folder / "ours.tif", itself); });
        copy.add([&] { copyByVips(in, folder / "copy.tif"); });
        flush = std::min(flush, seconds([&] {
                             require(platform::flushToDisc(folder / "copy.tif"), "the copy on the disc");
                         }));
    }
    checkSame(folder / "ours.tif", folder / "copy.tif");
    curved.add([&] { prepareOnce(in, folder / "curved.tif", curves); });
    check(folder / "curved.tif", curves, height);
    const auto line = [&](const char* name, const char* file, const Cost& cost) {
        std::printf("%-20s %6.1f s, %6.1f s of all processors, a file of %.0f MB\n", name, cost.wall,
                    cost.processors, static_cast<double>(fs::file_size(folder / file)) / 1e6);
    };
    std::printf("%zu million pixels, the best of %d\n", millions, kRounds);
    line("copy by libvips", "copy.tif", copy);
    line("prepare", "ours.tif", ours);
    std::printf(
        "%.2f times the copy, %.2f by all processors; pushing the copy to the disc took %.1f s more\n",
        ours.wall / copy.wall, ours.processors / copy.processors, flush);
    line("with curves, once", "curved.tif", curved);
    return ours.wall / copy.wall <= kMostTimes;
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

// All 65,536 greys through the table to 8 bits, 16 x 16 pixels each, beside plain rounding.
void tellBanding(const std::vector<std::uint16_t>& codes) {
    constexpr std::size_t kSide = 16;
    std::vector<double> asked;
    std::vector<double> dithered;
    std::vector<double> rounded;
    std::vector<std::uint8_t> bytes(kSide);
    for (std::size_t i = 0; i < 65536; ++i) {
        const std::vector<std::uint16_t> flat(kSide, codes[3 * i]);
        double sum = 0;
        for (std::size_t y = 0; y < kSide; ++y) {
            picture::dither(flat, 1, 0, y, bytes.data());
            for (const std::uint8_t byte : bytes) sum += byte * 257.0;
        }
        asked.push_back(flat[0]);
        dithered.push_back(sum / (kSide * kSide));
        rounded.push_back(std::rint(flat[0] / 257.0) * 257);
    }
    const auto line = [&](const char* name, const std::vector<double>& made) {
        const auto worst = testing::bandingOf(made, asked);
        std::printf("%-9s off by %.1f, steps by %.1f, bends by %.1f of 65,535 at worst\n", name,
                    worst.deviation, worst.excessStep, worst.excessBend);
    };
    std::printf("banding, 65,536 greys to 8 bits\n");
    line("dithered", dithered);
    line("rounded", rounded);
}

}  // namespace

int main(int count, char** words) {
    require(vips_init("prepare_bench") == 0, "libvips does not start");
    vips_cache_set_max(0);
    const std::vector<std::string> given(words + 1, words + count);
    if (given.size() == 3 && given[0] == "peak") return tellPeak(given[1], given[2]);
    const std::size_t millions = given.empty() ? 300 : std::strtoul(given[0].c_str(), nullptr, 10);
    require(millions > 0 && millions <= 4000, "1 to 4000 million pixels");
    const bool light = compareMemory(words[0], millions);
    const bool quick = compareFiles(millions);
    const bool arithmetic = compareArithmetic();
    tellBanding(table(kCurves));
    return light && quick && arithmetic ? 0 : 1;
}

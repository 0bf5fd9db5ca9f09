#include "picture/lightness.h"

#include <algorithm>
#include <array>
#include <cstddef>
#include <cstdint>
#include <fstream>
#include <memory>
#include <string>
#include <string_view>
#include <system_error>
#include <utility>

#include <fmt/format.h>
#include <vips/vips.h>

#include "picture/vips/entry.h"
#include "picture/vips/library.h"

namespace greywright::picture::byVips {
namespace {

namespace fs = std::filesystem;

using library::complaint;
using library::Image;
using Source = std::unique_ptr<VipsSource, library::Unref>;

constexpr std::size_t kBins = 101;
constexpr std::uint64_t kMostPixels = UINT32_MAX;  // libvips counts in 32 bits

Error wrong(const fs::path& path, std::string code, std::string what, std::string next) {
    return {.code = std::move(code),
            .what = std::move(what),
            .where = {.path = path.string()},
            .next = std::move(next)};
}

Error unreadable(const fs::path& path, std::string_view why) {
    return wrong(path, "picture-unreadable", fmt::format("cannot be read ({})", why),
                 "Check that it is a file that you may read");
}

Error notRecognised(const fs::path& path, std::string what) {
    return wrong(path, "picture-not-recognised", std::move(what),
                 "Save the picture as JPEG, PNG or TIFF with 8 or 16 bits, grey or RGB");
}

Error damaged(const fs::path& path, std::string_view why) {
    return wrong(path, "picture-damaged", fmt::format("is damaged or cut short ({})", why),
                 "Copy or save the picture again");
}

Outcome checkFile(const fs::path& path) {
    std::error_code problem;
    const fs::file_status status = fs::status(path, problem);
    if (status.type() == fs::file_type::not_found) {
        return wrong(path, "picture-not-found", "there is no such file", "Check the name of the picture");
    }
    if (!fs::is_regular_file(status) || !std::ifstream(path, std::ios::binary)) {
        return unreadable(path, "no file, or none that may be read");
    }
    if (fs::file_size(path, problem) == 0) {
        return wrong(path, "picture-empty", "is empty", "Copy or save the picture again");
    }
    return Done{};
}

// Formats of photographs only: libvips would also make a picture of a table of numbers or of a page.
bool isForPhotographs(std::string_view loader) {
    constexpr std::array kFormats{"Jpeg", "Png", "Tiff", "Webp", "Heif", "Jp2k", "Jxl"};
    constexpr std::string_view kPrefix = "VipsForeignLoad";
    return loader.starts_with(kPrefix) && std::ranges::any_of(kFormats, [&](std::string_view format) {
               return loader.substr(kPrefix.size()).starts_with(format);
           });
}

// libvips does not know a TIFF file whose directory, often at the end, is missing.
// Source: TIFF 6.0, section 2; the "+" of BigTIFF from memory.
bool beginsLikeTiff(const fs::path& path) {
    std::string begin(4, '\0');
    std::ifstream(path, std::ios::binary).read(begin.data(), static_cast<std::streamsize>(begin.size()));
    using namespace std::string_literals;
    return begin == "II*\0"s || begin == "MM\0*"s || begin == "II+\0"s || begin == "MM\0+"s;
}

// The next step of a pipeline; nothing when libvips does not take it. Nothing is computed yet.
template <typename Operation, typename... Options>
Image step(Operation operation, const Image& in, Options... options) {
    VipsImage* out = nullptr;
    if (operation(in.get(), &out, options..., nullptr) != 0) return nullptr;
    return Image(out);
}

Result<Image> opened(const fs::path& path) {
    const std::u8string name = path.u8string();
    // A source, because a plain file name may carry options in square brackets.
    const Source source(vips_source_new_from_file(std::string(name.begin(), name.end()).c_str()));
    if (!source) return unreadable(path, complaint());
    const char* loader = vips_foreign_find_load_source(source.get());
    if (loader == nullptr || !isForPhotographs(loader)) {
        complaint();
        if (beginsLikeTiff(path)) return damaged(path, "its directory is missing");
        return notRecognised(path, "is no picture of a known format");
    }
    Image image(vips_image_new_from_source(source.get(), "", "access", VIPS_ACCESS_SEQUENTIAL, "fail_on",
                                           VIPS_FAIL_ON_TRUNCATED, nullptr));
    if (!image) return damaged(path, complaint());
    return image;
}

Image onWhite(const Image& image, bool isInk) {
    const double most = vips_image_get_format(image.get()) == VIPS_FORMAT_USHORT ? 65535 : 255;
    const double white = isInk ? 0 : most;
    const std::unique_ptr<VipsArrayDouble, void (*)(VipsArrayDouble*)> background(
        vips_array_double_newv(1, white),
        [](VipsArrayDouble* array) { vips_area_unref(reinterpret_cast<VipsArea*>(array)); });
    return step(vips_flatten, image, "background", background.get(), "max_alpha", most);
}

// CIELAB for D50.
Image labFromPicture(const Image& image, bool isInk) {
    if (vips_image_get_typeof(image.get(), VIPS_META_ICC_NAME) != 0) {
        Image lab = step(vips_icc_import, image, "embedded", TRUE, "intent", VIPS_INTENT_RELATIVE);
        if (lab || isInk) return lab;
        complaint();  // a profile that does not fit counts as none
    }
    if (isInk) return nullptr;
    const Image rgb =
        step(vips_colourspace, image,
             vips_image_get_format(image.get()) == VIPS_FORMAT_USHORT ? VIPS_INTERPRETATION_RGB16
                                                                      : VIPS_INTERPRETATION_sRGB);
    if (!rgb) return nullptr;
    return step(vips_icc_import, rgb, "input_profile", "srgb", "intent", VIPS_INTENT_RELATIVE);
}

// One column of counts for each whole L*.
Image counted(const Image& lab) {
    const Image lightness = step(vips_extract_band, lab, 0);
    if (!lightness) return nullptr;
    const Image whole = step(vips_round, lightness, VIPS_OPERATION_ROUND_RINT);
    if (!whole) return nullptr;
    const Image bytes = step(vips_cast, whole, VIPS_FORMAT_UCHAR);
    if (!bytes) return nullptr;
    return step(vips_hist_find, bytes);
}

}  // namespace

Result<std::vector<double>> lightnessShares(const fs::path& path) {
    if (!library::started()) return unreadable(path, "the picture library does not start");
    if (Outcome sound = checkFile(path); !sound) return std::move(sound).error();
    auto file = opened(path);
    if (!file) return std::move(file).error();
    Image image = std::move(file).value();
    const VipsBandFormat format = vips_image_get_format(image.get());
    if (vips_image_get_coding(image.get()) != VIPS_CODING_NONE ||
        (format != VIPS_FORMAT_UCHAR && format != VIPS_FORMAT_USHORT)) {
        return notRecognised(path, "has pixels of another kind than 8 or 16 bits");
    }
    const auto pixels = static_cast<std::uint64_t>(vips_image_get_width(image.get())) *
                        static_cast<std::uint64_t>(vips_image_get_height(image.get()));
    if (pixels > kMostPixels) return notRecognised(path, "has more pixels than can be counted");

    const bool isInk = vips_image_get_interpretation(image.get()) == VIPS_INTERPRETATION_CMYK;
    if (vips_image_hasalpha(image.get())) image = onWhite(image, isInk);
    const Image lab = image ? labFromPicture(image, isInk) : nullptr;
    if (!lab) {
        complaint();
        return notRecognised(path, isInk ? "holds inks, and no profile that says what they look like"
                                         : "has pixels that are neither grey nor RGB");
    }
    const Image counts = counted(lab);
    if (!counts) return damaged(path, complaint());

    std::vector<double> shares(kBins, 0);
    const auto* count = static_cast<const std::uint32_t*>(vips_image_get_data(counts.get()));
    if (count == nullptr) return damaged(path, complaint());
    for (std::size_t i = 0; i < static_cast<std::size_t>(vips_image_get_width(counts.get())); ++i) {
        shares[std::min(i, kBins - 1)] += count[i];
    }
    for (double& share : shares) share /= static_cast<double>(pixels);
    return shares;
}

}  // namespace greywright::picture::byVips

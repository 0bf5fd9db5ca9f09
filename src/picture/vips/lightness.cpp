#include "picture/lightness.h"

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <utility>

#include <vips/vips.h>

#include "core/said.h"
#include "picture/vips/bare.h"
#include "picture/vips/entry.h"
#include "picture/vips/library.h"
#include "picture/vips/open.h"

namespace greywright::picture::byVips {
namespace {

namespace fs = std::filesystem;

using library::complaint;
using library::Image;
using library::step;

constexpr std::size_t kBins = 101;

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
    if (!library::started()) return unreadable(path, said("the picture library does not start"));
    if (Outcome sound = checkFile(path); !sound) return std::move(sound).error();
    auto file = openedByVips(path);
    if (!file) return std::move(file).error();
    if (Outcome sound = checkSize(path, *file, tags::tagsOf(path)); !sound) return std::move(sound).error();
    Image image = std::move(file->image);
    const VipsBandFormat format = vips_image_get_format(image.get());
    if (vips_image_get_coding(image.get()) != VIPS_CODING_NONE ||
        (format != VIPS_FORMAT_UCHAR && format != VIPS_FORMAT_USHORT)) {
        return notRecognised(path, said("has pixels of another kind than 8 or 16 bits"));
    }
    const auto pixels = static_cast<std::uint64_t>(vips_image_get_width(image.get())) *
                        static_cast<std::uint64_t>(vips_image_get_height(image.get()));

    const bool isInk = vips_image_get_interpretation(image.get()) == VIPS_INTERPRETATION_CMYK;
    if (vips_image_hasalpha(image.get())) image = onWhite(image, isInk);
    const Image lab = image ? labFromPicture(image, isInk) : nullptr;
    if (!lab) {
        complaint();
        return notRecognised(path, isInk ? said("holds inks, and no profile that says what they look like")
                                         : said("has pixels that are neither grey nor RGB"));
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

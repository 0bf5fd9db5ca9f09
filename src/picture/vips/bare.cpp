#include "picture/vips/bare.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string_view>
#include <system_error>
#include <utility>

#include <fmt/format.h>
#include <vips/vips.h>

#include "core/said.h"
#include "picture/vips/entry.h"

namespace greywright::picture::byVips {
namespace {

namespace fs = std::filesystem;

using library::complaint;
using library::Image;
using library::step;
using tags::Tags;

constexpr double kMmPerInch = 25.4;
constexpr std::uint64_t kMostPixels = UINT32_MAX;
// Of unpacked or packed picture that has to be in memory at once.
constexpr std::uint64_t kMostBytesHeld = 400'000'000;
// Deflate makes 1032 bytes of one at most (RFC 1951: 258 bytes for 2 bits), LZW of 12-bit codes about 1300,
// JPEG less than 1000.
constexpr std::uint64_t kMostPixelsPerByte = 2000;

// RGB, transparency, and what programs keep beside them; more are another kind of picture.
constexpr int kMostChannels = 12;

struct Size {
    std::uint64_t width = 0;
    std::uint64_t height = 0;
};

Size sizeOf(const Image& image) {
    return {static_cast<std::uint64_t>(vips_image_get_width(image.get())),
            static_cast<std::uint64_t>(vips_image_get_height(image.get()))};
}

int numberOf(const Image& image, const char* name) {
    int number = 0;
    if (vips_image_get_typeof(image.get(), name) == G_TYPE_INT)
        vips_image_get_int(image.get(), name, &number);
    return number;
}

Error tooLarge(const fs::path& path, const Size& size, std::string_view why) {
    return wrong(
        path, "picture-too-large", said("has {} x {} pixels, {}", size.width, size.height, why),
        said("Scan or save it with fewer pixels per inch, or as TIFF in strips of few rows or as PNG "
             "without interlacing"));
}

// What the format makes the library hold at once, about; measured on files of each kind.
std::uint64_t bytesHeld(const fs::path& path, const Opened& file, const Tags& tags) {
    constexpr std::uint64_t kRowsHeld = 256;  // between reading and use, by every thread
    constexpr std::uint64_t kBytesPerCoefficient = 2;
    constexpr std::uint64_t kBytesPerPixelWhole = 8;
    const auto [width, height] = sizeOf(file.image);
    const auto bands = static_cast<std::uint64_t>(vips_image_get_bands(file.image.get()));
    const std::uint64_t pixel = bands * vips_format_sizeof(vips_image_get_format(file.image.get()));
    const std::uint64_t rows = width * pixel * std::min(height, kRowsHeld);
    const bool interlaced = numberOf(file.image, "interlaced") != 0;
    if (file.format == "TIFF") {
        if (tags.tileRows > 0) return std::max(rows, 2 * width * pixel * std::min(height, tags.tileRows));
        std::error_code problem;
        const std::uint64_t packed = tags.compressed ? fs::file_size(path, problem) : 0;
        const double share =
            static_cast<double>(std::min(height, tags.stripRows)) / static_cast<double>(height);
        return std::max(rows, static_cast<std::uint64_t>(static_cast<double>(packed) * share));
    }
    if (file.format == "PNG") return interlaced ? width * height * pixel : rows;
    if (file.format == "JPEG") return interlaced ? width * height * bands * kBytesPerCoefficient : rows;
    return width * height * kBytesPerPixelWhole;
}

Outcome checkKind(const fs::path& path, const Opened& file, const Tags& tags) {
    const VipsImage* image = file.image.get();
    if (vips_image_get_bands(image) > kMostChannels) {
        return notRecognised(
            path, said("has {} channels, which are neither grey nor RGB", vips_image_get_bands(image)));
    }
    if (tags.palette) {
        return wrong(path, "picture-palette", said("has colours from a table"),
                     said("Scan or save it as RGB or grey, without a palette"));
    }
    if (tags.bits == 1) {
        return wrong(path, "picture-one-bit", said("has black and white only, and no greys between"),
                     said("Scan it again as grey or colour with 8 or 16 bits"));
    }
    if (vips_image_get_interpretation(image) == VIPS_INTERPRETATION_CMYK) {
        return wrong(path, "picture-inks", said("holds amounts of ink (CMYK)"),
                     said("Scan or save it as RGB or grey"));
    }
    const VipsBandFormat format = vips_image_get_format(image);
    if (vips_image_get_coding(image) != VIPS_CODING_NONE ||
        (format != VIPS_FORMAT_UCHAR && format != VIPS_FORMAT_USHORT)) {
        return notRecognised(path, said("has pixels of another kind than 8 or 16 bits"));
    }
    return Done{};
}

// One or three channels and nothing else; nothing where that is not what the file holds.
Image bareChannels(const fs::path& path, const Image& image, const Tags& tags, std::vector<Note>& notes) {
    int channels = 0;
    switch (vips_image_get_interpretation(image.get())) {
        case VIPS_INTERPRETATION_B_W:
        case VIPS_INTERPRETATION_GREY16:
            channels = 1;
            break;
        case VIPS_INTERPRETATION_sRGB:
        case VIPS_INTERPRETATION_RGB:
        case VIPS_INTERPRETATION_RGB16:
            channels = 3;
            break;
        default:
            return nullptr;
    }
    if (vips_image_get_bands(image.get()) > channels && !tags.extraIsAlpha) {
        notes.push_back({.code = "picture-channel-left-out",
                         .text = said("has more channels than grey or RGB; they were left out"),
                         .where = {.path = path.string()}});
        return step(vips_extract_band, image, 0, "n", channels);
    }
    Image bare = vips_image_hasalpha(image.get()) ? onWhite(image, false) : step(vips_copy, image);
    return bare && vips_image_get_bands(bare.get()) == channels ? std::move(bare) : nullptr;
}

std::optional<double> resolutionOf(const Image& image, const Tags& tags) {
    constexpr double kLeast = 50;  // libvips' own value for nothing said is 25.4
    constexpr double kMost = 20'000;
    const double across = vips_image_get_xres(image.get()) * kMmPerInch;
    const double down = vips_image_get_yres(image.get()) * kMmPerInch;
    if (tags.lacksUnit || !(across >= kLeast && across <= kMost) || std::abs(across - down) > across / 100) {
        return std::nullopt;
    }
    // What cameras and programs write when they do not know (common practice).
    constexpr double kRounding = 0.02;
    for (const double unknown : {72.0, 96.0}) {
        if (std::abs(across - unknown) < kRounding) return std::nullopt;
    }
    return across;
}

void readProfile(const fs::path& path, const Tags& tags, Bare& bare) {
    const bool isRead = vips_image_get_typeof(bare.image.get(), VIPS_META_ICC_NAME) != 0;
    if (!isRead && !tags.hasProfile) return;
    const void* data = nullptr;
    std::size_t bytes = 0;
    std::string why = said("it is damaged");
    if (isRead && vips_image_get_blob(bare.image.get(), VIPS_META_ICC_NAME, &data, &bytes) == 0) {
        std::string profile(static_cast<const char*>(data), bytes);
        const auto channels = byVips::channelsOfProfile(profile);
        if (channels && *channels == bare.channels) {
            bare.profile = std::move(profile);
            return;
        }
        why = channels ? said("is for another number of channels") : channels.error().what;
    }
    complaint();
    bare.notes.push_back({.code = "picture-profile-left-out",
                          .text = said("its colour profile does not fit and counts as none ({})", why),
                          .where = {.path = path.string()}});
}

}  // namespace

Outcome checkSize(const fs::path& path, const Opened& file, const Tags& tags) {
    const Size size = sizeOf(file.image);
    const std::uint64_t pixels = size.width * size.height;
    if (pixels > kMostPixels) return tooLarge(path, size, said("more than can be read"));
    if (bytesHeld(path, file, tags) > kMostBytesHeld) {
        return tooLarge(path, size, said("too many for a file that cannot be read a few rows at a time"));
    }
    const bool inRows = file.format == "TIFF" || file.format == "PNG" || file.format == "JPEG";
    std::error_code problem;
    if (inRows && pixels / kMostPixelsPerByte > fs::file_size(path, problem)) {
        return tooLarge(path, size, said("more than a file of so few bytes can hold"));
    }
    return Done{};
}

Result<Bare> bareOf(const fs::path& path, const Opened& file, const Tags& tags) {
    if (Outcome sound = checkKind(path, file, tags); !sound) return std::move(sound).error();
    if (Outcome sound = checkSize(path, file, tags); !sound) return std::move(sound).error();
    Bare bare;
    bare.image = bareChannels(path, file.image, tags, bare.notes);
    if (!bare.image) {
        complaint();
        return notRecognised(path, said("has pixels that are neither grey nor RGB"));
    }
    bare.channels = vips_image_get_bands(bare.image.get());
    bare.onWhite = vips_image_get_bands(file.image.get()) > bare.channels && bare.notes.empty();
    bare.bits = vips_image_get_format(bare.image.get()) == VIPS_FORMAT_UCHAR ? 8 : 16;
    bare.fileBits = tags.bits > 0 ? std::min(tags.bits, bare.bits) : bare.bits;
    bare.orientation = vips_image_get_orientation(file.image.get());
    bare.pixelsPerInch = resolutionOf(bare.image, tags);
    readProfile(path, tags, bare);
    if (numberOf(file.image, VIPS_META_N_PAGES) > 1) {
        bare.notes.push_back({.code = "picture-pages",
                              .text = said("holds {} pictures, of which the first is read",
                                           numberOf(file.image, VIPS_META_N_PAGES)),
                              .where = {.path = path.string()}});
    }
    return bare;
}

}  // namespace greywright::picture::byVips

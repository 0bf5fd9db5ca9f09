#include "picture/vips/open.h"

#include <algorithm>
#include <array>
#include <fstream>
#include <memory>
#include <system_error>
#include <utility>

#include <fmt/format.h>
#include <vips/vips.h>

#include "core/said.h"
#include "picture/vips/tags.h"

namespace greywright::picture::byVips {
namespace {

namespace fs = std::filesystem;

using library::complaint;
using library::Image;
using Source = std::unique_ptr<VipsSource, library::Unref>;

// Formats of photographs only: libvips would also make a picture of a table of numbers or of a page.
constexpr std::array<std::pair<std::string_view, std::string_view>, 7> kFormats{{{"Jpeg", "JPEG"},
                                                                                 {"Png", "PNG"},
                                                                                 {"Tiff", "TIFF"},
                                                                                 {"Webp", "WebP"},
                                                                                 {"Heif", "HEIF"},
                                                                                 {"Jp2k", "JPEG 2000"},
                                                                                 {"Jxl", "JPEG XL"}}};

// By the name of libvips' loader; empty for what is not for photographs.
std::string_view formatOfLoader(std::string_view loader) {
    constexpr std::string_view kPrefix = "VipsForeignLoad";
    if (!loader.starts_with(kPrefix)) return {};
    loader.remove_prefix(kPrefix.size());
    const auto* found =
        std::ranges::find_if(kFormats, [&](const auto& format) { return loader.starts_with(format.first); });
    return found == kFormats.end() ? std::string_view{} : found->second;
}

// libvips keeps some loaders for files of known origin, see library.cpp.
bool isBlocked(const char* loader) {
    const auto* operation =
        static_cast<const VipsOperationClass*>(g_type_class_peek(g_type_from_name(loader)));
    return operation != nullptr && (operation->flags & VIPS_OPERATION_BLOCKED) != 0;
}

}  // namespace

Error wrong(const fs::path& path, std::string code, std::string what, std::string next) {
    return {.code = std::move(code),
            .what = std::move(what),
            .where = {.path = path.string()},
            .next = std::move(next)};
}

Error unreadable(const fs::path& path, std::string_view why) {
    return wrong(path, "picture-unreadable", said("cannot be read ({})", why),
                 said("Check that it is a file that you may read"));
}

Error notRecognised(const fs::path& path, std::string what) {
    return wrong(path, "picture-not-recognised", std::move(what),
                 said("Save the picture as JPEG, PNG or TIFF with 8 or 16 bits, grey or RGB"));
}

Error damaged(const fs::path& path, std::string_view why) {
    // Of a sound TIFF file; libvips alone knows its bound.
    if (why.find("tile size out of range") != std::string_view::npos) {
        return wrong(path, "picture-too-large",
                     said("is stored in tiles so large that the picture library does not read them"),
                     said("Save it as TIFF in strips or in small tiles, or as PNG"));
    }
    return wrong(path, "picture-damaged", said("is damaged or cut short ({})", why),
                 said("Copy or save the picture again"));
}

Outcome checkFile(const fs::path& path) {
    std::error_code problem;
    const fs::file_status status = fs::status(path, problem);
    if (status.type() == fs::file_type::not_found) {
        return wrong(path, "picture-not-found", said("there is no such file"),
                     said("Check the name of the picture"));
    }
    if (!fs::is_regular_file(status) || !std::ifstream(path, std::ios::binary)) {
        return unreadable(path, said("no file, or none that may be read"));
    }
    if (fs::file_size(path, problem) == 0) {
        return wrong(path, "picture-empty", said("is empty"), said("Copy or save the picture again"));
    }
    return Done{};
}

Result<Opened> openedByVips(const fs::path& path) {
    const std::u8string name = path.u8string();
    // A source, because a plain file name may carry options in square brackets.
    const Source source(vips_source_new_from_file(std::string(name.begin(), name.end()).c_str()));
    if (!source) return unreadable(path, complaint());
    const char* loader = vips_foreign_find_load_source(source.get());
    const std::string_view format = formatOfLoader(loader == nullptr ? "" : loader);
    if (format.empty()) {
        complaint();
        // libvips does not know a TIFF file whose directory, often at the end, is missing.
        if (tags::tagsOf(path).tiff) return damaged(path, said("its directory is missing"));
        return notRecognised(path, said("is no picture of a known format"));
    }
    if (isBlocked(loader)) {
        return notRecognised(path,
                             said("is {}, which the picture library does not open safely here", format));
    }
    Image image(vips_image_new_from_source(source.get(), "", "access", VIPS_ACCESS_SEQUENTIAL, "fail_on",
                                           VIPS_FAIL_ON_TRUNCATED, nullptr));
    if (!image) return damaged(path, complaint());
    return Opened{std::move(image), std::string(format)};
}

Image onWhite(const Image& image, bool isInk) {
    const double most = vips_image_get_format(image.get()) == VIPS_FORMAT_USHORT ? 65535 : 255;
    const double white = isInk ? 0 : most;
    const std::unique_ptr<VipsArrayDouble, void (*)(VipsArrayDouble*)> background(
        vips_array_double_newv(1, white),
        [](VipsArrayDouble* array) { vips_area_unref(reinterpret_cast<VipsArea*>(array)); });
    return library::step(vips_flatten, image, "background", background.get(), "max_alpha", most);
}

}  // namespace greywright::picture::byVips

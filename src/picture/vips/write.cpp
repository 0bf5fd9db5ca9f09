#include "picture/write.h"

#include <algorithm>
#include <exception>
#include <string>
#include <system_error>
#include <vector>

#include <fmt/format.h>
#include <vips/vips.h>

#include "core/contract.h"
#include "core/files.h"
#include "core/platform.h"
#include "picture/grey_profile.h"
#include "picture/vips/entry.h"
#include "picture/vips/library.h"

namespace greywright::picture::byVips {
namespace {

namespace fs = std::filesystem;
using library::Image;
using Target = std::unique_ptr<VipsTarget, library::Unref>;

constexpr std::size_t kMostPixels = 200'000;
constexpr double kMmPerInch = 25.4;

struct Work {
    const GreyFile& file;
    const FillRow& fill;
    const std::function<bool(double)>& goOn;
    std::vector<std::uint16_t> codes;
    bool stopped = false;
    std::exception_ptr thrown = {};

    void fillRow(std::size_t y, std::uint16_t* pixels) {
        if (file.encoding == Encoding::greyGamma22) {
            fill(y, {pixels, file.width});
        } else {
            fill(y, codes);
            for (const std::uint16_t code : codes) pixels = std::fill_n(pixels, 3, code);
        }
    }
};

// Called by libvips for areas as wide as the picture, from top to bottom: one thread works, see greyImage().
int fillArea(VipsRegion* area, void*, void* first, void*, gboolean*) {
    Work& work = *static_cast<Work*>(first);
    try {
        const VipsRect& rows = area->valid;
        expects(rows.left == 0 && static_cast<std::size_t>(rows.width) == work.file.width,
                "writeGrey16: libvips asks for parts of rows");
        for (int y = rows.top; y < rows.top + rows.height; ++y) {
            const double share = static_cast<double>(y) / static_cast<double>(work.file.height);
            if (work.goOn && !work.goOn(share)) {
                work.stopped = true;
                return -1;
            }
            VipsPel* begin = area->data + std::ptrdiff_t{y - rows.top} * area->bpl;
            work.fillRow(static_cast<std::size_t>(y), reinterpret_cast<std::uint16_t*>(begin));
        }
        return 0;
    } catch (...) {
        work.thrown = std::current_exception();
        return -1;
    }
}

bool embedProfile(VipsImage* image, Encoding encoding) {
    if (encoding == Encoding::greyGamma22) {
        const std::string profile = greyGamma22Profile();
        vips_image_set_blob_copy(image, VIPS_META_ICC_NAME, profile.data(), profile.size());
        return true;
    }
    VipsBlob* profile = nullptr;
    if (vips_profile_load("srgb", &profile, nullptr) != 0 || profile == nullptr) return false;
    std::size_t bytes = 0;
    const void* data = vips_blob_get(profile, &bytes);
    vips_image_set_blob_copy(image, VIPS_META_ICC_NAME, data, bytes);
    vips_area_unref(VIPS_AREA(profile));
    return true;
}

// A picture whose pixels are made when they are asked for.
Image greyImage(Work& work) {
    const GreyFile& file = work.file;
    const bool grey = file.encoding == Encoding::greyGamma22;
    const double pixelsPerMm = file.pixelsPerInch / kMmPerInch;
    Image image(vips_image_new());
    vips_image_init_fields(image.get(), static_cast<int>(file.width), static_cast<int>(file.height),
                           grey ? 1 : 3, VIPS_FORMAT_USHORT, VIPS_CODING_NONE,
                           grey ? VIPS_INTERPRETATION_GREY16 : VIPS_INTERPRETATION_RGB16, pixelsPerMm,
                           pixelsPerMm);
    vips_image_set_int(image.get(), VIPS_META_CONCURRENCY, 1);
    if (!embedProfile(image.get(), file.encoding) ||
        vips_image_pipelinev(image.get(), VIPS_DEMAND_STYLE_THINSTRIP, nullptr) != 0 ||
        vips_image_generate(image.get(), nullptr, fillArea, nullptr, &work, nullptr) != 0) {
        return nullptr;
    }
    return image;
}

bool save(const Image& image, const fs::path& path, FileFormat format) {
    const std::u8string name = path.u8string();
    const Target target(vips_target_new_to_file(std::string(name.begin(), name.end()).c_str()));
    if (!target) return false;
    if (format == FileFormat::png) return vips_pngsave_target(image.get(), target.get(), nullptr) == 0;
    return vips_tiffsave_target(image.get(), target.get(), "compression", VIPS_FOREIGN_TIFF_COMPRESSION_LZW,
                                "predictor", VIPS_FOREIGN_TIFF_PREDICTOR_HORIZONTAL, "resunit",
                                VIPS_FOREIGN_TIFF_RESUNIT_INCH, nullptr) == 0;
}

// Why the temporary file is not fit to be renamed, or nothing.
std::string troubleSaving(Work& work, const fs::path& temporary) {
    const Image image = greyImage(work);
    if (!image || !save(image, temporary, work.file.format)) {
        const std::string why = library::complaint();
        return why.empty() ? "the picture library gives no reason" : why;
    }
    return platform::flushToDisc(temporary) ? "" : "the disc refuses";
}

}  // namespace

Outcome writeGrey16(const fs::path& path, const GreyFile& file, const FillRow& fill,
                    const std::function<bool(double)>& goOn) {
    expects(file.width > 0 && file.width <= kMostPixels && file.height > 0 && file.height <= kMostPixels,
            "writeGrey16: 1 to 200,000 pixels each way");
    expects(file.pixelsPerInch >= 1 && file.pixelsPerInch <= 10'000,
            "writeGrey16: 1 to 10,000 pixels an inch");
    std::error_code problem;
    if (fs::is_directory(path, problem)) return writeFailed(path, "it is a folder");
    if (!library::started()) return writeFailed(path, "the picture library does not start");

    fs::path temporary = path;
    temporary += fmt::format(".{}.part", platform::processNumber());
    Work work{file, fill, goOn, std::vector<std::uint16_t>(file.width)};
    std::string why = troubleSaving(work, temporary);
    if (why.empty()) {
        fs::rename(temporary, path, problem);
        if (!problem) return Done{};
        why = problem.message();
    }
    fs::remove(temporary, problem);
    if (work.thrown) std::rethrow_exception(work.thrown);
    if (work.stopped) {
        return Error{.code = "stopped",
                     .what = "the work was stopped before the whole picture was written",
                     .where = {.path = path.string()},
                     .next = {}};
    }
    return writeFailed(path, why);
}

}  // namespace greywright::picture::byVips

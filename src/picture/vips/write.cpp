#include "picture/write.h"

#include <algorithm>
#include <exception>
#include <string>
#include <system_error>
#include <vector>

#include <vips/vips.h>

#include "core/contract.h"
#include "core/files.h"
#include "core/said.h"
#include "picture/vips/entry.h"
#include "picture/vips/library.h"
#include "picture/vips/save.h"

namespace greywright::picture::byVips {
namespace {

namespace fs = std::filesystem;
using library::Image;

constexpr std::size_t kMostPixels = 200'000;
constexpr double kMmPerInch = 25.4;

struct Work {
    const PixelFile& file;
    const FillRow& fill;
    const std::function<bool(double)>& goOn;
    std::vector<std::uint16_t> samples;
    bool stopped = false;
    std::exception_ptr thrown = {};

    void fillRow(std::size_t y, VipsPel* pixels) {
        if (file.bits == 16) {
            fill(y, {reinterpret_cast<std::uint16_t*>(pixels), samples.size()});
            return;
        }
        fill(y, samples);
        for (const std::uint16_t sample : samples) *pixels++ = static_cast<VipsPel>(sample >> 8U);
    }
};

// Called by libvips for areas as wide as the picture, from top to bottom: one thread works, see madeImage().
int fillArea(VipsRegion* area, void*, void* first, void*, gboolean*) {
    Work& work = *static_cast<Work*>(first);
    try {
        const VipsRect& rows = area->valid;
        expects(rows.left == 0 && static_cast<std::size_t>(rows.width) == work.file.width,
                "writePixels: libvips asks for parts of rows");
        for (int y = rows.top; y < rows.top + rows.height; ++y) {
            const double share = static_cast<double>(y) / static_cast<double>(work.file.height);
            if (work.goOn && !work.goOn(share)) {
                work.stopped = true;
                return -1;
            }
            work.fillRow(static_cast<std::size_t>(y), area->data + std::ptrdiff_t{y - rows.top} * area->bpl);
        }
        return 0;
    } catch (...) {
        work.thrown = std::current_exception();
        return -1;
    }
}

VipsInterpretation meaningOf(const PixelFile& file) {
    if (file.channels == 1) return file.bits == 8 ? VIPS_INTERPRETATION_B_W : VIPS_INTERPRETATION_GREY16;
    return file.bits == 8 ? VIPS_INTERPRETATION_sRGB : VIPS_INTERPRETATION_RGB16;
}

// A picture whose pixels are made when they are asked for.
Image madeImage(Work& work) {
    const PixelFile& file = work.file;
    const double pixelsPerMm = file.pixelsPerInch / kMmPerInch;
    Image image(vips_image_new());
    vips_image_init_fields(image.get(), static_cast<int>(file.width), static_cast<int>(file.height),
                           file.channels, file.bits == 8 ? VIPS_FORMAT_UCHAR : VIPS_FORMAT_USHORT,
                           VIPS_CODING_NONE, meaningOf(file), pixelsPerMm, pixelsPerMm);
    vips_image_set_int(image.get(), VIPS_META_CONCURRENCY, 1);
    if (!file.profile.empty()) {
        vips_image_set_blob_copy(image.get(), VIPS_META_ICC_NAME, file.profile.data(), file.profile.size());
    }
    if (vips_image_pipelinev(image.get(), VIPS_DEMAND_STYLE_THINSTRIP, nullptr) != 0 ||
        vips_image_generate(image.get(), nullptr, fillArea, nullptr, &work, nullptr) != 0) {
        return nullptr;
    }
    return image;
}

}  // namespace

Outcome writePixels(const fs::path& path, const PixelFile& file, const FillRow& fill,
                    const std::function<bool(double)>& goOn) {
    expects(file.width > 0 && file.width <= kMostPixels && file.height > 0 && file.height <= kMostPixels,
            "writePixels: 1 to 200,000 pixels each way");
    expects(file.pixelsPerInch >= 1 && file.pixelsPerInch <= 10'000,
            "writePixels: 1 to 10,000 pixels an inch");
    expects((file.channels == 1 || file.channels == 3) && (file.bits == 8 || file.bits == 16),
            "writePixels: 1 or 3 channels of 8 or 16 bits");
    std::error_code problem;
    if (fs::is_directory(path, problem)) return writeFailed(path, said("it is a folder"));
    if (!library::started()) return writeFailed(path, said("the picture library does not start"));

    Work work{file, fill, goOn,
              std::vector<std::uint16_t>(file.width * static_cast<std::size_t>(file.channels))};
    const Image image = madeImage(work);
    const std::string why = image ? troubleSaving(image, path, file.format) : library::complaint();
    if (image && why.empty()) return Done{};
    if (work.thrown) std::rethrow_exception(work.thrown);
    if (work.stopped) {
        return Error{.code = "stopped",
                     .what = said("the work was stopped before the whole picture was written"),
                     .where = {.path = path.string()},
                     .next = {}};
    }
    return writeFailed(path, why);
}

}  // namespace greywright::picture::byVips

#include "picture/read.h"

#include <cstddef>
#include <cstdint>
#include <string>
#include <utility>

#include <vips/vips.h>

#include "core/contract.h"
#include "core/said.h"
#include "picture/vips/bare.h"
#include "picture/vips/boxes.h"
#include "picture/vips/entry.h"
#include "picture/vips/library.h"
#include "picture/vips/open.h"
#include "picture/vips/progress.h"
#include "picture/vips/raw.h"
#include "picture/vips/tags.h"

namespace greywright::picture::byVips {
namespace {

namespace fs = std::filesystem;

using library::complaint;
using library::Image;
using tags::Tags;

struct Work {
    Boxes boxes;
    Progress progress;
    double height;
};

// Called by libvips with one strip after the other, as wide as the picture.
int addStrip(VipsRegion* strip, VipsRect* area, void* work) {
    auto& [boxes, progress, height] = *static_cast<Work*>(work);
    if (!progress.goesOn(area->top / height)) return -1;
    const bool bytes = vips_image_get_format(strip->im) == VIPS_FORMAT_UCHAR;
    for (int y = area->top; y < area->top + area->height; ++y) {
        const VipsPel* row = strip->data + std::ptrdiff_t{y - strip->valid.top} * strip->bpl;
        if (bytes) {
            boxes.add(row);
        } else {
            boxes.add(reinterpret_cast<const std::uint16_t*>(row));
        }
    }
    return 0;
}

Result<Reduced> readByVips(const fs::path& path, Opened file, const Tags& tags, const ReadOptions& options) {
    auto bare = bareOf(path, file, tags);
    if (!bare) return std::move(bare).error();
    Reduced picture{.format = std::move(file.format)};
    const Image& image = bare->image;
    const auto width = static_cast<std::size_t>(vips_image_get_width(image.get()));
    const auto height = static_cast<std::size_t>(vips_image_get_height(image.get()));
    picture.channels = static_cast<std::size_t>(bare->channels);
    picture.factor = Boxes::factorFor(width, height, options.mostPixels);
    picture.fileBits = bare->fileBits;
    picture.pixelsPerInch = bare->pixelsPerInch;
    picture.source = bare->profile.empty() ? ColourSource::assumed : ColourSource::profile;
    picture.profile = std::move(bare->profile);
    picture.notes = std::move(bare->notes);

    Work work{Boxes(width, height, picture.channels, picture.factor), Progress(options.goOn),
              static_cast<double>(height)};
    const bool done = vips_sink_disc(image.get(), addStrip, &work) == 0;
    const std::string why = done ? "" : complaint();
    if (auto stopped = work.progress.whyStopped(path)) return *std::move(stopped);
    if (!done) return damaged(path, why);

    Turned upright = turned(work.boxes.take(), work.boxes.width(), work.boxes.height(), picture.channels,
                            bare->orientation);
    picture.width = upright.width;
    picture.height = upright.height;
    picture.codes = std::move(upright.codes);
    picture.fileWidth = bare->orientation >= 5 ? height : width;
    picture.fileHeight = bare->orientation >= 5 ? width : height;
    return picture;
}

}  // namespace

Result<Reduced> readReduced(const fs::path& path, const ReadOptions& options) {
    expects(options.mostPixels > 0, "readReduced: one pixel at least");
    if (!library::started()) return unreadable(path, said("the picture library does not start"));
    if (Outcome sound = checkFile(path); !sound) return std::move(sound).error();
    const Tags tags = tags::tagsOf(path);
    if (tags.cameraRaw) return readRaw(path, true, options);
    auto file = openedByVips(path);
    if (file) return readByVips(path, std::move(file).value(), tags, options);
    if (file.error().code != "picture-not-recognised") return std::move(file).error();
    auto raw = readRaw(path, false, options);
    if (!raw && raw.error().code == "picture-not-recognised") return std::move(file).error();
    return raw;
}

}  // namespace greywright::picture::byVips

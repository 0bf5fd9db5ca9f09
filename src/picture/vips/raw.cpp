#include "picture/vips/raw.h"

#include <bit>
#include <cstddef>
#include <cstdint>
#include <memory>
#include <utility>

#include <fmt/format.h>
#include <libraw/libraw.h>

#include "core/said.h"
#include "picture/vips/boxes.h"
#include "picture/vips/open.h"
#include "picture/vips/progress.h"

namespace greywright::picture::byVips {
namespace {

namespace fs = std::filesystem;

struct Work {
    Progress progress;
    bool incomplete = false;  ///< LibRaw goes on without what it cannot read
};

int tell(void* work, LibRaw_progress stage, int, int) {
    constexpr double kStages = 21;
    const double share = std::bit_width(static_cast<unsigned>(stage)) / kStages;
    return static_cast<Work*>(work)->progress.goesOn(share) ? 0 : 1;
}

void noteIncomplete(void* work, const char*, int) {
    static_cast<Work*>(work)->incomplete = true;
}

// Codes in proportion to the light, and the same for the same sensor values whatever else is in the picture.
void setUp(LibRaw& raw, bool half) {
    libraw_output_params_t& ask = raw.imgdata.params;
    ask.output_bps = 16;
    ask.output_color = 1;  // primaries of sRGB
    ask.gamm[0] = ask.gamm[1] = 1;
    ask.no_auto_bright = 1;
    ask.adjust_maximum_thr = 0;
    ask.use_camera_wb = 1;
    ask.half_size = half ? 1 : 0;
}

Error failed(const fs::path& path, int code) {
    if (code == LIBRAW_TOO_BIG || code == LIBRAW_UNSUFFICIENT_MEMORY) {
        return wrong(path, "picture-too-large",
                     said("is a camera raw file with more pixels than can be read"),
                     said("Save it as TIFF with the program that belongs to the camera"));
    }
    return damaged(path, said("camera raw file: {}", LibRaw::strerror(code)));
}

void takeCodes(LibRaw& raw, const ReadOptions& options, Reduced& picture) {
    int width = 0;
    int height = 0;
    int channels = 0;
    int bits = 0;
    raw.get_mem_image_format(&width, &height, &channels, &bits);
    picture.width = static_cast<std::size_t>(width);
    picture.height = static_cast<std::size_t>(height);
    picture.channels = static_cast<std::size_t>(channels);
    const std::size_t rowSamples = picture.width * picture.channels;
    picture.codes.resize(rowSamples * picture.height);
    raw.copy_mem_image(picture.codes.data(), static_cast<int>(rowSamples * sizeof(std::uint16_t)), 0);

    const std::size_t factor = Boxes::factorFor(picture.width, picture.height, options.mostPixels);
    if (factor == 1) return;
    Boxes boxes(picture.width, picture.height, picture.channels, factor);
    for (std::size_t y = 0; y < picture.height; ++y) boxes.add(picture.codes.data() + y * rowSamples);
    picture.factor *= factor;
    picture.width = boxes.width();
    picture.height = boxes.height();
    picture.codes = boxes.take();
}

}  // namespace

Result<Reduced> readRaw(const fs::path& path, bool surely, const ReadOptions& options) {
    Work work{Progress(options.goOn)};
    const auto raw =
        std::make_unique<LibRaw>(LIBRAW_OPIONS_NO_MEMERR_CALLBACK | LIBRAW_OPIONS_NO_DATAERR_CALLBACK);
    raw->set_dataerror_handler(noteIncomplete, &work);
    raw->set_progress_handler(tell, &work);
    int code = raw->open_file(path.c_str());
    if (auto stopped = work.progress.whyStopped(path)) return *std::move(stopped);
    if (code == LIBRAW_FILE_UNSUPPORTED || (code != LIBRAW_SUCCESS && !surely)) {
        return notRecognised(path, said("is a camera raw file of a kind that is not known"));
    }
    if (code != LIBRAW_SUCCESS) return failed(path, code);

    const libraw_image_sizes_t& sizes = raw->imgdata.sizes;
    const bool onItsSide = (sizes.flip & 4) != 0;
    Reduced picture{.fileWidth = onItsSide ? sizes.height : sizes.width,
                    .fileHeight = onItsSide ? sizes.width : sizes.height,
                    .format = "raw",
                    .source = ColourSource::rawMatrix};
    const bool half = picture.fileWidth * picture.fileHeight > options.mostPixels;
    picture.factor = half ? 2 : 1;
    setUp(*raw, half);
    code = raw->unpack();
    picture.fileBits = static_cast<int>(raw->imgdata.color.raw_bps);
    if (code == LIBRAW_SUCCESS && !work.incomplete) code = raw->dcraw_process();
    if (auto stopped = work.progress.whyStopped(path)) return *std::move(stopped);
    if (code != LIBRAW_SUCCESS) return failed(path, code);
    if (work.incomplete) return failed(path, LIBRAW_DATA_ERROR);
    if (!(raw->imgdata.color.cam_mul[0] > 0)) {
        picture.notes.push_back(
            {.code = "picture-white-assumed",
             .text = said("does not say for which light it was taken; daylight is assumed"),
             .where = {.path = path.string()}});
    }
    takeCodes(*raw, options, picture);
    return picture;
}

}  // namespace greywright::picture::byVips

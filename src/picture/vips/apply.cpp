#include "picture/apply.h"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <numeric>
#include <span>
#include <system_error>
#include <utility>

#include <fmt/format.h>
#include <vips/vips.h>

#include "core/contract.h"
#include "core/files.h"
#include "core/said.h"
#include "picture/table.h"
#include "picture/vips/bare.h"
#include "picture/vips/entry.h"
#include "picture/vips/grey_route.h"
#include "picture/vips/iptc.h"
#include "picture/vips/progress.h"
#include "picture/vips/save.h"

namespace greywright::picture::byVips {
namespace {

namespace fs = std::filesystem;

using library::complaint;
using library::Image;
using library::step;

constexpr std::size_t kCodes = 65536;
constexpr double kMmPerInch = 25.4;
constexpr double kMostPixels = 200'000;
constexpr double kMostPerInch = 10'000;
constexpr double kAssumedPerInch = 300;

std::vector<std::uint16_t> theGreyItself(std::size_t channels) {
    std::vector<std::uint16_t> table(kCodes * channels);
    for (std::size_t i = 0; i < table.size(); ++i) table[i] = static_cast<std::uint16_t>(i / channels);
    return table;
}

// From bare pixels to codes of the table. Its rows may be asked for by several threads at once.
class Kernel {
  public:
    Kernel(GreyRoute route, std::span<const std::uint16_t> table, std::size_t channels, int bits)
        : route_(std::move(route)),
          between_(table, channels),
          ofCodes_(composed(channels), channels),
          bits_(bits) {}
    Kernel(const Kernel&) = delete;
    Kernel& operator=(const Kernel&) = delete;

    [[nodiscard]] std::size_t channels() const { return between_.channels(); }
    [[nodiscard]] int bits() const { return bits_; }

    template <typename Code>
    void row(const Code* in, std::size_t width, std::size_t left, std::size_t y, VipsPel* out) const {
        if (bits_ == 16) {
            codes(in, width, reinterpret_cast<std::uint16_t*>(out));
            return;
        }
        std::vector<std::uint16_t> wide(width * channels());
        codes(in, width, wide.data());
        dither(wide, channels(), left, y, out);
    }

    std::atomic<bool> stopped = false;
    std::atomic<bool> unread = false;  ///< the file could not be read to its end

  private:
    // What every code of a grey picture becomes.
    [[nodiscard]] std::vector<std::uint16_t> composed(std::size_t channels) const {
        const std::vector<double>& places = route_.placesOfCodes();
        std::vector<std::uint16_t> table(std::max<std::size_t>(places.size(), 1) * channels);
        for (std::size_t i = 0; i < places.size(); ++i) between_.at(places[i], &table[i * channels]);
        return table;
    }

    template <typename Code>
    void codes(const Code* in, std::size_t width, std::uint16_t* out) const {
        if (route_.channels() == 1) {
            ofCodes_.apply(std::span(in, width), out);
            return;
        }
        std::vector<double> places(width);
        route_.placesOf(std::span(in, 3 * width), places.data());
        for (std::size_t i = 0; i < width; ++i) between_.at(places[i], out + i * channels());
    }

    GreyRoute route_;
    BetweenCodes between_;
    CodeTable ofCodes_;
    int bits_;
};

VipsPel* addressIn(const VipsRegion* region, int x, int y) {
    const VipsImage* image = region->im;
    const std::ptrdiff_t pixel = image->Bands * (image->BandFmt == VIPS_FORMAT_UCHAR ? 1 : 2);
    return region->data + std::ptrdiff_t{y - region->valid.top} * region->bpl +
           (x - region->valid.left) * pixel;
}

// Called by libvips for any area, on any thread.
int fillArea(VipsRegion* out, void* sequence, void*, void* kernelGiven, gboolean*) {
    auto* in = static_cast<VipsRegion*>(sequence);
    auto& kernel = *static_cast<Kernel*>(kernelGiven);
    const VipsRect& area = out->valid;
    if (kernel.stopped) return -1;
    if (vips_region_prepare(in, &area) != 0) {
        kernel.unread = true;
        return -1;
    }
    const auto width = static_cast<std::size_t>(area.width);
    const auto left = static_cast<std::size_t>(area.left);
    for (int y = area.top; y < area.top + area.height; ++y) {
        const VipsPel* from = addressIn(in, area.left, y);
        VipsPel* to = addressIn(out, area.left, y);
        const auto line = static_cast<std::size_t>(y);
        if (vips_image_get_format(in->im) == VIPS_FORMAT_UCHAR) {
            kernel.row(from, width, left, line, to);
        } else {
            kernel.row(reinterpret_cast<const std::uint16_t*>(from), width, left, line, to);
        }
    }
    return 0;
}

// The picture behind the kernel; nothing is computed yet. The kernel must outlive it.
Image behind(Kernel& kernel, const Image& in) {
    Image out(vips_image_new());
    if (vips_image_pipelinev(out.get(), VIPS_DEMAND_STYLE_THINSTRIP, in.get(), nullptr) != 0) return nullptr;
    const bool bytes = kernel.bits() == 8;
    out->Bands = static_cast<int>(kernel.channels());
    out->BandFmt = bytes ? VIPS_FORMAT_UCHAR : VIPS_FORMAT_USHORT;
    if (kernel.channels() == 1) {
        out->Type = bytes ? VIPS_INTERPRETATION_B_W : VIPS_INTERPRETATION_GREY16;
    } else {
        out->Type = bytes ? VIPS_INTERPRETATION_sRGB : VIPS_INTERPRETATION_RGB16;
    }
    if (vips_image_generate(out.get(), vips_start_one, fillArea, vips_stop_one, in.get(), &kernel) != 0) {
        return nullptr;
    }
    return out;
}

struct Size {
    int width = 0;
    int height = 0;
    double perInch = kAssumedPerInch;
    bool resampled = false;
};

Error wrongSize(const fs::path& path, const std::string& what) {
    return {.kind = ErrorKind::wrongUse,
            .code = "picture-size",
            .what = what,
            .where = {.path = path.string()},
            .next = said("Ask for another width or another resolution")};
}

Result<Size> sizeAskedFor(const fs::path& path, const Bare& bare, const Preparation& how) {
    Size size{.width = vips_image_get_width(bare.image.get()),
              .height = vips_image_get_height(bare.image.get())};
    const double across = bare.orientation >= 5 ? size.height : size.width;
    if (how.widthMm && how.pixelsPerInch) {
        const double scale =
            std::max(1.0, std::rint(*how.widthMm / kMmPerInch * *how.pixelsPerInch)) / across;
        const double width = std::max(1.0, std::rint(size.width * scale));
        const double height = std::max(1.0, std::rint(size.height * scale));
        if (!(width <= kMostPixels && height <= kMostPixels)) {
            return wrongSize(path, said("would get {:.0f} x {:.0f} pixels", width, height));
        }
        size.resampled = static_cast<int>(width) != size.width || static_cast<int>(height) != size.height;
        size.width = static_cast<int>(width);
        size.height = static_cast<int>(height);
        size.perInch = *how.pixelsPerInch;
    } else if (how.widthMm) {
        size.perInch = across * kMmPerInch / *how.widthMm;
    } else {
        size.perInch = how.pixelsPerInch.value_or(bare.pixelsPerInch.value_or(kAssumedPerInch));
    }
    if (!(size.perInch >= 1 && size.perInch <= kMostPerInch)) {
        return wrongSize(path, said("would get {:.4g} pixels per inch", size.perInch));
    }
    return size;
}

// In floating point: with whole numbers libvips rounds the weights, and a flat grey comes out as another one.
Image resized(const Image& image, const Size& size) {
    const Image real = step(vips_cast, image, VIPS_FORMAT_FLOAT);
    if (!real) return nullptr;
    const Image other =
        step(vips_resize, real, size.width / static_cast<double>(vips_image_get_width(image.get())), "vscale",
             size.height / static_cast<double>(vips_image_get_height(image.get())), "kernel",
             VIPS_KERNEL_LANCZOS3);
    const Image whole = other ? step(vips_round, other, VIPS_OPERATION_ROUND_RINT) : nullptr;
    return whole ? step(vips_cast, whole, VIPS_FORMAT_USHORT) : nullptr;
}

// Captions, in the form that TIFF wants.
void keepCaptions(const Image& image) {
    const void* data = nullptr;
    std::size_t bytes = 0;
    if (vips_image_get_typeof(image.get(), VIPS_META_IPTC_NAME) == 0 ||
        vips_image_get_blob(image.get(), VIPS_META_IPTC_NAME, &data, &bytes) != 0) {
        return;
    }
    const std::string records = iptc::forTiff(iptc::recordsIn({static_cast<const char*>(data), bytes}));
    vips_image_remove(image.get(), VIPS_META_IPTC_NAME);
    if (records.empty()) return;
    vips_image_set_blob_copy(image.get(), VIPS_META_IPTC_NAME, records.data(), records.size());
}

// What was said of the old pixels and is not true of the new ones.
void describe(const Image& image, const Preparation& how, const Size& size) {
    for (const char* old :
         {VIPS_META_ICC_NAME, "bits-per-sample", "palette-bit-depth", "interlaced", "jpeg-thumbnail-data",
          VIPS_META_PAGE_HEIGHT, VIPS_META_N_PAGES, VIPS_META_N_SUBIFDS, VIPS_META_RESOLUTION_UNIT}) {
        vips_image_remove(image.get(), old);
    }
    if (!how.profile.empty()) {
        vips_image_set_blob_copy(image.get(), VIPS_META_ICC_NAME, how.profile.data(), how.profile.size());
    }
    keepCaptions(image);
    image->Xres = size.perInch / kMmPerInch;
    image->Yres = image->Xres;
    if (how.threads > 0) {
        vips_image_set_int(image.get(), VIPS_META_CONCURRENCY, static_cast<int>(how.threads));
    }
}

std::vector<Note> notesOn(const fs::path& path, Bare& bare, const Preparation& how) {
    std::vector<Note> notes = std::move(bare.notes);
    const auto add = [&](const char* code, const std::string& text) {
        notes.push_back({.code = code, .text = text, .where = {.path = path.string()}});
    };
    if (bare.profile.empty()) {
        add("picture-profile-assumed", said("has no colour profile that fits and was taken as sRGB"));
    }
    if (bare.onWhite) add("picture-on-white", said("is transparent in parts and was laid on white"));
    if (!bare.pixelsPerInch && !how.pixelsPerInch && !how.widthMm) {
        add("picture-resolution-assumed",
            said("does not say how large it is; 300 pixels per inch were stated"));
    }
    if (bare.orientation != 1) {
        add("picture-turned-by-tag",
            said("is stored turned, and so it stays, with the tag that says how to show it"));
    }
    if (tags::tagsOf(path).exif) {
        add("picture-exif-left-out", said("has EXIF data, which is not taken over from TIFF"));
    } else if (how.format == FileFormat::tiff &&
               vips_image_get_typeof(bare.image.get(), VIPS_META_EXIF_NAME) != 0) {
        add("picture-exif-left-out", said("has EXIF data, which is not written into TIFF; PNG keeps it"));
    }
    if (how.format == FileFormat::png && vips_image_get_typeof(bare.image.get(), VIPS_META_IPTC_NAME) != 0) {
        add("picture-iptc-left-out", said("has IPTC data, which is not written into PNG; TIFF keeps it"));
    }
    return notes;
}

// What the eval signal of libvips calls.
struct Telling {
    Progress progress;
    Kernel& kernel;

    static void tell(VipsImage*, VipsProgress* at, void* self) {
        auto& [progress, kernel] = *static_cast<Telling*>(self);
        const double share =
            static_cast<double>(at->npels) / static_cast<double>(std::max<gint64>(at->tpels, 1));
        if (!progress.goesOn(std::min(share, 1.0))) kernel.stopped = true;
    }
};

Result<Bare> opened(const fs::path& path) {
    if (!library::started()) return unreadable(path, said("the picture library does not start"));
    if (Outcome sound = checkFile(path); !sound) return std::move(sound).error();
    const tags::Tags tags = tags::tagsOf(path);
    if (tags.cameraRaw) return notRecognised(path, said("is what a camera's sensor saw, not yet a picture"));
    auto file = openedByVips(path);
    if (!file) return std::move(file).error();
    return bareOf(path, *file, tags);
}

Result<GreyRoute> routeOf(const Bare& bare, const std::string& greyProfile) {
    return GreyRoute::make(
        bare.profile, bare.channels, bare.bits,
        greyProfile.empty() ? byVips::profileOf(Encoding::greyGamma22).value() : greyProfile);
}

Outcome checkOutput(const fs::path& in, const fs::path& out, const Preparation& how) {
    std::error_code problem;
    if (fs::equivalent(in, out, problem)) {
        return Error{.kind = ErrorKind::wrongUse,
                     .code = "picture-over-itself",
                     .what = said("is the picture itself, which is never written over"),
                     .where = {.path = out.string()},
                     .next = said("Give the prepared picture another name")};
    }
    if (fs::is_directory(out, problem)) return writeFailed(out, said("it is a folder"));
    if (how.profile.empty()) return Done{};
    const auto channels = byVips::channelsOfProfile(how.profile);
    if (!channels) return channels.error();
    if (*channels != how.channels) {
        return Error{.code = "profile-unusable",
                     .what = said("the profile to embed is for {} channels, the picture will have {}",
                                  *channels, how.channels),
                     .where = {},
                     .next = said("Take a profile for the pixels that are made")};
    }
    return Done{};
}

}  // namespace

Result<Prepared> prepare(const fs::path& in, const fs::path& out, const Preparation& how) {
    const auto channels = static_cast<std::size_t>(how.channels);
    expects((channels == 1 || channels == 3) && (how.bits == 8 || how.bits == 16),
            "prepare: 1 or 3 channels of 8 or 16 bits");
    expects(how.table.empty() || how.table.size() == kCodes * channels, "prepare: 65,536 entries");
    expects(!how.widthMm || *how.widthMm > 0, "prepare: a width above 0");
    auto bare = opened(in);
    if (!bare) return std::move(bare).error();
    if (Outcome sound = checkOutput(in, out, how); !sound) return std::move(sound).error();
    auto route = routeOf(*bare, how.greyProfile);
    if (!route) return std::move(route).error();
    const auto size = sizeAskedFor(in, *bare, how);
    if (!size) return size.error();

    const std::vector<std::uint16_t> table = how.table.empty() ? theGreyItself(channels) : how.table;
    // Other pixels are made of the greys, before the table, whose codes are no longer those of a picture.
    Kernel toGrey(size->resampled ? std::move(*route) : GreyRoute::straight(), theGreyItself(1), 1, 16);
    Kernel toCodes(size->resampled ? GreyRoute::straight() : std::move(*route), table, channels, how.bits);
    Image before;
    if (size->resampled) {
        const Image grey = behind(toGrey, bare->image);
        before = grey ? resized(grey, *size) : nullptr;
    } else {
        before = step(vips_copy, bare->image);
    }
    const Image image = before ? behind(toCodes, before) : nullptr;
    if (!image) return damaged(in, complaint());
    describe(image, how, *size);

    Telling telling{Progress(how.goOn), toCodes};
    vips_image_set_progress(image.get(), TRUE);
    g_signal_connect(image.get(), "eval", G_CALLBACK(Telling::tell), &telling);
    const std::string why = troubleSaving(image, out, how.format);
    if (why.empty()) {
        return Prepared{.width = static_cast<std::size_t>(size->width),
                        .height = static_cast<std::size_t>(size->height),
                        .pixelsPerInch = size->perInch,
                        .resampled = size->resampled,
                        .notes = notesOn(in, *bare, how)};
    }
    if (auto stopped = telling.progress.whyStopped(in)) return *std::move(stopped);
    if (toCodes.unread || toGrey.unread) return damaged(in, why);
    return writeFailed(out, why);
}

Result<std::vector<double>> greyShares(const fs::path& path, const std::string& greyProfile) {
    auto bare = opened(path);
    if (!bare) return std::move(bare).error();
    auto route = routeOf(*bare, greyProfile);
    if (!route) return std::move(route).error();
    Kernel toGrey(std::move(*route), theGreyItself(1), 1, 16);
    const Image grey = behind(toGrey, bare->image);
    const Image counts = grey ? step(vips_hist_find, grey) : nullptr;
    if (!counts) return damaged(path, complaint());
    const auto* count = static_cast<const std::uint32_t*>(vips_image_get_data(counts.get()));
    if (count == nullptr) return damaged(path, complaint());

    constexpr std::size_t kBins = 4096;
    std::vector<double> shares(kBins, 0);
    const auto counted = static_cast<std::size_t>(vips_image_get_width(counts.get()));
    for (std::size_t i = 0; i < counted; ++i) shares[i * kBins / kCodes] += count[i];
    const double pixels = std::accumulate(shares.begin(), shares.end(), 0.0);
    for (double& share : shares) share /= pixels;
    return shares;
}

}  // namespace greywright::picture::byVips

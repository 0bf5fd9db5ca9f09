#include "scan/detect.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <memory>

#include <apriltag/apriltag.h>
#include <apriltag/tagStandard41h12.h>

namespace greywright::scan {
namespace {

// Squares are sought in a picture about so long; that is enough for markers of a thirtieth of a page.
constexpr std::size_t kLongSidePx = 2000;
// Fewer than these, and the picture is searched again at all its pixels.
constexpr std::size_t kEnough = 3;
constexpr float kLeastMargin = 20;

/// 8 bits, stretched to the lightest that is there, in even steps of about lightness.
std::vector<std::uint8_t> greyCopy(const picture::Reduced& picture, bool mirrored) {
    const std::size_t count = picture.width * picture.height;
    const bool isLinear = picture.source == picture::ColourSource::rawMatrix;
    std::vector<float> grey(count);
    for (std::size_t i = 0; i < count; ++i) {
        float sum = 0;
        for (std::size_t c = 0; c < picture.channels; ++c) sum += picture.codes[i * picture.channels + c];
        const float share = sum / (65535.0F * static_cast<float>(picture.channels));
        grey[i] = isLinear ? std::sqrt(share) : share;
    }
    std::vector<float> some;
    for (std::size_t i = 0; i < count; i += 97) some.push_back(grey[i]);
    const auto bright = some.begin() + static_cast<std::ptrdiff_t>(some.size() * 99 / 100);
    std::nth_element(some.begin(), bright, some.end());
    const float scale = 250 / std::max(0.02F, *bright);
    std::vector<std::uint8_t> out(count);
    for (std::size_t i = 0; i < count; ++i) {
        const std::size_t row = i / picture.width;
        const std::size_t column = i % picture.width;
        const std::size_t from = mirrored ? row * picture.width + (picture.width - 1 - column) : i;
        out[i] = static_cast<std::uint8_t>(std::min(255.0F, grey[from] * scale));
    }
    return out;
}

struct Library {
    std::unique_ptr<apriltag_family_t, void (*)(apriltag_family_t*)> family{tagStandard41h12_create(),
                                                                            tagStandard41h12_destroy};
    std::unique_ptr<apriltag_detector_t, void (*)(apriltag_detector_t*)> detector{apriltag_detector_create(),
                                                                                  apriltag_detector_destroy};
    Library() {
        // One wrong cell: the table for two would take 87 MB.
        apriltag_detector_add_family_bits(detector.get(), family.get(), 1);
    }
};

}  // namespace

std::vector<Found> findMarkers(const picture::Reduced& picture, bool mirrored) {
    if (picture.width < 16 || picture.height < 16) return {};
    std::vector<std::uint8_t> grey = greyCopy(picture, mirrored);
    image_u8_t image{.width = static_cast<std::int32_t>(picture.width),
                     .height = static_cast<std::int32_t>(picture.height),
                     .stride = static_cast<std::int32_t>(picture.width),
                     .buf = grey.data()};
    const Library library;
    const std::size_t coarse =
        std::max<std::size_t>(1, (std::max(picture.width, picture.height) + kLongSidePx / 2) / kLongSidePx);
    std::vector<Found> out;
    for (const std::size_t decimate : {coarse, std::size_t{1}}) {
        library.detector->quad_decimate = static_cast<float>(decimate);
        zarray_t* detections = apriltag_detector_detect(library.detector.get(), &image);
        out.clear();
        for (int i = 0; i < zarray_size(detections); ++i) {
            apriltag_detection_t* one = nullptr;
            zarray_get(detections, i, &one);
            if (one->decision_margin < kLeastMargin) continue;
            Found found{.number = one->id, .corners = {}};
            // The library begins at the lower left and goes round against the clock.
            for (std::size_t k = 0; k < 4; ++k) {
                const double* corner = one->p[3 - k];
                found.corners[k] = {corner[0], corner[1]};
            }
            out.push_back(found);
        }
        apriltag_detections_destroy(detections);
        if (out.size() >= kEnough || coarse == 1) break;
    }
    return out;
}

}  // namespace greywright::scan

#include "picture/vips/profile.h"

#include <cstddef>
#include <span>
#include <utility>
#include <vector>

#include <vips/vips.h>

#include "core/said.h"
#include "picture/grey_profile.h"
#include "picture/vips/entry.h"
#include "picture/vips/library.h"

namespace greywright::picture {
namespace colourManagement {
namespace {

Error unusable(std::string what) {
    return {.code = "profile-unusable",
            .what = std::move(what),
            .where = {},
            .next = said("Take another ICC profile, for grey or RGB")};
}

}  // namespace

Result<ToXyz> toXyz(Context context, const Profile& from) {
    if (!from) return unusable(said("the colour profile is damaged, or is none"));
    const cmsColorSpaceSignature space = cmsGetColorSpace(from.get());
    if (space != cmsSigGrayData && space != cmsSigRgbData) {
        return unusable(said("the colour profile is for something else than grey or RGB"));
    }
    const bool grey = space == cmsSigGrayData;
    const Profile xyz(cmsCreateXYZProfileTHR(context.get()));
    // Unoptimised, because lcms2 would otherwise round to 16 bits on the way.
    Transform transform(cmsCreateTransformTHR(context.get(), from.get(), grey ? TYPE_GRAY_DBL : TYPE_RGB_DBL,
                                              xyz.get(), TYPE_XYZ_DBL, INTENT_RELATIVE_COLORIMETRIC,
                                              cmsFLAGS_NOOPTIMIZE | cmsFLAGS_NOCACHE));
    if (!transform) return unusable(said("the colour profile does not say what its colours look like"));
    return ToXyz{std::move(context), std::move(transform), grey ? 1 : 3};
}

Result<ToXyz> toXyz(const std::string& bytes) {
    Context context(cmsCreateContext(nullptr, nullptr));
    const Profile profile(
        cmsOpenProfileFromMemTHR(context.get(), bytes.data(), static_cast<cmsUInt32Number>(bytes.size())));
    return toXyz(std::move(context), profile);
}

Result<ToXyz> toXyzFromSrgb() {
    Context context(cmsCreateContext(nullptr, nullptr));
    const Profile profile(cmsCreate_sRGBProfileTHR(context.get()));
    return toXyz(std::move(context), profile);
}

}  // namespace colourManagement

namespace byVips {
namespace {

// Source: IEC 61966-2-1, primaries and white.
colourManagement::Profile linearSrgb(cmsContext context) {
    const cmsCIExyY white{0.3127, 0.3290, 1};
    const cmsCIExyYTRIPLE primaries{{0.64, 0.33, 1}, {0.30, 0.60, 1}, {0.15, 0.06, 1}};
    cmsToneCurve* straight = cmsBuildGamma(context, 1);
    cmsToneCurve* curves[3]{straight, straight, straight};
    colourManagement::Profile profile(cmsCreateRGBProfileTHR(context, &white, &primaries, curves));
    cmsFreeToneCurve(straight);
    return profile;
}

Result<colourManagement::ToXyz> toXyzOf(const Reduced& picture) {
    if (picture.source == ColourSource::profile) return colourManagement::toXyz(picture.profile);
    if (picture.source == ColourSource::assumed) return colourManagement::toXyzFromSrgb();
    colourManagement::Context context(cmsCreateContext(nullptr, nullptr));
    const auto profile = linearSrgb(context.get());
    return colourManagement::toXyz(std::move(context), profile);
}

}  // namespace

Result<std::vector<Triple>> xyzFromCodes(const Reduced& picture, std::span<const Triple> codes) {
    const auto toXyz = toXyzOf(picture);
    if (!toXyz) return toXyz.error();
    std::vector<Triple> xyz(codes.size());
    for (std::size_t i = 0; i < codes.size(); ++i) {
        cmsDoTransform(toXyz->transform.get(), codes[i].data(), xyz[i].data(), 1);
    }
    return xyz;
}

Result<std::string> profileOf(Encoding encoding) {
    if (encoding == Encoding::greyGamma22) return greyGamma22Profile();
    VipsBlob* profile = nullptr;
    if (!library::started() ||
        vips_profile_load(encoding == Encoding::srgb ? "srgb" : "p3", &profile, nullptr) != 0 ||
        profile == nullptr) {
        return Error{.code = "picture-library-missing",
                     .what = said("the picture library does not hand out its profile"),
                     .where = {},
                     .next = said("Install libvips again: ") + library::complaint()};
    }
    std::size_t bytes = 0;
    const void* data = vips_blob_get(profile, &bytes);
    std::string copied(static_cast<const char*>(data), bytes);
    vips_area_unref(VIPS_AREA(profile));
    return copied;
}

Result<int> channelsOfProfile(const std::string& profile) {
    const auto usable = colourManagement::toXyz(profile);
    if (!usable) return usable.error();
    return usable->channels;
}

}  // namespace byVips
}  // namespace greywright::picture

#include "profile/read_back.h"

#include <cstddef>
#include <string>
#include <utility>

#include "core/said.h"
#include "profile/handles.h"

namespace greywright::profile {
namespace {

constexpr cmsUInt32Number kExact = cmsFLAGS_NOOPTIMIZE | cmsFLAGS_NOCACHE;

Error notRead(std::string what) {
    return {.kind = ErrorKind::badInput,
            .code = "profile-not-read",
            .what = std::move(what),
            .next = said("Give an ICC profile of grey or RGB that holds tables or curves in this direction")};
}

cmsUInt32Number intentNumber(Intent intent) {
    switch (intent) {
        case Intent::perceptual:
            return INTENT_PERCEPTUAL;
        case Intent::relative:
            return INTENT_RELATIVE_COLORIMETRIC;
        case Intent::absolute:
            break;
    }
    return INTENT_ABSOLUTE_COLORIMETRIC;
}

/// A profile in memory, with the context it lives in.
struct Opened {
    ContextHandle context = newContext();
    ProfileHandle profile = {};
    cmsUInt32Number channels = 0;
    cmsUInt32Number format = 0;
};

Result<Opened> opened(std::string_view bytes) {
    Opened out;
    out.profile.reset(cmsOpenProfileFromMemTHR(out.context.get(), bytes.data(),
                                               static_cast<cmsUInt32Number>(bytes.size())));
    if (!out.profile) return notRead(said("These bytes are not an ICC profile"));
    switch (cmsGetColorSpace(out.profile.get())) {
        case cmsSigGrayData:
            out.channels = 1;
            out.format = TYPE_GRAY_DBL;
            return out;
        case cmsSigRgbData:
            out.channels = 3;
            out.format = TYPE_RGB_DBL;
            return out;
        default:
            return notRead(said("The profile is neither of grey nor of RGB"));
    }
}

bool isLink(const Opened& from) {
    return cmsGetDeviceClass(from.profile.get()) == cmsSigLinkClass;
}

Result<TransformHandle> between(const Opened& opened, cmsHPROFILE input, cmsUInt32Number inputFormat,
                                cmsHPROFILE output, cmsUInt32Number outputFormat, Intent intent) {
    TransformHandle transform(cmsCreateTransformTHR(opened.context.get(), input, inputFormat, output,
                                                    outputFormat, intentNumber(intent), kExact));
    if (!transform) return notRead(said("The profile cannot be used in this direction"));
    return transform;
}

}  // namespace

Result<std::vector<colour::Lab>> readBack(std::string_view bytes, std::span<const double> device,
                                          Intent intent) {
    const auto from = opened(bytes);
    if (!from) return from.error();
    if (isLink(*from)) return notRead(said("A device link holds no colours"));
    expects(device.size() % from->channels == 0, "one device value for each channel");
    const ProfileHandle lab(cmsCreateLab4ProfileTHR(from->context.get(), nullptr));
    const auto transform = between(*from, from->profile.get(), from->format, lab.get(), TYPE_Lab_DBL, intent);
    if (!transform) return transform.error();
    std::vector<cmsCIELab> values(device.size() / from->channels);
    cmsDoTransform(transform->get(), device.data(), values.data(),
                   static_cast<cmsUInt32Number>(values.size()));
    std::vector<colour::Lab> out;
    out.reserve(values.size());
    for (const cmsCIELab& value : values) out.push_back({.L = value.L, .a = value.a, .b = value.b});
    return out;
}

Result<std::vector<double>> deviceOf(std::string_view bytes, std::span<const colour::Lab> colours,
                                     Intent intent) {
    const auto to = opened(bytes);
    if (!to) return to.error();
    if (isLink(*to)) return notRead(said("A device link holds no colours"));
    const ProfileHandle lab(cmsCreateLab4ProfileTHR(to->context.get(), nullptr));
    const auto transform = between(*to, lab.get(), TYPE_Lab_DBL, to->profile.get(), to->format, intent);
    if (!transform) return transform.error();
    std::vector<cmsCIELab> values;
    values.reserve(colours.size());
    for (const colour::Lab& colour : colours) values.push_back({.L = colour.L, .a = colour.a, .b = colour.b});
    std::vector<double> out(values.size() * to->channels);
    cmsDoTransform(transform->get(), values.data(), out.data(), static_cast<cmsUInt32Number>(values.size()));
    return out;
}

Result<std::vector<std::array<double, 3>>> codesThrough(std::string_view link,
                                                        std::span<const double> greys) {
    constexpr double kFullCode = 65535;
    const auto from = opened(link);
    if (!from) return from.error();
    if (!isLink(*from) || from->channels != 1 || cmsGetPCS(from->profile.get()) != cmsSigRgbData) {
        return notRead(said("The profile is no device link from grey to RGB"));
    }
    const auto transform =
        between(*from, from->profile.get(), from->format, nullptr, TYPE_RGB_DBL, Intent::perceptual);
    if (!transform) return transform.error();
    std::vector<double> values(greys.size() * 3);
    cmsDoTransform(transform->get(), greys.data(), values.data(), static_cast<cmsUInt32Number>(greys.size()));
    std::vector<std::array<double, 3>> out;
    for (std::size_t i = 0; i < greys.size(); ++i) {
        out.push_back(
            {values[3 * i] * kFullCode, values[3 * i + 1] * kFullCode, values[3 * i + 2] * kFullCode});
    }
    return out;
}

}  // namespace greywright::profile

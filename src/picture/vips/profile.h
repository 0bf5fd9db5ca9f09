#pragma once

#include <memory>
#include <string>

#include <lcms2.h>

#include "core/result.h"

/// ICC profiles by lcms2; for this module's sources only.
namespace greywright::picture::colourManagement {

struct CloseProfile {
    void operator()(void* profile) const { cmsCloseProfile(profile); }
};
struct DeleteTransform {
    void operator()(void* transform) const { cmsDeleteTransform(transform); }
};
struct DeleteContext {
    void operator()(cmsContext context) const { cmsDeleteContext(context); }
};
using Context = std::unique_ptr<std::remove_pointer_t<cmsContext>, DeleteContext>;
using Profile = std::unique_ptr<void, CloseProfile>;
using Transform = std::unique_ptr<void, DeleteTransform>;

/// From the numbers of grey or RGB pixels, 0 .. 1, to CIEXYZ for D50, relative to the profile's white.
struct ToXyz {
    Context context = {};  // of its own: lcms2 tells libvips, and so the whole process, of errors elsewhere
    Transform transform = {};
    int channels = 0;
};

/// Errors: profile-unusable.
[[nodiscard]] Result<ToXyz> toXyz(Context context, const Profile& from);

/// The profile in these bytes. Errors: profile-unusable.
[[nodiscard]] Result<ToXyz> toXyz(const std::string& bytes);

/// What pictures without a profile are taken for.
[[nodiscard]] Result<ToXyz> toXyzFromSrgb();

}  // namespace greywright::picture::colourManagement

#pragma once

// Private to the module: a third-party library in a header that no other module includes.

#include <memory>
#include <string>
#include <string_view>
#include <type_traits>

#include <lcms2.h>

namespace greywright::profile {

struct Closer {
    void operator()(cmsContext context) const { cmsDeleteContext(context); }
    void operator()(cmsToneCurve* curve) const { cmsFreeToneCurve(curve); }
    void operator()(cmsPipeline* pipeline) const { cmsPipelineFree(pipeline); }
    void operator()(cmsMLU* text) const { cmsMLUfree(text); }
    void operator()(cmsSEQ* sequence) const { cmsFreeProfileSequenceDescription(sequence); }
};
struct ProfileCloser {
    void operator()(void* profile) const { cmsCloseProfile(profile); }
};
struct TransformCloser {
    void operator()(void* transform) const { cmsDeleteTransform(transform); }
};

/// A context of one's own keeps the library's errors and settings apart from everybody else's.
using ContextHandle = std::unique_ptr<std::remove_pointer_t<cmsContext>, Closer>;
using ProfileHandle = std::unique_ptr<void, ProfileCloser>;
using TransformHandle = std::unique_ptr<void, TransformCloser>;
using CurveHandle = std::unique_ptr<cmsToneCurve, Closer>;
using PipelineHandle = std::unique_ptr<cmsPipeline, Closer>;
using TextHandle = std::unique_ptr<cmsMLU, Closer>;
using SequenceHandle = std::unique_ptr<cmsSEQ, Closer>;

[[nodiscard]] inline ContextHandle newContext() {
    return ContextHandle(cmsCreateContext(nullptr, nullptr));
}

/// The 16 bytes that version 4 identifies a profile by. Source: ICC.1:2022, 7.2.18; MD5 by RFC 1321.
/// Valid: 128 bytes or more.
[[nodiscard]] std::string profileIdOf(std::string_view bytes);

}  // namespace greywright::profile

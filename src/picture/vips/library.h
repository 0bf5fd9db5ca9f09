#pragma once

#include <memory>
#include <string>

#include <vips/vips.h>

/// What every file of this module needs of libvips; for its sources only.
namespace greywright::picture::library {

struct Unref {
    void operator()(void* object) const { g_object_unref(object); }
};
using Image = std::unique_ptr<VipsImage, Unref>;

/// The next step of a pipeline; nothing when libvips does not take it. Nothing is computed yet.
template <typename Operation, typename... Options>
Image step(Operation operation, const Image& in, Options... options) {
    VipsImage* out = nullptr;
    if (operation(in.get(), &out, options..., nullptr) != 0) return nullptr;
    return Image(out);
}

/// Starts libvips once. False when it does not start.
[[nodiscard]] bool started();

/// What libvips last complained of, in one line; its buffer is the whole process's and is left empty.
std::string complaint();

/// The same, every line of it.
std::string wholeComplaint();

}  // namespace greywright::picture::library

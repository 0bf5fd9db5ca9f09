#pragma once

#include <filesystem>

#include "core/result.h"

namespace greywright::studio {

/// Whether a file may be written: there is none of that name, or it is to be replaced.
/// Errors: output-exists.
[[nodiscard]] Outcome mayWrite(const std::filesystem::path& out, bool replace);

}  // namespace greywright::studio

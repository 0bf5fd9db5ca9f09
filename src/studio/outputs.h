#pragma once

#include <filesystem>
#include <vector>

#include "core/result.h"

namespace greywright::studio {

/// What becomes of a file that is there already.
enum class IfThere {
    replace,
    refuse,  ///< it could be replaced, had --force been given
    keep,    ///< there is no way to have it replaced
};

/// Whether a file may be written: never over one of `kept`, by whatever name.
/// Errors: output-is-input, output-exists.
[[nodiscard]] Outcome mayWrite(const std::filesystem::path& out, IfThere ifThere,
                               const std::vector<std::filesystem::path>& kept);

}  // namespace greywright::studio

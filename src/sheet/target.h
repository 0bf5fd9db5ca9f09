#pragma once

#include <string>

#include "core/result.h"
#include "sheet/render.h"
#include "sheet/sheet.h"

/// For the sources of this module only.
namespace greywright::sheet {

/// What a file is tagged with.
struct Target {
    std::string profile = {};
    int channels = 1;
};

/// Errors: those that writePage() and writePdf() share.
[[nodiscard]] Result<Target> targetOf(const Sheet& sheet, const RenderOptions& options);

}  // namespace greywright::sheet

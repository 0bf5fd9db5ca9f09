#pragma once

#include <filesystem>
#include <functional>

#include "core/result.h"
#include "picture/write.h"
#include "sheet/sheet.h"

namespace greywright::sheet {

/// How a page becomes a file. Valid: 100 to 1440 dots per inch.
struct RenderOptions {
    int dotsPerInch = 360;
    picture::Encoding encoding = picture::Encoding::greyGamma22;
    picture::FileFormat format = picture::FileFormat::tiff;
    std::function<bool(double)> goOn = {};  ///< told the share done; false stops the work
};

/// Writes one page, exact in millimetres: every edge of a patch is at the pixel edge nearest to where it is
/// designed, and every pixel of a patch is codeOfTone(). Words are strokes of maximum black without
/// half-tones: a pixel is black when its middle lies on a stroke.
/// Errors: resolution-out-of-range, page-number-out-of-range (kind wrongUse); those of
/// picture::writeGrey16().
[[nodiscard]] Outcome writePage(const Sheet& sheet, int page, const std::filesystem::path& path,
                                const RenderOptions& options = {});

}  // namespace greywright::sheet

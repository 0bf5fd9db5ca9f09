#pragma once

#include <filesystem>
#include <functional>
#include <string>

#include "core/result.h"
#include "picture/write.h"
#include "sheet/sheet.h"

namespace greywright::sheet {

/// How a page becomes a file. Valid: 100 to 1440 dots per inch.
struct RenderOptions {
    int dotsPerInch = 360;
    picture::Encoding encoding = picture::Encoding::greyGamma22;
    std::string profile = {};  ///< ICC bytes of grey or RGB that are written in the encoding's place
    picture::FileFormat format = picture::FileFormat::tiff;
    std::function<bool(double)> goOn = {};  ///< told the share done; false stops the work
};

/// Writes one page with 16 bits, exact in millimetres: every edge of a patch or of a marker's cell is at the
/// pixel edge nearest to where it is designed, and every pixel of a patch is codeOfTone() or the patch's own
/// colour. Words are strokes of maximum black without half-tones: a pixel is black when its middle lies on a
/// stroke. Errors: resolution-out-of-range, page-number-out-of-range, encoding-grey (a patch has a colour,
/// the encoding has none), all of kind wrongUse; those of picture::writePixels() and
/// picture::channelsOfProfile().
[[nodiscard]] Outcome writePage(const Sheet& sheet, int page, const std::filesystem::path& path,
                                const RenderOptions& options = {});

/// Writes all pages into one PDF 1.5, completely or not at all: patches, markers and words as shapes in mm,
/// drawings as pictures of 16 bits with `dotsPerInch`, 360 at most, all in the ICC colour space asked for
/// with the codes of writePage(). The same sheet and options make the same bytes; there is no date in them.
/// `format` does not count. Errors: resolution-out-of-range, encoding-grey; those of
/// picture::channelsOfProfile(); write-failed; stopped. Cost: drawings in memory.
[[nodiscard]] Outcome writePdf(const Sheet& sheet, const std::filesystem::path& path,
                               const RenderOptions& options = {});

}  // namespace greywright::sheet

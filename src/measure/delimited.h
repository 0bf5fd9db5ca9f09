#pragma once

#include <string_view>

#include "core/result.h"
#include "measure/reading.h"
#include "measure/text.h"

namespace greywright::measure {

/// The reading in a text whose cells are separated by commas, semicolons, tabs or runs of blanks: one header
/// line with the column names, one row per patch; lines before the header may state things as "key: value".
/// Spectra may also stand on end: a wavelength per line, a column per patch.
/// Valid: UTF-8, as textFromBytes() gives it.
/// Errors: those of readingFromTable() and no-header, row-too-short, row-too-long, quote-unfinished,
/// conditions-mixed, spectrum-kind-unclear.
/// Cost: linear in the length of the text.
[[nodiscard]] Result<Reading> readingFromDelimited(std::string_view text, const Source& source,
                                                   std::vector<Note> notes);

}  // namespace greywright::measure

#pragma once

#include <string_view>

#include "core/result.h"
#include "measure/reading.h"
#include "measure/text.h"

namespace greywright::measure {

/// Whether a text is framed as CGATS: it has a line that begins a data format or data, or a first line or
/// count keyword that only CGATS has.
[[nodiscard]] bool looksLikeCgats(std::string_view text);

/// The reading in a CGATS.17 or ISO 28178 text; of several tables the first that holds a measurement.
/// Valid: UTF-8, as textFromBytes() gives it.
/// Errors: those of readingFromTable() and no-data, no-data-format, data-format-empty, data-format-twice,
/// data-format-unfinished, data-unfinished, block-unfinished, quote-unfinished, count-not-a-number,
/// field-count-mismatch, set-count-mismatch, row-too-short, row-too-long, too-many-columns, include-refused.
/// Cost: linear in the length of the text.
[[nodiscard]] Result<Reading> readingFromCgats(std::string_view text, const Source& source,
                                               std::vector<Note> notes);

}  // namespace greywright::measure

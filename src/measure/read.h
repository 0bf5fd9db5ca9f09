#pragma once

#include <filesystem>
#include <string_view>

#include "core/result.h"
#include "measure/reading.h"

namespace greywright::measure {

/// The reading in a measurement file, whatever its name: CGATS.17 or ISO 28178 text, CxF3, CSV or TSV, told
/// apart by content. `path` is only used in texts. Of a file that holds several measurement conditions, the
/// `preferred` one is read if it is there.
/// Errors: those of textFromBytes(), readingFromCgats(), readingFromCxf() and readingFromDelimited().
/// Cost: linear in the size of the file.
/// Thread: safe.
[[nodiscard]] Result<Reading> readingFromBytes(std::string_view bytes, std::string_view path,
                                               Condition preferred = Condition::unknown);

/// As readingFromBytes(). Errors: those of readWholeFile() besides.
[[nodiscard]] Result<Reading> readingFromFile(const std::filesystem::path& path,
                                              Condition preferred = Condition::unknown);

}  // namespace greywright::measure

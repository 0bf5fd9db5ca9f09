#pragma once

#include <string_view>

#include "core/result.h"
#include "measure/reading.h"
#include "measure/text.h"

namespace greywright::measure {

/// The reading in a CxF3 document (ISO 17972). Where it holds several measurement conditions of the same
/// sheet, the `preferred` one is read if there, otherwise M1, M0, M2, M3 in this order, with a note.
/// Nothing outside the document is ever loaded and no entity expanded: a document type declaration is
/// refused. Errors: what settled() refuses, and xml-not-well-formed, xml-doctype, xml-too-complex,
/// xml-not-cxf, cxf-version, no-measurement, specification-missing, specification-twice,
/// spectrum-not-a-number, wavelengths-unknown, wavelengths-contradictory, bands-vary, spectra-ambiguous,
/// not-reflectance, not-a-number. Cost: linear in the length of the document.
[[nodiscard]] Result<Reading> readingFromCxf(std::string_view bytes, const Source& source,
                                             std::vector<Note> notes,
                                             Condition preferred = Condition::unknown);

}  // namespace greywright::measure

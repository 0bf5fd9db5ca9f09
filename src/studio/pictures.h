#pragma once

#include <filesystem>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "book/records.h"
#include "colour/lab.h"
#include "core/result.h"
#include "measure/reading.h"
#include "scan/scan.h"
#include "sheet/sheet.h"
#include "studio/sheets.h"

/// From a scan or photograph to a reading; for the sources of this module only.
namespace greywright::studio {

/// Whether a file holds a picture and no text: measurement files are text of one encoding or another.
/// Errors: those of readWholeFile().
[[nodiscard]] Result<bool> isPicture(const std::filesystem::path& path);

/// What helps to read a picture, from the book.
struct PictureContext {
    std::vector<sheet::Sheet> sheets = {};          ///< that may be in it
    std::string setting = {};                       ///< what the one sheet is printed at, if it says so
    std::optional<book::DeviceRecord> device = {};  ///< learned on this paper
    std::optional<colour::Lab> paper = {};          ///< of the bare paper, by an instrument
};

/// A picture with outlines, and where it is to be written.
struct OutlinedPicture {
    std::filesystem::path path = {};
    picture::Reduced picture = {};
};

/// A sheet read from a picture.
struct ReadPicture {
    measure::Reading reading = {};
    scan::SheetReading found = {};  ///< the first page
    int missingPages = 0;
    sheet::Sheet sheet = {};                     ///< the one that was found
    std::vector<OutlinedPicture> outlined = {};  ///< of each page, where the request asks for them
};

/// Reads a sheet from a picture of each page; writes nothing. Errors: those of picture::readReduced(),
/// scan::readSheet() and characterise::correct(); no-sheets, not-a-further-page, file-ending,
/// output-is-input. Notes: picture-colours, patches-left-out, pages-missing, device-learned.
[[nodiscard]] Result<ReadPicture> readPicture(const std::filesystem::path& path,
                                              const PictureRequest& request, const PictureContext& context);

/// Writes the outlined pictures; each is told in a note of the reading. Errors: those of
/// scan::writeOutlined(). Notes: outlined, file-replaced.
[[nodiscard]] Outcome writeOutlined(ReadPicture& read);

}  // namespace greywright::studio

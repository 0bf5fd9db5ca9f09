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

/// A sheet read from a picture.
struct ReadPicture {
    measure::Reading reading = {};
    scan::SheetReading found = {};  ///< the first page
    int missingPages = 0;
    sheet::Sheet sheet = {};  ///< the one that was found
};

/// Reads a sheet from a picture of each page; writes them with outlines where the request says. Errors: those
/// of picture::readReduced(), scan::readSheet(), scan::writeOutlined() and characterise::correct();
/// no-sheets, not-a-further-page, file-ending, output-is-input. Notes: picture-colours, patches-left-out,
/// pages-missing, device-learned.
[[nodiscard]] Result<ReadPicture> readPicture(const std::filesystem::path& path,
                                              const PictureRequest& request, const PictureContext& context);

}  // namespace greywright::studio

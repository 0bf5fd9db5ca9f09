#pragma once

#include <span>
#include <string>
#include <vector>

#include "core/result.h"
#include "scan/detect.h"
#include "sheet/sheet.h"

namespace greywright::scan {

/// A marker of the sheet and where it was found.
struct Anchor {
    sheet::Marker marker = {};
    Found found = {};
};

/// Which page of which sheet lies in the picture.
struct Identified {
    const sheet::Sheet* sheet = nullptr;  ///< one of those known
    int page = 1;
    std::vector<Anchor> anchors = {};  ///< a marker may come twice, from two places
};

/// Tells sheet and page by the numbers found. Errors: markers-missing, sheet-unknown, sheet-incomplete,
/// two-sheets.
[[nodiscard]] Result<Identified> identify(std::span<const Found> found, std::span<const sheet::Sheet> known);

/// What the numbers say of a sheet's code; '?' stands for a character that they leave open.
[[nodiscard]] std::string codeFromMarkers(std::span<const Found> found);

}  // namespace greywright::scan

#pragma once

#include <array>
#include <vector>

#include "sheet/sheet.h"

/// For the sources of this module only.
namespace greywright::sheet {

/// The black cells of markers as rectangles, each as wide as it can be. Valid: numbers of the family.
/// Units: mm. Source: the AprilTag library's table of the family standard 41h12.
[[nodiscard]] std::vector<RectMm> blackCellsOf(const std::vector<Marker>& markers, int page);

}  // namespace greywright::sheet

#pragma once

#include "figure/plot.h"
#include "figure/scene.h"

namespace greywright::figure {

/// The page that shows `plot`; without anything to draw it says "No data". Labels are put where they cover
/// least; words too long for the page are broken, or cut with an ellipsis.
/// Shape: as Plot states for its series; anything else is a contract violation.
[[nodiscard]] Scene sceneFromPlot(const Plot& plot);

/// The page that shows `strip`, as high as it needs to be. Of labels that would run into each other only
/// every so many are shown.
[[nodiscard]] Scene sceneFromStrip(const Strip& strip);

/// The page that shows `cells`, as high as it needs to be. Numbers that are wider than their cells are left
/// out, names of columns that would run into each other likewise.
/// Shape: as Cells states; anything else is a contract violation.
[[nodiscard]] Scene sceneFromCells(const Cells& cells);

}  // namespace greywright::figure

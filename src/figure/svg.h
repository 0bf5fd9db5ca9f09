#pragma once

#include <string>
#include <string_view>

#include "figure/scene.h"

namespace greywright::figure {

/// The page as one SVG element without an XML declaration, fit for a file of its own or for the middle of an
/// HTML page, where it takes the width it is given up to its own size. Text stays text; no scripts, no
/// outside references, the same bytes on every machine. Valid: `idPrefix` begins with a letter and holds
/// letters, digits, '-' and '_' only; one page needs a different one for each figure. Every number of the
/// scene finite. Source: SVG 1.1 (second edition, W3C 2011); paint-order is SVG 2 and merely looks plainer
/// where unknown.
[[nodiscard]] std::string svgFromScene(const Scene& scene, std::string_view idPrefix);

}  // namespace greywright::figure

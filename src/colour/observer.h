#pragma once

#include <string>
#include <vector>

#include "colour/spectrum.h"

namespace greywright::colour {

/// The two standard observers of the CIE.
enum class ObserverName {
    cie1931,  ///< 2 degrees; what a printer's CIELAB means
    cie1964,  ///< 10 degrees
};

/// Three colour matching functions.
/// Shape: each has kFineGrid.count values.
struct Observer {
    std::string name = {};
    std::vector<double> xBar = {};
    std::vector<double> yBar = {};
    std::vector<double> zBar = {};
};

/// A standard observer at 1 nm.
/// Source: ISO/CIE 11664-1:2019 (tables: see data/README.md).
/// Thread: safe; built on first use.
[[nodiscard]] const Observer& observer(ObserverName name);

}  // namespace greywright::colour

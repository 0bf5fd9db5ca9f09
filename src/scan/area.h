#pragma once

#include <Eigen/Core>

#include "scan/place.h"
#include "scan/sample.h"

namespace greywright::scan {

/// An area of the page, in the picture.
struct Area {
    Quad whole{};
    Quad inner{};  ///< what is sampled
    Eigen::Vector2d middleMm = Eigen::Vector2d::Zero();
    bool isInside = false;   ///< of the picture, wholly
    bool isCertain = false;  ///< placed well enough to be sampled
    Sample sample = {};      ///< empty unless both
};

/// Pixels of the picture in memory to a mm of the page at that place, the mean of all directions.
[[nodiscard]] double pxPerMmAt(const Placement& placement, const Eigen::Vector2d& mm);

/// How far samples keep from the edge of an area.
[[nodiscard]] double marginMmOf(const Placement& placement, const sheet::RectMm& at);

/// The same for bare paper, which is narrow, and has bare paper around it.
[[nodiscard]] double bareMarginMmOf(const Placement& placement, const sheet::RectMm& at);

/// Finds and samples an area; certain when the margin leaves a third of its shorter side or more.
[[nodiscard]] Area areaOf(const picture::Reduced& picture, const Placement& placement,
                          const sheet::RectMm& at, double marginMm);

}  // namespace greywright::scan

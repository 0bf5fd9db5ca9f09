#pragma once

#include <array>
#include <vector>

#include <Eigen/Core>

#include "picture/read.h"

namespace greywright::scan {

/// A marker in the picture. Units: pixels of the picture in memory, the edges of pixels being whole numbers.
struct Found {
    int number = 0;
    std::array<Eigen::Vector2d, 4>
        corners;  ///< upper left, upper right, lower right, lower left, of the marker
};

/// Every marker that decodes with at most one wrong cell; the same number may come more than once.
/// `mirrored` looks at the picture as a mirror shows it, and gives places in the mirror.
/// Source: Krogius, Haggenmiller and Olson (2019), "Flexible layouts for fiducial tags", IROS.
[[nodiscard]] std::vector<Found> findMarkers(const picture::Reduced& picture, bool mirrored = false);

}  // namespace greywright::scan

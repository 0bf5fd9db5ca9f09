#pragma once

#include <limits>
#include <optional>
#include <string>
#include <vector>

#include "figure/frame.h"
#include "figure/place_labels.h"
#include "figure/plot.h"
#include "figure/scene.h"

namespace greywright::figure {

/// A label that waits until all that it might cover is known.
struct LabelRequest {
    std::vector<Text> candidates = {};   ///< the same words in different places, the best first
    std::optional<Point> leaderTo = {};  ///< a thin line joins a label that stands off to its place
    double leaderClearPt = 0;            ///< how far from there it ends
    double mostCost = std::numeric_limits<double>::infinity();  ///< left out when it would cover more
};

/// Paints one series and leaves its labels in `requests`, what they should not cover in `placer`.
void paintSeries(const Plot& plot, const Series& series, const Frame& frame, Scene& scene,
                 LabelPlacer& placer, std::vector<LabelRequest>& requests);

/// Puts the labels where they cover least.
void paintLabels(const std::vector<LabelRequest>& requests, const Frame& frame, Scene& scene,
                 LabelPlacer& placer);

/// The levels at which a map is drawn: those given, or round ones.
[[nodiscard]] std::vector<double> levelsOf(const Contours& contours);

/// The colour of the area at and above the level of this number; number -1 is all that lies below the first.
[[nodiscard]] Rgb levelColour(std::ptrdiff_t number, std::size_t levels);

}  // namespace greywright::figure

#pragma once

#include <cstddef>
#include <limits>
#include <optional>
#include <span>
#include <vector>

#include "figure/scene.h"

namespace greywright::figure {

/// Finds room for labels: of the places offered it takes the one that covers least of what is already there,
/// an earlier one before a later one of the same worth.
class LabelPlacer {
  public:
    explicit LabelPlacer(Rect area) : area_(area) {}

    /// A box that a label should not cover; `weight` per square point of overlap.
    void avoid(Rect box, double weight);

    /// A chain that a label should not lie on; `weight` per point of length covered.
    void avoid(std::span<const Point> chain, double weight);

    /// The index of the best candidate, or nothing when even that one costs more than `most`. The chosen box
    /// is avoided from now on. Valid: at least one candidate; one outside the area is taken only when all
    /// are.
    [[nodiscard]] std::optional<std::size_t> choose(std::span<const Rect> candidates,
                                                    double most = std::numeric_limits<double>::infinity());

    /// What covering `box` would cost.
    [[nodiscard]] double cost(const Rect& box) const;

  private:
    struct Obstacle {
        Rect box;
        double weight;
    };
    struct Segment {
        Point from;
        Point to;
        double weight;
    };
    Rect area_;
    std::vector<Obstacle> boxes_;
    std::vector<Segment> segments_;
};

}  // namespace greywright::figure

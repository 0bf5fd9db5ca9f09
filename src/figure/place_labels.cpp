#include "figure/place_labels.h"

#include <algorithm>
#include <cmath>

#include "core/contract.h"
#include "figure/clip.h"

namespace greywright::figure {
namespace {

constexpr double kTextWeight = 10;
constexpr double kOutsideCost = 1e9;

double overlap(const Rect& a, const Rect& b) {
    const double width = std::min(a.right(), b.right()) - std::max(a.left, b.left);
    const double height = std::min(a.bottom(), b.bottom()) - std::max(a.top, b.top);
    return width > 0 && height > 0 ? width * height : 0;
}

}  // namespace

void LabelPlacer::avoid(Rect box, double weight) {
    boxes_.push_back({box, weight});
}

void LabelPlacer::avoid(std::span<const Point> chain, double weight) {
    for (std::size_t i = 0; i + 1 < chain.size(); ++i) segments_.push_back({chain[i], chain[i + 1], weight});
}

double LabelPlacer::cost(const Rect& box) const {
    double sum = area_.contains(box) ? 0 : kOutsideCost;
    for (const Obstacle& obstacle : boxes_) sum += obstacle.weight * overlap(box, obstacle.box);
    for (const auto& [a, b, weight] : segments_) {
        // Most segments of a map are nowhere near.
        if (std::min(a.x, b.x) > box.right() || std::max(a.x, b.x) < box.left) continue;
        if (std::min(a.y, b.y) > box.bottom() || std::max(a.y, b.y) < box.top) continue;
        if (const auto part = clippedSegment(a, b, box)) {
            sum += weight * std::hypot(part->second.x - part->first.x, part->second.y - part->first.y);
        }
    }
    return sum;
}

std::optional<std::size_t> LabelPlacer::choose(std::span<const Rect> candidates, double most) {
    expects(!candidates.empty(), "a label needs at least one candidate");
    std::size_t best = 0;
    double least = std::numeric_limits<double>::infinity();
    for (std::size_t i = 0; i < candidates.size(); ++i) {
        const double here = cost(candidates[i]) + 0.01 * static_cast<double>(i);
        if (here < least) {
            least = here;
            best = i;
        }
    }
    if (least > most) return std::nullopt;
    avoid(candidates[best], kTextWeight);
    return best;
}

}  // namespace greywright::figure

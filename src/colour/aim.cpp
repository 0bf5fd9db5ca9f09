#include "colour/aim.h"

#include <algorithm>

namespace greywright::colour {

Tint TintAim::at(double L) const {
    if (kind == TintAimKind::light) return {};
    if (kind == TintAimKind::paper) return {paper.a, paper.b};
    const double span = paper.L - blackL;
    const double depth = span > 0 ? std::clamp((paper.L - L) / span, 0.0, 1.0) : 0;
    const double share = 1 - fadeFraction * depth;
    return {paper.a * share, paper.b * share};
}

}  // namespace greywright::colour

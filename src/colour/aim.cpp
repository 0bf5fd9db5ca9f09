#include "colour/aim.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace greywright::colour {

Toning Toning::even(double chroma, double hueDegrees) {
    const double angle = hueDegrees * std::numbers::pi / 180;
    const Tint tint{chroma * std::cos(angle), chroma * std::sin(angle)};
    return {tint, tint};
}

Tint Toning::at(double share) const {
    // In over the lightest and the darkest fifth, softly (our choice).
    constexpr double kFade = 0.2;
    const double from = std::clamp(std::min(share, 1 - share) / kFade, 0.0, 1.0);
    const double fade = from * from * (3 - 2 * from);
    const double light = std::clamp(share, 0.0, 1.0);
    return {fade * (light * highlights.a + (1 - light) * shadows.a),
            fade * (light * highlights.b + (1 - light) * shadows.b)};
}

Tint TintAim::at(double L) const {
    const double span = paper.L - blackL;
    const double depth = span > 0 ? std::clamp((paper.L - L) / span, 0.0, 1.0) : 0;
    const Tint added = span > 0 ? toning.at(1 - depth) : Tint{};
    if (kind == TintAimKind::light) return added;
    const double share = kind == TintAimKind::paper ? 1 : 1 - fadeFraction * depth;
    return {paper.a * share + added.a, paper.b * share + added.b};
}

}  // namespace greywright::colour

#include "scan/area.h"

#include <algorithm>
#include <cmath>

#include <Eigen/Dense>

namespace greywright::scan {
namespace {

using Eigen::Vector2d;

// What stays free of an area's edge: a share of its side, or blur and three times the doubt of its place.
constexpr double kMarginShare = 0.12;
constexpr double kBlurPx = 2;
constexpr double kBareBlurPx = 0.5;  // bare paper keeps away from what is printed beside it by design
constexpr double kMostMarginShare = 0.33;

Quad quadOf(const Placement& placement, const sheet::RectMm& at, double marginMm) {
    const double left = at.x + marginMm;
    const double right = at.x + at.width - marginMm;
    const double top = at.y + marginMm;
    const double bottom = at.y + at.height - marginMm;
    return {placement.pxFromMm({left, top}), placement.pxFromMm({right, top}),
            placement.pxFromMm({right, bottom}), placement.pxFromMm({left, bottom})};
}

}  // namespace

double pxPerMmAt(const Placement& placement, const Vector2d& mm) {
    return std::sqrt(std::abs(placement.pxPerMm(mm).determinant()));
}

double bareMarginMmOf(const Placement& placement, const sheet::RectMm& at) {
    const Vector2d middle{at.x + at.width / 2, at.y + at.height / 2};
    return 2 * placement.uncertaintyMm(middle) + kBareBlurPx / pxPerMmAt(placement, middle);
}

double marginMmOf(const Placement& placement, const sheet::RectMm& at) {
    const Vector2d middle{at.x + at.width / 2, at.y + at.height / 2};
    return std::max(kMarginShare * std::min(at.width, at.height),
                    3 * placement.uncertaintyMm(middle) + kBlurPx / pxPerMmAt(placement, middle));
}

Area areaOf(const picture::Reduced& picture, const Placement& placement, const sheet::RectMm& at,
            double marginMm) {
    Area area;
    area.middleMm = {at.x + at.width / 2, at.y + at.height / 2};
    area.whole = quadOf(placement, at, 0);
    area.isInside = std::ranges::all_of(area.whole, [&](const Vector2d& px) {
        return px.x() >= 0 && px.y() >= 0 && px.x() <= double(picture.width) &&
               px.y() <= double(picture.height);
    });
    area.isCertain = marginMm <= kMostMarginShare * std::min(at.width, at.height);
    area.inner = quadOf(placement, at, marginMm);
    if (area.isInside && area.isCertain) area.sample = sampleOf(picture, area.inner);
    return area;
}

}  // namespace greywright::scan

#include "scan/suspicion.h"

#include <algorithm>
#include <cmath>

namespace greywright::scan {
namespace {

constexpr double kTogetherL = 0.3;
constexpr double kLightSpanPercent = 8;
constexpr double kDarkSpanPercent = 12;
constexpr double kWhitestPaperL = 99.3;
constexpr std::size_t kNeighbours = 6;
constexpr double kLeastStrangeTint = 5;
constexpr double kMostStrangeTint = 10;
constexpr double kStrangeSpreads = 6;
constexpr double kStrangeL = 15;

/// How far tones run together from the first point on.
bool runTogether(std::span<const RampPoint> points, double spanPercent) {
    std::size_t count = 0;
    double span = 0;
    for (const RampPoint& point : points) {
        if (std::abs(point.lab.L - points.front().lab.L) > kTogetherL) break;
        ++count;
        span = std::abs(point.tonePercent - points.front().tonePercent);
    }
    return count >= 3 && span >= spanPercent;
}

double median(std::vector<double> values) {
    std::ranges::sort(values);
    return values[values.size() / 2];
}

/// How far tints lie from their middle, and which tint that is.
struct Middle {
    double a = 0;
    double b = 0;
    double spread = 0;
};

Middle middleOf(const std::vector<double>& a, const std::vector<double>& b) {
    Middle out{.a = median(a), .b = median(b)};
    std::vector<double> away;
    for (std::size_t i = 0; i < a.size(); ++i) away.push_back(std::hypot(a[i] - out.a, b[i] - out.b));
    out.spread = median(away);
    return out;
}

}  // namespace

Ends endsOf(std::span<const RampPoint> ramp, const colour::Lab& paper) {
    std::vector<RampPoint> seen;
    std::size_t darkClipped = 0;
    for (const RampPoint& point : ramp) {
        if (point.isDarkClipped) {
            ++darkClipped;
        } else {
            seen.push_back(point);
        }
    }
    std::ranges::sort(seen, {}, &RampPoint::tonePercent);
    Ends out{.lightIsCut = paper.L >= kWhitestPaperL, .darkIsCut = darkClipped >= 2};
    if (seen.size() < 3) return out;
    out.lightIsCut = out.lightIsCut || runTogether(seen, kLightSpanPercent);
    std::ranges::reverse(seen);
    out.darkIsCut = out.darkIsCut || runTogether(seen, kDarkSpanPercent);
    return out;
}

std::vector<std::size_t> strangers(std::span<const RampPoint> ramp) {
    std::vector<RampPoint> sorted(ramp.begin(), ramp.end());
    std::erase_if(sorted, [](const RampPoint& point) { return point.isDarkClipped; });
    std::ranges::sort(sorted, {}, &RampPoint::tonePercent);
    std::vector<std::size_t> out;
    if (sorted.size() < kNeighbours + 1) return out;
    for (std::size_t i = 0; i < sorted.size(); ++i) {
        const std::size_t first =
            std::min(i < kNeighbours / 2 ? 0 : i - kNeighbours / 2, sorted.size() - kNeighbours - 1);
        std::vector<double> L;
        std::vector<double> a;
        std::vector<double> b;
        for (std::size_t k = first; k <= first + kNeighbours; ++k) {
            if (k == i) continue;
            L.push_back(sorted[k].lab.L);
            a.push_back(sorted[k].lab.a);
            b.push_back(sorted[k].lab.b);
        }
        const Middle middle = middleOf(a, b);
        const double tint = std::hypot(sorted[i].lab.a - middle.a, sorted[i].lab.b - middle.b);
        const double strange =
            std::clamp(kStrangeSpreads * middle.spread, kLeastStrangeTint, kMostStrangeTint);
        const auto [darkest, lightest] = std::ranges::minmax(L);
        if (tint > strange || sorted[i].lab.L > lightest + kStrangeL ||
            sorted[i].lab.L < darkest - kStrangeL) {
            out.push_back(sorted[i].index);
        }
    }
    return out;
}

bool isWithoutColour(const picture::Reduced& picture) {
    for (std::size_t i = 0; i + 2 < picture.codes.size(); i += 3) {
        if (picture.codes[i] != picture.codes[i + 1] || picture.codes[i] != picture.codes[i + 2])
            return false;
    }
    return true;
}

}  // namespace greywright::scan

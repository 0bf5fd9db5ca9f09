#include "scan/suspicion.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>

#include <fmt/format.h>

#include "core/said.h"

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
constexpr std::size_t kLevels = 256;
constexpr std::ptrdiff_t kFollowsLevels = 2;
constexpr double kMostThatDoNotFollow = 0.001;
constexpr double kSameCode = 0.5 / 255;
constexpr double kBrightestPaperL = 97.5;
constexpr double kGreyCode = 1.5 / 255;
constexpr double kTintedCode = 4.0 / 255;
constexpr std::uint64_t kCommonLevel = 30;  // pixels
constexpr int kMissingLevels = 5;
constexpr double kStrongTint = 12;
constexpr std::size_t kLeastForScatter = 9;
constexpr double kSameTonePercent = 0.01;

double spanOf(const picture::Triple& codes) {
    const auto [least, most] = std::ranges::minmax(codes);
    return most - least;
}

/// How many levels of a channel hardly a pixel has, while many have the two beside them.
int missingLevels(const picture::Reduced& picture, std::size_t channel) {
    std::array<std::uint64_t, kLevels> counts{};
    for (std::size_t i = channel; i < picture.codes.size(); i += picture.channels)
        ++counts[picture.codes[i] / 257];
    int missing = 0;
    for (std::size_t i = 1; i + 1 < kLevels; ++i) {
        const std::uint64_t beside = std::min(counts[i - 1], counts[i + 1]);
        if (beside >= kCommonLevel && 50 * counts[i] < beside) ++missing;
    }
    return missing;
}

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

bool isColouredGrey(const picture::Reduced& picture) {
    std::size_t astray = 0;
    for (const std::size_t other : {0U, 2U}) {
        std::vector<std::uint32_t> counts(kLevels * kLevels);
        for (std::size_t i = 0; i + 2 < picture.codes.size(); i += 3)
            ++counts[picture.codes[i + 1] / 257 * kLevels + picture.codes[i + other] / 257];
        for (std::size_t green = 0; green < kLevels; ++green) {
            const std::span level = std::span(counts).subspan(green * kLevels, kLevels);
            std::size_t all = 0;
            for (const std::uint32_t count : level) all += count;
            std::size_t below = 0;
            std::ptrdiff_t middle = 0;
            while (middle < std::ptrdiff_t(kLevels) && 2 * (below + level[std::size_t(middle)]) < all)
                below += level[std::size_t(middle++)];
            for (std::ptrdiff_t i = 0; i < std::ptrdiff_t(kLevels); ++i)
                astray += std::abs(i - middle) > kFollowsLevels ? level[std::size_t(i)] : 0U;
        }
    }
    return double(astray) <= kMostThatDoNotFollow * double(picture.codes.size() / 3);
}

bool areWithoutTint(std::span<const picture::Triple> areas) {
    const auto tinted =
        std::ranges::count_if(areas, [](const picture::Triple& codes) { return spanOf(codes) > kSameCode; });
    return !areas.empty() && 10 * std::size_t(tinted) <= areas.size();
}

std::string stretchOf(const picture::Reduced& picture, std::span<const RampPoint> ramp,
                      const colour::Lab& paper, const picture::Triple& paperCodes) {
    if (paper.L >= kBrightestPaperL)
        return said("its bare paper has L* {:.1f}, and papers have 93 to 97", paper.L);
    const RampPoint* darkest = nullptr;
    bool isTinted = false;
    for (const RampPoint& point : ramp) {
        if (point.isDarkClipped) continue;
        isTinted = isTinted || spanOf(point.codes) >= kTintedCode;
        if (darkest == nullptr || point.tonePercent > darkest->tonePercent) darkest = &point;
    }
    if (isTinted && spanOf(paperCodes) <= kGreyCode && spanOf(darkest->codes) <= kGreyCode)
        return said("bare paper and darkest tone are exactly grey, and tones between them are not");
    if (picture.fileBits == 8 && picture.factor == 1) {
        int missing = 0;
        for (std::size_t channel = 0; channel < picture.channels; ++channel)
            missing = std::max(missing, missingLevels(picture, channel));
        if (missing >= kMissingLevels) return said("{} of its codes are missing between others", missing);
    }
    return {};
}

const RampPoint* strongTint(std::span<const RampPoint> ramp, const colour::Lab& paper) {
    const RampPoint* strongest = nullptr;
    double most = kStrongTint;
    for (const RampPoint& point : ramp) {
        const double tint = std::hypot(point.lab.a - paper.a, point.lab.b - paper.b);
        if (point.isDarkClipped || tint <= most) continue;
        most = tint;
        strongest = &point;
    }
    return strongest;
}

std::optional<double> scatterOf(std::span<const RampPoint> ramp) {
    std::vector<RampPoint> sorted(ramp.begin(), ramp.end());
    std::erase_if(sorted, [](const RampPoint& point) { return point.isDarkClipped; });
    std::ranges::sort(sorted, {}, &RampPoint::tonePercent);
    if (sorted.size() < kLeastForScatter) return std::nullopt;
    for (std::size_t i = 1; i < sorted.size(); ++i) {
        if (sorted[i].tonePercent - sorted[i - 1].tonePercent < kSameTonePercent) return std::nullopt;
    }
    double squares = 0;
    for (std::size_t i = 2; i + 2 < sorted.size(); ++i) {
        const std::array<std::size_t, 4> beside{i - 2, i - 1, i + 1, i + 2};
        double a = sorted[i].lab.a;
        double b = sorted[i].lab.b;
        double variances = 1;
        for (const std::size_t one : beside) {
            double weight = 1;  // Lagrange's
            for (const std::size_t other : beside) {
                if (other == one) continue;
                weight *= (sorted[i].tonePercent - sorted[other].tonePercent) /
                          (sorted[one].tonePercent - sorted[other].tonePercent);
            }
            a -= weight * sorted[one].lab.a;
            b -= weight * sorted[one].lab.b;
            variances += weight * weight;
        }
        squares += (a * a + b * b) / (2 * variances);
    }
    return std::sqrt(squares / double(sorted.size() - 4));
}

}  // namespace greywright::scan

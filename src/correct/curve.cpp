#include "correct/curve.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

#include <fmt/format.h>

#include "core/contract.h"
#include "core/numbers.h"
#include "core/said.h"

namespace greywright::correct {
namespace {

constexpr std::string_view kFirstLine = "greywright tone curve 1";

/// What is wrong with points, if anything, and at which of them.
struct Flaw {
    std::size_t at = 0;
    std::string what;
};

std::optional<Flaw> flawOf(const std::vector<CurvePoint>& points) {
    if (points.size() < 2) return Flaw{0, said("the curve has fewer than two points")};
    const auto isAt = [](const CurvePoint& point, double end) {
        return point.tonePercent == end && point.sendPercent == end;
    };
    if (!isAt(points.front(), 0)) return Flaw{0, said("the curve does not begin at 0 0")};
    for (std::size_t i = 1; i < points.size(); ++i) {
        if (!(points[i].tonePercent > points[i - 1].tonePercent) ||
            !(points[i].sendPercent > points[i - 1].sendPercent))
            return Flaw{i, said("the curve does not rise")};
    }
    if (!isAt(points.back(), 100)) return Flaw{points.size() - 1, said("the curve does not end at 100 100")};
    return std::nullopt;
}

double steepness(const CurvePoint& from, const CurvePoint& to) {
    return (to.sendPercent - from.sendPercent) / (to.tonePercent - from.tonePercent);
}

/// A slope at every point that keeps the cubic between points in order: the weighted harmonic mean of its
/// neighbours' (Fritsch and Butland 1984, SIAM J. Sci. Stat. Comput. 5(2), 300-304), one-sided at the ends.
std::vector<double> slopesOf(const std::vector<CurvePoint>& points) {
    std::vector<double> out(points.size());
    out.front() = steepness(points[0], points[1]);
    out.back() = steepness(points[points.size() - 2], points.back());
    for (std::size_t i = 1; i + 1 < points.size(); ++i) {
        const double before = points[i].tonePercent - points[i - 1].tonePercent;
        const double after = points[i + 1].tonePercent - points[i].tonePercent;
        const double one = before + 2 * after;
        const double two = 2 * before + after;
        out[i] = (one + two) /
                 (two / steepness(points[i - 1], points[i]) + one / steepness(points[i], points[i + 1]));
    }
    return out;
}

Error notRead(std::size_t line, std::string code, std::string what) {
    return {.kind = ErrorKind::badInput,
            .code = std::move(code),
            .what = std::move(what),
            .where = {.line = line},
            .next = said("Make the curve again from its readings")};
}

}  // namespace

ToneCurve::ToneCurve() : ToneCurve(std::vector<CurvePoint>{{0, 0}, {100, 100}}) {}

ToneCurve::ToneCurve(std::vector<CurvePoint> points) : points_(std::move(points)) {
    expects(!flawOf(points_), "a tone curve rises from 0, 0 to 100, 100");
    slopes_ = slopesOf(points_);
}

double ToneCurve::at(double tonePercent) const {
    if (!(tonePercent > 0)) return 0;
    if (tonePercent >= 100) return 100;
    const auto after =
        std::upper_bound(points_.begin(), points_.end(), tonePercent,
                         [](double tone, const CurvePoint& point) { return tone < point.tonePercent; });
    const auto i = static_cast<std::size_t>(after - points_.begin()) - 1;
    const double step = points_[i + 1].tonePercent - points_[i].tonePercent;
    const double u = (tonePercent - points_[i].tonePercent) / step;
    const double rise = points_[i + 1].sendPercent - points_[i].sendPercent;
    // Hermite's cubic as a rise from the point before, so that rounding never steps back.
    const double share = u * u * (3 - 2 * u);
    const double bend = step * u * (1 - u) * ((1 - u) * slopes_[i] - u * slopes_[i + 1]);
    return std::clamp(points_[i].sendPercent + share * rise + bend, points_[i].sendPercent,
                      points_[i + 1].sendPercent);
}

double ToneCurve::toneThatSends(double sendPercent) const {
    double low = 0;
    double high = 100;
    for (int halving = 0; halving < 50; ++halving) {
        const double middle = (low + high) / 2;
        (at(middle) < sendPercent ? low : high) = middle;
    }
    return (low + high) / 2;
}

std::string ToneCurve::text() const {
    std::string out(kFirstLine);
    out += '\n';
    for (const CurvePoint& point : points_)
        out += textFromNumber(point.tonePercent) + ' ' + textFromNumber(point.sendPercent) + '\n';
    return out;
}

Result<ToneCurve> ToneCurve::fromText(std::string_view text) {
    std::vector<CurvePoint> points;
    std::size_t line = 0;
    while (!text.empty()) {
        const std::size_t end = text.find('\n');
        const std::string_view row = text.substr(0, end);
        text.remove_prefix(end == std::string_view::npos ? text.size() : end + 1);
        ++line;
        if (line == 1) {
            if (row != kFirstLine) return notRead(1, "curve-not-read", said("this is not a tone curve"));
            continue;
        }
        const std::size_t space = row.find(' ');
        const auto tone = numberFromText(row.substr(0, space));
        const auto send =
            space == std::string_view::npos ? std::nullopt : numberFromText(row.substr(space + 1));
        if (!tone || !send) {
            return notRead(line, "curve-not-read", said("\"{}\" is not two numbers", row));
        }
        points.push_back({*tone, *send});
    }
    if (line == 0) return notRead(0, "curve-not-read", said("the text is empty"));
    if (const auto flaw = flawOf(points))
        return notRead(points.empty() ? 1 : flaw->at + 2, "curve-not-rising", std::string(flaw->what));
    return ToneCurve(std::move(points));
}

ToneCurve compose(const ToneCurve& earlier, const ToneCurve& later) {
    std::vector<double> tones;
    for (const CurvePoint& point : later.points()) tones.push_back(point.tonePercent);
    for (const CurvePoint& point : earlier.points()) tones.push_back(later.toneThatSends(point.tonePercent));
    std::sort(tones.begin(), tones.end());
    constexpr double kApartPercent = 0.05;
    std::vector<CurvePoint> points{{0, 0}};
    for (const double tone : tones) {
        if (tone - points.back().tonePercent < kApartPercent || 100 - tone < kApartPercent) continue;
        const double send = earlier.at(later.at(tone));
        if (send > points.back().sendPercent && send < 100) points.push_back({tone, send});
    }
    points.push_back({100, 100});
    return ToneCurve(std::move(points));
}

}  // namespace greywright::correct

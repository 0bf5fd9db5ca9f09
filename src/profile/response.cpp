#include "profile/response.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <functional>
#include <optional>
#include <utility>

#include <fmt/format.h>

#include "core/numbers.h"
#include "core/said.h"

namespace greywright::profile {
namespace {

constexpr std::size_t kFewestTones = 11;
constexpr double kSmallestRangeL = 20;
constexpr double kFullCode = 65535;

// The ends of the three-part cube root of CIELAB. Source: ISO/CIE 11664-4:2019, equations 4 to 9.
constexpr double kDelta = 6.0 / 29.0;

double compressed(double ratio) {
    return ratio > kDelta * kDelta * kDelta ? std::cbrt(ratio) : ratio / (3 * kDelta * kDelta) + 4.0 / 29.0;
}

double expanded(double f) {
    return f > kDelta ? f * f * f : 3 * kDelta * kDelta * (f - 4.0 / 29.0);
}

Error refused(std::string code, std::string what, std::string next) {
    return {.kind = ErrorKind::badInput,
            .code = std::move(code),
            .what = std::move(what),
            .next = std::move(next)};
}

std::string percent(double tone) {
    return textFromNumber(tone, 1) + " %";
}

/// What is wrong with the tones alone of readings or of a table.
template <typename Row>
std::optional<Error> flawOfTones(std::span<const Row> rows, const std::string& code,
                                 const std::string& next) {
    if (rows.size() < kFewestTones) {
        return refused(code, said("There are {} tones, and {} are needed", rows.size(), kFewestTones), next);
    }
    for (std::size_t i = 0; i < rows.size(); ++i) {
        if (!std::isfinite(rows[i].tonePercent) ||
            (i > 0 && !(rows[i].tonePercent > rows[i - 1].tonePercent))) {
            return refused("tones-not-ascending", said("Tone number {} is not above the one before", i + 1),
                           said("Give each tone once, from paper to maximum black"));
        }
    }
    if (rows.front().tonePercent != 0) {
        return refused("no-paper",
                       said("The lightest tone is ") + percent(rows.front().tonePercent) + ", not 0 %", next);
    }
    if (rows.back().tonePercent != 100) {
        return refused("no-black",
                       said("The darkest tone is ") + percent(rows.back().tonePercent) + ", not 100 %", next);
    }
    return std::nullopt;
}

bool within(const colour::Lab& lab) {
    return lab.L >= 0 && lab.L <= 100 && std::abs(lab.a) <= 127 && std::abs(lab.b) <= 127;
}

/// The place in 0..100 at which a function that falls has a value.
double whereFalls(const std::function<double(double)>& f, double value) {
    double low = 0;
    double high = 100;
    if (value >= f(low)) return low;
    if (value <= f(high)) return high;
    for (int i = 0; i < 60; ++i) {
        const double middle = (low + high) / 2;
        (f(middle) > value ? low : high) = middle;
    }
    return (low + high) / 2;
}

template <typename Value>
Through over(std::span<const MeasuredTone> tones, const Value& value) {
    std::vector<double> x;
    std::vector<double> y;
    for (const MeasuredTone& tone : tones) {
        x.push_back(tone.tonePercent);
        y.push_back(value(tone.lab));
    }
    return {std::move(x), std::move(y)};
}

}  // namespace

std::array<double, 3> xyzFromLab(const colour::Lab& lab) {
    const double fy = (lab.L + 16) / 116;
    return {kConnectionWhite[0] * expanded(fy + lab.a / 500), kConnectionWhite[1] * expanded(fy),
            kConnectionWhite[2] * expanded(fy - lab.b / 200)};
}

colour::Lab labFromXyz(const std::array<double, 3>& xyz) {
    const double fx = compressed(xyz[0] / kConnectionWhite[0]);
    const double fy = compressed(xyz[1] / kConnectionWhite[1]);
    const double fz = compressed(xyz[2] / kConnectionWhite[2]);
    return {.L = 116 * fy - 16, .a = 500 * (fx - fy), .b = 200 * (fy - fz)};
}

Through::Through(std::vector<double> x, std::vector<double> y)
    : x_(std::move(x)), y_(std::move(y)), slopes_(x_.size(), 0) {
    const auto step = [this](std::size_t i) { return (y_[i + 1] - y_[i]) / (x_[i + 1] - x_[i]); };
    for (std::size_t i = 1; i + 1 < x_.size(); ++i) {
        const double before = step(i - 1);
        const double after = step(i);
        if (before * after <= 0) continue;
        const double alpha = (1 + (x_[i + 1] - x_[i]) / (x_[i + 1] - x_[i - 1])) / 3;
        slopes_[i] = before * after / (alpha * after + (1 - alpha) * before);
    }
    // An end goes on as its neighbour bends, as far as it may without turning.
    const auto end = [](double secant, double neighbour) {
        const double slope = (3 * secant - neighbour) / 2;
        if (slope * secant <= 0) return 0.0;
        return std::abs(slope) > 3 * std::abs(secant) ? 3 * secant : slope;
    };
    slopes_.front() = end(step(0), slopes_[1]);
    slopes_.back() = end(step(x_.size() - 2), slopes_[x_.size() - 2]);
}

double Through::at(double x) const {
    if (x <= x_.front()) return y_.front();
    if (x >= x_.back()) return y_.back();
    const auto after = static_cast<std::size_t>(std::ranges::upper_bound(x_, x) - x_.begin());
    const std::size_t i = after - 1;
    const double h = x_[after] - x_[i];
    const double t = (x - x_[i]) / h;
    const double s = 1 - t;
    return s * s * (1 + 2 * t) * y_[i] + t * t * (3 - 2 * t) * y_[after] +
           h * t * s * (s * slopes_[i] - t * slopes_[after]);
}

Response::Response(std::vector<MeasuredTone> relative, const std::array<double, 3>& paper)
    : relative_(std::move(relative)),
      paper_(paper),
      lightness_(over(relative_, [](const colour::Lab& lab) { return lab.L; })),
      a_(over(relative_, [](const colour::Lab& lab) { return lab.a; })),
      b_(over(relative_, [](const colour::Lab& lab) { return lab.b; })) {}

Result<Response> Response::of(std::span<const MeasuredTone> tones) {
    const std::string again =
        said("Measure a full ramp, from bare paper to maximum black, and make the profile again");
    if (auto flaw = flawOfTones(tones, "too-few-tones", again)) return *std::move(flaw);
    for (const MeasuredTone& tone : tones) {
        if (!within(tone.lab)) {
            return refused(
                "lab-out-of-range",
                said("The colour at ") + percent(tone.tonePercent) + said(" is none that a print can have"),
                said("Look at the readings: L* is 0 to 100, a* and b* are -127 to 127"));
        }
    }
    for (std::size_t i = 1; i < tones.size(); ++i) {
        if (!(tones[i].lab.L < tones[i - 1].lab.L)) {
            return refused("not-monotone",
                           said("The tone of ") + percent(tones[i].tonePercent) +
                               said(" is not darker than that of ") + percent(tones[i - 1].tonePercent),
                           said("Smooth the readings, or find out why the printer turns back there"));
        }
    }
    if (tones.front().lab.L - tones.back().lab.L < kSmallestRangeL) {
        return refused("no-range",
                       said("Paper and black are ") +
                           textFromNumber(tones.front().lab.L - tones.back().lab.L, 1) + " L* apart",
                       again);
    }
    const std::array<double, 3> paper = xyzFromLab(tones.front().lab);
    std::vector<MeasuredTone> relative;
    for (const MeasuredTone& tone : tones) {
        std::array<double, 3> xyz = xyzFromLab(tone.lab);
        for (std::size_t c = 0; c < 3; ++c) xyz[c] *= kConnectionWhite[c] / paper[c];
        relative.push_back({.tonePercent = tone.tonePercent, .lab = labFromXyz(xyz)});
        if (!std::ranges::all_of(paper, [](double value) { return value > 0; }) ||
            !within(relative.back().lab)) {
            return refused("lab-out-of-range",
                           said("The colour at ") + percent(tone.tonePercent) +
                               said(" is none that a print on this paper can have"),
                           said("Look at the readings of the paper"));
        }
    }
    return Response(std::move(relative), paper);
}

colour::Lab Response::relativeAt(double tonePercent) const {
    return {.L = lightness_.at(tonePercent), .a = a_.at(tonePercent), .b = b_.at(tonePercent)};
}

double Response::toneOf(double relativeL) const {
    return whereFalls([this](double tone) { return lightness_.at(tone); }, relativeL);
}

Result<Table> Table::of(std::span<const CodesOfTone> rows) {
    const std::string again = said("Make the table again, from bare paper to maximum black");
    if (auto flaw = flawOfTones(rows, "too-few-rows", again)) return *std::move(flaw);
    for (const CodesOfTone& row : rows) {
        if (!std::ranges::all_of(row.codes, [](double code) { return code >= 0 && code <= kFullCode; })) {
            return refused(
                "codes-out-of-range",
                said("The codes at ") + percent(row.tonePercent) + said(" are not within 0 to 65535"), again);
        }
    }
    const auto sum = [](const CodesOfTone& row) { return row.codes[0] + row.codes[1] + row.codes[2]; };
    for (std::size_t i = 1; i < rows.size(); ++i) {
        if (!(sum(rows[i]) < sum(rows[i - 1]))) {
            return refused("codes-not-falling",
                           said("The codes at ") + percent(rows[i].tonePercent) +
                               said(" add up to no less than at ") + percent(rows[i - 1].tonePercent),
                           again);
        }
    }
    const auto channel = [&rows](std::size_t c) {
        std::vector<double> x;
        std::vector<double> y;
        for (const CodesOfTone& row : rows) {
            x.push_back(row.tonePercent);
            y.push_back(row.codes[c] / kFullCode);
        }
        return Through(std::move(x), std::move(y));
    };
    return Table({channel(0), channel(1), channel(2)});
}

std::array<double, 3> Table::at(double tonePercent) const {
    return {channels_[0].at(tonePercent), channels_[1].at(tonePercent), channels_[2].at(tonePercent)};
}

double Table::toneOfMean(double mean) const {
    return whereFalls(
        [this](double tone) {
            const std::array<double, 3> codes = at(tone);
            return (codes[0] + codes[1] + codes[2]) / 3;
        },
        mean);
}

}  // namespace greywright::profile

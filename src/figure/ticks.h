#pragma once

#include <string>
#include <vector>

namespace greywright::figure {

/// From one value to another. Units: those of the data.
struct Range {
    double low = 0;
    double high = 1;

    [[nodiscard]] double span() const { return high - low; }
    bool operator==(const Range&) const = default;
};

/// Values to mark on an axis, `step` apart.
struct Ticks {
    std::vector<double> at = {};
    double step = 1;
};

/// The smallest of 1, 2 and 5 times a power of ten at which `range` holds no more than `most` ticks.
/// Valid: range.high > range.low, both finite; most >= 2.
[[nodiscard]] double niceStep(Range range, int most);

/// The multiples of `step` within `range`, ends included to a billionth of a step.
/// Valid: step one of those that niceStep gives.
[[nodiscard]] Ticks ticksAt(Range range, double step);

/// Round values within `range`, at most `most` of them and at least two from most = 6 on.
/// Valid: as for niceStep.
[[nodiscard]] Ticks niceTicks(Range range, int most);

/// A range that holds `range`, begins and ends on one of its own nice ticks and is less than two steps wider
/// at either end. A range without width is given one around its value. Valid: range.high >= range.low, both
/// finite; most >= 3.
[[nodiscard]] Range niceRange(Range range, int most);

/// `value` as an axis writes it: just the decimals that `step` calls for, with a true minus sign.
[[nodiscard]] std::string tickText(double value, double step);

}  // namespace greywright::figure

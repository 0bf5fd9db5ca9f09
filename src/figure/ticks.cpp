#include "figure/ticks.h"

#include <algorithm>
#include <cmath>

#include "core/contract.h"
#include "core/numbers.h"

namespace greywright::figure {
namespace {

// A hair of room so that 0.3 / 0.1 counts as 3.
constexpr double kHair = 1e-9;

/// k times the step, without the error that a step such as 0.1 carries: the inverse of a nice step below one
/// is a whole number.
double tickValue(double k, double step) {
    return step < 1 && step > 1e-14 ? k / std::round(1 / step) : k * step;
}

/// The least nice step that is no smaller than `least`.
double stepFrom(double least) {
    for (double exponent = std::floor(std::log10(least)) - 1;; ++exponent) {
        const double power = std::pow(10.0, std::abs(exponent));
        for (const double mantissa : {1.0, 2.0, 5.0}) {
            const double step = exponent < 0 ? mantissa / power : mantissa * power;
            if (step >= least) return step;
        }
    }
}

bool isMultiple(double value, double step) {
    return std::abs(value / step - std::round(value / step)) <= 1e-6;
}

}  // namespace

double niceStep(Range range, int most) {
    expects(std::isfinite(range.span()) && range.high > range.low, "niceStep: a range with a width");
    expects(most >= 2, "niceStep: room for at least two ticks");
    return stepFrom(range.span() / (most - 1) * (1 - kHair));
}

Ticks ticksAt(Range range, double step) {
    Ticks ticks{.step = step};
    const double first = std::ceil(range.low / step - kHair);
    const double last = std::floor(range.high / step + kHair);
    for (double k = first; k <= last && ticks.at.size() < 1000; ++k) {
        ticks.at.push_back(k == 0 ? 0 : tickValue(k, step));
    }
    return ticks;
}

Ticks niceTicks(Range range, int most) {
    return ticksAt(range, niceStep(range, most));
}

Range niceRange(Range range, int most) {
    expects(std::isfinite(range.span()) && range.high >= range.low, "niceRange: a finite range");
    expects(most >= 3, "niceRange: room for at least three ticks");
    // Too narrow for a double to tell its ticks apart counts as no width.
    const double size = std::max(std::abs(range.low), std::abs(range.high));
    if (range.span() <= size * 1e-9) {
        const double half = size > 0 ? size * 0.1 : 1;
        range = {range.low - half, range.high + half};
    }
    for (double step = niceStep(range, most);; step = stepFrom(step * 1.5)) {
        const double low = std::floor(range.low / step + kHair);
        const double high = std::ceil(range.high / step - kHair);
        const Range nice{low == 0 ? 0 : tickValue(low, step), high == 0 ? 0 : tickValue(high, step)};
        // The wider range may call for a wider step, and 5 is no multiple of 2.
        const double own = niceStep(nice, most);
        if (isMultiple(nice.low, own) && isMultiple(nice.high, own)) return nice;
    }
}

std::string tickText(double value, double step) {
    std::string text;
    if (step >= 1e7 || step < 1e-6) {
        text = textFromNumber(value);
    } else {
        const int decimals = std::max(0, static_cast<int>(std::ceil(-std::log10(step) - kHair)));
        text = textFromNumber(value, decimals);
    }
    if (text.starts_with('-')) text.replace(0, 1, "\u2212");
    return text;
}

}  // namespace greywright::figure

#include "measure/lamp_points.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "core/numbers.h"
#include "core/said.h"

namespace greywright::measure {
namespace {

// Beyond these no lamp was ever measured for what people see.
constexpr double kLeastNm = 100;
constexpr double kMostNm = 3000;
constexpr double kLeastMicrometres = 0.2;
constexpr double kMostMicrometres = 3;
constexpr double kMostValue = 1e30;
constexpr std::ptrdiff_t kFewestPoints = 10;

}  // namespace

const char* LampSource::noun() const {
    return wanted == Wanted::lamp ? "lamp" : "transmittance";
}

Error LampSource::refusal(std::string_view fault, std::string what, std::string next, std::size_t line,
                          std::string field) const {
    return source.refusal(fmt::format("{}-{}", noun(), fault), std::move(what), std::move(next), line,
                          std::move(field));
}

std::optional<double> MarkedNumbers::read(std::string_view text) {
    const bool comma = text.find(',') != std::string_view::npos;
    const bool point = text.find('.') != std::string_view::npos;
    if (comma && point) return std::nullopt;
    std::optional<double> number;
    if (comma) {
        std::string pointed(text);
        std::ranges::replace(pointed, ',', '.');
        number = numberFromText(pointed);
    } else {
        number = numberFromText(text);
    }
    if (number) {
        commaSeen_ = commaSeen_ || comma;
        pointSeen_ = pointSeen_ || point;
    }
    return number;
}

Outcome checkMarks(const MarkedNumbers& numbers, const LampSource& source, std::size_t line,
                   std::vector<Note>& notes) {
    if (numbers.isMixed()) {
        return source.source.refusal("mixed-decimal-marks", said("has decimal points and decimal commas"),
                                     said("Export all numbers with the same decimal mark"), line);
    }
    if (numbers.commaSeen()) {
        notes.push_back({"decimal-comma", said("the numbers of this file have decimal commas")});
    }
    return Done{};
}

Outcome inNanometres(SpectralPoints& points, const LampSource& source) {
    const auto isMicrometres = [](double w) { return w >= kLeastMicrometres && w <= kMostMicrometres; };
    if (!points.wavelengths.empty() && std::ranges::all_of(points.wavelengths, isMicrometres)) {
        // To a millionth of a nanometre, so that 0.4 is 400 and nothing beside it.
        for (double& wavelength : points.wavelengths) wavelength = std::round(wavelength * 1e9) / 1e6;
        points.notes.push_back({"wavelengths-micrometres",
                                said("the wavelengths are in micrometres; they were turned into nm")});
        return Done{};
    }
    for (std::size_t i = 0; i < points.wavelengths.size(); ++i) {
        if (points.wavelengths[i] >= kLeastNm && points.wavelengths[i] <= kMostNm) continue;
        return source.refusal("wavelength-unit",
                              said("{:.6g} is no wavelength in nanometres, nor are all of them in "
                                   "micrometres",
                                   points.wavelengths[i]),
                              said("Give the wavelengths in nm, in the first column"), points.lineOf(i),
                              "wavelength");
    }
    return Done{};
}

Outcome checkPoints(const SpectralPoints& points, const LampSource& source) {
    const auto& nm = points.wavelengths;
    for (std::size_t i = 0; i < nm.size(); ++i) {
        if (!std::isfinite(nm[i]) || (i > 0 && !(nm[i] > nm[i - 1]))) {
            return source.refusal(
                "wavelengths-not-increasing",
                i > 0 && nm[i] == nm[i - 1]
                    ? said("gives {:.6g} nm twice", nm[i])
                    : said("goes from {:.6g} nm to {:.6g} nm", nm[i > 0 ? i - 1 : 0], nm[i]),
                said("Give every wavelength once, in ascending order"), points.lineOf(i), "wavelength");
        }
        if (!(std::abs(points.values[i]) <= kMostValue)) {
            return source.refusal(
                "value-out-of-range",
                said("the value {:.6g} at {:.6g} nm is beyond all measure", points.values[i], nm[i]),
                said("Correct the value or export it again"), points.lineOf(i));
        }
    }
    const auto visible = std::ranges::count_if(nm, [](double w) { return w >= 400 && w <= 700; });
    if (visible < kFewestPoints) {
        return source.refusal("too-few-points", said("has {} points between 400 and 700 nm", visible),
                              said("Export the whole spectrum, at least {} points there, better one "
                                   "every 5 nm or finer",
                                   kFewestPoints),
                              points.lineOf(0));
    }
    if (const Gap gap = largestGap(points); gap.nm > points.largestGapNm) {
        return source.refusal(
            "gap", said("has nothing between {:.6g} and {:.6g} nm", nm[gap.index - 1], nm[gap.index]),
            said("Export the spectrum without gaps of more than {:.6g} nm", points.largestGapNm),
            points.lineOf(gap.index), "wavelength");
    }
    return Done{};
}

double valueAt(const SpectralPoints& points, double nm) {
    const auto& w = points.wavelengths;
    const auto upper = static_cast<std::size_t>(std::ranges::upper_bound(w, nm) - w.begin());
    if (upper == 0) return points.values.front();
    if (upper == w.size()) return points.values.back();
    const double share = (nm - w[upper - 1]) / (w[upper] - w[upper - 1]);
    return points.values[upper - 1] + share * (points.values[upper] - points.values[upper - 1]);
}

Gap largestGap(const SpectralPoints& points) {
    Gap gap;
    const auto& nm = points.wavelengths;
    for (std::size_t i = 1; i < nm.size(); ++i) {
        const double distance = nm[i] - nm[i - 1];
        if (nm[i] > 400 && nm[i - 1] < 700 && distance > gap.nm) gap = {distance, i};
    }
    return gap;
}

}  // namespace greywright::measure

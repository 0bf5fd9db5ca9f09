#include "judge/compare.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "core/said.h"
#include "judge/thresholds.h"

namespace greywright::judge {
namespace {

bool isComparable(const Candidate& candidate) {
    const ToneVerdict& tone = candidate.verdict.tone;
    return tone.worstDepartureL.has_value() && (tone.monotone.has_value() || tone.cannotTell);
}

/// Where it cannot be told, nothing is held against a ramp.
bool runsDown(const ToneVerdict& tone) {
    return tone.monotone.value_or(true);
}

/// The least difference in departure that can be told: by the eye, and by what was measured.
double tellable(const ToneVerdict& one, const ToneVerdict& other) {
    return kJustPerceptibleDeltaE00 + k90 * std::hypot(one.departureError, other.departureError);
}

std::string quoted(std::span<const Candidate> candidates, std::span<const std::size_t> indices) {
    std::vector<std::string> names;
    for (const std::size_t i : indices) names.push_back(candidates[i].name);
    if (names.size() < 2) return names.empty() ? "" : names.front();
    return said("{} and {}", fmt::join(names.begin(), names.end() - 1, ", "), names.back());
}

}  // namespace

std::optional<std::size_t> Comparison::preferred() const {
    if (mostEven.size() != 1) return std::nullopt;
    return mostEven.front();
}

Comparison compareTone(std::span<const Candidate> candidates) {
    Comparison out;
    std::vector<std::size_t> order;
    for (std::size_t i = 0; i < candidates.size(); ++i) {
        (isComparable(candidates[i]) ? order : out.notComparable).push_back(i);
    }
    if (order.empty()) {
        out.words = said(
            "None of the ramps has paper, maximum black and tones between, so evenness cannot be compared.");
        return out;
    }
    const auto tone = [&](std::size_t i) -> const ToneVerdict& { return candidates[i].verdict.tone; };
    std::ranges::stable_sort(order, [&](std::size_t one, std::size_t other) {
        if (runsDown(tone(one)) != runsDown(tone(other))) return runsDown(tone(one));
        return tone(one).worstDepartureSeen < tone(other).worstDepartureSeen;
    });
    const ToneVerdict& best = tone(order.front());
    std::vector<std::size_t> rest;
    for (const std::size_t i : order) {
        const bool alike = runsDown(tone(i)) == runsDown(best) &&
                           tone(i).worstDepartureSeen - best.worstDepartureSeen < tellable(tone(i), best);
        (alike ? out.mostEven : rest).push_back(i);
    }
    const std::string names = quoted(candidates, out.mostEven);
    if (rest.empty()) {
        out.words = order.size() == 1 ? said("Only {} can be judged for evenness.", names)
                                      : said("No difference in evenness between {} that can be told.", names);
    } else if (out.mostEven.size() == 1) {
        out.words = said(
            "{} has the most even tone: at most {:.1f} L* from the straight line, against {:.1f} for {}.",
            names, *best.worstDepartureL, *tone(rest.front()).worstDepartureL, candidates[rest.front()].name);
    } else {
        out.words =
            said("{} have the most even tone, with no difference between them that can be told.", names);
    }
    return out;
}

}  // namespace greywright::judge

#include "judge/tone.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "colour/difference.h"
#include "core/said.h"
#include "judge/thresholds.h"
#include "measure/strip_order.h"

namespace greywright::judge {
namespace {

using colour::Lab;

/// A difference in lightness alone, as CIEDE2000 weighs it.
double seenL(double one, double other) {
    return colour::deltaE2000({one, 0, 0}, {other, 0, 0});
}

Lab between(const PatchVerdict& one, const PatchVerdict& other, double share) {
    const auto mix = [&](double x, double y) { return x + (y - x) * share; };
    return {mix(one.lab.L, other.lab.L), mix(one.lab.a, other.lab.a), mix(one.lab.b, other.lab.b)};
}

/// L* at a tone, interpolated between neighbours that are near enough.
std::optional<double> lightnessAt(const std::vector<PatchVerdict>& patches, double tonePercent) {
    for (std::size_t i = 1; i < patches.size(); ++i) {
        const PatchVerdict& from = patches[i - 1];
        const PatchVerdict& to = patches[i];
        if (tonePercent < from.tonePercent || tonePercent > to.tonePercent) continue;
        const double gap = to.tonePercent - from.tonePercent;
        if (gap > kWidestGapPercent || gap <= 0) return std::nullopt;
        return between(from, to, (tonePercent - from.tonePercent) / gap).L;
    }
    return std::nullopt;
}

std::optional<double> firstVisibleTone(const std::vector<PatchVerdict>& patches, const Lab& paper,
                                       double visible) {
    for (std::size_t i = 1; i < patches.size(); ++i) {
        const PatchVerdict& from = patches[i - 1];
        const PatchVerdict& to = patches[i];
        if (colour::deltaE2000(to.lab, paper) < visible) continue;
        if (to.tonePercent - from.tonePercent > kWidestGapPercent) return std::nullopt;
        double low = 0;
        double high = 1;
        for (int halving = 0; halving < 40; ++halving) {
            const double middle = (low + high) / 2;
            const bool seen = colour::deltaE2000(between(from, to, middle), paper) >= visible;
            (seen ? high : low) = middle;
        }
        return from.tonePercent + (to.tonePercent - from.tonePercent) * high;
    }
    return std::nullopt;
}

/// How far 90 % intervals reach to either side, from the error of one tone: of a difference of two, and of a
/// tone against the mean of its neighbours.
struct Margins {
    explicit Margins(double own)
        : difference(k90 * std::sqrt(2.0) * own), local(k90 * std::sqrt(1.5) * own) {}
    double difference;
    double local;
};

/// The largest rise of L* from any tone to any darker one; negative where every one is darker.
double highestRise(const std::vector<PatchVerdict>& patches) {
    double darkest = patches.front().lab.L;
    double highest = -std::numeric_limits<double>::infinity();
    for (std::size_t i = 1; i < patches.size(); ++i) {
        highest = std::max(highest, patches[i].lab.L - darkest);
        darkest = std::min(darkest, patches[i].lab.L);
    }
    return highest;
}

// Bounds on the first visible tone farther apart than this do not say which it is (our choice).
constexpr double kWidestFirstPercent = 2;

struct Failing {
    double tonePercent = 0;
    double over = 0;  // times the threshold
};

/// The tone that breaks out of the line between its neighbours the most, as a multiple of what can be told.
Failing worstLocal(const std::vector<PatchVerdict>& patches) {
    Failing out;
    for (std::size_t i = 1; i + 1 < patches.size(); ++i) {
        const PatchVerdict& before = patches[i - 1];
        const PatchVerdict& after = patches[i + 1];
        const double gap = after.tonePercent - before.tonePercent;
        if (gap > kWidestGapPercent || gap <= 0) continue;
        const double expected = between(before, after, (patches[i].tonePercent - before.tonePercent) / gap).L;
        const double over = seenL(patches[i].lab.L, expected) / kLocalDeparture;
        if (over > out.over) out = {patches[i].tonePercent, over};
    }
    return out;
}

std::string courseOf(const ToneVerdict& tone, const Lab& paper, const Lab& black) {
    const std::string text = said("L* runs from {:.1f} to {:.1f}", paper.L, black.L);
    if (!tone.monotone.value_or(true))
        return text + said(", with a place where a darker tone prints lighter.");
    if (tone.cannotTell && !tone.even) return text + said("; how evenly cannot be told from this reading.");
    if (!tone.even) return text + ".";
    if (*tone.even) return text + said(", evenly as far as the eye can tell.");
    if (tone.worstDepartureSeen - k90 * tone.departureError > kBroadDeparture) {
        return text + said(", but not evenly: at {:.0f} % it is {:.1f} too {}.",
                           tone.worstDepartureTonePercent, *tone.worstDepartureL,
                           tone.worstDepartureIsLighter ? said("light") : said("dark"));
    }
    return text + said(", with a step at {:.0f} %.", *tone.unevenAtTonePercent);
}

std::string wordsOf(const ToneVerdict& tone, const std::optional<Lab>& paper, const std::optional<Lab>& black,
                    double own) {
    std::vector<std::string> sentences;
    if (paper && black) {
        sentences.push_back(courseOf(tone, *paper, *black));
    } else if (!tone.monotone.value_or(true)) {
        sentences.emplace_back(said("Somewhere a darker tone prints lighter."));
    }
    if (tone.firstVisibleTonePercent) {
        sentences.push_back(said("The first tone to show is {:.1f} %.", *tone.firstVisibleTonePercent));
    }
    const auto open = [&](double separation) {
        return separation > 0 && seenL(black->L + separation, black->L) >= kJustPerceptibleDeltaE00;
    };
    const double doubt = Margins(own).difference;
    if (tone.shadowSeparationL && black &&
        open(*tone.shadowSeparationL - doubt) == open(*tone.shadowSeparationL + doubt)) {
        sentences.emplace_back(open(*tone.shadowSeparationL) ? said("The shadows are open.")
                                                             : said("The deepest shadows run together."));
    }
    if (sentences.empty()) return said("Too little was measured to speak of tone.");
    return fmt::format("{}", fmt::join(sentences, " "));
}

}  // namespace

double straightL(const Lab& paper, const Lab& black, double tonePercent) {
    return paper.L + (black.L - paper.L) * tonePercent / 100;
}

ToneVerdict toneOf(const std::vector<PatchVerdict>& patches, const std::optional<Lab>& paper,
                   const std::optional<Lab>& black, double own) {
    const Margins margin(own);
    ToneVerdict out;
    if (patches.size() > 1) {
        std::vector<measure::ToneAndLightness> rising;
        rising.reserve(patches.size());
        for (const PatchVerdict& patch : patches) rising.push_back({patch.tonePercent, patch.lab.L});
        out.monotone =
            measure::largestRise(std::move(rising)).lightness - margin.difference <= kRepeatabilityL;
        if (own > 0 && *out.monotone && highestRise(patches) + margin.difference > kRepeatabilityL) {
            out.monotone.reset();
            out.cannotTell = true;
        }
    }
    if (paper) {
        out.firstVisibleTonePercent = firstVisibleTone(patches, *paper, kJustPerceptibleDeltaE00);
        if (own > 0 && out.firstVisibleTonePercent) {
            const auto bound = [&](double side) {
                return firstVisibleTone(patches, *paper, kJustPerceptibleDeltaE00 + side * margin.difference);
            };
            const auto low = bound(-1), high = bound(1);
            if (!low || !high || *high - *low > kWidestFirstPercent) out.firstVisibleTonePercent.reset();
        }
    }
    if (black) {
        if (const auto at95 = lightnessAt(patches, 95); at95) out.shadowSeparationL = *at95 - black->L;
    }
    if (paper && black && patches.size() > 2) {
        double worst = 0;
        double broadTone = 0;
        for (const PatchVerdict& patch : patches) {
            const double straight = straightL(*paper, *black, patch.tonePercent);
            const double departure = patch.lab.L - straight;
            if (std::abs(departure) > worst) {
                worst = std::abs(departure);
                out.worstDepartureTonePercent = patch.tonePercent;
                out.worstDepartureIsLighter = departure > 0;
            }
            if (const double seen = seenL(patch.lab.L, straight); seen > out.worstDepartureSeen) {
                out.worstDepartureSeen = seen;
                broadTone = patch.tonePercent;
            }
        }
        out.worstDepartureL = worst;
        out.departureError = std::sqrt(2.0) * own;
        const Failing local = worstLocal(patches);
        const double localDoubt = margin.local / kLocalDeparture;
        if (out.worstDepartureSeen - margin.difference > kBroadDeparture) {
            out.unevenAtTonePercent = broadTone;
        } else if (local.over - localDoubt > 1) {
            out.unevenAtTonePercent = local.tonePercent;
        }
        const bool mayBeUneven = out.worstDepartureSeen + margin.difference > kBroadDeparture ||
                                 local.over + localDoubt > 1 || !out.monotone;
        if (out.unevenAtTonePercent || (out.monotone && !*out.monotone)) {
            if (patches.size() >= kFewestTones || out.unevenAtTonePercent) out.even = false;
        } else if (patches.size() >= kFewestTones) {
            if (own > 0 && mayBeUneven) {
                out.cannotTell = true;
            } else {
                out.even = true;
            }
        }
    }
    out.words = wordsOf(out, paper, black, own);
    return out;
}

}  // namespace greywright::judge

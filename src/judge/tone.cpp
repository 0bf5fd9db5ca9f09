#include "judge/tone.h"

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "colour/difference.h"
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

std::optional<double> firstVisibleTone(const std::vector<PatchVerdict>& patches, const Lab& paper) {
    for (std::size_t i = 1; i < patches.size(); ++i) {
        const PatchVerdict& from = patches[i - 1];
        const PatchVerdict& to = patches[i];
        if (colour::deltaE2000(to.lab, paper) < kJustPerceptibleDeltaE00) continue;
        if (to.tonePercent - from.tonePercent > kWidestGapPercent) return std::nullopt;
        double low = 0;
        double high = 1;
        for (int halving = 0; halving < 40; ++halving) {
            const double middle = (low + high) / 2;
            const bool seen =
                colour::deltaE2000(between(from, to, middle), paper) >= kJustPerceptibleDeltaE00;
            (seen ? high : low) = middle;
        }
        return from.tonePercent + (to.tonePercent - from.tonePercent) * high;
    }
    return std::nullopt;
}

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
    const std::string text = fmt::format("L* runs from {:.1f} to {:.1f}", paper.L, black.L);
    if (!tone.monotone.value_or(true)) return text + ", with a place where a darker tone prints lighter.";
    if (!tone.even) return text + ".";
    if (*tone.even) return text + ", evenly as far as the eye can tell.";
    if (tone.worstDepartureSeen > kBroadDeparture) {
        return text + fmt::format(", but not evenly: at {:.0f} % it is {:.1f} too {}.",
                                  tone.worstDepartureTonePercent, *tone.worstDepartureL,
                                  tone.worstDepartureIsLighter ? "light" : "dark");
    }
    return text + fmt::format(", with a step at {:.0f} %.", *tone.unevenAtTonePercent);
}

std::string wordsOf(const ToneVerdict& tone, const std::optional<Lab>& paper,
                    const std::optional<Lab>& black) {
    std::vector<std::string> sentences;
    if (paper && black) {
        sentences.push_back(courseOf(tone, *paper, *black));
    } else if (!tone.monotone.value_or(true)) {
        sentences.emplace_back("Somewhere a darker tone prints lighter.");
    }
    if (tone.firstVisibleTonePercent) {
        sentences.push_back(
            fmt::format("The first tone to show is {:.1f} %.", *tone.firstVisibleTonePercent));
    }
    if (tone.shadowSeparationL && black) {
        const bool open = *tone.shadowSeparationL > 0 &&
                          seenL(black->L + *tone.shadowSeparationL, black->L) >= kJustPerceptibleDeltaE00;
        sentences.emplace_back(open ? "The shadows are open." : "The deepest shadows run together.");
    }
    if (sentences.empty()) return "Too little was measured to speak of tone.";
    return fmt::format("{}", fmt::join(sentences, " "));
}

}  // namespace

double straightL(const Lab& paper, const Lab& black, double tonePercent) {
    return paper.L + (black.L - paper.L) * tonePercent / 100;
}

ToneVerdict toneOf(const std::vector<PatchVerdict>& patches, const std::optional<Lab>& paper,
                   const std::optional<Lab>& black) {
    ToneVerdict out;
    if (patches.size() > 1) {
        std::vector<measure::ToneAndLightness> rising;
        rising.reserve(patches.size());
        for (const PatchVerdict& patch : patches) rising.push_back({patch.tonePercent, patch.lab.L});
        out.monotone = measure::largestRise(std::move(rising)).lightness <= kRepeatabilityL;
    }
    if (paper) out.firstVisibleTonePercent = firstVisibleTone(patches, *paper);
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
        const Failing local = worstLocal(patches);
        if (out.worstDepartureSeen > kBroadDeparture) {
            out.unevenAtTonePercent = broadTone;
        } else if (local.over > 1) {
            out.unevenAtTonePercent = local.tonePercent;
        }
        if (patches.size() >= kFewestTones || out.unevenAtTonePercent) {
            out.even = *out.monotone && !out.unevenAtTonePercent;
        }
    }
    out.words = wordsOf(out, paper, black);
    return out;
}

}  // namespace greywright::judge

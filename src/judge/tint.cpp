#include "judge/tint.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <string_view>

#include <fmt/format.h>

#include "colour/words.h"
#include "core/contract.h"
#include "core/said.h"
#include "judge/thresholds.h"

namespace greywright::judge {
namespace {

using colour::Tint;

double length(const Tint& tint) {
    return std::hypot(tint.a, tint.b);
}

const char* zoneName(double tonePercent) {
    if (tonePercent < kHighlightsEndPercent) return toSay("highlights");
    return tonePercent < kShadowsBeginPercent ? toSay("mid-tones") : toSay("shadows");
}

// 90 % of draws of two equal normal deviates lie within so many standard deviations (Rayleigh's
// distribution).
constexpr double kRadiusOf90 = 2.146;

/// A zone, and within which radius 90 % of its errors lie: what it does not share with others, and all.
struct Zone {
    ZoneVerdict verdict;
    double ownRadius = 0;
    double radius = 0;
};

std::vector<Zone> zonesOf(const std::vector<PatchVerdict>& patches, const Doubt& doubt) {
    std::vector<Zone> out;
    double count = 0;
    for (const PatchVerdict& patch : patches) {
        if (patch.tonePercent < kPalestJudgedTonePercent) continue;
        if (out.empty() || out.back().verdict.name != zoneName(patch.tonePercent)) {
            out.push_back({.verdict = {.name = std::string(zoneName(patch.tonePercent))}});
            count = 0;
        }
        ZoneVerdict& zone = out.back().verdict;
        const Tint here = deviation(patch);
        zone.tint.a = (zone.tint.a * count + here.a) / (count + 1);
        zone.tint.b = (zone.tint.b * count + here.b) / (count + 1);
        zone.worstDeltaE00 = std::max(zone.worstDeltaE00, patch.deltaE00);
        count += 1;
        out.back().ownRadius = kRadiusOf90 * doubt.tones.own / std::sqrt(count);
        out.back().radius = std::hypot(out.back().ownRadius, kRadiusOf90 * doubt.tones.shared);
    }
    for (auto& [zone, ownRadius, radius] : out) {
        if (radius > kZoneNoiseDeltaCh && length(zone.tint) < radius) {
            zone.words = said("not to be told");
            continue;
        }
        zone.words = length(zone.tint) < kZoneNoiseDeltaCh ? said("neutral")
                                                           : said("towards {}", colour::tintName(zone.tint));
    }
    return out;
}

double degreesBetween(const Tint& one, const Tint& other) {
    const double angle = std::atan2(one.a * other.b - one.b * other.a, one.a * other.a + one.b * other.b);
    return std::abs(angle) * 180 / std::numbers::pi;
}

/// Both zones have a direction of their own, and the two differ by more than one word and more than can be
/// told.
bool turnsBetween(const Zone& from, const Zone& to) {
    const ZoneVerdict& one = from.verdict;
    const ZoneVerdict& other = to.verdict;
    if (length(one.tint) < std::max(kZoneNoiseDeltaCh, from.radius)) return false;
    if (length(other.tint) < std::max(kZoneNoiseDeltaCh, to.radius)) return false;
    const double apart = std::hypot(one.tint.a - other.tint.a, one.tint.b - other.tint.b);
    const double sure = apart - std::hypot(from.ownRadius, to.ownRadius);
    return sure > kTurnDeltaCh && degreesBetween(one.tint, other.tint) > kTurnDegrees &&
           colour::tintName(one.tint) != colour::tintName(other.tint);
}

}  // namespace

Tint deviation(const PatchVerdict& patch) {
    return {patch.lab.a - patch.aim.a, patch.lab.b - patch.aim.b};
}

const PatchVerdict& worstPatch(const std::vector<PatchVerdict>& patches) {
    const PatchVerdict* worst = nullptr;
    for (const PatchVerdict& patch : patches) {
        if (patch.tonePercent < kPalestJudgedTonePercent) continue;
        if (worst == nullptr || patch.deltaE00 > worst->deltaE00) worst = &patch;
    }
    expects(worst != nullptr, "a tint needs a tone of 5 % and more");
    return *worst;
}

TintVerdict tintOf(const std::vector<PatchVerdict>& patches, const Doubt& doubt,
                   const std::optional<Interval>& interval) {
    const PatchVerdict& worst = worstPatch(patches);
    const std::vector<Zone> zones = zonesOf(patches, doubt);
    TintVerdict out{.level = levelFromDeltaE00(worst.deltaE00),
                    .worstDeltaE00 = worst.deltaE00,
                    .worstTonePercent = worst.tonePercent,
                    .worst = deviation(worst),
                    .direction = "none"};
    const ZoneVerdict* from = nullptr;
    const ZoneVerdict* to = nullptr;
    double widest = 0;
    for (std::size_t i = 0; i < zones.size(); ++i) {
        out.zones.push_back(zones[i].verdict);
        for (std::size_t j = i + 1; j < zones.size(); ++j) {
            const ZoneVerdict& one = zones[i].verdict;
            const ZoneVerdict& other = zones[j].verdict;
            const double apart = std::hypot(one.tint.a - other.tint.a, one.tint.b - other.tint.b);
            out.turnDeltaCh = std::max(out.turnDeltaCh, apart);
            if (turnsBetween(zones[i], zones[j]) && apart > widest) {
                widest = apart;
                from = &one;
                to = &other;
            }
        }
    }
    if (interval) {
        out.worstDeltaE00Low = interval->low;
        out.worstDeltaE00High = interval->high;
        out.level = levelWithin(worst.deltaE00, *interval);
        if (out.level == TintLevel::unknown) out.direction = "unknown";
    }
    if (out.level == TintLevel::none || out.level == TintLevel::unknown) return out;
    const std::string name = colour::tintName(out.worst);
    out.turns = from != nullptr;
    if (out.turns) {
        out.direction =
            said("towards {} in the {}, {} in the {}", colour::tintName(from->tint),
                 translated(from->name.c_str()), colour::tintName(to->tint), translated(to->name.c_str()));
        out.advice = said("One setting cannot answer both ends: the tint turns along the ramp.");
    } else {
        out.direction = said("towards {}", name);
        out.advice =
            said("A push towards {} would lessen it.", colour::tintName({-out.worst.a, -out.worst.b}));
    }
    return out;
}

std::string sentenceOf(const TintVerdict& tint) {
    const std::string range = tint.worstDeltaE00High
                                  ? said(", between {:.1f} and {:.1f} with a chance of 90 %",
                                         *tint.worstDeltaE00Low, *tint.worstDeltaE00High)
                                  : std::string();
    if (tint.level == TintLevel::unknown) {
        return said(
            "Whether there is a tint to see cannot be told from this reading ({:.1f} from the aim under D50 "
            "at "
            "{:.0f} %{}).",
            tint.worstDeltaE00, tint.worstTonePercent, range);
    }
    if (tint.level == TintLevel::none) {
        return said(
            "Under D50 no tint that anybody is likely to see on a wall (at most {:.1f} from the aim, at "
            "{:.0f} %{}).",
            tint.worstDeltaE00, tint.worstTonePercent, range);
    }
    return said("{} {}, strongest at {:.0f} % ({:.1f} from the aim under D50{}).",
                tint.level == TintLevel::plain ? said("A plain tint") : said("A slight tint"), tint.direction,
                tint.worstTonePercent, tint.worstDeltaE00, range);
}

}  // namespace greywright::judge

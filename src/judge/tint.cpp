#include "judge/tint.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <string_view>

#include <fmt/format.h>

#include "colour/words.h"
#include "core/contract.h"
#include "judge/thresholds.h"

namespace greywright::judge {
namespace {

using colour::Tint;

double length(const Tint& tint) {
    return std::hypot(tint.a, tint.b);
}

std::string_view zoneName(double tonePercent) {
    if (tonePercent < kHighlightsEndPercent) return "highlights";
    return tonePercent < kShadowsBeginPercent ? "mid-tones" : "shadows";
}

std::vector<ZoneVerdict> zonesOf(const std::vector<PatchVerdict>& patches) {
    std::vector<ZoneVerdict> out;
    double count = 0;
    for (const PatchVerdict& patch : patches) {
        if (patch.tonePercent < kPalestJudgedTonePercent) continue;
        if (out.empty() || out.back().name != zoneName(patch.tonePercent)) {
            out.push_back({.name = std::string(zoneName(patch.tonePercent))});
            count = 0;
        }
        ZoneVerdict& zone = out.back();
        const Tint here = deviation(patch);
        zone.tint.a = (zone.tint.a * count + here.a) / (count + 1);
        zone.tint.b = (zone.tint.b * count + here.b) / (count + 1);
        zone.worstDeltaE00 = std::max(zone.worstDeltaE00, patch.deltaE00);
        count += 1;
    }
    for (ZoneVerdict& zone : out) {
        zone.words = length(zone.tint) < kZoneNoiseDeltaCh
                         ? "neutral"
                         : fmt::format("towards {}", colour::tintName(zone.tint));
    }
    return out;
}

double degreesBetween(const Tint& one, const Tint& other) {
    const double angle = std::atan2(one.a * other.b - one.b * other.a, one.a * other.a + one.b * other.b);
    return std::abs(angle) * 180 / std::numbers::pi;
}

/// Both zones have a direction of their own, and the two differ by more than one word and more than can be
/// told.
bool turnsBetween(const ZoneVerdict& one, const ZoneVerdict& other) {
    if (length(one.tint) < kZoneNoiseDeltaCh || length(other.tint) < kZoneNoiseDeltaCh) return false;
    const double apart = std::hypot(one.tint.a - other.tint.a, one.tint.b - other.tint.b);
    return apart > kTurnDeltaCh && degreesBetween(one.tint, other.tint) > kTurnDegrees &&
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

TintVerdict tintOf(const std::vector<PatchVerdict>& patches) {
    const PatchVerdict& worst = worstPatch(patches);
    TintVerdict out{.level = levelFromDeltaE00(worst.deltaE00),
                    .worstDeltaE00 = worst.deltaE00,
                    .worstTonePercent = worst.tonePercent,
                    .worst = deviation(worst),
                    .direction = "none",
                    .zones = zonesOf(patches)};
    const ZoneVerdict* from = nullptr;
    const ZoneVerdict* to = nullptr;
    double widest = 0;
    for (std::size_t i = 0; i < out.zones.size(); ++i) {
        for (std::size_t j = i + 1; j < out.zones.size(); ++j) {
            const ZoneVerdict& one = out.zones[i];
            const ZoneVerdict& other = out.zones[j];
            const double apart = std::hypot(one.tint.a - other.tint.a, one.tint.b - other.tint.b);
            out.turnDeltaCh = std::max(out.turnDeltaCh, apart);
            if (turnsBetween(one, other) && apart > widest) {
                widest = apart;
                from = &one;
                to = &other;
            }
        }
    }
    if (out.level == TintLevel::none) return out;
    const std::string_view name = colour::tintName(out.worst);
    out.turns = from != nullptr;
    if (out.turns) {
        out.direction = fmt::format("towards {} in the {}, {} in the {}", colour::tintName(from->tint),
                                    from->name, colour::tintName(to->tint), to->name);
        out.advice = "One setting cannot answer both ends: the tint turns along the ramp.";
    } else {
        out.direction = fmt::format("towards {}", name);
        out.advice =
            fmt::format("A push towards {} would lessen it.", colour::tintName({-out.worst.a, -out.worst.b}));
    }
    return out;
}

std::string sentenceOf(const TintVerdict& tint) {
    if (tint.level == TintLevel::none) {
        return fmt::format(
            "No tint that anybody is likely to see on a wall (under D50 at most {:.1f} from the aim, at "
            "{:.0f} %).",
            tint.worstDeltaE00, tint.worstTonePercent);
    }
    return fmt::format("{} {}, strongest at {:.0f} % ({:.1f} from the aim under D50).",
                       tint.level == TintLevel::plain ? "A plain tint" : "A slight tint", tint.direction,
                       tint.worstTonePercent, tint.worstDeltaE00);
}

}  // namespace greywright::judge

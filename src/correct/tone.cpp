#include "correct/tone.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "colour/difference.h"
#include "core/contract.h"
#include "core/said.h"
#include "correct/monotone.h"
#include "measure/strip_order.h"

namespace greywright::correct {
namespace {

// Repeatability expected of a patch's L*, and worth how many readings that expectation is (common practice:
// 0.1 to 0.2); a stated one is worth more.
constexpr double kUsualNoiseL = 0.12;
constexpr double kUsualWeight = 8;
constexpr double kStatedWeight = 40;

// A rise of L* towards darker tones up to this is instrument and print (as in judging), and so is one up to
// so many standard deviations of a difference: one in 15,000 pairs. Units: L*.
constexpr double kLeastRiseL = 0.3;
constexpr double kRiseDeviations = 4;

// Paper and black nearer than this are no ramp (our choice). Units: L*.
constexpr double kLeastRangeL = 20;

// 90 % of normal deviates lie within so many standard deviations.
constexpr double k90 = 1.645;

// The weight of roughness is itself found from the readings: without this the band held the truth of
// simulated ramps (seeds other than those of the tests) in 86 %.
constexpr double kWiden = 1.15;

constexpr int kCurveSteps = 200;

Error refusal(std::string code, std::string what, std::string next) {
    return {.kind = ErrorKind::badInput,
            .code = std::move(code),
            .what = std::move(what),
            .where = {.field = "tone"},
            .next = std::move(next)};
}

Outcome checkTones(const measure::Ramp& ramp) {
    const auto& patches = ramp.patches;
    if (patches.size() < kFewestTones) {
        return refusal("too-few-tones", said("the ramp has {} tones", patches.size()),
                       said("Measure {} tones or more from paper to maximum black", kFewestTones));
    }
    if (patches.front().tonePercent > 0)
        return refusal("no-paper", said("the ramp has no bare paper"),
                       said("Measure the paper too, as tone 0"));
    if (patches.back().tonePercent < 100) {
        return refusal(
            "no-black",
            said("the ramp ends at {:g} % and never reaches maximum black", patches.back().tonePercent),
            said("Measure maximum black too, as tone 100"));
    }
    for (std::size_t i = 1; i < patches.size(); ++i) {
        if (patches[i].tonePercent - patches[i - 1].tonePercent <= kWidestGapPercent) continue;
        return refusal("tones-too-far-apart",
                       said("nothing was measured between {:g} and {:g} %", patches[i - 1].tonePercent,
                            patches[i].tonePercent),
                       said("Measure a tone every {:g} % or closer", kWidestGapPercent));
    }
    return Done{};
}

Outcome checkLightness(const measure::Ramp& ramp, double noise) {
    const double range = ramp.patches.front().lab.L - ramp.patches.back().lab.L;
    if (!(range >= kLeastRangeL)) {
        return refusal("no-range", said("black is only {:.1f} L* below paper", range),
                       said("See whether the right file was read and ink was printed"));
    }
    std::vector<measure::ToneAndLightness> tones;
    for (const auto& patch : ramp.patches) tones.push_back({patch.tonePercent, patch.lab.L});
    const measure::Rise rise = measure::largestRise(std::move(tones));
    if (rise.lightness > std::max(kLeastRiseL, kRiseDeviations * std::sqrt(2.0) * noise)) {
        return refusal(
            "not-monotone",
            said("L* rises by {:.2f} from {:g} to {:g} %, more than noise explains", rise.lightness,
                 rise.fromTonePercent, rise.toTonePercent),
            said("Measure again; see whether patches were exchanged or the printer lays too much ink"));
    }
    return Done{};
}

/// Lightness over the tones asked of the latest round's curve, as shares.
Result<FallingFit> fitted(std::span<const Round> rounds, const CurveOptions& options) {
    expects(!rounds.empty(), "a curve needs a round");
    const auto& uncertainty = rounds.back().ramp.uncertainty;
    const double stated = options.repeatabilityL.value_or(uncertainty ? uncertainty->own : 0);
    const double noise = stated > 0 ? stated : kUsualNoiseL;
    std::vector<double> x;
    std::vector<double> y;
    for (std::size_t i = 0; i < rounds.size(); ++i) {
        const auto& [through, ramp] = rounds[i];
        if (auto sound = checkTones(ramp); !sound) return std::move(sound).error();
        if (auto sound = checkLightness(ramp, noise); !sound) return std::move(sound).error();
        for (const auto& patch : ramp.patches) {
            const bool latest = i + 1 == rounds.size();
            const double tone = latest ? patch.tonePercent
                                       : rounds.back().through.toneThatSends(through.at(patch.tonePercent));
            x.push_back(tone / 100);
            y.push_back(patch.lab.L);
        }
    }
    return fitFalling(x, y, noise, stated > 0 ? kStatedWeight : kUsualWeight);
}

double seenL(double one, double other) {
    return colour::deltaE2000({one, 0, 0}, {other, 0, 0});
}

/// The fit against the aim between the fit's own ends.
class Against {
  public:
    Against(const FallingFit& fit, const ToneAim& aim) : fit_(fit), aim_(aim) {}

    [[nodiscard]] double aimL(double x) const { return aim_.lightnessAt(100 * x, fit_.at(0), fit_.at(1)); }
    [[nodiscard]] double off(double x) const { return fit_.at(x) - aimL(x); }

    [[nodiscard]] Departure worst() const {
        Departure out;
        for (int i = 0; i <= 100; ++i) {
            if (const double here = off(i / 100.0); std::abs(here) > std::abs(out.L))
                out = {here, static_cast<double>(i)};
        }
        return out;
    }

    /// Whether anybody could see the departure, broadly or beside its neighbours.
    [[nodiscard]] bool canBeSeen() const {
        constexpr double kBeside = 0.05;
        for (int i = 0; i <= 100; ++i) {
            const double x = i / 100.0;
            const double aim = aimL(x);
            if (seenL(fit_.at(x), aim) > kSeenBroadly) return true;
            if (x < kBeside || x > 1 - kBeside) continue;
            const double beside = (off(x - kBeside) + off(x + kBeside)) / 2;
            if (seenL(aim + off(x) - beside, aim) > kSeenLocally) return true;
        }
        return false;
    }

  private:
    const FallingFit& fit_;
    const ToneAim& aim_;
};

}  // namespace

ToneAim ToneAim::even() {
    return {};
}

ToneAim ToneAim::gamma(double gamma) {
    expects(gamma >= 0.5 && gamma <= 4, "a gamma lies between 0.5 and 4");
    ToneAim out;
    out.kind_ = Kind::gamma;
    out.gamma_ = gamma;
    return out;
}

Result<ToneAim> ToneAim::matching(const measure::Ramp& other) {
    const Round round{.ramp = other};
    const auto fit = fitted({&round, 1}, {});
    if (!fit) return fit.error();
    ToneAim out;
    out.kind_ = Kind::matching;
    const double paper = fit->at(0);
    const double black = fit->at(1);
    for (int i = 0; i <= kCurveSteps; ++i)
        out.relative_.push_back((fit->at(static_cast<double>(i) / kCurveSteps) - black) / (paper - black));
    return out;
}

double ToneAim::lightnessAt(double tonePercent, double paperL, double blackL) const {
    const double tone = std::clamp(tonePercent / 100, 0.0, 1.0);
    switch (kind_) {
        case Kind::even:
            return paperL + (blackL - paperL) * tone;
        case Kind::gamma: {
            // CIELAB's lightness and back (ISO/CIE 11664-4).
            const auto luminance = [](double L) {
                return L > 8 ? std::pow((L + 16) / 116, 3) : L * 27 / 24389;
            };
            const double Y =
                luminance(blackL) + (luminance(paperL) - luminance(blackL)) * std::pow(1 - tone, gamma_);
            return Y > 216.0 / 24389 ? 116 * std::cbrt(Y) - 16 : Y * 24389 / 27;
        }
        case Kind::matching: {
            const double scaled = tone * static_cast<double>(relative_.size() - 1);
            const auto i = std::min(relative_.size() - 2, static_cast<std::size_t>(scaled));
            const double share = scaled - static_cast<double>(i);
            const double relative = relative_[i] + (relative_[i + 1] - relative_[i]) * share;
            return blackL + (paperL - blackL) * relative;
        }
    }
    throw ContractViolation("unknown tone aim");
}

Result<CurveFit> refine(std::span<const Round> rounds, const ToneAim& aim, const CurveOptions& options) {
    const auto fit = fitted(rounds, options);
    if (!fit) return fit.error();
    const ToneCurve& latest = rounds.back().through;
    const Against against(*fit, aim);
    CurveFit out{.worst = against.worst(), .noiseL = fit->noise, .roughnessWeight = fit->roughnessWeight};
    if (!options.force && !against.canBeSeen()) {
        Error error =
            refusal("already-even",
                    said("the ramp is as even as anyone can see: the worst tone is {:.1f} L* from the aim",
                         std::abs(out.worst.L)),
                    said("Leave it as it is, or force a curve"));
        error.kind = ErrorKind::wrongUse;
        return error;
    }
    std::vector<CurvePoint> points{{0, 0}};
    out.band.push_back({0, 0, 0});
    for (int i = 1; i < kCurveSteps; ++i) {
        const double tone = 100.0 * i / kCurveSteps;
        const double target = against.aimL(tone / 100);
        const double send = fit->where(target);
        const double error = kWiden * fit->shapeError(send);
        out.expectedErrorL = std::max(out.expectedErrorL, error);
        out.band.push_back({tone, latest.at(100 * fit->where(target + k90 * error)),
                            latest.at(100 * fit->where(target - k90 * error))});
        if (100 * send > points.back().sendPercent && send < 1) points.push_back({tone, 100 * send});
    }
    points.push_back({100, 100});
    out.band.push_back({100, 100, 100});
    out.curve = compose(latest, ToneCurve(std::move(points)));
    return out;
}

Result<CurveFit> curveOf(const measure::Ramp& ramp, const ToneAim& aim, const CurveOptions& options) {
    const Round round{.ramp = ramp};
    return refine({&round, 1}, aim, options);
}

Result<measure::Ramp> smoothed(const measure::Ramp& ramp, const CurveOptions& options) {
    const Round round{{}, ramp};
    const auto fit = fitted({&round, 1}, options);
    if (!fit) return fit.error();
    measure::Ramp out{.condition = ramp.condition, .uncertainty = ramp.uncertainty};
    std::size_t after = 1;
    for (int percent = 0; percent <= 100; ++percent) {
        while (after + 1 < ramp.patches.size() && ramp.patches[after].tonePercent < percent) ++after;
        const measure::RampPatch &from = ramp.patches[after - 1], &to = ramp.patches[after];
        const double share = (percent - from.tonePercent) / (to.tonePercent - from.tonePercent);
        out.patches.push_back({.tonePercent = double(percent),
                               .lab = {fit->at(percent / 100.0), from.lab.a + share * (to.lab.a - from.lab.a),
                                       from.lab.b + share * (to.lab.b - from.lab.b)}});
    }
    return out;
}

}  // namespace greywright::correct

#pragma once

#include <optional>
#include <span>
#include <vector>

#include "core/result.h"
#include "correct/curve.h"
#include "measure/ramp.h"

namespace greywright::correct {

/// How far an even ramp may lie from its aim before the eye can tell: the lines that judging draws, a broad
/// departure and one beside its neighbours. Units: CIEDE2000 of lightness alone.
inline constexpr double kSeenBroadly = 2.0;
inline constexpr double kSeenLocally = 1.0;

/// A curve is not made from fewer tones (our choice: each tenth of the ramp).
inline constexpr std::size_t kFewestTones = 11;

/// Nor across a wider gap. Units: percent of tone.
inline constexpr double kWidestGapPercent = 15;

/// Lightness that a tone should have, whatever paper and black.
class ToneAim {
  public:
    /// Equal steps of tone give equal steps of L*.
    [[nodiscard]] static ToneAim even();

    /// Luminance between paper and black goes with the share of paper, 1 - tone, to the power of gamma, with
    /// black at this ink's black. Valid: gamma of 0.5 to 4.
    [[nodiscard]] static ToneAim gamma(double gamma);

    /// The tone of another condition at equal relative L*, so that two papers match. Errors: as curveOf(), of
    /// the other ramp; never already-even.
    [[nodiscard]] static Result<ToneAim> matching(const measure::Ramp& other);

    /// L* of a tone between a paper and a black.
    [[nodiscard]] double lightnessAt(double tonePercent, double paperL, double blackL) const;

  private:
    enum class Kind { even, gamma, matching };
    Kind kind_ = Kind::even;
    double gamma_ = 1;
    std::vector<double> relative_ = {};  ///< matching: 1 at paper .. 0 at black, at equal steps of tone
};

/// What is asked of a curve.
struct CurveOptions {
    /// The standard deviation of one patch's L*; unset = found from the readings, expected about 0.12.
    std::optional<double> repeatabilityL = {};
    bool force = false;  ///< also where nobody can see anything to mend
};

/// Between which curves the truth lies at one tone, 90 %.
struct BandPoint {
    double tonePercent = 0;
    double lowPercent = 0;
    double highPercent = 0;
};

/// A departure of measured lightness from the aim, the readings' noise smoothed out.
struct Departure {
    double L = 0;  ///< above zero: too light
    double tonePercent = 0;
};

/// A curve and what it rests on.
struct CurveFit {
    ToneCurve curve = {};
    std::vector<BandPoint> band = {};
    Departure worst = {};        ///< before the correction of this round
    double expectedErrorL = 0;   ///< the worst standard deviation of L* that remains after it
    double noiseL = 0;           ///< standard deviation of one patch as found
    double roughnessWeight = 0;  ///< what the noise asked for; large = straight
};

/// The curve that brings a ramp to its aim: input tone to tone to send.
///
/// Lightness over tone is fitted by a P-spline that never rises, as rough as the readings' own noise supports
/// (restricted likelihood), and the curve is its inverse at the aim's lightness between its own ends, which
/// therefore stay. See docs/methods/correcting.md.
/// Valid: patches in ascending order of tone.
/// Errors: too-few-tones, no-paper, no-black, tones-too-far-apart, no-range (paper and black alike),
/// not-monotone (beyond noise), already-even (kind wrongUse, unless forced).
[[nodiscard]] Result<CurveFit> curveOf(const measure::Ramp& ramp, const ToneAim& aim = ToneAim::even(),
                                       const CurveOptions& options = {});

/// A ramp at every percent with the noise of its lightness smoothed out as curveOf() does; a* and b* by
/// straight lines between patches. L* falls at every step. Errors: as curveOf(), never already-even.
[[nodiscard]] Result<measure::Ramp> smoothed(const measure::Ramp& ramp, const CurveOptions& options = {});

/// A print and the curve it was made through; its tones are those asked for.
struct Round {
    ToneCurve through = {};
    measure::Ramp ramp = {};
};

/// The next round, from all rounds of one condition so far, the latest last: the curve returned replaces the
/// latest. Earlier prints are read as if made through the latest curve, so that how single prints differ is
/// averaged. Works on the latest print alone too. Shape: one round or more. Errors: as curveOf(), of any
/// round; already-even says that the latest curve is good.
[[nodiscard]] Result<CurveFit> refine(std::span<const Round> rounds, const ToneAim& aim = ToneAim::even(),
                                      const CurveOptions& options = {});

}  // namespace greywright::correct

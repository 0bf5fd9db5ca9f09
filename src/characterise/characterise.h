#pragma once

#include <array>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "colour/lab.h"
#include "core/result.h"
#include "measure/reading.h"

namespace greywright::characterise {

/// One patch, read by the scanner or camera and by an instrument. Units: CIELAB, D50, 2 degrees.
struct Pair {
    colour::Lab seen = {};  ///< as the picture's own colours say
    colour::Lab truth = {};
};

/// One patch corrected.
struct Corrected {
    colour::Lab lab = {};
    double error = 0;  ///< standard deviation of a* and of b* that comes from what the pairs left open
};

/// What a scanner or camera does to near neutrals on one kind of paper, learned from pairs.
///
/// Model. For each of c = L*, a*, b*:
///
///     seen_c = truth_c + g_c(seen L*) + h_ca true a* + h_cb true b* + noise
///
/// g is a cubic B-spline in L* whose second differences are penalised, as strongly as is likeliest: what the
/// pairs do not bend stays straight. h are gain and crosstalk of the tint with a prior of 0 and a standard
/// deviation of 0.15, so a single grey ramp, in which tint and lightness go together, cannot make up a gain
/// that it never saw; what it leaves open is in Corrected::error, which grows with the distance in a* and b*
/// from the pairs. It is what the device shows that is explained by the truth, not the truth by that: the
/// noise is the device's. Correcting turns it round.
///
/// Assumes near neutrals (a chroma of 10 or so), the same paper and inks of the same kind as the pairs, and a
/// device that is the same from day to day but for 0.1.
/// How it fails: inks of other spectra look alike to an instrument and unlike to the device; a device that
/// mends its pictures by itself is another one every time. A second sheet read both ways shows either.
/// Source: Eilers and Marx, Statistical Science 11 (1996) 89-121; Patterson and Thompson, Biometrika 58
/// (1971) 545-554; see docs/methods/characterising.md.
class Characterisation {
  public:
    /// Learns; what comes of it may be unusable. The order of the pairs does not matter.
    /// Valid: finite numbers. Cost: about 50 ms.
    explicit Characterisation(std::vector<Pair> pairs);

    /// Whether anything may be corrected by it.
    [[nodiscard]] bool isUsable() const { return trouble_.empty(); }
    /// Why not, and what to do about it; empty when usable.
    [[nodiscard]] const std::string& trouble() const { return trouble_; }

    /// How far a patch's a* and b*, each, lie from what the others foretell: root mean square, every pair
    /// left out once.
    [[nodiscard]] double residual() const { return residual_; }
    /// The same of L*.
    [[nodiscard]] double residualL() const { return residualL_; }
    /// What the device's own colours were off by in a* and b*, each: root mean square over the pairs.
    [[nodiscard]] double uncorrected() const { return uncorrected_; }
    /// The lightness that the pairs cover, as seen.
    [[nodiscard]] double darkestL() const { return darkestL_; }
    [[nodiscard]] double lightestL() const { return lightestL_; }

    /// What one patch is in truth. Outside the pairs' lightness it goes straight on, with a growing error.
    /// Valid: usable.
    [[nodiscard]] Corrected at(const colour::Lab& seen) const;

    /// In ascending order of what was seen.
    [[nodiscard]] std::span<const Pair> pairs() const { return pairs_; }

  private:
    struct Channel {
        std::vector<double> coefficients;
        std::vector<double> covariance;  // of the coefficients, row by row
        double ofA = 0, ofB = 0;         // h: the last two coefficients
    };
    void learn();

    std::vector<Pair> pairs_;
    std::array<Channel, 3> channels_;  // L*, a*, b*
    double darkestL_ = 0;
    double lightestL_ = 0;
    double residual_ = 0;
    double residualL_ = 0;
    double uncorrected_ = 0;
    std::string trouble_;
};

/// The colours of a sheet, corrected, and how far they may still be off.
struct CorrectedSheet {
    std::vector<colour::Lab> labs = {};  ///< in the order given
    measure::Uncertainty uncertainty = {};
    std::vector<Note> notes = {};
};

/// Corrects what was seen of a sheet.
///
/// `own` is the residual; `shared` the largest error of any patch, which they are likely to have in common,
/// with what a device differs by from one day to the next.
/// Errors: characterisation-unusable, lightness-not-characterised (more than 5 L* outside the pairs).
/// Notes: lightness-extrapolated, tint-extrapolated (the pairs leave open more than the residual).
[[nodiscard]] Result<CorrectedSheet> correct(const Characterisation& characterisation,
                                             std::span<const colour::Lab> seen);

/// The pairs as text, to be kept: what was learned comes from them anew.
[[nodiscard]] std::string textOf(const Characterisation& characterisation);

/// Reads what textOf() wrote; every number comes back as it was.
/// Errors: not-a-characterisation, bad-characterisation-line (with its line).
[[nodiscard]] Result<Characterisation> characterisationFromText(std::string_view text);

}  // namespace greywright::characterise

#pragma once

// Private to the module.

#include <array>
#include <cstdint>
#include <memory>
#include <optional>
#include <span>
#include <vector>

#include <Eigen/Dense>

#include "colour/aim.h"
#include "steer/control.h"

namespace greywright::steer {

/// Channels of the model, in this order everywhere.
enum Channel : int { kA = 0, kB = 1, kLightness = 2 };
inline constexpr int kChannels = 3;

/// One measured tone, ready for the model.
struct Observation {
    std::size_t trial = 0;
    double tone = 0;                      ///< 0..1
    double sharedError = 0;               ///< standard deviations: in common to all that have any
    double ownError = 0;                  ///< and of this one by itself
    std::array<double, kChannels> value;  ///< tint residual to the aim in a*, b*; L* against the mean ramp
};

/// A condition's readings against its aim, and the tones at which predictions are wanted.
struct Evidence {
    std::vector<std::vector<double>> deflections;  ///< one per trial, each axis -1..1
    std::vector<Observation> observations;
    std::vector<double> tones;      ///< 0..1, ascending: every measured tone of 5 % and more
    std::vector<double> lightness;  ///< L* there, mean over the trials
    std::vector<colour::Tint> aim;  ///< the aim there
    colour::TintAim aimCurve;
    bool paperMeasured = false;
};

/// The nonlinear and linear terms of a deflection: u_j, then u_j |u_j|, then u_j^2, then u_i u_j (i < j).
[[nodiscard]] Eigen::VectorXd termsOfDeflection(std::span<const double> deflection);

/// One possible printer: the tint residual at every wanted tone as a linear form in the terms of a
/// deflection.
struct World {
    /// Shape: tones x (1 + terms); column 0 is the residual at zero deflection.
    std::array<Eigen::MatrixXd, kChannels> field;
};

/// A part of the prior of what a full deflection does at the mid tones.
struct MixingComponent {
    Eigen::MatrixXd mean;  ///< a*, b* x axes, in units of the gain
    double variance = 0;   ///< of each entry, in units of the gain squared
    double weight = 0;
};

/// How a tint control acts, learned from trials.
///
/// Model. For channel c (a*, b* and L*), tone t and deflection u (the setting over its largest value):
///
///     y_c(t; u) = f_c(t) + sum_j u_j [ M_cj w_c(t) + v_cj(t) ]
///                 + w_c(t) [ sum_j (p_cj u_j |u_j| + q_cj u_j^2) + sum_{i<j} k_cij u_i u_j ]
///                 + d_ci(t) + e_c s_i + noise
///
/// y is the reading less the aim. f is the ramp at zero: a cosine series with the spectral density of a
/// smooth Gaussian process, so that it is as smooth as real ramps are. M holds what one unit does at the mid
/// tones: any rotation, mirror image, unequal gain or skew. w is one of a family of weights over tone that
/// vanish at bare paper; v lets every axis depart from it. p, q, k are saturation, asymmetry and interaction.
/// d_ci is how print i as a whole came out differently; the noise is that of a patch. Where readings may be
/// off together, s_i is by how much, e_c the error that they share, standard normal: as long as all share it,
/// f cannot be told from it, and an instrument's reading tells both.
///
/// Priors. All are Gaussian given the hyperparameters (weight shape, gain, departure, print noise, patch
/// noise), which run over a small grid. For two axes M has a mixture prior: rotations of 24 angles, each also
/// mirrored, with a spread for unequal gain and skew, and one broad component that expects nothing: after one
/// step away from zero exactly two families are left, a rotation and a mirror image, and the model knows it.
/// Other papers of the same driver are learned from together with this one: the driver has a response, every
/// paper's is that plus a deviation of its own, in two widths, and every paper has its own ramp and its own
/// noise. One of them may be a stray that answers otherwise. Beside it stands, with little weight, that this
/// paper answers in a way of its own: where it disagrees with the others, the evidence turns to that by
/// itself. What other papers leave open (an axis that was never moved may act either way) stays open. f is
/// the ramp at an origin u0, and phi(u) - phi(u0) takes the place of all terms phi of u: the ramp is of the
/// usual size where a paper's first sheets are printed, that is at zero, or where the driver's last paper
/// ended. A ramp at zero that the control had to mend is no sign against what is known of the control.
///
/// Everything is closed form given the hyperparameters: M by its Gaussian likelihood (all else integrated
/// out), the rest given M by the normal equations. Weights are evidences. Predictions come from draws of
/// whole printers ("worlds"), so that the worst tone, a maximum, has an honest distribution.
///
/// How it fails. A control that acts on some tones in steps, or whose effect reverses sign within its range,
/// is outside the family; its trials will disagree, the print noise will be estimated large, intervals widen,
/// and the search goes on rather than settle.
///
/// Source: Bayesian linear regression and evidence, MacKay, "Bayesian interpolation", Neural Computation 4
/// (1992) 415-447; the cosine series, Solin and Sarkka, "Hilbert space methods for reduced-rank Gaussian
/// process regression", Statistics and Computing 30 (2020) 419-446.
class ResponseModel {
  public:
    /// `others`: papers of the same driver, with the same axes; may be none. `origin`: the deflection at
    /// which the ramp is expected to be of the usual size, one value for each axis; empty: the printed one
    /// nearest to none. Cost: some hundred factorisations of matrices of about 20 and 40 rows for every
    /// paper.
    ResponseModel(const Evidence& evidence, std::size_t axes, const std::vector<Evidence>& others,
                  std::vector<double> origin);
    ~ResponseModel();

    /// Draws possible printers. The same seed gives the same worlds.
    [[nodiscard]] std::vector<World> worlds(std::size_t count, std::uint64_t seed) const;

    /// Draws of the response to a unit of deflection at a tone. Shape: [draw](channels x axes).
    [[nodiscard]] std::vector<Eigen::MatrixXd> responses(double tone, std::size_t count,
                                                         std::uint64_t seed) const;

    /// Expected noise of one patch and of one print as a whole, in CIELAB units.
    [[nodiscard]] double patchNoise() const { return patchNoise_; }
    [[nodiscard]] double printNoise() const { return printNoise_; }

    /// The error that uncertain readings are believed to share, in a* and b*. Units: their Observation's
    /// sharedError; none when nothing is shared.
    [[nodiscard]] colour::Tint sharedError(std::size_t draws, std::uint64_t seed) const;

    /// Share of belief that the knowledge brought along fits this condition. 0 without knowledge.
    [[nodiscard]] double beliefInKnowledge() const { return beliefInKnowledge_; }

  private:
    struct Pooled;
    struct Hyper {
        std::size_t shape = 0;
        double gain = 0;       ///< expected mid-tone shift at full deflection, CIELAB units
        double departure = 0;  ///< v's size as a share of the gain
        /// The papers that this one answers as; none where it does so in a way of its own. But for:
        std::shared_ptr<const Pooled> others = {};
        double spread = 0;          ///< how far a paper's M may lie from the driver's, as a share of the gain
        double paperDeparture = 0;  ///< and its v
        double logPrior = 0;
    };
    struct Noise {
        std::size_t patch = 0;  ///< index
        double print = 0;
        double logPrior = 0;
    };
    struct WeighedNoise {
        Noise noise;
        double weight = 0;
    };
    struct Paper;
    struct Marginal;
    struct Fit;
    struct Draw {
        const Fit* fit;
        std::array<Eigen::VectorXd, kChannels> response;  // the mixing, the departures, the nonlinear terms
        std::array<Eigen::VectorXd, kChannels> own;       // the ramp, the prints, the shared error
    };

    [[nodiscard]] Paper assemble(const Evidence& evidence, std::span<const double> origin) const;
    [[nodiscard]] Marginal marginal(const Paper& paper, std::size_t shape, const Noise& noise) const;
    [[nodiscard]] static std::vector<Hyper> hypersOfOnePaper();
    /// All hyperparameters but the noise, with what the other papers say.
    [[nodiscard]] std::vector<Hyper> hypersWith(const std::vector<Paper>& others);
    /// Standard deviations of the response's coefficients, as shares of the gain; of the nonlinear terms,
    /// times the share that is usual for each.
    struct Spreads {
        double mixing = 0;
        double departure = 0;
        double nonlinear = 0;
    };
    /// Their variances.
    [[nodiscard]] Eigen::VectorXd variances(double gain, const Spreads& spreads) const;
    /// What a paper says of its driver's response; `given`, where wanted: the precision of its deviation,
    /// given that response.
    [[nodiscard]] Pooled withDeviation(const Marginal& paper, const Hyper& hyper,
                                       std::optional<Eigen::LLT<Eigen::MatrixXd>>* given) const;
    /// The paper with the others, or only these where it is none.
    [[nodiscard]] Fit solve(const Hyper& hyper, std::shared_ptr<const Marginal> paper) const;
    void mixtureOf(Fit& fit) const;
    [[nodiscard]] std::vector<Fit> fitsOf(const Paper& paper, const Noise& noise,
                                          std::span<const Hyper> hypers) const;
    /// Every noise of the grid, at the likeliest of the other choices; the weights sum to one.
    [[nodiscard]] std::vector<WeighedNoise> noisesOf(const Paper& paper, std::span<const Hyper> hypers) const;
    void fitAll(const std::vector<Hyper>& hypers);
    [[nodiscard]] std::vector<Draw> draw(std::size_t count, std::uint64_t seed) const;

    std::size_t axes_;
    std::vector<double> tones_;
    std::vector<double> origin_;
    std::vector<MixingComponent> components_;
    std::unique_ptr<const Paper> paper_;
    std::vector<Fit> fits_;
    double patchNoise_ = 0;
    double printNoise_ = 0;
    double beliefInKnowledge_ = 0;
};

}  // namespace greywright::steer

#include "characterise/characterise.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <tuple>

#include <Eigen/Dense>
#include <fmt/format.h>

#include "core/contract.h"
#include "core/said.h"

namespace greywright::characterise {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

constexpr std::size_t kFewestPairs = 11;
constexpr double kLeastRangeL = 40;
// A tint is judged by a limit of one unit: a device that cannot be learned better than that says nothing.
constexpr double kLargestResidual = 1.0;
constexpr double kLargestResidualL = 3;
constexpr double kMarginL = 5;
// As an area: half of either of a* and b* (our choice).
constexpr double kLeastTintShown = 0.25;

// The spline's knots; enough for what lens, sensor and profile bend.
constexpr double kKnotSpacingL = 8;
// Gain and crosstalk of a device with a profile of its own, near neutral (judgement).
constexpr double kGainSd = 0.15;
// From one day to the next, which one sheet cannot tell (judgement).
constexpr double kDayToDay = 0.1;
constexpr double kLeastNoise = 0.01;
constexpr int kNoiseSteps = 17;  // up to 2.6, by factors of the square root of two

/// The knots are even, from a margin below the darkest to one above the lightest.
struct Basis {
    double from = 0;
    double spacing = 1;
    Index count = 0;

    Basis(double darkest, double lightest) : from(darkest - kMarginL) {
        const double range = lightest - darkest + 2 * kMarginL;
        const auto spans = std::max<Index>(1, static_cast<Index>(std::lround(range / kKnotSpacingL)));
        spacing = range / static_cast<double>(spans);
        count = spans + 3;
    }

    /// One patch: the cubic B-splines at its lightness as seen, then its true a* and b*.
    [[nodiscard]] VectorXd row(double seenL, double trueA, double trueB) const {
        VectorXd out = VectorXd::Zero(count + 2);
        const double place = (seenL - from) / spacing;
        const auto span = std::clamp<Index>(static_cast<Index>(std::floor(place)), 0, count - 4);
        const double t = place - static_cast<double>(span);
        // Source: the uniform cubic B-spline, de Boor, A Practical Guide to Splines (1978).
        out[span] = (1 - t) * (1 - t) * (1 - t) / 6;
        out[span + 1] = (3 * t * t * t - 6 * t * t + 4) / 6;
        out[span + 2] = (-3 * t * t * t + 3 * t * t + 3 * t + 1) / 6;
        out[span + 3] = t * t * t / 6;
        out[count] = trueA;
        out[count + 1] = trueB;
        return out;
    }
};

struct Fit {
    VectorXd coefficients;
    MatrixXd covariance;
    VectorXd leftOut;  // residuals, every row left out once
};

/// A penalised fit of one channel, at the likeliest strength of smoothing and noise.
class Smoother {
  public:
    Smoother(const MatrixXd& design, const VectorXd& wanted) : design_(design), wanted_(wanted) {
        const Index splines = design.cols() - 2;
        bend_ = MatrixXd::Zero(design.cols(), design.cols());
        for (Index i = 0; i + 2 < splines; ++i) {
            VectorXd second = VectorXd::Zero(design.cols());
            second.segment(i, 3) << 1, -2, 1;
            bend_ += second * second.transpose();
        }
        gram_ = design.transpose() * design;
        right_ = design.transpose() * wanted;
    }

    [[nodiscard]] Fit fit() const {
        double best = std::numeric_limits<double>::infinity();
        double strength = 1;
        double noise = kLeastNoise;
        for (int step = 0; step < kNoiseSteps; ++step) {
            const double thisNoise = kLeastNoise * std::pow(2.0, 0.5 * step);
            for (int quarter = -8; quarter <= 24; ++quarter) {
                const double thisStrength = std::pow(10.0, 0.25 * quarter);
                const double score = unlikelihood(thisStrength, thisNoise);
                if (score >= best) continue;
                best = score;
                strength = thisStrength;
                noise = thisNoise;
            }
        }
        const Eigen::LLT<MatrixXd> solver(matrix(strength, noise));
        const MatrixXd inverse = solver.solve(MatrixXd::Identity(gram_.rows(), gram_.cols()));
        const VectorXd coefficients = inverse * right_;
        const VectorXd hat = (design_ * inverse).cwiseProduct(design_).rowwise().sum();
        return {.coefficients = coefficients,
                .covariance = noise * noise * inverse,
                .leftOut = (wanted_ - design_ * coefficients).array() / (1 - hat.array()).max(1e-3)};
    }

  private:
    [[nodiscard]] MatrixXd matrix(double strength, double noise) const {
        MatrixXd out = gram_ + strength * bend_;
        out.diagonal().tail(2).array() += noise * noise / (kGainSd * kGainSd);
        out.diagonal().array() += 1e-9;  // a spline at the margin that no pair reaches
        return out;
    }

    /// Minus twice the logarithm of the restricted likelihood, but for a constant: the level and the slope of
    /// the spline, which nothing penalises, integrated out as all the rest is.
    [[nodiscard]] double unlikelihood(double strength, double noise) const {
        const Eigen::LLT<MatrixXd> solver(matrix(strength, noise));
        const double misfit = wanted_.squaredNorm() - right_.dot(solver.solve(right_));
        const double logDeterminant = 2 * solver.matrixLLT().diagonal().array().log().sum();
        const auto penalised = static_cast<double>(gram_.rows() - 4);
        const double freedom = static_cast<double>(wanted_.size()) - 2;
        return misfit / (noise * noise) + logDeterminant - penalised * std::log(strength) -
               4 * std::log(noise) + 2 * freedom * std::log(noise);
    }

    const MatrixXd& design_;
    const VectorXd& wanted_;
    MatrixXd bend_, gram_;
    VectorXd right_;
};

/// What a device makes of a tint. Shape: (a*, b*) seen from (a*, b*) in truth.
Eigen::Matrix2d tintShown(double aOfA, double aOfB, double bOfA, double bOfB) {
    Eigen::Matrix2d out;
    out << 1 + aOfA, aOfB, bOfA, 1 + bOfB;
    return out;
}

double rootMeanSquare(const VectorXd& values) {
    return std::sqrt(values.squaredNorm() / static_cast<double>(values.size()));
}

}  // namespace

Characterisation::Characterisation(std::vector<Pair> pairs) : pairs_(std::move(pairs)) {
    const auto numbers = [](const Pair& pair) {
        return std::tuple(pair.seen.L, pair.seen.a, pair.seen.b, pair.truth.L, pair.truth.a, pair.truth.b);
    };
    for (const Pair& pair : pairs_) {
        const bool finite =
            std::apply([](auto... value) { return (std::isfinite(value) && ...); }, numbers(pair));
        expects(finite, "a pair is made of finite numbers");
    }
    std::ranges::sort(pairs_, {}, numbers);
    if (pairs_.size() < kFewestPairs) {
        trouble_ =
            said("only {} patches were read both ways; it takes {} or more. Read a ramp with more tones",
                 pairs_.size(), kFewestPairs);
        return;
    }
    darkestL_ = pairs_.front().seen.L;
    lightestL_ = pairs_.back().seen.L;
    if (lightestL_ - darkestL_ < kLeastRangeL) {
        trouble_ = said(
            "the patches span {:.0f} L* only; it takes {:.0f}. Read a ramp from bare paper to maximum black",
            lightestL_ - darkestL_, kLeastRangeL);
        return;
    }
    learn();
    // Read from the wrong end, lightness falls where it should rise.
    const bool isTurned = 2 * (pairs_.back().truth.L - pairs_.front().truth.L) < lightestL_ - darkestL_;
    if (isTurned) {
        trouble_ = said(
            "what is lighter in one reading is darker in the other. Check that both are of the same sheet in "
            "the "
            "same order");
    } else if (residualL_ > kLargestResidualL) {
        trouble_ = said(
            "the lightness of the two readings does not go together (off by {:.1f} L*). Check that both are "
            "of the "
            "same sheet in the same order",
            residualL_);
    } else if (trouble_.empty() && residual_ > kLargestResidual) {
        trouble_ = said(
            "patches differ by {:.1f} in a* and b* from what the others foretell, too much to tell a tint "
            "by. "
            "Check that both readings are of the same sheet in the same order, and turn off what the scanner "
            "or camera mends by itself",
            residual_);
    }
}

void Characterisation::learn() {
    const Basis basis(darkestL_, lightestL_);
    const auto rows = static_cast<Index>(pairs_.size());
    MatrixXd design(rows, basis.count + 2);
    MatrixXd added(rows, 3);
    for (Index i = 0; i < rows; ++i) {
        const auto& [seen, truth] = pairs_[static_cast<std::size_t>(i)];
        design.row(i) = basis.row(seen.L, truth.a, truth.b);
        added.row(i) << seen.L - truth.L, seen.a - truth.a, seen.b - truth.b;
    }
    MatrixXd left(rows, 3);
    for (Index c = 0; c < 3; ++c) {
        const VectorXd column = added.col(c);
        const Fit fit = Smoother(design, column).fit();
        Channel& channel = channels_[static_cast<std::size_t>(c)];
        channel.coefficients.assign(fit.coefficients.begin(), fit.coefficients.end());
        channel.covariance.assign(fit.covariance.reshaped().begin(), fit.covariance.reshaped().end());
        left.col(c) = fit.leftOut;
        channel.ofA = fit.coefficients[basis.count];
        channel.ofB = fit.coefficients[basis.count + 1];
    }
    uncorrected_ = rootMeanSquare(added.rightCols(2).reshaped());
    residualL_ = rootMeanSquare(left.col(0));
    const Eigen::Matrix2d shown =
        tintShown(channels_[1].ofA, channels_[1].ofB, channels_[2].ofA, channels_[2].ofB);
    if (shown.determinant() < kLeastTintShown) {
        trouble_ = said(
            "the device shows too little of a tint to tell one by. Turn off what it mends by itself, and "
            "check that "
            "it was read in colour");
        return;
    }
    residual_ = rootMeanSquare((left.rightCols(2) * shown.inverse().transpose()).reshaped());
}

Corrected Characterisation::at(const colour::Lab& seen) const {
    expects(isUsable(), "an unusable characterisation corrects nothing");
    const Basis basis(darkestL_, lightestL_);
    // What the device adds to a neutral of this lightness first, then what it makes of the tint.
    const VectorXd neutral = basis.row(seen.L, 0, 0);
    const auto addedTo = [&](const VectorXd& row, std::size_t c) {
        return row.dot(Eigen::Map<const VectorXd>(channels_[c].coefficients.data(), row.size()));
    };
    const Eigen::Matrix2d mended =
        tintShown(channels_[1].ofA, channels_[1].ofB, channels_[2].ofA, channels_[2].ofB).inverse();
    const Eigen::Vector2d tint =
        mended * Eigen::Vector2d(seen.a - addedTo(neutral, 1), seen.b - addedTo(neutral, 2));
    const VectorXd row = basis.row(seen.L, tint[0], tint[1]);
    const auto varianceOf = [&](std::size_t c) {
        return row.dot(Eigen::Map<const MatrixXd>(channels_[c].covariance.data(), row.size(), row.size()) *
                       row);
    };
    const Eigen::Vector2d variance = mended.cwiseAbs2() * Eigen::Vector2d(varianceOf(1), varianceOf(2));
    return {.lab = {seen.L - addedTo(row, 0), tint[0], tint[1]},
            .error = std::sqrt(std::max(0.0, variance.sum() / 2))};
}

Result<CorrectedSheet> correct(const Characterisation& characterisation, std::span<const colour::Lab> seen) {
    if (!characterisation.isUsable()) {
        return Error{
            .code = "characterisation-unusable",
            .what = said("what was learned of this scanner or camera is not good enough to correct by"),
            .where = {},
            .next = characterisation.trouble()};
    }
    CorrectedSheet out;
    double outside = 0;
    double largest = 0;
    for (const colour::Lab& lab : seen) {
        expects(std::isfinite(lab.L) && std::isfinite(lab.a) && std::isfinite(lab.b), "a colour is finite");
        outside =
            std::max({outside, characterisation.darkestL() - lab.L, lab.L - characterisation.lightestL()});
        if (outside > kMarginL) {
            return Error{
                .code = "lightness-not-characterised",
                .what =
                    said("a patch of L* {:.1f} as seen lies outside what was learned, L* {:.1f} to {:.1f}",
                         lab.L, characterisation.darkestL(), characterisation.lightestL()),
                .where = {},
                .next = said("Read a ramp on this paper both ways, by this device and by an instrument")};
        }
        const Corrected corrected = characterisation.at(lab);
        out.labs.push_back(corrected.lab);
        largest = std::max(largest, corrected.error);
    }
    out.uncertainty = {.shared = std::hypot(largest, kDayToDay), .own = characterisation.residual()};
    if (outside > 0) {
        out.notes.push_back({"lightness-extrapolated",
                             said("some patches lie up to {:.1f} L* outside what was learned of this "
                                  "device",
                                  outside)});
    }
    if (largest > std::max(kDayToDay, characterisation.residual())) {
        out.notes.push_back({"tint-extrapolated",
                             said("the tint lies away from what was learned of this device, so a* and b* "
                                  "may be off by {:.2f}; a sheet with such a tint read both ways helps",
                                  largest)});
    }
    return out;
}

}  // namespace greywright::characterise

#include "steer/response_model.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

#include "core/contract.h"
#include "core/random.h"

namespace greywright::steer {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;
using std::numbers::pi;

// Sizes of the series. The base resolves bends of about 6 % tone; the departures are broad.
constexpr Index kBaseTerms = 24;
constexpr Index kDepartureTerms = 6;
constexpr Index kPrintTerms = 3;

// The priors' figures are judgements about inkjet printers, in CIELAB units (docs/methods/steering.md).
constexpr double kBaseDomain = 1.5;
constexpr double kLevelSd = 6;
struct SmoothPart {
    double sd;
    double length;
};
constexpr std::array<SmoothPart, 3> kBaseParts{{{3.5, 0.30}, {0.8, 0.12}, {0.15, 0.05}}};
constexpr double kDepartureLength = 0.3;
constexpr double kSaturationShare = 0.15;
constexpr double kAsymmetryShare = 0.10;
constexpr double kInteractionShare = 0.12;

// Mixture prior of the mixing matrix for two axes.
constexpr int kAngles = 24;
constexpr double kAnglesSpread = 0.30;  // unequal gain and skew, as a share of the gain
constexpr double kBroadWeight = 0.25;
constexpr double kLightnessShare = 0.4;

constexpr std::array<double, 6> kGains{2.5, 4.5, 8, 14, 24, 40};
constexpr double kUsualGain = 7;
constexpr double kGainSpread = 0.8;  // of its natural logarithm
constexpr std::array<double, 2> kDepartures{0.08, 0.3};
constexpr std::array<double, 4> kPatchNoises{0.04, 0.09, 0.18, 0.36};
constexpr std::array<double, 3> kPrintNoises{0.07, 0.15, 0.3};
// How far a paper's response may lie from what the papers of a driver have in common, as a share of the gain,
// and how far that is believed.
struct PaperPrior {
    double spread;
    double departure;
    double weight;
};
constexpr std::array<PaperPrior, 2> kPaperPriors{{{0.07, 0.035, 0.70}, {0.20, 0.10, 0.25}}};
constexpr double kWeightOfAnotherDriver = 0.05;
// That one of several other papers does not answer as the rest do: another mode, a sign mistyped.
constexpr double kWeightOfAStray = 0.10;

struct Shape {
    double rise;  // exponent towards paper
    double fall;  // exponent towards black; 0 = full strength in the black
};
constexpr std::array<Shape, 8> kShapes{
    {{1, 0}, {0.5, 0}, {1, 0.5}, {1, 1}, {0.6, 0.6}, {2, 1}, {1, 2}, {1.5, 2.5}}};

double weightAt(const Shape& shape, double tone) {
    const auto raw = [&](double t) { return std::pow(t, shape.rise) * std::pow(1 - t, shape.fall); };
    if (tone <= 0) return 0;
    // One at the mid tones, which is where a photographer looks first.
    return raw(std::min(tone, 1.0)) / ((raw(0.35) + raw(0.5) + raw(0.65)) / 3);
}

double spectralVariance(const SmoothPart& part, double frequency, double domain) {
    return part.sd * part.sd * std::sqrt(2 * pi) * part.length *
           std::exp(-0.5 * frequency * frequency * part.length * part.length) * 2 / domain;
}

VectorXd baseAt(double tone) {
    VectorXd row(kBaseTerms);
    const double place = (tone + (kBaseDomain - 1) / 2) / kBaseDomain;
    for (Index k = 0; k < kBaseTerms; ++k) row[k] = std::cos(static_cast<double>(k) * pi * place);
    return row;
}

VectorXd basePriorVariance() {
    VectorXd variance = VectorXd::Zero(kBaseTerms);
    variance[0] = kLevelSd * kLevelSd;
    for (Index k = 1; k < kBaseTerms; ++k) {
        for (const SmoothPart& part : kBaseParts) {
            variance[k] += spectralVariance(part, static_cast<double>(k) * pi / kBaseDomain, kBaseDomain);
        }
    }
    return variance;
}

VectorXd departureAt(double tone) {
    VectorXd row(kDepartureTerms);
    for (Index k = 0; k < kDepartureTerms; ++k) row[k] = std::sin((static_cast<double>(k) + 0.5) * pi * tone);
    return row;
}

VectorXd departurePriorVariance() {
    VectorXd variance(kDepartureTerms);
    for (Index k = 0; k < kDepartureTerms; ++k) {
        variance[k] = spectralVariance({1, kDepartureLength}, (static_cast<double>(k) + 0.5) * pi, 1);
    }
    return variance / variance.sum() * 2;  // unit variance on average over tone
}

VectorXd printAt(double tone) {
    VectorXd row(kPrintTerms);
    row << std::sin(pi * tone), 0.5 * std::sin(2 * pi * tone), 0.5 * tone;
    return row;
}

Index termCount(std::size_t axes) {
    const auto j = static_cast<Index>(axes);
    return 3 * j + j * (j - 1) / 2;
}

VectorXd nonlinearPriorShare(std::size_t axes) {
    const auto j = static_cast<Index>(axes);
    VectorXd share(termCount(axes) - j);
    share.head(j).setConstant(kSaturationShare);
    share.segment(j, j).setConstant(kAsymmetryShare);
    share.tail(j * (j - 1) / 2).setConstant(kInteractionShare);
    return share;
}

std::vector<MixingComponent> mixtureComponents(std::size_t axes) {
    const auto j = static_cast<Index>(axes);
    if (axes != 2) return {{MatrixXd::Zero(2, j), 1, 1}};
    std::vector<MixingComponent> components{{MatrixXd::Zero(2, j), 1, kBroadWeight}};
    for (int mirror : {1, -1}) {
        for (int k = 0; k < kAngles; ++k) {
            const double angle = 2 * pi * k / kAngles;
            MatrixXd mean(2, 2);
            mean << std::cos(angle), -mirror * std::sin(angle), std::sin(angle), mirror * std::cos(angle);
            components.push_back({mean, kAnglesSpread * kAnglesSpread, (1 - kBroadWeight) / (2 * kAngles)});
        }
    }
    return components;
}

/// Normalises log weights in place to weights that sum to one; gives the logarithm of what they summed to.
double normalise(std::vector<double>& logWeights) {
    const double top = *std::max_element(logWeights.begin(), logWeights.end());
    double sum = 0;
    for (double& weight : logWeights) sum += weight = std::exp(weight - top);
    for (double& weight : logWeights) weight /= sum;
    return top + std::log(sum);
}

double logDeterminant(const Eigen::LLT<MatrixXd>& of) {
    return 2 * of.matrixLLT().diagonal().array().log().sum();
}

/// The deflection nearest to none among those printed, whatever their order.
std::vector<double> nearestToZero(const std::vector<std::vector<double>>& deflections) {
    const auto key = [](const std::vector<double>& one) {
        double square = 0;
        for (const double u : one) square += u * u;
        return std::pair(square, one);
    };
    return std::ranges::min(deflections, {}, key);
}

/// A draw with mean `precision`^-1 `right`.
VectorXd drawn(const Eigen::LLT<MatrixXd>& precision, const VectorXd& right, Random& random) {
    VectorXd noise(right.size());
    for (double& z : noise) z = random.normal();
    return precision.solve(right) + precision.matrixU().solve(noise);
}

}  // namespace

VectorXd termsOfDeflection(std::span<const double> deflection) {
    const std::size_t axes = deflection.size();
    VectorXd terms(termCount(axes));
    Index next = 0;
    for (const double u : deflection) terms[next++] = u;
    for (const double u : deflection) terms[next++] = u * std::abs(u);
    for (const double u : deflection) terms[next++] = u * u;
    for (std::size_t i = 0; i < axes; ++i) {
        for (std::size_t j = i + 1; j < axes; ++j) terms[next++] = deflection[i] * deflection[j];
    }
    return terms;
}

/// One paper's readings, summed for every weight over tone.
struct ResponseModel::Paper {
    std::size_t trials = 0;
    bool errorIsShared = false;
    double observations = 0;
    // Observations with errors of their own count less, by how much depends on the patch noise beside them.
    struct Sums {
        MatrixXd gram;   // of the paper's own columns, of the departures, of the terms for every shape
        MatrixXd right;  // columns^T y, one column a channel
        std::array<double, kChannels> square{};
        double logOwn = 0;  // sum of log of an observation's noise over the patch noise
    };
    std::vector<Sums> sums;  // one a patch noise, or one for all

    /// Columns of the ramp, of what differs from print to print, and of the error that readings share.
    [[nodiscard]] Index ownColumns() const {
        return kBaseTerms + kPrintTerms * static_cast<Index>(trials) + (errorIsShared ? 1 : 0);
    }
};

/// What one paper's readings say of the response at one weight over tone and one noise: its own coefficients
/// are integrated out. The response's coefficients: the mixing, the departures, the nonlinear terms.
struct ResponseModel::Marginal {
    Eigen::LLT<MatrixXd> precision;  // of the paper's own coefficients, given the response
    MatrixXd right;                  // own x channels
    MatrixXd coupling;               // own x response
    MatrixXd information;            // response x response
    MatrixXd informationRight;       // response x channels
    double logEvidence = 0;          // of a* and b*, but for the response's part
};

/// What papers say together of their driver's response at one choice of hyperparameters, each paper's
/// deviation integrated out.
struct ResponseModel::Pooled {
    MatrixXd information;  // response x response
    MatrixXd right;        // response x channels
    double logEvidence = 0;

    Pooled& add(const Pooled& other, double times) {
        information += times * other.information;
        right += times * other.right;
        logEvidence += times * other.logEvidence;
        return *this;
    }
};

/// What is believed at one choice of hyperparameters.
struct ResponseModel::Fit {
    Hyper hyper;
    double logWeight = 0;                   // evidence and prior of the choice, all else integrated out
    std::shared_ptr<const Marginal> paper;  // the paper at hand; none while only others are looked at
    // Precision of how it differs from the driver's papers, given the latter; none where it is on its own.
    std::optional<Eigen::LLT<MatrixXd>> deviation;
    Eigen::LLT<MatrixXd> rest;    // precision of the response but for the mixing
    MatrixXd restRight;           // its right-hand sides, one column a channel
    MatrixXd coupling;            // to the mixing's columns
    MatrixXd mixingInformation;   // axes x axes
    MatrixXd mixingRight;         // axes x channels
    std::vector<double> weights;  // of the mixing's components, posterior
};

ResponseModel::ResponseModel(const Evidence& evidence, std::size_t axes, const std::vector<Evidence>& others,
                             std::vector<double> origin)
    : axes_(axes), tones_(evidence.tones), origin_(std::move(origin)), components_(mixtureComponents(axes)) {
    expects(!evidence.observations.empty(), "a response model needs observations");
    if (origin_.empty()) origin_ = nearestToZero(evidence.deflections);
    expects(origin_.size() == axes, "the origin needs a deflection for each axis");
    paper_ = std::make_unique<const Paper>(assemble(evidence, origin_));
    std::vector<Paper> papers;
    papers.reserve(others.size());
    for (const Evidence& one : others) papers.push_back(assemble(one, nearestToZero(one.deflections)));
    fitAll(hypersWith(papers));
}

ResponseModel::~ResponseModel() = default;

ResponseModel::Paper ResponseModel::assemble(const Evidence& evidence, std::span<const double> origin) const {
    const auto rows = static_cast<Index>(evidence.observations.size());
    const Index terms = termCount(axes_);
    const auto axes = static_cast<Index>(axes_);
    Paper paper;
    paper.trials = evidence.deflections.size();
    paper.observations = static_cast<double>(rows);
    paper.errorIsShared = std::ranges::any_of(evidence.observations,
                                              [](const Observation& seen) { return seen.sharedError > 0; });
    const bool anyOwn =
        std::ranges::any_of(evidence.observations, [](const Observation& seen) { return seen.ownError > 0; });
    const VectorXd termsOfOrigin = termsOfDeflection(origin);
    const Index own = paper.ownColumns();
    MatrixXd design =
        MatrixXd::Zero(rows, own + axes * kDepartureTerms + static_cast<Index>(kShapes.size()) * terms);
    MatrixXd values(rows, kChannels);
    for (Index r = 0; r < rows; ++r) {
        const Observation& seen = evidence.observations[static_cast<std::size_t>(r)];
        const VectorXd moved = termsOfDeflection(evidence.deflections[seen.trial]) - termsOfOrigin;
        design.row(r).head(kBaseTerms) = baseAt(seen.tone);
        design.row(r).segment(kBaseTerms + kPrintTerms * static_cast<Index>(seen.trial), kPrintTerms) =
            printAt(seen.tone);
        if (paper.errorIsShared) design(r, own - 1) = seen.sharedError;
        Index at = own;
        for (Index j = 0; j < axes; ++j, at += kDepartureTerms) {
            design.row(r).segment(at, kDepartureTerms) = moved[j] * departureAt(seen.tone);
        }
        for (const Shape& shape : kShapes) {
            design.row(r).segment(at, terms) = weightAt(shape, seen.tone) * moved;
            at += terms;
        }
        for (int c = 0; c < kChannels; ++c) values(r, c) = seen.value[static_cast<std::size_t>(c)];
    }
    for (const double patchNoise : kPatchNoises) {
        VectorXd weight = VectorXd::Ones(rows);
        for (Index r = 0; r < rows; ++r) {
            const double share = evidence.observations[static_cast<std::size_t>(r)].ownError / patchNoise;
            weight[r] = 1 / (1 + share * share);
        }
        Paper::Sums sums;
        const MatrixXd weighted = weight.asDiagonal() * design;
        sums.gram = weighted.transpose() * design;
        sums.right = weighted.transpose() * values;
        for (int c = 0; c < kChannels; ++c) {
            sums.square[static_cast<std::size_t>(c)] = weight.dot(values.col(c).cwiseAbs2());
        }
        sums.logOwn = -0.5 * weight.array().log().sum();
        paper.sums.push_back(std::move(sums));
        if (!anyOwn) break;
    }
    return paper;
}

ResponseModel::Marginal ResponseModel::marginal(const Paper& paper, std::size_t shape,
                                                const Noise& noise) const {
    const double patchNoise = kPatchNoises[noise.patch];
    const Paper::Sums& sums = paper.sums[paper.sums.size() == 1 ? 0 : noise.patch];
    const auto axes = static_cast<Index>(axes_);
    const Index terms = termCount(axes_);
    const Index own = paper.ownColumns();
    const Index departures = axes * kDepartureTerms;
    const Index shapeAt = own + departures + static_cast<Index>(shape) * terms;

    // A floor keeps the sums well conditioned when a term has no prior room at all.
    static const VectorXd basePrior = basePriorVariance().cwiseMax(1e-8);
    VectorXd prior(own);
    prior.head(kBaseTerms) = basePrior;
    prior.segment(kBaseTerms, kPrintTerms * static_cast<Index>(paper.trials))
        .setConstant(noise.print * noise.print);
    if (paper.errorIsShared) prior[own - 1] = 1;

    std::vector<Index> columns;  // of the response, in its order
    for (Index j = 0; j < axes; ++j) columns.push_back(shapeAt + j);
    for (Index j = 0; j < departures; ++j) columns.push_back(own + j);
    for (Index j = axes; j < terms; ++j) columns.push_back(shapeAt + j);
    const double precision = 1 / (patchNoise * patchNoise);
    Marginal out;
    out.coupling = precision * sums.gram(Eigen::seqN(0, own), columns);
    out.right = precision * sums.right.topRows(own);
    MatrixXd matrix = precision * sums.gram.topLeftCorner(own, own);
    matrix.diagonal() += prior.cwiseInverse();
    out.precision.compute(matrix);
    const auto response = static_cast<Index>(columns.size());
    MatrixXd both(own, kChannels + response);
    both << out.right, out.coupling;
    out.precision.matrixL().solveInPlace(both);
    const auto halfRight = both.leftCols(kChannels);
    const auto halfCoupling = both.rightCols(response);
    out.information = precision * sums.gram(columns, columns);
    out.information.noalias() -= halfCoupling.transpose() * halfCoupling;
    out.informationRight = precision * sums.right(columns, Eigen::all);
    out.informationRight.noalias() -= halfCoupling.transpose() * halfRight;
    const double determinants = logDeterminant(out.precision) + prior.array().log().sum();
    for (const int c : {kA, kB}) {
        out.logEvidence += -0.5 * sums.square[static_cast<std::size_t>(c)] * precision +
                           0.5 * halfRight.col(c).squaredNorm() - 0.5 * determinants -
                           paper.observations * std::log(patchNoise) - sums.logOwn;
    }
    return out;
}

VectorXd ResponseModel::variances(double gain, const Spreads& spreads) const {
    static const VectorXd departurePrior = departurePriorVariance();
    const auto axes = static_cast<Index>(axes_);
    const Index nonlinear = termCount(axes_) - axes;
    VectorXd out(axes + axes * kDepartureTerms + nonlinear);
    out.head(axes).setConstant(spreads.mixing * spreads.mixing);
    for (Index j = 0; j < axes; ++j) {
        out.segment(axes + j * kDepartureTerms, kDepartureTerms) =
            spreads.departure * spreads.departure * departurePrior;
    }
    out.tail(nonlinear) = (spreads.nonlinear * nonlinearPriorShare(axes_)).array().square();
    // A floor keeps the sums well conditioned.
    return (gain * gain * out).cwiseMax(1e-8);
}

ResponseModel::Pooled ResponseModel::withDeviation(const Marginal& paper, const Hyper& hyper,
                                                   std::optional<Eigen::LLT<MatrixXd>>* given) const {
    const VectorXd variance =
        variances(hyper.gain, {.mixing = hyper.spread, .departure = hyper.paperDeparture});
    const Index response = variance.size();
    MatrixXd matrix = paper.information;
    matrix.diagonal() += variance.cwiseInverse();
    Eigen::LLT<MatrixXd> precision(matrix);
    MatrixXd both(response, response + kChannels);
    both << paper.information, paper.informationRight;
    precision.matrixL().solveInPlace(both);
    const auto half = both.leftCols(response);
    const auto halfRight = both.rightCols(kChannels);
    Pooled out{paper.information, paper.informationRight,
               paper.logEvidence + 0.5 * halfRight.leftCols(2).squaredNorm() - logDeterminant(precision) -
                   variance.array().log().sum()};
    out.information.noalias() -= half.transpose() * half;
    out.right.noalias() -= half.transpose() * halfRight;
    if (given != nullptr) *given = std::move(precision);
    return out;
}

ResponseModel::Fit ResponseModel::solve(const Hyper& hyper, std::shared_ptr<const Marginal> paper) const {
    const auto axes = static_cast<Index>(axes_);
    Fit fit;
    fit.hyper = hyper;
    Pooled all;
    if (!hyper.others) {
        all = {paper->information, paper->informationRight, paper->logEvidence};
    } else {
        all = *hyper.others;
        if (paper) all.add(withDeviation(*paper, hyper, &fit.deviation), 1);
    }
    fit.paper = std::move(paper);

    const MatrixXd& information = all.information;
    const Index rest = information.rows() - axes;
    fit.logWeight = hyper.logPrior + all.logEvidence;
    const VectorXd prior = variances(hyper.gain, {.departure = hyper.departure, .nonlinear = 1}).tail(rest);
    MatrixXd matrix = information.bottomRightCorner(rest, rest);
    matrix.diagonal() += prior.cwiseInverse();
    fit.rest.compute(matrix);
    fit.restRight = all.right.bottomRows(rest);
    fit.coupling = information.bottomLeftCorner(rest, axes);
    MatrixXd both(rest, kChannels + axes);
    both << fit.restRight, fit.coupling;
    fit.rest.matrixL().solveInPlace(both);
    const auto halfRight = both.leftCols(kChannels);
    const auto halfCoupling = both.rightCols(axes);
    fit.mixingInformation = information.topLeftCorner(axes, axes) - halfCoupling.transpose() * halfCoupling;
    fit.mixingRight = all.right.topRows(axes) - halfCoupling.transpose() * halfRight;
    fit.logWeight +=
        0.5 * halfRight.leftCols(2).squaredNorm() - logDeterminant(fit.rest) - prior.array().log().sum();
    mixtureOf(fit);
    return fit;
}

void ResponseModel::mixtureOf(Fit& fit) const {
    const auto axes = static_cast<Index>(axes_);
    fit.weights.clear();
    double previousVariance = -1;
    Eigen::LLT<MatrixXd> posterior;
    const double gain = fit.hyper.gain;
    for (const MixingComponent& component : components_) {
        const double variance = component.variance * gain * gain;
        if (variance != previousVariance) {
            posterior.compute(fit.mixingInformation + MatrixXd::Identity(axes, axes) / variance);
            previousVariance = variance;
        }
        double logWeight = std::log(component.weight);
        for (const int c : {kA, kB}) {
            const VectorXd mean = gain * component.mean.row(c).transpose();
            const VectorXd right = fit.mixingRight.col(c) + mean / variance;
            logWeight += 0.5 * posterior.matrixL().solve(right).squaredNorm() -
                         0.5 * mean.squaredNorm() / variance -
                         posterior.matrixLLT().diagonal().array().log().sum() -
                         0.5 * static_cast<double>(axes) * std::log(variance);
        }
        fit.weights.push_back(logWeight);
    }
    fit.logWeight += normalise(fit.weights);
}

std::vector<ResponseModel::Hyper> ResponseModel::hypersOfOnePaper() {
    std::vector<Hyper> out;
    double gainSum = 0;
    const auto off = [](double gain) { return std::log(gain / kUsualGain) / kGainSpread; };
    for (const double gain : kGains) gainSum += std::exp(-0.5 * std::pow(off(gain), 2));
    const double norm = std::log(gainSum * static_cast<double>(kShapes.size() * kDepartures.size()));
    for (std::size_t shape = 0; shape < kShapes.size(); ++shape) {
        for (const double gain : kGains) {
            for (const double departure : kDepartures) {
                out.push_back({.shape = shape,
                               .gain = gain,
                               .departure = departure,
                               .logPrior = -0.5 * std::pow(off(gain), 2) - norm});
            }
        }
    }
    return out;
}

std::vector<ResponseModel::Fit> ResponseModel::fitsOf(const Paper& paper, const Noise& noise,
                                                      std::span<const Hyper> hypers) const {
    std::array<std::shared_ptr<const Marginal>, kShapes.size()> marginals;
    std::vector<Fit> out;
    for (const Hyper& hyper : hypers) {
        auto& one = marginals[hyper.shape];
        if (!one) one = std::make_shared<const Marginal>(marginal(paper, hyper.shape, noise));
        out.push_back(solve(hyper, one));
        out.back().logWeight += noise.logPrior;
    }
    return out;
}

std::vector<ResponseModel::WeighedNoise> ResponseModel::noisesOf(const Paper& paper,
                                                                 std::span<const Hyper> hypers) const {
    const std::vector<Fit> fits = fitsOf(paper, {.patch = 1, .print = kPrintNoises[1]}, hypers);
    const Hyper likeliest = std::ranges::max_element(fits, {}, &Fit::logWeight)->hyper;
    std::vector<WeighedNoise> out;
    std::vector<double> weights;
    for (std::size_t patch = 0; patch < kPatchNoises.size(); ++patch) {
        for (const double print : kPrintNoises) {
            // Print noise near 0.15 is the rule; the grid's ends are half as likely.
            const Noise noise{patch, print, print == kPrintNoises[1] ? std::log(2.0) : 0.0};
            weights.push_back(fitsOf(paper, noise, {&likeliest, 1}).front().logWeight);
            out.push_back({noise, 0});
        }
    }
    normalise(weights);
    for (std::size_t i = 0; i < out.size(); ++i) out[i].weight = weights[i];
    return out;
}

std::vector<ResponseModel::Hyper> ResponseModel::hypersWith(const std::vector<Paper>& others) {
    std::vector<Hyper> hypers = hypersOfOnePaper();
    if (others.empty()) return hypers;
    // Another paper is printed and measured with a noise of its own: the likeliest.
    std::vector<Noise> noises;
    for (const Paper& paper : others) {
        const std::vector<WeighedNoise> all = noisesOf(paper, hypers);
        noises.push_back(std::ranges::max_element(all, {}, &WeighedNoise::weight)->noise);
    }

    // Which of the others this one goes with, and what speaks for it: all of them, or one of them is a stray.
    const std::size_t papers = others.size();
    const auto count = static_cast<double>(papers);
    const double stray = papers > 1 ? kWeightOfAStray : 0;
    enum class Company { all, withoutOne, onlyOne };
    struct Choice {
        Company company = Company::all;
        std::size_t one = 0;
        double prior = 0;
        std::vector<Hyper> hypers;
        std::vector<double> weights;  // by the other papers alone
    };
    std::vector<Choice> choices{{Company::all, 0, 1 - stray, {}, {}}};
    for (std::size_t k = 0; k < papers && papers > 1; ++k) {
        choices.push_back({Company::withoutOne, k, stray / count * (count - 1) / count, {}, {}});
        choices.push_back({Company::onlyOne, k, stray / count / count, {}, {}});
    }
    for (std::size_t shape = 0; shape < kShapes.size(); ++shape) {
        std::vector<Marginal> marginals;
        marginals.reserve(papers);
        for (std::size_t k = 0; k < papers; ++k) marginals.push_back(marginal(others[k], shape, noises[k]));
        for (const Hyper& alone : hypers) {
            if (alone.shape != shape) continue;
            for (const PaperPrior& prior : kPaperPriors) {
                Hyper hyper = alone;
                hyper.spread = prior.spread;
                hyper.paperDeparture = prior.departure;
                hyper.logPrior += std::log(prior.weight / (1 - kWeightOfAnotherDriver));
                std::vector<Pooled> each;
                for (const Marginal& one : marginals) each.push_back(withDeviation(one, hyper, nullptr));
                Pooled all = each.front();
                for (std::size_t k = 1; k < papers; ++k) all.add(each[k], 1);
                for (Choice& choice : choices) {
                    Pooled company = choice.company == Company::onlyOne ? each[choice.one] : all;
                    if (choice.company == Company::withoutOne) company.add(each[choice.one], -1);
                    hyper.others = std::make_shared<const Pooled>(std::move(company));
                    choice.weights.push_back(solve(hyper, nullptr).logWeight);
                    choice.hypers.push_back(hyper);
                }
            }
        }
    }
    // What a choice leaves out is explained on its own: a stray by itself, or the others without the stray.
    std::vector<double> evidence;
    for (const Choice& choice : choices) {
        std::vector<double> weights = choice.weights;
        evidence.push_back(normalise(weights));
    }
    std::vector<double> weights;
    std::vector<Hyper> shared;
    for (std::size_t c = 0; c < choices.size(); ++c) {
        const Choice& choice = choices[c];
        double logPrior = std::log(choice.prior);
        if (choice.company == Company::withoutOne) logPrior += evidence[c + 1];
        if (choice.company == Company::onlyOne) logPrior += evidence[c - 1];
        for (std::size_t i = 0; i < choice.hypers.size(); ++i) {
            weights.push_back(choice.weights[i] + logPrior);
            shared.push_back(choice.hypers[i]);
            shared.back().logPrior += logPrior + std::log(1 - kWeightOfAnotherDriver);
        }
    }
    const double allEvidence = normalise(weights);
    for (Hyper& hyper : hypers) hyper.logPrior += std::log(kWeightOfAnotherDriver) + allEvidence;
    for (std::size_t i = 0; i < shared.size(); ++i) {
        if (weights[i] > 1e-6) hypers.push_back(std::move(shared[i]));
    }
    return hypers;
}

void ResponseModel::fitAll(const std::vector<Hyper>& hypers) {
    // The noise first; then everything at the noises that remain.
    std::vector<double> weights;
    std::vector<Noise> noiseOfFit;
    for (const WeighedNoise& noise : noisesOf(*paper_, hypers)) {
        if (noise.weight < 0.04) continue;
        for (Fit& fit : fitsOf(*paper_, noise.noise, hypers)) {
            weights.push_back(fit.logWeight);
            noiseOfFit.push_back(noise.noise);
            fits_.push_back(std::move(fit));
        }
    }
    normalise(weights);
    std::vector<Fit> kept;
    for (std::size_t i = 0; i < fits_.size(); ++i) {
        patchNoise_ += weights[i] * kPatchNoises[noiseOfFit[i].patch];
        printNoise_ += weights[i] * noiseOfFit[i].print;
        if (fits_[i].hyper.others) beliefInKnowledge_ += weights[i];
        if (weights[i] < 1e-5) continue;
        fits_[i].logWeight = std::log(weights[i]);
        kept.push_back(std::move(fits_[i]));
    }
    fits_ = std::move(kept);
}

std::vector<ResponseModel::Draw> ResponseModel::draw(std::size_t count, std::uint64_t seed) const {
    const auto axes = static_cast<Index>(axes_);
    // Systematic resampling over (fit, component): every weight gets its share of the draws, give or take
    // one.
    std::vector<std::pair<const Fit*, std::size_t>> places;
    std::vector<double> weights;
    for (const Fit& fit : fits_) {
        for (std::size_t k = 0; k < components_.size(); ++k) {
            places.emplace_back(&fit, k);
            weights.push_back(std::exp(fit.logWeight) * fit.weights[k]);
        }
    }
    double total = 0;
    for (const double weight : weights) total += weight;
    Random random(seed);
    std::vector<Draw> draws;
    draws.reserve(count);
    double reached = 0;
    std::size_t place = 0;
    const double offset = random.uniform();
    for (std::size_t i = 0; i < count; ++i) {
        const double target = (static_cast<double>(i) + offset) / static_cast<double>(count) * total;
        while (place + 1 < places.size() && reached + weights[place] < target) reached += weights[place++];
        const Fit& fit = *places[place].first;
        const MixingComponent& component = components_[places[place].second];
        Draw one{&fit, {}, {}};
        const double gain = fit.hyper.gain;
        for (int c = 0; c < kChannels; ++c) {
            double variance = component.variance * gain * gain;
            VectorXd mean = VectorXd::Zero(axes);
            if (c == kLightness) {
                variance = std::pow(kLightnessShare * gain, 2);
            } else {
                mean = gain * component.mean.row(c).transpose();
            }
            const auto channel = static_cast<std::size_t>(c);
            const Eigen::LLT<MatrixXd> posterior(fit.mixingInformation +
                                                 MatrixXd::Identity(axes, axes) / variance);
            const VectorXd mixing = drawn(posterior, fit.mixingRight.col(c) + mean / variance, random);
            const VectorXd rest = drawn(fit.rest, fit.restRight.col(c) - fit.coupling * mixing, random);
            VectorXd& response = one.response[channel];
            response.resize(axes + rest.size());
            response << mixing, rest;
            const Marginal& paper = *fit.paper;
            if (fit.deviation) {
                response += drawn(*fit.deviation,
                                  paper.informationRight.col(c) - paper.information * response, random);
            }
            one.own[channel] = drawn(paper.precision, paper.right.col(c) - paper.coupling * response, random);
        }
        draws.push_back(std::move(one));
    }
    return draws;
}

colour::Tint ResponseModel::sharedError(std::size_t draws, std::uint64_t seed) const {
    colour::Tint mean;
    if (!paper_->errorIsShared) return mean;
    const Index at = paper_->ownColumns() - 1;
    for (const Draw& one : draw(draws, seed)) {
        mean.a += one.own[kA][at] / static_cast<double>(draws);
        mean.b += one.own[kB][at] / static_cast<double>(draws);
    }
    return mean;
}

std::vector<World> ResponseModel::worlds(std::size_t count, std::uint64_t seed) const {
    const auto axes = static_cast<Index>(axes_);
    const auto tones = static_cast<Index>(tones_.size());
    const Index terms = termCount(axes_);
    MatrixXd base(tones, kBaseTerms);
    MatrixXd departure(tones, kDepartureTerms);
    std::array<VectorXd, kShapes.size()> shapeWeight;
    for (Index t = 0; t < tones; ++t) {
        base.row(t) = baseAt(tones_[static_cast<std::size_t>(t)]);
        departure.row(t) = departureAt(tones_[static_cast<std::size_t>(t)]);
    }
    for (std::size_t s = 0; s < kShapes.size(); ++s) {
        shapeWeight[s].resize(tones);
        for (Index t = 0; t < tones; ++t) {
            shapeWeight[s][t] = weightAt(kShapes[s], tones_[static_cast<std::size_t>(t)]);
        }
    }
    const VectorXd termsOfOrigin = termsOfDeflection(origin_);
    std::vector<World> out;
    out.reserve(count);
    for (const Draw& one : draw(count, seed)) {
        World world;
        const VectorXd& weight = shapeWeight[one.fit->hyper.shape];
        for (std::size_t c = 0; c < kChannels; ++c) {
            const VectorXd& response = one.response[c];
            MatrixXd& field = world.field[c];
            field.resize(tones, 1 + terms);
            for (Index j = 0; j < axes; ++j) {
                field.col(1 + j) = weight * response[j] +
                                   departure * response.segment(axes + j * kDepartureTerms, kDepartureTerms);
            }
            field.rightCols(terms - axes) = weight * response.tail(terms - axes).transpose();
            field.col(0) = base * one.own[c].head(kBaseTerms) - field.rightCols(terms) * termsOfOrigin;
        }
        out.push_back(std::move(world));
    }
    return out;
}

std::vector<MatrixXd> ResponseModel::responses(double tone, std::size_t count, std::uint64_t seed) const {
    const auto axes = static_cast<Index>(axes_);
    const VectorXd departure = departureAt(tone);
    std::vector<MatrixXd> out;
    for (const Draw& one : draw(count, seed)) {
        MatrixXd response(kChannels, axes);
        const double weight = weightAt(kShapes[one.fit->hyper.shape], tone);
        for (Index c = 0; c < kChannels; ++c) {
            const VectorXd& drawn = one.response[static_cast<std::size_t>(c)];
            for (Index j = 0; j < axes; ++j) {
                response(c, j) = weight * drawn[j] +
                                 departure.dot(drawn.segment(axes + j * kDepartureTerms, kDepartureTerms));
            }
        }
        out.push_back(std::move(response));
    }
    return out;
}

}  // namespace greywright::steer

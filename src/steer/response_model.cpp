#include "steer/response_model.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

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
// Knowledge brought along: how far one paper's response may lie from another's, and how far it is believed.
struct CarriedPrior {
    double spread;
    double departure;
    double weight;
};
constexpr std::array<CarriedPrior, 2> kCarriedPriors{{{0.12, 0.06, 0.65}, {0.30, 0.15, 0.25}}};
constexpr double kFreshWeightBesideCarried = 0.10;

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

struct Component {
    MatrixXd mean;  // 2 x axes, in units of the gain
    double variance;
    double weight;
};

std::vector<Component> mixtureComponents(std::size_t axes, bool carried, double spread) {
    const auto j = static_cast<Index>(axes);
    if (carried) return {{MatrixXd::Zero(2, j), spread * spread, 1}};
    if (axes != 2) return {{MatrixXd::Zero(2, j), 1, 1}};
    std::vector<Component> components{{MatrixXd::Zero(2, j), 1, kBroadWeight}};
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

/// Normalises log weights in place to weights that sum to one.
void normalise(std::vector<double>& logWeights) {
    const double top = *std::max_element(logWeights.begin(), logWeights.end());
    double sum = 0;
    for (double& weight : logWeights) sum += weight = std::exp(weight - top);
    for (double& weight : logWeights) weight /= sum;
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

struct ResponseModel::Fit {
    Hyper hyper;
    double logWeight = 0;            // evidence and prior of the hyperparameters, all else integrated out
    Eigen::LLT<MatrixXd> precision;  // of everything but the mixing
    MatrixXd right;                  // its right-hand sides, one column a channel
    MatrixXd coupling;               // to the mixing's columns
    MatrixXd mixingInformation;      // axes x axes
    MatrixXd mixingRight;            // axes x channels
    std::vector<Component> components;
    std::vector<double> weights;  // of the components, posterior
};

ResponseModel::ResponseModel(const Evidence& evidence, std::size_t axes, const DriverKnowledge* knowledge)
    : axes_(axes), trials_(evidence.deflections.size()), tones_(evidence.tones) {
    expects(!evidence.observations.empty(), "a response model needs observations");
    if (knowledge != nullptr) carried_ = *knowledge;
    assemble(evidence);
    fitAll(knowledge);
}

double ResponseModel::carriedResponse(int channel, std::size_t axis, double tone) const {
    const std::vector<double>& grid = carried_->tones;
    const std::vector<double>& values = carried_->response[static_cast<std::size_t>(channel)][axis];
    const auto above = std::lower_bound(grid.begin(), grid.end(), tone);
    if (above == grid.begin()) return values.front();
    if (above == grid.end()) return values.back();
    const auto i = static_cast<std::size_t>(above - grid.begin());
    const double share = (tone - grid[i - 1]) / (grid[i] - grid[i - 1]);
    return values[i - 1] + share * (values[i] - values[i - 1]);
}

void ResponseModel::assemble(const Evidence& evidence) {
    observations_ = evidence.observations.size();
    const auto rows = static_cast<Index>(observations_);
    const Index terms = termCount(axes_);
    errorIsShared_ = std::ranges::any_of(evidence.observations,
                                         [](const Observation& seen) { return seen.sharedError > 0; });
    const bool anyOwn =
        std::ranges::any_of(evidence.observations, [](const Observation& seen) { return seen.ownError > 0; });
    const Index columns = commonColumns() + static_cast<Index>(kShapes.size()) * terms;
    MatrixXd design = MatrixXd::Zero(rows, columns);
    MatrixXd fresh(rows, kChannels);
    MatrixXd carried(rows, kChannels);
    for (Index r = 0; r < rows; ++r) {
        const Observation& seen = evidence.observations[static_cast<std::size_t>(r)];
        const std::vector<double>& u = evidence.deflections[seen.trial];
        const VectorXd departure = departureAt(seen.tone);
        const VectorXd termValues = termsOfDeflection(u);
        design.row(r).head(kBaseTerms) = baseAt(seen.tone);
        Index at = kBaseTerms;
        for (std::size_t j = 0; j < axes_; ++j, at += kDepartureTerms) {
            design.row(r).segment(at, kDepartureTerms) = u[j] * departure;
        }
        design.row(r).segment(at + kPrintTerms * static_cast<Index>(seen.trial), kPrintTerms) =
            printAt(seen.tone);
        at += kPrintTerms * static_cast<Index>(trials_);
        if (errorIsShared_) design(r, at++) = seen.sharedError;
        for (const Shape& shape : kShapes) {
            design.row(r).segment(at, terms) = weightAt(shape, seen.tone) * termValues;
            at += terms;
        }
        for (int c = 0; c < kChannels; ++c) {
            fresh(r, c) = carried(r, c) = seen.value[static_cast<std::size_t>(c)];
            if (!carried_) continue;
            for (std::size_t j = 0; j < axes_; ++j) carried(r, c) -= u[j] * carriedResponse(c, j, seen.tone);
        }
    }
    const auto sum = [&](const MatrixXd& weighted) {
        Sums sums;
        sums.gram = weighted.transpose() * design;
        sums.rightFresh = weighted.transpose() * fresh;
        sums.rightCarried = weighted.transpose() * carried;
        return sums;
    };
    if (!anyOwn) {
        sums_ = {sum(design)};
        for (int c = 0; c < kChannels; ++c) {
            sums_.front().squareFresh[static_cast<std::size_t>(c)] = fresh.col(c).squaredNorm();
            sums_.front().squareCarried[static_cast<std::size_t>(c)] = carried.col(c).squaredNorm();
        }
        return;
    }
    for (const double patchNoise : kPatchNoises) {
        VectorXd weight(rows);
        for (Index r = 0; r < rows; ++r) {
            const double share = evidence.observations[static_cast<std::size_t>(r)].ownError / patchNoise;
            weight[r] = 1 / (1 + share * share);
        }
        Sums sums = sum(weight.asDiagonal() * design);
        for (int c = 0; c < kChannels; ++c) {
            const auto i = static_cast<std::size_t>(c);
            sums.squareFresh[i] = weight.dot(fresh.col(c).cwiseAbs2());
            sums.squareCarried[i] = weight.dot(carried.col(c).cwiseAbs2());
        }
        sums.logOwn = -0.5 * weight.array().log().sum();
        sums_.push_back(std::move(sums));
    }
}

Index ResponseModel::commonColumns() const {
    return kBaseTerms + static_cast<Index>(axes_) * kDepartureTerms +
           kPrintTerms * static_cast<Index>(trials_) + (errorIsShared_ ? 1 : 0);
}

std::shared_ptr<ResponseModel::Fit> ResponseModel::solve(const Hyper& hyper, std::size_t patch,
                                                         double printNoise) const {
    const double patchNoise = kPatchNoises[patch];
    const Sums& sums = sums_[sums_.size() == 1 ? 0 : patch];
    const auto axes = static_cast<Index>(axes_);
    const Index terms = termCount(axes_);
    const Index shared = commonColumns();
    const Index shapeAt = shared + static_cast<Index>(hyper.shape) * terms;
    const Index nonlinear = terms - axes;
    const Index size = shared + nonlinear;

    // A floor keeps the sums well conditioned when a term has no prior room at all.
    VectorXd prior(size);
    static const VectorXd basePrior = basePriorVariance();
    static const VectorXd departurePrior = departurePriorVariance();
    prior.head(kBaseTerms) = basePrior.cwiseMax(1e-8);
    const double departureSd = hyper.departure * hyper.gain;
    for (Index j = 0; j < axes; ++j) {
        prior.segment(kBaseTerms + j * kDepartureTerms, kDepartureTerms) =
            (departureSd * departureSd * departurePrior).cwiseMax(1e-8);
    }
    prior.segment(kBaseTerms + axes * kDepartureTerms, kPrintTerms * static_cast<Index>(trials_))
        .setConstant(printNoise * printNoise);
    if (errorIsShared_) prior[shared - 1] = 1;
    prior.tail(nonlinear) = (nonlinearPriorShare(axes_) * hyper.gain).array().square();

    const double precision = 1 / (patchNoise * patchNoise);
    MatrixXd matrix(size, size);
    matrix.topLeftCorner(shared, shared) = sums.gram.topLeftCorner(shared, shared);
    matrix.bottomLeftCorner(nonlinear, shared) = sums.gram.block(shapeAt + axes, 0, nonlinear, shared);
    matrix.topRightCorner(shared, nonlinear) = matrix.bottomLeftCorner(nonlinear, shared).transpose();
    matrix.bottomRightCorner(nonlinear, nonlinear) =
        sums.gram.block(shapeAt + axes, shapeAt + axes, nonlinear, nonlinear);
    matrix *= precision;
    matrix.diagonal() += prior.cwiseInverse();

    const MatrixXd& right = hyper.carried ? sums.rightCarried : sums.rightFresh;
    auto fit = std::make_shared<Fit>();
    fit->hyper = hyper;
    fit->precision.compute(matrix);
    fit->right.resize(size, kChannels);
    fit->right << right.topRows(shared), right.middleRows(shapeAt + axes, nonlinear);
    fit->right *= precision;
    fit->coupling.resize(size, axes);
    fit->coupling << sums.gram.block(0, shapeAt, shared, axes),
        sums.gram.block(shapeAt + axes, shapeAt, nonlinear, axes);
    fit->coupling *= precision;

    MatrixXd both(size, kChannels + axes);
    both << fit->right, fit->coupling;
    fit->precision.matrixL().solveInPlace(both);
    const auto halfRight = both.leftCols(kChannels);
    const auto halfCoupling = both.rightCols(axes);
    fit->mixingInformation =
        precision * sums.gram.block(shapeAt, shapeAt, axes, axes) - halfCoupling.transpose() * halfCoupling;
    fit->mixingRight = precision * right.middleRows(shapeAt, axes) - halfCoupling.transpose() * halfRight;

    const double logDeterminant =
        2 * fit->precision.matrixLLT().diagonal().array().log().sum() + prior.array().log().sum();
    const auto& squares = hyper.carried ? sums.squareCarried : sums.squareFresh;
    fit->logWeight = hyper.logPrior;
    for (const int c : {kA, kB}) {
        fit->logWeight += -0.5 * squares[static_cast<std::size_t>(c)] * precision +
                          0.5 * halfRight.col(c).squaredNorm() - 0.5 * logDeterminant -
                          static_cast<double>(observations_) * std::log(patchNoise) - sums.logOwn;
    }
    mixtureOf(*fit);
    return fit;
}

void ResponseModel::mixtureOf(Fit& fit) const {
    const auto axes = static_cast<Index>(axes_);
    fit.components = mixtureComponents(axes_, fit.hyper.carried, fit.hyper.spread);
    fit.weights.clear();
    double previousVariance = -1;
    Eigen::LLT<MatrixXd> posterior;
    const double gain = fit.hyper.gain;
    for (const Component& component : fit.components) {
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
    const double top = *std::max_element(fit.weights.begin(), fit.weights.end());
    double sum = 0;
    for (const double weight : fit.weights) sum += std::exp(weight - top);
    fit.logWeight += top + std::log(sum);
    normalise(fit.weights);
}

void ResponseModel::fitAll(const DriverKnowledge* knowledge) {
    std::vector<Hyper> hypers;
    const double freshWeight = knowledge == nullptr ? 1 : kFreshWeightBesideCarried;
    double freshSum = 0;
    for (const double gain : kGains)
        freshSum += std::exp(-0.5 * std::pow(std::log(gain / kUsualGain) / kGainSpread, 2));
    const double freshNorm = std::log(freshSum * static_cast<double>(kShapes.size() * kDepartures.size()));
    for (std::size_t shape = 0; shape < kShapes.size(); ++shape) {
        for (const double gain : kGains) {
            for (const double departure : kDepartures) {
                const double off = std::log(gain / kUsualGain) / kGainSpread;
                hypers.push_back(
                    {shape, gain, departure, 1, false, std::log(freshWeight) - 0.5 * off * off - freshNorm});
            }
        }
        if (knowledge == nullptr) continue;
        const double gain = std::max(knowledge->gain, 0.5);
        for (const CarriedPrior& prior : kCarriedPriors) {
            const double share = knowledge->uncertainty / gain;
            hypers.push_back({shape, gain * std::sqrt(1 + share * share), prior.departure, prior.spread, true,
                              std::log(prior.weight / static_cast<double>(kShapes.size()))});
        }
    }

    // The noise first, at the likeliest of the other choices; then everything at the noises that remain.
    const auto likeliest = [&](std::size_t patch, double print) {
        std::shared_ptr<Fit> best;
        for (const Hyper& hyper : hypers) {
            auto fit = solve(hyper, patch, print);
            if (!best || fit->logWeight > best->logWeight) best = std::move(fit);
        }
        return best->hyper;
    };
    const Hyper start = likeliest(1, kPrintNoises[1]);
    struct Noise {
        std::size_t patch;
        double print, logPrior;
    };
    std::vector<Noise> noises;
    std::vector<double> noiseWeights;
    for (std::size_t patch = 0; patch < kPatchNoises.size(); ++patch) {
        for (const double print : kPrintNoises) {
            // Print noise near 0.15 is the rule; the grid's ends are half as likely.
            const double prior = print == kPrintNoises[1] ? std::log(2.0) : 0.0;
            noises.push_back({patch, print, prior});
            noiseWeights.push_back(solve(start, patch, print)->logWeight + prior);
        }
    }
    normalise(noiseWeights);
    std::vector<double> weights;
    std::vector<Noise> noiseOfFit;
    for (std::size_t n = 0; n < noises.size(); ++n) {
        if (noiseWeights[n] < 0.04) continue;
        for (const Hyper& hyper : hypers) {
            fits_.push_back(solve(hyper, noises[n].patch, noises[n].print));
            noiseOfFit.push_back(noises[n]);
            weights.push_back(fits_.back()->logWeight + noises[n].logPrior);
        }
    }
    normalise(weights);
    std::vector<std::shared_ptr<Fit>> kept;
    for (std::size_t i = 0; i < fits_.size(); ++i) {
        patchNoise_ += weights[i] * kPatchNoises[noiseOfFit[i].patch];
        printNoise_ += weights[i] * noiseOfFit[i].print;
        if (fits_[i]->hyper.carried) carriedBelief_ += weights[i];
        if (weights[i] < 1e-5) continue;
        fits_[i]->logWeight = std::log(weights[i]);
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
    for (const auto& fit : fits_) {
        for (std::size_t k = 0; k < fit->components.size(); ++k) {
            places.emplace_back(fit.get(), k);
            weights.push_back(std::exp(fit->logWeight) * fit->weights[k]);
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
        const Component& component = fit.components[places[place].second];
        Draw drawn{&fit, MatrixXd(kChannels, axes), {}};
        const double gain = fit.hyper.gain;
        for (int c = 0; c < kChannels; ++c) {
            double variance = component.variance * gain * gain;
            VectorXd mean = VectorXd::Zero(axes);
            if (c == kLightness) {
                variance = fit.hyper.carried ? variance : std::pow(kLightnessShare * gain, 2);
            } else {
                mean = gain * component.mean.row(c).transpose();
            }
            const Eigen::LLT<MatrixXd> posterior(fit.mixingInformation +
                                                 MatrixXd::Identity(axes, axes) / variance);
            VectorXd noise(axes);
            for (double& z : noise) z = random.normal();
            const VectorXd mixing =
                posterior.solve(fit.mixingRight.col(c) + mean / variance) + posterior.matrixU().solve(noise);
            drawn.mixing.row(c) = mixing.transpose();
            VectorXd restNoise(fit.right.rows());
            for (double& z : restNoise) z = random.normal();
            drawn.rest[static_cast<std::size_t>(c)] =
                fit.precision.solve(fit.right.col(c) - fit.coupling * mixing) +
                fit.precision.matrixU().solve(restNoise);
        }
        draws.push_back(std::move(drawn));
    }
    return draws;
}

colour::Tint ResponseModel::sharedError(std::size_t draws, std::uint64_t seed) const {
    colour::Tint mean;
    if (!errorIsShared_) return mean;
    const Index at = commonColumns() - 1;
    for (const Draw& drawn : draw(draws, seed)) {
        mean.a += drawn.rest[kA][at] / static_cast<double>(draws);
        mean.b += drawn.rest[kB][at] / static_cast<double>(draws);
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
    std::array<MatrixXd, kChannels> carried;
    for (int c = 0; c < kChannels && carried_; ++c) {
        carried[static_cast<std::size_t>(c)].resize(tones, axes);
        for (Index t = 0; t < tones; ++t) {
            for (std::size_t j = 0; j < axes_; ++j) {
                carried[static_cast<std::size_t>(c)](t, static_cast<Index>(j)) =
                    carriedResponse(c, j, tones_[static_cast<std::size_t>(t)]);
            }
        }
    }
    std::vector<World> out;
    out.reserve(count);
    for (const Draw& drawn : draw(count, seed)) {
        World world;
        const VectorXd& weight = shapeWeight[drawn.fit->hyper.shape];
        for (std::size_t c = 0; c < kChannels; ++c) {
            const VectorXd& rest = drawn.rest[c];
            MatrixXd& field = world.field[c];
            field.resize(tones, 1 + terms);
            field.col(0) = base * rest.head(kBaseTerms);
            for (Index j = 0; j < axes; ++j) {
                field.col(1 + j) =
                    weight * drawn.mixing(static_cast<Index>(c), j) +
                    departure * rest.segment(kBaseTerms + j * kDepartureTerms, kDepartureTerms);
                if (drawn.fit->hyper.carried) field.col(1 + j) += carried[c].col(j);
            }
            field.rightCols(terms - axes) = weight * rest.tail(terms - axes).transpose();
        }
        out.push_back(std::move(world));
    }
    return out;
}

std::vector<std::vector<MatrixXd>> ResponseModel::responses(std::span<const double> tones, std::size_t count,
                                                            std::uint64_t seed) const {
    const auto axes = static_cast<Index>(axes_);
    const std::vector<Draw> draws = draw(count, seed);
    std::vector<std::vector<MatrixXd>> out;
    for (const double tone : tones) {
        const VectorXd departure = departureAt(tone);
        std::vector<MatrixXd>& atTone = out.emplace_back();
        for (const Draw& drawn : draws) {
            MatrixXd response = drawn.mixing * weightAt(kShapes[drawn.fit->hyper.shape], tone);
            for (Index c = 0; c < kChannels; ++c) {
                const VectorXd& rest = drawn.rest[static_cast<std::size_t>(c)];
                for (Index j = 0; j < axes; ++j) {
                    response(c, j) +=
                        departure.dot(rest.segment(kBaseTerms + j * kDepartureTerms, kDepartureTerms));
                    if (!drawn.fit->hyper.carried) continue;
                    response(c, j) += carriedResponse(static_cast<int>(c), static_cast<std::size_t>(j), tone);
                }
            }
            atTone.push_back(std::move(response));
        }
    }
    return out;
}

DriverKnowledge ResponseModel::knowledge(std::uint64_t seed) const {
    constexpr std::size_t kSteps = 40;
    constexpr std::size_t kDraws = 64;
    DriverKnowledge known;
    for (std::size_t i = 0; i <= kSteps; ++i) known.tones.push_back(static_cast<double>(i) / kSteps);
    for (auto& channel : known.response) channel.assign(axes_, {});
    const std::vector<std::vector<MatrixXd>> drawn = responses(known.tones, kDraws, seed);
    for (std::size_t i = 0; i <= kSteps; ++i) {
        MatrixXd mean = MatrixXd::Zero(kChannels, static_cast<Index>(axes_));
        for (const MatrixXd& response : drawn[i]) mean += response / static_cast<double>(kDraws);
        for (Index c = 0; c < kChannels; ++c) {
            for (Index j = 0; j < mean.cols(); ++j) {
                known.response[static_cast<std::size_t>(c)][static_cast<std::size_t>(j)].push_back(
                    mean(c, j));
            }
        }
        if (i != kSteps / 2) continue;
        double variance = 0;
        for (const MatrixXd& response : drawn[i]) variance += (response - mean).topRows(2).squaredNorm();
        const double entries = 2.0 * static_cast<double>(axes_);
        known.uncertainty = std::sqrt(variance / (static_cast<double>(kDraws) * entries));
        known.gain = std::sqrt(mean.topRows(2).squaredNorm() / static_cast<double>(axes_));
    }
    return known;
}

}  // namespace greywright::steer

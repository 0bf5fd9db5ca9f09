#include "correct/monotone.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

#include "core/contract.h"

namespace greywright::correct {
namespace {

using Eigen::MatrixXd;
using Eigen::VectorXd;

// The least fall from one coefficient to the next, so that a level stretch still has one inverse.
// Units: share of the whole range.
constexpr double kLeastFall = 1e-5;

// Where the first dots fall and where black fills in, tone may bend more sharply than between. Found on the
// invented printers; a share of the weight of roughness elsewhere.
constexpr double kEndWeight = 1e-5;

/// Pools neighbours that rise until none does (weights all equal), then tilts level stretches a little.
void poolRises(VectorXd& values) {
    struct Block {
        double mean;
        double count;
    };
    std::vector<Block> blocks;
    for (const double value : values) {
        blocks.push_back({value, 1});
        while (blocks.size() > 1 && blocks.back().mean >= blocks[blocks.size() - 2].mean) {
            const Block last = blocks.back();
            blocks.pop_back();
            Block& into = blocks.back();
            into.mean = (into.mean * into.count + last.mean * last.count) / (into.count + last.count);
            into.count += last.count;
        }
    }
    Eigen::Index at = 0;
    for (const Block& block : blocks) {
        for (double k = 0; k < block.count; ++k) values[at++] = block.mean;
    }
    const double least = kLeastFall * std::max(1.0, values[0] - values[values.size() - 1]);
    for (Eigen::Index i = 1; i < values.size(); ++i) values[i] = std::min(values[i], values[i - 1] - least);
}

struct Likeliest {
    double weight = 0;
    double variance = 0;
    double score = std::numeric_limits<double>::infinity();
};

}  // namespace

double FallingFit::shapeError(double x) const {
    const VectorXd shape = spline.at(x) - (1 - x) * spline.at(0) - x * spline.at(1);
    return std::sqrt(std::max(0.0, shape.dot(covariance * shape)));
}

double FallingFit::where(double value) const {
    double low = 0;
    double high = 1;
    if (value >= at(low)) return low;
    if (value <= at(high)) return high;
    for (int halving = 0; halving < 50; ++halving) {
        const double middle = (low + high) / 2;
        (at(middle) > value ? low : high) = middle;
    }
    return (low + high) / 2;
}

FallingFit fitFalling(std::span<const double> x, std::span<const double> y, double priorNoise,
                      double priorWeight) {
    expects(x.size() == y.size() && x.size() >= 4, "four data or more, x and y alike");
    expects(priorNoise > 0, "noise is above zero");
    const auto count = static_cast<Eigen::Index>(x.size());
    FallingFit fit;
    fit.spline = Spline(std::clamp(static_cast<int>(count) - 1, 10, 40));
    const Eigen::Index size = fit.spline.size();
    MatrixXd basis(count, size);
    VectorXd data(count);
    for (Eigen::Index i = 0; i < count; ++i) {
        basis.row(i) = fit.spline.at(x[static_cast<std::size_t>(i)]).transpose();
        data[i] = y[static_cast<std::size_t>(i)];
    }
    const MatrixXd gram = basis.transpose() * basis;
    const VectorXd moment = basis.transpose() * data;
    // A straight line is not rough, so two of the coefficients' dimensions are free.
    const double penalised = static_cast<double>(size - 2);
    const double freedom = static_cast<double>(count - 2) + priorWeight;
    const MatrixXd roughness = fit.spline.roughness(kEndWeight);
    Likeliest best;
    for (double exponent = -9; exponent <= 3; exponent += 0.25) {
        const double weight = std::pow(10, exponent);
        const Eigen::LLT<MatrixXd> factor(gram + weight * roughness);
        if (factor.info() != Eigen::Success) continue;
        const VectorXd solution = factor.solve(moment);
        const double misfit = std::max(0.0, data.squaredNorm() - moment.dot(solution));
        const double variance = (misfit + priorWeight * priorNoise * priorNoise) / freedom;
        const double logDeterminant = 2 * factor.matrixLLT().diagonal().array().log().sum();
        const double score = freedom * std::log(variance) + logDeterminant - penalised * std::log(weight);
        if (score < best.score) best = {weight, variance, score};
    }
    MatrixXd system = gram + best.weight * roughness;
    const Eigen::LLT<MatrixXd> factor(system);
    fit.coefficients = factor.solve(moment);
    fit.covariance = best.variance * factor.solve(MatrixXd::Identity(size, size));
    fit.noise = std::sqrt(best.variance);
    fit.roughnessWeight = best.weight;
    // Rising steps are drawn level by a heavy penalty on them alone, until the same steps rise as before.
    constexpr double kHeavy = 1e5;
    std::vector<bool> rises(static_cast<std::size_t>(size - 1), false);
    for (int round = 0; round < 30; ++round) {
        bool changed = false;
        for (Eigen::Index i = 0; i + 1 < size; ++i) {
            const auto at = static_cast<std::size_t>(i);
            if (rises[at] || fit.coefficients[i + 1] <= fit.coefficients[i]) continue;
            rises[at] = changed = true;
            system(i, i) += kHeavy;
            system(i + 1, i + 1) += kHeavy;
            system(i, i + 1) -= kHeavy;
            system(i + 1, i) -= kHeavy;
        }
        if (!changed) break;
        fit.coefficients = Eigen::LLT<MatrixXd>(system).solve(moment);
    }
    poolRises(fit.coefficients);
    return fit;
}

}  // namespace greywright::correct

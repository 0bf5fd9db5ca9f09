#include "correct/neutral_model.h"

#include <cmath>
#include <limits>

namespace greywright::correct {
namespace {

using Eigen::MatrixXd;
using Eigen::VectorXd;

constexpr double kFullCode = 65535;

// Colours count half at this distance from the table (our choice: the wider step of a near-neutral sheet).
constexpr double kNear = 0.05;

// The noise expected of a patch and worth how many patches that is (common practice). Units: CIELAB.
constexpr double kUsualNoise = 0.12;
constexpr double kUsualWeight = 10;

// How large a bend and a slope may be expected to be. Units: CIELAB per squared, per single full range.
constexpr double kUsualBend = 250;
constexpr double kUsualSlope = 300;

double meanOf(const Codes& codes) {
    return (codes[0] + codes[1] + codes[2]) / 3;
}

}  // namespace

NeutralModel::Spot NeutralModel::spotOf(const Codes& codes) const {
    const double mean = meanOf(codes);
    double low = 0;
    double high = 1;
    for (int halving = 0; halving < 40; ++halving) {
        const double middle = (low + high) / 2;
        (meanOf(centre_.at(100 * middle)) > mean ? low : high) = middle;
    }
    const double tone = (low + high) / 2;
    const Codes base = centre_.at(100 * tone);
    const double red = (codes[0] - base[0]) / kFullCode;
    const double green = (codes[1] - base[1]) / kFullCode;
    const double blue = (codes[2] - base[2]) / kFullCode;
    return {tone, (2 * red - green - blue) / std::sqrt(6.0), (green - blue) / std::sqrt(2.0)};
}

VectorXd NeutralModel::rowOf(const Spot& spot) const {
    const Eigen::Index slopeSize = slope_.size(), bendSize = bend_.size();
    VectorXd out(main_.size() + 2 * slopeSize + 3 * bendSize);
    const VectorXd slope = slope_.at(spot.tone);
    const VectorXd bend = bend_.at(spot.tone);
    out << main_.at(spot.tone), spot.p * slope, spot.q * slope, spot.p * spot.p * bend,
        spot.p * spot.q * bend, spot.q * spot.q * bend;
    return out;
}

NeutralModel::NeutralModel(std::span<const NeutralPatch> patches, const NeutralTable& centre)
    : centre_(centre) {
    const auto count = static_cast<Eigen::Index>(patches.size());
    const Eigen::Index mainSize = main_.size(), slopeSize = slope_.size(), bendSize = bend_.size();
    const Eigen::Index size = mainSize + 2 * slopeSize + 3 * bendSize;
    MatrixXd rows(count, size);
    MatrixXd data(count, 3);
    VectorXd weight(count);
    for (Eigen::Index i = 0; i < count; ++i) {
        const NeutralPatch& patch = patches[static_cast<std::size_t>(i)];
        const Spot spot = spotOf(patch.codes);
        const double distance = std::hypot(spot.p, spot.q) / kNear;
        weight[i] = 1 / (1 + distance * distance);
        rows.row(i) = rowOf(spot).transpose();
        data.row(i) << patch.lab.L, patch.lab.a, patch.lab.b;
    }
    const MatrixXd gram = rows.transpose() * weight.asDiagonal() * rows;
    const MatrixXd mainRough = main_.roughness(1e-2);
    const MatrixXd slopeRough = slope_.roughness();
    const double freedom = static_cast<double>(count) - 2 + kUsualWeight;
    for (Eigen::Index channel = 0; channel < 3; ++channel) {
        const VectorXd weighted = weight.asDiagonal() * data.col(channel);
        const VectorXd moment = rows.transpose() * weighted;
        const double square = data.col(channel).dot(weighted);
        double best = std::numeric_limits<double>::infinity();
        const auto at = static_cast<std::size_t>(channel);
        for (double mainPower = -8; mainPower <= 2; mainPower += 0.5) {
            for (double slopePower = -9; slopePower <= -3; slopePower += 1) {
                const double mainWeight = std::pow(10, mainPower), slopeWeight = std::pow(10, slopePower);
                MatrixXd system = gram;
                system.topLeftCorner(mainSize, mainSize) += mainWeight * mainRough;
                for (const Eigen::Index begin : {mainSize, mainSize + slopeSize}) {
                    auto block = system.block(begin, begin, slopeSize, slopeSize);
                    block += slopeWeight * slopeRough;
                    block.diagonal().array() += std::pow(kUsualNoise / kUsualSlope, 2);
                }
                system.diagonal().tail(3 * bendSize).array() += std::pow(kUsualNoise / kUsualBend, 2);
                const Eigen::LLT<MatrixXd> factor(system);
                if (factor.info() != Eigen::Success) continue;
                const VectorXd solution = factor.solve(moment);
                const double misfit = std::max(0.0, square - moment.dot(solution));
                const double variance = (misfit + kUsualWeight * kUsualNoise * kUsualNoise) / freedom;
                const double score = freedom * std::log(variance) +
                                     2 * factor.matrixLLT().diagonal().array().log().sum() -
                                     static_cast<double>(mainSize - 2) * std::log(mainWeight) -
                                     2 * static_cast<double>(slopeSize - 2) * std::log(slopeWeight);
                if (score >= best) continue;
                best = score;
                weights_[at] = solution;
                noise_[at] = std::sqrt(variance);
            }
        }
    }
}

colour::Lab NeutralModel::at(const Codes& codes) const {
    const VectorXd row = rowOf(spotOf(codes));
    return {row.dot(weights_[0]), row.dot(weights_[1]), row.dot(weights_[2])};
}

}  // namespace greywright::correct

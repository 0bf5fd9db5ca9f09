#include "steer/worlds.h"

#include <algorithm>
#include <cmath>

#include "colour/difference.h"

namespace greywright::steer {
namespace {

// How far the full formula may exceed the short one: no more than this share a unit of the larger chroma,
// up to a chroma of 15 (worlds_test.cpp).
constexpr double kNearNeutralChroma = 15;
constexpr double kExcessPerChroma = 0.014;

/// CIEDE2000 squared at equal lightness for small chroma: the hue weight T and the blue rotation term are
/// left out, the rescaling of a* is kept (ISO/CIE 11664-6).
double nearNeutralSquare(double aimA, double aimB, double aimChroma, double da, double db) {
    const double a = aimA + da;
    const double b = aimB + db;
    const double meanChroma = 0.5 * (aimChroma + std::sqrt(a * a + b * b));
    const double cubed = meanChroma * meanChroma * meanChroma;
    const double seventh = cubed * cubed * meanChroma;
    constexpr double kSeventhOf25 = 6103515625.0;
    const double stretch = 1.5 - 0.5 * std::sqrt(seventh / (seventh + kSeventhOf25));
    const double stretchedA = stretch * a;
    const double stretchedAimA = stretch * aimA;
    const double chroma = std::sqrt(stretchedA * stretchedA + b * b);
    const double wanted = std::sqrt(stretchedAimA * stretchedAimA + aimB * aimB);
    const double dChroma = chroma - wanted;
    const double dStretched = stretch * da;
    const double dHueSquare = std::max(0.0, dStretched * dStretched + db * db - dChroma * dChroma);
    const double mean = 0.5 * (chroma + wanted);
    const double scaleC = 1 + 0.045 * mean;
    const double scaleH = 1 + 0.015 * mean;
    return dChroma * dChroma / (scaleC * scaleC) + dHueSquare / (scaleH * scaleH);
}

}  // namespace

Worlds::Worlds(Rows rows, std::vector<World> worlds) : rows_(std::move(rows)), worlds_(std::move(worlds)) {
    for (const colour::Tint& aim : rows_.aim) {
        aimA_.push_back(aim.a);
        aimB_.push_back(aim.b);
        aimChroma_.push_back(std::hypot(aim.a, aim.b));
    }
    mean_ = worlds_.front();
    for (std::size_t c = 0; c < kChannels; ++c) {
        for (std::size_t k = 1; k < worlds_.size(); ++k) mean_.field[c] += worlds_[k].field[c];
        mean_.field[c] /= static_cast<double>(worlds_.size());
    }
}

Eigen::MatrixXd Worlds::tint(std::size_t world, const Eigen::VectorXd& terms) const {
    const World& printer = worlds_[world];
    Eigen::MatrixXd out(printer.field[kA].rows(), 2);
    for (const int c : {kA, kB}) {
        const Eigen::MatrixXd& field = printer.field[static_cast<std::size_t>(c)];
        out.col(c) = field.col(0) + field.rightCols(terms.size()) * terms;
    }
    return out;
}

double Worlds::worstNear(std::size_t world, const Eigen::VectorXd& terms) const {
    const Eigen::MatrixXd residual = tint(world, terms);
    double worst = 0;
    for (Eigen::Index t = 0; t < residual.rows(); ++t) {
        const auto i = static_cast<std::size_t>(t);
        const double square =
            nearNeutralSquare(aimA_[i], aimB_[i], aimChroma_[i], residual(t, 0), residual(t, 1));
        worst = std::max(worst, rows_.scale[i] * rows_.scale[i] * square);
    }
    return std::sqrt(worst);
}

Worlds::Worst Worlds::worstExact(std::size_t world, const Eigen::VectorXd& terms) const {
    const Eigen::MatrixXd residual = tint(world, terms);
    const std::size_t rows = rows_.scale.size();
    Worst worst;
    const auto look = [&](std::size_t i) {
        const auto t = static_cast<Eigen::Index>(i);
        const double L = rows_.lightness[i];
        const double difference =
            rows_.scale[i] * colour::deltaE2000({L, aimA_[i] + residual(t, 0), aimB_[i] + residual(t, 1)},
                                                {L, aimA_[i], aimB_[i]});
        if (difference > worst.deltaE00) worst = {difference, i};
    };
    // The full formula is for the row that the short one finds worst, and for those that it cannot rule out.
    std::vector<double> near(rows);
    for (std::size_t i = 0; i < rows; ++i) {
        const auto t = static_cast<Eigen::Index>(i);
        near[i] = rows_.scale[i] * std::sqrt(nearNeutralSquare(aimA_[i], aimB_[i], aimChroma_[i],
                                                               residual(t, 0), residual(t, 1)));
    }
    const auto first = static_cast<std::size_t>(std::ranges::max_element(near) - near.begin());
    look(first);
    for (std::size_t i = 0; i < rows; ++i) {
        const auto t = static_cast<Eigen::Index>(i);
        const double a = aimA_[i] + residual(t, 0), b = aimB_[i] + residual(t, 1);
        const double chroma = std::max(aimChroma_[i], std::sqrt(a * a + b * b));
        const bool isRuledOut =
            chroma < kNearNeutralChroma && near[i] * (1 + kExcessPerChroma * chroma) < worst.deltaE00;
        if (i != first && !isRuledOut) look(i);
    }
    return worst;
}

Worlds::Expected Worlds::expected(const Eigen::VectorXd& terms) const {
    Expected out;
    std::vector<std::size_t> votes(rows_.tones.size());
    for (std::size_t k = 0; k < worlds_.size(); ++k) {
        const Worst one = worstExact(k, terms);
        out.worst.push_back(one.deltaE00);
        out.mean += one.deltaE00;
        ++votes[one.row];
    }
    out.mean /= static_cast<double>(worlds_.size());
    out.row = static_cast<std::size_t>(std::max_element(votes.begin(), votes.end()) - votes.begin());
    return out;
}

std::vector<colour::Tint> Worlds::meanTint(const Eigen::VectorXd& terms) const {
    std::vector<colour::Tint> out;
    for (Eigen::Index t = 0; t < mean_.field[kA].rows(); ++t) {
        const auto at = [&](Channel c) {
            const auto row = mean_.field[static_cast<std::size_t>(c)].row(t);
            return row[0] + row.tail(terms.size()).dot(terms);
        };
        out.push_back({at(kA), at(kB)});
    }
    return out;
}

double Worlds::meanWorst(const Eigen::VectorXd& terms) const {
    double sum = 0;
    for (std::size_t k = 0; k < worlds_.size(); ++k) sum += worstNear(k, terms);
    return sum / static_cast<double>(worlds_.size());
}

}  // namespace greywright::steer

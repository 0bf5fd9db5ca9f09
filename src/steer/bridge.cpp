#include "steer/bridge.h"

#include <algorithm>
#include <cmath>

#include "core/contract.h"
#include "core/random.h"
#include "steer/evidence.h"

namespace greywright::steer {
namespace {

using Eigen::Index;
using Eigen::Matrix2d;
using Eigen::MatrixXd;
using Eigen::RowVector2d;

constexpr double kSlopeSd = 0.15;
constexpr double kMisfit = 0.05;
constexpr double kMisfitCount = 4;
constexpr double kTonesOfASheet = 3;

/// One tone of one trial, seen under both lights.
struct Pair {
    long key = 0;
    double share = 1;  // of a tone's information
    RowVector2d residual, shift;
};

/// What a tone's pairs have in common.
struct AtTone {
    RowVector2d residual = RowVector2d::Zero();
    RowVector2d shift = RowVector2d::Zero();
    double lightness = 0;  // the light's L* less D50's
    double count = 0;
};

/// Between the tones that have been seen under the light, and at their ends.
AtTone interpolated(const std::map<long, AtTone>& tones, long key) {
    const auto above = tones.lower_bound(key);
    if (above == tones.begin()) return above->second;
    if (above == tones.end()) return std::prev(above)->second;
    const auto below = std::prev(above);
    const double share =
        static_cast<double>(key - below->first) / static_cast<double>(above->first - below->first);
    AtTone out = below->second;
    out.residual += share * (above->second.residual - out.residual);
    out.shift += share * (above->second.shift - out.shift);
    out.lightness += share * (above->second.lightness - out.lightness);
    return out;
}

void learnSlope(Bridge& bridge, const std::vector<Pair>& pairs, const std::map<long, AtTone>& tones) {
    Matrix2d square = Matrix2d::Zero();
    Matrix2d product = Matrix2d::Zero();
    const auto centred = [&](const Pair& pair) {
        const AtTone& mean = tones.at(pair.key);
        return std::pair<RowVector2d, RowVector2d>(pair.residual - mean.residual, pair.shift - mean.shift);
    };
    for (const Pair& pair : pairs) {
        const auto [residual, shift] = centred(pair);
        square += pair.share * residual.transpose() * residual;
        product += pair.share * residual.transpose() * shift;
    }
    const Matrix2d prior = Matrix2d::Identity() / (kSlopeSd * kSlopeSd);
    // The misfit at first as supposed, then as the pairs show it.
    bridge.misfit = kMisfit;
    Matrix2d precision;
    for (int pass = 0; pass < 3; ++pass) {
        const double certainty = 1 / (bridge.misfit * bridge.misfit);
        precision = certainty * square + prior;
        bridge.slope = precision.llt().solve(certainty * product);
        double sum = kMisfitCount * kMisfit * kMisfit;
        for (const Pair& pair : pairs) {
            const auto [residual, shift] = centred(pair);
            sum += (shift - residual * bridge.slope).squaredNorm();
        }
        const auto free = 2 * static_cast<double>(pairs.size() - tones.size());
        bridge.misfit = std::sqrt(sum / (free + kMisfitCount));
    }
    // The inverse of an upper factor of the precision is a square root of the covariance.
    const Eigen::LLT<Matrix2d> factor(precision);
    bridge.slopeError = factor.matrixU().solve(Matrix2d::Identity());
}

}  // namespace

Bridge bridgeToLight(const History& history, std::size_t light, const Evidence& evidence,
                     colour::TintAimKind aim) {
    const auto tonesUnder = [&](const Trial& trial) -> std::span<const ToneColour> {
        if (trial.under.empty()) return {};
        expects(trial.under.size() == history.lights.size(), "a trial has one list of tones for each light");
        const std::vector<ToneColour>& tones = trial.under[light];
        expects(tones.empty() || tones.size() == trial.tones.size(), "a light shows the trial's own tones");
        return tones;
    };
    std::vector<std::span<const ToneColour>> sheets;
    for (const Trial& trial : history.trials) sheets.push_back(tonesUnder(trial));
    const Ramp ramp = meanRamp(sheets);
    expects(!ramp.empty(), "every light needs a trial with tones under it");
    const colour::TintAim aimCurve = aimOfRamp(ramp, aim);

    std::vector<Pair> pairs;
    std::map<long, AtTone> tones;
    bool differs = false;
    for (std::size_t i = 0; i < sheets.size(); ++i) {
        for (std::size_t t = 0; t < sheets[i].size(); ++t) {
            const ToneColour& tone = history.trials[i].tones[t];
            const colour::Lab& seen = sheets[i][t].lab;
            const colour::Tint wanted = evidence.aimCurve.at(tone.lab.L);
            const colour::Tint wantedHere = aimCurve.at(seen.L);
            Pair pair{.key = toneKey(tone.tonePercent),
                      .share = std::min(1.0, kTonesOfASheet / static_cast<double>(sheets[i].size())),
                      .residual = {tone.lab.a - wanted.a, tone.lab.b - wanted.b},
                      .shift = {}};
            pair.shift = RowVector2d(seen.a - wantedHere.a, seen.b - wantedHere.b) - pair.residual;
            differs = differs || !pair.shift.isZero(0);
            AtTone& at = tones[pair.key];
            at.residual += pair.residual;
            at.shift += pair.shift;
            at.lightness += seen.L - tone.lab.L;
            at.count += 1;
            pairs.push_back(pair);
        }
    }
    for (auto& [key, at] : tones) {
        at.residual /= at.count;
        at.shift /= at.count;
        at.lightness /= at.count;
    }

    Bridge bridge;
    learnSlope(bridge, pairs, tones);
    if (!differs) {  // D50 itself: nothing is left to learn
        bridge.slope.setZero();
        bridge.slopeError.setZero();
    }
    const auto count = static_cast<Index>(evidence.tones.size());
    bridge.meanResidual.resize(count, 2);
    bridge.meanShift.resize(count, 2);
    for (Index t = 0; t < count; ++t) {
        const auto i = static_cast<std::size_t>(t);
        const AtTone at = interpolated(tones, toneKey(100 * evidence.tones[i]));
        bridge.meanResidual.row(t) = at.residual;
        bridge.meanShift.row(t) = at.shift;
        const double lightness = evidence.lightness[i] + at.lightness;
        bridge.rows.tones.push_back(evidence.tones[i]);
        bridge.rows.lightness.push_back(lightness);
        bridge.rows.aim.push_back(aimCurve.at(lightness));
        bridge.rows.scale.push_back(1);
        bridge.rows.light.push_back(light);
    }
    return bridge;
}

std::vector<World> worldsUnderLight(const Bridge& bridge, std::span<const World> underD50,
                                    std::uint64_t seed) {
    Random random(seed);
    std::vector<World> out;
    out.reserve(underD50.size());
    for (const World& world : underD50) {
        Matrix2d normal;
        for (double& z : normal.reshaped()) z = random.normal();
        const Matrix2d slope = bridge.slope + bridge.slopeError * normal;
        const MatrixXd offset = bridge.meanShift - bridge.meanResidual * slope;
        World& seen = out.emplace_back(world);
        for (const int c : {kA, kB}) {
            MatrixXd& field = seen.field[static_cast<std::size_t>(c)];
            field += slope(kA, c) * world.field[kA] + slope(kB, c) * world.field[kB];
            field.col(0) += offset.col(c);
        }
    }
    return out;
}

}  // namespace greywright::steer

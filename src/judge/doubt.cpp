#include "judge/doubt.h"

#include <algorithm>
#include <array>
#include <cmath>

#include <Eigen/Dense>

#include "colour/difference.h"
#include "core/random.h"
#include "core/said.h"
#include "judge/thresholds.h"
#include "judge/tint.h"

namespace greywright::judge {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

constexpr std::size_t kDraws = 800;
constexpr std::uint64_t kSeed = 90;
constexpr double kInside = 0.90;

// How tints run along the tones: judgements about inkjet printers, the same as those of steering
// (docs/methods/steering.md). Units: CIELAB; lengths in tone 0..1.
constexpr double kLevelSd = 6;
struct SmoothPart {
    double sd;
    double length;
};
constexpr std::array<SmoothPart, 3> kCourse{{{3.5, 0.30}, {0.8, 0.12}, {0.15, 0.05}}};
constexpr double kConditioning = 1e-6;

/// What is judged, one row a tone of 5 % and more.
struct Tones {
    std::vector<const PatchVerdict*> patches;
    MatrixXd read;       // deviation from the aim. Shape: tones x 2
    VectorXd paperGain;  // what the aim moves by for one unit of the paper's a* or b*
    VectorXd tone;       // 0..1
};

Tones tonesOf(const std::vector<PatchVerdict>& patches, const colour::TintAim& aim) {
    Tones out;
    for (const PatchVerdict& patch : patches) {
        if (patch.tonePercent >= kPalestJudgedTonePercent) out.patches.push_back(&patch);
    }
    const auto count = static_cast<Index>(out.patches.size());
    out.read.resize(count, 2);
    out.paperGain.resize(count);
    out.tone.resize(count);
    colour::TintAim unit = aim;
    unit.paper.a = 1;
    unit.toning = {};
    for (Index i = 0; i < count; ++i) {
        const PatchVerdict& patch = *out.patches[static_cast<std::size_t>(i)];
        const colour::Tint off = deviation(patch);
        out.read.row(i) << off.a, off.b;
        out.paperGain[i] = unit.at(patch.lab.L).a;
        out.tone[i] = patch.tonePercent / 100;
    }
    return out;
}

MatrixXd covarianceOf(const VectorXd& tone) {
    MatrixXd out(tone.size(), tone.size());
    for (Index i = 0; i < tone.size(); ++i) {
        for (Index j = 0; j < tone.size(); ++j) {
            out(i, j) = kLevelSd * kLevelSd;
            for (const SmoothPart& part : kCourse) {
                const double apart = (tone[i] - tone[j]) / part.length;
                out(i, j) += part.sd * part.sd * std::exp(-0.5 * apart * apart);
            }
        }
    }
    out.diagonal().array() += kConditioning;
    return out;
}

double worstOf(const Tones& tones, const MatrixXd& deviations) {
    double worst = 0;
    for (Index i = 0; i < deviations.rows(); ++i) {
        const PatchVerdict& patch = *tones.patches[static_cast<std::size_t>(i)];
        const double L = patch.lab.L;
        worst = std::max(
            worst, colour::deltaE2000({L, patch.aim.a + deviations(i, 0), patch.aim.b + deviations(i, 1)},
                                      {L, patch.aim.a, patch.aim.b}));
    }
    return worst;
}

double quantile(std::vector<double>& values, double share) {
    const auto place = values.begin() + std::lround(share * static_cast<double>(values.size() - 1));
    std::nth_element(values.begin(), place, values.end());
    return *place;
}

}  // namespace

Interval worstInterval(const std::vector<PatchVerdict>& patches, const colour::TintAim& aim,
                       const Doubt& doubt) {
    const double asRead = worstPatch(patches).deltaE00;
    if (doubt.isNone()) return {asRead, asRead};
    const Tones tones = tonesOf(patches, aim);
    const Index count = tones.tone.size();
    const double own = doubt.tones.own;
    const MatrixXd covariance = covarianceOf(tones.tone);
    const MatrixXd root = covariance.llt().matrixL();
    MatrixXd withNoise = covariance;
    withNoise.diagonal().array() += own * own;
    const MatrixXd smoothing = withNoise.llt().solve(covariance).transpose();

    Random random(kSeed);
    const auto normals = [&](Index rows) {
        MatrixXd out(rows, 2);
        for (Index i = 0; i < rows; ++i) out.row(i) << random.normal(), random.normal();
        return out;
    };
    std::vector<double> worst, worstOfErrors;
    for (std::size_t k = 0; k < kDraws; ++k) {
        const MatrixXd course = root * normals(count);
        const MatrixXd noise = own * normals(count);
        const MatrixXd inCommon = VectorXd::Ones(count) * (doubt.tones.shared * normals(1)) +
                                  tones.paperGain * (doubt.paper * normals(1));
        const MatrixXd smooth = course + smoothing * (tones.read - course - noise);
        worst.push_back(worstOf(tones, smooth - inCommon));
        worstOfErrors.push_back(worstOf(tones, noise + inCommon));
    }
    // The worst of several tones is read too large on average, and drawn larger still: the low end allows for
    // what the draws show of that (the basic bootstrap's limit, where it is the lower).
    Interval out{quantile(worst, (1 - kInside) / 2), quantile(worst, (1 + kInside) / 2)};
    const double likeliest = worstOf(tones, smoothing * tones.read);
    out.low = std::max(0.0, std::min(out.low, 2 * likeliest - out.high));
    if (asRead <= quantile(worstOfErrors, (1 + kInside) / 2)) out.low = 0;
    return {std::min(out.low, asRead), std::max(out.high, asRead)};
}

TintLevel levelWithin(double worst, const Interval& interval) {
    if (interval.low <= kNobodySeesDeltaE00 && interval.high > kNobodySeesDeltaE00) return TintLevel::unknown;
    return levelFromDeltaE00(worst);
}

std::string whatWouldTell(const Doubt& doubt) {
    if (doubt.tones.own > doubt.tones.shared) {
        return said("A measuring instrument would tell, or the mean of several readings of the same sheet.");
    }
    return said(
        "A measuring instrument would tell; a neutral card beside the sheet, or a scanner learned from "
        "one "
        "sheet read both ways, would narrow it down.");
}

}  // namespace greywright::judge

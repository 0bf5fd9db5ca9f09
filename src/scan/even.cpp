#include "scan/even.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <Eigen/Dense>

#include "core/contract.h"

namespace greywright::scan {
namespace {

constexpr int kMostDegree = 4;
constexpr double kLeastScale = 5e-4;

Eigen::Index termsOf(int degree) {
    return (degree + 1) * (degree + 2) / 2;
}

double median(std::vector<double> values) {
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

double componentOf(const Eigen::Vector3d& logLight, int component) {
    return component == 1 ? logLight[1] : logLight[component] - logLight[1];
}

struct Fitted {
    Eigen::VectorXd coefficients;
    double foretold = 0;  // how far left-out samples lie off, robustly
    double scale = 0;     // how far the samples lie off
};

Fitted fitOf(const Eigen::MatrixXd& terms, const Eigen::VectorXd& values) {
    const Eigen::Index count = terms.rows();
    Eigen::VectorXd weights = Eigen::VectorXd::Ones(count);
    Fitted out;
    Eigen::VectorXd residuals;
    Eigen::VectorXd leverages;
    for (int round = 0; round < 12; ++round) {
        const Eigen::MatrixXd weighted = weights.asDiagonal() * terms;
        Eigen::MatrixXd normal = terms.transpose() * weighted;
        normal.diagonal().array() += 1e-9 * static_cast<double>(count);
        const Eigen::LDLT<Eigen::MatrixXd> solver(normal);
        out.coefficients = solver.solve(weighted.transpose() * values);
        residuals = values - terms * out.coefficients;
        leverages = terms.cwiseProduct(solver.solve(terms.transpose()).transpose())
                        .rowwise()
                        .sum()
                        .cwiseProduct(weights);
        std::vector<double> sizes;
        for (Eigen::Index i = 0; i < count; ++i) sizes.push_back(std::abs(residuals[i]));
        const double freedom =
            static_cast<double>(count) / std::max(1.0, static_cast<double>(count - terms.cols()));
        out.scale = std::max(kLeastScale, 1.4826 * median(sizes) * std::sqrt(freedom));
        for (Eigen::Index i = 0; i < count; ++i) {
            const double off = residuals[i] / (4.685 * out.scale);
            weights[i] = std::abs(off) >= 1 ? 0 : std::pow(1 - off * off, 2);
        }
        // Never so few that the terms are not held.
        if (weights.sum() < static_cast<double>(terms.cols()) + 0.3 * static_cast<double>(count)) {
            weights.setConstant(1);
        }
    }
    double sum = 0;
    for (Eigen::Index i = 0; i < count; ++i) {
        const double off = residuals[i] / std::max(0.05, 1 - leverages[i]);
        sum += std::min(off * off, std::pow(4 * out.scale, 2));
    }
    out.foretold = std::sqrt(sum / static_cast<double>(count));
    return out;
}

}  // namespace

Eigen::VectorXd LightSurface::terms(const Eigen::Vector2d& mm, int degree) const {
    const double half = pageMm_.maxCoeff() / 2;
    const Eigen::Vector2d at = (mm.cwiseMax(0).cwiseMin(pageMm_) - pageMm_ / 2) / half;
    Eigen::VectorXd out(termsOf(degree));
    Eigen::Index k = 0;
    for (int total = 0; total <= degree; ++total) {
        for (int j = 0; j <= total; ++j) out[k++] = std::pow(at.x(), total - j) * std::pow(at.y(), j);
    }
    return out;
}

void LightSurface::fit(std::span<const BareSample> samples, int component) {
    const auto count = static_cast<Eigen::Index>(samples.size());
    Eigen::VectorXd values(count);
    for (Eigen::Index i = 0; i < count; ++i) {
        values[i] = componentOf(samples[static_cast<std::size_t>(i)].logLight, component);
    }
    double best = 0;
    for (int degree = 0; degree <= kMostDegree; ++degree) {
        if (degree > 0 && 2 * count < 3 * termsOf(degree) + 4) break;
        Eigen::MatrixXd rows(count, termsOf(degree));
        for (Eigen::Index i = 0; i < count; ++i) {
            rows.row(i) = terms(samples[static_cast<std::size_t>(i)].mm, degree).transpose();
        }
        const Fitted one = fitOf(rows, values);
        // A higher degree has to earn its place.
        if (degree > 0 && one.foretold > 0.95 * best) continue;
        best = one.foretold;
        coefficients_[component] = one.coefficients;
        degrees_[component] = degree;
        spread_[component] = one.scale;
    }
}

LightSurface::LightSurface(std::span<const BareSample> samples, const Eigen::Vector2d& pageMm)
    : pageMm_(pageMm) {
    expects(!samples.empty(), "LightSurface: one sample or more");
    for (int component = 0; component < 3; ++component) fit(samples, component);
    double low = 1e9;
    double high = -1e9;
    for (const BareSample& sample : samples) {
        const Eigen::Vector3d here = logLight(sample.mm);
        mean_ += here / static_cast<double>(samples.size());
        low = std::min(low, here[1]);
        high = std::max(high, here[1]);
    }
    unevennessStops_ = (high - low) / std::numbers::ln2;
}

Eigen::Vector3d LightSurface::logLight(const Eigen::Vector2d& mm) const {
    Eigen::Vector3d out;
    for (int component : {1, 0, 2}) {
        out[component] = terms(mm, degrees_[component]).dot(coefficients_[component]);
        if (component != 1) out[component] += out[1];
    }
    return out;
}

}  // namespace greywright::scan

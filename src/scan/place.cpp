#include "scan/place.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <set>

#include <Eigen/Dense>

namespace greywright::scan {
namespace {

constexpr std::size_t kLeastMarkers = 3;
// A marker that is farther off than this share of half the diagonal, before distortion is known, is wrong.
constexpr double kGross = 0.06;
// What corners are found to, at best; AprilTag's own spread on clean markers is below it.
constexpr double kLeastSigmaPx = 0.15;
// The share of the markers found that has to hold together.
constexpr double kLeastAgreeing = 0.6;
// How much a marker has to spoil the fit, as a factor of its spread, to be taken for wrong.
constexpr double kMuchBetter = 0.7;
// Distortion of lenses that people take such pictures with (assumption).
constexpr double kUsualK1 = 0.15;

double median(std::vector<double> values) {
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

}  // namespace

Placement::Placement(const Eigen::Vector2d& pageMm, const Eigen::Vector2d& picturePx)
    : pageMm_(pageMm),
      picturePx_(picturePx),
      halfPagesMm_(pageMm.norm() / 2),
      halfDiagonalPx_(picturePx.norm() / 2) {}

Eigen::Vector2d Placement::project(const Nine& p, const Eigen::Vector2d& mm) const {
    const Eigen::Vector2d at = (mm - pageMm_ / 2) / halfPagesMm_;
    const double w = p[6] * at.x() + p[7] * at.y() + 1;
    const Eigen::Vector2d plane{(p[0] * at.x() + p[1] * at.y() + p[2]) / w,
                                (p[3] * at.x() + p[4] * at.y() + p[5]) / w};
    return picturePx_ / 2 + plane * halfDiagonalPx_ * (1 + p[8] * plane.squaredNorm());
}

Eigen::Matrix<double, 2, 9> Placement::change(const Eigen::Vector2d& mm) const {
    constexpr double kStep = 1e-6;
    Eigen::Matrix<double, 2, 9> out;
    for (int i = 0; i < 9; ++i) {
        Nine up = parameters_;
        Nine down = parameters_;
        up[i] += kStep;
        down[i] -= kStep;
        out.col(i) = (project(up, mm) - project(down, mm)) / (2 * kStep);
    }
    return out;
}

Eigen::Matrix2d Placement::pxPerMm(const Eigen::Vector2d& mm) const {
    constexpr double kStep = 0.5;
    Eigen::Matrix2d out;
    for (int i = 0; i < 2; ++i) {
        const Eigen::Vector2d step = kStep * Eigen::Vector2d::Unit(i);
        out.col(i) = (pxFromMm(mm + step) - pxFromMm(mm - step)) / (2 * kStep);
    }
    return out;
}

std::optional<Nine> Placement::direct(std::span<const Corner> corners) const {
    Eigen::MatrixXd rows(2 * static_cast<Eigen::Index>(corners.size()), 8);
    Eigen::VectorXd wanted(rows.rows());
    Eigen::Index row = 0;
    for (const Corner& corner : corners) {
        const Eigen::Vector2d at = (corner.mm - pageMm_ / 2) / halfPagesMm_;
        const Eigen::Vector2d to = (corner.px - picturePx_ / 2) / halfDiagonalPx_;
        rows.row(row) << at.x(), at.y(), 1, 0, 0, 0, -to.x() * at.x(), -to.x() * at.y();
        rows.row(row + 1) << 0, 0, 0, at.x(), at.y(), 1, -to.y() * at.x(), -to.y() * at.y();
        wanted.segment<2>(row) = to;
        row += 2;
    }
    const Eigen::ColPivHouseholderQR<Eigen::MatrixXd> solver(rows);
    if (solver.rank() < 8) return std::nullopt;
    Nine out;
    out << solver.solve(wanted), 0;
    return out;
}

void Placement::refine(std::span<const Corner> corners) {
    // A weak belief in a usual lens keeps k1 where few markers say little of it.
    constexpr double kNoisePx = 0.5;
    const double belief = std::pow(kNoisePx / kUsualK1, 2);
    Eigen::Matrix<double, 9, 9> information;
    for (int round = 0; round < 25; ++round) {
        std::vector<double> distances;
        for (const Corner& corner : corners) distances.push_back((corner.px - pxFromMm(corner.mm)).norm());
        const double scale = std::max(kLeastSigmaPx, 1.2 * median(distances));
        information.setZero();
        Nine pull = Nine::Zero();
        for (std::size_t i = 0; i < corners.size(); ++i) {
            const double weight = std::min(1.0, 2 * scale / std::max(1e-9, distances[i]));
            const Eigen::Matrix<double, 2, 9> slope = change(corners[i].mm);
            information += weight * slope.transpose() * slope;
            pull += weight * slope.transpose() * (corners[i].px - pxFromMm(corners[i].mm));
        }
        information(8, 8) += belief;
        pull[8] -= belief * parameters_[8];
        information.diagonal() *= 1 + 1e-12;
        const Nine step = information.ldlt().solve(pull);
        parameters_ += step;
        if (step.norm() < 1e-10) break;
    }
    double squares = 0;
    double squaresMm = 0;
    for (const Corner& corner : corners) {
        const Eigen::Vector2d off = corner.px - pxFromMm(corner.mm);
        squares += off.squaredNorm();
        squaresMm += (pxPerMm(corner.mm).inverse() * off).squaredNorm();
    }
    const double count = static_cast<double>(corners.size());
    sigmaPx_ = std::max(kLeastSigmaPx, std::sqrt(squares / (2 * count - 8)));
    residualMm_ = std::sqrt(squaresMm / count);
    covariance_ = sigmaPx_ * sigmaPx_ * information.inverse();
}

std::optional<Placement> Placement::fit(std::span<const Anchor> anchors, const Eigen::Vector2d& pageMm,
                                        const Eigen::Vector2d& picturePx) {
    Placement out(pageMm, picturePx);
    std::vector<std::array<Corner, 4>> all;
    for (std::size_t i = 0; i < anchors.size(); ++i) {
        const sheet::RectMm& at = anchors[i].marker.at;
        std::array<Corner, 4> four;
        for (std::size_t k = 0; k < 4; ++k) {
            // Corners are those of the middle 5 of 9 cells.
            const double x = k == 1 || k == 2 ? 7.0 / 9 : 2.0 / 9;
            const double y = k >= 2 ? 7.0 / 9 : 2.0 / 9;
            four[k] = {{at.x + x * at.width, at.y + y * at.height}, anchors[i].found.corners[k], i};
        }
        all.push_back(four);
    }
    const auto worst = [&](const std::array<Corner, 4>& four) {
        double most = 0;
        for (const Corner& corner : four) most = std::max(most, (corner.px - out.pxFromMm(corner.mm)).norm());
        return most;
    };
    // Whichever two markers have the most others on their side begin.
    std::optional<Nine> best;
    double bestScore = 0;
    for (std::size_t i = 0; i < all.size(); ++i) {
        for (std::size_t j = i + 1; j < all.size(); ++j) {
            std::vector<Corner> two(all[i].begin(), all[i].end());
            two.insert(two.end(), all[j].begin(), all[j].end());
            const auto start = out.direct(two);
            if (!start) continue;
            out.parameters_ = *start;
            double score = 0;
            for (const auto& four : all) {
                score += std::max(0.0, 1 - worst(four) / (kGross * out.halfDiagonalPx_));
            }
            if (score > bestScore) {
                bestScore = score;
                best = start;
            }
        }
    }
    if (!best) return std::nullopt;
    out.parameters_ = *best;
    std::vector<std::size_t> kept;
    for (std::size_t i = 0; i < all.size(); ++i) {
        if (worst(all[i]) <= kGross * out.halfDiagonalPx_) kept.push_back(i);
    }
    const auto refit = [&](const std::vector<std::size_t>& markers) {
        std::vector<Corner> corners;
        for (const std::size_t i : markers) corners.insert(corners.end(), all[i].begin(), all[i].end());
        out.parameters_ = out.direct(corners).value_or(*best);
        out.refine(corners);
    };
    std::set<int> numbers;
    for (const Anchor& anchor : anchors) numbers.insert(anchor.marker.number);
    const std::size_t least =
        std::max(kLeastMarkers, static_cast<std::size_t>(std::ceil(kLeastAgreeing * double(numbers.size()))));
    if (kept.size() < least) return std::nullopt;
    refit(kept);
    // Markers go when the others agree much better without them, and then put them elsewhere: one, or two of
    // them, since two that were moved alike hide each other.
    const auto goWithout = [&](const std::vector<std::size_t>& places) {
        std::vector<std::size_t> others;
        for (std::size_t i = 0; i < kept.size(); ++i) {
            if (std::ranges::find(places, i) == places.end()) others.push_back(kept[i]);
        }
        return others;
    };
    const auto throwOut = [&](std::size_t count) {
        if (kept.size() < kLeastMarkers + count) return false;
        const double before = out.sigmaPx_;
        double lowest = before;
        double offPx = 0;
        std::vector<std::size_t> gone;
        const auto consider = [&](const std::vector<std::size_t>& places) {
            refit(goWithout(places));
            if (out.sigmaPx_ >= lowest) return;
            lowest = out.sigmaPx_;
            offPx = worst(all[kept[places.front()]]);
            for (const std::size_t place : places) offPx = std::min(offPx, worst(all[kept[place]]));
            gone = places;
        };
        for (std::size_t i = 0; i < kept.size(); ++i) {
            if (count == 1) consider({i});
            for (std::size_t j = i + 1; count == 2 && j < kept.size(); ++j) consider({i, j});
        }
        const bool isWrong =
            lowest < std::pow(kMuchBetter, double(count)) * before && offPx > std::max(1.0, 5 * lowest);
        if (isWrong) kept = goWithout(gone);
        refit(kept);
        return isWrong;
    };
    while (throwOut(1) || throwOut(2)) {
    }
    out.used_ = kept.size();
    std::set<int> held;
    for (const std::size_t i : kept) held.insert(anchors[i].marker.number);
    for (std::size_t i = 0; i < all.size(); ++i) {
        if (held.contains(anchors[i].marker.number)) continue;
        double squares = 0;
        for (const Corner& corner : all[i]) {
            const Eigen::Vector2d off = corner.px - out.pxFromMm(corner.mm);
            squares += (out.pxPerMm(corner.mm).inverse() * off).squaredNorm() / 4;
        }
        out.movedMm_.push_back(std::sqrt(squares));
    }
    if (kept.size() < least) return std::nullopt;
    if (!out.parameters_.allFinite()) return std::nullopt;
    return out;
}

double Placement::uncertaintyMm(const Eigen::Vector2d& mm) const {
    const Eigen::Matrix2d back = pxPerMm(mm).inverse();
    const Eigen::Matrix<double, 2, 9> slope = change(mm);
    const Eigen::Matrix2d ofFit = back * (slope * covariance_ * slope.transpose()) * back.transpose();
    const Eigen::Matrix2d ofPaper = sigmaPx_ * sigmaPx_ * back * back.transpose();
    return std::sqrt((ofFit + ofPaper).trace() / 2);
}

bool Placement::isStraight() const {
    constexpr double kMost = 0.015;
    const double scale = std::sqrt(std::abs(pxPerMm(pageMm_ / 2).determinant()));
    for (const double x : {0.05, 0.5, 0.95}) {
        for (const double y : {0.05, 0.5, 0.95}) {
            const Eigen::Matrix2d here = pxPerMm({x * pageMm_.x(), y * pageMm_.y()}) / scale;
            const Eigen::Matrix2d off = here.transpose() * here - Eigen::Matrix2d::Identity();
            if (off.cwiseAbs().maxCoeff() > 2 * kMost) return false;
        }
    }
    return true;
}

}  // namespace greywright::scan

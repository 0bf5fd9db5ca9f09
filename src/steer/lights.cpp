#include "steer/lights.h"

#include <algorithm>

#include <fmt/format.h>

#include "colour/words.h"
#include "core/contract.h"
#include "core/numbers.h"
#include "core/said.h"
#include "steer/bridge.h"

namespace greywright::steer {
namespace {

constexpr double kVisible = 1.0;
constexpr double kClearlyMore = 0.5;

/// A light's own stream of random numbers, whatever its place among the lights.
/// Source: FNV-1a, Fowler, Noll and Vo, 64 bits.
std::uint64_t hashOf(std::string_view name) {
    std::uint64_t hash = 14695981039346656037ULL;
    for (const char letter : name) {
        hash ^= static_cast<unsigned char>(letter);
        hash *= 1099511628211ULL;
    }
    return hash;
}

Eigen::VectorXd termsAt(const SettingGrid& grid, const SettingGrid::Steps& steps) {
    return termsOfDeflection(grid.deflection(grid.setting(steps)));
}

}  // namespace

Lights::Lights(const History& history, const Evidence& evidence, std::span<const World> underD50,
               const Options& options)
    : goals_(history.lights) {
    for (std::size_t i = 0; i < goals_.size(); ++i) {
        expects(goals_[i].weight > 0, "a light needs a positive weight");
        const Bridge bridge = bridgeToLight(history, i, evidence, options.aim);
        alone_.emplace_back(bridge.rows,
                            worldsUnderLight(bridge, underD50, options.seed ^ hashOf(goals_[i].name)));
    }
}

Worlds Lights::together() const {
    const std::size_t count = alone_.front().count();
    Rows rows;
    for (std::size_t i = 0; i < alone_.size(); ++i) {
        const Rows& one = alone_[i].rows();
        rows.tones.insert(rows.tones.end(), one.tones.begin(), one.tones.end());
        rows.lightness.insert(rows.lightness.end(), one.lightness.begin(), one.lightness.end());
        rows.aim.insert(rows.aim.end(), one.aim.begin(), one.aim.end());
        rows.scale.insert(rows.scale.end(), one.scale.size(), scale(i));
        rows.light.insert(rows.light.end(), one.light.begin(), one.light.end());
    }
    std::vector<World> stacked(count);
    for (std::size_t k = 0; k < count; ++k) {
        for (std::size_t c = 0; c < kChannels; ++c) {
            const Eigen::MatrixXd& first = alone_.front()[k].field[c];
            Eigen::MatrixXd& field = stacked[k].field[c];
            field.resize(static_cast<Eigen::Index>(rows.tones.size()), first.cols());
            Eigen::Index at = 0;
            for (const Worlds& light : alone_) {
                field.middleRows(at, first.rows()) = light[k].field[c];
                at += first.rows();
            }
        }
    }
    return {std::move(rows), std::move(stacked)};
}

void Lights::findBestAlone(const SettingGrid& grid, const std::vector<SettingGrid::Steps>& starts) {
    for (const Worlds& light : alone_) {
        const auto cost = [&](const SettingGrid::Steps& steps) {
            return light.meanWorst(termsAt(grid, steps));
        };
        const auto& start = *std::ranges::min_element(starts, {}, cost);
        bestAlone_.push_back(descend(grid, start, cost).first);
        bestAloneDeltaE00_.push_back(light.expected(termsAt(grid, bestAlone_.back())).mean);
    }
}

std::vector<LightPrediction> Lights::predictions(const SettingGrid& grid,
                                                 const SettingGrid::Steps& steps) const {
    std::vector<LightPrediction> out;
    for (std::size_t i = 0; i < alone_.size(); ++i) {
        const Worlds::Expected expected = alone_[i].expected(termsAt(grid, steps));
        out.push_back({.name = goals_[i].name,
                       .worstDeltaE00 = expected.mean,
                       .worstTonePercent = 100 * alone_[i].rows().tones[expected.row],
                       .bestAloneDeltaE00 = bestAloneDeltaE00_[i],
                       .bestAlone = grid.setting(bestAlone_[i])});
    }
    return out;
}

std::size_t Lights::hardestLight() const {
    std::size_t hardest = 0;
    for (std::size_t i = 1; i < alone_.size(); ++i) {
        if (scale(i) * bestAloneDeltaE00_[i] > scale(hardest) * bestAloneDeltaE00_[hardest]) hardest = i;
    }
    return hardest;
}

double Lights::worstAlone() const {
    return scale(hardestLight()) * bestAloneDeltaE00_[hardestLight()];
}

const Worlds& Lights::hardest() const {
    return alone_[hardestLight()];
}

bool Lights::disagree(double bestTogether) const {
    return bestTogether > kVisible && bestTogether >= worstAlone() + kClearlyMore;
}

std::string Lights::disagreement(const SettingGrid& grid) const {
    expects(alone_.size() >= 2, "it takes two to disagree");
    std::size_t suited = 0;
    std::size_t spoilt = 1;
    double most = -1;
    for (std::size_t i = 0; i < alone_.size(); ++i) {
        for (std::size_t j = 0; j < alone_.size(); ++j) {
            const double left =
                i == j ? -1 : scale(j) * alone_[j].expected(termsAt(grid, bestAlone_[i])).mean;
            if (left <= most) continue;
            most = left;
            suited = i;
            spoilt = j;
        }
    }
    const Eigen::VectorXd at = termsAt(grid, bestAlone_[suited]);
    const Worlds::Expected left = alone_[spoilt].expected(at);
    return said(
        "No setting pleases all lights: the grey is metameric, mixed from inks whose spectra differ. What "
        "suits {} leaves {} towards {} under {}",
        goals_[suited].name, textFromNumber(left.mean, 1),
        colour::tintName(alone_[spoilt].meanTint(at)[left.row]), goals_[spoilt].name);
}

double Lights::scale(std::size_t light) const {
    double largest = 0;
    for (const LightGoal& goal : goals_) largest = std::max(largest, goal.weight);
    return goals_[light].weight / largest;
}

}  // namespace greywright::steer

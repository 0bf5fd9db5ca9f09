#include <algorithm>
#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "core/said.h"
#include "sheet/colours.h"
#include "sheet/design.h"
#include "sheet/layout.h"
#include "sheet/tiles.h"

namespace greywright::sheet {
namespace {

constexpr double kFullCode = 65535;
constexpr std::size_t kMostGreys = 33;
constexpr std::size_t kMostSteps = 4;

// Towards red, yellow, green, cyan, blue, magenta: the axes of the three channels as they lie in the plane of
// equal sums, and their opposites, 60 degrees apart.
constexpr std::array<std::array<double, 3>, 6> kDirections{
    {{1, -0.5, -0.5}, {0.5, 0.5, -1}, {-0.5, 1, -0.5}, {-1, 0.5, 0.5}, {-0.5, -0.5, 1}, {0.5, -1, 0.5}}};

Outcome checkSteps(const std::vector<double>& steps) {
    if (steps.empty() || steps.size() > kMostSteps) {
        return layout::refusal("step-count", "steps", said("{} steps were asked for", steps.size()),
                               said("Ask for 1 to {} steps", kMostSteps));
    }
    for (std::size_t i = 0; i < steps.size(); ++i) {
        if (auto sound = checkStep(steps[i], 20); !sound) return sound;
        if (std::find(steps.begin(), steps.begin() + std::ptrdiff_t(i), steps[i]) ==
            steps.begin() + std::ptrdiff_t(i))
            continue;
        return layout::refusal("step-out-of-range", "steps", said("the step {} is there twice", steps[i]),
                               said("Give each step once"));
    }
    return Done{};
}

std::vector<Tile> tilesOf(const NeutralRequest& request, std::size_t& leftOut) {
    std::vector<Tile> tiles;
    for (const double tone : request.tonesPercent) {
        tiles.push_back({.tonePercent = tone, .rgb = colourBeside(tone, {})});
        for (const double step : request.stepsPercent) {
            for (const auto& [red, green, blue] : kDirections) {
                const auto rgb = colourBeside(tone, {red * step, green * step, blue * step});
                if (rgb) {
                    tiles.push_back({.tonePercent = tone, .rgb = rgb});
                } else {
                    ++leftOut;
                }
            }
        }
    }
    return tiles;
}

}  // namespace

Outcome checkStep(double stepPercent, double mostPercent) {
    constexpr double kLeastPercent = 0.1;
    if (std::isfinite(stepPercent) && stepPercent >= kLeastPercent && stepPercent <= mostPercent)
        return Done{};
    return layout::refusal("step-out-of-range", "step",
                           said("a step of {} percent cannot be made", stepPercent),
                           said("Give steps of {} to {} percent", kLeastPercent, mostPercent));
}

std::optional<std::array<std::uint16_t, 3>> colourBeside(double tonePercent,
                                                         const std::array<double, 3>& lightPercent) {
    std::array<std::uint16_t, 3> rgb{};
    for (std::size_t i = 0; i < rgb.size(); ++i) {
        const double code = codeOfTone(tonePercent) + std::round(kFullCode * lightPercent[i] / 100);
        if (code < 0 || code > kFullCode) return std::nullopt;
        rgb[i] = static_cast<std::uint16_t>(code);
    }
    return rgb;
}

Result<NeutralSheet> neutralSheet(const NeutralRequest& request) {
    if (auto sound = layout::checkTones(request.tonesPercent, 1, kMostGreys, "tones"); !sound)
        return std::move(sound).error();
    if (auto sound = checkSteps(request.stepsPercent); !sound) return std::move(sound).error();
    std::size_t leftOut = 0;
    const std::vector<Tile> tiles = tilesOf(request, leftOut);
    auto sheet = request.hasMarkers ? markedSheet({.kind = Kind::nearNeutral,
                                                   .title = request.title,
                                                   .tiles = tiles,
                                                   .sideMm = request.sideMm,
                                                   .shuffle = request.shuffle,
                                                   .page = request.page})
                                    : tiledSheet({.kind = Kind::nearNeutral,
                                                  .title = request.title,
                                                  .tiles = tiles,
                                                  .instrument = request.instrument,
                                                  .sizes = request.sizes,
                                                  .shuffle = request.shuffle,
                                                  .page = request.page});
    if (!sheet) return std::move(sheet).error();
    return NeutralSheet{.sheet = std::move(*sheet), .leftOut = leftOut};
}

}  // namespace greywright::sheet

#pragma once

// Private to the module: steering for several lights at once.

#include "steer/steer.h"
#include "steer/worlds.h"

namespace greywright::steer {

/// What each of a history's lights shows of the possible printers. The order of the lights changes nothing
/// but the order of what is told.
class Lights {
  public:
    /// Valid: as History says; without lights there is nothing to ask but isEmpty().
    Lights(const History& history, const Evidence& evidence, std::span<const World> underD50,
           const Options& options);

    [[nodiscard]] bool isEmpty() const { return alone_.empty(); }

    /// All lights as one, so that the worst row is the worst over lights and tones, each by its weight.
    [[nodiscard]] Worlds together() const;

    /// Finds the best setting of each light if there were no other, downhill from the best of some starts.
    void findBestAlone(const SettingGrid& grid, const std::vector<SettingGrid::Steps>& starts);

    // After findBestAlone:

    [[nodiscard]] std::vector<LightPrediction> predictions(const SettingGrid& grid,
                                                           const SettingGrid::Steps& steps) const;
    /// The worst that any light would show alone, and that light. Units: CIEDE2000 times the light's weight
    /// over the largest.
    [[nodiscard]] double worstAlone() const;
    [[nodiscard]] const Worlds& hardest() const;
    /// The best that all can have together is visible, and clearly worse than any would have alone.
    [[nodiscard]] bool disagree(double bestTogether) const;
    /// A sentence on the two lights that disagree most. Valid: two lights or more.
    [[nodiscard]] std::string disagreement(const SettingGrid& grid) const;

    [[nodiscard]] const std::string& name(std::size_t light) const { return goals_[light].name; }
    /// A light's weight over the largest.
    [[nodiscard]] double scale(std::size_t light) const;

  private:
    [[nodiscard]] std::size_t hardestLight() const;

    std::vector<LightGoal> goals_;
    std::vector<Worlds> alone_;                  // one a light, without weights
    std::vector<SettingGrid::Steps> bestAlone_;  // one a light
    std::vector<double> bestAloneDeltaE00_;
};

}  // namespace greywright::steer

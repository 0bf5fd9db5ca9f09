#pragma once

#include <cstdint>
#include <functional>
#include <vector>

#include "simulate/printer.h"
#include "steer/steer.h"

/// Searches played to their end on simulated printers; the benchmark runs many, a test a few.
namespace greywright::closed_loop {

/// A printer to find the neutral setting of, and the truth about it.
class Game {
  public:
    explicit Game(const simulate::Recipe& recipe);

    /// Prints and measures a sheet; every print has its own noise.
    [[nodiscard]] steer::Trial print(const steer::Setting& setting, int number);
    /// The noise-free worst tint at a setting. Units: CIEDE2000, D50, tones of 5 % and more.
    [[nodiscard]] double worst(const steer::Setting& setting) const;
    /// The least worst tint over all settings, by descents from many places and from `also`.
    [[nodiscard]] double bestWorst(const steer::Setting& also) const;

    [[nodiscard]] const std::vector<steer::TintAxis>& axes() const { return axes_; }

  private:
    std::vector<steer::TintAxis> axes_;
    std::unique_ptr<simulate::Printer> printer_;
    Random random_;
    std::vector<double> tones_;
};

/// How one search went.
struct Outcome {
    steer::Status status = steer::Status::print;  ///< `print` = it did not end within the limit
    std::size_t trials = 0;
    double regret = 0;  ///< worst tint of the final setting over the best attainable
    double bestWorst = 0;
    std::size_t intervals = 0;  ///< predictions made before a sheet was printed
    std::size_t covered = 0;    ///< how many of their 90 % intervals held the truth
};

/// Greywright's own search. `knowledge` of the driver or null.
[[nodiscard]] Outcome searchByModel(Game& game, const steer::DriverKnowledge* knowledge,
                                    std::size_t mostTrials, steer::History* record = nullptr);

/// By hand, one axis at a time with halving steps: try a step both ways, keep what is better, halve.
[[nodiscard]] Outcome searchByHalving(Game& game, std::size_t mostTrials);

/// By hand, push against the measured tint with a guessed gain and the axes' names believed, then scale.
[[nodiscard]] Outcome searchByPushing(Game& game, std::size_t mostTrials);

}  // namespace greywright::closed_loop

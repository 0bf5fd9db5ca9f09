#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "colour/lab.h"
#include "measure/reading.h"

namespace greywright::steer {

/// One axis of a driver's tint control. Units: the driver's own, which nobody publishes.
struct TintAxis {
    std::string name;
    double lowest = 0;
    double highest = 0;
    double step = 1;
};

/// One value for each axis, in the order of the axes.
using Setting = std::vector<double>;

/// The colour of one tone of a printed sheet.
struct ToneColour {
    double tonePercent = 0;  ///< 0 bare paper .. 100 maximum black
    colour::Lab lab;         ///< D50, 2 degrees
};

/// One sheet printed at one setting, and what was measured from it.
struct Trial {
    int number = 0;  ///< as the studio counts; only for texts
    Setting setting;
    std::vector<ToneColour> tones;  ///< any tones, in any order; a full ramp or a few blocks

    /// The same patches under each of History::lights, as CIELAB relative to that light's own white.
    /// Shape: [light][tone], tones as above and in their order. A light's list is empty, or all of it, where
    /// the trial has no spectra: then it says nothing about that light.
    std::vector<std::vector<ToneColour>> under = {};

    /// How far the tones may be off; absent for an instrument's. What is shared is one and the same error in
    /// all trials that have any, each in proportion to its own figure.
    std::optional<measure::Uncertainty> uncertainty = {};
};

/// A light that the prints shall look right under.
struct LightGoal {
    std::string name;   ///< for texts; of two lights never the same
    double weight = 1;  ///< a light of half the largest weight may show twice the tint
};

/// What is the same for all trials of one printing condition.
struct History {
    std::vector<TintAxis> axes;  ///< one to three
    std::vector<Trial> trials;

    /// What the prints shall be steered for. Empty: D50. Else D50 counts only if it is one of them, with
    /// Trial::under equal to Trial::tones there.
    /// Valid: positive weights; once anything is printed, every light has a trial with tones under it.
    std::vector<LightGoal> lights = {};
};

/// The settings that a driver accepts, as whole steps from the lowest value of each axis.
class SettingGrid {
  public:
    /// Valid: one to three axes with lowest < highest and a positive step.
    explicit SettingGrid(std::span<const TintAxis> axes);

    using Steps = std::vector<long>;

    [[nodiscard]] Setting setting(const Steps& steps) const;
    /// The accepted setting nearest to `setting`, which may lie anywhere.
    [[nodiscard]] Steps nearest(const Setting& setting) const;
    /// Keeps a step count inside the range.
    [[nodiscard]] Steps clamped(Steps steps) const;
    /// The setting in units of its largest deflection, -1..1: what the model works in.
    [[nodiscard]] std::vector<double> deflection(const Setting& setting) const;
    /// The largest deflection of each axis from zero. Units: the driver's.
    [[nodiscard]] double fullDeflection(std::size_t axis) const { return full_[axis]; }
    [[nodiscard]] long count(std::size_t axis) const { return counts_[axis]; }
    [[nodiscard]] std::size_t axes() const { return counts_.size(); }

  private:
    std::vector<TintAxis> axes_;
    std::vector<long> counts_;
    std::vector<double> full_;
};

}  // namespace greywright::steer

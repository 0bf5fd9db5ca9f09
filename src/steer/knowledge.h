#pragma once

#include <array>
#include <vector>

namespace greywright::steer {

/// What was learned of a driver's tint control on one paper, in a form that another paper can use.
struct DriverKnowledge {
    std::vector<double> tones;  ///< 0..1, ascending, from paper to black

    /// What one full deflection of an axis does at each of the tones.
    /// Units: CIELAB. Shape: [a*, b*, L*][axis][tone].
    std::array<std::vector<std::vector<double>>, 3> response;

    double gain = 0;                  ///< root mean square of the mid-tone response over axes, CIELAB units
    double uncertainty = 0;           ///< standard error of that response, CIELAB units
    std::vector<double> bestSetting;  ///< where the earlier paper ended, in the driver's units
};

/// One knowledge from several papers of the same driver, the most certain counting most; the spread between
/// the papers widens the uncertainty. Valid: at least one, all with the same axes and tones.
[[nodiscard]] DriverKnowledge combined(const std::vector<DriverKnowledge>& papers);

}  // namespace greywright::steer

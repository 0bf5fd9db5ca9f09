#pragma once

#include <vector>

#include "steer/control.h"

namespace greywright::steer {

/// What is known of a driver's tint control from other papers: their trials, which are learned from together
/// with those of the paper at hand. Made by learn().
struct DriverKnowledge {
    std::vector<History> papers;  ///< at least one, each with at least one trial; all with the same axes
    Setting bestSetting;          ///< where the last of them ended: where the next one starts
};

}  // namespace greywright::steer

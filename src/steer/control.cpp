#include "steer/control.h"

#include <algorithm>
#include <cmath>

#include "core/contract.h"

namespace greywright::steer {

SettingGrid::SettingGrid(std::span<const TintAxis> axes) : axes_(axes.begin(), axes.end()) {
    expects(!axes_.empty() && axes_.size() <= 3, "a tint control has one to three axes");
    for (const TintAxis& axis : axes_) {
        expects(axis.lowest < axis.highest && axis.step > 0, "an axis needs a range and a step");
        counts_.push_back(std::lround(std::floor((axis.highest - axis.lowest) / axis.step + 1e-9)) + 1);
        full_.push_back(std::max(std::abs(axis.lowest), std::abs(axis.highest)));
    }
}

Setting SettingGrid::setting(const Steps& steps) const {
    Setting out(axes_.size());
    for (std::size_t j = 0; j < axes_.size(); ++j) {
        const double value = axes_[j].lowest + static_cast<double>(steps[j]) * axes_[j].step;
        // A step such as 0.1 is no binary fraction: what is shown and stored shall be the decimal meant.
        out[j] = std::round(value * 1e9) / 1e9;
    }
    return out;
}

SettingGrid::Steps SettingGrid::nearest(const Setting& setting) const {
    expects(setting.size() == axes_.size(), "a setting has one value for each axis");
    Steps steps(axes_.size());
    for (std::size_t j = 0; j < axes_.size(); ++j) {
        steps[j] = std::lround((setting[j] - axes_[j].lowest) / axes_[j].step);
    }
    return clamped(std::move(steps));
}

SettingGrid::Steps SettingGrid::clamped(Steps steps) const {
    for (std::size_t j = 0; j < steps.size(); ++j) steps[j] = std::clamp(steps[j], 0L, counts_[j] - 1);
    return steps;
}

std::vector<double> SettingGrid::deflection(const Setting& setting) const {
    expects(setting.size() == axes_.size(), "a setting has one value for each axis");
    std::vector<double> out(axes_.size());
    for (std::size_t j = 0; j < axes_.size(); ++j) out[j] = setting[j] / full_[j];
    return out;
}

}  // namespace greywright::steer

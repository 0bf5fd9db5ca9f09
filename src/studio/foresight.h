#pragma once

#include <optional>

#include "steer/steer.h"
#include "studio/studio.h"

namespace greywright::studio {

/// A search with the map of its settings. Source: steer::settingMap().
struct Foresight {
    Search search = {};
    std::optional<steer::SettingMap> map = {};  ///< absent while nothing was measured

    /// The expected worst tint at the point of the map nearest to a setting. Units: CIEDE2000.
    [[nodiscard]] std::optional<double> worstNear(const steer::Setting& setting) const;
};

}  // namespace greywright::studio

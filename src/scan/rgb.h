#pragma once

#include <algorithm>

#include <Eigen/Dense>

#include "colour/colorimeter.h"
#include "colour/lab.h"
#include "picture/read.h"

namespace greywright::scan {

// D50 as ICC profiles have it. Source: ICC.1:2022, 7.2.16.
inline constexpr double kD50[3] = {0.9642, 1.0, 0.8249};

/// Linear light of sRGB's primaries brought to D50, in which lights are divided and multiplied.
/// Source: IEC 61966-2-1, adapted by Bradford's matrix (figures from memory), rows scaled to D50 of ICC.
inline Eigen::Matrix3d xyzFromRgb() {
    Eigen::Matrix3d m;
    m << 0.4360747, 0.3850649, 0.1430804, 0.2225045, 0.7168786, 0.0606169, 0.0139322, 0.0971045, 0.7141733;
    for (int i = 0; i < 3; ++i) m.row(i) *= kD50[i] / m.row(i).sum();
    return m;
}

inline Eigen::Vector3d rgbFromXyz(const picture::Triple& xyz) {
    static const Eigen::Matrix3d kBack = xyzFromRgb().inverse();
    return kBack * Eigen::Vector3d(xyz[0], xyz[1], xyz[2]);
}

inline colour::Lab labFromRgb(const Eigen::Vector3d& rgb) {
    static const Eigen::Matrix3d kForth = xyzFromRgb();
    const Eigen::Vector3d xyz = kForth * rgb;
    return colour::labFromXyz({xyz[0], xyz[1], xyz[2]}, {kD50[0], kD50[1], kD50[2]});
}

inline Eigen::Vector3d rgbFromLab(const colour::Lab& lab) {
    const colour::Xyz xyz = colour::xyzFromLab(lab, {kD50[0], kD50[1], kD50[2]});
    return rgbFromXyz({xyz.X, xyz.Y, xyz.Z});
}

/// Logarithms, of light that is there at all.
inline Eigen::Vector3d logOf(const Eigen::Vector3d& rgb) {
    return rgb.cwiseMax(1e-5).array().log();
}

}  // namespace greywright::scan

#include "colour/recolour.h"

#include <array>
#include <cmath>

#include <Eigen/Dense>

namespace greywright::colour {
namespace {

struct Band {
    double centreNm;
    double widthNm;
};
constexpr std::array<Band, 3> kBands{{{440, 45}, {545, 45}, {645, 55}}};
constexpr int kMostRounds = 20;
constexpr double kNearEnough = 1e-9;  // of Y = 100

Eigen::Vector3d vectorOf(const Xyz& xyz) {
    return {xyz.X, xyz.Y, xyz.Z};
}

}  // namespace

std::optional<std::vector<double>> recoloured(std::span<const double> reflectance,
                                              const Colorimeter& colorimeter, const Lab& wanted) {
    const WavelengthGrid& grid = colorimeter.grid();
    std::array<std::vector<double>, kBands.size()> bands;
    for (std::size_t k = 0; k < kBands.size(); ++k) {
        for (std::size_t i = 0; i < grid.count; ++i) {
            const double off = (grid.atNm(i) - kBands[k].centreNm) / kBands[k].widthNm;
            bands[k].push_back(std::exp(-0.5 * off * off));
        }
    }
    const Eigen::Vector3d aim = vectorOf(xyzFromLab(wanted, colorimeter.white()));
    std::vector<double> moved(reflectance.begin(), reflectance.end());
    std::vector<double> slope(grid.count);
    for (int round = 0; round < kMostRounds; ++round) {
        const Eigen::Vector3d missing = aim - vectorOf(colorimeter.xyzFromReflectance(moved));
        if (missing.norm() < kNearEnough) return moved;
        Eigen::Matrix3d slopes;
        for (std::size_t k = 0; k < kBands.size(); ++k) {
            for (std::size_t i = 0; i < grid.count; ++i) slope[i] = bands[k][i] * moved[i];
            slopes.col(static_cast<Eigen::Index>(k)) = vectorOf(colorimeter.xyzFromReflectance(slope));
        }
        const Eigen::Vector3d step = slopes.partialPivLu().solve(missing);
        if (!step.allFinite() || step.cwiseAbs().maxCoeff() > 5) return std::nullopt;
        for (std::size_t i = 0; i < grid.count; ++i)
            moved[i] *= std::exp(step[0] * bands[0][i] + step[1] * bands[1][i] + step[2] * bands[2][i]);
    }
    return std::nullopt;
}

}  // namespace greywright::colour

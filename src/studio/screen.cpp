#include "studio/screen.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "colour/colorimeter.h"

namespace greywright::studio {

std::array<double, 3> srgbFromLab(const colour::Lab& lab) {
    constexpr colour::Xyz kD50{96.422, 100, 82.521};
    constexpr double kMatrix[3][3] = {{3.1338561, -1.6168667, -0.4906146},
                                      {-0.9787684, 1.9161415, 0.0334540},
                                      {0.0719453, -0.2289914, 1.4052427}};
    const colour::Xyz xyz = colour::xyzFromLab(lab, kD50);
    std::array<double, 3> out{};
    for (std::size_t i = 0; i < out.size(); ++i) {
        const double linear = std::clamp(
            (kMatrix[i][0] * xyz.X + kMatrix[i][1] * xyz.Y + kMatrix[i][2] * xyz.Z) / 100, 0.0, 1.0);
        out[i] = linear <= 0.0031308 ? 12.92 * linear : 1.055 * std::pow(linear, 1 / 2.4) - 0.055;
    }
    return out;
}

}  // namespace greywright::studio

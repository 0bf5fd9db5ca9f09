#include "colour/colorimeter.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include <Eigen/Core>

#include "colour/cube_root.h"
#include "colour/interpolation.h"
#include "core/contract.h"

namespace greywright::colour {
namespace {

constexpr double kDelta = 6.0 / 29;
constexpr double kLinearSlope = 1 / (3 * kDelta * kDelta);
constexpr double kLinearOffset = 4.0 / 29;

double f(double t) {
    return t > kDelta * kDelta * kDelta ? std::cbrt(t) : t * kLinearSlope + kLinearOffset;
}

// f of every value in place.
void fOfAll(Eigen::Ref<Eigen::ArrayXd> values) {
    constexpr double join = kDelta * kDelta * kDelta;
    const std::span<double> all(values.data(), static_cast<std::size_t>(values.size()));
    if (values.minCoeff() > join) {
        cubeRoots(all);
        return;
    }
    const Eigen::ArrayXd before = values;
    values = values.max(join);
    cubeRoots(all);
    values = (before > join).select(values, before * kLinearSlope + kLinearOffset);
}

double inverseF(double u) {
    return u > kDelta ? u * u * u : (u - kLinearOffset) / kLinearSlope;
}

}  // namespace

Colorimeter::Colorimeter(const Observer& observer, const Light& light, const WavelengthGrid& grid)
    : grid_(grid), weights_(3 * grid.count, 0.0) {
    const auto fits = [](const std::vector<double>& values) { return values.size() == kFineGrid.count; };
    expects(light.power.grid == kFineGrid && fits(light.power.values),
            "Colorimeter: the light is not on kFineGrid");
    expects(fits(observer.xBar) && fits(observer.yBar) && fits(observer.zBar),
            "Colorimeter: the observer is not on kFineGrid");
    expects(grid.count > 0, "Colorimeter: the grid is empty");
    const std::size_t n = grid.count;
    double sumY = 0;
    double outsideY = 0;
    for (std::size_t i = 0; i < kFineGrid.count; ++i) {
        const double nm = kFineGrid.atNm(i);
        const double power = light.power.values[i];
        const double y = power * observer.yBar[i];
        sumY += y;
        if (nm < grid.startNm || nm > grid.endNm()) outsideY += y;
        for (const auto& [index, weight] : interpolationTerms(grid, nm)) {
            weights_[index] += weight * power * observer.xBar[i];
            weights_[n + index] += weight * y;
            weights_[2 * n + index] += weight * power * observer.zBar[i];
        }
    }
    expects(sumY > 0, "Colorimeter: the light has no power where the observer sees");
    for (double& weight : weights_) weight *= 100 / sumY;
    extrapolatedFraction_ = outsideY / sumY;
    white_ = xyzFromReflectance(std::vector<double>(n, 1.0));
}

Xyz Colorimeter::xyzFromReflectance(std::span<const double> reflectance) const {
    const std::size_t n = grid_.count;
    expects(reflectance.size() == n, "Colorimeter: one reflectance per wavelength of the grid");
    const auto sum = [&](std::size_t row) {
        const double* weights = weights_.data() + row * n;
        return std::inner_product(reflectance.begin(), reflectance.end(), weights, 0.0);
    };
    return {sum(0), sum(1), sum(2)};
}

Lab Colorimeter::labFromReflectance(std::span<const double> reflectance) const {
    return labFromXyz(xyzFromReflectance(reflectance), white_);
}

void Colorimeter::labsFromReflectances(std::span<const double> block, std::span<Lab> labs) const {
    const std::size_t n = grid_.count;
    expects(block.size() == labs.size() * n, "Colorimeter: one row of the block per result");
    constexpr std::size_t kRows = 256;  // at a time, so that what lies between stays in the cache
    using Rows = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;
    using Columns = Eigen::Matrix<double, Eigen::Dynamic, 3>;
    const auto index = [](std::size_t i) { return static_cast<Eigen::Index>(i); };
    Columns weights = Eigen::Map<const Columns>(weights_.data(), index(n), 3);
    weights.col(0) /= white_.X;
    weights.col(1) /= white_.Y;
    weights.col(2) /= white_.Z;
    for (std::size_t from = 0; from < labs.size(); from += kRows) {
        const std::size_t count = std::min(kRows, labs.size() - from);
        const Eigen::Map<const Rows> samples(block.data() + from * n, index(count), index(n));
        Eigen::Matrix<double, Eigen::Dynamic, 3, 0, kRows, 3> values(index(count), 3);
        values.noalias() = samples.lazyProduct(weights);  // quicker than the packed product for 3 columns
        fOfAll(values.reshaped().array());
        for (std::size_t i = 0; i < count; ++i) {
            const double fx = values(index(i), 0);
            const double fy = values(index(i), 1);
            const double fz = values(index(i), 2);
            labs[from + i] = {116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)};
        }
    }
}

Xyz whiteOf(const Light& light, const Observer& observer) {
    return Colorimeter(observer, light, kFineGrid).white();
}

Lab labFromXyz(const Xyz& xyz, const Xyz& white) {
    const double fx = f(xyz.X / white.X);
    const double fy = f(xyz.Y / white.Y);
    const double fz = f(xyz.Z / white.Z);
    return {116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)};
}

Xyz xyzFromLab(const Lab& lab, const Xyz& white) {
    const double fy = (lab.L + 16) / 116;
    return {white.X * inverseF(fy + lab.a / 500), white.Y * inverseF(fy),
            white.Z * inverseF(fy - lab.b / 200)};
}

double visualDensityFromY(double Y) {
    return -std::log10(std::max(Y, 1e-6) / 100);
}

}  // namespace greywright::colour

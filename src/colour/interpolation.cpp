#include "colour/interpolation.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "core/contract.h"

namespace greywright::colour {
namespace {

constexpr double kOnNode = 1e-9;  // grid steps; spares a polynomial where the wavelength is a sample

// CIE 167:2005: the two points before the first sample, from the first six samples (over 209).
constexpr std::array<std::array<double, 6>, 2> kBeforeFirst{
    {{884, -1960, 3033, -2648, 1080, -180}, {508, -540, 488, -367, 144, -24}}};

// Sprague's polynomial as six weights for the samples i-2 .. i+3 at the fraction t of a step after sample i.
std::array<double, 6> spragueWeights(double t) {
    constexpr std::array<std::array<double, 6>, 6> coefficients{{{0, 0, 24, 0, 0, 0},
                                                                 {2, -16, 0, 16, -2, 0},
                                                                 {-1, 16, -30, 16, -1, 0},
                                                                 {-9, 39, -70, 66, -33, 7},
                                                                 {13, -64, 126, -124, 61, -12},
                                                                 {-5, 25, -50, 50, -25, 5}}};
    std::array<double, 6> weights{};
    double power = 1.0 / 24;
    for (const auto& row : coefficients) {
        for (std::size_t k = 0; k < 6; ++k) weights[k] += row[k] * power;
        power *= t;
    }
    return weights;
}

std::vector<InterpolationTerm> spragueTerms(std::size_t count, std::size_t before, double t) {
    const std::array<double, 6> weights = spragueWeights(t);
    std::vector<double> total(count, 0.0);
    const auto last = static_cast<std::ptrdiff_t>(count) - 1;
    for (std::size_t k = 0; k < 6; ++k) {
        const auto at = static_cast<std::ptrdiff_t>(before + k) - 2;
        if (at >= 0 && at <= last) {
            total[static_cast<std::size_t>(at)] += weights[k];
            continue;
        }
        const auto& row = kBeforeFirst[static_cast<std::size_t>(at < 0 ? at + 2 : last + 2 - at)];
        for (std::size_t j = 0; j < 6; ++j) {
            total[at < 0 ? j : count - 1 - j] += weights[k] * row[j] / 209;
        }
    }
    std::vector<InterpolationTerm> terms;
    for (std::size_t i = 0; i < count; ++i) {
        if (total[i] != 0) terms.push_back({i, total[i]});
    }
    return terms;
}

}  // namespace

std::vector<InterpolationTerm> interpolationTerms(const WavelengthGrid& grid, double nm) {
    expects(grid.count > 0, "interpolationTerms: the grid is empty");
    expects(grid.count == 1 || grid.stepNm > 0, "interpolationTerms: wavelengths must rise");
    if (grid.count == 1 || nm <= grid.startNm) return {{0, 1}};
    if (nm >= grid.endNm()) return {{grid.count - 1, 1}};
    const double steps = (nm - grid.startNm) / grid.stepNm;
    const auto before = std::min(static_cast<std::size_t>(steps), grid.count - 2);
    const double t = steps - static_cast<double>(before);
    if (t < kOnNode) return {{before, 1}};
    if (t > 1 - kOnNode) return {{before + 1, 1}};
    if (grid.count < 6) return {{before, 1 - t}, {before + 1, t}};
    return spragueTerms(grid.count, before, t);
}

std::vector<std::vector<double>> onFineGrid(const WavelengthGrid& grid,
                                            std::span<const std::vector<double>> rows) {
    std::vector<std::vector<double>> fine(rows.size(), std::vector<double>(kFineGrid.count));
    for (const std::vector<double>& row : rows)
        expects(row.size() == grid.count, "onFineGrid: one value per wavelength");
    for (std::size_t i = 0; i < kFineGrid.count; ++i) {
        const std::vector<InterpolationTerm> terms = interpolationTerms(grid, kFineGrid.atNm(i));
        for (std::size_t row = 0; row < rows.size(); ++row) {
            double sum = 0;
            for (const auto& [index, weight] : terms) sum += weight * rows[row][index];
            fine[row][i] = sum;
        }
    }
    return fine;
}

std::vector<double> illuminantOnGrid(const WavelengthGrid& grid, std::span<const double> values,
                                     const WavelengthGrid& target) {
    expects(values.size() == grid.count && grid.count >= 2, "illuminantOnGrid: one value per wavelength");
    expects(grid.stepNm > 0, "illuminantOnGrid: wavelengths must rise");
    std::vector<double> fine(target.count, 0.0);
    for (std::size_t i = 0; i < target.count; ++i) {
        const double steps = (target.atNm(i) - grid.startNm) / grid.stepNm;
        if (steps < -kOnNode || steps > static_cast<double>(grid.count - 1) + kOnNode) continue;
        const double inside = std::clamp(steps, 0.0, static_cast<double>(grid.count - 1));
        const auto before = std::min(static_cast<std::size_t>(inside), grid.count - 2);
        fine[i] = std::lerp(values[before], values[before + 1], inside - static_cast<double>(before));
    }
    return fine;
}

Spectrum illuminantOnFineGrid(const WavelengthGrid& grid, std::span<const double> values) {
    return {kFineGrid, illuminantOnGrid(grid, values, kFineGrid)};
}

}  // namespace greywright::colour

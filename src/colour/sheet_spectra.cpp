#include "colour/sheet_spectra.h"

#include <algorithm>
#include <cmath>

#include "colour/interpolation.h"
#include "core/contract.h"

namespace greywright::colour {
namespace {

constexpr double kExcitationNm = 365;
constexpr double kExcitationWidthNm = 25;
constexpr double kExcitationEndNm = 430;

constexpr std::size_t kGlazingBefore = kUltravioletGrid.count;  // of kGlazingGrid before kFineGrid

constexpr std::size_t fineIndex(double nm) {
    return static_cast<std::size_t>(nm - kFineGrid.startNm);
}

// Where a brightener glows.
constexpr std::size_t kGlowBegins = fineIndex(410);
constexpr std::size_t kGlowEnds = fineIndex(500);

// A glow below this is noise of the instrument. Units: fraction of the perfect diffuser.
constexpr double kLeastGlow = 0.005;

double excitation(double nm) {
    const double z = (nm - kExcitationNm) / kExcitationWidthNm;
    return std::exp(-z * z / 2);
}

// Power of the glow at 1 nm, from what it adds to the radiance factor.
std::vector<double> glowFrom(const std::vector<double>& added, const Light& measuringLight) {
    std::vector<double> glow(added.size());
    for (std::size_t i = 0; i < glow.size(); ++i) glow[i] = added[i] * measuringLight.power.values[i];
    return glow;
}

}  // namespace

double excitingPower(const Light& light, const Glazing& glazing) {
    double sum = 0;
    for (std::size_t i = 0; i < light.ultraviolet.size(); ++i) {
        sum += excitation(kUltravioletGrid.atNm(i)) * light.ultraviolet[i] * glazing.at(i);
    }
    for (std::size_t i = 0; kFineGrid.atNm(i) <= kExcitationEndNm; ++i) {
        sum += excitation(kFineGrid.atNm(i)) * light.power.values[i] * glazing.at(kGlazingBefore + i);
    }
    return sum;
}

SheetSpectra sheetFromReflectances(const WavelengthGrid& grid,
                                   std::span<const std::vector<double>> reflectances) {
    return {.reflectance = onFineGrid(grid, reflectances)};
}

SheetSpectra sheetFromTwoReadings(const WavelengthGrid& grid,
                                  std::span<const std::vector<double>> withUltraviolet,
                                  std::span<const std::vector<double>> without, const Light& measuringLight) {
    expects(withUltraviolet.size() == without.size(), "sheetFromTwoReadings: the same patches twice");
    SheetSpectra sheet{.reflectance = onFineGrid(grid, without),
                       .measuredExcitation = excitingPower(measuringLight, {})};
    std::vector<std::vector<double>> with = onFineGrid(grid, withUltraviolet);
    for (std::size_t patch = 0; patch < without.size(); ++patch) {
        std::vector<double>& added = with[patch];
        for (std::size_t i = 0; i < added.size(); ++i) {
            // Below the glow the brightener takes light away and the two readings differ in other ways.
            added[i] = i >= kGlowBegins ? added[i] - sheet.reflectance[patch][i] : 0;
        }
        sheet.glow.push_back(glowFrom(added, measuringLight));
    }
    return sheet;
}

SheetSpectra sheetFromOneReading(const WavelengthGrid& grid,
                                 std::span<const std::vector<double>> withUltraviolet, std::size_t paper,
                                 const Light& measuringLight) {
    expects(paper < withUltraviolet.size(), "sheetFromOneReading: the paper is one of the patches");
    SheetSpectra sheet = sheetFromReflectances(grid, withUltraviolet);
    const std::vector<double>& white = sheet.reflectance[paper];

    // The straight line by least squares over 500 to 600 nm, never rising towards the blue.
    double sx = 0, sy = 0, sxx = 0, sxy = 0, n = 0;
    for (std::size_t i = fineIndex(500); i <= fineIndex(600); ++i, ++n) {
        const double x = kFineGrid.atNm(i);
        sx += x, sy += white[i], sxx += x * x, sxy += x * white[i];
    }
    const double slope = std::max(0.0, (n * sxy - sx * sy) / (n * sxx - sx * sx));
    const double level = sy / n;
    std::vector<double> above(white.size());
    double most = 0;
    for (std::size_t i = kGlowBegins; i <= kGlowEnds; ++i) {
        above[i] = std::max(0.0, white[i] - (level + slope * (kFineGrid.atNm(i) - sx / n)));
        most = std::max(most, above[i]);
    }
    if (most < kLeastGlow) return sheet;

    sheet.isGlowEstimated = true;
    sheet.measuredExcitation = excitingPower(measuringLight, {});
    for (std::vector<double>& row : sheet.reflectance) {
        // Of the row as measured; taken away from it below.
        const double in = std::clamp(row[fineIndex(500)] / white[fineIndex(500)], 0.0, 1.0);
        std::vector<double> added(row.size());
        for (std::size_t i = kGlowBegins; i <= kGlowEnds; ++i) {
            added[i] = std::min(above[i] * in, row[i]);
        }
        if (&row != &sheet.reflectance[paper]) {
            for (std::size_t i = kGlowBegins; i <= kGlowEnds; ++i) row[i] -= added[i];
        }
        sheet.glow.push_back(glowFrom(added, measuringLight));
    }
    for (std::size_t i = kGlowBegins; i <= kGlowEnds; ++i) sheet.reflectance[paper][i] -= above[i];
    return sheet;
}

std::vector<double> stimuliUnder(const SheetSpectra& sheet, const Light& light, const Glazing& glazing) {
    constexpr std::size_t kCount = kFineGrid.count;
    const std::size_t patches = sheet.reflectance.size();
    std::vector<double> out((1 + patches) * kCount);
    std::vector<double> once(kCount);  // what one passage through the glazing leaves
    for (std::size_t i = 0; i < kCount; ++i) {
        once[i] = glazing.at(kGlazingBefore + i);
        out[i] = light.power.values[i] * once[i] * once[i];
    }
    const double strength = sheet.hasGlow() && sheet.measuredExcitation > 0
                                ? excitingPower(light, glazing) / sheet.measuredExcitation
                                : 0;
    for (std::size_t patch = 0; patch < patches; ++patch) {
        double* row = out.data() + (1 + patch) * kCount;
        for (std::size_t i = 0; i < kCount; ++i) row[i] = out[i] * sheet.reflectance[patch][i];
        if (strength == 0) continue;
        for (std::size_t i = 0; i < kCount; ++i) row[i] += strength * sheet.glow[patch][i] * once[i];
    }
    return out;
}

}  // namespace greywright::colour

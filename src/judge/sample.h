#pragma once

#include <algorithm>
#include <cmath>
#include <functional>
#include <span>
#include <vector>

#include "colour/colorimeter.h"
#include "colour/light.h"
#include "colour/observer.h"
#include "measure/ramp.h"

/// Ramps for tests.
namespace greywright::judge::sample {

/// Equal steps from paper (L* 96) to black (L* 16), `count` of them, all with the same a* and b*.
inline measure::Ramp straightRamp(int count, colour::Tint tint = {}) {
    measure::Ramp ramp;
    for (int i = 0; i < count; ++i) {
        const double tone = 100.0 * i / (count - 1);
        ramp.patches.push_back({tone, {96 - 0.8 * tone, tint.a, tint.b}, {}});
    }
    return ramp;
}

/// A straight ramp whose tint grows from none at the paper: `tint` of a tone 0..1.
inline measure::Ramp tintedRamp(int count, const std::function<colour::Tint(double)>& tint) {
    measure::Ramp ramp = straightRamp(count);
    for (std::size_t i = 1; i < ramp.patches.size(); ++i) {
        const colour::Tint here = tint(ramp.patches[i].tonePercent / 100);
        ramp.patches[i].lab.a = here.a;
        ramp.patches[i].lab.b = here.b;
    }
    return ramp;
}

/// A ramp with spectra: `reflectance` of a tone 0..1 and a wavelength in nm.
inline measure::Ramp spectralRamp(int count, const std::function<double(double, double)>& reflectance) {
    measure::Ramp ramp;
    ramp.grid = colour::WavelengthGrid{380, 10, 36};
    const colour::Colorimeter meter(colour::observer(colour::ObserverName::cie1931),
                                    colour::lightByName("D50").value(), *ramp.grid);
    for (int i = 0; i < count; ++i) {
        const double tone = static_cast<double>(i) / (count - 1);
        measure::RampPatch patch{100 * tone, {}, {}};
        for (std::size_t w = 0; w < ramp.grid->count; ++w) {
            patch.reflectance.push_back(reflectance(tone, ramp.grid->atNm(w)));
        }
        patch.lab = meter.labFromReflectance(patch.reflectance);
        ramp.patches.push_back(std::move(patch));
    }
    return ramp;
}

/// The reflectance that gives equal steps of L* between Y 90 and Y 2.
inline double greyReflectance(double tone) {
    const double root = std::cbrt(0.9) + (std::cbrt(0.02) - std::cbrt(0.9)) * tone;
    return root * root * root;
}

}  // namespace greywright::judge::sample

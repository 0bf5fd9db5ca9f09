#include "simulate/inks.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace greywright::simulate {
namespace {

template <typename Function>
Spectrum36 spectrumOf(const Function& at) {
    Spectrum36 out{};
    for (std::size_t i = 0; i < out.size(); ++i) out[i] = at(kInstrumentGrid.atNm(i));
    return out;
}

}  // namespace

double bell(double nm, double centre, double width) {
    const double z = (nm - centre) / width;
    return std::exp(-0.5 * z * z);
}

const colour::Colorimeter& colorimeter() {
    static const colour::Colorimeter meter(colour::observer(colour::ObserverName::cie1931),
                                           colour::lightByName("D50").value(), kInstrumentGrid);
    return meter;
}

Spectrum36 paperSpectrum(Random& random) {
    const double top = random.uniform(0.84, 0.93);
    const double cream = random.uniform(0.0, 0.06);
    const double brightener = random.uniform() < 0.5 ? random.uniform(0.0, 0.12) : 0;
    return spectrumOf([&](double nm) {
        return top - cream * bell(nm, 400, 45) + brightener * bell(nm, 438, 14) - 0.25 * bell(nm, 372, 14);
    });
}

Inks inkSpectra(Random& random, bool dye) {
    // A dye black lets the far red through, which is why it turns reddish (common practice); a pigment black
    // is nearly flat with a slope.
    const double redLeak = dye ? random.uniform(0.1, 0.4) : random.uniform(0.0, 0.08);
    const double slope = random.uniform(-0.05, 0.05);
    const double shift = random.uniform(-6, 6);
    return {.black = spectrumOf([&](double nm) {
                return (1 + slope * (nm - 550) / 170) * (1 - redLeak / (1 + std::exp((685 - nm) / 12)));
            }),
            .cyan = spectrumOf([&](double nm) {
                return bell(nm, 640 + shift, 55) + 0.18 * bell(nm, 400, 40) + 0.10 * bell(nm, 540, 40);
            }),
            .magenta = spectrumOf([&](double nm) {
                return bell(nm, 548 + shift, 36) + 0.25 * bell(nm, 415, 45) + 0.05 * bell(nm, 640, 40);
            }),
            .yellow = spectrumOf(
                [&](double nm) { return bell(nm, 440 + shift / 2, 36) + 0.06 * bell(nm, 530, 30); })};
}

double Wave::at(double tone) const {
    return height * std::sin(std::numbers::pi * std::min(1.0, 3 * tone) / 2) *
           std::sin(2 * std::numbers::pi * turns * tone + phase);
}

Wave randomWave(Random& random, double height) {
    return {height * random.normal(), random.uniform(0, 6.28), random.uniform(0.3, 1.1)};
}

double rampDensity(double tone, double blackDensity) {
    const double whiteL = 96;
    const double blackY = 100 * std::pow(10, -blackDensity) * 0.88;
    const double blackL = 116 * std::cbrt(std::max(blackY, 0.9) / 100) - 16;
    const double L = whiteL + (blackL - whiteL) * tone;
    const double Y = std::pow((L + 16) / 116, 3);
    return -std::log10(Y / std::pow((whiteL + 16) / 116, 3));
}

}  // namespace greywright::simulate

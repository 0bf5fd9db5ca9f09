#include "simulate/rgb_printer.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "simulate/inks.h"

namespace greywright::simulate {
namespace {

/// A ramp that starts late, softly; 0 and 1 stay.
double startLate(double tone, double late) {
    constexpr double kSoft = 0.012;
    const auto soft = [&](double x) { return kSoft * std::log1p(std::exp(x / kSoft)); };
    if (late <= 0) return tone;
    return (soft(tone - late) - soft(-late)) / (soft(1 - late) - soft(-late));
}

}  // namespace

double ToneWarp::at(double tone) const {
    const double started = startLate(std::clamp(tone, 0.0, 1.0), late);
    const double ended = 1 - startLate(1 - started, blocks);
    const double bent = std::pow(ended, power);
    return bent + bow * std::sin(2 * std::numbers::pi * bent) / (2 * std::numbers::pi);
}

ToneWarp randomWarp(std::uint64_t seed) {
    Random random(seed * 6364136223846793005U + 11);
    return {.power = std::exp(random.uniform(std::log(0.6), std::log(1.7))),
            .bow = random.uniform(-0.5, 0.5),
            .late = random.uniform(0, 0.02),
            .blocks = random.uniform(0, 0.02)};
}

RgbPrinter::RgbPrinter(Medium medium, std::uint64_t seed) : medium_(medium), warp_(randomWarp(seed + 77)) {
    Random random(seed * 15485863 + static_cast<std::uint64_t>(medium) * 31 + 5);
    const Inks inks = inkSpectra(random, medium == Medium::dye);
    spectra_ = {paperSpectrum(random), inks.black, inks.cyan, inks.magenta, inks.yellow};
    noise_ = random.uniform(0.1, 0.3);
    colourShare_ = random.uniform(0.25, 0.5);
    blackStart_ = random.uniform(0.1, 0.4);
    blackDensity_ = medium == Medium::dye ? random.uniform(1.6, 2.3) : random.uniform(1.4, 2.0);
    for (std::size_t i = 0; i < 3; ++i) {
        bend_[i] = 0.06 * random.normal();
        const Wave wave = randomWave(random, 0.08);
        height_[i] = wave.height;
        phase_[i] = wave.phase;
        turns_[i] = wave.turns;
    }
    // A driver of RGB is less uneven than a bare ramp.
    warp_.power = std::sqrt(warp_.power);
    warp_.bow *= 0.5;
}

std::array<double, 4> RgbPrinter::amounts(const RgbCodes& codes) const {
    std::array<double, 3> demand{};
    for (std::size_t i = 0; i < 3; ++i) demand[i] = 1 - std::clamp(codes[i] / 65535, 0.0, 1.0);
    const double grey = (demand[0] + demand[1] + demand[2]) / 3;
    const double tone = warp_.at(grey);
    const double density = rampDensity(tone, blackDensity_);
    const double over = std::clamp((tone - blackStart_) / (1 - blackStart_), 0.0, 1.0);
    // Black takes over softly, and coloured inks keep a share down to maximum black.
    const double black = density * (1 - colourShare_) * over * over * (3 - 2 * over);
    const double rest = std::max(0.0, density - black);
    // Amounts that make a flat grey of unit density out of these inks, roughly.
    constexpr std::array<double, 3> kGrey{0.86, 0.78, 0.80};
    constexpr double kSoft = 0.004;
    std::array<double, 4> out{black};
    for (std::size_t i = 0; i < 3; ++i) {
        const double curve = grey <= 0 ? 0 : std::pow(grey, bend_[i]);
        const double wave = Wave{height_[i], phase_[i], turns_[i]}.at(grey);
        // A colour asks for its own ink beyond the grey, more where the tone curve is steep.
        const double wanted =
            rest * kGrey[i] * curve * (1 + wave) + 1.3 * (demand[i] - grey) * (0.4 + 0.6 * tone);
        out[i + 1] = std::max(wanted, 0.0) + kSoft * std::log1p(std::exp(-std::abs(wanted) / kSoft));
        if (grey <= 0) out[i + 1] = 0;
    }
    return out;
}

std::vector<double> RgbPrinter::reflectance(const RgbCodes& codes) const {
    const std::array<double, 4> amount = amounts(codes);
    const Spectrum36& paper = spectra_[0];
    std::vector<double> out(paper.size());
    if (medium_ == Medium::dye) {
        for (std::size_t i = 0; i < out.size(); ++i) {
            double density = 0;
            for (std::size_t k = 0; k < 4; ++k) density += amount[k] * spectra_[k + 1][i];
            out[i] = 0.004 + (paper[i] - 0.004) * std::pow(10.0, -density);
        }
        return out;
    }
    // Neugebauer's primaries with the Yule-Nielsen factor 2; dots fall independently (Demichel).
    const std::array<double, 4> solid{blackDensity_, 1.1, 1.1, 1.1};
    std::array<double, 4> area{};
    for (std::size_t k = 0; k < 4; ++k) {
        area[k] = std::min(1.0, (1 - std::pow(10.0, -amount[k] / 2)) / (1 - std::pow(10.0, -solid[k] / 2)));
    }
    for (std::size_t i = 0; i < out.size(); ++i) {
        double root = 0;
        for (std::size_t p = 0; p < 16; ++p) {
            double share = 1;
            double density = 0;
            for (std::size_t k = 0; k < 4; ++k) {
                const bool on = (p >> k & 1U) != 0;
                share *= on ? area[k] : 1 - area[k];
                if (on) density += solid[k] * spectra_[k + 1][i];
            }
            root += share * std::sqrt(0.003 + (paper[i] - 0.003) * std::pow(10.0, -density));
        }
        out[i] = root * root;
    }
    return out;
}

colour::Lab RgbPrinter::lab(const RgbCodes& codes) const {
    return colorimeter().labFromReflectance(reflectance(codes));
}

std::vector<colour::Lab> RgbPrinter::print(const std::vector<RgbCodes>& codes, Random& random) const {
    // As Printer::print() for printers without spectra.
    constexpr std::array<double, 3> kLabUnit{0.30, 0.48, 0.60};
    std::array<double, 3> broad{}, slope{};
    for (std::size_t k = 0; k < 3; ++k) {
        broad[k] = random.normal();
        slope[k] = 0.5 * random.normal();
    }
    std::vector<colour::Lab> out;
    out.reserve(codes.size());
    for (const RgbCodes& code : codes) {
        const double tone = 1 - (code[0] + code[1] + code[2]) / (3 * 65535);
        colour::Lab lab = this->lab(code);
        const auto off = [&](std::size_t k) {
            return noise_ * kLabUnit[k] *
                   (broad[k] * std::sin(std::numbers::pi * std::min(tone, 0.9)) +
                    slope[k] * std::sin(2 * std::numbers::pi * tone) + 0.45 * random.normal());
        };
        lab.L += off(0);
        lab.a += off(1);
        lab.b += off(2);
        out.push_back(lab);
    }
    return out;
}

}  // namespace greywright::simulate

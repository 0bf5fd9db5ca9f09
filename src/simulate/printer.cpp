#include "simulate/printer.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "colour/colorimeter.h"
#include "colour/difference.h"
#include "core/contract.h"
#include "simulate/inks.h"

namespace greywright::simulate {
namespace {

using Matrix2 = std::array<std::array<double, 2>, 2>;

/// What a deflection asks for, as a tint in the a*b* plane. Units: 1 = the full strength of the gain.
Matrix2 mixing(const Control& control) {
    const double first = control.rotationDegrees * std::numbers::pi / 180;
    const double between = (90 + control.skewDegrees) * std::numbers::pi / 180;
    const double second = first + (control.mirrored ? -between : between);
    return {{{control.gain * std::cos(first), control.gain * control.unequal * std::cos(second)},
             {control.gain * std::sin(first), control.gain * control.unequal * std::sin(second)}}};
}

std::array<double, 2> asked(const Matrix2& mix, std::span<const double> deflection) {
    std::array<double, 2> out{};
    for (std::size_t c = 0; c < 2; ++c) {
        for (std::size_t j = 0; j < std::min<std::size_t>(2, deflection.size()); ++j)
            out[c] += mix[c][j] * deflection[j];
    }
    return out;
}

/// A weight over tone that vanishes at paper, one near its peak.
struct ToneWeight {
    double rise = 1;
    double fall = 1;

    [[nodiscard]] double at(double tone) const {
        const double peak = rise / (rise + fall);
        const auto raw = [&](double t) { return std::pow(t, rise) * std::pow(1 - t, fall); };
        return tone <= 0 ? 0 : raw(std::min(tone, 1.0)) / raw(peak);
    }
};

ToneWeight randomWeight(Random& random) {
    return {random.uniform(0.6, 1.6), random.uniform(0.15, 1.4)};
}

/// Amounts of coloured ink that give a small tint towards +a* and towards +b*: [cyan, magenta, yellow].
constexpr std::array<double, 3> kTowardsRed{-0.085, 0.070, 0.006};
constexpr std::array<double, 3> kTowardsYellow{-0.018, -0.015, 0.108};

// ---------------------------------------------------------------------------------------------------------

class SpectralPrinter : public Printer {
  public:
    [[nodiscard]] colour::Lab lab(double tone, std::span<const double> deflection) const override {
        return colorimeter().labFromReflectance(reflectance(tone, deflection));
    }
};

class DyePrinter : public SpectralPrinter {
  public:
    DyePrinter(const Recipe& recipe, Random& inkRandom, Random& paperRandom)
        : inks_(inkSpectra(inkRandom, true)), mix_(mixing(recipe.control)) {
        noise_ = recipe.noiseDeltaE00;
        for (auto& weight : weights_) weight = randomWeight(inkRandom);
        for (auto& wave : waves_) wave = randomWave(inkRandom, 0.014);
        reserve_ = inkRandom.uniform(0.10, 0.22);
        offset_ = {inkRandom.normal() * 0.25, inkRandom.normal() * 0.25};
        paper_ = paperSpectrum(paperRandom);
        blackDensity_ = paperRandom.uniform(1.5, 2.2);
        for (auto& offset : offset_) offset += paperRandom.normal() * 0.08;
    }

    [[nodiscard]] std::vector<double> reflectance(double tone,
                                                  std::span<const double> deflection) const override {
        const std::array<double, 2> tint = asked(mix_, deflection);
        std::array<double, 3> coloured{};
        for (std::size_t i = 0; i < 3; ++i) {
            const double pull = weights_[0].at(tone) * (tint[0] + offset_[0]) * kTowardsRed[i] +
                                weights_[1].at(tone) * (tint[1] + offset_[1]) * kTowardsYellow[i];
            const double amount = reserve_ * weights_[0].at(tone) + pull * 1.3 + waves_[i].at(tone);
            coloured[i] =
                0.01 * std::log1p(std::exp(std::clamp(amount / 0.01, -60.0, 60.0)));  // never below none
            if (tone <= 0) coloured[i] = 0;
        }
        const double black =
            std::max(0.0, rampDensity(tone, blackDensity_) - 0.45 * (coloured[0] + coloured[1]));
        std::vector<double> out(paper_.size());
        for (std::size_t i = 0; i < out.size(); ++i) {
            const double density = black * inks_.black[i] + coloured[0] * inks_.cyan[i] +
                                   coloured[1] * inks_.magenta[i] + coloured[2] * inks_.yellow[i];
            out[i] = 0.004 + (paper_[i] - 0.004) * std::pow(10.0, -density);
        }
        return out;
    }

  private:
    Inks inks_;
    Matrix2 mix_;
    std::array<ToneWeight, 2> weights_;
    std::array<Wave, 3> waves_;
    std::array<double, 2> offset_{};
    double reserve_ = 0;
    double blackDensity_ = 2;
    Spectrum36 paper_{};
};

class HalftonePrinter : public SpectralPrinter {
  public:
    HalftonePrinter(const Recipe& recipe, Random& inkRandom, Random& paperRandom)
        : inks_(inkSpectra(inkRandom, false)), mix_(mixing(recipe.control)) {
        noise_ = recipe.noiseDeltaE00;
        for (auto& weight : weights_) weight = randomWeight(inkRandom);
        for (auto& wave : waves_) wave = randomWave(inkRandom, 0.012);
        softness_ = inkRandom.uniform(1.0, 2.5);
        offset_ = {inkRandom.normal() * 0.25, inkRandom.normal() * 0.25};
        paper_ = paperSpectrum(paperRandom);
        const double solid = paperRandom.uniform(1.4, 2.0);
        for (auto& offset : offset_) offset += paperRandom.normal() * 0.08;
        // The primaries: every overprint of black, cyan, magenta and yellow dots, as square roots (n = 2).
        for (std::size_t p = 0; p < 16; ++p) {
            for (std::size_t i = 0; i < paper_.size(); ++i) {
                double density = 0;
                if ((p & 1U) != 0) density += solid * inks_.black[i];
                if ((p & 2U) != 0) density += 1.1 * inks_.cyan[i];
                if ((p & 4U) != 0) density += 1.1 * inks_.magenta[i];
                if ((p & 8U) != 0) density += 1.1 * inks_.yellow[i];
                roots_[p][i] = std::sqrt(0.003 + (paper_[i] - 0.003) * std::pow(10.0, -density));
            }
        }
        solid_ = solid;
    }

    [[nodiscard]] std::vector<double> reflectance(double tone,
                                                  std::span<const double> deflection) const override {
        std::array<double, 2> tint = asked(mix_, deflection);
        for (double& part : tint) part = softness_ * std::tanh(part / softness_);
        std::array<double, 4> area{};
        const double target = rampDensity(tone, solid_);
        area[0] = std::clamp((1 - std::pow(10.0, -target / 2)) / (1 - std::pow(10.0, -solid_ / 2)), 0.0, 1.0);
        for (std::size_t i = 0; i < 3; ++i) {
            const double pull = weights_[0].at(tone) * (tint[0] + offset_[0]) * kTowardsRed[i] +
                                weights_[1].at(tone) * (tint[1] + offset_[1]) * kTowardsYellow[i];
            const double wanted = 0.16 * weights_[0].at(tone) + 1.6 * pull + waves_[i].at(tone);
            area[i + 1] = tone <= 0 ? 0 : std::clamp(wanted, 0.0, 1.0);
        }
        std::array<double, 36> root{};
        for (std::size_t p = 0; p < 16; ++p) {
            double share = 1;  // Demichel: dots fall independently
            for (std::size_t k = 0; k < 4; ++k) share *= (p >> k & 1U) != 0 ? area[k] : 1 - area[k];
            for (std::size_t i = 0; i < root.size(); ++i) root[i] += share * roots_[p][i];
        }
        std::vector<double> out(root.size());
        for (std::size_t i = 0; i < out.size(); ++i) out[i] = root[i] * root[i];
        return out;
    }

  private:
    Inks inks_;
    Matrix2 mix_;
    std::array<ToneWeight, 2> weights_;
    std::array<Wave, 3> waves_;
    std::array<double, 2> offset_{};
    double softness_ = 2;
    double solid_ = 1.8;
    Spectrum36 paper_{};
    std::array<Spectrum36, 16> roots_{};
};

class BalancePrinter : public SpectralPrinter {
  public:
    BalancePrinter(const Recipe& recipe, Random& inkRandom, Random& paperRandom)
        : inks_(inkSpectra(inkRandom, true)), mix_(mixing(recipe.control)) {
        noise_ = recipe.noiseDeltaE00;
        colourShare_ = inkRandom.uniform(0.25, 0.5);
        blackStart_ = inkRandom.uniform(0.3, 0.55);
        for (auto& bend : bend_) bend = inkRandom.normal() * 0.05;
        for (auto& wave : waves_) wave = randomWave(inkRandom, 0.008);
        offset_ = {inkRandom.normal() * 0.25, inkRandom.normal() * 0.25};
        paper_ = paperSpectrum(paperRandom);
        blackDensity_ = paperRandom.uniform(1.5, 2.1);
        for (auto& offset : offset_) offset += paperRandom.normal() * 0.07;
    }

    [[nodiscard]] std::vector<double> reflectance(double tone,
                                                  std::span<const double> deflection) const override {
        const std::array<double, 2> tint = asked(mix_, deflection);
        const double density = rampDensity(tone, blackDensity_);
        // Grey component: coloured inks carry the light tones, black takes over past its start.
        const double over = std::clamp((tone - blackStart_) / (1 - blackStart_), 0.0, 1.0);
        const double blackPart =
            density * (1 - colourShare_ + colourShare_ * over) * (0.15 + 0.85 * std::sqrt(over));
        const double rest = std::max(0.0, density - blackPart);
        std::vector<double> out(paper_.size());
        // Amounts that make a flat grey of unit density out of these inks, roughly.
        constexpr std::array<double, 3> kGrey{0.86, 0.78, 0.80};
        std::array<double, 3> coloured{};
        for (std::size_t i = 0; i < 3; ++i) {
            const double pull =
                (tint[0] + offset_[0]) * kTowardsRed[i] + (tint[1] + offset_[1]) * kTowardsYellow[i];
            // The control bends the curve: an exponent of tone, so it acts most where t ln t is largest.
            const double curve = tone <= 0 ? 0 : std::pow(tone, -3.6 * pull + bend_[i]);
            coloured[i] =
                std::max(0.0, rest * kGrey[i] * curve + 0.05 * tone * (1 - tone) + waves_[i].at(tone));
        }
        for (std::size_t i = 0; i < out.size(); ++i) {
            const double sum = blackPart * inks_.black[i] + coloured[0] * inks_.cyan[i] +
                               coloured[1] * inks_.magenta[i] + coloured[2] * inks_.yellow[i];
            out[i] = 0.004 + (paper_[i] - 0.004) * std::pow(10.0, -sum);
        }
        return out;
    }

  private:
    Inks inks_;
    Matrix2 mix_;
    std::array<double, 3> bend_{};
    std::array<Wave, 3> waves_;
    std::array<double, 2> offset_{};
    double colourShare_ = 0.4;
    double blackStart_ = 0.4;
    double blackDensity_ = 2;
    Spectrum36 paper_{};
};

class DirectPrinter : public Printer {
  public:
    DirectPrinter(const Recipe& recipe, Random& inkRandom, Random& paperRandom)
        : mix_(mixing(recipe.control)) {
        noise_ = recipe.noiseDeltaE00;
        for (auto& weight : weights_) weight = randomWeight(inkRandom);
        for (auto& wave : waves_) wave = randomWave(inkRandom, 0.4);
        softness_ = inkRandom.uniform(1.2, 4);
        lightness_ = {inkRandom.normal() * 0.6, inkRandom.normal() * 0.6};
        offset_ = {inkRandom.normal() * 2.5, inkRandom.normal() * 2.5};
        paper_ = {paperRandom.uniform(92, 97), paperRandom.normal() * 0.6, paperRandom.uniform(-6, 4)};
        black_ = {paperRandom.uniform(6, 22), paperRandom.normal() * 0.5, paperRandom.normal() * 0.7};
        for (auto& offset : offset_) offset += paperRandom.normal() * 0.6;
    }

    [[nodiscard]] std::vector<double> reflectance(double, std::span<const double>) const override {
        return {};
    }

    [[nodiscard]] colour::Lab lab(double tone, std::span<const double> deflection) const override {
        std::array<double, 2> tint = asked(mix_, deflection);
        for (double& part : tint) part = softness_ * std::tanh(part / softness_);
        const auto between = [&](double paper, double black) { return paper + (black - paper) * tone; };
        colour::Lab out{between(paper_.L, black_.L), between(paper_.a, black_.a),
                        between(paper_.b, black_.b)};
        out.L += weights_[0].at(tone) * (lightness_[0] * tint[0] + lightness_[1] * tint[1]);
        out.a += weights_[0].at(tone) * (8 * tint[0] + offset_[0]) + waves_[0].at(tone);
        out.b += weights_[1].at(tone) * (8 * tint[1] + offset_[1]) + waves_[1].at(tone);
        return out;
    }

  private:
    Matrix2 mix_;
    std::array<ToneWeight, 2> weights_;
    std::array<Wave, 2> waves_;
    std::array<double, 2> offset_{}, lightness_{};
    double softness_ = 2;
    colour::Lab paper_, black_;
};

/// How the noise of one print lies along the ramp: a broad part, a slope and a patch part, in each of three
/// broad bands of the spectrum (or of L*, a*, b*).
struct PrintNoise {
    std::array<std::array<double, 2>, 3> wholes{};

    explicit PrintNoise(Random& random) {
        for (auto& band : wholes) {
            for (double& part : band) part = random.normal();
        }
    }
    [[nodiscard]] double at(std::size_t band, double tone, Random& random) const {
        const double broad = wholes[band][0] * std::sin(std::numbers::pi * std::min(tone, 0.9)) +
                             0.5 * wholes[band][1] * std::sin(2 * std::numbers::pi * tone);
        return broad + 0.45 * random.normal();
    }
};

}  // namespace

std::span<const Family> families() {
    static constexpr std::array<Family, 4> kAll{Family::dye, Family::halftone, Family::balance,
                                                Family::direct};
    return kAll;
}

std::string_view familyName(Family family) {
    switch (family) {
        case Family::dye:
            return "dye";
        case Family::halftone:
            return "halftone";
        case Family::balance:
            return "balance";
        case Family::direct:
            return "direct";
    }
    throw ContractViolation("unknown family");
}

colour::Lab Printer::lab(double tone, std::span<const double> deflection) const {
    return colorimeter().labFromReflectance(reflectance(tone, deflection));
}

measure::Reading Printer::print(std::span<const double> tones, std::span<const double> deflection,
                                Random& random) const {
    // Sizes found by simulation: with these a noise of 1 gives a mean CIEDE2000 of 1 between two prints.
    constexpr double kDensityUnit = 0.0072;
    constexpr double kLabUnit = 0.60;
    const PrintNoise noise(random);
    measure::Reading reading{
        .condition = measure::Condition::m1, .instrument = "simulated", .format = "simulated"};
    for (const double tone : tones) {
        measure::Patch patch{.tonePercent = 100 * tone};
        patch.reflectance = reflectance(tone, deflection);
        std::array<double, 3> bands{};
        for (std::size_t k = 0; k < 3; ++k) bands[k] = noise_ * noise.at(k, tone, random);
        if (patch.reflectance.empty()) {
            patch.lab = lab(tone, deflection);
            patch.lab->L += 0.5 * kLabUnit * bands[0];
            patch.lab->a += kLabUnit * 0.8 * bands[1];
            patch.lab->b += kLabUnit * bands[2];
        } else {
            reading.grid = kInstrumentGrid;
            for (std::size_t i = 0; i < patch.reflectance.size(); ++i) {
                const double nm = kInstrumentGrid.atNm(i);
                const double density =
                    kDensityUnit * (bands[0] * bell(nm, 450, 50) + bands[1] * bell(nm, 545, 50) +
                                    bands[2] * bell(nm, 630, 60));
                patch.reflectance[i] *= std::pow(10.0, -density);
                patch.reflectance[i] += 2e-5 * random.normal();
            }
            patch.lab = colorimeter().labFromReflectance(patch.reflectance);
        }
        reading.patches.push_back(std::move(patch));
    }
    return reading;
}

std::unique_ptr<Printer> printerFromRecipe(const Recipe& recipe) {
    Random inkRandom(recipe.seed * 7919 + 1);
    Random paperRandom(recipe.seed * 104729 + recipe.paper * 1299709 + 2);
    Recipe bent = recipe;
    if (recipe.paper != 0) {
        // The same driver on another paper acts nearly, not exactly, the same.
        bent.control.gain *= std::exp(0.08 * paperRandom.normal());
        bent.control.rotationDegrees += 3 * paperRandom.normal();
    }
    switch (recipe.family) {
        case Family::dye:
            return std::make_unique<DyePrinter>(bent, inkRandom, paperRandom);
        case Family::halftone:
            return std::make_unique<HalftonePrinter>(bent, inkRandom, paperRandom);
        case Family::balance:
            return std::make_unique<BalancePrinter>(bent, inkRandom, paperRandom);
        case Family::direct:
            return std::make_unique<DirectPrinter>(bent, inkRandom, paperRandom);
    }
    throw ContractViolation("unknown family");
}

Recipe randomRecipe(Family family, std::uint64_t seed) {
    Random random(seed * 2654435761U + static_cast<std::uint64_t>(family));
    Recipe recipe{.family = family, .seed = seed};
    recipe.control = {.rotationDegrees = random.uniform(0, 360),
                      .mirrored = random.uniform() < 0.5,
                      .gain = std::exp(0.35 * random.normal()),
                      .unequal = std::exp(0.25 * random.normal()),
                      .skewDegrees = 10 * random.normal()};
    recipe.noiseDeltaE00 = random.uniform(0.1, 0.3);
    return recipe;
}

}  // namespace greywright::simulate

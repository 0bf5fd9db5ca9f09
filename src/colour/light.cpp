#include "colour/light.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <optional>

#include <fmt/format.h>

#include "colour/interpolation.h"
#include "colour/lamps.h"
#include "colour/tables.h"
#include "core/contract.h"
#include "core/nearest_name.h"
#include "core/said.h"

namespace greywright::colour {
namespace {

constexpr double kSecondRadiationConstantNmK = 1.4388e7;    // ITS-90, as CIE 15:2018 rounds it
constexpr double kNominalDaylightFactor = 1.4388 / 1.4380;  // D50..D75 were named before c2 changed
constexpr double kLeastDaylightK = 4000;
constexpr double kMostDaylightK = 25000;
constexpr double kLeastBlackBodyK = 500;
constexpr double kMostBlackBodyK = 100000;

template <typename Function>
Spectrum sampled(Function power, const WavelengthGrid& grid = kFineGrid) {
    Spectrum spectrum{grid, std::vector<double>(grid.count)};
    for (std::size_t i = 0; i < grid.count; ++i) spectrum.values[i] = power(grid.atNm(i));
    return spectrum;
}

// A light whose power is known by a formula, the ultraviolet end included.
template <typename Function>
Light byFormula(Light light, Function power) {
    light.power = sampled(power);
    light.ultraviolet = sampled(power, kUltravioletGrid).values;
    return light;
}

// (560/nm)^5 (exp(c2/(560 T)) - 1) / (exp(c2/(nm T)) - 1), times 100.
double planck(double nm, double c2OverKelvinNm) {
    return 100 * std::pow(560 / nm, 5) * std::expm1(c2OverKelvinNm / 560) / std::expm1(c2OverKelvinNm / nm);
}

Light illuminantA() {
    return byFormula({.name = "A",
                      .description = said("Tungsten filament lamp, 2856 K"),
                      .origin = said("CIE standard illuminant A by its defining formula (ISO 11664-2)")},

                     [](double nm) { return planck(nm, 1.435e7 / 2848); });
}

Light equalEnergy() {
    return byFormula({.name = "E",
                      .description = said("Equal power at every wavelength"),
                      .origin = said("Equal-energy spectrum of CIE 15")},

                     [](double) { return 100.0; });
}

// Daylight on the grid of its components.
std::vector<double> daylightTable(double kelvin) {
    const double T = kelvin;
    const double x = T <= 7000 ? -4.6070e9 / (T * T * T) + 2.9678e6 / (T * T) + 0.09911e3 / T + 0.244063
                               : -2.0064e9 / (T * T * T) + 1.9018e6 / (T * T) + 0.24748e3 / T + 0.237040;
    const double y = -3.000 * x * x + 2.870 * x - 0.275;
    const double M = 0.0241 + 0.2562 * x - 0.7341 * y;
    const double M1 = std::round(1000 * (-1.3515 - 1.7703 * x + 5.9114 * y) / M) / 1000;
    const double M2 = std::round(1000 * (0.0300 - 31.4424 * x + 30.0717 * y) / M) / 1000;
    const tables::Table& table = tables::cieDaylightBasis;
    std::vector<double> power(table.grid.count);
    for (std::size_t i = 0; i < power.size(); ++i) {
        power[i] = table.column(0)[i] + M1 * table.column(1)[i] + M2 * table.column(2)[i];
    }
    return power;
}

Light daylight(std::string name, double kelvin) {
    return {.name = std::move(name),
            .description = said("Daylight, {:.0f} K", kelvin),
            .origin = said("CIE daylight of CIE 15:2018 from the components S0, S1, S2"),
            .power = daylightPower(kelvin),
            .ultraviolet =
                illuminantOnGrid(tables::cieDaylightBasis.grid, daylightTable(kelvin), kUltravioletGrid)};
}

Light blackBody(std::string name, double kelvin) {
    return byFormula({.name = std::move(name),
                      .description = said("Black body, {:.0f} K", kelvin),
                      .origin = said("Planck's law, c2 = 1.4388e-2 m K")},

                     [&](double nm) { return planck(nm, kSecondRadiationConstantNmK / kelvin); });
}

constexpr std::array<const char*, 12> kFluorescentWords{
    "Fluorescent tube, standard, daylight 6430 K",      "Fluorescent tube, standard, cool white 4230 K",
    "Fluorescent tube, standard, white 3450 K",         "Fluorescent tube, standard, warm white 2940 K",
    "Fluorescent tube, standard, daylight 6350 K",      "Fluorescent tube, standard, light white 4150 K",
    "Fluorescent tube, broad-band, daylight 6500 K",    "Fluorescent tube, broad-band, 5000 K",
    "Fluorescent tube, broad-band, cool white 4150 K",  "Fluorescent tube, narrow-band, 5000 K",
    "Fluorescent tube, narrow-band, cool white 4000 K", "Fluorescent tube, narrow-band, warm white 3000 K"};

Light fluorescent(std::size_t index) {
    return {.name = fmt::format("F{}", index + 1),
            .description = kFluorescentWords[index],
            .origin = said("CIE illuminant F{} (CIE 15, 5 nm), linear between nodes", index + 1),
            .power = illuminantOnFineGrid(tables::cieFluorescent.grid, tables::cieFluorescent.column(index))};
}

// A blue emission and two phosphor bands, each a normal curve: amplitude, centre, standard deviation.
struct LedModel {
    int kelvin;
    std::array<std::array<double, 3>, 3> bands;
};

// Least-squares models of the CIE's typical phosphor LEDs B1..B5 (CIE 015:2018, table 12.1) with the
// chromaticity made exact. Not the CIE's tables; see docs/methods/colour.md for how far they differ.
constexpr std::array<LedModel, 5> kLedModels{{
    {2733, {{{0.292811, 451.845, 10.4568}, {0.669401, 596.417, 69.5392}, {0.341455, 613.453, 34.0195}}}},
    {2998, {{{0.438333, 452.301, 9.76304}, {0.772756, 593.042, 68.242}, {0.246005, 614.391, 33.0757}}}},
    {4103, {{{0.822335, 448.107, 8.93657}, {0.804306, 575.253, 68.6152}, {0.129305, 619.465, 26.1709}}}},
    {5109, {{{0.906091, 451.195, 10.8375}, {0.165217, 540.803, 23.6324}, {0.562433, 582.57, 60.7265}}}},
    {6598, {{{0.861239, 451.797, 10.5993}, {0.0756597, 536.982, 19.3093}, {0.445743, 567.82, 63.5647}}}},
}};

Light led(std::size_t index) {
    const LedModel& model = kLedModels[index];
    const auto power = [&](double nm) {
        if (nm < 380 || nm > 780) return 0.0;  // the range of the CIE's tables
        double sum = 0;
        for (const auto& [amplitude, centreNm, deviationNm] : model.bands) {
            const double z = (nm - centreNm) / deviationNm;
            sum += amplitude * std::exp(-z * z / 2);
        }
        return 100 * sum;
    };
    return byFormula(
        {.name = fmt::format("LED-B{}", index + 1),
         .description = said("White LED, blue with phosphor, {} K", model.kelvin),
         .origin = said("Model of the CIE's illuminant LED-B{}: three normal curves", index + 1)},
        power);
}

std::string upperCase(std::string_view text) {
    std::string upper(text);
    for (char& c : upper) {
        if (c >= 'a' && c <= 'z') c = static_cast<char>(c - 'a' + 'A');
    }
    return upper;
}

std::string lowerCase(std::string_view text) {
    std::string lower(text);
    for (char& c : lower) {
        if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    }
    return lower;
}

std::optional<unsigned> wholeNumber(std::string_view text) {
    unsigned number = 0;
    const char* end = text.data() + text.size();
    const auto [stop, error] = std::from_chars(text.data(), end, number);
    if (text.empty() || error != std::errc{} || stop != end) return std::nullopt;
    return number;
}

Error unknownLight(std::string_view asked) {
    const std::vector<std::string> names = lightNames();
    const auto nearest = nearestName(asked, names);
    return {.kind = ErrorKind::wrongUse,
            .code = "unknown-light",
            .what = said("there is no light named '{}'", asked),
            .next = (nearest ? said("Did you mean {}?", *nearest)
                             : said("The lights are {}.", fmt::join(names, ", "))) +
                    said(" Any daylight can be written as D60, any black body as P3200")};
}

Error outOfRange(std::string_view asked, double leastK, double mostK) {
    return {
        .kind = ErrorKind::wrongUse,
        .code = "light-temperature-out-of-range",
        .what = said("the colour temperature of '{}' is outside {:.0f} to {:.0f} K", asked, leastK, mostK),
        .next = said("Choose a temperature inside that range")};
}

}  // namespace

std::vector<std::string> lightNames() {
    std::vector<std::string> names{"A", "D50", "D55", "D65", "D75", "E"};
    for (std::size_t i = 1; i <= kFluorescentWords.size(); ++i) names.push_back(fmt::format("F{}", i));
    for (std::size_t i = 1; i <= kLedModels.size(); ++i) names.push_back(fmt::format("LED-B{}", i));
    for (std::string& name : lampNames()) names.push_back(std::move(name));
    return names;
}

Result<Light> lightByName(std::string_view name) {
    if (auto lamp = lampByName(lowerCase(name))) return *std::move(lamp);
    const std::string upper = upperCase(name);
    if (upper == "A") return illuminantA();
    if (upper == "E") return equalEnergy();
    if (upper.starts_with("LED-B")) {
        const auto number = wholeNumber(std::string_view(upper).substr(5));
        if (number && *number >= 1 && *number <= kLedModels.size()) return led(*number - 1);
        return unknownLight(name);
    }
    const auto number = wholeNumber(std::string_view(upper).substr(std::min<std::size_t>(1, upper.size())));
    if (!number) return unknownLight(name);
    if (upper.front() == 'F' && *number >= 1 && *number <= kFluorescentWords.size()) {
        return fluorescent(*number - 1);
    }
    if (upper.front() == 'D') {
        const double kelvin = *number < 1000 ? *number * 100.0 * kNominalDaylightFactor : *number;
        if (kelvin < kLeastDaylightK || kelvin > kMostDaylightK * kNominalDaylightFactor) {
            return outOfRange(name, kLeastDaylightK, kMostDaylightK);
        }
        return daylight(upper, std::min(kelvin, kMostDaylightK));
    }
    if (upper.front() == 'P') {
        if (*number < kLeastBlackBodyK || *number > kMostBlackBodyK) {
            return outOfRange(name, kLeastBlackBodyK, kMostBlackBodyK);
        }
        return blackBody(upper, *number);
    }
    return unknownLight(name);
}

Spectrum daylightPower(double kelvin) {
    expects(kelvin >= kLeastDaylightK && kelvin <= kMostDaylightK, "daylightPower: 4000 K to 25000 K");
    return illuminantOnFineGrid(tables::cieDaylightBasis.grid, daylightTable(kelvin));
}

Spectrum blackBodyPower(double kelvin) {
    expects(kelvin >= kLeastBlackBodyK && kelvin <= kMostBlackBodyK, "blackBodyPower: 500 K to 100000 K");
    return sampled([&](double nm) { return planck(nm, kSecondRadiationConstantNmK / kelvin); });
}

}  // namespace greywright::colour

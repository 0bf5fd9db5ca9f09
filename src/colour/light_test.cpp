#include "colour/light.h"

#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

#include "colour/colorimeter.h"
#include "colour/difference.h"
#include "colour/rendering.h"
#include "colour/temperature.h"
#include "testing/near.h"

namespace greywright::colour {
namespace {

using testing::succeeded;

Light lightOrThrow(std::string_view name) {
    return lightByName(name).value();
}

double powerAt(const Light& light, double nm) {
    return light.power.values[static_cast<std::size_t>(nm - kFineGrid.startNm)];
}

struct Published {
    const char* name;
    double x, y, kelvin, ra;
};

// Source: x, y, CCT and Ra of A, D and F: CIE 15:2004, tables T.1, T.3 and T.8 (from memory). x, y of the
// LEDs: CIE 015:2018, table 12.1; their CCT from memory. Ra of the LEDs was not found: 0 = not tested.
constexpr Published kPublished[] = {
    {"A", 0.44758, 0.40745, 2856, 100},   {"D50", 0.34567, 0.35851, 5003, 100},
    {"D55", 0.33243, 0.34744, 5503, 100}, {"D65", 0.31272, 0.32903, 6504, 100},
    {"D75", 0.29903, 0.31488, 7504, 100}, {"E", 1.0 / 3, 1.0 / 3, 0, 0},
    {"F1", 0.3131, 0.3371, 6430, 76},     {"F2", 0.3721, 0.3751, 4230, 64},
    {"F3", 0.4091, 0.3941, 3450, 57},     {"F4", 0.4402, 0.4031, 2940, 51},
    {"F5", 0.3138, 0.3452, 6350, 72},     {"F6", 0.3779, 0.3882, 4150, 59},
    {"F7", 0.3129, 0.3292, 6500, 90},     {"F8", 0.3458, 0.3586, 5000, 95},
    {"F9", 0.3741, 0.3727, 4150, 90},     {"F10", 0.3458, 0.3588, 5000, 81},
    {"F11", 0.3805, 0.3769, 4000, 83},    {"F12", 0.4370, 0.4042, 3000, 83},
    {"LED-B1", 0.4560, 0.4078, 2733, 0},  {"LED-B2", 0.4357, 0.4012, 2998, 0},
    {"LED-B3", 0.3756, 0.3723, 4103, 0},  {"LED-B4", 0.3422, 0.3502, 5109, 0},
    {"LED-B5", 0.3118, 0.3236, 6598, 0},
};

// As published: the F series was tabulated and summed at 5 nm, everything else at 1 nm.
Chromaticity asPublished(Light light) {
    if (light.name.starts_with('F')) {
        for (std::size_t i = 0; i < kFineGrid.count; ++i) {
            if (i % 5 != 0) light.power.values[i] = 0;
        }
    }
    return chromaticityFromXyz(whiteOf(light, observer(ObserverName::cie1931)));
}

// Tolerance: half a unit of the last digit printed, and as much again where the sum's own steps differ.
TEST(Lights, HaveThePublishedChromaticities) {
    const auto names = lightNames();
    ASSERT_LT(std::size(kPublished), names.size()) << "the measured lamps come after these";
    for (std::size_t i = 0; i < std::size(kPublished); ++i) EXPECT_EQ(names[i], kPublished[i].name);
    for (const Published& published : kPublished) {
        const Light light = lightOrThrow(published.name);
        const Chromaticity xy = asPublished(light);
        EXPECT_NEAR(xy.x, published.x, 7e-5) << published.name;
        EXPECT_NEAR(xy.y, published.y, 7e-5) << published.name;
        // A linear course between the 5 nm nodes widens the mercury lines a little.
        const Chromaticity fine = chromaticityFromXyz(whiteOf(light, observer(ObserverName::cie1931)));
        EXPECT_NEAR(fine.x, published.x, 2.5e-4) << published.name;
        EXPECT_NEAR(fine.y, published.y, 2.5e-4) << published.name;
    }
}

// Source: CIE 15:2018, table 5 (from memory).
TEST(Lights, HaveThePublishedWhites) {
    const auto& two = observer(ObserverName::cie1931);
    const auto& ten = observer(ObserverName::cie1964);
    const struct {
        const char* name;
        const Observer& eye;
        Xyz white;
    } rows[] = {{"A", two, {109.85, 100, 35.58}},   {"D50", two, {96.42, 100, 82.51}},
                {"D65", two, {95.04, 100, 108.88}}, {"D55", two, {95.68, 100, 92.14}},
                {"D75", two, {94.97, 100, 122.61}}, {"A", ten, {111.14, 100, 35.20}},
                {"D50", ten, {96.72, 100, 81.43}},  {"D65", ten, {94.81, 100, 107.32}}};
    for (const auto& [name, eye, white] : rows) {
        const Xyz ours = whiteOf(lightOrThrow(name), eye);
        EXPECT_NEAR(ours.X, white.X, 0.01) << name;
        EXPECT_NEAR(ours.Y, 100, 1e-9) << name;
        EXPECT_NEAR(ours.Z, white.Z, 0.03) << name;
    }
}

// Tolerance: 10 K and 0.5 for figures that are printed to 10 K and 1.
TEST(Lights, HaveThePublishedTemperaturesAndRenderingIndices) {
    for (const Published& published : kPublished) {
        if (published.kelvin == 0) continue;
        const Light light = lightOrThrow(published.name);
        const auto temperature = colourTemperatureFromXy(asPublished(light));
        ASSERT_TRUE(temperature) << published.name;
        EXPECT_NEAR(temperature->kelvin, published.kelvin, 10) << published.name;
        if (published.ra == 0) continue;
        const auto rendering = renderingOf(light);
        ASSERT_TRUE(rendering) << published.name;
        EXPECT_NEAR(rendering->ra, published.ra, 0.5) << published.name;
    }
}

// Source: CIE standard illuminant A, ISO 11664-2:2007, table 1 (from memory); D65 as in the same standard, at
// nodes and halfway between them. D50 and D75: CIE 15:2018, table 6 (from memory).
TEST(Lights, HaveThePublishedPowers) {
    const struct {
        const char* name;
        double nm, power, tolerance;
    } rows[] = {{"A", 360, 6.14462, 1e-5},   {"A", 560, 100, 1e-9},
                {"A", 780, 241.675, 1e-3},   {"D65", 400, 82.7549, 1e-3},
                {"D65", 500, 109.354, 1e-3}, {"D65", 502, (3 * 109.354 + 2 * 108.578) / 5, 1e-3},
                {"D65", 780, 63.3828, 1e-3}, {"D50", 390, 29.871, 5e-3},
                {"D50", 480, 95.109, 5e-3},  {"D75", 560, 100, 1e-9},
                {"E", 500, 100, 0}};
    for (const auto& [name, nm, power, tolerance] : rows) {
        EXPECT_NEAR(powerAt(lightOrThrow(name), nm), power, tolerance) << name << ' ' << nm << " nm";
    }
    EXPECT_EQ(powerAt(lightOrThrow("F11"), 379), 0) << "zero outside the table";
    EXPECT_EQ(powerAt(lightOrThrow("F11"), 781), 0);
}

// Source: the tables of A (1 nm) and D65 (5 nm) that colord-data 1.4.6 carries, CIE-A.sp and CIE-D65.sp,
// times 100; not used to compute ours. D65 at 323 nm: linear between its nodes, CIE 15:2018.
TEST(Lights, HaveThePublishedUltravioletPowers) {
    const struct {
        const char* name;
        double nm, power, tolerance;
    } rows[] = {{"A", 300, 0.930483, 1e-5}, {"A", 325, 2.2698, 1e-5},
                {"A", 340, 3.58968, 1e-5},  {"D65", 300, 0.0341, 1e-3},
                {"D65", 320, 20.236, 1e-3}, {"D65", 323, (2 * 20.236 + 3 * 28.6447) / 5, 1e-3},
                {"D65", 355, 45.775, 1e-3}, {"E", 300, 100, 0},
                {"E", 359, 100, 0},         {"LED-B1", 359, 0, 0}};
    for (const auto& [name, nm, power, tolerance] : rows) {
        const auto index = static_cast<std::size_t>(nm - kUltravioletGrid.startNm);
        EXPECT_NEAR(lightOrThrow(name).ultraviolet.at(index), power, tolerance) << name << ' ' << nm << " nm";
    }
    EXPECT_TRUE(lightOrThrow("F8").ultraviolet.empty()) << "its table begins at 380 nm";
}

// Law: the ultraviolet end is on the scale of the rest: from 359 to 360 nm a smooth light takes an ordinary
// step.
TEST(Lights, TheUltravioletEndJoinsTheRest) {
    for (const char* name : {"A", "P3200", "P6500", "D50", "D6200", "D75", "E", "LED-B3"}) {
        const Light light = lightOrThrow(name);
        ASSERT_EQ(light.ultraviolet.size(), kUltravioletGrid.count) << name;
        const double step = light.ultraviolet[59] - light.ultraviolet[58];
        EXPECT_NEAR(powerAt(light, 360) - light.ultraviolet[59], step, 0.01) << name;
    }
}

// Law: Wien's displacement, peak wavelength times temperature = 2.8978e6 nm K.
TEST(Lights, BlackBodiesObeyWien) {
    for (const double kelvin : {4000.0, 5000.0, 6000.0, 7500.0}) {
        const auto& values = blackBodyPower(kelvin).values;
        const auto peak = std::max_element(values.begin(), values.end()) - values.begin();
        EXPECT_NEAR((360.0 + static_cast<double>(peak)) * kelvin, 2.8978e6, 0.6 * kelvin) << kelvin;
    }
    EXPECT_EQ(blackBodyPower(3200).values[200], 100);
}

// Both sides of the D-series formula meet, and daylight lies on the green side of the Planckian locus.
TEST(Lights, DaylightIsContinuousAt7000K) {
    const auto xy = [](double kelvin) {
        return chromaticityFromXyz(
            whiteOf({.power = daylightPower(kelvin)}, observer(ObserverName::cie1931)));
    };
    EXPECT_NEAR(xy(6999).x, xy(7001).x, 2e-4);
    EXPECT_NEAR(xy(6999).y, xy(7001).y, 2e-4);
    for (const double kelvin : {4000.0, 5000.0, 6900.0, 7100.0, 12000.0, 25000.0}) {
        const auto temperature = colourTemperatureFromXy(xy(kelvin));
        ASSERT_TRUE(temperature) << kelvin;
        EXPECT_NEAR(temperature->kelvin / kelvin, 1, 0.006) << kelvin;
        EXPECT_GT(temperature->duv, 0.0005) << kelvin;
        EXPECT_LT(temperature->duv, 0.006) << kelvin;
    }
}

TEST(Lights, AreFoundWhateverTheCase) {
    for (const std::string& name : lightNames()) {
        const auto light = lightByName(name);
        ASSERT_TRUE(succeeded(light));
        EXPECT_EQ(light->name, name);
        EXPECT_EQ(light->power.grid, kFineGrid);
        EXPECT_EQ(light->power.values.size(), kFineGrid.count);
        EXPECT_FALSE(light->description.empty());
        EXPECT_FALSE(light->origin.empty());
    }
    EXPECT_EQ(lightOrThrow("led-b3").name, "LED-B3");
    EXPECT_EQ(lightOrThrow("d50").name, "D50");
    EXPECT_EQ(lightOrThrow("Halogen").name, "halogen");
    EXPECT_EQ(lightOrThrow("LED-WARM-82").name, "led-warm-82");
}

TEST(Lights, AnyDaylightAndAnyBlackBodyCanBeNamed) {
    EXPECT_EQ(lightOrThrow("D6504").description, "Daylight, 6504 K");
    EXPECT_EQ(lightOrThrow("D60").power.values, daylightPower(6000 * 1.4388 / 1.4380).values);
    EXPECT_EQ(lightOrThrow("p3200").power.values, blackBodyPower(3200).values);
    EXPECT_EQ(lightOrThrow("D40").power.values.size(), kFineGrid.count);
    EXPECT_EQ(lightOrThrow("D250").power.values, daylightPower(25000).values);
}

TEST(Lights, AnUnknownNameIsAnsweredWithTheNearest) {
    const std::pair<const char*, const char*> rows[] = {{"F13", "Did you mean F1?"},
                                                        {"LED-B6", "Did you mean LED-B"},
                                                        {"LEDB3", "Did you mean LED-B3?"},
                                                        {"D5O", "Did you mean D50?"},
                                                        {"led-warm-28", "Did you mean led-warm-82?"},
                                                        {"hallogen", "Did you mean halogen?"},
                                                        {"candle", "The lights are A, D50"}};
    for (const auto& [asked, nearest] : rows) {
        const auto light = lightByName(asked);
        ASSERT_FALSE(light) << asked;
        EXPECT_EQ(light.error().code, "unknown-light");
        EXPECT_EQ(light.error().kind, ErrorKind::wrongUse);
        EXPECT_NE(light.error().what.find(asked), std::string::npos);
        EXPECT_NE(light.error().next.find(nearest), std::string::npos) << light.error().next;
    }
    for (const char* asked : {"", "F", "F0", "candle", "D", "D-50", "F1x", "LED-B", "LED-B0"}) {
        const auto light = lightByName(asked);
        ASSERT_FALSE(light) << asked;
        EXPECT_EQ(light.error().code, "unknown-light") << asked;
    }
}

TEST(Lights, ATemperatureOutOfRangeIsRefused) {
    for (const char* asked : {"D39", "D251", "D3999", "D25100", "P499", "P100001", "D4294967295"}) {
        const auto light = lightByName(asked);
        ASSERT_FALSE(light) << asked;
        EXPECT_EQ(light.error().code, "light-temperature-out-of-range") << asked;
    }
}

}  // namespace
}  // namespace greywright::colour

#include "measure/lamp.h"

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "colour/colorimeter.h"
#include "colour/temperature.h"
#include "core/contract.h"
#include "testing/near.h"

namespace greywright::measure {
namespace {

using testing::allNear;
using testing::succeeded;

/// Rows of a wavelength and a value.
template <typename Function>
std::string rows(double startNm, double endNm, double stepNm, Function value) {
    std::string text;
    for (int i = 0; startNm + i * stepNm <= endNm + 1e-9; ++i) {
        const double nm = startNm + i * stepNm;
        text += fmt::format("{:.6g},{:.9g}\n", nm, value(nm));
    }
    return text;
}

template <typename Reading>
const Note* noteOf(const Reading& reading, const std::string& code) {
    const auto found = std::ranges::find(reading.notes, code, &Note::code);
    return found == reading.notes.end() ? nullptr : &*found;
}

Result<colour::Light> lightOf(const std::string& text) {
    const auto lamp = lampFromBytes(text, "lamp.csv");
    if (!lamp) return lamp.error();
    return lightFromLamp(*lamp, "lamp");
}

double powerAt(const colour::Light& light, double nm) {
    return light.power.values[static_cast<std::size_t>(nm - light.power.grid.startNm)];
}

// --- numbers of others ---

// Source: CIE 15:2018, table of illuminant A (from memory): relative power at every 20 nm.
constexpr std::array<std::array<double, 2>, 22> kIlluminantA{
    {{360, 6.14462}, {380, 9.7951},  {400, 14.708},  {420, 20.995},  {440, 28.7027}, {460, 37.8121},
     {480, 48.2423}, {500, 59.8611}, {520, 72.4959}, {540, 85.947},  {560, 100},     {580, 114.436},
     {600, 129.043}, {620, 143.618}, {640, 157.979}, {660, 171.963}, {680, 185.429}, {700, 198.261},
     {720, 210.365}, {740, 221.667}, {760, 232.116}, {780, 241.675}}};

std::string illuminantA(double perNm, const std::string& heading) {
    std::string text = heading;
    for (const auto& [nm, power] : kIlluminantA) {
        text += fmt::format("{},{:.9g}\n", nm, power * (perNm > 0 ? nm / perNm : 1));
    }
    return text;
}

TEST(Lamp, IlluminantAHasTheChromaticityThatTheCiePublishes) {
    const auto light = lightOf(illuminantA(0, "nm,power\n"));
    ASSERT_TRUE(succeeded(light));
    const auto xy =
        colour::chromaticityFromXyz(colour::whiteOf(*light, colour::observer(colour::ObserverName::cie1931)));
    // Source: CIE 15:2018: x = 0.44758, y = 0.40745. Straight lines over 20 nm and nothing above 780 nm are
    // worth 0.0005.
    EXPECT_NEAR(xy.x, 0.44758, 0.0005);
    EXPECT_NEAR(xy.y, 0.40745, 0.0005);
    EXPECT_DOUBLE_EQ(*std::ranges::max_element(light->power.values), 100);
}

TEST(Lamp, PhotonsBecomePower) {
    const auto lamp = lampFromBytes(
        rows(380, 780, 5, [](double) { return 1.0; }).insert(0, "Wavelength (nm),umol m-2 s-1 nm-1\n"),
        "lamp.csv");
    ASSERT_TRUE(succeeded(lamp));
    ASSERT_NE(noteOf(*lamp, "photons"), nullptr);
    EXPECT_EQ(noteOf(*lamp, "photons")->where.line, 1U);
    // Source: CODATA, molar Planck constant times c = 0.119626565... J m / mol (from memory): at 555 nm a
    // micromole per second is 0.21554 W.
    EXPECT_NEAR(lamp->power[(555 - 380) / 5], 0.21554, 0.00001);
    // The law, whatever the constant: energy goes with 1 / wavelength, more at the blue end.
    EXPECT_NEAR(lamp->power.front() / lamp->power.back(), 780.0 / 380.0, 1e-12);
}

TEST(Lamp, PhotonsAndPowerOfOneLampAreOneLight) {
    const auto power = lightOf(illuminantA(0, "nm,power\n"));
    const auto photons = lightOf(illuminantA(100, "nm,photons\n"));
    ASSERT_TRUE(succeeded(power) && succeeded(photons));
    // The nodes are the same; straight lines between photons are no straight lines of power.
    for (const auto& [nm, unused] : kIlluminantA) {
        EXPECT_NEAR(powerAt(*power, nm), powerAt(*photons, nm), 1e-6) << nm;
    }
}

// --- laws ---

double humps(double nm) {
    return 0.2 + std::exp(-std::pow((nm - 590) / 80, 2)) + 0.4 * std::exp(-std::pow((nm - 450) / 15, 2));
}

TEST(Lamp, TheUnitOfWavelengthDoesNotMatter) {
    const auto nanometres = lightOf(rows(380, 780, 5, humps));
    const auto micrometres = lightOf(rows(0.38, 0.78, 0.005, [](double um) { return humps(um * 1000); }));
    ASSERT_TRUE(succeeded(nanometres) && succeeded(micrometres));
    EXPECT_TRUE(allNear(micrometres->power.values, nanometres->power.values, 1e-6));
}

TEST(Lamp, TheScaleOfPowerDoesNotMatter) {
    const auto one = lightOf(rows(300, 830, 1, humps));
    const auto small = lightOf(rows(300, 830, 1, [](double nm) { return 3.7e-12 * humps(nm); }));
    ASSERT_TRUE(succeeded(one) && succeeded(small));
    EXPECT_TRUE(allNear(small->power.values, one->power.values, 1e-6));
    EXPECT_TRUE(allNear(small->ultraviolet, one->ultraviolet, 1e-6));
}

TEST(Lamp, IsLinearBetweenPoints) {
    const auto light = lightOf(rows(360, 830, 10, [](double nm) {
        return nm == 500 ? 100.0 : nm == 510 ? 50 : 0;
    }));
    ASSERT_TRUE(succeeded(light));
    EXPECT_NEAR(powerAt(*light, 500), 100, 1e-9);
    EXPECT_NEAR(powerAt(*light, 503), 85, 1e-9);
    EXPECT_NEAR(powerAt(*light, 495), 50, 1e-9);
    EXPECT_NEAR(powerAt(*light, 519), 5, 1e-9);
    EXPECT_EQ(powerAt(*light, 521), 0);
}

TEST(Lamp, ShipsAsItIsAtOneNanometre) {
    const auto shipped = colour::lightByName("D50").value();
    const auto read = lightOf(rows(300, 830, 1, [&](double nm) {
        return nm < 360 ? 1 : shipped.power.values[static_cast<std::size_t>(nm - 360)];
    }));
    ASSERT_TRUE(succeeded(read));
    const double peak = *std::ranges::max_element(shipped.power.values);
    std::vector<double> expected = shipped.power.values;
    for (double& value : expected) value *= 100 / peak;
    EXPECT_TRUE(allNear(read->power.values, expected, 1e-6));
}

// --- ends ---

TEST(Lamp, UltravioletIsFilledWhereTheFileReachesIt) {
    const auto flat = [](double) { return 2.0; };
    const auto whole = lightOf(rows(250, 830, 2, flat));
    ASSERT_TRUE(succeeded(whole));
    EXPECT_TRUE(allNear(whole->ultraviolet, std::vector<double>(60, 100.0), 1e-9));
    const auto part = lightOf(rows(330, 830, 2, flat));
    ASSERT_TRUE(succeeded(part));
    ASSERT_EQ(part->ultraviolet.size(), 60U);
    EXPECT_EQ(part->ultraviolet[29], 0);
    EXPECT_NEAR(part->ultraviolet[30], 100, 1e-9);
    const auto none = lightOf(rows(360, 830, 2, flat));
    ASSERT_TRUE(succeeded(none));
    EXPECT_TRUE(none->ultraviolet.empty());
}

TEST(Lamp, BeyondAMeasuredRangeThatIsWideEnoughThereIsNothing) {
    const std::string text = rows(400, 700, 5, [](double nm) { return nm < 500 ? 1.0 : 4.0; });
    const auto lamp = lampFromBytes(text, "lamp.csv");
    ASSERT_TRUE(succeeded(lamp));
    const auto light = lightFromLamp(*lamp, "lamp");
    ASSERT_TRUE(succeeded(light));
    EXPECT_EQ(powerAt(*light, 399), 0);
    EXPECT_NEAR(powerAt(*light, 400), 25, 1e-9);
    EXPECT_EQ(powerAt(*light, 701), 0);
    ASSERT_NE(noteOf(*lamp, "cut-off"), nullptr);
    EXPECT_NE(noteOf(*lamp, "cut-off")->text.find("at 400 nm with 25 % of its peak"), std::string::npos);
}

TEST(Lamp, AnEndThatIsMissingIsContinuedAtItsSlopeDownToZero) {
    // Falls by 1 per nm towards both ends: zero at 390 and at 690 nm.
    const auto tent = [](double nm) { return std::min(nm - 390, 690 - nm); };
    const auto lamp = lampFromBytes(rows(415, 665, 5, tent), "lamp.csv");
    ASSERT_TRUE(succeeded(lamp));
    const auto light = lightFromLamp(*lamp, "lamp");
    ASSERT_TRUE(succeeded(light));
    for (int nm = 360; nm <= 830; ++nm) {
        EXPECT_NEAR(powerAt(*light, nm), std::max(0.0, tent(nm)) * 100 / 150, 1e-9) << nm;
    }
    EXPECT_EQ(std::ranges::count(lamp->notes, "continued", &Note::code), 2);
    EXPECT_NE(noteOf(*lamp, "continued")->text.find("begins at 415 nm"), std::string::npos);
    EXPECT_NE(noteOf(*lamp, "continued")->text.find("zero at 390 nm"), std::string::npos);
}

TEST(Lamp, AnEndThatRisesOutwardsIsHeld) {
    const auto lamp = lampFromBytes(rows(380, 650, 5, [](double nm) { return nm; }), "lamp.csv");
    ASSERT_TRUE(succeeded(lamp));
    const auto light = lightFromLamp(*lamp, "lamp");
    ASSERT_TRUE(succeeded(light));
    EXPECT_NEAR(powerAt(*light, 830), 100, 1e-9);
    EXPECT_NE(noteOf(*lamp, "continued")->text.find("its last value was held"), std::string::npos);
}

TEST(Lamp, ABookKeepsWhatALightNeeds) {
    const auto lamp =
        lampFromBytes(rows(380, 780, 5, humps).insert(0, "Name: Hall\nNote: warm\n"), "lamp.csv");
    ASSERT_TRUE(succeeded(lamp));
    const auto light = lightFromLamp(*lamp, "hall evening");
    ASSERT_TRUE(succeeded(light));
    EXPECT_EQ(light->name, "hall evening");
    EXPECT_EQ(light->description, "warm");
    EXPECT_EQ(light->origin, "measured lamp (table)");
}

// --- lamps that did not come from a file ---

struct BadLamp {
    std::vector<double> nm;
    std::vector<double> power;
    const char* code;
};

TEST(Lamp, ALightIsMadeOfNothingButASpectrum) {
    std::vector<double> nm;
    for (int w = 400; w <= 700; w += 10) nm.push_back(w);
    const std::vector<double> flat(nm.size(), 1.0);
    auto repeated = nm;
    repeated[5] = repeated[4];
    auto notANumber = flat;
    notANumber[7] = std::nan("");
    auto negative = flat;
    negative[7] = -1;
    std::vector<double> wide;
    for (int w = 380; w <= 780; w += 31) wide.push_back(w);
    std::vector<double> narrow;
    for (int w = 430; w <= 700; w += 10) narrow.push_back(w);
    const std::vector<BadLamp> cases{
        {{}, {}, "lamp-too-few-points"},
        {repeated, flat, "lamp-wavelengths-not-increasing"},
        {nm, notANumber, "lamp-value-out-of-range"},
        {nm, negative, "lamp-negative"},
        {nm, std::vector<double>(nm.size(), 0.0), "lamp-all-zero"},
        {wide, std::vector<double>(wide.size(), 1.0), "lamp-gap"},
        {narrow, std::vector<double>(narrow.size(), 1.0), "lamp-range-too-short"},
    };
    for (const BadLamp& bad : cases) {
        const auto light = lightFromLamp({.wavelengthsNm = bad.nm, .power = bad.power}, "lamp");
        ASSERT_FALSE(light) << bad.code;
        EXPECT_EQ(light.error().code, bad.code) << light.error().text();
    }
    EXPECT_THROW((void)lightFromLamp({.wavelengthsNm = nm, .power = {}}, "lamp"), ContractViolation);
}

TEST(Lamp, AColumnIsFoundOrNamed) {
    std::string three = "nm,Hall,Stair,Hall\n";
    for (int nm = 380; nm <= 780; nm += 5) three += fmt::format("{},1,2,3\n", nm);
    const auto columnOf = [&](const char* column) {
        return lampFromBytes(three, "three.csv", {.column = column});
    };
    EXPECT_EQ(columnOf("3")->power.front(), 3);
    EXPECT_EQ(columnOf(" stair ")->power.front(), 2);
    for (const char* wanted : {"4", "0", "Attic", "Hall", ""}) {
        const auto lamp = columnOf(wanted);
        ASSERT_FALSE(lamp) << wanted;
        EXPECT_EQ(lamp.error().code, "lamp-column-unknown");
        EXPECT_EQ(lamp.error().where.line, 1U);
        EXPECT_NE(lamp.error().what.find("2 \"Stair\""), std::string::npos);
    }
}

TEST(Lamp, ATableTooLongIsNoLamp) {
    std::string text;
    for (int i = 0; i < 200'001; ++i) text += "1 1\n";
    const auto lamp = lampFromBytes(text, "long.txt");
    ASSERT_FALSE(lamp);
    EXPECT_EQ(lamp.error().code, "lamp-too-long");
    EXPECT_EQ(lamp.error().where.line, 200'001U);
}

// --- glazings ---

double pane(double nm) {
    return 0.92 / (1 + std::exp(-(nm - 385) / 6));
}

TEST(Transmittance, FractionsAndPercentAreOneGlazing) {
    const auto fraction = transmittanceFromBytes(rows(300, 830, 5, pane), "pane.csv");
    const auto percent =
        transmittanceFromBytes(rows(300, 830, 5, [](double nm) { return 100 * pane(nm); }), "pane.csv");
    const auto named = transmittanceFromBytes(
        "wavelength,T (%)\n" + rows(300, 830, 5, [](double nm) { return 100 * pane(nm); }), "pane.csv");
    ASSERT_TRUE(succeeded(fraction) && succeeded(percent) && succeeded(named));
    EXPECT_EQ(fraction->transmittance.grid, colour::kGlazingGrid);
    EXPECT_EQ(fraction->transmittance.values.size(), 531U);
    EXPECT_NEAR(fraction->transmittance.values[100], pane(400), 1e-9);
    EXPECT_TRUE(allNear(percent->transmittance.values, fraction->transmittance.values, 1e-8));
    EXPECT_TRUE(allNear(named->transmittance.values, fraction->transmittance.values, 1e-8));
    EXPECT_TRUE(fraction->notes.empty());
}

TEST(Transmittance, AHeadingSaysPercentOfWhatIsNearlyOpaque) {
    const auto dark = transmittanceFromBytes(
        "wavelength,transmittance in percent\n" + rows(300, 830, 5, [](double) { return 0.8; }), "dark.csv");
    ASSERT_TRUE(succeeded(dark));
    EXPECT_NEAR(dark->transmittance.values[0], 0.008, 1e-12);
}

TEST(Transmittance, WhatIsMissingAtTheEndsIsHeldWithANote) {
    const auto glazing = transmittanceFromBytes(rows(400, 700, 5, pane), "pane.csv");
    ASSERT_TRUE(succeeded(glazing));
    EXPECT_NEAR(glazing->transmittance.values.front(), pane(400), 1e-9);
    EXPECT_NEAR(glazing->transmittance.values.back(), pane(700), 1e-9);
    ASSERT_NE(noteOf(*glazing, "ultraviolet-assumed"), nullptr);
    EXPECT_NE(noteOf(*glazing, "ultraviolet-assumed")->text.find("begins at 400 nm"), std::string::npos);
    EXPECT_NE(noteOf(*glazing, "held"), nullptr);
}

TEST(Transmittance, ALittleAboveOneIsNoise) {
    const auto glazing = transmittanceFromBytes(rows(300, 830, 5, [](double) { return 101.5; }), "pane.csv");
    ASSERT_TRUE(succeeded(glazing));
    EXPECT_NEAR(glazing->transmittance.values[0], 1.015, 1e-12);
    EXPECT_NE(noteOf(*glazing, "above-one"), nullptr);
}

std::string tm27(const char* quantity, double value) {
    std::string text = fmt::format(
        "<IESTM2714>\n<SpectralDistribution>\n<SpectralQuantity>{}</SpectralQuantity>\n", quantity);
    for (int nm = 300; nm <= 830; nm += 10) {
        text += fmt::format("<SpectralData wavelength=\"{}\">{}</SpectralData>\n", nm, value);
    }
    return text + "</SpectralDistribution>\n</IESTM2714>\n";
}

TEST(Transmittance, IsReadFromTm27) {
    for (const char* quantity : {"transmittance", "T-Factor"}) {
        const auto glazing = transmittanceFromBytes(tm27(quantity, 0.9), "pane.spdx");
        ASSERT_TRUE(succeeded(glazing));
        EXPECT_EQ(glazing->format, "IES TM-27");
        EXPECT_NEAR(glazing->transmittance.values[250], 0.9, 1e-12);
        EXPECT_TRUE(glazing->notes.empty());
    }
}

TEST(Lamp, Tm27HoldsOneSpectrum) {
    EXPECT_TRUE(succeeded(lampFromBytes(tm27("flux", 0.9), "x.spdx", {.column = "1"})));
    const auto second = lampFromBytes(tm27("flux", 0.9), "x.spdx", {.column = "2"});
    ASSERT_FALSE(second);
    EXPECT_EQ(second.error().code, "lamp-column-unknown");
    EXPECT_EQ(second.error().where.field, "2");
}

struct BadGlazing {
    std::string text;
    const char* code;
    std::size_t line;
};

TEST(Transmittance, IsRefusedWithItsPlace) {
    const std::string fine = rows(300, 830, 5, pane);
    const auto with = [&](double nm, double value) {
        return rows(300, 830, 5, [&](double w) { return w == nm ? value : pane(w); });
    };
    const auto flat = [](double value) { return rows(300, 830, 5, [&](double) { return value; }); };
    const std::vector<BadGlazing> cases{
        {with(310, -0.001), "transmittance-negative", 3},
        {with(500, 1.5), "transmittance-scale-unclear", 41},
        {"nm,transmittance (fraction)\n" + with(500, 1.5), "transmittance-out-of-range", 42},
        {flat(104), "transmittance-out-of-range", 1},
        {flat(0), "transmittance-all-zero", 1},
        {rows(405, 830, 5, pane), "transmittance-range-too-short", 1},
        {rows(300, 695, 5, pane), "transmittance-range-too-short", 80},
        {rows(300, 830, 25, pane), "transmittance-gap", 6},
        {rows(300, 830, 50, pane), "transmittance-too-few-points", 1},
        {rows(830, 831, 1, pane) + fine, "transmittance-wavelengths-not-increasing", 3},
        {"nm,irradiance\n" + fine, "transmittance-other-quantity", 1},
        {"nm,counts\n" + fine, "transmittance-other-quantity", 1},
        {"nm,reflectance\n" + fine, "transmittance-other-quantity", 1},
        {"nm,umol m-2 s-1 nm-1\n" + fine, "transmittance-other-quantity", 1},
        {"Angstrom,transmittance\n" + fine, "transmittance-wavelength-unit", 1},
        {"no glazing\n", "transmittance-not-recognised", 1},
        {tm27("irradiance", 0.9), "transmittance-other-quantity", 3},
        {tm27("reflectance", 0.9), "transmittance-other-quantity", 3},
        {tm27("transmittance", 1.4), "transmittance-scale-unclear", 4},
        {"", "file-empty", 0},
    };
    for (const BadGlazing& bad : cases) {
        const auto glazing = transmittanceFromBytes(bad.text, "pane");
        EXPECT_EQ(glazing ? "" : glazing.error().code, bad.code) << bad.text.substr(0, 60);
        if (glazing) continue;
        EXPECT_EQ(glazing.error().where.line, bad.line) << glazing.error().text();
        EXPECT_EQ(glazing.error().where.path, "pane");
        EXPECT_FALSE(glazing.error().next.empty());
    }
}

}  // namespace
}  // namespace greywright::measure

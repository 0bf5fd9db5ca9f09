#include "measure/tones.h"

#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

#include "testing/near.h"

namespace greywright::measure {
namespace {

using testing::succeeded;

/// An invented print: lightness falls from 95 to 15 a little faster in the light tones, as inks do.
double lightness(double tonePercent) {
    const double t = tonePercent / 100;
    return 95 - 80 * (1.1 * t - 0.1 * t * t);
}

Reading readingOf(const std::vector<double>& lightnesses) {
    Reading reading;
    for (const double L : lightnesses) {
        reading.patches.push_back(
            {.name = "p", .lab = colour::Lab{L, 0, 0}, .line = reading.patches.size() + 10});
    }
    reading.path = "sheet.txt";
    return reading;
}

std::vector<double> evenTones(std::size_t count) {
    std::vector<double> tones;
    for (std::size_t i = 0; i < count; ++i) {
        tones.push_back(100 * static_cast<double>(i) / static_cast<double>(count - 1));
    }
    return tones;
}

Reading printOf(const std::vector<double>& tones) {
    std::vector<double> lightnesses;
    lightnesses.reserve(tones.size());
    for (const double tone : tones) lightnesses.push_back(lightness(tone));
    return readingOf(lightnesses);
}

Reading withColumn(Reading reading, const char* name, const std::vector<double>& values) {
    reading.deviceColumns.emplace_back(name);
    for (std::size_t i = 0; i < values.size(); ++i) reading.patches[i].device.push_back(values[i]);
    return reading;
}

std::vector<double> tonesOf(const Ramp& ramp) {
    std::vector<double> tones;
    for (const RampPatch& patch : ramp.patches) tones.push_back(patch.tonePercent);
    return tones;
}

std::string codes(const std::vector<Note>& notes) {
    std::string out;
    for (const Note& note : notes) out += (out.empty() ? "" : ",") + note.code;
    return out;
}

void expectRefused(const Result<Ramp>& ramp, const char* code, const char* fragment, std::size_t line = 0) {
    ASSERT_FALSE(ramp) << codes(ramp->notes);
    EXPECT_EQ(ramp.error().code, code) << ramp.error().text();
    EXPECT_NE(ramp.error().text().find(fragment), std::string::npos) << ramp.error().text();
    EXPECT_EQ(ramp.error().where.path, "sheet.txt");
    EXPECT_FALSE(ramp.error().next.empty());
    if (line > 0) {
        EXPECT_EQ(ramp.error().where.line, line);
    }
}

// --- where tones come from ---

TEST(Tones, GivenTonesAreTakenInOrderOfMeasuring) {
    const std::vector<double> tones{0, 100, 50};
    const auto ramp = rampFromReading(printOf(tones), {.tonesPercent = tones});
    ASSERT_TRUE(succeeded(ramp));
    EXPECT_EQ(tonesOf(*ramp), (std::vector<double>{0, 50, 100}));
    EXPECT_DOUBLE_EQ(ramp->patches[1].lab.L, lightness(50));
    EXPECT_EQ(codes(ramp->notes), "");
}

TEST(Tones, OfThePatchesComeFirst) {
    Reading reading = printOf({100, 0});
    reading.patches[0].tonePercent = 100;
    reading.patches[1].tonePercent = 0;
    const auto ramp = rampFromReading(reading, {.tonesPercent = {0, 100}});
    ASSERT_TRUE(succeeded(ramp));
    EXPECT_DOUBLE_EQ(ramp->patches[0].lab.L, 95);
}

TEST(Tones, KeepHowFarTheReadingMayBeOff) {
    const std::vector<double> tones{0, 50, 100};
    Reading reading = printOf(tones);
    EXPECT_FALSE(rampFromReading(reading, {.tonesPercent = tones})->uncertainty);
    reading.uncertainty = Uncertainty{.shared = 0.8, .own = 0.2};
    const auto ramp = rampFromReading(reading, {.tonesPercent = tones});
    ASSERT_TRUE(succeeded(ramp));
    ASSERT_TRUE(ramp->uncertainty);
    EXPECT_EQ(ramp->uncertainty->shared, 0.8);
    EXPECT_EQ(ramp->uncertainty->own, 0.2);
}

TEST(Tones, InSomePatchesOnlyAreRefused) {
    Reading reading = printOf({0, 100});
    reading.patches[0].tonePercent = 0;
    expectRefused(rampFromReading(reading), "tones-incomplete", "1 of 2");
}

TEST(Tones, KIsInk) {
    const auto ramp = rampFromReading(withColumn(printOf({100, 0, 40}), "K", {100, 0, 40}));
    ASSERT_TRUE(succeeded(ramp));
    EXPECT_EQ(tonesOf(*ramp), (std::vector<double>{0, 40, 100}));
}

TEST(Tones, KUpTo255IsScaled) {
    const auto ramp = rampFromReading(withColumn(printOf({0, 20, 100}), "K", {0, 51, 255}));
    ASSERT_TRUE(succeeded(ramp));
    EXPECT_EQ(tonesOf(*ramp), (std::vector<double>{0, 20, 100}));
}

TEST(Tones, KUpTo1IsScaled) {
    const auto ramp = rampFromReading(withColumn(printOf({0, 50, 100}), "K", {0, 0.5, 1}));
    ASSERT_TRUE(succeeded(ramp));
    EXPECT_EQ(tonesOf(*ramp), (std::vector<double>{0, 50, 100}));
}

TEST(Tones, AnUnusualMaximumIsTold) {
    const auto ramp = rampFromReading(withColumn(printOf({40, 60}), "K", {40, 60}));
    ASSERT_TRUE(succeeded(ramp));
    EXPECT_EQ(tonesOf(*ramp), (std::vector<double>{40, 60}));
    EXPECT_EQ(codes(ramp->notes), "device-range-assumed");
}

TEST(Tones, DeviceValuesBeyondAnyRangeAreRefused) {
    expectRefused(rampFromReading(withColumn(printOf({0, 100}), "K", {0, 65535})),
                  "device-value-out-of-range", "65535");
    expectRefused(rampFromReading(withColumn(printOf({0, 100}), "K", {-1, 100})), "device-value-out-of-range",
                  "-1");
}

TEST(Tones, RgbIsLight) {
    Reading reading = printOf({0, 100, 60});
    for (const char* name : {"RGB_R", "RGB_G", "RGB_B"}) reading = withColumn(reading, name, {255, 0, 102});
    const auto ramp = rampFromReading(reading);
    ASSERT_TRUE(succeeded(ramp));
    EXPECT_TRUE(testing::allNear(tonesOf(*ramp), std::vector<double>{0, 60, 100}, 1e-12));
}

TEST(Tones, RgbUpTo100IsLightToo) {
    Reading reading = printOf({0, 100, 60});
    for (const char* name : {"RGB_R", "RGB_G", "RGB_B"}) reading = withColumn(reading, name, {100, 0, 40});
    const auto ramp = rampFromReading(reading);
    ASSERT_TRUE(succeeded(ramp));
    EXPECT_EQ(tonesOf(*ramp), (std::vector<double>{0, 60, 100}));
}

TEST(Tones, ColouredRgbPatchesAreLeftOut) {
    Reading reading = readingOf({95, 50, 15});
    reading = withColumn(reading, "RGB_R", {255, 255, 0});
    reading = withColumn(reading, "RGB_G", {255, 0, 0});
    reading = withColumn(reading, "RGB_B", {255, 0, 0});
    const auto ramp = rampFromReading(reading);
    ASSERT_TRUE(succeeded(ramp));
    EXPECT_EQ(tonesOf(*ramp), (std::vector<double>{0, 100}));
    EXPECT_EQ(codes(ramp->notes), "patches-left-out");
}

TEST(Tones, OnlyBlackAloneIsTheRampOfAChart) {
    Reading reading = readingOf({95, 70, 50, 15, 40});
    reading = withColumn(reading, "CMYK_C", {0, 30, 0, 0, 0});
    reading = withColumn(reading, "CMYK_M", {0, 0, 0, 0, 50});
    reading = withColumn(reading, "CMYK_Y", {0, 0, 0, 0, 0});
    reading = withColumn(reading, "CMYK_K", {0, 0, 55, 100, 0});
    const auto ramp = rampFromReading(reading);
    ASSERT_TRUE(succeeded(ramp));
    EXPECT_EQ(tonesOf(*ramp), (std::vector<double>{0, 55, 100}));
    EXPECT_EQ(codes(ramp->notes), "patches-left-out");
}

TEST(Tones, AChartWithoutBlackAloneIsRefused) {
    Reading reading = withColumn(withColumn(readingOf({70, 60}), "CMYK_C", {30, 40}), "CMYK_K", {0, 10});
    expectRefused(rampFromReading(reading), "no-black-ramp", "black ink alone");
    Reading rgb =
        withColumn(withColumn(withColumn(readingOf({70}), "RGB_R", {1}), "RGB_G", {2}), "RGB_B", {3});
    expectRefused(rampFromReading(rgb), "no-black-ramp", "R, G and B equal");
}

TEST(Tones, GreyIsInkOrLightAsMeasured) {
    const auto ink = rampFromReading(withColumn(printOf({0, 50, 100}), "GREY", {0, 50, 100}));
    ASSERT_TRUE(succeeded(ink));
    EXPECT_EQ(tonesOf(*ink), (std::vector<double>{0, 50, 100}));
    const auto light = rampFromReading(withColumn(printOf({0, 50, 100}), "GREY", {100, 50, 0}));
    ASSERT_TRUE(succeeded(light));
    EXPECT_EQ(tonesOf(*light), (std::vector<double>{0, 50, 100}));
    EXPECT_DOUBLE_EQ(light->patches.front().lab.L, 95);
    EXPECT_EQ(codes(ink->notes), "grey-direction");
    EXPECT_EQ(codes(light->notes), "grey-direction");
    EXPECT_NE(ink->notes[0].text, light->notes[0].text);
}

TEST(Tones, GreyWithoutDirectionIsRefused) {
    expectRefused(rampFromReading(withColumn(readingOf({50, 51}), "GREY", {50, 52})),
                  "grey-direction-unclear", "ink or light", 10);
}

TEST(Tones, OfTheFileBeatThoseGiven) {
    const Reading reading = withColumn(printOf({0, 100}), "K", {0, 100});
    const auto differ = rampFromReading(reading, {.tonesPercent = {0, 90}});
    ASSERT_TRUE(succeeded(differ));
    EXPECT_EQ(codes(differ->notes), "tones-not-used");
    const auto same = rampFromReading(reading, {.tonesPercent = {0, 100}});
    ASSERT_TRUE(succeeded(same));
    EXPECT_EQ(codes(same->notes), "");
}

TEST(Tones, AnUnmistakableRampGetsEvenTones) {
    const auto ramp = rampFromReading(printOf(evenTones(11)));
    ASSERT_TRUE(succeeded(ramp));
    EXPECT_TRUE(testing::allNear(tonesOf(*ramp), evenTones(11), 1e-12));
    EXPECT_EQ(codes(ramp->notes), "tones-assumed");
    Reading fromBlack = printOf(evenTones(11));
    std::ranges::reverse(fromBlack.patches);
    const auto turned = rampFromReading(fromBlack);
    ASSERT_TRUE(succeeded(turned));
    EXPECT_DOUBLE_EQ(turned->patches.front().lab.L, 95);
    EXPECT_EQ(codes(turned->notes), "tones-assumed");
}

TEST(Tones, NothingIsAssumedForBlocksOrScatteredPatches) {
    expectRefused(rampFromReading(readingOf({60, 55, 50})), "tones-unknown", "no unmistakable ramp");
    expectRefused(rampFromReading(readingOf({60, 59, 58, 57, 56, 55})), "tones-unknown",
                  "no unmistakable ramp");
    expectRefused(rampFromReading(readingOf({50, 95, 20, 70, 15, 60})), "tones-unknown",
                  "in the order of measuring");
}

// --- what cannot be true ---

TEST(Tones, MissingPatchesAreCounted) {
    expectRefused(rampFromReading(printOf(evenTones(10)), {.tonesPercent = evenTones(11)}),
                  "wrong-number-of-tones", "11 tones were given for 10 measured patches");
    expectRefused(rampFromReading(printOf(evenTones(11)), {.tonesPercent = evenTones(10)}),
                  "wrong-number-of-tones", "10 tones were given for 11 measured patches");
}

TEST(Tones, OutsidePaperAndBlackAreRefused) {
    for (const double tone : {-1.0, 100.5, std::nan("")}) {
        expectRefused(rampFromReading(readingOf({50}), {.tonesPercent = {tone}}), "tone-out-of-range",
                      "--tones");
    }
    Reading reading = readingOf({50});
    reading.patches[0].tonePercent = 120;
    expectRefused(rampFromReading(reading), "tone-out-of-range", "120", 10);
}

TEST(Tones, APatchWithoutColourIsRefused) {
    Reading reading = readingOf({95, 50});
    reading.patches[1].lab.reset();
    expectRefused(rampFromReading(reading, {.tonesPercent = {0, 50}}), "patch-without-colour", "patch 2", 11);
    expectRefused(rampFromReading(readingOf({})), "no-patches", "no patches");
}

TEST(Tones, ARampUpsideDownIsRefused) {
    std::vector<double> backwards = evenTones(21);
    std::ranges::reverse(backwards);
    expectRefused(rampFromReading(printOf(backwards), {.tonesPercent = evenTones(21)}), "ramp-upside-down",
                  "21 down to 1", 10);
    expectRefused(rampFromReading(printOf({60, 40}), {.tonesPercent = {40, 60}}), "ramp-upside-down",
                  "2 down to 1");
    // A noisy one is upside down all the same.
    Reading noisy = printOf(backwards);
    for (std::size_t i = 0; i < noisy.patches.size(); ++i) noisy.patches[i].lab->L += i % 2 == 0 ? 0.8 : -0.8;
    expectRefused(rampFromReading(noisy, {.tonesPercent = evenTones(21)}), "ramp-upside-down", "upside down");
}

Reading swapped(std::size_t first, std::size_t second, std::size_t length, std::size_t count = 21) {
    Reading reading = printOf(evenTones(count));
    for (std::size_t i = 0; i < length; ++i) {
        std::swap(reading.patches[first + i].lab, reading.patches[second + i].lab);
    }
    return reading;
}

TEST(Tones, SwappedStripsAreRefusedWithTheLikelyOrder) {
    expectRefused(rampFromReading(swapped(7, 14, 7), {.tonesPercent = evenTones(21)}), "strips-swapped",
                  "1-7, 15-21, 8-14", 17);
    expectRefused(rampFromReading(swapped(0, 14, 7), {.tonesPercent = evenTones(21)}), "strips-swapped",
                  "15-21, 8-14, 1-7", 10);
    expectRefused(rampFromReading(swapped(3, 9, 3), {.tonesPercent = evenTones(21)}), "strips-swapped",
                  "1-3, 10-12, 7-9, 4-6, 13-21", 13);
}

TEST(Tones, SwappedStripsAreFoundWithoutTonesToo) {
    expectRefused(rampFromReading(swapped(7, 14, 7)), "strips-swapped", "1-7, 15-21, 8-14");
}

TEST(Tones, SwappedStripsAreFoundThroughNoise) {
    Reading reading = swapped(8, 16, 8, 32);
    for (std::size_t i = 0; i < reading.patches.size(); ++i) {
        reading.patches[i].lab->L += 0.4 * std::sin(static_cast<double>(7 * i));
    }
    expectRefused(rampFromReading(reading, {.tonesPercent = evenTones(32)}), "strips-swapped",
                  "1-8, 17-24, 9-16, 25-32");
}

TEST(Tones, SwappedStripsOfAScatteredChartAreFoundInOrderOfMeasuring) {
    const std::vector<double> tones{10, 90, 30, 70, 50, 20, 80, 40, 100, 0};
    Reading reading = printOf(tones);
    for (std::size_t i = 0; i < 5; ++i) std::swap(reading.patches[i].lab, reading.patches[i + 5].lab);
    expectRefused(rampFromReading(reading, {.tonesPercent = tones}), "strips-swapped", "6-10, 1-5");
}

TEST(Tones, AStripMeasuredBackwardsIsRefusedWithTheLikelyOrder) {
    Reading reading = printOf(evenTones(21));
    std::reverse(reading.patches.begin() + 7, reading.patches.begin() + 14);
    expectRefused(rampFromReading(reading, {.tonesPercent = evenTones(21)}), "strip-reversed",
                  "1-7, 14 down to 8, 15-21");
}

TEST(Tones, AGrosslyWrongPatchIsNamed) {
    Reading reading = printOf(evenTones(21));
    reading.patches[12].lab->L = 80;
    expectRefused(rampFromReading(reading, {.tonesPercent = evenTones(21)}), "ramp-not-monotone", "tone 60 %",
                  22);
}

TEST(Tones, NoiseAndFlatShadowsPass) {
    Reading noisy = printOf(evenTones(51));
    for (std::size_t i = 0; i < noisy.patches.size(); ++i) noisy.patches[i].lab->L += i % 2 == 0 ? 0.6 : -0.6;
    EXPECT_TRUE(succeeded(rampFromReading(noisy, {.tonesPercent = evenTones(51)})));
    Reading flat = printOf(evenTones(21));
    for (Patch& each : flat.patches) each.lab->L = std::max(each.lab->L, 30.0);
    flat.patches.back().lab->L = 31.5;  // pooling ink shines
    const auto ramp = rampFromReading(flat, {.tonesPercent = evenTones(21)});
    ASSERT_TRUE(succeeded(ramp));
    EXPECT_EQ(codes(ramp->notes), "");
    flat.patches.back().lab->L = 34;
    EXPECT_EQ(codes(rampFromReading(flat, {.tonesPercent = evenTones(21)})->notes), "ramp-uneven");
}

TEST(Tones, FewBlocksAreEnough) {
    for (const std::vector<double>& tones : {std::vector<double>{50}, {40, 60}, {45, 50, 55}}) {
        EXPECT_TRUE(succeeded(rampFromReading(printOf(tones), {.tonesPercent = tones}))) << tones.size();
    }
}

// --- repeats ---

TEST(Tones, RepeatsAreAveraged) {
    Reading reading = readingOf({95, 50.2, 49.8, 15});
    reading.patches[1].lab->a = 1;
    const auto ramp = rampFromReading(reading, {.tonesPercent = {0, 50, 50, 100}});
    ASSERT_TRUE(succeeded(ramp));
    ASSERT_EQ(ramp->patches.size(), 3U);
    EXPECT_DOUBLE_EQ(ramp->patches[1].lab.L, 50);
    EXPECT_DOUBLE_EQ(ramp->patches[1].lab.a, 0.5);
    EXPECT_EQ(codes(ramp->notes), "tones-averaged");
    EXPECT_EQ(ramp->notes[0].text.find("differ"), std::string::npos);
}

TEST(Tones, ALargeSpreadOfRepeatsIsToldAndAGrossOneRefused) {
    const ToneOptions options{.tonesPercent = {0, 50, 50, 100}};
    const auto ramp = rampFromReading(readingOf({95, 52, 48, 15}), options);
    ASSERT_TRUE(succeeded(ramp));
    EXPECT_NE(ramp->notes[0].text.find("differ by up to"), std::string::npos);
    expectRefused(rampFromReading(readingOf({95, 60, 40, 15}), options), "repeated-tone-disagrees",
                  "tone 50 %", 12);
}

TEST(Tones, RepeatedSpectraAreAveragedBandByBand) {
    Reading reading = readingOf({95, 50, 50});
    reading.grid = colour::WavelengthGrid{400, 10, 31};
    reading.condition = Condition::m2;
    const std::vector<double> reflectances{0.9, 0.2, 0.4};
    for (std::size_t i = 0; i < 3; ++i) {
        reading.patches[i].reflectance.assign(31, reflectances[i]);
        reading.patches[i].lab.reset();  // from the spectrum
    }
    const auto ramp = rampFromReading(reading, {.tonesPercent = {0, 50, 50}});
    ASSERT_FALSE(ramp) << "L* 52 and 69 are no repeats";
    EXPECT_EQ(ramp.error().code, "repeated-tone-disagrees");
    reading.patches[2].reflectance.assign(31, 0.22);
    const auto close = rampFromReading(reading, {.tonesPercent = {0, 50, 50}});
    ASSERT_TRUE(succeeded(close));
    EXPECT_EQ(close->grid, reading.grid);
    EXPECT_EQ(close->condition, Condition::m2);
    EXPECT_NEAR(close->patches[1].reflectance[7], 0.21, 1e-12);
    // L* of a flat reflectance: ISO/CIE 11664-4, 116 cbrt(0.21) - 16.
    EXPECT_NEAR(close->patches[1].lab.L, 116 * std::cbrt(0.21) - 16, 1e-9);
}

}  // namespace
}  // namespace greywright::measure

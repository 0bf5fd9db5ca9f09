#include "colour/temperature.h"

#include <cmath>

#include <gtest/gtest.h>

#include "colour/colorimeter.h"
#include "colour/rendering.h"

namespace greywright::colour {
namespace {

Light blackBody(double kelvin) {
    return {.power = blackBodyPower(kelvin)};
}

// Law: a black body has its own temperature and no Duv, at both ends of the range and in between.
TEST(ColourTemperature, OfABlackBodyIsItsOwn) {
    for (const double kelvin : {1100.0, 2000.0, 2856.0, 4000.0, 6500.0, 20000.0, 40000.0}) {
        const auto temperature = colourTemperatureOf(blackBody(kelvin));
        ASSERT_TRUE(temperature) << kelvin;
        EXPECT_NEAR(temperature->kelvin / kelvin, 1, 1e-5) << kelvin;
        EXPECT_NEAR(temperature->duv, 0, 1e-7) << kelvin;
    }
}

// Source: CIE 1960 chromaticity and Robertson's isotherms give D65 6504 K, Duv 0.0032; Duv's sign: ANSI
// C78.377 (both from memory).
TEST(ColourTemperature, DuvIsPositiveOnTheGreenSide) {
    const auto d65 = colourTemperatureFromXy({0.31272, 0.32903});
    ASSERT_TRUE(d65);
    EXPECT_NEAR(d65->kelvin, 6504, 2);
    EXPECT_NEAR(d65->duv, 0.0032, 1e-4);
    const auto pink = colourTemperatureFromXy({0.31272, 0.31});
    ASSERT_TRUE(pink);
    EXPECT_LT(pink->duv, -0.004);
}

TEST(ColourTemperature, HasNoMeaningFarFromTheLocusOrBeyondItsEnds) {
    EXPECT_FALSE(colourTemperatureFromXy({0.30, 0.60}));
    EXPECT_FALSE(colourTemperatureFromXy({0.70, 0.29}));
    EXPECT_FALSE(colourTemperatureFromXy({0.20, 0.20}));
    Light green = blackBody(5000);
    for (std::size_t i = 0; i < kFineGrid.count; ++i) green.power.values[i] = i == 170 ? 1 : 0;
    EXPECT_FALSE(renderingOf(green));
}

// Law: the reference of the rendering index renders like itself, on both sides of 5000 K.
TEST(Rendering, AReferenceScoresAHundred) {
    for (const double kelvin : {2700.0, 4500.0}) {
        const auto rendering = renderingOf(blackBody(kelvin));
        ASSERT_TRUE(rendering);
        EXPECT_NEAR(rendering->ra, 100, 0.01) << kelvin;
    }
    for (const double kelvin : {5300.0, 6500.0, 10000.0}) {
        const auto rendering = renderingOf({.power = daylightPower(kelvin)});
        ASSERT_TRUE(rendering);
        EXPECT_NEAR(rendering->ra, 100, 0.1) << kelvin;
    }
}

// Source: CIE 15:2004, tables T.1 and T.8 (from memory): F9 has x, y 0.3741, 0.3727, 4150 K and Ra 90.
TEST(Figures, AreThoseOfTheSeparateQuestions) {
    const Light light = lightByName("F9").value();
    const LightFigures figures = figuresOf(light);
    EXPECT_NEAR(figures.xy.x, 0.3741, 2.5e-4);
    EXPECT_NEAR(figures.xy.y, 0.3727, 2.5e-4);
    ASSERT_TRUE(figures.temperature);
    EXPECT_NEAR(figures.temperature->kelvin, 4150, 15);
    EXPECT_NEAR(figures.temperature->duv, 0, 3e-4);
    ASSERT_TRUE(figures.ra);
    EXPECT_EQ(*figures.ra, renderingOf(light)->ra);
}

TEST(Figures, OfALightFarFromTheLocusAreOnlyItsChromaticity) {
    Light green = blackBody(5000);
    for (std::size_t i = 0; i < kFineGrid.count; ++i) green.power.values[i] = i == 170 ? 1 : 0;
    const LightFigures figures = figuresOf(green);
    EXPECT_GT(figures.xy.y, 0.7);
    EXPECT_FALSE(figures.temperature);
    EXPECT_FALSE(figures.ra);
}

// Law: Ra is the mean of the eight; a warm white halophosphate tube lacks deep red, so that the reddish
// purple of sample 8 suffers most (common practice).
TEST(Rendering, TheMeanOfEightSamples) {
    const auto rendering = renderingOf(lightByName("F4").value());
    ASSERT_TRUE(rendering);
    double sum = 0;
    double least = 100;
    for (const double r : rendering->samples) {
        sum += r;
        least = std::min(least, r);
    }
    EXPECT_NEAR(rendering->ra, sum / 8, 1e-12);
    EXPECT_EQ(least, rendering->samples[7]);
}

}  // namespace
}  // namespace greywright::colour

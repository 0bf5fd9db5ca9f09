#include "colour/appearance.h"

#include <cmath>

#include <gtest/gtest.h>

#include "colour/reference_rows.h"
#include "core/contract.h"

namespace greywright::colour {
namespace {

ViewingConditions conditionsOf(const std::vector<double>& row) {
    return {.white = {row[0], row[1], row[2]},
            .adaptingLuminanceCdM2 = row[3],
            .backgroundY = row[4],
            .surround = static_cast<Surround>(static_cast<int>(row[5])),
            .fullyAdapted = row[6] != 0};
}

// Source: colorjs.io (tools/reference/ciecam16.mjs), eight viewing conditions, three surrounds, all four hue
// quadrants. Tolerance: the digits written to the table.
TEST(Ciecam16, AgreesWithAnIndependentLibrary) {
    const auto rows = referenceRows("ciecam16.csv");
    ASSERT_GE(rows.size(), 50U);
    for (const auto& row : rows) {
        const Ciecam16 model(conditionsOf(row));
        const Appearance seen = model.appearanceFromXyz({row[7], row[8], row[9]});
        EXPECT_NEAR(seen.J, row[10], 1e-6);
        EXPECT_NEAR(seen.C, row[11], 1e-6);
        EXPECT_NEAR(seen.hDegrees, row[12], 1e-5);
        EXPECT_NEAR(seen.M, row[13], 1e-6);
        EXPECT_NEAR(seen.s, row[14], 1e-6);
        EXPECT_NEAR(seen.Q, row[15], 1e-6);
        // The short way to CAM16-UCS is the long one.
        const CamUcs ucs = model.ucsFromXyz({row[7], row[8], row[9]}), longer = ucsFromAppearance(seen);
        EXPECT_NEAR(ucs.J, longer.J, 1e-11);
        EXPECT_NEAR(ucs.a, longer.a, 1e-11);
        EXPECT_NEAR(ucs.b, longer.b, 1e-11);
    }
}

// Source: the worked example with X = 19.01 under D65, 318.31 cd/m2, that several libraries print for CAM16
// and CIECAM16 alike (from memory).
TEST(Ciecam16, WorkedExample) {
    const Ciecam16 model({.white = {95.05, 100, 108.88}, .adaptingLuminanceCdM2 = 318.31, .backgroundY = 20});
    const Appearance seen = model.appearanceFromXyz({19.01, 20.00, 21.78});
    EXPECT_NEAR(seen.J, 41.7312079, 1e-6);
    EXPECT_NEAR(seen.C, 0.1033557, 1e-6);
    EXPECT_NEAR(seen.hDegrees, 217.0679597, 1e-5);
    EXPECT_NEAR(seen.M, 0.1074367, 1e-6);
    EXPECT_NEAR(seen.s, 2.3450150, 1e-6);
    EXPECT_NEAR(seen.Q, 195.3717089, 1e-6);
}

TEST(Ciecam16, WhiteIsWhiteAndBlackIsBlack) {
    for (const Surround surround : {Surround::average, Surround::dim, Surround::dark}) {
        const Ciecam16 model({.white = {96.42, 100, 82.51}, .surround = surround});
        const Appearance white = model.appearanceFromXyz({96.42, 100, 82.51});
        EXPECT_NEAR(white.J, 100, 1e-9);
        const Ciecam16 bright(
            {.white = {96.42, 100, 82.51}, .adaptingLuminanceCdM2 = 640, .surround = surround});
        EXPECT_LT(bright.appearanceFromXyz({96.42, 100, 82.51}).M, white.M)
            << "more light, fuller adaptation";
        EXPECT_EQ(model.appearanceFromXyz({}).J, 0);
        EXPECT_EQ(model.appearanceFromXyz({}).M, 0);
        EXPECT_EQ(model.xyzFromAppearance({}).Y, 0);
    }
}

// Round trip, among it colours on both straight-line extensions (cone responses below 0.26 and above 150).
TEST(Ciecam16, GoesThereAndBack) {
    const Ciecam16 model({.white = {96.42, 100, 82.51}, .adaptingLuminanceCdM2 = 30, .backgroundY = 18});
    for (const Xyz& xyz : {Xyz{40, 42, 30}, Xyz{0.1, 0.1, 0.08}, Xyz{0.02, 0.02, 0.02}, Xyz{190, 200, 160},
                           Xyz{30, 15, 2}, Xyz{10, 20, 40}, Xyz{20, 10, 0.05}, Xyz{96.42, 100, 82.51}}) {
        const Xyz back = model.xyzFromAppearance(model.appearanceFromXyz(xyz));
        EXPECT_NEAR(back.X, xyz.X, 1e-8);
        EXPECT_NEAR(back.Y, xyz.Y, 1e-8);
        EXPECT_NEAR(back.Z, xyz.Z, 1e-8);
    }
}

// Law: lightness rises steadily from black through both joins, without a step.
TEST(Ciecam16, LightnessIsSmoothAcrossTheJoins) {
    const Ciecam16 model({.white = {100, 100, 100}, .adaptingLuminanceCdM2 = 64});
    double before = model.appearanceFromXyz({0.0099, 0.0099, 0.0099}).J;
    for (int i = 0; i < 978; ++i) {
        const double Y = 0.01 * std::pow(1.01, i);  // up to 167
        const double J = model.appearanceFromXyz({Y, Y, Y}).J;
        EXPECT_GT(J / before, 1.001) << Y;
        EXPECT_LT(J / before, 1.015) << Y;
        before = J;
    }
    // Below the join the response is proportional, so half the light is half the response.
    const double whole = model.appearanceFromXyz({0.2, 0.2, 0.2}).J;
    const double half = model.appearanceFromXyz({0.1, 0.1, 0.1}).J;
    const double exponent = 0.69 * (1.48 + std::sqrt(0.2));
    EXPECT_NEAR(half / whole, std::pow(0.5, exponent), 1e-9);
}

TEST(Ciecam16, WhoeverIsFullyAdaptedSeesTheLightAsNeutral) {
    for (const double luminance : {0.5, 3.2, 130.0, 4000.0}) {
        const Ciecam16 model(
            {.white = {109.85, 100, 35.585}, .adaptingLuminanceCdM2 = luminance, .fullyAdapted = true});
        for (const double factor : {1.0, 0.5, 0.02}) {
            const CamUcs seen = model.ucsFromXyz({109.85 * factor, 100 * factor, 35.585 * factor});
            EXPECT_NEAR(seen.a, 0, 1e-9);
            EXPECT_NEAR(seen.b, 0, 1e-9);
        }
    }
}

TEST(Ciecam16, RefusesConditionsWithoutLight) {
    EXPECT_THROW(Ciecam16({.white = {}}), ContractViolation);
    EXPECT_THROW(Ciecam16({.white = {96, 100, 82}, .adaptingLuminanceCdM2 = 0}), ContractViolation);
}

// Source: colorspacious (tools/reference/cam16_ucs.py).
TEST(CamUcs, AgreesWithAnIndependentLibrary) {
    const auto rows = referenceRows("cam16_ucs.csv");
    ASSERT_GE(rows.size(), 50U);
    for (const auto& row : rows) {
        const CamUcs ucs = ucsFromAppearance({.J = row[0], .hDegrees = row[2], .M = row[1]});
        EXPECT_NEAR(ucs.J, row[3], 1e-6);
        EXPECT_NEAR(ucs.a, row[4], 1e-6);
        EXPECT_NEAR(ucs.b, row[5], 1e-6);
        const Appearance back = appearanceFromUcs(ucs);
        EXPECT_NEAR(back.J, row[0], 1e-9);
        EXPECT_NEAR(back.M, row[1], 1e-9);
        EXPECT_NEAR(back.hDegrees, row[2], 1e-6);
    }
}

// Source: colorjs.io (tools/reference/ciecam16.mjs).
TEST(Cat16, AgreesWithAnIndependentLibrary) {
    const auto rows = referenceRows("cat16.csv");
    ASSERT_GE(rows.size(), 15U);
    for (const auto& row : rows) {
        const Xyz from{row[0], row[1], row[2]};
        const Xyz to{row[3], row[4], row[5]};
        const Xyz adapted = adaptedByCat16({row[6], row[7], row[8]}, from, to);
        EXPECT_NEAR(adapted.X, row[9], 1e-6);
        EXPECT_NEAR(adapted.Y, row[10], 1e-6);
        EXPECT_NEAR(adapted.Z, row[11], 1e-6);
        const Xyz white = adaptedByCat16(from, from, to);
        EXPECT_NEAR(white.X, to.X, 1e-9);
        EXPECT_NEAR(white.Z, to.Z, 1e-9);
    }
}

// Source: CIE 248:2022: 1000 lux on a background of 20 % is 63.7 cd/m2.
TEST(Ciecam16, AdaptingLuminanceFromLux) {
    EXPECT_NEAR(adaptingLuminanceFromLux(1000), 63.66, 0.01);
    EXPECT_NEAR(adaptingLuminanceFromLux(500, 10), 15.92, 0.01);
}

}  // namespace
}  // namespace greywright::colour

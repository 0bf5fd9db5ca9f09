#include "colour/mix.h"

#include <cmath>
#include <limits>

#include <gtest/gtest.h>

#include "colour/colorimeter.h"
#include "colour/temperature.h"
#include "testing/near.h"

namespace greywright::colour {
namespace {

using testing::allNear;
using testing::succeeded;

Light named(std::string_view name) {
    return lightByName(name).value();
}

Light mixed(std::vector<LightPart> parts) {
    return mixOf("mix", parts).value();
}

// Law: a mix of one is that light, its power unchanged to the last bit.
TEST(Mix, OfOneIsThatLight) {
    const Light d65 = named("D65");
    for (const double share : {1.0, 0.3, 250.0}) {
        const Light mix = mixed({{d65, share}});
        EXPECT_EQ(mix.power.grid, kFineGrid);
        EXPECT_EQ(mix.power.values, d65.power.values);
        EXPECT_EQ(mix.ultraviolet, d65.ultraviolet);
        EXPECT_EQ(mix.name, "mix");
        EXPECT_EQ(mix.description, "1 D65");
        EXPECT_FALSE(mix.origin.empty());
    }
}

// Law: a light mixed with itself, or with the same light at another level, is that light.
TEST(Mix, WithItselfChangesNothing) {
    const Light halogen = named("halogen");
    Light bright = halogen;
    for (double& power : bright.power.values) power *= 8;
    EXPECT_TRUE(allNear(mixed({{halogen, 0.4}, {halogen, 0.6}}).power.values, halogen.power.values, 1e-12));
    const Light mix = mixed({{halogen, 1}, {bright, 3}});
    const double scale = mix.power.values[200] / halogen.power.values[200];
    for (std::size_t i = 0; i < kFineGrid.count; ++i) {
        EXPECT_NEAR(mix.power.values[i], scale * halogen.power.values[i], 1e-9);
    }
}

// Law: with Y equal, tristimulus values add (Grassmann): the white is the mean of the whites by share, for
// every observer whose y is that of the shares.
TEST(Mix, TheWhiteIsTheMeanOfTheWhites) {
    const Observer& eye = observer(ObserverName::cie1931);
    const std::vector<LightPart> parts{{named("LED-B1"), 70}, {named("D65"), 20}, {named("F11"), 10}};
    const Xyz white = whiteOf(mixed(parts), eye);
    Xyz mean;
    for (const auto& [light, share] : parts) {
        const Xyz part = whiteOf(light, eye);
        mean.X += share / 100 * part.X;
        mean.Z += share / 100 * part.Z;
    }
    EXPECT_NEAR(white.X, mean.X, 1e-9);
    EXPECT_NEAR(white.Y, 100, 1e-9);
    EXPECT_NEAR(white.Z, mean.Z, 1e-9);
}

// Source: chromaticities of A and D65, CIE 15:2018, table 5 (from memory). Two lights of equal luminance mix
// at the centre of gravity of x, y with the weights 1/y (Wyszecki and Stiles 1982, 3.3.3, from memory).
TEST(Mix, EqualPartsLieAtTheCentreOfGravity) {
    const Chromaticity xy = chromaticityFromXyz(
        whiteOf(mixed({{named("A"), 1}, {named("D65"), 1}}), observer(ObserverName::cie1931)));
    const double weightA = 1 / 0.40745;
    const double weightD = 1 / 0.32903;
    EXPECT_NEAR(xy.x, (weightA * 0.44758 + weightD * 0.31272) / (weightA + weightD), 2e-5);
    EXPECT_NEAR(xy.y, 2 / (weightA + weightD), 2e-5);
}

TEST(Mix, TheOrderAndTheUnitOfTheSharesDoNotMatter) {
    const Light a = named("A");
    const Light led = named("LED-B3");
    const Light tube = named("F8");
    const Light one = mixed({{a, 0.2}, {led, 0.5}, {tube, 0.3}});
    const Light other = mixed({{tube, 60}, {a, 40}, {led, 100}});
    EXPECT_TRUE(allNear(one.power.values, other.power.values, 1e-10));
    EXPECT_EQ(one.description, "0.2 A + 0.5 LED-B3 + 0.3 F8");
    EXPECT_EQ(other.description, "0.3 F8 + 0.2 A + 0.5 LED-B3");
}

TEST(Mix, ItsUltravioletIsKnownOnlyIfThatOfEveryPartIs) {
    const Light d65 = named("D65");
    const Light led = named("LED-B3");
    const Light tube = named("F11");
    const Light known = mixed({{d65, 1}, {led, 1}});
    ASSERT_EQ(known.ultraviolet.size(), kUltravioletGrid.count);
    // An LED adds nothing below 380 nm, so daylight's two ends keep their ratio there.
    EXPECT_NEAR(known.ultraviolet[50] / known.power.values[5], d65.ultraviolet[50] / d65.power.values[5],
                1e-12);
    EXPECT_LT(known.ultraviolet[50], d65.ultraviolet[50]);
    EXPECT_TRUE(mixed({{d65, 1}, {tube, 1}}).ultraviolet.empty());
    EXPECT_EQ(mixed({{tube, 0}, {d65, 1}}).ultraviolet, d65.ultraviolet);
    EXPECT_EQ(mixed({{tube, 0}, {d65, 1}}).description, "1 D65") << "what does not count is not named";
}

TEST(Mix, RefusesWhatIsNoMix) {
    const auto empty = mixOf("gallery", {});
    ASSERT_FALSE(empty);
    EXPECT_EQ(empty.error().code, "mix-empty");
    EXPECT_EQ(empty.error().kind, ErrorKind::wrongUse);
    EXPECT_NE(empty.error().what.find("gallery"), std::string::npos);

    const Light a = named("A");
    const Light d65 = named("D65");
    const double most = std::numeric_limits<double>::max();
    for (const auto& [one, other] : {std::pair{-0.1, 1.0}, std::pair{0.0, 0.0}, std::pair{1.0, std::nan("")},
                                     std::pair{1.0, HUGE_VAL}, std::pair{most, most}}) {
        const auto mix = mixOf("gallery", std::vector<LightPart>{{a, one}, {d65, other}});
        ASSERT_FALSE(mix) << one << ' ' << other;
        EXPECT_EQ(mix.error().code, "mix-share-invalid");
        EXPECT_EQ(mix.error().kind, ErrorKind::wrongUse);
        EXPECT_EQ(mix.error().where.field, "share");
        EXPECT_NE(mix.error().what.find("gallery"), std::string::npos);
        EXPECT_FALSE(mix.error().next.empty());
    }
    const auto negative = mixOf("gallery", std::vector<LightPart>{{a, 2}, {d65, -1}});
    ASSERT_FALSE(negative);
    EXPECT_NE(negative.error().what.find("D65"), std::string::npos) << "says which light";
}

TEST(Mix, ADarkLightIsAProgrammersMistake) {
    Light dark = named("A");
    for (double& power : dark.power.values) power = 0;
    EXPECT_THROW((void)mixOf("x", std::vector<LightPart>{{dark, 1}}), ContractViolation);
    EXPECT_TRUE(succeeded(mixOf("x", std::vector<LightPart>{{dark, 0}, {named("A"), 1}})));
}

}  // namespace
}  // namespace greywright::colour

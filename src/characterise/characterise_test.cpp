#include "characterise/characterise.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "core/contract.h"
#include "core/random.h"
#include "testing/near.h"

namespace greywright::characterise {
namespace {

using colour::Lab;
using ::testing::HasSubstr;

/// A ramp from paper to black with a tint that `strength` and `degrees` describe, most in the mid tones.
std::vector<Lab> ramp(int count, double strength = 0, double degrees = 0) {
    std::vector<Lab> out;
    for (int i = 0; i < count; ++i) {
        const double t = static_cast<double>(i) / (count - 1);
        const double here = strength * 4 * t * (1 - t);
        const double angle = degrees * std::numbers::pi / 180;
        out.push_back(
            {96 - 79 * t, -0.4 * (1 - t) + here * std::cos(angle), -2 * (1 - t) + here * std::sin(angle)});
    }
    return out;
}

/// An invented scanner: lightness is bent, the tint has a gain, leaks from b* into a*, and a tint of the
/// scanner's own comes and goes along the greys. Noise on every patch.
struct Scanner {
    double bend = 3, gain = 1.12, leak = 0.06, tint = 1.5, noise = 0.08;

    [[nodiscard]] Lab seen(const Lab& truth, Random& random) const {
        const double t = truth.L / 100;
        return {truth.L + bend * std::sin(std::numbers::pi * t) + noise * random.normal(),
                gain * truth.a + leak * truth.b + tint * std::sin(2.5 * t) + noise * random.normal(),
                (2 - gain) * truth.b - tint * std::cos(2 * t) + noise * random.normal()};
    }
    [[nodiscard]] std::vector<Pair> pairs(const std::vector<Lab>& truth, Random& random) const {
        std::vector<Pair> out;
        for (const Lab& lab : truth) out.push_back({.seen = seen(lab, random), .truth = lab});
        return out;
    }
};

std::vector<Lab> seenOf(const std::vector<Pair>& pairs) {
    std::vector<Lab> out;
    for (const Pair& pair : pairs) out.push_back(pair.seen);
    return out;
}

// --- laws ------------------------------------------------------------------------------------------------

TEST(Characterise, WhatIsSeenRightIsLeftAlone) {
    std::vector<Pair> pairs;
    for (const Lab& lab : ramp(21, 2, 40)) pairs.push_back({lab, lab});
    const Characterisation learned(pairs);
    ASSERT_TRUE(learned.isUsable()) << learned.trouble();
    EXPECT_NEAR(learned.residual(), 0, 1e-9);
    EXPECT_NEAR(learned.uncorrected(), 0, 1e-12);
    for (const Lab& lab : {Lab{60, 1, -3}, Lab{20, -2, 2}, Lab{95, 4, 4}}) {
        const Corrected corrected = learned.at(lab);
        EXPECT_NEAR(corrected.lab.L, lab.L, 1e-9);
        EXPECT_NEAR(corrected.lab.a, lab.a, 1e-9);
        EXPECT_NEAR(corrected.lab.b, lab.b, 1e-9);
    }
}

TEST(Characterise, AnOffsetIsTakenOutInItsOwnDirection) {
    // Seen one unit too red and half a unit too blue everywhere.
    std::vector<Pair> pairs;
    for (const Lab& lab : ramp(21)) pairs.push_back({{lab.L, lab.a + 1, lab.b - 0.5}, lab});
    const Corrected corrected = Characterisation(pairs).at({55, 1, -0.5});
    EXPECT_NEAR(corrected.lab.a, 0, 0.15);
    EXPECT_NEAR(corrected.lab.b, 0, 0.15);
    EXPECT_NEAR(Characterisation(pairs).uncorrected(), std::sqrt((1 + 0.25) / 2), 1e-9);
}

TEST(Characterise, TheOrderOfPairsDoesNotMatter) {
    Random random(5);
    std::vector<Pair> pairs = Scanner{}.pairs(ramp(31, 1, 100), random);
    const Characterisation one(pairs);
    std::ranges::reverse(pairs);
    std::swap(pairs[3], pairs[20]);
    const Characterisation other(pairs);
    EXPECT_EQ(one.residual(), other.residual());
    EXPECT_EQ(one.at({50, 1, 1}).lab.a, other.at({50, 1, 1}).lab.a);
    EXPECT_EQ(one.at({50, 1, 1}).error, other.at({50, 1, 1}).error);
}

TEST(Characterise, TheErrorGrowsAwayFromWhatWasSeen) {
    Random random(11);
    const Characterisation learned(Scanner{}.pairs(ramp(21), random));
    const Lab onRamp = Scanner{.noise = 0}.seen(ramp(21)[10], random);
    double before = learned.at(onRamp).error;
    EXPECT_LT(before, 0.15);
    for (const double away : {1.0, 2.0, 4.0, 8.0}) {
        const double error = learned.at({onRamp.L, onRamp.a + away, onRamp.b}).error;
        EXPECT_GT(error, before);
        before = error;
    }
    // The prior alone: 0.15 a unit of tint, as either of a* and b*.
    EXPECT_NEAR(before, 0.15 * 8, 0.15);
    EXPECT_GT(learned.at({onRamp.L - 70, onRamp.a, onRamp.b}).error, learned.at(onRamp).error);
}

// --- what it reaches -------------------------------------------------------------------------------------

TEST(Characterise, ReachesTheNoiseOfTheDevice) {
    Random random(3);
    const Scanner scanner;
    std::vector<Pair> pairs = scanner.pairs(ramp(41), random);
    for (const double degrees : {0.0, 90.0, 200.0}) {
        for (const Pair& pair : scanner.pairs(ramp(21, 3, degrees), random)) pairs.push_back(pair);
    }
    const Characterisation learned(pairs);
    ASSERT_TRUE(learned.isUsable()) << learned.trouble();
    EXPECT_GT(learned.uncorrected(), 0.8);
    EXPECT_LT(learned.residual(), 1.3 * scanner.noise);
    EXPECT_GT(learned.residual(), 0.7 * scanner.noise);
    EXPECT_LT(learned.residualL(), 1.3 * scanner.noise);
    // A tint it was not shown, without noise.
    const Lab truth{52, -1.5, 2};
    const Corrected corrected = learned.at(Scanner{.noise = 0}.seen(truth, random));
    EXPECT_NEAR(corrected.lab.L, truth.L, 0.15);
    EXPECT_NEAR(corrected.lab.a, truth.a, 0.12);
    EXPECT_NEAR(corrected.lab.b, truth.b, 0.12);
}

TEST(Characterise, TellsHonestlyHowFarItMayBeOff) {
    // Scanners drawn at random, each learned from one grey ramp, then a sheet of another tint. A patch is to
    // lie within 1.645 standard deviations in nine of ten; patches of one sheet go together, so over 150
    // scanners the share scatters by some 2 points.
    Random random(77);
    int held = 0, all = 0;
    double sumOfSquares = 0;
    for (int k = 0; k < 150; ++k) {
        const Scanner scanner{.bend = 3 * random.normal(),
                              .gain = 1 + 0.12 * random.normal(),
                              .leak = 0.12 * random.normal(),
                              .tint = random.normal(),
                              .noise = 0.1};
        const Characterisation learned(scanner.pairs(ramp(21, 0.5, 360 * random.uniform()), random));
        ASSERT_TRUE(learned.isUsable()) << learned.trouble();
        const std::vector<Lab> truth = ramp(21, 2.5 * random.uniform(), 360 * random.uniform());
        const auto sheet = correct(learned, seenOf(scanner.pairs(truth, random)));
        ASSERT_TRUE(testing::succeeded(sheet));
        const double sd = std::hypot(sheet->uncertainty.shared, sheet->uncertainty.own);
        for (std::size_t i = 0; i < truth.size(); ++i) {
            for (const double off : {sheet->labs[i].a - truth[i].a, sheet->labs[i].b - truth[i].b}) {
                ++all;
                held += std::abs(off) <= 1.645 * sd ? 1 : 0;
                sumOfSquares += off * off;
            }
        }
    }
    const double share = static_cast<double>(held) / all;
    EXPECT_GE(share, 0.88);
    EXPECT_LE(share, 0.99)
        << "the largest error of a sheet is taken for all of it, so it is wide, not this wide";
    RecordProperty("share", std::to_string(share));
    RecordProperty("rootMeanSquare", std::to_string(std::sqrt(sumOfSquares / all)));
}

// --- what it refuses -------------------------------------------------------------------------------------

TEST(Characterise, FewPairsAreNotEnough) {
    Random random(1);
    const Characterisation learned(Scanner{}.pairs(ramp(10), random));
    EXPECT_FALSE(learned.isUsable());
    EXPECT_THAT(learned.trouble(), HasSubstr("only 10 patches"));
    EXPECT_FALSE(Characterisation({}).isUsable());
    EXPECT_TRUE(Characterisation(Scanner{}.pairs(ramp(11), random)).isUsable());
    const std::vector<Lab> seen{{50, 0, 0}};
    const auto sheet = correct(learned, seen);
    ASSERT_FALSE(sheet);
    EXPECT_EQ(sheet.error().code, "characterisation-unusable");
    EXPECT_EQ(sheet.error().next, learned.trouble());
    EXPECT_THROW((void)learned.at(seen.front()), ContractViolation);
}

TEST(Characterise, ARampWithoutDepthIsNotEnough) {
    std::vector<Pair> pairs;
    for (int i = 0; i < 20; ++i) pairs.push_back({{90.0 - i, 0, 0}, {90.0 - i, 0, 0}});
    EXPECT_THAT(Characterisation(pairs).trouble(), HasSubstr("span 19 L*"));
}

TEST(Characterise, SheetsThatDoNotBelongTogetherAreFoundOut) {
    Random random(2);
    const std::vector<Lab> truth = ramp(21, 1, 30);
    const std::vector<Pair> right = Scanner{}.pairs(truth, random);
    std::vector<Pair> turned = right;
    for (std::size_t i = 0; i < turned.size(); ++i) turned[i].truth = truth[truth.size() - 1 - i];
    EXPECT_THAT(Characterisation(turned).trouble(), HasSubstr("same order"));
    std::vector<Pair> swapped = right;
    for (std::size_t i = 0; i < 5; ++i) std::swap(swapped[5 + i].truth, swapped[13 + i].truth);
    EXPECT_THAT(Characterisation(swapped).trouble(), HasSubstr("lightness"));
    std::vector<Pair> noisy = right;
    for (Pair& pair : noisy) pair.seen.a += 4 * random.normal();
    EXPECT_THAT(Characterisation(noisy).trouble(), HasSubstr("same order"));
    EXPECT_THAT(Characterisation(noisy).trouble(), HasSubstr("a* and b*"));
}

TEST(Characterise, ADeviceWithoutColourTellsNoTint) {
    std::vector<Pair> pairs;
    for (const double degrees : {0.0, 90.0, 180.0, 270.0}) {
        for (const Lab& lab : ramp(21, 3, degrees)) pairs.push_back({{lab.L, 0, 0}, lab});
    }
    EXPECT_THAT(Characterisation(pairs).trouble(), HasSubstr("too little of a tint"));
}

TEST(Characterise, WhatWasNotSeenIsNotedOrRefused) {
    std::vector<Pair> pairs;
    for (const Lab& lab : ramp(21)) pairs.push_back({lab, lab});
    const Characterisation learned(pairs);  // L* 17 to 96
    const auto codes = [](const CorrectedSheet& sheet) {
        std::string out;
        for (const Note& note : sheet.notes) out += note.code + " ";
        return out;
    };
    const auto of = [&](const Lab& lab) { return correct(learned, std::vector<Lab>{{50, -0.2, -1}, lab}); };
    EXPECT_EQ(codes(*of({60, -0.2, -1})), "");
    EXPECT_EQ(codes(*of({14, 0, 0})), "lightness-extrapolated ");
    EXPECT_EQ(codes(*of({60, 6, 0})), "tint-extrapolated ");
    EXPECT_GT(of({60, 6, 0})->uncertainty.shared, 0.6);
    for (const double L : {11.5, 101.5}) {
        const auto refused = of({L, 0, 0});
        ASSERT_FALSE(refused);
        EXPECT_EQ(refused.error().code, "lightness-not-characterised");
        EXPECT_THAT(refused.error().what, HasSubstr("L* 17.0 to 96.0"));
    }
}

// --- text ------------------------------------------------------------------------------------------------

TEST(CharacterisationText, ComesBackExactly) {
    Random random(9);
    const Characterisation learned(Scanner{}.pairs(ramp(21, 1, 30), random));
    const std::string text = textOf(learned);
    const auto back = characterisationFromText(text);
    ASSERT_TRUE(testing::succeeded(back));
    EXPECT_EQ(textOf(*back), text);
    EXPECT_EQ(back->residual(), learned.residual());
    EXPECT_EQ(back->at({40, 1, 2}).lab.b, learned.at({40, 1, 2}).lab.b);
    EXPECT_EQ(back->at({40, 1, 2}).error, learned.at({40, 1, 2}).error);
}

TEST(CharacterisationText, OfSomethingElseIsRefused) {
    for (const char* text : {"", "L* a* b*\n1 2 3 4 5 6\n"}) {
        const auto back = characterisationFromText(text);
        ASSERT_FALSE(back);
        EXPECT_EQ(back.error().code, "not-a-characterisation");
    }
    const std::string heading = textOf(Characterisation({}));
    EXPECT_FALSE(characterisationFromText(heading)->isUsable());
    for (const char* line : {"1 2 3 4 5\n", "1 2 3 4 5 6 7\n", "1 2 3 4 5 x\n", "1 2 3 4 5 nan\n", "\n"}) {
        const auto back = characterisationFromText(heading + "1 2 3 4 5 6\n" + line);
        ASSERT_FALSE(back) << line;
        EXPECT_EQ(back.error().code, "bad-characterisation-line");
        EXPECT_EQ(back.error().where.line, 3U);
    }
}

}  // namespace
}  // namespace greywright::characterise

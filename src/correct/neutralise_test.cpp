#include "correct/neutralise.h"

#include <algorithm>
#include <array>
#include <cmath>

#include <gtest/gtest.h>

#include "core/contract.h"
#include "testing/near.h"

namespace greywright::correct {
namespace {

using colour::Lab;

/// A printer whose grey is too cyan and too blue, by more in the middle; linear in its codes beside that.
Lab printed(const Codes& codes) {
    const double red = codes[0] / 65535, green = codes[1] / 65535, blue = codes[2] / 65535;
    const double light = (red + green + blue) / 3;
    const double middle = 4 * light * (1 - light);
    return {15 + 80 * light, -4 * middle + 90 * (red - green), -6 * middle + 90 * ((red + green) / 2 - blue)};
}

NeutralRound sheetOf(const NeutralTable& table, const std::vector<double>& steps = {2.5, 5}) {
    NeutralRound round{.around = table};
    for (const Codes& codes : sheetAround(table, 17, steps)) round.patches.push_back({codes, printed(codes)});
    return round;
}

std::string codeOf(const NeutralRound& round) {
    const auto fit = neutralise({&round, 1});
    return fit ? "made" : fit.error().code;
}

TEST(Neutralise, ACastIsMetByItsOpposite) {
    const NeutralRound round = sheetOf({});
    const auto fit = neutralise({&round, 1}, {.tint = colour::TintAimKind::light});
    ASSERT_TRUE(testing::succeeded(fit));
    // By hand at the middle: 90 (R - G) = 4 and 90 ((R + G) / 2 - B) = 6, R + G + B as of an equal grey.
    const Codes codes = fit->table.at(50);
    EXPECT_NEAR((codes[0] - codes[1]) / 65535, 4 / 90.0, 0.003) << "more red light against cyan";
    EXPECT_NEAR(((codes[0] + codes[1]) / 2 - codes[2]) / 65535, 6 / 90.0, 0.003);
    EXPECT_NEAR((codes[0] + codes[1] + codes[2]) / 3 / 65535, 0.5, 0.003);
    for (int tone = 5; tone <= 95; tone += 5) {
        const Lab lab = printed(fit->table.at(tone));
        EXPECT_NEAR(lab.L, 95 - 0.8 * tone, 0.2) << tone;
        EXPECT_NEAR(lab.a, 0, 0.2) << tone;
        EXPECT_NEAR(lab.b, 0, 0.2) << tone;
    }
    EXPECT_LT(fit->worst.deltaE00, 0.5);
}

TEST(Neutralise, ATintOnPurposeIsMetToo) {
    const NeutralRound round = sheetOf({});
    const NeutralAim warm{.tint = colour::TintAimKind::light, .toning = colour::Toning::even(5, 90)};
    const auto fit = neutralise({&round, 1}, warm);
    ASSERT_TRUE(testing::succeeded(fit));
    EXPECT_NEAR(printed(fit->table.at(50)).a, 0, 0.3);
    EXPECT_NEAR(printed(fit->table.at(50)).b, 5, 0.3);
    const NeutralAim split{.toning = {.highlights = {0, 6}, .shadows = {0, -6}}};
    const auto cold = neutralise({&round, 1}, split);
    ASSERT_TRUE(testing::succeeded(cold));
    EXPECT_GT(printed(cold->table.at(30)).b, 1.5);
    EXPECT_LT(printed(cold->table.at(70)).b, -1.5);
}

TEST(Neutralise, PaperStaysPaperAndChannelsStayInside) {
    const NeutralRound round = sheetOf({});
    const auto fit = neutralise({&round, 1}, {}, {.rows = 33});
    ASSERT_TRUE(testing::succeeded(fit));
    EXPECT_EQ(fit->table.at(0), (Codes{65535, 65535, 65535}));
    EXPECT_EQ(fit->table.rows().size(), 33U);
    double L = 200;
    for (int i = 0; i <= 1000; ++i) {
        const Codes codes = fit->table.at(i / 10.0);
        for (const double code : codes) {
            ASSERT_GE(code, 0);
            ASSERT_LE(code, 65535);
        }
        const double here = printed(codes).L;
        ASSERT_LT(here, L) << i;
        L = here;
    }
}

TEST(Neutralise, WhatInksCannotReachIsNamed) {
    const NeutralRound round = sheetOf({});
    const auto fit = neutralise({&round, 1}, {.toning = {.highlights = {0, 0}, .shadows = {60, -60}}});
    ASSERT_TRUE(testing::succeeded(fit));
    EXPECT_GT(fit->worst.deltaE00, 1);
    EXPECT_NE(fit->worst.remains, Remains::nothing);
    EXPECT_EQ(textFromRemains(Remains::range), "range reached");
    EXPECT_EQ(textFromRemains(Remains::smoothness), "smoothness");
    EXPECT_EQ(textFromRemains(Remains::nothing), "nothing");
}

/// The same sheet in D50 and in a light that shows mid-tones redder by 4.
NeutralRound sheetInTwoLights() {
    NeutralRound round = sheetOf({});
    for (NeutralPatch& patch : round.patches) {
        const double light = (patch.codes[0] + patch.codes[1] + patch.codes[2]) / (3 * 65535);
        const Lab redder{patch.lab.L, patch.lab.a + 16 * light * (1 - light), patch.lab.b};
        patch.under = {patch.lab, redder};
    }
    return round;
}

TEST(Neutralise, LightsCountByTheirWeights) {
    const NeutralRound round = sheetInTwoLights();
    const NeutralAim aim{.tint = colour::TintAimKind::light};
    const auto redAt = [&](std::vector<double> weights) {
        const auto fit = neutralise({&round, 1}, aim, {.lightWeights = std::move(weights)});
        EXPECT_TRUE(testing::succeeded(fit));
        return printed(fit->table.at(50)).a;
    };
    EXPECT_NEAR(redAt({1, 1}), -2, 0.2) << "half way";
    EXPECT_NEAR(redAt({3, 1}), -1, 0.2) << "a quarter of the way, as least squares has it";
    EXPECT_NEAR(redAt({1, 1000}), -4, 0.2);
}

TEST(Neutralise, WhatLightsDoNotAgreeOnIsNamed) {
    const NeutralRound round = sheetInTwoLights();
    const auto fit = neutralise({&round, 1}, {.tint = colour::TintAimKind::light}, {.lightWeights = {1, 1}});
    ASSERT_TRUE(testing::succeeded(fit));
    const NeutralTone& middle = fit->tones[32];
    ASSERT_EQ(middle.tonePercent, 50);
    EXPECT_EQ(textFromRemains(middle.remains), "lights disagree");
    ASSERT_EQ(middle.deltaE00Under.size(), 2U);
    // 1.5 times a* near neutral, as CIEDE2000 weighs it.
    EXPECT_NEAR(middle.deltaE00Under[0], 3, 0.4);
    EXPECT_NEAR(middle.deltaE00Under[1], 3, 0.4);
    EXPECT_EQ(textFromRemains(fit->tones[1].remains), "nothing") << "hardly any red in the lightest tones";
}

TEST(Neutralise, RefusesSheetsThatCannotTell) {
    NeutralRound few = sheetOf({});
    few.patches.resize(30);
    EXPECT_EQ(codeOf(few), "too-few-patches");
    NeutralRound greys;
    for (int i = 0; i <= 50; ++i) {
        const double code = 65535 * i / 50.0;
        greys.patches.push_back({{code, code, code}, printed({code, code, code})});
    }
    EXPECT_EQ(codeOf(greys), "no-neighbours");
    const auto without = [](double end) {
        NeutralRound round = sheetOf({});
        std::erase_if(round.patches, [&](const NeutralPatch& patch) {
            return patch.codes == Codes{end, end, end};
        });
        return round;
    };
    EXPECT_EQ(codeOf(without(65535)), "no-paper");
    EXPECT_EQ(codeOf(without(0)), "no-black");
    NeutralRound pale = sheetOf({});
    for (NeutralPatch& patch : pale.patches) patch.lab.L = 90 + patch.lab.L / 20;
    EXPECT_EQ(codeOf(pale), "no-range");
    NeutralRound turned = sheetOf({});
    for (NeutralPatch& patch : turned.patches) {
        const double light = (patch.codes[0] + patch.codes[1] + patch.codes[2]) / (3 * 65535);
        if (light > 0.1 && light < 0.9) patch.lab.L = 110 - patch.lab.L;
    }
    const auto refused = neutralise({&turned, 1});
    ASSERT_FALSE(refused);
    EXPECT_EQ(refused.error().code, "not-monotone");
    EXPECT_EQ(refused.error().where.field, "patches");
}

TEST(NeutralTable, TextReadsBackToTheLastBit) {
    const NeutralTable table(
        {{0, {65535, 65535, 65535}}, {100.0 / 3, {40000.1, 41000.7, 42000}}, {100, {0, 1, 2}}});
    const auto back = NeutralTable::fromText(table.text());
    ASSERT_TRUE(testing::succeeded(back));
    EXPECT_EQ(back->text(), table.text());
    EXPECT_EQ(back->rows()[1].codes, table.rows()[1].codes);
    EXPECT_EQ(back->rows()[1].tonePercent, table.rows()[1].tonePercent);
}

TEST(NeutralTable, EqualCodesByDefaultAndEndsHold) {
    const NeutralTable table;
    EXPECT_TRUE(testing::allNear(table.at(50), Codes{32767.5, 32767.5, 32767.5}, 1e-9));
    EXPECT_EQ(table.at(-1), (Codes{65535, 65535, 65535}));
    EXPECT_EQ(table.at(101), (Codes{0, 0, 0}));
}

TEST(NeutralTable, DamagedTextIsRefusedWithItsLine) {
    const auto lineOf = [](std::string_view text) {
        const auto read = NeutralTable::fromText(text);
        if (read) return -1;
        EXPECT_EQ(read.error().code, "table-not-read");
        return static_cast<int>(read.error().where.line);
    };
    const std::string first = "greywright neutral table 1\n";
    EXPECT_EQ(lineOf(""), 0);
    EXPECT_EQ(lineOf("other\n"), 1);
    EXPECT_EQ(lineOf(first + "0 1 2 3\n50 1 2\n100 0 0 0\n"), 3);
    EXPECT_EQ(lineOf(first + "0 1 2 3\n50 1 2 3 4\n100 0 0 0\n"), 3);
    EXPECT_EQ(lineOf(first + "0 1 2 3\n50 1 2 70000\n100 0 0 0\n"), 3);
    EXPECT_EQ(lineOf(first + "0 1 2 3\n50 1 2 3\n50 0 0 0\n"), 4);
    EXPECT_EQ(lineOf(first + "0 1 2 3\n90 0 0 0\n"), 3);
    EXPECT_THROW(NeutralTable({{0, {0, 0, 0}}, {100, {-1, 0, 0}}}), ContractViolation);
}

TEST(SheetAround, HasSixColoursOfEqualSumAroundEachGrey) {
    const std::array<double, 1> step{4};
    const auto codes = sheetAround({}, 5, step);
    // Paper and black lose the colours that leave the range: 2 greys alone, 3 with six.
    EXPECT_EQ(codes.size(), 5U + 3U * 6U);
    for (const Codes& code : codes) {
        const double sum = code[0] + code[1] + code[2];
        EXPECT_TRUE(std::ranges::any_of(codes, [&](const Codes& grey) {
            return grey[0] == grey[1] && grey[1] == grey[2] && std::abs(3 * grey[0] - sum) <= 3;
        }));
    }
}

}  // namespace
}  // namespace greywright::correct

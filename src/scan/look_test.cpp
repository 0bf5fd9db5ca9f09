#include "scan/look.h"

#include <array>
#include <cmath>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "core/random.h"
#include "testing/near.h"
#include "testing/temporary_folder.h"

namespace greywright::scan {
namespace {

using testing::succeeded;

using Codes = std::array<double, 3>;

/// Left half a card, right half a place on a print, with a little noise. Units: codes 0 .. 255.
picture::Reduced halves(const Codes& card, const Codes& place) {
    Random random(3);
    picture::Reduced out{.width = 120, .height = 60, .fileWidth = 120, .fileHeight = 60};
    for (std::size_t i = 0; i < 120 * 60; ++i) {
        for (std::size_t c = 0; c < 3; ++c) {
            const double code = (i % 120 < 60 ? card : place)[c] + random.uniform(-1.5, 1.5);
            out.codes.push_back(static_cast<std::uint16_t>(257 * std::lround(std::clamp(code, 0.0, 255.0))));
        }
    }
    return out;
}

const RectPx kCard{5, 5, 50, 50};
const RectPx kPlace{65, 5, 50, 50};

std::string codeOf(const Result<Look>& look) {
    return look ? "none" : look.error().code;
}

TEST(Look, TellsATintBesideANeutralCard) {
    const auto seen = look(halves({190, 190, 190}, {150, 140, 135}), kCard, kPlace);
    ASSERT_TRUE(succeeded(seen));
    // Source: recomputed apart from this program (numpy) with the equations of IEC 61966-2-1, Bradford's
    // matrix and ISO/CIE 11664-4. 0.1: these pictures are rounded to whole codes and have noise of a code.
    EXPECT_NEAR(seen->lab.L, 73.57, 0.1);
    EXPECT_NEAR(seen->lab.a, 3.80, 0.1);
    EXPECT_NEAR(seen->lab.b, 4.88, 0.1);
    EXPECT_EQ(seen->word, "orange");
}

TEST(Look, TakesTheLightOutOfBoth) {
    // The same scene under a warmer light: linear light times 1.2, 1 and 0.7.
    const auto under = [](const Codes& codes, const std::array<double, 3>& light) {
        Codes out{};
        for (std::size_t c = 0; c < 3; ++c) {
            const double linear = std::pow((codes[c] / 255 + 0.055) / 1.055, 2.4) * light[c];
            out[c] = 255 * (1.055 * std::pow(linear, 1 / 2.4) - 0.055);
        }
        return out;
    };
    const Codes card{180, 180, 180};
    const Codes place{120, 125, 130};
    const auto plain = look(halves(card, place), kCard, kPlace);
    const std::array<double, 3> warm{1.2, 1, 0.7};
    const auto warmed = look(halves(under(card, warm), under(place, warm)), kCard, kPlace);
    ASSERT_TRUE(succeeded(plain));
    ASSERT_TRUE(succeeded(warmed));
    EXPECT_NEAR(warmed->lab.a, plain->lab.a, 0.1);
    EXPECT_NEAR(warmed->lab.b, plain->lab.b, 0.1);
    EXPECT_EQ(plain->word, "blue");
    EXPECT_NEAR(plain->chroma, std::hypot(plain->lab.a, plain->lab.b), 1e-9);
    EXPECT_GT(plain->hueDegrees, 180);
    EXPECT_GT(plain->standardError, 0);
    EXPECT_LT(plain->standardError, 0.2);
    EXPECT_GT(plain->sharedError, 0);
    // A card that is known to be bluish makes the place bluer.
    const auto bluish = look(halves(card, place), kCard, kPlace, {.cardLab = colour::Lab{95, 0, -3}});
    ASSERT_TRUE(succeeded(bluish));
    EXPECT_LT(bluish->lab.b, plain->lab.b - 1.5);
}

TEST(Look, SaysWhyItCannotTell) {
    const Codes grey{180, 180, 180};
    const Codes place{120, 125, 130};
    const picture::Reduced picture = halves(grey, place);
    EXPECT_EQ(codeOf(look(picture, {-1, 0, 50, 50}, kPlace)), "card-outside");
    EXPECT_EQ(codeOf(look(picture, kCard, {100, 5, 50, 50})), "patch-outside");
    EXPECT_EQ(codeOf(look(picture, {5, 5, 6, 6}, kPlace)), "card-too-small");
    EXPECT_EQ(codeOf(look(picture, kCard, {65, 5, 6, 6})), "patch-too-small");
    EXPECT_EQ(codeOf(look(halves({255, 240, 230}, place), kCard, kPlace)), "card-clipped");
    EXPECT_EQ(codeOf(look(halves(grey, {0, 3, 2}), kCard, kPlace)), "patch-clipped");
    EXPECT_EQ(codeOf(look(picture, {30, 5, 60, 50}, kPlace)), "card-uneven");
    EXPECT_EQ(codeOf(look(picture, kCard, {30, 5, 60, 50})), "patch-uneven");
    EXPECT_EQ(codeOf(look(picture, kCard, kPlace, {.cardLab = colour::Lab{60, 5, 9}})), "card-not-neutral");
    EXPECT_EQ(codeOf(look({.width = 9, .height = 9, .channels = 1}, kCard, kPlace)), "picture-grey");
}

TEST(Look, MagnifiesChromaAndKeepsLightness) {
    const picture::Reduced picture = halves({180, 180, 180}, {120, 123, 126});
    const auto before = look(picture, kCard, kPlace);
    ASSERT_TRUE(succeeded(before));
    const testing::TemporaryFolder folder;
    ASSERT_TRUE(succeeded(writeMagnified(picture, *before, 6, folder / "more.png")));
    const auto back = picture::readReduced(folder / "more.png");
    ASSERT_TRUE(succeeded(back));
    const auto after = look(*back, kCard, kPlace);
    ASSERT_TRUE(succeeded(after));
    EXPECT_NEAR(after->lab.L, before->lab.L, 0.3);
    EXPECT_NEAR(after->chroma, 6 * before->chroma, 0.06 * after->chroma);
    EXPECT_EQ(after->word, before->word);
}

}  // namespace
}  // namespace greywright::scan

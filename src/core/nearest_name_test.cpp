#include "core/nearest_name.h"

#include <array>

#include <gtest/gtest.h>

namespace greywright {
namespace {

const std::array<std::string, 3> kNames{"Matt cotton", "Pearl", "Baryta gloss"};

TEST(NearestName, FindsTheSlipOfTheHand) {
    EXPECT_EQ(nearestName("Pear", kNames), "Pearl");             // left out
    EXPECT_EQ(nearestName("Pearrl", kNames), "Pearl");           // inserted
    EXPECT_EQ(nearestName("Paerl", kNames), "Pearl");            // swapped
    EXPECT_EQ(nearestName("Pearn", kNames), "Pearl");            // changed
    EXPECT_EQ(nearestName("PEARL", kNames), "Pearl");            // capitals
    EXPECT_EQ(nearestName("mat cottn", kNames), "Matt cotton");  // several, in a longer name
}

TEST(NearestName, AtMostOneLetterInThreeMayDiffer) {
    EXPECT_EQ(nearestName("abcdefxyz", std::array<std::string, 1>{"abcdefghi"}), "abcdefghi");
    EXPECT_EQ(nearestName("abcdewxyz", std::array<std::string, 1>{"abcdefghi"}), std::nullopt);
    EXPECT_EQ(nearestName("", kNames), std::nullopt);
    EXPECT_EQ(nearestName("Pearl", {}), std::nullopt);
}

TEST(NearestName, TheNearerOfTwoWins) {
    EXPECT_EQ(nearestName("paper 12", std::array<std::string, 2>{"paper 34", "paper 13"}), "paper 13");
}

TEST(SameName, CapitalsDoNotMatter) {
    EXPECT_TRUE(sameName("LED-B1", "led-b1"));
    EXPECT_FALSE(sameName("LED-B1", "LED-B"));
    EXPECT_FALSE(sameName("LED-B1", "LED_B1"));
}

}  // namespace
}  // namespace greywright

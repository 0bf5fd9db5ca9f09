#include "colour/words.h"

#include <gtest/gtest.h>

namespace greywright::colour {
namespace {

TEST(TintName, NamesTheAxes) {
    EXPECT_EQ(tintName({1, 0}), "red");
    EXPECT_EQ(tintName({0, 1}), "yellow");
    EXPECT_EQ(tintName({-1, 0}), "green");
    EXPECT_EQ(tintName({0, -1}), "blue");
    EXPECT_EQ(tintName({0, 0}), "no colour");
}

TEST(TintName, NamesWhatLiesBetween) {
    EXPECT_EQ(tintName({1, 1}), "orange");
    EXPECT_EQ(tintName({-1, 1}), "yellow-green");
    EXPECT_EQ(tintName({-1, -1}), "cyan");
    EXPECT_EQ(tintName({1, -1}), "magenta");
    EXPECT_EQ(tintName({-1, -1e-9}), "green");
}

}  // namespace
}  // namespace greywright::colour

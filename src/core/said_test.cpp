#include "core/said.h"

#include <string_view>

#include <gtest/gtest.h>

namespace greywright {
namespace {

std::string inAnotherLanguage(const char* english) {
    const std::string_view text = english;
    if (text == "{} towards {}") return "vers {1} de {0}";
    if (text == "{:.1f} too dark") return "{} {} trop sombre";  // asks for a value too many
    return english;
}

class Said : public ::testing::Test {
  protected:
    void TearDown() override { sayBy(nullptr); }
};

TEST_F(Said, EnglishWhereNothingElseIsWanted) {
    EXPECT_EQ(said("{} towards {}", 3, "red"), "3 towards red");
    EXPECT_EQ(said("Neutral"), "Neutral");
}

TEST_F(Said, AnotherLanguageMayTurnTheOrder) {
    sayBy(inAnotherLanguage);
    EXPECT_EQ(said("{} towards {}", 3, "red"), "vers red de 3");
    EXPECT_EQ(said("Neutral"), "Neutral") << "not translated yet";
}

TEST_F(Said, ATranslationThatDoesNotFitIsPassedOver) {
    sayBy(inAnotherLanguage);
    EXPECT_EQ(said("{:.1f} too dark", 6.84), "6.8 too dark");
}

}  // namespace
}  // namespace greywright

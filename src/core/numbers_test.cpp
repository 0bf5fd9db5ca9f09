#include "core/numbers.h"

#include <clocale>

#include <gtest/gtest.h>

namespace greywright {
namespace {

TEST(Numbers, ReadsWhatFilesHold) {
    EXPECT_EQ(numberFromText("0.077259"), 0.077259);
    EXPECT_EQ(numberFromText("-0.0007"), -0.0007);
    EXPECT_EQ(numberFromText("+3"), 3.0);
    EXPECT_EQ(numberFromText("1.234e-01"), 0.1234);
    EXPECT_EQ(numberFromText("0.0000E+000"), 0.0);
}

TEST(Numbers, RefusesWhatIsNotWhollyANumber) {
    for (const char* text :
         {"", " ", "52,03", "1.5x", "nan", "inf", "-", "+", "+-1", "++1", "1e999", "0x10", "1 2"}) {
        EXPECT_EQ(numberFromText(text), std::nullopt) << '"' << text << '"';
    }
}

TEST(Numbers, ListsHaveCommasSemicolonsOrBlanksBetween) {
    EXPECT_EQ(numbersInText("0,10.5, 50;100"), (std::vector<double>{0, 10.5, 50, 100}));
    EXPECT_EQ(numbersInText("  7\t-8 "), (std::vector<double>{7, -8}));
    for (const char* text : {"", " , ", "1,two", "1,,x", "nan"})
        EXPECT_TRUE(numbersInText(text).empty()) << text;
}

TEST(Numbers, TextReadsBackTheSame) {
    for (const double number : {0.1, 1.0 / 3, -1e-300, 6.02e23, 0.0}) {
        EXPECT_EQ(numberFromText(textFromNumber(number)), number);
    }
}

TEST(Numbers, FixedDecimalsNeverShowAMinusZero) {
    EXPECT_EQ(textFromNumber(-0.004, 2), "0.00");
    EXPECT_EQ(textFromNumber(-0.006, 2), "-0.01");
    EXPECT_EQ(textFromNumber(12.345, 1), "12.3");
}

}  // namespace
}  // namespace greywright

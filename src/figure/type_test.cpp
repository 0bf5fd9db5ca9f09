#include "figure/type.h"

#include <gtest/gtest.h>

namespace greywright::figure {
namespace {

// Source: Adobe Core 14 AFM, Helvetica, character widths in thousandths, from memory.
TEST(Type, IsNeverTakenNarrowerThanHelvetica) {
    const std::pair<const char*, int> rows[] = {
        {" ", 278}, {"0", 556}, {"A", 667}, {"C", 722},  {"J", 500}, {"M", 833}, {"W", 944},
        {"i", 222}, {"m", 833}, {"%", 889}, {"@", 1015}, {"~", 584}, {"t", 278}, {"\u2212", 584}};
    for (const auto& [character, width] : rows) EXPECT_GE(textWidthPt(character, 1000), width) << character;
}

TEST(Type, WidthsAddUpAndGrowWithTheSize) {
    EXPECT_DOUBLE_EQ(textWidthPt("ab", 10), textWidthPt("a", 10) + textWidthPt("b", 10));
    EXPECT_DOUBLE_EQ(textWidthPt("tone", 20), 2 * textWidthPt("tone", 10));
    EXPECT_EQ(textWidthPt("", 10), 0);
    EXPECT_LT(textWidthPt("ΔE", 10), 2 * textWidthPt("W", 10)) << "two characters, not three bytes";
}

TEST(Type, ABoxLiesWhereItsAnchorSays) {
    const Text text{.at = {100, 50}, .text = "0000", .sizePt = 10, .anchor = Anchor::middle};
    const double width = textWidthPt("0000", 10);
    EXPECT_DOUBLE_EQ(textBox(text).centre().x, 100);
    Text other = text;
    other.anchor = Anchor::end;
    EXPECT_DOUBLE_EQ(textBox(other).right(), 100);
    EXPECT_LT(textBox(other).top, 50);
    EXPECT_GT(textBox(other).bottom(), 50);
    other.anchor = Anchor::start;
    other.upwards = true;
    EXPECT_DOUBLE_EQ(textBox(other).bottom(), 50) << "read from the bottom up";
    EXPECT_DOUBLE_EQ(textBox(other).top, 50 - width);
    EXPECT_LT(textBox(other).left, 100);
    EXPECT_GT(textBox(other).right(), 100);
}

TEST(Type, LinesAreBrokenAtSpacesAndNothingIsLost) {
    const std::string words = "how far the tint lies from its aim";
    const auto lines = wrapped(words, 8, 60);
    ASSERT_GT(lines.size(), 1U);
    std::string joined;
    for (const std::string& line : lines) {
        EXPECT_LE(textWidthPt(line, 8), 60);
        joined += (joined.empty() ? "" : " ") + line;
    }
    EXPECT_EQ(joined, words);
    for (const std::string& line : wrapped("unbreakablyöverlong", 8, 30)) EXPECT_LE(textWidthPt(line, 8), 30);
    EXPECT_TRUE(wrapped("", 8, 30).empty());
    EXPECT_EQ(wrapped("W", 8, 1).size(), 1U) << "one character at least, or it would never end";
}

TEST(Type, WhatIsTooLongEndsInAnEllipsis) {
    EXPECT_EQ(shortened("short", 8, 100), "short");
    const std::string cut = shortened("a name that goes on and on", 8, 50);
    EXPECT_LE(textWidthPt(cut, 8), 50);
    EXPECT_TRUE(cut.starts_with("a name") && cut.ends_with("\u2026")) << cut;
}

// Source: The Unicode Standard 15, table 3-7 (well-formed UTF-8 byte sequences), from memory.
TEST(Type, OnlyWellFormedTextComesOut) {
    EXPECT_EQ(cleanText("plain Δ \xF0\x9F\x96\xA8"), "plain Δ \xF0\x9F\x96\xA8");
    EXPECT_EQ(cleanText("a\nb"), "a b");
    EXPECT_EQ(cleanText("\x01"), "\uFFFD");
    EXPECT_EQ(cleanText("\xC0\x80"), "\uFFFD\uFFFD") << "overlong";
    EXPECT_EQ(cleanText("\xED\xA0\x80"), "\uFFFD\uFFFD\uFFFD") << "half a surrogate pair";
    EXPECT_EQ(cleanText("\xE2\x82"), "\uFFFD\uFFFD") << "cut short";
    EXPECT_EQ(cleanText("\xF4\x90\x80\x80").find('\xF4'), std::string::npos) << "beyond U+10FFFF";
    EXPECT_EQ(cleanText("\xEF\xBF\xBF"), "\uFFFD") << "no character in XML";
}

}  // namespace
}  // namespace greywright::figure

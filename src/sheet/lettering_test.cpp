#include "sheet/lettering.h"

#include <algorithm>
#include <string>

#include <gtest/gtest.h>

namespace greywright::sheet {
namespace {

constexpr std::string_view kAll = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789%=,.-/:+()#_'&";

TEST(Lettering, ItsWidthIsWhatTheStrokesTake) {
    for (const char character : kAll) {
        const Lettering one{.text = std::string(1, character), .xMm = 7, .baselineMm = 20, .heightMm = 3};
        double left = 1e9;
        double right = 0;
        for (const Stroke& stroke : strokesOf(one)) {
            left = std::min({left, stroke.x1, stroke.x2});
            right = std::max({right, stroke.x1, stroke.x2});
            for (const double y : {stroke.y1, stroke.y2}) {
                EXPECT_LE(y, 20.5 + 1e-9) << character;
                EXPECT_GE(y, 17 - 1e-9) << character;
            }
        }
        const double half = kStrokeFraction * 3 / 2;
        EXPECT_GE(left - half, 7 - 1e-9) << character;
        EXPECT_NEAR(right + half, 7 + letteringWidthMm(one.text, 3), 1e-9) << character;
    }
}

TEST(Lettering, NoTwoCharactersLookAlike) {
    const auto strokes = [](char character) {
        std::string text;
        for (const Stroke& s : strokesOf({.text = std::string(1, character)})) {
            for (const double number : {s.x1, s.y1, s.x2, s.y2}) text += std::to_string(number) + ' ';
        }
        return text;
    };
    for (const char one : kAll) {
        EXPECT_FALSE(strokes(one).empty()) << one;
        for (const char other : kAll) {
            if (one == other) continue;
            EXPECT_NE(strokes(one), strokes(other)) << one << other;
        }
    }
    EXPECT_EQ(strokes('q'), strokes('Q'));
}

TEST(Lettering, WhatItDoesNotHaveIsShownWhole) {
    EXPECT_EQ(cannotBeLettered("Matt rag, 21 % (trial)"), std::nullopt);
    EXPECT_EQ(cannotBeLettered("a?b"), "?");
    EXPECT_EQ(cannotBeLettered("m\xC3\xA2t"), "\xC3\xA2");
    EXPECT_EQ(cannotBeLettered("a\nb"), "\n");
    EXPECT_EQ(letteringWidthMm("", 3), 0);
}

}  // namespace
}  // namespace greywright::sheet

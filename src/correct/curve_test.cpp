#include "correct/curve.h"

#include <cmath>

#include <gtest/gtest.h>

#include "core/contract.h"
#include "core/random.h"
#include "testing/near.h"

namespace greywright::correct {
namespace {

ToneCurve bentCurve(double power) {
    std::vector<CurvePoint> points;
    for (int i = 0; i <= 40; ++i) points.push_back({2.5 * i, 100 * std::pow(i / 40.0, power)});
    return ToneCurve(std::move(points));
}

TEST(ToneCurve, TheStraightOneChangesNothing) {
    const ToneCurve straight;
    for (const double tone : {0.0, 0.1, 33.3, 99.9, 100.0}) EXPECT_NEAR(straight.at(tone), tone, 1e-12);
    EXPECT_EQ(straight.at(-5), 0);
    EXPECT_EQ(straight.at(105), 100);
    EXPECT_EQ(straight.at(std::nan("")), 0);
}

TEST(ToneCurve, IsSmoothAndNeverTurnsBackBetweenItsPoints) {
    // A staircase: the cubic of Fritsch and Carlson must not overshoot its steps.
    const ToneCurve stairs({{0, 0}, {10, 0.1}, {20, 40}, {30, 40.1}, {40, 90}, {100, 100}});
    double last = -1;
    for (int i = 0; i <= 65535; ++i) {
        const double here = stairs.at(100.0 * i / 65535);
        ASSERT_GE(here, last) << i;
        last = here;
    }
    EXPECT_NEAR(bentCurve(1.8).at(51), 100 * std::pow(0.51, 1.8), 0.01);
}

TEST(ToneCurve, TheToneThatSendsIsTheInverse) {
    const ToneCurve curve = bentCurve(0.7);
    for (const double tone : {0.0, 3.0, 50.0, 98.0, 100.0})
        EXPECT_NEAR(curve.toneThatSends(curve.at(tone)), tone, 1e-9);
}

TEST(ToneCurve, ComposingSendsWhatTheLaterAsksOfTheEarlier) {
    const ToneCurve earlier = bentCurve(1.6), later = bentCurve(0.8);
    const ToneCurve both = compose(earlier, later);
    for (int tone = 0; tone <= 100; ++tone)
        EXPECT_NEAR(both.at(tone), earlier.at(later.at(tone)), 0.02) << tone;
    const ToneCurve same = compose(earlier, ToneCurve());
    for (int tone = 0; tone <= 100; ++tone) EXPECT_NEAR(same.at(tone), earlier.at(tone), 0.02) << tone;
}

TEST(ToneCurve, TextReadsBackToTheLastBit) {
    const ToneCurve curve = bentCurve(1.37);
    const auto back = ToneCurve::fromText(curve.text());
    ASSERT_TRUE(testing::succeeded(back));
    EXPECT_EQ(back->text(), curve.text());
    ASSERT_EQ(back->points().size(), curve.points().size());
    for (std::size_t i = 0; i < curve.points().size(); ++i)
        EXPECT_EQ(back->points()[i].sendPercent, curve.points()[i].sendPercent);
}

TEST(ToneCurve, DamagedTextIsRefusedWithItsLine) {
    const auto codeAndLine = [](std::string_view text) {
        const auto read = ToneCurve::fromText(text);
        return read ? std::string("read") : read.error().code + " " + std::to_string(read.error().where.line);
    };
    const std::string first = "greywright tone curve 1\n";
    EXPECT_EQ(codeAndLine(""), "curve-not-read 0");
    EXPECT_EQ(codeAndLine("something else\n0 0\n100 100\n"), "curve-not-read 1");
    EXPECT_EQ(codeAndLine(first + "0 0\n50\n100 100\n"), "curve-not-read 3");
    EXPECT_EQ(codeAndLine(first + "0 0\n50 x\n100 100\n"), "curve-not-read 3");
    EXPECT_EQ(codeAndLine(first + "0 0\n50 60\n70 60\n100 100\n"), "curve-not-rising 4");
    EXPECT_EQ(codeAndLine(first + "0 1\n100 100\n"), "curve-not-rising 2");
    EXPECT_EQ(codeAndLine(first + "0 0\n90 100\n"), "curve-not-rising 3");
    EXPECT_EQ(codeAndLine(first), "curve-not-rising 1");
}

TEST(ToneCurve, PointsOutOfOrderAreAMistake) {
    EXPECT_THROW(ToneCurve({{0, 0}, {50, 60}, {60, 50}, {100, 100}}), ContractViolation);
}

}  // namespace
}  // namespace greywright::correct

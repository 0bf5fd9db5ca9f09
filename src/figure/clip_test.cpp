#include "figure/clip.h"

#include <cmath>
#include <random>

#include <gtest/gtest.h>

namespace greywright::figure {
namespace {

constexpr Rect kArea{10, 20, 30, 40};

TEST(Clip, ALineKeepsItsPartInside) {
    const auto through = clippedSegment({0, 30}, {50, 30}, kArea);
    ASSERT_TRUE(through);
    EXPECT_EQ(through->first, (Point{10, 30}));
    EXPECT_EQ(through->second, (Point{40, 30}));
    EXPECT_FALSE(clippedSegment({0, 0}, {50, 10}, kArea));
    EXPECT_FALSE(clippedSegment({0, 52}, {30, 82}, kArea)) << "passes the corner outside";
    EXPECT_EQ(clippedSegment({15, 25}, {16, 26}, kArea)->second, (Point{16, 26}));
}

TEST(Clip, WhatIsLeftLiesOnTheLineAndInTheArea) {
    std::mt19937_64 random(3);
    std::uniform_real_distribution<double> place(-60, 120);
    int kept = 0;
    for (int i = 0; i < 5000; ++i) {
        const Point a{place(random), place(random)};
        const Point b{place(random), place(random)};
        const auto part = clippedSegment(a, b, kArea);
        bool anyInside = false;
        for (int k = 0; k <= 200; ++k) {
            const double t = k / 200.0;
            anyInside =
                anyInside || kArea.contains(Point{a.x + t * (b.x - a.x), a.y + t * (b.y - a.y)}, -1e-6);
        }
        if (anyInside) {
            ASSERT_TRUE(part);
        }
        if (!part) continue;
        ++kept;
        for (const Point p : {part->first, part->second}) {
            EXPECT_TRUE(kArea.contains(p));
            EXPECT_NEAR((p.x - a.x) * (b.y - a.y) - (p.y - a.y) * (b.x - a.x), 0, 1e-6);
        }
    }
    EXPECT_GT(kept, 500);
}

TEST(Clip, AChainThatLeavesAndReturnsComesInPieces) {
    const std::vector<Point> chain{{20, 30}, {100, 30}, {100, 50}, {20, 50}, {25, 55}};
    const auto pieces = clippedChain(chain, kArea);
    ASSERT_EQ(pieces.size(), 2U);
    EXPECT_EQ(pieces[0], (std::vector<Point>{{20, 30}, {40, 30}}));
    EXPECT_EQ(pieces[1], (std::vector<Point>{{40, 50}, {20, 50}, {25, 55}}));
}

TEST(Clip, ARingAroundTheAreaBecomesTheAreaAndOneBesideItNothing) {
    const std::vector<Point> around{{0, 0}, {100, 0}, {100, 100}, {0, 100}};
    double sum = 0;
    const auto inside = clippedRing(around, kArea);
    for (std::size_t i = 0; i < inside.size(); ++i) {
        const Point a = inside[i];
        const Point b = inside[(i + 1) % inside.size()];
        sum += (a.x * b.y - b.x * a.y) / 2;
    }
    EXPECT_NEAR(std::abs(sum), 1200, 1e-9);
    EXPECT_TRUE(clippedRing(std::vector<Point>{{0, 0}, {5, 0}, {0, 5}}, kArea).empty());
}

}  // namespace
}  // namespace greywright::figure

#include "figure/contour.h"

#include <cmath>
#include <functional>
#include <limits>
#include <numbers>

#include <gtest/gtest.h>

#include "core/contract.h"

namespace greywright::figure {
namespace {

constexpr double kNaN = std::numeric_limits<double>::quiet_NaN();

Grid sampled(Range x, Range y, std::size_t columns, std::size_t rows,
             const std::function<double(double, double)>& function) {
    Grid grid{x, y, columns, rows, {}};
    for (std::size_t row = 0; row < rows; ++row) {
        for (std::size_t column = 0; column < columns; ++column) {
            grid.values.push_back(
                function(x.low + x.span() * static_cast<double>(column) / static_cast<double>(columns - 1),
                         y.low + y.span() * static_cast<double>(row) / static_cast<double>(rows - 1)));
        }
    }
    return grid;
}

/// The area within a ring, positive when it turns anticlockwise.
double area(const std::vector<XY>& ring) {
    double sum = 0;
    for (std::size_t i = 0; i < ring.size(); ++i) {
        const XY a = ring[i];
        const XY b = ring[(i + 1) % ring.size()];
        sum += (a.x * b.y - b.x * a.y) / 2;
    }
    return sum;
}

/// Even-odd rule.
bool within(const std::vector<std::vector<XY>>& rings, XY p) {
    bool inside = false;
    for (const auto& ring : rings) {
        for (std::size_t i = 0; i < ring.size(); ++i) {
            const XY a = ring[i];
            const XY b = ring[(i + 1) % ring.size()];
            if ((a.y > p.y) != (b.y > p.y) && p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x))
                inside = !inside;
        }
    }
    return inside;
}

TEST(Contour, OfACirclesDistanceIsThatCircle) {
    const Grid grid = sampled({-2, 2}, {-3, 3}, 41, 61, [](double x, double y) { return std::hypot(x, y); });
    const auto lines = contourLines(grid, 1.5);
    ASSERT_EQ(lines.size(), 1U);
    EXPECT_TRUE(lines[0].closed);
    // The bend of the function over a cell's side of 0.1 moves a crossing by less than 0.1^2 / 8 / 1.5.
    for (const XY at : lines[0].points) EXPECT_NEAR(std::hypot(at.x, at.y), 1.5, 0.001);
    EXPECT_NEAR(std::abs(area(lines[0].points)), std::numbers::pi * 2.25, 0.01);
}

TEST(Contour, OfAPlaneIsStraightAndExact) {
    const Grid grid = sampled({0, 10}, {0, 4}, 6, 5, [](double x, double y) { return 2 * x + y; });
    const auto lines = contourLines(grid, 9.5);
    ASSERT_EQ(lines.size(), 1U);
    EXPECT_FALSE(lines[0].closed);
    for (const XY at : lines[0].points) EXPECT_NEAR(2 * at.x + at.y, 9.5, 1e-12);
    EXPECT_NEAR(std::abs(lines[0].points.front().y - lines[0].points.back().y), 4, 1e-12)
        << "it crosses the whole grid";
}

// The two ways to read a saddle: with the centre above the level, the high corners are joined and the lines
// cut off the low ones; with the centre below, the other way round.
TEST(Contour, AtASaddleTheMeanDecides) {
    for (const auto& [level, highCornersJoined] : {std::pair{0.4, true}, std::pair{0.6, false}}) {
        // High at (0, 0) and (1, 1).
        const Grid grid{{0, 1}, {0, 1}, 2, 2, {1, 0, 0, 1}};
        const auto lines = contourLines(grid, level);
        ASSERT_EQ(lines.size(), 2U);
        for (const ContourLine& line : lines) {
            ASSERT_EQ(line.points.size(), 2U);
            const XY middle{(line.points[0].x + line.points[1].x) / 2,
                            (line.points[0].y + line.points[1].y) / 2};
            const bool nearHigh = (middle.x < 0.5) == (middle.y < 0.5);
            EXPECT_EQ(nearHigh, !highCornersJoined);
        }
        EXPECT_EQ(within(contourRegion(grid, level), {0.5, 0.5 + 1e-9}), highCornersJoined);
    }
    // The other diagonal.
    for (const auto& [level, highCornersJoined] : {std::pair{0.4, true}, std::pair{0.6, false}}) {
        const Grid grid{{0, 1}, {0, 1}, 2, 2, {0, 1, 1, 0}};
        EXPECT_EQ(contourLines(grid, level).size(), 2U);
        EXPECT_EQ(within(contourRegion(grid, level), {0.5, 0.5 + 1e-9}), highCornersJoined);
    }
}

TEST(Contour, TheRegionHoldsJustWhatIsAbove) {
    const auto function = [](double x, double y) { return std::sin(2 * x) * std::cos(3 * y) + 0.3 * x; };
    const Grid grid = sampled({-2, 2}, {-1, 1.5}, 81, 51, function);
    for (const double level : {-0.7, 0.0, 0.33, 0.9}) {
        const auto rings = contourRegion(grid, level);
        int above = 0;
        for (int column = 0; column < 44; ++column) {
            const double x = -1.97 + 0.091 * column;
            for (int row = 0; row < 30; ++row) {
                const double y = -0.98 + 0.083 * row;
                const double value = function(x, y);
                if (std::abs(value - level) < 0.01) continue;
                EXPECT_EQ(within(rings, {x, y}), value > level) << x << ", " << y << " at " << level;
                above += value > level ? 1 : 0;
            }
        }
        EXPECT_GT(above, 20);
    }
}

TEST(Contour, AWholeGridAboveIsItsRectangleAndOneBelowIsNothing) {
    const Grid grid = sampled({1, 3}, {5, 6}, 4, 3, [](double, double) { return 7.0; });
    const auto rings = contourRegion(grid, 6);
    ASSERT_EQ(rings.size(), 1U);
    EXPECT_NEAR(std::abs(area(rings[0])), 2, 1e-12);
    EXPECT_TRUE(contourRegion(grid, 8).empty());
    EXPECT_TRUE(contourLines(grid, 6).empty());
    EXPECT_TRUE(contourLines(grid, 7).empty()) << "what equals the level counts as above";
}

TEST(Contour, AHoleIsOutsideAndNoLineRunsThroughIt) {
    Grid grid = sampled({0, 10}, {0, 10}, 11, 11, [](double x, double) { return x; });
    grid.values[5 * 11 + 5] = kNaN;
    const auto lines = contourLines(grid, 4.5);
    ASSERT_EQ(lines.size(), 2U) << "the line is broken at the hole";
    for (const ContourLine& line : lines) {
        for (const XY at : line.points) {
            EXPECT_TRUE(std::isfinite(at.x) && std::isfinite(at.y));
            EXPECT_FALSE(at.y > 4 && at.y < 6);
        }
    }
    const auto rings = contourRegion(grid, 2.5);
    EXPECT_FALSE(within(rings, {5, 5.01}));
    EXPECT_TRUE(within(rings, {7, 5.01}));
    EXPECT_FALSE(within(rings, {2, 5.01}));
}

TEST(Contour, AGridOfTheWrongShapeIsAProgrammersMistake) {
    EXPECT_THROW((void)contourLines({{}, {}, 2, 2, {1, 2, 3}}, 1), ContractViolation);
    EXPECT_THROW((void)contourLines({{}, {}, 1, 3, {1, 2, 3}}, 1), ContractViolation);
}

}  // namespace
}  // namespace greywright::figure

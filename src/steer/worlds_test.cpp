#include "steer/worlds.h"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

#include "colour/difference.h"
#include "core/random.h"

namespace greywright::steer {
namespace {

// The full formula is computed for the rows only that the short one cannot rule out, so the worst of all must
// be among them, whatever the aim and the tint.
TEST(Worlds, TheWorstRowIsThatOfTheFullFormulaOverAllRows) {
    constexpr int kRows = 12, kWorlds = 4000;
    Random random(7);
    const auto anywhere = [&](double chroma) {
        const double size = chroma * std::sqrt(random.uniform()),
                     turn = 2 * std::numbers::pi * random.uniform();
        return colour::Tint{size * std::cos(turn), size * std::sin(turn)};
    };
    for (const double aimChroma : {0.0, 3.0, 15.0, 40.0}) {
        Rows rows;
        for (int i = 0; i < kRows; ++i) {
            rows.tones.push_back((i + 1.0) / kRows);
            rows.lightness.push_back(90 - 6.0 * i);
            rows.aim.push_back(anywhere(aimChroma));
            rows.scale.push_back(i % 3 == 0 ? 0.8 : 1);
            rows.light.push_back(0);
        }
        std::vector<World> all(kWorlds);
        for (World& world : all) {
            for (Eigen::MatrixXd& field : world.field) field = Eigen::MatrixXd::Zero(kRows, 2);
            // Residuals of one size, so that the short form's error decides which is worst.
            for (int i = 0; i < kRows; ++i) {
                const colour::Tint tint = anywhere(aimChroma + 3);
                const double size = std::hypot(tint.a, tint.b) + 1e-9;
                world.field[kA](i, 0) = 3 * tint.a / size;
                world.field[kB](i, 0) = 3 * tint.b / size;
            }
        }
        const Worlds worlds(rows, all);
        const Eigen::VectorXd terms = Eigen::VectorXd::Zero(1);
        for (std::size_t k = 0; k < all.size(); ++k) {
            double worst = 0;
            for (std::size_t i = 0; i < rows.tones.size(); ++i) {
                const auto row = static_cast<Eigen::Index>(i);
                const double L = rows.lightness[i];
                const colour::Tint aim = rows.aim[i];
                worst =
                    std::max(worst, rows.scale[i] * colour::deltaE2000({L, aim.a + all[k].field[kA](row, 0),
                                                                        aim.b + all[k].field[kB](row, 0)},
                                                                       {L, aim.a, aim.b}));
            }
            EXPECT_DOUBLE_EQ(worlds.worstExact(k, terms).deltaE00, worst) << aimChroma << " " << k;
        }
    }
}

// What worstExact() and docs/methods/steering.md rest on: how far the short formula is from the full one.
TEST(Worlds, TheShortFormulaIsAsNearAsItIsSaidToBe) {
    Random random(9);
    const auto anywhere = [&](double chroma) {
        const double size = chroma * std::sqrt(random.uniform()),
                     turn = 2 * std::numbers::pi * random.uniform();
        return colour::Tint{size * std::cos(turn), size * std::sin(turn)};
    };
    double furthestBelow5 = 0, furthestBelow15 = 0;
    for (int i = 0; i < 200'000; ++i) {
        const double within = i % 2 == 0 ? 5 : 15;
        const colour::Tint aim = anywhere(within), seen = anywhere(within);
        const double size = std::hypot(aim.a - seen.a, aim.b - seen.b);
        if (size < 1e-3) continue;
        World world;
        for (Eigen::MatrixXd& field : world.field) field = Eigen::MatrixXd::Zero(1, 2);
        world.field[kA](0, 0) = seen.a - aim.a;
        world.field[kB](0, 0) = seen.b - aim.b;
        Rows rows;
        rows.tones = {0.5};
        rows.lightness = {50};
        rows.aim = {aim};
        rows.scale = {1};
        rows.light = {0};
        const Worlds worlds(rows, {world});
        const double near = worlds.worstNear(0, Eigen::VectorXd::Zero(1));
        const double full = colour::deltaE2000({50, seen.a, seen.b}, {50, aim.a, aim.b});
        const double chroma = std::max(std::hypot(aim.a, aim.b), std::hypot(seen.a, seen.b));
        EXPECT_LE(full, near * (1 + 0.014 * chroma))
            << aim.a << " " << aim.b << " " << seen.a << " " << seen.b;
        double& furthest = within < 10 ? furthestBelow5 : furthestBelow15;
        furthest = std::max(furthest, std::abs(full / near - 1));
    }
    EXPECT_LT(furthestBelow5, 0.07);
    EXPECT_LT(furthestBelow15, 0.20);
    EXPECT_GT(furthestBelow15, 0.15) << "colours that tell the formulas apart were among them";
}

}  // namespace
}  // namespace greywright::steer

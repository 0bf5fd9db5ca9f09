#include "simulate/shots.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "core/random.h"

namespace greywright::simulate {
namespace {

/// Scales the gain so that the lightest place of bare paper is `most` of what the picture can hold.
void expose(Camera& camera, const sheet::Sheet& sheet, double most) {
    double brightest = 0;
    for (int i = 0; i < 81; ++i) {
        const Light light = lightAt(camera, sheet.page.widthMm, sheet.page.heightMm,
                                    i % 9 / 8.0 * sheet.page.widthMm, i / 9 / 8.0 * sheet.page.heightMm);
        const Light paper = inkOnPaper(0);
        for (std::size_t c = 0; c < 3; ++c)
            brightest = std::max(brightest, light[c] * camera.gain[c] * paper[c]);
    }
    for (double& gain : camera.gain) gain *= most / brightest;
}

}  // namespace

Light inkOnPaper(double tonePercent) {
    const double t = tonePercent / 100;
    const double f = (95 - 78 * t + 16) / 116;  // L* falls evenly
    const double y = f * f * f;
    const double turn = 2 * std::numbers::pi * t;
    return {y * (1 + 0.020 + 0.035 * std::sin(turn)), y, y * (1 - 0.045 + 0.045 * std::cos(1.3 * turn))};
}

Camera anyPhotograph(const sheet::Sheet& sheet, std::uint64_t seed) {
    Random random(seed * 7919 + 17);
    Camera camera{.turnDegrees = random.uniform(0, 360),
                  .tiltDegrees = random.uniform(0, 35),
                  .tiltDirectionDegrees = random.uniform(0, 360),
                  .fill = random.uniform(0.85, 0.97),
                  .k1 = random.uniform(-0.12, 0.01),
                  .k2 = random.uniform(-0.01, 0.02),
                  .vignettingStops = random.uniform(0, 1.5),
                  .overlap = 0.3,
                  .blurPx = random.uniform(0.5, 1.1),
                  .shotNoise = random.uniform(0.006, 0.02),
                  .readNoise = random.uniform(0.001, 0.004),
                  .jpegQuality = 85,
                  .seed = seed};
    const Light warm{1.25, 0.95, 0.60};
    const Light cool{0.90, 1.00, 1.15};
    for (int i = 0; i < 2; ++i) {
        const double angle = random.uniform(0, 2 * std::numbers::pi);
        const double distance = random.uniform(100, 600);
        const double share = random.uniform(0.3, 0.7);
        Lamp lamp{.xMm = sheet.page.widthMm / 2 + distance * std::cos(angle),
                  .yMm = sheet.page.heightMm / 2 + distance * std::sin(angle),
                  .heightMm = random.uniform(600, 1800)};
        for (std::size_t c = 0; c < 3; ++c) lamp.light[c] = share * (i == 0 ? warm : cool)[c];
        camera.lamps.push_back(lamp);
    }
    camera.gain = {std::exp(0.15 * random.normal()), 1, std::exp(0.15 * random.normal())};
    expose(camera, sheet, random.uniform(0.6, 0.95));
    if (random.uniform() < 0.6) {
        const auto corner = static_cast<std::size_t>(random.uniform(0, 3.999));
        const sheet::RectMm& at = sheet.markers[corner].at;
        camera.things.push_back({.xMm = at.x + at.width / 2 + random.uniform(-3, 3),
                                 .yMm = at.y + at.height / 2 + random.uniform(-3, 3),
                                 .radiusXMm = random.uniform(7, 11),
                                 .radiusYMm = random.uniform(9, 16),
                                 .light = {0.45, 0.27, 0.19}});
    }
    return camera;
}

Camera anyScan(const sheet::Sheet& sheet, std::uint64_t seed) {
    Random random(seed * 104729 + 5);
    const int quarters = static_cast<int>(random.uniform(0, 3.999));
    Camera camera{.width = quarters % 2 == 0 ? 1300U : 1840U,
                  .height = quarters % 2 == 0 ? 1840U : 1300U,
                  .turnDegrees = 90.0 * quarters + random.uniform(-5, 5),
                  .fill = 0.98,
                  .blurPx = random.uniform(0.3, 0.7),
                  .shotNoise = random.uniform(0.002, 0.006),
                  .readNoise = 0.001,
                  .dust = 400,
                  .table = {0.02, 0.02, 0.02},
                  .seed = seed};
    camera.lamps.push_back({.xMm = random.uniform(-400, 600),
                            .yMm = random.uniform(-400, 700),
                            .heightMm = random.uniform(1500, 3000)});
    expose(camera, sheet, 0.9);
    for (int i = 0; i < 3; ++i) {
        const double side = random.uniform() < 0.5 ? -12 : sheet.page.widthMm + 12;
        camera.things.push_back(
            {.xMm = side,
             .yMm = random.uniform(0, sheet.page.heightMm),
             .radiusXMm = 8,
             .radiusYMm = random.uniform(5, 40),
             .light = {random.uniform(0, 0.9), random.uniform(0, 0.9), random.uniform()}});
    }
    return camera;
}

}  // namespace greywright::simulate

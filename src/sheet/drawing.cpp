#include "sheet/drawing.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "core/random.h"

namespace greywright::sheet {
namespace {

// The landscape is drawn in units of its height, x to the right, y downwards; tones are shares of the way
// from its lightest to its darkest.
constexpr double kSunAt = 0.64;  // of the width
constexpr double kSunHeight = 0.33;
constexpr double kShore = 0.585;    // where the hills meet the lake
constexpr double kNearBank = 0.76;  // where the lake meets the meadow
constexpr double kEdgeMm = 0.25;    // edges are this soft, so that no resolution frays them

struct Ridge {
    double height;  ///< of its middle
    double swing;
    double waves;  ///< over a height's length
    double tone;   ///< at its crest
    double haze;   ///< how much lighter a height's length below it
};

constexpr std::array<Ridge, 4> kRidges{{{0.41, 0.050, 1.1, 0.17, 0.45},
                                        {0.46, 0.040, 1.7, 0.29, 0.75},
                                        {0.505, 0.030, 2.3, 0.44, 1.2},
                                        {0.55, 0.016, 3.1, 0.62, 1.6}}};
constexpr std::size_t kMeadow = 4;
constexpr std::size_t kPath = 5;

/// A stone on the meadow. Units: x as a share of the width, the rest in heights.
struct Stone {
    double x, y, radius;
};

constexpr std::array<Stone, 3> kStones{{{0.17, 0.845, 0.075}, {0.29, 0.895, 0.045}, {0.83, 0.865, 0.055}}};

double mix(double from, double to, double share) {
    return from + (to - from) * share;
}

double smooth(double from, double to, double at) {
    const double t = std::clamp((at - from) / (to - from), 0.0, 1.0);
    return t * t * (3 - 2 * t);
}

double bell(double distance, double width) {
    return std::exp(-distance * distance / (2 * width * width));
}

}  // namespace

Painter::Painter(const Drawing& drawing)
    : drawing_(drawing),
      aspect_(drawing.at.width / drawing.at.height),
      softness_(kEdgeMm / drawing.at.height) {
    Random random(drawing.seed);
    for (auto& of : phases_) {
        for (double& phase : of) phase = random.uniform(0, 2 * std::numbers::pi);
    }
}

double Painter::tonePercentAt(double xMm, double yMm) const {
    const double across = (xMm - drawing_.at.x) / drawing_.at.width;
    const double down = (yMm - drawing_.at.y) / drawing_.at.height;
    const double share =
        drawing_.kind == DrawingKind::gradient ? across : landscapeAt(across * aspect_, down);
    return mix(drawing_.fromPercent, drawing_.toPercent, std::clamp(share, 0.0, 1.0));
}

/// How much of a place lies `depth` or more behind an edge: 0 before it, 1 behind.
double Painter::coverage(double depth) const {
    return smooth(-softness_ / 2, softness_ / 2, depth);
}

double Painter::ridgeAt(std::size_t ridge, double x) const {
    const auto& [height, swing, waves, tone, haze] = kRidges[ridge];
    const auto& phase = phases_[ridge];
    return height +
           swing * (0.62 * std::sin(2 * waves * x + phase[0]) + 0.28 * std::sin(4.7 * waves * x + phase[1]) +
                    0.10 * std::sin(11 * waves * x + phase[2]));
}

double Painter::skyAt(double x, double y) const {
    const double dx = x - kSunAt * aspect_;
    const double dy = y - kSunHeight;
    double tone = 0.36 * std::pow(std::clamp(1 - y / 0.62, 0.0, 1.0), 1.3) + 0.05;
    const double cloud = bell(y - 0.14 - 0.02 * std::sin(2.1 * x + phases_[0][1]), 0.028) *
                         (0.5 + 0.5 * std::sin(1.4 * x + phases_[1][1]));
    tone += 0.07 * cloud;
    tone *= 1 - 0.9 * bell(std::hypot(dx, 1.3 * dy), 0.17);
    const double disc = coverage(0.032 - std::hypot(dx, dy));
    return mix(tone, 0, disc);
}

double Painter::landscapeAt(double x, double y) const {
    double tone = skyAt(x, y);
    for (std::size_t i = 0; i < kRidges.size(); ++i) {
        const double below = y - ridgeAt(i, x);
        const double share = coverage(below);
        if (share <= 0) continue;
        const double hill = std::max(kRidges[i].tone - kRidges[i].haze * std::max(below, 0.0), 0.10);
        tone = mix(tone, hill, share);
    }
    // The lake shows the sky upside down, darker towards the near bank.
    const double lake = coverage(y - kShore);
    if (lake > 0) {
        const double mirrored = kSunHeight + 0.10 - 0.9 * (y - kShore);
        const double ripples = 0.012 * std::sin(150 * (y - kShore) / (0.3 + 2 * (y - kShore)));
        const double water = skyAt(x, mirrored) + 0.06 + 0.75 * (y - kShore) + ripples;
        tone = mix(tone, std::max(water, 0.0), lake);
    }
    const double bank = kNearBank + 0.018 * std::sin(1.9 * x + phases_[kMeadow][0]) +
                        0.007 * std::sin(5.3 * x + phases_[kMeadow][1]);
    const double meadow = coverage(y - bank);
    if (meadow > 0) {
        const double depth = std::clamp((y - bank) / (1 - kNearBank), 0.0, 1.0);
        double ground = mix(0.72, 1.0, smooth(0, 0.95, depth));
        const double middle = aspect_ * (0.52 + 0.10 * (1 - depth) * std::sin(4 * depth + phases_[kPath][0]));
        const double half = mix(0.008, 0.085, depth * depth);
        const double path = smooth(1.25, 0.75, std::abs(x - middle) / half);
        ground = mix(ground, mix(0.34, 0.52, depth), path);
        tone = mix(tone, ground, meadow);
    }
    for (const Stone& stone : kStones) {
        const double dx = (x - stone.x * aspect_) / stone.radius;
        const double dy = (y - stone.y) / stone.radius;
        // The light comes from the sun, low behind the lake; below lies the stone's shadow.
        const double shadow = bell(std::hypot(dx, 3 * (dy - 0.95)), 0.55);
        tone = mix(tone, 1, 0.85 * shadow);
        const double share = coverage((1 - std::hypot(dx, dy)) * stone.radius);
        if (share <= 0) continue;
        const double height = std::sqrt(std::max(0.0, 1 - dx * dx - dy * dy));
        const double towardsSun = stone.x < kSunAt ? 0.45 : -0.45;
        const double lit = std::max(0.0, towardsSun * dx - 0.70 * dy + 0.55 * height);
        tone = mix(tone, 0.93 - 0.85 * lit, share);
    }
    return tone;
}

}  // namespace greywright::sheet

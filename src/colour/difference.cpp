#include "colour/difference.h"

#include <cmath>
#include <numbers>

namespace greywright::colour {
namespace {

constexpr double kDegree = std::numbers::pi / 180;

double power7(double x) {
    const double x3 = x * x * x;
    return x3 * x3 * x;
}

// std::hypot guards against overflow, which no colour comes near, and takes four times as long.
double chromaOf(double a, double b) {
    return std::sqrt(a * a + b * b);
}

// 0 <= angle < 360; 0 for no chroma.
double hueDegrees(double a, double b) {
    if (a == 0 && b == 0) return 0;
    const double angle = std::atan2(b, a) / kDegree;
    return angle < 0 ? angle + 360 : angle;
}

}  // namespace

double deltaE2000(const Lab& one, const Lab& other) {
    // The letters are those of Sharma et al. 2005, equations 2 to 22.
    const double meanC7 = power7((chromaOf(one.a, one.b) + chromaOf(other.a, other.b)) / 2);
    constexpr double k25to7 = 6103515625.0;
    const double G = 0.5 * (1 - std::sqrt(meanC7 / (meanC7 + k25to7)));
    const double a1 = (1 + G) * one.a;
    const double a2 = (1 + G) * other.a;
    const double C1 = chromaOf(a1, one.b);
    const double C2 = chromaOf(a2, other.b);
    const double h1 = hueDegrees(a1, one.b);
    const double h2 = hueDegrees(a2, other.b);

    const double dL = other.L - one.L;
    const double dC = C2 - C1;
    const bool coloured = C1 * C2 != 0;
    double dh = coloured ? h2 - h1 : 0;
    if (dh > 180) dh -= 360;
    if (dh < -180) dh += 360;
    const double dH = 2 * std::sqrt(C1 * C2) * std::sin(dh / 2 * kDegree);

    const double L = (one.L + other.L) / 2;
    const double C = (C1 + C2) / 2;
    double h = h1 + h2;
    if (coloured) {
        if (std::abs(h1 - h2) > 180) h += h < 360 ? 360 : -360;
        h /= 2;
    }

    const double T = 1 - 0.17 * std::cos((h - 30) * kDegree) + 0.24 * std::cos(2 * h * kDegree) +
                     0.32 * std::cos((3 * h + 6) * kDegree) - 0.20 * std::cos((4 * h - 63) * kDegree);
    const double turn = (h - 275) / 25;
    const double dTheta = 30 * std::exp(-turn * turn);
    const double C7 = power7(C);
    const double RC = 2 * std::sqrt(C7 / (C7 + k25to7));
    const double L50 = (L - 50) * (L - 50);
    const double SL = 1 + 0.015 * L50 / std::sqrt(20 + L50);
    const double SC = 1 + 0.045 * C;
    const double SH = 1 + 0.015 * C * T;
    const double RT = -std::sin(2 * dTheta * kDegree) * RC;

    const double l = dL / SL;
    const double c = dC / SC;
    const double H = dH / SH;
    return std::sqrt(std::fmax(0, l * l + c * c + H * H + RT * c * H));
}

double deltaCh(const Lab& one, const Lab& other) {
    return std::hypot(one.a - other.a, one.b - other.b);
}

double deltaE76(const Lab& one, const Lab& other) {
    return std::hypot(one.L - other.L, one.a - other.a, one.b - other.b);
}

}  // namespace greywright::colour

#include "colour/appearance.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <Eigen/Dense>

#include "core/contract.h"

namespace greywright::colour {
namespace {

using Eigen::Matrix3d;
using Eigen::Vector3d;

constexpr double kDegree = std::numbers::pi / 180;
constexpr double kExponent = 0.42;
constexpr double kHalf = 27.13;
constexpr double kLowCone = 0.26;  // below: a straight line through the origin
constexpr double kHighCone = 150;  // above: the tangent

Matrix3d coneFromXyz() {
    return Matrix3d{
        {0.401288, 0.650173, -0.051461}, {-0.250268, 1.204414, 0.045854}, {-0.002079, 0.048952, 0.953127}};
}

const Matrix3d& xyzFromCone() {
    static const Matrix3d inverse = coneFromXyz().inverse();
    return inverse;
}

Vector3d vector(const Xyz& xyz) {
    return {xyz.X, xyz.Y, xyz.Z};
}
Xyz xyz(const Vector3d& v) {
    return {v[0], v[1], v[2]};
}

struct SurroundFactors {
    double F, c, Nc;
};

SurroundFactors factorsOf(Surround surround) {
    switch (surround) {
        case Surround::dim:
            return {0.9, 0.59, 0.9};
        case Surround::dark:
            return {0.8, 0.525, 0.8};
        case Surround::average:
            break;
    }
    return {1.0, 0.69, 1.0};
}

double response(double cone, double FL) {
    const double power = std::pow(FL * cone / 100, kExponent);
    return 400 * power / (power + kHalf);
}

double responseSlope(double cone, double FL) {
    const double u = FL * cone / 100;
    const double below = std::pow(u, kExponent) + kHalf;
    return 400 * kExponent * kHalf * (FL / 100) * std::pow(u, kExponent - 1) / (below * below);
}

double chromaFactor(double n) {
    return std::pow(1.64 - std::pow(0.29, n), 0.73);
}

double eccentricity(double hRadians) {
    return (std::cos(hRadians + 2) + 3.8) / 4;
}

}  // namespace

Ciecam16::Ciecam16(const ViewingConditions& conditions) {
    const double La = conditions.adaptingLuminanceCdM2;
    const double Yw = conditions.white.Y;
    expects(Yw > 0 && La > 0 && conditions.backgroundY > 0, "Ciecam16: white, luminance and background > 0");
    const SurroundFactors surround = factorsOf(conditions.surround);
    c_ = surround.c;
    Nc_ = surround.Nc;
    const double D = conditions.fullyAdapted
                         ? 1
                         : std::clamp(surround.F * (1 - std::exp((-La - 42) / 92) / 3.6), 0.0, 1.0);
    const Vector3d white = coneFromXyz() * vector(conditions.white);
    const auto gain = [&](double cone) { return D * Yw / cone + 1 - D; };
    gains_ = {gain(white[0]), gain(white[1]), gain(white[2])};
    const double k = 1 / (5 * La + 1);
    const double k4 = k * k * k * k;
    FL_ = k4 * La + 0.1 * (1 - k4) * (1 - k4) * std::cbrt(5 * La);
    n_ = conditions.backgroundY / Yw;
    z_ = 1.48 + std::sqrt(n_);
    Nbb_ = 0.725 * std::pow(n_, -0.2);
    chroma_ = chromaFactor(n_) * std::pow(FL_, 0.25);
    Aw_ = Nbb_ * (2 * compressed(gains_.R * white[0]) + compressed(gains_.G * white[1]) +
                  compressed(gains_.B * white[2]) / 20);
}

double Ciecam16::compressed(double cone) const {
    if (cone < kLowCone) return response(kLowCone, FL_) * cone / kLowCone;
    if (cone > kHighCone)
        return response(kHighCone, FL_) + responseSlope(kHighCone, FL_) * (cone - kHighCone);
    return response(cone, FL_);
}

double Ciecam16::expanded(double value) const {
    const double low = response(kLowCone, FL_);
    const double high = response(kHighCone, FL_);
    if (value < low) return kLowCone * value / low;
    if (value > high) return kHighCone + (value - high) / responseSlope(kHighCone, FL_);
    return 100 / FL_ * std::pow(kHalf * value / (400 - value), 1 / kExponent);
}

Ciecam16::Opponents Ciecam16::opponentsOf(const Xyz& sample) const {
    const Vector3d cone = coneFromXyz() * vector(sample);
    const double R = compressed(gains_.R * cone[0]);
    const double G = compressed(gains_.G * cone[1]);
    const double B = compressed(gains_.B * cone[2]);
    const double A = std::max(0.0, Nbb_ * (2 * R + G + B / 20));
    return {.a = R - 12 * G / 11 + B / 11,
            .b = (R + G - 2 * B) / 9,
            .root = std::pow(A / Aw_, c_ * z_ / 2),
            .tOverE = 50000.0 / 13 * Nc_ * Nbb_ / (R + G + 1.05 * B + 0.305)};
}

Appearance Ciecam16::appearanceFromXyz(const Xyz& sample) const {
    const auto [a, b, root, tOverE] = opponentsOf(sample);
    const double h = std::atan2(b, a);
    const double t = tOverE * eccentricity(h) * std::hypot(a, b);
    const double alpha = std::pow(std::max(0.0, t), 0.9) * chromaFactor(n_);
    Appearance seen;
    seen.J = 100 * root * root;
    seen.C = alpha * root;
    seen.hDegrees = h < 0 ? h / kDegree + 360 : h / kDegree;
    seen.M = seen.C * std::pow(FL_, 0.25);
    seen.s = 50 * std::sqrt(c_ * alpha / (Aw_ + 4));
    seen.Q = 4 / c_ * root * (Aw_ + 4) * std::pow(FL_, 0.25);
    return seen;
}

Xyz Ciecam16::xyzFromAppearance(const Appearance& appearance) const {
    if (appearance.J <= 0) return {};
    const double root = std::sqrt(appearance.J / 100);
    const double alpha = appearance.M / std::pow(FL_, 0.25) / root;
    const double t = std::pow(alpha / chromaFactor(n_), 1 / 0.9);
    const double h = appearance.hDegrees * kDegree;
    const double p1 = 50000.0 / 13 * Nc_ * Nbb_ * eccentricity(h);
    const double p2 = Aw_ * std::pow(root, 2 / (c_ * z_)) / Nbb_;
    const double radius = 23 * (p2 + 0.305) * t / (23 * p1 + 11 * t * std::cos(h) + 108 * t * std::sin(h));
    const double a = radius * std::cos(h);
    const double b = radius * std::sin(h);
    const Vector3d cone{expanded((460 * p2 + 451 * a + 288 * b) / 1403) / gains_.R,
                        expanded((460 * p2 - 891 * a - 261 * b) / 1403) / gains_.G,
                        expanded((460 * p2 - 220 * a - 6300 * b) / 1403) / gains_.B};
    return xyz(xyzFromCone() * cone);
}

CamUcs Ciecam16::ucsFromXyz(const Xyz& sample) const {
    const Opponents seen = opponentsOf(sample);
    const double length = std::hypot(seen.a, seen.b);
    const double J = 100 * seen.root * seen.root;
    const double Jp = 1.7 * J / (1 + 0.007 * J);
    if (length == 0) return {Jp, 0, 0};
    // No angle is needed: cos(h + 2) by the sum of angles.
    const double cosine = seen.a / length, sine = seen.b / length;
    const double e = (cosine * std::cos(2.0) - sine * std::sin(2.0) + 3.8) / 4;
    const double M = std::pow(std::max(0.0, e * seen.tOverE * length), 0.9) * chroma_ * seen.root;
    const double Mp = std::log1p(0.0228 * M) / 0.0228;
    return {Jp, Mp * cosine, Mp * sine};
}

CamUcs ucsFromAppearance(const Appearance& appearance) {
    const double M = std::log1p(0.0228 * appearance.M) / 0.0228;
    const double h = appearance.hDegrees * kDegree;
    return {1.7 * appearance.J / (1 + 0.007 * appearance.J), M * std::cos(h), M * std::sin(h)};
}

Appearance appearanceFromUcs(const CamUcs& ucs) {
    Appearance appearance;
    appearance.J = ucs.J / (1.7 - 0.007 * ucs.J);
    appearance.M = std::expm1(0.0228 * std::hypot(ucs.a, ucs.b)) / 0.0228;
    const double h = std::atan2(ucs.b, ucs.a) / kDegree;
    appearance.hDegrees = h < 0 ? h + 360 : h;
    return appearance;
}

Xyz adaptedByCat16(const Xyz& sample, const Xyz& fromWhite, const Xyz& toWhite) {
    const Vector3d from = coneFromXyz() * vector(fromWhite);
    const Vector3d to = coneFromXyz() * vector(toWhite);
    const Vector3d cone = coneFromXyz() * vector(sample);
    return xyz(xyzFromCone() * cone.cwiseProduct(to.cwiseQuotient(from)));
}

double adaptingLuminanceFromLux(double lux, double backgroundY) {
    return lux / std::numbers::pi * backgroundY / 100;
}

}  // namespace greywright::colour

#include "colour/temperature.h"

#include <array>
#include <cmath>

#include "colour/colorimeter.h"

namespace greywright::colour {
namespace {

constexpr double kLeastMired = 10;     // 100000 K
constexpr double kMostMired = 1000;    // 1000 K
constexpr double kFarthestDuv = 0.05;  // CIE 15:2018: beyond this no correlated colour temperature
constexpr std::size_t kStops = 100;

struct Uv {
    double u = 0;
    double v = 0;
};

// CIE 1960.
Uv uvFromXy(const Chromaticity& xy) {
    const double scale = 1 / (-2 * xy.x + 12 * xy.y + 3);
    return {4 * xy.x * scale, 6 * xy.y * scale};
}

Uv locusAt(double mired) {
    static const Observer& eye = observer(ObserverName::cie1931);
    const Spectrum power = blackBodyPower(1e6 / mired);
    Xyz sum;
    for (std::size_t i = 0; i < kFineGrid.count; ++i) {
        sum.X += power.values[i] * eye.xBar[i];
        sum.Y += power.values[i] * eye.yBar[i];
        sum.Z += power.values[i] * eye.zBar[i];
    }
    return uvFromXy(chromaticityFromXyz(sum));
}

double distance(const Uv& one, const Uv& other) {
    return std::hypot(one.u - other.u, one.v - other.v);
}

double stopMired(std::size_t index) {
    return kLeastMired +
           (kMostMired - kLeastMired) * static_cast<double>(index) / static_cast<double>(kStops);
}

std::size_t nearestStop(const Uv& point) {
    static const std::array<Uv, kStops + 1> stops = [] {
        std::array<Uv, kStops + 1> made{};
        for (std::size_t i = 0; i <= kStops; ++i) made[i] = locusAt(stopMired(i));
        return made;
    }();
    std::size_t best = 0;
    for (std::size_t i = 1; i <= kStops; ++i) {
        if (distance(point, stops[i]) < distance(point, stops[best])) best = i;
    }
    return best;
}

// Golden-section search for the mired of least distance.
double nearestMired(const Uv& point, double low, double high) {
    const double ratio = (std::sqrt(5.0) - 1) / 2;
    double a = high - ratio * (high - low);
    double b = low + ratio * (high - low);
    double atA = distance(point, locusAt(a));
    double atB = distance(point, locusAt(b));
    while (high - low > 1e-4) {
        if (atA < atB) {
            high = b;
            b = a;
            atB = atA;
            a = high - ratio * (high - low);
            atA = distance(point, locusAt(a));
        } else {
            low = a;
            a = b;
            atA = atB;
            b = low + ratio * (high - low);
            atB = distance(point, locusAt(b));
        }
    }
    return (low + high) / 2;
}

}  // namespace

Chromaticity chromaticityFromXyz(const Xyz& xyz) {
    const double sum = xyz.X + xyz.Y + xyz.Z;
    return {xyz.X / sum, xyz.Y / sum};
}

std::optional<ColourTemperature> colourTemperatureFromXy(const Chromaticity& xy) {
    const Uv point = uvFromXy(xy);
    const std::size_t stop = nearestStop(point);
    if (stop == 0 || stop == kStops) return std::nullopt;
    const double mired = nearestMired(point, stopMired(stop - 1), stopMired(stop + 1));
    const Uv nearest = locusAt(mired);
    const double away = distance(point, nearest);
    if (!(away <= kFarthestDuv)) return std::nullopt;
    return ColourTemperature{.kelvin = 1e6 / mired, .duv = point.v >= nearest.v ? away : -away};
}

std::optional<ColourTemperature> colourTemperatureOf(const Light& light) {
    return colourTemperatureFromXy(chromaticityFromXyz(whiteOf(light, observer(ObserverName::cie1931))));
}

}  // namespace greywright::colour

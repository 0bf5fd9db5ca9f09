#include "colour/rendering.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "colour/colorimeter.h"
#include "colour/tables.h"

namespace greywright::colour {
namespace {

constexpr double kDaylightFromK = 5000;
constexpr double kHottestDaylightK = 25000;

struct Seen {
    double u = 0;
    double v = 0;
    double Y = 0;
};

struct Scene {
    Seen white;
    std::array<Seen, 8> samples;
};

// Only the powers at multiples of 5 nm, so that sums at 1 nm become the sums at 5 nm that CIE 13.3
// prescribes.
Light atFiveNm(const Light& light) {
    Light coarse = light;
    for (std::size_t i = 0; i < kFineGrid.count; ++i) {
        if (i % 5 != 0) coarse.power.values[i] = 0;
    }
    return coarse;
}

Seen seen(const Xyz& xyz) {
    const double sum = xyz.X + 15 * xyz.Y + 3 * xyz.Z;
    return {4 * xyz.X / sum, 6 * xyz.Y / sum, xyz.Y};
}

Scene sceneUnder(const Light& light) {
    const tables::Table& table = tables::cieRenderingSamples;
    const Colorimeter colorimeter(observer(ObserverName::cie1931), light, table.grid);
    Scene scene{.white = seen(colorimeter.white()), .samples = {}};
    for (std::size_t i = 0; i < scene.samples.size(); ++i) {
        scene.samples[i] = seen(colorimeter.xyzFromReflectance(table.column(i)));
    }
    return scene;
}

// CIE 13.3:1995, equation 4: the functions c and d of the von Kries transform.
double functionC(const Seen& s) {
    return (4 - s.u - 10 * s.v) / s.v;
}
double functionD(const Seen& s) {
    return (1.708 * s.v + 0.404 - 1.481 * s.u) / s.v;
}

// Equation 3: what is seen under `from`, brought to the reference's white.
Seen adapted(const Seen& sample, const Seen& from, const Seen& to) {
    const double c = functionC(to) / functionC(from) * functionC(sample);
    const double d = functionD(to) / functionD(from) * functionD(sample);
    const double below = 16.518 + 1.481 * c - d;
    return {(10.872 + 0.404 * c - 4 * d) / below, 5.520 / below, sample.Y};
}

// Equations 5 and 6, CIE 1964 W*U*V*.
double differenceWuv(const Seen& one, const Seen& other, const Seen& white) {
    const auto w = [](const Seen& s) { return 25 * std::cbrt(s.Y) - 17; };
    const double w1 = w(one);
    const double w2 = w(other);
    return std::hypot(w1 - w2, 13 * (w1 * (one.u - white.u) - w2 * (other.u - white.u)),
                      13 * (w1 * (one.v - white.v) - w2 * (other.v - white.v)));
}

}  // namespace

std::optional<Rendering> renderingOf(const Light& light) {
    const Light tabulated = atFiveNm(light);
    const auto temperature = colourTemperatureOf(tabulated);
    if (!temperature) return std::nullopt;
    const double kelvin = temperature->kelvin;
    const Light reference{.power = kelvin < kDaylightFromK
                                       ? blackBodyPower(kelvin)
                                       : daylightPower(std::min(kelvin, kHottestDaylightK))};
    const Scene under = sceneUnder(tabulated);
    const Scene wanted = sceneUnder(atFiveNm(reference));
    Rendering rendering;
    for (std::size_t i = 0; i < rendering.samples.size(); ++i) {
        const Seen sample = adapted(under.samples[i], under.white, wanted.white);
        rendering.samples[i] = 100 - 4.6 * differenceWuv(wanted.samples[i], sample, wanted.white);
    }
    rendering.ra = std::accumulate(rendering.samples.begin(), rendering.samples.end(), 0.0) / 8;
    return rendering;
}

LightFigures figuresOf(const Light& light) {
    LightFigures figures{.xy = chromaticityFromXyz(whiteOf(light, observer(ObserverName::cie1931))),
                         .temperature = {},
                         .ra = {}};
    figures.temperature = colourTemperatureFromXy(figures.xy);
    if (!figures.temperature) return figures;
    if (const auto rendering = renderingOf(light)) figures.ra = rendering->ra;
    return figures;
}

}  // namespace greywright::colour

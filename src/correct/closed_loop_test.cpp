#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <iostream>
#include <memory>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "core/random.h"
#include "correct/tone.h"
#include "simulate/printer.h"
#include "simulate/rgb_printer.h"
#include "testing/near.h"

namespace greywright::correct {
namespace {

using colour::Lab;

/// A printer as one sees it from its tones: what comes out, and one print of it read once.
struct Route {
    std::string name;
    std::function<Lab(double tone)> truth;
    std::function<std::vector<Lab>(const std::vector<double>& tones, Random&)> print;
};

Route monochromeRoute(simulate::Family family, std::uint64_t seed) {
    std::shared_ptr<simulate::Printer> printer =
        simulate::printerFromRecipe(simulate::randomRecipe(family, seed));
    const simulate::ToneWarp warp = simulate::randomWarp(seed);
    const std::array<double, 2> zero{};
    return {std::string(simulate::familyName(family)),
            [=](double tone) { return printer->lab(warp.at(tone), zero); },
            [=](const std::vector<double>& tones, Random& random) {
                std::vector<double> warped;
                for (const double tone : tones) warped.push_back(warp.at(tone));
                std::vector<Lab> out;
                for (const auto& patch : printer->print(warped, zero, random).patches)
                    out.push_back(patch.lab.value());
                return out;
            }};
}

Route rgbRoute(simulate::Medium medium, std::uint64_t seed) {
    auto printer = std::make_shared<simulate::RgbPrinter>(medium, seed);
    const auto grey = [](double tone) {
        const double code = 65535 * (1 - tone);
        return simulate::RgbCodes{code, code, code};
    };
    return {medium == simulate::Medium::dye ? "RGB dye" : "RGB pigment",
            [=](double tone) { return printer->lab(grey(tone)); },
            [=](const std::vector<double>& tones, Random& random) {
                std::vector<simulate::RgbCodes> codes;
                for (const double tone : tones) codes.push_back(grey(tone));
                return printer->print(codes, random);
            }};
}

/// The truth's worst departure from even L* through a curve, at every percent of tone. Left out are tones
/// paler than the printer's first dots, which no curve can print: between them and bare paper there is
/// nothing.
double worstDeparture(const Route& route, const ToneCurve& curve) {
    const double paper = route.truth(0).L;
    const double black = route.truth(1).L;
    const double firstDots = route.truth(1e-6).L;
    double worst = 0;
    for (int i = 0; i <= 100; ++i) {
        const double even = paper + (black - paper) * i / 100;
        if (i > 0 && even > firstDots) continue;
        worst = std::max(worst, std::abs(route.truth(curve.at(i) / 100).L - even));
    }
    return worst;
}

/// A sheet of 57 tones, every second percent and every one near the ends, printed through a curve.
measure::Ramp rampThrough(const Route& route, const ToneCurve& curve, Random& random) {
    measure::Ramp ramp;
    std::vector<double> sent;
    for (int tone = 0; tone <= 100; ++tone) {
        if (tone % 2 != 0 && tone > 5 && tone < 95) continue;
        ramp.patches.push_back({.tonePercent = static_cast<double>(tone)});
        sent.push_back(curve.at(tone) / 100);
    }
    const std::vector<Lab> labs = route.print(sent, random);
    for (std::size_t i = 0; i < labs.size(); ++i) ramp.patches[i].lab = labs[i];
    return ramp;
}

double quantile(std::vector<double> values, double share) {
    std::sort(values.begin(), values.end());
    return values[static_cast<std::size_t>(share * static_cast<double>(values.size() - 1) + 0.5)];
}

/// The largest rise of the truth towards darker tones.
double truthRises(const Route& route) {
    double darkest = route.truth(0).L;
    double rise = 0;
    for (int i = 1; i <= 200; ++i) {
        const double L = route.truth(i / 200.0).L;
        rise = std::max(rise, L - darkest);
        darkest = std::min(darkest, L);
    }
    return rise;
}

/// Two rounds of correction over many printers. Those whose own tone turns back are refused, and no others.
void curvesOver(const std::function<Route(std::uint64_t)>& make) {
    constexpr std::uint64_t kPrinters = 200;
    std::array<std::vector<double>, 3> after;
    std::size_t refused = 0;
    std::string name;
    for (std::uint64_t seed = 1; seed <= kPrinters; ++seed) {
        const Route route = make(seed);
        name = route.name;
        Random random(seed + 1000);
        std::vector<Round> rounds{{{}, rampThrough(route, {}, random)}};
        auto first = refine(rounds, ToneAim::even(), {.force = true});
        if (!first) {
            EXPECT_EQ(first.error().code, "not-monotone");
            EXPECT_GT(truthRises(route), 0.3) << name << " " << seed;
            ++refused;
            continue;
        }
        rounds.push_back({first->curve, rampThrough(route, first->curve, random)});
        const auto second = refine(rounds, ToneAim::even(), {.force = true});
        ASSERT_TRUE(testing::succeeded(second)) << name << " " << seed;
        after[0].push_back(worstDeparture(route, {}));
        after[1].push_back(worstDeparture(route, first->curve));
        after[2].push_back(worstDeparture(route, second->curve));
    }
    for (std::size_t round = 0; round < after.size(); ++round) {
        std::cout << name << ", after round " << round << ": median " << quantile(after[round], 0.5)
                  << ", 95 % " << quantile(after[round], 0.95) << ", worst " << quantile(after[round], 1)
                  << " L*\n";
    }
    std::cout << name << ": " << refused << " of " << kPrinters << " refused\n";
    EXPECT_LT(refused, kPrinters / 4);
    EXPECT_LT(quantile(after[1], 0.95), 1.0);
    EXPECT_LT(quantile(after[2], 0.95), 0.5);
}

TEST(CorrectClosedLoop, CurvesOfMonochromePrintersConverge) {
    for (const simulate::Family family : simulate::families())
        curvesOver([=](std::uint64_t seed) { return monochromeRoute(family, seed); });
}

TEST(CorrectClosedLoop, CurvesOfRgbPrintersConverge) {
    for (const simulate::Medium medium : {simulate::Medium::dye, simulate::Medium::pigment})
        curvesOver([=](std::uint64_t seed) { return rgbRoute(medium, seed); });
}

}  // namespace
}  // namespace greywright::correct

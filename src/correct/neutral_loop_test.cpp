#include <algorithm>
#include <array>
#include <cmath>
#include <iostream>
#include <string_view>
#include <utility>
#include <vector>

#include <gtest/gtest.h>

#include "colour/difference.h"
#include "core/random.h"
#include "correct/neutralise.h"
#include "simulate/rgb_printer.h"
#include "testing/near.h"

namespace greywright::correct {
namespace {

using colour::Lab;
using simulate::Medium;
using simulate::RgbPrinter;

constexpr std::array<double, 2> kSteps{2.5, 5};

NeutralRound printed(const RgbPrinter& printer, const NeutralTable& around, Random& random) {
    NeutralRound round{.around = around};
    const std::vector<Codes> codes = sheetAround(around, 21, kSteps);
    const std::vector<Lab> labs = printer.print(codes, random);
    for (std::size_t i = 0; i < codes.size(); ++i) round.patches.push_back({codes[i], labs[i]});
    return round;
}

/// The printer's own departures from tone and tint aim through a fit's table, tones of 5 % and more: the
/// worst of what is not named as beyond the inks, and of what is.
struct Truth {
    double worst = 0;
    double worstNamed = 0;
    double firstNamedPercent = 101;
};

double offAt(const RgbPrinter& printer, const Codes& codes, double tonePercent, const NeutralAim& aim) {
    const Lab paper = printer.lab({65535, 65535, 65535});
    const double blackL = printer.lab({0, 0, 0}).L;
    return colour::deltaE2000(printer.lab(codes), aim.at(tonePercent, paper, blackL));
}

Truth truthOf(const RgbPrinter& printer, const NeutralFit& fit, const NeutralAim& aim) {
    Truth out;
    for (int tone = 5; tone <= 100; ++tone) {
        const double off = offAt(printer, fit.table.at(tone), tone, aim);
        // A tone between rows is named where one of them is.
        const bool named = std::ranges::any_of(fit.tones, [&](const NeutralTone& row) {
            return std::abs(row.tonePercent - tone) < 100.0 / 64 && row.remains == Remains::range;
        });
        double& worst = named ? out.worstNamed : out.worst;
        worst = std::max(worst, off);
        if (named) out.firstNamedPercent = std::min(out.firstNamedPercent, static_cast<double>(tone));
    }
    return out;
}

/// The nearest that the printer can come to black's aim at all: the best of a search from the table's codes.
double bestBlack(const RgbPrinter& printer, Codes codes, const NeutralAim& aim) {
    double best = offAt(printer, codes, 100, aim);
    for (double step = 4000; step > 10; step /= 2) {
        for (bool improved = true; improved;) {
            improved = false;
            for (std::size_t k = 0; k < 3; ++k) {
                for (const double by : {-step, step}) {
                    Codes moved = codes;
                    moved[k] = std::clamp(moved[k] + by, 0.0, 65535.0);
                    if (const double off = offAt(printer, moved, 100, aim); off < best - 1e-9) {
                        best = off;
                        codes = moved;
                        improved = true;
                    }
                }
            }
        }
    }
    return best;
}

double quantile(std::vector<double> values, double share) {
    std::sort(values.begin(), values.end());
    return values[static_cast<std::size_t>(share * static_cast<double>(values.size() - 1) + 0.5)];
}

/// Two rounds over many printers. What is named as beyond the inks is black and the tones beside it, and no
/// codes come nearer by more than a quarter of a unit.
void tablesOver(std::string_view name, Medium medium, const NeutralAim& aim) {
    constexpr std::uint64_t kPrinters = 100;
    std::array<std::vector<double>, 3> after;
    std::vector<double> named;
    for (std::uint64_t seed = 1; seed <= kPrinters; ++seed) {
        const RgbPrinter printer(medium, seed);
        Random random(seed + 500);
        std::vector<NeutralRound> rounds;
        NeutralFit fit;
        after[0].push_back(truthOf(printer, fit, aim).worst);
        for (std::size_t i = 1; i < after.size(); ++i) {
            rounds.push_back(printed(printer, fit.table, random));
            auto next = neutralise(rounds, aim);
            ASSERT_TRUE(testing::succeeded(next)) << seed;
            fit = std::move(*next);
            const Truth truth = truthOf(printer, fit, aim);
            after[i].push_back(truth.worst);
            if (i == 2 && truth.worstNamed > 0) {
                named.push_back(truth.worstNamed);
                EXPECT_GE(truth.firstNamedPercent, 90) << seed;
                EXPECT_LT(truth.worstNamed, bestBlack(printer, fit.table.at(100), aim) + 0.25) << seed;
            }
        }
    }
    for (std::size_t i = 0; i < after.size(); ++i) {
        std::cout << name << ", after round " << i << ": median " << quantile(after[i], 0.5) << ", 95 % "
                  << quantile(after[i], 0.95) << ", worst " << quantile(after[i], 1) << " CIEDE2000\n";
    }
    if (!named.empty()) {
        std::cout << name << ": black named as out of reach on " << named.size() << " of " << kPrinters
                  << ", there median " << quantile(named, 0.5) << ", worst " << quantile(named, 1) << "\n";
    }
    EXPECT_LT(quantile(after[1], 0.95), 1.0);
    EXPECT_LT(quantile(after[2], 0.95), 0.6);
}

TEST(CorrectClosedLoop, TablesMeetToneAndTint) {
    tablesOver("dye", Medium::dye, {});
    tablesOver("pigment", Medium::pigment, {});
}

TEST(CorrectClosedLoop, TablesMeetATintOnPurpose) {
    const NeutralAim split{.toning = {.highlights = {2, 5}, .shadows = {-1, -4}}};
    tablesOver("dye, split", Medium::dye, split);
    tablesOver("pigment, warm", Medium::pigment, {.toning = Toning::even(6, 70)});
}

}  // namespace
}  // namespace greywright::correct

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

/// A ramp of 41 tones through a table.
NeutralRound rampThrough(const RgbPrinter& printer, const NeutralTable& table, Random& random) {
    NeutralRound round{.around = table};
    std::vector<Codes> codes;
    for (int i = 0; i <= 40; ++i) codes.push_back(table.at(2.5 * i));
    const std::vector<Lab> labs = printer.print(codes, random);
    for (std::size_t i = 0; i < codes.size(); ++i) round.patches.push_back({codes[i], labs[i]});
    return round;
}

enum class Again { sheet, ramp };

double offAt(const RgbPrinter& printer, const Codes& codes, double tonePercent, const NeutralAim& aim) {
    const Lab paper = printer.lab({65535, 65535, 65535});
    const double blackL = printer.lab({0, 0, 0}).L;
    return colour::deltaE2000(printer.lab(codes), aim.at(tonePercent, paper, blackL));
}

/// The nearest that any codes bring the printer to a tone's aim: a search that knows the printer.
double bestAt(const RgbPrinter& printer, Codes codes, double tonePercent, const NeutralAim& aim) {
    double best = offAt(printer, codes, tonePercent, aim);
    for (double step = 4000; step > 10; step /= 2) {
        for (bool improved = true; improved;) {
            improved = false;
            for (std::size_t k = 0; k < 3; ++k) {
                for (const double by : {-step, step}) {
                    Codes moved = codes;
                    moved[k] = std::clamp(moved[k] + by, 0.0, 65535.0);
                    if (const double off = offAt(printer, moved, tonePercent, aim); off < best - 1e-9) {
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

/// The printer's own departures from tone and tint aim through a table, tones of 5 % and more. Where no codes
/// would come within half a unit the inks do not allow the aim, and the fit has to say so.
struct Truth {
    double worst = 0;        ///< where the inks allow the aim
    double worstBeyond = 0;  ///< where they do not
    double overBest = 0;     ///< and how much nearer they would come there
    double unnamed = 0;      ///< the worst that is beyond the inks without the fit saying so
};

bool isNamed(const NeutralFit& fit, double tonePercent) {
    return std::ranges::any_of(fit.tones, [&](const NeutralTone& row) {
        return std::abs(row.tonePercent - tonePercent) < 100.0 / 64 && row.remains != Remains::nothing;
    });
}

Truth truthOf(const RgbPrinter& printer, const NeutralFit& fit, const NeutralAim& aim) {
    constexpr double kAllowed = 0.5;
    Truth out;
    for (int tone = 5; tone <= 100; ++tone) {
        const Codes codes = fit.table.at(tone);
        const double off = offAt(printer, codes, tone, aim);
        const double best = off > kAllowed ? bestAt(printer, codes, tone, aim) : 0;
        if (best <= kAllowed) {
            out.worst = std::max(out.worst, off);
            continue;
        }
        out.worstBeyond = std::max(out.worstBeyond, off);
        out.overBest = std::max(out.overBest, off - best);
        if (!isNamed(fit, tone)) out.unnamed = std::max(out.unnamed, off);
    }
    return out;
}

double quantile(std::vector<double> values, double share) {
    std::sort(values.begin(), values.end());
    return values[static_cast<std::size_t>(share * static_cast<double>(values.size() - 1) + 0.5)];
}

void tablesOver(std::string_view name, Medium medium, const NeutralAim& aim, std::uint64_t printers,
                Again again = Again::sheet) {
    std::array<std::vector<double>, 3> after;
    std::vector<double> beyond, overBest, unnamed;
    for (std::uint64_t seed = 1; seed <= printers; ++seed) {
        const RgbPrinter printer(medium, seed);
        Random random(seed + 500);
        std::vector<NeutralRound> rounds;
        NeutralFit fit;
        after[0].push_back(truthOf(printer, fit, aim).worst);
        for (std::size_t i = 1; i < after.size(); ++i) {
            const bool isSheet = i == 1 || again == Again::sheet;
            rounds.push_back(isSheet ? printed(printer, fit.table, random)
                                     : rampThrough(printer, fit.table, random));
            auto next = neutralise(rounds, aim);
            ASSERT_TRUE(testing::succeeded(next)) << seed;
            fit = std::move(*next);
            const Truth truth = truthOf(printer, fit, aim);
            after[i].push_back(truth.worst);
            if (i < 2 || truth.worstBeyond <= 0) continue;
            beyond.push_back(truth.worstBeyond);
            overBest.push_back(truth.overBest);
            unnamed.push_back(truth.unnamed);
        }
    }
    for (std::size_t i = 0; i < after.size(); ++i) {
        std::cout << name << ", after round " << i << ": median " << quantile(after[i], 0.5) << ", 95 % "
                  << quantile(after[i], 0.95) << ", worst " << quantile(after[i], 1) << " CIEDE2000\n";
    }
    EXPECT_LT(quantile(after[1], 0.95), 1.0);
    EXPECT_LT(quantile(after[2], 0.95), 0.6);
    if (beyond.empty()) return;
    std::cout << name << ": beyond the inks on " << beyond.size() << " of " << printers << ", there median "
              << quantile(beyond, 0.5) << ", worst " << quantile(beyond, 1) << "; over the best codes 95 % "
              << quantile(overBest, 0.95) << ", worst " << quantile(overBest, 1) << "; not named, worst "
              << quantile(unnamed, 1) << "\n";
    EXPECT_LT(quantile(overBest, 0.95), 0.6);
    EXPECT_LT(quantile(unnamed, 0.95), 1.0);
}

TEST(CorrectClosedLoop, TablesMeetToneAndTint) {
    tablesOver("dye", Medium::dye, {}, 40);
    tablesOver("pigment", Medium::pigment, {}, 40);
}

TEST(CorrectClosedLoop, ARampThroughTheTableWillDoForTheSecondRound) {
    tablesOver("dye, then a ramp", Medium::dye, {}, 20, Again::ramp);
    tablesOver("pigment, then a ramp", Medium::pigment, {}, 20, Again::ramp);
}

TEST(CorrectClosedLoop, TablesMeetATintOnPurpose) {
    const NeutralAim split{.toning = {.highlights = {2, 5}, .shadows = {-1, -4}}};
    tablesOver("dye, split", Medium::dye, split, 20);
    tablesOver("pigment, warm", Medium::pigment, {.toning = colour::Toning::even(6, 70)}, 20);
}

}  // namespace
}  // namespace greywright::correct

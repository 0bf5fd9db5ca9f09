#include <algorithm>
#include <array>
#include <cmath>
#include <iostream>
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

struct Truth {
    double worst = 0;
    double worstTonePercent = 0;
};

/// The printer's own worst departure from tone and tint aim through a table, tones of 5 % and more.
Truth truthOf(const RgbPrinter& printer, const NeutralTable& table, const NeutralAim& aim) {
    const Lab paper = printer.lab({65535, 65535, 65535});
    const double blackL = printer.lab({0, 0, 0}).L;
    Truth out;
    for (int tone = 5; tone <= 100; ++tone) {
        const double off = colour::deltaE2000(printer.lab(table.at(tone)), aim.at(tone, paper, blackL));
        if (off > out.worst) out = {off, static_cast<double>(tone)};
    }
    return out;
}

double quantile(std::vector<double> values, double share) {
    std::sort(values.begin(), values.end());
    return values[static_cast<std::size_t>(share * static_cast<double>(values.size() - 1) + 0.5)];
}

void tablesOver(Medium medium, const NeutralAim& aim) {
    constexpr std::uint64_t kPrinters = 60;
    std::array<std::vector<double>, 3> after;
    for (std::uint64_t seed = 1; seed <= kPrinters; ++seed) {
        const RgbPrinter printer(medium, seed);
        Random random(seed + 500);
        std::vector<NeutralRound> rounds;
        NeutralTable table;
        std::cout << seed << ": " << truthOf(printer, table, aim).worst;
        after[0].push_back(truthOf(printer, table, aim).worst);
        for (std::size_t i = 1; i <= 2; ++i) {
            rounds.push_back(printed(printer, table, random));
            const auto fit = neutralise(rounds, aim);
            ASSERT_TRUE(testing::succeeded(fit)) << seed;
            table = fit->table;
            const Truth truth = truthOf(printer, table, aim);
            after[i].push_back(truth.worst);
            std::cout << " | " << truth.worst << " at " << truth.worstTonePercent << " pred " << fit->worst.deltaE00
                      << " at " << fit->worst.tonePercent << " " << textFromRemains(fit->worst.remains);
        }
        std::cout << "\n";
    }
    for (std::size_t i = 0; i < after.size(); ++i)
        std::cout << "round " << i << ": median " << quantile(after[i], 0.5) << ", 95 % "
                  << quantile(after[i], 0.95) << ", worst " << quantile(after[i], 1) << "\n";
}

TEST(CorrectClosedLoop, Tables) {
    tablesOver(Medium::dye, {});
    tablesOver(Medium::pigment, {});
}

}  // namespace
}  // namespace greywright::correct

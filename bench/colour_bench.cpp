// What it costs to turn spectra into CIELAB, beside the matrix product that nobody can avoid.
#include <cmath>
#include <span>
#include <vector>

#include <Eigen/Dense>
#include <benchmark/benchmark.h>

#include "check.h"
#include "colour/colorimeter.h"
#include "colour/difference.h"

namespace {

using namespace greywright::colour;
using greywright::bench::require;

constexpr std::size_t kSpectra = 10000;
constexpr WavelengthGrid kGrid{380, 10, 36};

// Greys of every lightness with a gentle tint, among them a few on the straight part of CIELAB.
std::vector<double> spectra() {
    std::vector<double> block;
    for (std::size_t i = 0; i < kSpectra; ++i) {
        const double level = 0.003 + static_cast<double>(i) / kSpectra;
        for (std::size_t j = 0; j < kGrid.count; ++j) {
            block.push_back(level * (0.95 + 0.05 * std::sin(static_cast<double>(i + 3 * j) / 11)));
        }
    }
    return block;
}

const Colorimeter& colorimeter() {
    static const Colorimeter made(observer(ObserverName::cie1931), lightByName("D50").value(), kGrid);
    return made;
}

void plainProduct(benchmark::State& state) {
    using Rows = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;
    const std::vector<double> block = spectra();
    const Eigen::Map<const Rows> samples(block.data(), kSpectra, kGrid.count);
    const Eigen::Matrix<double, Eigen::Dynamic, 3> weights =
        Eigen::Matrix<double, Eigen::Dynamic, 3>::Random(kGrid.count, 3);
    Eigen::Matrix<double, Eigen::Dynamic, 3> product(kSpectra, 3);
    product.noalias() = samples * weights;
    require((product.row(7) - samples.row(7) * weights).norm() < 1e-12, "matrix product");
    for ([[maybe_unused]] auto _ : state) {
        product.noalias() = samples * weights;
        benchmark::DoNotOptimize(product.data());
        benchmark::ClobberMemory();
    }
    state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(kSpectra));
}
BENCHMARK(plainProduct)->Unit(benchmark::kMicrosecond);

void labsFromReflectances(benchmark::State& state) {
    const std::vector<double> block = spectra();
    std::vector<Lab> labs(kSpectra);
    colorimeter().labsFromReflectances(block, labs);
    for (std::size_t i = 0; i < kSpectra; i += 7) {
        const auto row = std::span(block).subspan(i * kGrid.count, kGrid.count);
        require(deltaE76(labs[i], colorimeter().labFromReflectance(row)) < 1e-9, "CIELAB of a spectrum");
    }
    for ([[maybe_unused]] auto _ : state) {
        colorimeter().labsFromReflectances(block, labs);
        benchmark::DoNotOptimize(labs.data());
        benchmark::ClobberMemory();
    }
    state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(kSpectra));
}
BENCHMARK(labsFromReflectances)->Unit(benchmark::kMicrosecond);

void differences(benchmark::State& state) {
    const std::vector<double> block = spectra();
    std::vector<Lab> labs(kSpectra);
    colorimeter().labsFromReflectances(block, labs);
    require(std::abs(deltaE2000({50, 2.5, 0}, {56, -27, -3}) - 31.9030) < 1e-4, "CIEDE2000");
    for ([[maybe_unused]] auto _ : state) {
        double sum = 0;
        for (std::size_t i = 1; i < kSpectra; ++i) sum += deltaE2000(labs[i - 1], labs[i]);
        benchmark::DoNotOptimize(sum);
    }
    state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(kSpectra - 1));
}
BENCHMARK(differences)->Unit(benchmark::kMicrosecond);

}  // namespace

BENCHMARK_MAIN();

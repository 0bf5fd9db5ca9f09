// What it costs to let a population look at a print, beside the matrix product that nobody can avoid.
#include <cmath>
#include <vector>

#include <Eigen/Dense>
#include <benchmark/benchmark.h>

#include "check.h"
#include "colour/colorimeter.h"
#include "colour/viewer.h"
#include "judge/notice.h"

namespace {

using namespace greywright;
using bench::require;

constexpr std::size_t kViewers = 1000;
constexpr std::size_t kScenes = 20;
constexpr std::size_t kPatches = 51;
constexpr std::size_t kSamples = colour::kFineGrid.count;

double reflectance(double tone, double nm) {
    return 0.9 * std::pow(0.022, tone) * (1 + 0.05 * tone * (1 - tone) / (1 + std::exp((600 - nm) / 20)));
}

judge::NoticeSubject subject() {
    constexpr colour::WavelengthGrid kGrid{380, 10, 36};
    const colour::Colorimeter meter(colour::observer(colour::ObserverName::cie1931),
                                    colour::lightByName("D50").value(), kGrid);
    judge::NoticeSubject out;
    std::vector<std::vector<double>> rows;
    for (std::size_t i = 0; i < kPatches; ++i) {
        const double tone = static_cast<double>(i) / (kPatches - 1);
        std::vector<double>& row = rows.emplace_back();
        for (std::size_t w = 0; w < kGrid.count; ++w) row.push_back(reflectance(tone, kGrid.atNm(w)));
        out.tonesPercent.push_back(100 * tone);
        out.labs.push_back(meter.labFromReflectance(row));
    }
    out.paper = 0;
    out.black = kPatches - 1;
    out.sheet = colour::sheetFromReflectances(kGrid, rows);
    return out;
}

std::vector<judge::Scene> scenes(std::size_t count) {
    const auto names = colour::lightNames();
    std::vector<judge::Scene> out;
    for (std::size_t i = 0; i < count; ++i)
        out.push_back(judge::sceneOf(colour::lightByName(names[i % names.size()]).value()));
    return out;
}

std::vector<double> population() {
    std::vector<double> cones;
    for (const colour::Viewer& viewer : colour::viewersOf({}, 0, kViewers)) {
        const auto own = colour::coneFundamentals(viewer.traits);
        cones.insert(cones.end(), own.begin(), own.end());
    }
    return cones;
}

using Rows = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;

// The rate this machine reaches with square matrices of a size that suits it.
void plainProduct(benchmark::State& state) {
    constexpr Eigen::Index kSize = 1024;
    const Rows left = Rows::Random(kSize, kSize), right = Rows::Random(kSize, kSize);
    Rows product(kSize, kSize);
    for ([[maybe_unused]] auto _ : state) {
        product.noalias() = left * right;
        benchmark::DoNotOptimize(product.data());
    }
    require(std::abs(product(3, 5) - left.row(3).dot(right.col(5))) < 1e-9, "matrix product");
    state.counters["GFLOP/s"] =
        benchmark::Counter(2e-9 * kSize * kSize * kSize, benchmark::Counter::kIsIterationInvariantRate);
}
BENCHMARK(plainProduct)->Unit(benchmark::kMillisecond);

// 1,000 viewers x 20 lights x 51 patches.
void viewersTimesLightsTimesPatches(benchmark::State& state) {
    const std::vector<double> cones = population();
    std::vector<double> stimuli;
    const judge::NoticeSubject print = subject();
    for (const judge::Scene& scene : scenes(kScenes)) {
        const auto own = colour::stimuliUnder(print.sheet, scene.light, scene.glazing);
        stimuli.insert(stimuli.end(), own.begin() + kSamples, own.end());
    }
    std::vector<double> responses(3 * kViewers * kScenes * kPatches);
    for ([[maybe_unused]] auto _ : state) {
        colour::integrate(cones, stimuli, responses);
        benchmark::DoNotOptimize(responses.data());
    }
    double sum = 0;
    for (std::size_t i = 0; i < kSamples; ++i) sum += cones[7 * kSamples + i] * stimuli[99 * kSamples + i];
    require(std::abs(responses[7 * kScenes * kPatches + 99] / sum - 1) < 1e-12, "a viewer's response");
    state.counters["GFLOP/s"] = benchmark::Counter(2e-9 * 3 * kViewers * kSamples * kScenes * kPatches,
                                                   benchmark::Counter::kIsIterationInvariantRate);
}
BENCHMARK(viewersTimesLightsTimesPatches)->Unit(benchmark::kMillisecond);

void cones(benchmark::State& state) {
    for ([[maybe_unused]] auto _ : state) benchmark::DoNotOptimize(population());
}
BENCHMARK(cones)->Unit(benchmark::kMillisecond);

// The whole question; the argument is the number of scenes.
void whoNotices(benchmark::State& state) {
    const judge::NoticeSubject print = subject();
    const auto places = scenes(static_cast<std::size_t>(state.range(0)));
    judge::NoticeOptions options;
    options.threads = static_cast<std::size_t>(state.range(1));
    for ([[maybe_unused]] auto _ : state) {
        const auto seen = judge::notice(print, places, options);
        require(seen && seen->scenes.front().beside.value > 0.02, "somebody notices");
        benchmark::DoNotOptimize(seen);
    }
}
BENCHMARK(whoNotices)
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime()
    ->ArgNames({"scenes", "threads"})
    ->Args({1, 1})
    ->Args({9, 1})
    ->Args({20, 1})
    ->Args({9, 2})
    ->Args({20, 2});

}  // namespace

BENCHMARK_MAIN();

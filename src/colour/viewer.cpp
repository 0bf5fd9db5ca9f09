#include "colour/viewer.h"

#include <algorithm>
#include <cmath>

#include <Eigen/Dense>

#include "colour/tables.h"
#include "core/contract.h"
#include "core/statistics.h"

namespace greywright::colour {
namespace {

enum Column : std::size_t { kPigment, kLens = 3, kSteadyLens = 4, kMacular = 5 };

constexpr WavelengthGrid kConeGrid{390, 1, 441};  // of the tables
constexpr std::size_t kSamples = kConeGrid.count;
constexpr auto kBefore = static_cast<std::size_t>(kConeGrid.startNm - kFineGrid.startNm);
constexpr auto kNodeStep = static_cast<std::size_t>(kConeNodes.stepNm);
static_assert(kConeNodes.startNm == kConeGrid.startNm &&
              (kConeNodes.count - 1) * kNodeStep == kConeGrid.count - 1);

// Where the pigments of the tables absorb most, the place that a shift is told from. Source: Stockman and
// Rider (2023), Color Res. Appl.
constexpr std::array<double, 3> kPeakNm{551.9, 529.8, 417.0};

// The two L pigments around their mean of 56 % and 44 %.
constexpr double kFormsApartNm = 2.7;
constexpr double kSerineShare = 0.56;

// 10^x.
double tenTo(double x) {
    return std::exp(x * 2.302585092994045684);
}

double agedLens(double lens, double steady, double ageYears) {
    // Source: CIE 170-1:2006 after Pokorny, Smith and Lutze (1987).
    const double growth = ageYears <= 60 ? 1 + 0.02 * (ageYears - 32) : 1.56 + 0.0667 * (ageYears - 60);
    return (lens - steady) * growth + steady;
}

// Of the cubic through the neighbours at -1, 0, 1 and 2.
std::array<double, 4> cubicWeights(double x) {
    return {-x * (x - 1) * (x - 2) / 6, (x + 1) * (x - 1) * (x - 2) / 2, -(x + 1) * x * (x - 2) / 2,
            (x + 1) * x * (x - 1) / 6};
}

// Cubic through four neighbours; a straight line beyond the table.
double absorbanceAt(std::span<const double> table, double nm) {
    const double place = nm - kConeGrid.startNm;
    const double last = static_cast<double>(table.size() - 1);
    if (place <= 0) return table[0] + place * (table[1] - table[0]);
    if (place >= last) return table.back() + (place - last) * (table.back() - table[table.size() - 2]);
    const auto i = std::clamp<std::size_t>(static_cast<std::size_t>(place), 1, table.size() - 3);
    const std::array<double, 4> weights = cubicWeights(place - static_cast<double>(i));
    return weights[0] * table[i - 1] + weights[1] * table[i] + weights[2] * table[i + 1] +
           weights[3] * table[i + 2];
}

// L, M, S at every `step`-th wavelength of the tables, not scaled.
std::vector<double> conesEvery(const ViewerTraits& traits, std::size_t step) {
    expects(traits.ageYears >= 20 && traits.ageYears <= 80, "cones: 20 to 80 years");
    expects(traits.fieldDegrees >= 1 && traits.fieldDegrees <= 10, "cones: 1 to 10 degrees");
    const tables::Table& table = tables::conePigmentsAndMedia;
    const auto lens = table.column(kLens), steady = table.column(kSteadyLens),
               macular = table.column(kMacular);

    // Source: CIE 170-1:2006, equations for the size of the field.
    const double field = traits.fieldDegrees;
    const double macularScale =
        0.485 * std::exp(-field / 6.132) / 0.350 * std::max(0.0, 1 + traits.macularDeviation);
    const double lensScale = std::max(0.0, 1 + traits.lensDeviation);
    const double nearFovea = std::exp(-field / 1.333);
    const std::array<double, 3> density{0.38 + 0.54 * nearFovea, 0.38 + 0.54 * nearFovea,
                                        0.30 + 0.45 * nearFovea};

    const std::size_t count = (kSamples - 1) / step + 1;
    std::vector<double> reachesTimesNm(count);
    for (std::size_t n = 0; n < count; ++n) {
        const std::size_t i = n * step;
        const double inTheWay =
            lensScale * agedLens(lens[i], steady[i], traits.ageYears) + macularScale * macular[i];
        reachesTimesNm[n] = tenTo(-inTheWay) * kConeGrid.atNm(i);
    }
    std::vector<double> cones(3 * count);
    for (std::size_t cone = 0; cone < 3; ++cone) {
        const std::span<double> row(cones.data() + cone * count, count);
        const auto pigment = table.column(kPigment + cone);
        const double peak = density[cone] * std::max(0.0, 1 + traits.pigmentDeviation[cone]);
        const double shift = peakShiftNm(traits, cone);
        // Pigments keep their shape on a logarithmic scale of wavelength.
        const double scale = kPeakNm[cone] / (kPeakNm[cone] + shift);
        for (std::size_t n = 0; n < count; ++n) {
            const std::size_t i = n * step;
            const double log10Absorbance =
                shift == 0 ? pigment[i] : absorbanceAt(pigment, kConeGrid.atNm(i) * scale);
            // With next to no pigment a cone keeps the shape of its absorbance.
            const double absorbance = tenTo(log10Absorbance);
            const double absorbed =
                peak > 1e-9 ? -std::expm1(-peak * absorbance * 2.302585092994045684) : absorbance;
            row[n] = absorbed * reachesTimesNm[n];
        }
    }
    return cones;
}

}  // namespace

double peakShiftNm(const ViewerTraits& traits, std::size_t cone) {
    double nm = traits.peakShiftNm[cone];
    if (cone == 0 && traits.longWave == LongWavePigment::serine) nm += kFormsApartNm * (1 - kSerineShare);
    if (cone == 0 && traits.longWave == LongWavePigment::alanine) nm -= kFormsApartNm * kSerineShare;
    return nm;
}

ConeFundamentals coneFundamentals(const ViewerTraits& traits) {
    const std::vector<double> rows = conesEvery(traits, 1);
    ConeFundamentals cones(3 * kFineGrid.count);
    for (std::size_t cone = 0; cone < 3; ++cone) {
        const std::span<const double> row(rows.data() + cone * kSamples, kSamples);
        const double top = *std::ranges::max_element(row);
        std::ranges::transform(row,
                               cones.begin() + static_cast<std::ptrdiff_t>(cone * kFineGrid.count + kBefore),
                               [top](double value) { return value / top; });
    }
    return cones;
}

std::vector<double> conesAtNodes(const ViewerTraits& traits) {
    return conesEvery(traits, kNodeStep);
}

std::vector<double> onConeNodes(std::span<const double> stimuli) {
    constexpr std::size_t kNodes = kConeNodes.count;
    expects(stimuli.size() % kFineGrid.count == 0, "onConeNodes: rows of kFineGrid");
    const std::size_t rows = stimuli.size() / kFineGrid.count;
    std::vector<double> out(rows * kNodes);
    for (std::size_t row = 0; row < rows; ++row) {
        const double* from = stimuli.data() + row * kFineGrid.count + kBefore;
        double* to = out.data() + row * kNodes;
        for (std::size_t i = 0; i < kSamples; ++i) {
            const std::size_t node = std::clamp<std::size_t>(i / kNodeStep, 1, kNodes - 3);
            const double x =
                (static_cast<double>(i) - static_cast<double>(node * kNodeStep)) / double{kNodeStep};
            const std::array<double, 4> weights = cubicWeights(x);
            for (std::size_t k = 0; k < weights.size(); ++k) to[node - 1 + k] += weights[k] * from[i];
        }
    }
    return out;
}

Xyz xyzFromCones(const std::array<double, 3>& lms, double fieldDegrees) {
    const auto [L, M, S] = lms;
    if (fieldDegrees <= 4) {
        return {1.94735469 * L - 1.41445123 * M + 0.36476327 * S, 0.68990272 * L + 0.34832189 * M,
                1.93485343 * S};
    }
    return {1.93986443 * L - 1.34664359 * M + 0.43044935 * S, 0.69283932 * L + 0.34967567 * M,
            2.14687945 * S};
}

std::vector<Viewer> viewersOf(const Population& population, std::size_t first, std::size_t count) {
    expects(population.youngestYears >= 20 && population.youngestYears <= population.oldestYears &&
                population.oldestYears <= 80,
            "viewersOf: ages from 20 to 80");
    expects(first + count <= population.count, "viewersOf: no more than there are");
    const PopulationSpread& spread = population.spread;
    // The spread of the L peak is that of all people: what is left of it within one form of the pigment.
    const double forms = kFormsApartNm * kFormsApartNm * spread.serineShare * (1 - spread.serineShare);
    const double within = std::sqrt(std::max(0.0, spread.peakNm[0] * spread.peakNm[0] - forms));
    const EvenPoints points(11, population.seed);
    std::vector<Viewer> viewers;
    viewers.reserve(count);
    for (std::size_t i = 0; i < count; ++i) {
        const std::vector<double> at = points.at(first + i);
        Viewer viewer;
        ViewerTraits& traits = viewer.traits;
        traits.fieldDegrees = population.fieldDegrees;
        traits.ageYears =
            population.youngestYears + at[0] * (population.oldestYears - population.youngestYears);
        traits.lensDeviation = std::max(-1.0, spread.lens * normalQuantile(at[1]));
        traits.macularDeviation = std::max(-1.0, spread.macular * normalQuantile(at[2]));
        for (std::size_t cone = 0; cone < 3; ++cone) {
            traits.pigmentDeviation[cone] =
                std::max(-1.0, spread.pigment[cone] * normalQuantile(at[3 + cone]));
            traits.peakShiftNm[cone] =
                (cone == 0 ? within : spread.peakNm[cone]) * normalQuantile(at[6 + cone]);
        }
        traits.longWave = at[9] < spread.serineShare ? LongWavePigment::serine : LongWavePigment::alanine;
        viewer.keenness = normalQuantile(at[10]);
        viewers.push_back(viewer);
    }
    return viewers;
}

void integrate(std::span<const double> sensitivities, std::span<const double> stimuli,
               std::span<double> responses, std::size_t count) {
    using RowMajor = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;
    const auto samples = static_cast<Eigen::Index>(count);
    const auto rows = static_cast<Eigen::Index>(sensitivities.size()) / samples;
    const auto columns = static_cast<Eigen::Index>(stimuli.size()) / samples;
    expects(static_cast<Eigen::Index>(responses.size()) == rows * columns,
            "integrate: a response for each pair");
    const Eigen::Map<const RowMajor> left(sensitivities.data(), rows, samples);
    const Eigen::Map<const RowMajor> right(stimuli.data(), columns, samples);
    Eigen::Map<RowMajor> out(responses.data(), rows, columns);
    out.noalias() = left * right.transpose();
}

}  // namespace greywright::colour

#include "correct/neutralise.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <utility>

#include <Eigen/Dense>
#include <fmt/format.h>

#include "colour/difference.h"
#include "core/contract.h"
#include "core/said.h"
#include "correct/neutral_model.h"

namespace greywright::correct {
namespace {

using colour::Lab;
using Eigen::MatrixXd;
using Eigen::VectorXd;

constexpr double kFullCode = 65535;
constexpr std::size_t kFewestPatches = 40;
constexpr double kLeastRangeL = 20;
constexpr double kPalestJudgedTonePercent = 5;
constexpr double kMet = 0.5;  // a tone nearer to its aim than this has nothing left to name

// A second difference of a channel from row to row weighs as many CIELAB units, for 65 rows.
constexpr double kBending = 20;

Error refusal(std::string code, std::string what, std::string next) {
    return {.kind = ErrorKind::badInput,
            .code = std::move(code),
            .what = std::move(what),
            .where = {.field = "patches"},
            .next = std::move(next)};
}

/// The mean of patches of three equal codes.
std::optional<Lab> meanAt(std::span<const NeutralPatch> patches, double code) {
    Lab sum;
    double count = 0;
    for (const NeutralPatch& patch : patches) {
        if (patch.codes != Codes{code, code, code}) continue;
        sum = {sum.L + patch.lab.L, sum.a + patch.lab.a, sum.b + patch.lab.b};
        count += 1;
    }
    if (count == 0) return std::nullopt;
    return Lab{sum.L / count, sum.a / count, sum.b / count};
}

/// Whether colours lie to all sides of the greys.
bool hasNeighbours(std::span<const NeutralPatch> patches) {
    Eigen::Matrix2d spread = Eigen::Matrix2d::Zero();
    for (const NeutralPatch& patch : patches) {
        const auto& [red, green, blue] = patch.codes;
        const Eigen::Vector2d tint{(2 * red - green - blue) / kFullCode, (green - blue) / kFullCode};
        spread += tint * tint.transpose();
    }
    spread /= static_cast<double>(patches.size());
    constexpr double kLeastSpread = 0.005;
    return Eigen::SelfAdjointEigenSolver<Eigen::Matrix2d>(spread).eigenvalues()[0] >
           kLeastSpread * kLeastSpread;
}

Outcome check(std::span<const NeutralPatch> patches, std::size_t lights) {
    expects(std::ranges::all_of(patches, [&](const auto& patch) { return patch.under.size() == lights; }),
            "a patch has one colour for each light");
    if (patches.size() < kFewestPatches) {
        return refusal("too-few-patches", said("the sheet has {} patches", patches.size()),
                       said("Measure {} or more: greys with colours around each", kFewestPatches));
    }
    if (!hasNeighbours(patches)) {
        return refusal("no-neighbours", said("the sheet has no colours to all sides of its greys"),
                       said("Print a near-neutral sheet, which has six around each grey"));
    }
    return Done{};
}

/// Patches with the colours of one light as if they were D50's.
std::vector<NeutralPatch> patchesUnder(std::vector<NeutralPatch> patches, std::size_t light) {
    for (NeutralPatch& patch : patches) patch.lab = patch.under[light];
    return patches;
}

/// One light: what the sheet looks like in it, where every row should be, and how much its tints count.
struct Sight {
    NeutralModel model;
    std::vector<Lab> aims;
    double weight = 1;
};

/// How CIEDE2000 weighs small departures near neutral: L*, a*, b* (ISO/CIE 11664-6 at C* = 0).
std::array<double, 3> weightsAt(double L) {
    const double square = (L - 50) * (L - 50);
    return {1 / (1 + 0.015 * square / std::sqrt(20 + square)), 1.5, 1};
}

/// All rows of a table, solved at once.
class Solver {
  public:
    /// The lightness is that of the first sight.
    Solver(std::span<const Sight> sights, double bending) : sights_(sights), bending_(bending) {}

    [[nodiscard]] std::vector<Codes> solve(std::vector<Codes> codes) const {
        double cost = costOf(codes);
        double damping = 1e-3;
        for (int round = 0; round < 40 && damping < 1e6; ++round) {
            const auto [system, gradient] = equations(codes);
            const std::vector<Codes> next = stepped(codes, system, gradient, damping);
            const double nextCost = costOf(next);
            if (nextCost >= cost) {
                damping *= 10;
                continue;
            }
            const bool settled = cost - nextCost < 1e-7 * cost;
            codes = next;
            cost = nextCost;
            damping = std::max(1e-6, damping / 5);
            if (settled) break;
        }
        return codes;
    }

  private:
    // Lightness, then a* and b* of every sight.
    [[nodiscard]] VectorXd missOf(std::size_t row, const Codes& codes) const {
        VectorXd out(1 + 2 * static_cast<Eigen::Index>(sights_.size()));
        Eigen::Index at = 0;
        for (const Sight& sight : sights_) {
            if (at > 0 && sight.weight == 0) continue;
            const Lab lab = sight.model.at(codes);
            const Lab& aim = sight.aims[row];
            const auto weights = weightsAt(aim.L);
            if (at == 0) out[at++] = weights[0] * (lab.L - aim.L);
            const double share = std::sqrt(sight.weight);
            out[at++] = share * weights[1] * (lab.a - aim.a);
            out[at++] = share * weights[2] * (lab.b - aim.b);
        }
        return out;
    }

    [[nodiscard]] double costOf(const std::vector<Codes>& codes) const {
        double cost = 0;
        for (std::size_t row = 0; row < codes.size(); ++row) {
            cost += missOf(row, codes[row]).squaredNorm();
            if (row < 2) continue;
            for (std::size_t k = 0; k < 3; ++k) {
                const double bend = (codes[row][k] - 2 * codes[row - 1][k] + codes[row - 2][k]) / kFullCode;
                cost += bending_ * bending_ * bend * bend;
            }
        }
        return cost;
    }

    [[nodiscard]] std::pair<MatrixXd, VectorXd> equations(const std::vector<Codes>& codes) const {
        const auto size = static_cast<Eigen::Index>(3 * codes.size());
        MatrixXd system = MatrixXd::Zero(size, size);
        VectorXd gradient = VectorXd::Zero(size);
        constexpr double kStep = 0.002;
        for (std::size_t row = 0; row < codes.size(); ++row) {
            const VectorXd miss = missOf(row, codes[row]);
            MatrixXd slope(miss.size(), 3);
            for (std::size_t k = 0; k < 3; ++k) {
                Codes moved = codes[row];
                const double step = moved[k] > kFullCode / 2 ? -kStep : kStep;
                moved[k] += step * kFullCode;
                slope.col(static_cast<Eigen::Index>(k)) = (missOf(row, moved) - miss) / step;
            }
            const auto at = static_cast<Eigen::Index>(3 * row);
            system.block<3, 3>(at, at) += slope.transpose() * slope;
            gradient.segment<3>(at) += slope.transpose() * miss;
        }
        const double weight = bending_ * bending_;
        for (Eigen::Index i = 6; i < size; ++i) {
            const std::array<std::pair<Eigen::Index, double>, 3> terms{{{i, 1}, {i - 3, -2}, {i - 6, 1}}};
            double bend = 0;
            for (const auto& [at, factor] : terms)
                bend += factor * codes[static_cast<std::size_t>(at) / 3][static_cast<std::size_t>(at) % 3] /
                        kFullCode;
            for (const auto& [one, left] : terms) {
                gradient[one] += weight * left * bend;
                for (const auto& [two, right] : terms) system(one, two) += weight * left * right;
            }
        }
        return {system, gradient};
    }

    /// A damped step with what is at an end of its range, and pushes outwards, held; paper is held always.
    [[nodiscard]] static std::vector<Codes> stepped(const std::vector<Codes>& codes, MatrixXd system,
                                                    VectorXd gradient, double damping) {
        for (Eigen::Index i = 0; i < gradient.size(); ++i) {
            const double code = codes[static_cast<std::size_t>(i) / 3][static_cast<std::size_t>(i) % 3];
            const bool held =
                i < 3 || (code <= 0 && gradient[i] > 0) || (code >= kFullCode && gradient[i] < 0);
            if (held) {
                system.row(i).setZero();
                system.col(i).setZero();
                gradient[i] = 0;
            }
            system(i, i) += held ? 1 : damping * (1 + system(i, i));
        }
        const VectorXd step = Eigen::LLT<MatrixXd>(system).solve(-gradient);
        std::vector<Codes> out = codes;
        for (Eigen::Index i = 0; i < step.size(); ++i) {
            double& code = out[static_cast<std::size_t>(i) / 3][static_cast<std::size_t>(i) % 3];
            code = std::clamp(code + kFullCode * step[i], 0.0, kFullCode);
        }
        return out;
    }

    std::span<const Sight> sights_;
    double bending_;
};

/// Lightness of the table falls at every half percent, as far as the model tells.
bool darkens(const NeutralModel& model, const NeutralTable& table) {
    double L = model.at(table.at(0)).L;
    for (int i = 1; i <= 200; ++i) {
        const double next = model.at(table.at(i / 2.0)).L;
        if (next >= L) return false;
        L = next;
    }
    return true;
}

NeutralTable tableOf(const std::vector<Codes>& codes) {
    std::vector<TableRow> rows;
    for (std::size_t i = 0; i < codes.size(); ++i)
        rows.push_back({100.0 * static_cast<double>(i) / static_cast<double>(codes.size() - 1), codes[i]});
    return NeutralTable(std::move(rows));
}

NeutralTone toneOf(const TableRow& row, std::size_t index, std::span<const Sight> sights, const Lab& paper) {
    const auto predictedBy = [&](const Sight& sight) {
        return index == 0 ? sight.aims.front() : sight.model.at(row.codes);
    };
    NeutralTone out{.tonePercent = row.tonePercent,
                    .aim = sights.front().aims[index],
                    .predicted = index == 0 ? paper : predictedBy(sights.front())};
    out.deltaE00 = colour::deltaE2000(out.predicted, out.aim);
    colour::Tint mean;
    for (const Sight& sight : sights.subspan(1)) {
        const Lab& aim = sight.aims[index];
        const Lab predicted = predictedBy(sight);
        // Lightness is D50's affair: another light turns a tint into none of it.
        out.deltaE00Under.push_back(colour::deltaE2000({aim.L, predicted.a, predicted.b}, aim));
        out.under.push_back(predicted);
        mean = {mean.a + sight.weight * (predicted.a - aim.a), mean.b + sight.weight * (predicted.b - aim.b)};
    }
    if (!out.deltaE00Under.empty()) {
        out.deltaE00 = std::max(std::abs(colour::deltaE2000({out.predicted.L, 0, 0}, {out.aim.L, 0, 0})),
                                std::ranges::max(out.deltaE00Under));
    }
    if (out.deltaE00 <= kMet) return out;
    const bool atEnd =
        std::ranges::any_of(row.codes, [](double code) { return code <= 0.5 || code >= kFullCode - 0.5; });
    out.remains = atEnd ? Remains::range : Remains::smoothness;
    if (!atEnd && !out.deltaE00Under.empty() && std::hypot(mean.a, mean.b) <= kMet / 2)
        out.remains = Remains::lights;
    return out;
}

}  // namespace

Lab NeutralAim::at(double tonePercent, const Lab& paper, double blackL) const {
    const double L = tone.lightnessAt(tonePercent, paper.L, blackL);
    const colour::TintAim aim{
        .kind = tint, .paper = paper, .blackL = blackL, .fadeFraction = fadeFraction, .toning = toning};
    // Bare paper is what it is, whatever the aim.
    if (tonePercent <= 0) return paper;
    const colour::Tint wanted = aim.at(L);
    return {L, wanted.a, wanted.b};
}

std::string_view textFromRemains(Remains remains) {
    switch (remains) {
        case Remains::nothing:
            return "nothing";
        case Remains::range:
            return "range reached";
        case Remains::smoothness:
            return "smoothness";
        case Remains::lights:
            return "lights disagree";
    }
    throw ContractViolation("unknown remainder");
}

Result<NeutralFit> neutralise(std::span<const NeutralRound> rounds, const NeutralAim& aim,
                              const NeutralOptions& options) {
    expects(!rounds.empty(), "a table needs a round");
    expects(options.rows >= 17 && options.rows <= 257, "a table has 17 to 257 rows");
    std::vector<NeutralPatch> patches;
    for (const NeutralRound& round : rounds)
        patches.insert(patches.end(), round.patches.begin(), round.patches.end());
    const std::size_t lights = options.lightWeights.size();
    if (auto sound = check(patches, lights); !sound) return std::move(sound).error();
    const auto paper = meanAt(patches, kFullCode);
    const auto black = meanAt(patches, 0);
    if (!paper) return refusal("no-paper", said("no patch has full codes"), said("Measure bare paper too"));
    if (!black)
        return refusal("no-black", said("no patch has codes 0, 0, 0"), said("Measure maximum black too"));
    if (!(paper->L - black->L >= kLeastRangeL)) {
        return refusal("no-range", said("black is only {:.1f} L* below paper", paper->L - black->L),
                       said("See whether the right file was read and ink was printed"));
    }
    const NeutralTable& around = rounds.back().around;
    double total = 0;
    for (const double weight : options.lightWeights) {
        expects(weight > 0, "a light's weight is above 0");
        total += weight;
    }
    std::vector<Sight> sights;
    sights.push_back({NeutralModel(patches, around), {}, lights == 0 ? 1.0 : 0.0});
    for (std::size_t light = 0; light < lights; ++light) {
        sights.push_back(
            {NeutralModel(patchesUnder(patches, light), around), {}, options.lightWeights[light] / total});
    }
    const NeutralModel& model = sights.front().model;

    std::vector<Codes> start;
    std::vector<Lab>& aims = sights.front().aims;
    for (int i = 0; i < options.rows; ++i) {
        const double tone = 100.0 * i / (options.rows - 1);
        aims.push_back(aim.at(tone, *paper, black->L));
        // The row of the earlier table that is nearest in lightness.
        double low = 0;
        double high = 100;
        for (int halving = 0; halving < 30; ++halving) {
            const double middle = (low + high) / 2;
            (model.at(around.at(middle)).L > aims.back().L ? low : high) = middle;
        }
        start.push_back(around.at((low + high) / 2));
    }
    start.front() = {kFullCode, kFullCode, kFullCode};
    for (std::size_t light = 0; light < lights; ++light) {
        const std::vector<NeutralPatch> seen = patchesUnder(patches, light);
        const Lab whiteThere = *meanAt(seen, kFullCode);
        const double blackThere = meanAt(seen, 0)->L;
        for (int i = 0; i < options.rows; ++i)
            sights[light + 1].aims.push_back(aim.at(100.0 * i / (options.rows - 1), whiteThere, blackThere));
    }
    // Second differences shrink with the square of the rows, and there are more of them.
    const double finer = (options.rows - 1) / 64.0;
    double bending = kBending * finer * finer;
    NeutralFit out{.paper = *paper, .black = *black, .noise = model.noise()};
    constexpr int kStiffer = 5;
    for (int attempt = 0;; ++attempt, bending *= 3) {
        out.table = tableOf(Solver(sights, bending).solve(start));
        if (darkens(model, out.table)) break;
        if (attempt == kStiffer) {
            return refusal("not-monotone", said("no table was found that darkens at every step"),
                           said("Measure again; see whether patches were exchanged or too much ink is laid"));
        }
    }
    for (std::size_t i = 0; i < aims.size(); ++i) {
        const TableRow& row = out.table.rows()[i];
        out.tones.push_back(toneOf(row, i, sights, *paper));
        if (row.tonePercent >= kPalestJudgedTonePercent && out.tones.back().deltaE00 >= out.worst.deltaE00)
            out.worst = out.tones.back();
    }
    return out;
}

std::vector<Codes> sheetAround(const NeutralTable& table, int greys, std::span<const double> stepsPercent) {
    expects(greys >= 2, "a sheet has two greys or more");
    // Towards red, yellow, green, cyan, blue and magenta, as on a near-neutral sheet.
    constexpr std::array<Codes, 6> kDirections{
        {{1, -0.5, -0.5}, {0.5, 0.5, -1}, {-0.5, 1, -0.5}, {-1, 0.5, 0.5}, {-0.5, -0.5, 1}, {0.5, -1, 0.5}}};
    const auto inside = [](const Codes& codes) {
        return std::ranges::all_of(codes, [](double code) { return code >= 0 && code <= kFullCode; });
    };
    std::vector<Codes> out;
    for (int i = 0; i < greys; ++i) {
        Codes base = table.at(100.0 * i / (greys - 1));
        for (double& code : base) code = std::round(code);
        out.push_back(base);
        for (const double step : stepsPercent) {
            for (const Codes& direction : kDirections) {
                Codes codes{};
                for (std::size_t k = 0; k < codes.size(); ++k)
                    codes[k] = base[k] + std::round(kFullCode * step / 100 * direction[k]);
                if (inside(codes)) out.push_back(codes);
            }
        }
    }
    // The ends of the printer itself, which the aim rests on, where the table's are not they.
    for (const double end : {kFullCode, 0.0}) {
        if (std::ranges::find(out, Codes{end, end, end}) == out.end()) out.push_back({end, end, end});
    }
    return out;
}

}  // namespace greywright::correct

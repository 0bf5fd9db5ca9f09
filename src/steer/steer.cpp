#include "steer/steer.h"

#include <algorithm>
#include <cmath>
#include <set>

#include <fmt/format.h>

#include "colour/words.h"
#include "core/contract.h"
#include "core/numbers.h"
#include "steer/evidence.h"
#include "steer/worlds.h"

namespace greywright::steer {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;
using Steps = SettingGrid::Steps;

constexpr std::size_t kCandidates = 40;
// What a printed sheet teaches counts a little against what it costs in tint (CIEDE2000); beyond a move of a
// few units more deflection teaches nothing that saturation does not spoil.
constexpr double kInformationValue = 0.15;
constexpr double kRegretCap = 3;
constexpr double kUsefulMove = 3;
// A setting counts as printed when a printed one differs from it by less than prints differ by themselves.
constexpr double kSameAsPrinted = 0.4;
constexpr double kChanceToSettle = 0.90;
constexpr double kChanceToGiveUp = 0.97;

double percentile(std::vector<double> values, double share) {
    std::sort(values.begin(), values.end());
    const double place = share * static_cast<double>(values.size() - 1);
    const auto low = static_cast<std::size_t>(place);
    const std::size_t high = std::min(low + 1, values.size() - 1);
    return values[low] + (place - static_cast<double>(low)) * (values[high] - values[low]);
}

double mean(const std::vector<double>& values) {
    double sum = 0;
    for (const double value : values) sum += value;
    return sum / static_cast<double>(values.size());
}

/// One decision: everything that is known about a condition at this moment.
class Search {
  public:
    Search(const History& history, const DriverKnowledge* knowledge, const Options& options)
        : history_(history),
          options_(options),
          grid_(history.axes),
          evidence_(evidenceFromHistory(history, options.aim)),
          model_(evidence_, history.axes.size(), knowledge),
          worlds_(evidence_, model_.worlds(options.worlds, options.seed)) {
        findBestOfEachWorld();
        findBest();
    }

    [[nodiscard]] Summary summary() {
        Summary out;
        out.trials = history_.trials.size();
        out.printNoise = model_.printNoise();
        out.patchNoise = model_.patchNoise();
        out.beliefInKnowledge = model_.beliefInKnowledge();
        out.paperMeasured = evidence_.paperMeasured;
        out.control = actions();
        out.bestAttainable = prediction(best_);
        decide(out);
        out.ramp = ramp(grid_.nearest(out.predicted.setting));
        return out;
    }

    [[nodiscard]] VectorXd terms(const Steps& steps) const {
        return termsOfDeflection(grid_.deflection(grid_.setting(steps)));
    }
    [[nodiscard]] const Worlds& worlds() const { return worlds_; }
    [[nodiscard]] const SettingGrid& grid() const { return grid_; }
    [[nodiscard]] const std::vector<Steps>& bestOfEachWorld() const { return worldBest_; }
    [[nodiscard]] const ResponseModel& model() const { return model_; }
    [[nodiscard]] Setting best() const { return grid_.setting(best_); }

  private:
    void findBestOfEachWorld() {
        Steps start = grid_.nearest(history_.trials.back().setting);
        for (std::size_t k = 0; k < worlds_.count(); ++k) {
            const auto cost = [&](const Steps& steps) { return worlds_.worstNear(k, terms(steps)); };
            auto [steps, value] = descend(grid_, start, cost);
            worldBest_.push_back(steps);
            worldWorst_.push_back(value);
            start = steps;  // neighbouring draws are alike, so the last answer is a good place to begin
        }
    }

    /// Every world's worst at a setting over that world's best.
    [[nodiscard]] std::vector<double> regrets(const Steps& steps) const {
        const VectorXd at = terms(steps);
        std::vector<double> out(worlds_.count());
        for (std::size_t k = 0; k < out.size(); ++k) out[k] = worlds_.worstNear(k, at) - worldWorst_[k];
        return out;
    }

    [[nodiscard]] double chanceNearBest(const Steps& steps) const {
        const std::vector<double> all = regrets(steps);
        const auto near = std::count_if(all.begin(), all.end(),
                                        [&](double regret) { return regret <= options_.toleranceDeltaE00; });
        return static_cast<double>(near) / static_cast<double>(all.size());
    }

    void findBest() {
        Steps start = candidates().front();
        double least = worlds_.meanWorst(terms(start));
        for (const Steps& steps : candidates()) {
            const double value = worlds_.meanWorst(terms(steps));
            if (value < least) {
                least = value;
                start = steps;
            }
        }
        best_ =
            descend(grid_, start, [&](const Steps& steps) { return worlds_.meanWorst(terms(steps)); }).first;
    }

    [[nodiscard]] std::vector<Steps> candidates() const {
        const std::set<Steps> unique(worldBest_.begin(), worldBest_.end());
        std::vector<Steps> out;
        const std::size_t stride = std::max<std::size_t>(1, unique.size() / kCandidates);
        std::size_t i = 0;
        for (const Steps& steps : unique) {
            if (i++ % stride == 0) out.push_back(steps);
        }
        return out;
    }

    [[nodiscard]] Prediction prediction(const Steps& steps) const {
        const VectorXd at = terms(steps);
        std::vector<double> worst;
        std::vector<std::size_t> votes(evidence_.tones.size());
        for (std::size_t k = 0; k < worlds_.count(); ++k) {
            const Worlds::Worst one = worlds_.worstExact(k, at);
            worst.push_back(one.deltaE00);
            ++votes[one.tone];
        }
        const auto tone = std::max_element(votes.begin(), votes.end()) - votes.begin();
        return {.setting = grid_.setting(steps),
                .worstDeltaE00 = mean(worst),
                .worstDeltaE00Low = percentile(worst, 0.05),
                .worstDeltaE00High = percentile(worst, 0.95),
                .worstTonePercent = 100 * evidence_.tones[static_cast<std::size_t>(tone)]};
    }

    /// How much a sheet at a setting would tell: the spread of what the possible printers would give there
    /// against the noise of a print, in nats, at a quarter, a half and three quarters of the measured tones.
    [[nodiscard]] double information(const Steps& steps) const {
        const VectorXd at = terms(steps);
        const double noise = std::pow(model_.printNoise(), 2) + std::pow(model_.patchNoise(), 2) / 4;
        const std::size_t tones = evidence_.tones.size();
        double sum = 0;
        int used = 0;
        for (const std::size_t place : {tones / 4, tones / 2, tones * 3 / 4}) {
            ++used;
            for (const int c : {kA, kB}) {
                double first = 0;
                double second = 0;
                for (std::size_t k = 0; k < worlds_.count(); ++k) {
                    const MatrixXd& field = worlds_[k].field[static_cast<std::size_t>(c)];
                    const auto row = static_cast<Index>(place);
                    const double value = field(row, 0) + field.row(row).tail(at.size()).dot(at);
                    first += value;
                    second += value * value;
                }
                const auto count = static_cast<double>(worlds_.count());
                const double variance = std::max(0.0, second / count - std::pow(first / count, 2));
                sum += 0.5 * std::log1p(std::min(variance, kUsefulMove * kUsefulMove) / noise);
            }
        }
        return sum / used;
    }

    /// The greatest expected difference of tint between two settings, over the tones.
    [[nodiscard]] double apart(const Steps& one, const Steps& other) const {
        const VectorXd difference = terms(one) - terms(other);
        double widest = 0;
        const auto& field = worlds_.mean().field;
        for (Index t = 0; t < field[kA].rows(); ++t) {
            widest =
                std::max(widest, std::hypot(1.5 * field[kA].row(t).tail(difference.size()).dot(difference),
                                            field[kB].row(t).tail(difference.size()).dot(difference)));
        }
        return widest;
    }

    [[nodiscard]] double score(const Steps& steps) const {
        double regret = 0;
        for (const double one : regrets(steps)) regret += std::min(one, kRegretCap);
        return regret / static_cast<double>(worlds_.count()) - kInformationValue * information(steps);
    }

    [[nodiscard]] Steps next() const {
        std::vector<Steps> choices = candidates();
        choices.push_back(best_);
        // Plain steps along each axis from the last sheet: what to do while the control is unknown.
        const Setting from = history_.trials.back().setting;
        for (std::size_t j = 0; j < grid_.axes(); ++j) {
            for (const double share : {-0.5, -0.3, -0.15, 0.15, 0.3, 0.5}) {
                Setting moved = from;
                moved[j] += share * grid_.fullDeflection(j);
                choices.push_back(grid_.nearest(moved));
            }
        }
        Steps chosen = best_;
        double least = score(best_);
        for (const Steps& steps : choices) {
            const double value = score(steps);
            if (value < least - 1e-9) {
                least = value;
                chosen = steps;
            }
        }
        return chosen;
    }

    void decide(Summary& out) const {
        // Settled: the best setting is one that was printed, or no further from one than prints scatter.
        const Trial* nearest = nullptr;
        double distance = kSameAsPrinted;
        for (const Trial& trial : history_.trials) {
            const double away = apart(best_, grid_.nearest(trial.setting));
            if (away <= distance) {
                distance = away;
                nearest = &trial;
            }
        }
        const double beyond = chanceBestIsPlain();
        if (beyond >= kChanceToGiveUp && controlIsKnown()) {
            out.status = Status::outOfReach;
            out.predicted = out.bestAttainable;
            out.chanceNearBest = chanceNearBest(best_);
            explainLimit(out);
            return;
        }
        if (nearest != nullptr) {
            // Stay with what was printed unless its neighbour is better by something.
            Steps final = best_;
            const Steps printed = grid_.nearest(nearest->setting);
            if (worlds_.meanWorst(terms(printed)) - worlds_.meanWorst(terms(best_)) < 0.05) final = printed;
            const double chance = chanceNearBest(final);
            if (chance >= kChanceToSettle) {
                out.status = Status::settled;
                out.predicted = prediction(final);
                out.chanceNearBest = chance;
                out.confirmedBy = nearest->number;
                out.reason = fmt::format(
                    "Trial {} confirms it: the worst tint left is about {} CIEDE2000, near {} % tone, and no "
                    "other "
                    "setting is expected to be better by more than {}",
                    nearest->number, textFromNumber(out.predicted.worstDeltaE00, 1),
                    textFromNumber(out.predicted.worstTonePercent, 0),
                    textFromNumber(options_.toleranceDeltaE00, 1));
                return;
            }
        }
        const Steps steps = next();
        out.status = Status::print;
        out.predicted = prediction(steps);
        out.chanceNearBest = chanceNearBest(steps);
        out.reason =
            steps == best_ || out.chanceNearBest > 0.3
                ? fmt::format("It is expected to be near the best this control can do (chance {} %)",
                              textFromNumber(100 * out.chanceNearBest, 0))
                : "What the control does is not known well enough yet; a sheet here tells most about it";
    }

    [[nodiscard]] double chanceBestIsPlain() const {
        const auto plain = std::count_if(worldWorst_.begin(), worldWorst_.end(),
                                         [&](double worst) { return worst > options_.plainDeltaE00; });
        return static_cast<double>(plain) / static_cast<double>(worldWorst_.size());
    }

    /// Every direction of the control was tried, or is known from earlier papers.
    [[nodiscard]] bool controlIsKnown() const {
        if (model_.beliefInKnowledge() > 0.5) return true;
        const auto axes = static_cast<Index>(grid_.axes());
        MatrixXd spread = MatrixXd::Zero(axes, axes);
        VectorXd centre = VectorXd::Zero(axes);
        std::vector<VectorXd> places;
        for (const auto& deflection : evidence_.deflections) {
            places.push_back(Eigen::Map<const VectorXd>(deflection.data(), axes));
            centre += places.back() / static_cast<double>(evidence_.deflections.size());
        }
        for (const VectorXd& place : places) spread += (place - centre) * (place - centre).transpose();
        constexpr double kTried = 0.1;  // of a full deflection, in the direction tried least
        return spread.selfadjointView<Eigen::Lower>().eigenvalues().minCoeff() > kTried * kTried;
    }

    void explainLimit(Summary& out) const {
        const VectorXd at = terms(best_);
        const World& printer = worlds_.mean();
        // At the end of the range with all of the ramp pulled one way: too weak. Otherwise the tint turns.
        bool atEnd = false;
        std::string ends;
        for (std::size_t j = 0; j < grid_.axes(); ++j) {
            if (best_[j] == 0 || best_[j] == grid_.count(j) - 1) {
                atEnd = true;
                ends += (ends.empty() ? "" : " and ") + history_.axes[j].name;
            }
        }
        colour::Tint sum;
        double lengths = 0;
        struct Extreme {
            double size = 0;
            Index tone = 0;
            colour::Tint tint;
        };
        Extreme worst;
        std::vector<colour::Tint> residuals;
        for (Index t = 0; t < printer.field[kA].rows(); ++t) {
            const colour::Tint tint{
                printer.field[kA](t, 0) + printer.field[kA].row(t).tail(at.size()).dot(at),
                printer.field[kB](t, 0) + printer.field[kB].row(t).tail(at.size()).dot(at)};
            residuals.push_back(tint);
            sum.a += tint.a;
            sum.b += tint.b;
            const double size = std::hypot(tint.a, tint.b);
            lengths += size;
            if (size > worst.size) worst = {size, t, tint};
        }
        // The tone that pulls most against the worst one.
        Extreme against;
        for (Index t = 0; t < static_cast<Index>(residuals.size()); ++t) {
            const colour::Tint& tint = residuals[static_cast<std::size_t>(t)];
            const double pull = -(tint.a * worst.tint.a + tint.b * worst.tint.b) / std::max(worst.size, 1e-9);
            if (pull > against.size) against = {pull, t, tint};
        }
        const bool oneWay = std::hypot(sum.a, sum.b) > 0.7 * lengths;
        const auto percent = [&](Index tone) {
            return textFromNumber(100 * evidence_.tones[static_cast<std::size_t>(tone)], 0);
        };
        if (atEnd && (oneWay || against.size < 0.4 * worst.size)) {
            out.limit = Limit::range;
            out.reason = fmt::format(
                "The control is too weak here: at the end of {} the ramp is still {}, about {} CIEDE2000 at "
                "{} % tone. "
                "A correction by curve or profile can do what the setting cannot",
                ends, colour::tintName(worst.tint), textFromNumber(out.bestAttainable.worstDeltaE00, 1),
                percent(worst.tone));
            return;
        }
        out.limit = Limit::turns;
        out.reason = fmt::format(
            "The tint turns along the ramp: at the best setting {} % tone is still {} while {} % pulls "
            "towards {}, "
            "so what mends one spoils the other; about {} CIEDE2000 remains. A correction by curve or "
            "profile can do "
            "what the setting cannot",
            percent(worst.tone), colour::tintName(worst.tint), percent(against.tone),
            colour::tintName(against.tint), textFromNumber(out.bestAttainable.worstDeltaE00, 1));
    }

    [[nodiscard]] std::vector<AxisAction> actions() const {
        const std::array<double, 1> middle{0.5};
        const std::vector<MatrixXd> drawn = model_.responses(middle, options_.worlds, options_.seed).front();
        MatrixXd centre = MatrixXd::Zero(kChannels, static_cast<Index>(grid_.axes()));
        MatrixXd square = centre;
        for (const MatrixXd& one : drawn) {
            centre += one;
            square += one.cwiseAbs2();
        }
        centre /= static_cast<double>(drawn.size());
        square = (square / static_cast<double>(drawn.size()) - centre.cwiseAbs2()).cwiseMax(0).cwiseSqrt();
        std::vector<AxisAction> out;
        for (std::size_t j = 0; j < grid_.axes(); ++j) {
            const double unit = 1 / grid_.fullDeflection(j);
            const auto column = static_cast<Index>(j);
            AxisAction action{.axis = history_.axes[j].name,
                              .a = centre(kA, column) * unit,
                              .b = centre(kB, column) * unit,
                              .L = centre(kLightness, column) * unit,
                              .standardErrorA = square(kA, column) * unit,
                              .standardErrorB = square(kB, column) * unit,
                              .standardErrorL = square(kLightness, column) * unit,
                              .words = {}};
            action.words = actionWords(action);
            out.push_back(std::move(action));
        }
        return out;
    }

    [[nodiscard]] static std::string actionWords(const AxisAction& action) {
        const double size = std::hypot(action.a, action.b);
        const double error = std::hypot(action.standardErrorA, action.standardErrorB);
        if (size < 1.5 * error) return fmt::format("{}: what it does is not known yet", action.axis);
        std::string words =
            fmt::format("{}: +1 moves mid-tones {} towards {}{}", action.axis, textFromNumber(size, 2),
                        colour::tintName({action.a, action.b}), size < 4 * error ? " (still uncertain)" : "");
        if (std::abs(action.L) > 0.25 * size && std::abs(action.L) > 3 * action.standardErrorL) {
            words += fmt::format(" and makes them {} L* {}", textFromNumber(std::abs(action.L), 2),
                                 action.L > 0 ? "lighter" : "darker");
        }
        return words;
    }

    [[nodiscard]] std::vector<TonePrediction> ramp(const Steps& steps) const {
        const VectorXd at = terms(steps);
        std::vector<MatrixXd> tints;
        for (std::size_t k = 0; k < worlds_.count(); ++k) tints.push_back(worlds_.tint(k, at));
        std::vector<TonePrediction> out;
        for (std::size_t t = 0; t < evidence_.tones.size(); ++t) {
            std::array<std::vector<double>, 2> values;
            for (const MatrixXd& tint : tints) {
                for (std::size_t c = 0; c < 2; ++c) {
                    values[c].push_back(tint(static_cast<Index>(t), static_cast<Index>(c)));
                }
            }
            const colour::Tint aim = evidence_.aim[t];
            out.push_back({.tonePercent = 100 * evidence_.tones[t],
                           .a = aim.a + mean(values[0]),
                           .b = aim.b + mean(values[1]),
                           .aimA = aim.a,
                           .aimB = aim.b,
                           .lowA = aim.a + percentile(values[0], 0.05),
                           .highA = aim.a + percentile(values[0], 0.95),
                           .lowB = aim.b + percentile(values[1], 0.05),
                           .highB = aim.b + percentile(values[1], 0.95)});
        }
        return out;
    }

    const History& history_;
    Options options_;
    SettingGrid grid_;
    Evidence evidence_;
    ResponseModel model_;
    Worlds worlds_;
    std::vector<Steps> worldBest_;
    std::vector<double> worldWorst_;
    Steps best_;
};

/// Before anything was printed: where the last paper of this driver ended, or no tint at all.
Summary beforeTheFirst(const History& history, const DriverKnowledge* knowledge) {
    const SettingGrid grid(history.axes);
    const Setting start = knowledge != nullptr && !knowledge->bestSetting.empty()
                              ? knowledge->bestSetting
                              : Setting(history.axes.size(), 0.0);
    Summary out;
    out.predicted.setting = grid.setting(grid.nearest(start));
    out.bestAttainable.setting = out.predicted.setting;
    out.reason = knowledge != nullptr
                     ? "Nothing was printed on this paper yet; start where the same driver's last paper ended"
                     : "Nothing was printed yet; start without any tint of the driver's own";
    return out;
}

}  // namespace

Summary steer(const History& history, const DriverKnowledge* knowledge, const Options& options) {
    if (history.trials.empty()) return beforeTheFirst(history, knowledge);
    return Search(history, knowledge, options).summary();
}

DriverKnowledge learn(const History& history, const Options& options) {
    const Search search(history, nullptr, options);
    DriverKnowledge known = search.model().knowledge(options.seed);
    known.bestSetting = search.best();
    return known;
}

SettingMap settingMap(const History& history, const DriverKnowledge* knowledge, const Setting& held,
                      std::size_t most, const Options& options) {
    expects(most >= 2, "a map needs two points each way");
    const Search search(history, knowledge, options);
    const SettingGrid& grid = search.grid();
    const auto ladder = [&](std::size_t axis) {
        const auto count = std::min(most, static_cast<std::size_t>(grid.count(axis)));
        const TintAxis& one = history.axes[axis];
        std::vector<double> values;
        for (std::size_t i = 0; i < count; ++i) {
            values.push_back(one.lowest + (one.highest - one.lowest) * static_cast<double>(i) /
                                              static_cast<double>(count - 1));
        }
        return values;
    };
    SettingMap map;
    map.across = ladder(0);
    if (grid.axes() > 1) map.up = ladder(1);
    for (std::size_t row = 0; row < std::max<std::size_t>(1, map.up.size()); ++row) {
        for (const double across : map.across) {
            Setting setting = held;
            setting[0] = across;
            if (!map.up.empty()) setting[1] = map.up[row];
            map.worst.push_back(search.worlds().meanWorst(termsOfDeflection(grid.deflection(setting))));
        }
    }
    for (const Steps& steps : search.bestOfEachWorld()) map.likelyBest.push_back(grid.setting(steps));
    return map;
}

}  // namespace greywright::steer

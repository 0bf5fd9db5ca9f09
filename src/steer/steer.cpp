#include "steer/steer.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <set>
#include <span>
#include <tuple>
#include <utility>

#include <fmt/format.h>

#include "colour/words.h"
#include "core/contract.h"
#include "core/numbers.h"
#include "core/said.h"
#include "steer/evidence.h"
#include "steer/lights.h"
#include "steer/percentile.h"
#include "steer/worlds.h"

namespace greywright::steer {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;
using Steps = SettingGrid::Steps;

constexpr std::size_t kCandidates = 40;
// The next sheet is judged by what is to be expected of it and of the one after it: so many possible printers
// play the truth in turn.
constexpr std::size_t kTruths = 56;
constexpr double kCostOfGoingOn = 2;
constexpr double kLongestReach = 0.5;
// The model's own 90 % intervals held the truth in 85 % of simulated searches (bench/closed_loop), chiefly
// since a real tint and its control are more alike along the ramp than the model supposes: widened by so
// much.
constexpr double kCalibration = 1.2;
constexpr double kCalibrationKnown = 1.0;
// The first step away while nothing is known of the control: a move of the size of the tint to be mended,
// guessing that a full deflection moves the mid tones by about eight units.
constexpr double kGuessedGain = 8;
// A setting counts as printed when a printed one differs from it by less than prints differ by themselves.
constexpr double kSameAsPrinted = 0.4;
constexpr double kWorthMoving = 0.05;
constexpr double kChanceToSettle = 0.83;
// With a driver known from other papers the chance is understated: searches that end at this are right as
// often.
constexpr double kChanceToSettleKnown = 0.8;
constexpr double kChanceToGiveUp = 0.97;
constexpr double kChanceOfGivingUpWell = 0.7;
// A tint that nobody is likely to see, expected and at most: no better setting is looked for then.
constexpr double kInvisible = 0.5;
constexpr double kInvisibleAtMost = 1.0;
// An interval's end from a few hundred printers wanders by a few percent: so near a limit more are drawn.
constexpr double kNearLimit = 0.15;
constexpr std::size_t kWorldsNearLimit = 2000;

double mean(std::span<const double> values) {
    double sum = 0;
    for (const double value : values) sum += value;
    return sum / static_cast<double>(values.size());
}

Rows rowsUnderD50(const Evidence& evidence) {
    return {.tones = evidence.tones,
            .lightness = evidence.lightness,
            .aim = evidence.aim,
            .scale = std::vector<double>(evidence.tones.size(), 1),
            .light = std::vector<std::size_t>(evidence.tones.size(), 0)};
}

std::vector<Evidence> evidenceOf(const DriverKnowledge* knowledge, colour::TintAimKind aim) {
    std::vector<Evidence> out;
    if (knowledge == nullptr) return out;
    for (const History& paper : knowledge->papers) out.push_back(evidenceFromHistory(paper, aim));
    return out;
}

std::vector<double> originOf(const DriverKnowledge* knowledge, const SettingGrid& grid) {
    if (knowledge == nullptr || knowledge->bestSetting.empty()) return {};
    return grid.deflection(knowledge->bestSetting);
}

/// Every axis was moved on one or the other paper.
bool movesEveryAxis(const DriverKnowledge* knowledge) {
    if (knowledge == nullptr) return false;
    const auto isMoved = [&](std::size_t axis) {
        return std::ranges::any_of(knowledge->papers, [&](const History& paper) {
            return std::ranges::any_of(paper.trials, [&](const Trial& trial) {
                return trial.setting[axis] != paper.trials.front().setting[axis];
            });
        });
    };
    for (std::size_t axis = 0; axis < knowledge->papers.front().axes.size(); ++axis) {
        if (!isMoved(axis)) return false;
    }
    return true;
}

/// One decision: everything that is known about a condition at this moment.
class Search {
  public:
    Search(const History& history, const DriverKnowledge* knowledge, const Options& options)
        : history_(history),
          options_(options),
          grid_(history.axes),
          isTaught_(movesEveryAxis(knowledge)),
          evidence_(evidenceFromHistory(history, options.aim)),
          model_(evidence_, history.axes.size(), evidenceOf(knowledge, options.aim),
                 originOf(knowledge, grid_)),
          underD50_(rowsUnderD50(evidence_), model_.worlds(options.worlds, options.seed)),
          lights_(history, evidence_, underD50_.all(), options) {
        if (!lights_.isEmpty()) underLights_ = lights_.together();
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
        compareLights(out);
        decide(out);
        out.lights = lights_.predictions(grid_, grid_.nearest(out.predicted.setting));
        out.ramp = ramp(grid_.nearest(out.predicted.setting));
        return out;
    }

    /// What may be said of a search that was done as if the readings shared no error.
    [[nodiscard]] Summary withinSharedError(Summary out) const {
        const Steps steps = grid_.nearest(out.predicted.setting);
        out.predicted = prediction(steps);
        out.bestAttainable = prediction(grid_.nearest(out.bestAttainable.setting));
        out.chanceNearBest = chanceNearBest(steps);
        out.ramp = ramp(steps);
        const std::string atMost = textFromNumber(out.predicted.worstDeltaE00High, 1);
        if (out.status == Status::print) {
            if (!controlIsUntried()) {
                out.reason += said(
                    ", as far as readings like these can tell: at this setting at most {} CIEDE2000", atMost);
            }
        } else if (out.status == Status::settled &&
                   out.predicted.worstDeltaE00High <= options_.plainDeltaE00) {
            out.reason = said(
                "Trial {} confirms it as far as readings like these can tell: the worst tint left is {}, and "
                "at most {}; to find a better setting within that takes an instrument",
                out.confirmedBy, leftWords(out.predicted), atMost);
        } else if (out.status == Status::settled || chanceBestIsPlain() < kChanceToGiveUp) {
            out.status = Status::print;
            out.cannotTell = true;
            out.limit = Limit::none;
            out.confirmedBy = 0;
            out.reason = said(
                "More sheets read in the same way would not tell more: all of them may be off by the same "
                "error, and at the best setting known the worst tint is anything from {} to {} CIEDE2000. A "
                "measuring instrument on one of the sheets would tell; a neutral card in the picture, or a "
                "scanner learned from one sheet read both ways, would narrow it down",
                textFromNumber(out.predicted.worstDeltaE00Low, 1), atMost);
        }
        return out;
    }
    [[nodiscard]] colour::Tint sharedError() const {
        return model_.sharedError(options_.worlds, options_.seed);
    }

    [[nodiscard]] VectorXd terms(const Steps& steps) const {
        return termsOfDeflection(grid_.deflection(grid_.setting(steps)));
    }
    /// What settings are weighed by: the history's lights, or D50.
    [[nodiscard]] const Worlds& worlds() const { return underLights_ ? *underLights_ : underD50_; }
    [[nodiscard]] const SettingGrid& grid() const { return grid_; }
    [[nodiscard]] const std::vector<Steps>& bestOfEachWorld() const { return worldBest_; }
    [[nodiscard]] Foretold foretold(const Setting& setting) const {
        const Steps steps = grid_.nearest(setting);
        return {.worst = prediction(steps), .ramp = ramp(steps)};
    }

  private:
    void findBestOfEachWorld() {
        const auto bestOf = [&](std::size_t world, const Steps& start) {
            return descend(grid_, start,
                           [&](const Steps& steps) { return worlds().worstNear(world, terms(steps)); });
        };
        // From the middle of the control, never from a trial, so that the order of trials cannot matter; then
        // from the last answer where it is the better start, since a fall from there is short.
        const Steps middle = grid_.nearest(Setting(grid_.axes(), 0.0));
        Steps last = middle;
        for (std::size_t k = 0; k < worlds().count(); ++k) {
            const bool lastIsBetter =
                worlds().worstNear(k, terms(last)) < worlds().worstNear(k, terms(middle));
            auto [steps, value] = bestOf(k, lastIsBetter ? last : middle);
            worldBest_.push_back(steps);
            worldWorst_.push_back(value);
            last = steps;
        }
    }

    /// Every world's worst at a setting over that world's best.
    [[nodiscard]] std::vector<double> regrets(const Steps& steps) const {
        const VectorXd at = terms(steps);
        std::vector<double> out(worlds().count());
        for (std::size_t k = 0; k < out.size(); ++k) out[k] = worlds().worstNear(k, at) - worldWorst_[k];
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
        double least = worlds().meanWorst(terms(start));
        for (const Steps& steps : candidates()) {
            const double value = worlds().meanWorst(terms(steps));
            if (value < least) {
                least = value;
                start = steps;
            }
        }
        best_ =
            descend(grid_, start, [&](const Steps& steps) { return worlds().meanWorst(terms(steps)); }).first;
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

    [[nodiscard]] Prediction prediction(const Steps& steps) const { return prediction(worlds(), steps); }
    [[nodiscard]] Prediction prediction(const Worlds& among, const Steps& steps) const {
        Worlds::Expected expected = among.expected(terms(steps));
        std::ranges::sort(expected.worst);
        const auto widened = [&](double share) {
            return std::max(
                0.0, expected.mean + calibration() * (percentile(expected.worst, share) - expected.mean));
        };
        const Rows& rows = among.rows();
        return {.setting = grid_.setting(steps),
                .worstDeltaE00 = expected.mean,
                .worstDeltaE00Low = widened(0.05),
                .worstDeltaE00High = widened(0.95),
                .worstTonePercent = 100 * rows.tones[expected.row],
                .worstLight = lights_.isEmpty() ? std::string() : lights_.name(rows.light[expected.row])};
    }

    /// What a setting leaves, for a person: without the light's weight.
    [[nodiscard]] std::string leftWords(const Prediction& at) const {
        const auto light = std::ranges::find(history_.lights, at.worstLight, &LightGoal::name);
        const bool named = light != history_.lights.end();
        const double scale =
            named ? lights_.scale(static_cast<std::size_t>(light - history_.lights.begin())) : 1;
        return said("about {} CIEDE2000, near {} % tone{}", textFromNumber(at.worstDeltaE00 / scale, 1),
                    textFromNumber(at.worstTonePercent, 0),
                    named ? said(" under {}", at.worstLight) : std::string());
    }

    void compareLights(Summary& out) {
        if (lights_.isEmpty()) return;
        std::vector<Steps> starts = candidates();
        starts.push_back(best_);
        lights_.findBestAlone(grid_, starts);
        // What the control does has to be known a little before all settings can be spoken of.
        out.lightsDisagree = !controlIsUntried() && lights_.disagree(out.bestAttainable.worstDeltaE00);
        if (out.lightsDisagree) out.disagreement = lights_.disagreement(grid_);
    }

    /// The greatest expected difference of tint between two settings, over the tones.
    [[nodiscard]] double apart(const Steps& one, const Steps& other) const {
        const VectorXd difference = terms(one) - terms(other);
        double widest = 0;
        const auto& field = worlds().mean().field;
        for (Index t = 0; t < field[kA].rows(); ++t) {
            widest =
                std::max(widest, std::hypot(1.5 * field[kA].row(t).tail(difference.size()).dot(difference),
                                            field[kB].row(t).tail(difference.size()).dot(difference)));
        }
        return widest;
    }

    [[nodiscard]] bool driverIsKnown() const { return isTaught_ && model_.beliefInKnowledge() > 0.5; }
    [[nodiscard]] double chanceToSettle() const {
        return driverIsKnown() ? kChanceToSettleKnown : kChanceToSettle;
    }
    [[nodiscard]] double calibration() const { return driverIsKnown() ? kCalibrationKnown : kCalibration; }

    /// How likely a chance of being near the best ends the search; soft, since the chance is itself
    /// estimated.
    [[nodiscard]] double stopping(double chance) const {
        return 1 / (1 + std::exp(-(chance - chanceToSettle() + 0.02) / 0.04));
    }

    /// What a sheet at each of some settings is expected to cost in further sheets. If a possible printer
    /// were the truth, the sheet would speak for the others that agree with it there: could one then stop,
    /// and rightly, at a setting that is printed by then, or would one more sheet do?
    [[nodiscard]] std::vector<double> costs(const std::vector<Steps>& choices) const {
        const auto printers = static_cast<Index>(underD50_.count());
        const auto count = static_cast<Index>(choices.size());
        const auto printed = static_cast<Index>(history_.trials.size());
        MatrixXd near(printers, count + printed);
        for (Index s = 0; s < near.cols(); ++s) {
            const std::vector<double> regret = regrets(
                s < count ? choices[static_cast<std::size_t>(s)]
                          : grid_.nearest(history_.trials[static_cast<std::size_t>(s - count)].setting));
            for (Index k = 0; k < printers; ++k) {
                near(k, s) = regret[static_cast<std::size_t>(k)] <= options_.toleranceDeltaE00 ? 1 : 0;
            }
        }
        const std::size_t tones = evidence_.tones.size();
        const std::array<std::size_t, 3> places{tones / 4, tones / 2, tones * 3 / 4};
        double noise = std::pow(model_.printNoise(), 2) + std::pow(model_.patchNoise(), 2) / 4;
        // The next sheet will be read as those before it.
        for (const Trial& trial : history_.trials) {
            if (!trial.uncertainty) continue;
            noise += std::pow(trial.uncertainty->own, 2) / 4 / static_cast<double>(history_.trials.size());
        }
        std::vector<double> out;
        Eigen::ArrayXXd seen(printers, 6);
        for (Index s = 0; s < count; ++s) {
            const VectorXd at = terms(choices[static_cast<std::size_t>(s)]);
            for (Index k = 0; k < printers; ++k) {
                Index column = 0;
                for (const std::size_t place : places) {
                    for (const int c : {kA, kB}) {
                        const MatrixXd& field =
                            underD50_[static_cast<std::size_t>(k)].field[static_cast<std::size_t>(c)];
                        const auto row = static_cast<Index>(place);
                        seen(k, column++) = field(row, 0) + field.row(row).tail(at.size()).dot(at);
                    }
                }
            }
            // The truth's own print has noise as well, hence twice the variance; dots of one print agree,
            // hence a third of six values.
            double cost = 0;
            const Index stride = std::max<Index>(1, printers / static_cast<Index>(kTruths));
            Index truths = 0;
            for (Index truth = 0; truth < printers; truth += stride, ++truths) {
                Eigen::ArrayXd distance = (seen.rowwise() - seen.row(truth)).square().rowwise().sum();
                distance[truth] = std::numeric_limits<double>::infinity();
                distance -= distance.minCoeff();
                Eigen::ArrayXd belief = (-0.5 * distance / (2 * 3 * noise)).exp();
                belief /= belief.sum();
                const Eigen::RowVectorXd chance = belief.matrix().transpose() * near;
                Index printedBest = 0;
                const double atPrinted = chance.tail(printed).maxCoeff(&printedBest);
                const Index stopAt = chance[s] >= atPrinted ? s : count + printedBest;
                Index best = 0;
                chance.maxCoeff(&best);
                const double now = stopping(chance[stopAt]) * near(truth, stopAt);
                const double next = stopping(chance[best]) * near(truth, best);
                cost += (1 - now) * (1 + kCostOfGoingOn * (1 - next));
            }
            out.push_back(cost / static_cast<double>(truths));
        }
        return out;
    }

    /// Nothing was printed away from the first setting, and no earlier paper tells what the control does.
    [[nodiscard]] bool controlIsUntried() const {
        if (model_.beliefInKnowledge() > 0) return false;
        const Steps first = grid_.nearest(history_.trials.front().setting);
        return std::all_of(history_.trials.begin(), history_.trials.end(),
                           [&](const Trial& trial) { return grid_.nearest(trial.setting) == first; });
    }

    /// One step along the first axis, inwards when the first sheet was near an end of the range.
    [[nodiscard]] Steps firstStep() const {
        const double move = std::clamp(
            0.6 * prediction(grid_.nearest(history_.trials.front().setting)).worstDeltaE00, 1.5, 4.0);
        Setting setting = history_.trials.front().setting;
        const TintAxis& axis = history_.axes.front();
        const double step = std::max(axis.step, move / kGuessedGain * grid_.fullDeflection(0));
        setting[0] += setting[0] + step <= axis.highest ? step : -step;
        return grid_.nearest(setting);
    }

    [[nodiscard]] Steps next() const {
        if (controlIsUntried()) return firstStep();
        std::vector<Steps> choices{best_};
        for (const Steps& steps : candidates()) choices.push_back(steps);
        // Beside the best, to learn what is not known yet without leaving it far.
        for (std::size_t j = 0; j < grid_.axes(); ++j) {
            for (const double share : {-0.3, -0.12, 0.12, 0.3}) {
                Setting moved = grid_.setting(best_);
                moved[j] += share * grid_.fullDeflection(j);
                choices.push_back(grid_.nearest(moved));
            }
        }
        // No wild sheets: what is far from everything printed costs ink and, by saturation, teaches little.
        std::erase_if(choices,
                      [&](const Steps& steps) { return !(steps == best_) && reach(steps) > kLongestReach; });
        const std::vector<double> cost = costs(choices);
        return choices[static_cast<std::size_t>(std::min_element(cost.begin(), cost.end()) - cost.begin())];
    }

    /// How far a setting is from the nearest printed one, in full deflections.
    [[nodiscard]] double reach(const Steps& steps) const {
        const std::vector<double> there = grid_.deflection(grid_.setting(steps));
        double nearest = std::numeric_limits<double>::infinity();
        for (const auto& printed : evidence_.deflections) {
            double square = 0;
            for (std::size_t j = 0; j < printed.size(); ++j) square += std::pow(there[j] - printed[j], 2);
            nearest = std::min(nearest, std::sqrt(square));
        }
        return nearest;
    }

    void decide(Summary& out) const {
        const double beyond = chanceBestIsPlain();
        out.chanceNearBest = chanceNearBest(best_);
        if (beyond >= kChanceToGiveUp && !controlIsUntried() && out.chanceNearBest >= kChanceOfGivingUpWell) {
            out.status = Status::outOfReach;
            out.predicted = out.bestAttainable;
            explainLimit(out);
            return;
        }
        if (settle(out)) return;
        const Steps steps = next();
        out.status = Status::print;
        out.predicted = prediction(steps);
        out.chanceNearBest = chanceNearBest(steps);
        out.reason =
            steps == best_ || out.chanceNearBest > 0.3
                ? said("It is expected to be near the best this control can do (chance {} %)",
                       textFromNumber(100 * out.chanceNearBest, 0))
                : said(
                      "What the control does is not known well enough yet; a sheet here tells most about it");
    }

    [[nodiscard]] bool isInvisible(const Prediction& at) const {
        const auto isWithin = [](const Prediction& one) {
            return one.worstDeltaE00 <= kInvisible && one.worstDeltaE00High <= kInvisibleAtMost;
        };
        const bool isNear = at.worstDeltaE00 < kInvisible * (1 + kNearLimit) &&
                            std::abs(at.worstDeltaE00High / kInvisibleAtMost - 1) < kNearLimit;
        if (!isNear || !lights_.isEmpty()) return isWithin(at);
        const Worlds more(underD50_.rows(), model_.worlds(kWorldsNearLimit, options_.seed));
        return isWithin(prediction(more, grid_.nearest(at.setting)));
    }

    /// A printed setting whose tint nobody is likely to see needs no better one.
    [[nodiscard]] bool settleAsGoodEnough(Summary& out) const {
        const Trial* best = nullptr;
        for (const Trial& trial : history_.trials) {
            const Prediction at = prediction(grid_.nearest(trial.setting));
            if (!isInvisible(at)) continue;
            if (best != nullptr && at.worstDeltaE00 >= out.predicted.worstDeltaE00) continue;
            best = &trial;
            out.predicted = at;
        }
        if (best == nullptr) return false;
        out.status = Status::settled;
        out.confirmedBy = best->number;
        out.chanceNearBest = chanceNearBest(grid_.nearest(best->setting));
        out.reason = said("Trial {} is good as it is: its worst tint is {}, and nobody is likely to see that",
                          best->number, leftWords(out.predicted));
        return true;
    }

    /// Settled: a printed setting, or one no further from it than prints scatter, is surely near the best.
    [[nodiscard]] bool settle(Summary& out) const {
        if (settleAsGoodEnough(out)) return true;
        if (controlIsUntried()) return false;
        Steps final;
        const Trial* confirming = nullptr;
        double least = 0;
        const auto consider = [&](const Steps& steps, const Trial& trial, double handicap) {
            const double worst = worlds().meanWorst(terms(steps)) + handicap;
            if (confirming != nullptr && worst >= least) return;
            const double chance = chanceNearBest(steps);
            if (chance < chanceToSettle()) return;
            final = steps;
            confirming = &trial;
            least = worst;
            out.chanceNearBest = chance;
        };
        for (const Trial& trial : history_.trials) {
            const Steps printed = grid_.nearest(trial.setting);
            consider(printed, trial, 0);
            // A neighbour of what was printed has to be better by something.
            if (apart(best_, printed) <= kSameAsPrinted) consider(best_, trial, kWorthMoving);
        }
        if (confirming == nullptr) return false;
        out.status = Status::settled;
        out.predicted = prediction(final);
        out.confirmedBy = confirming->number;
        const bool isPrinted = grid_.nearest(confirming->setting) == final;
        out.reason = said(
            "Trial {}{} confirms it: the worst tint left is {}, and no other setting is expected to be "
            "better "
            "by more than {}",
            confirming->number, isPrinted ? "" : ", which differs by less than prints do among themselves,",
            leftWords(out.predicted), textFromNumber(options_.toleranceDeltaE00, 1));
        return true;
    }

    [[nodiscard]] double chanceBestIsPlain() const {
        const auto plain = std::count_if(worldWorst_.begin(), worldWorst_.end(),
                                         [&](double worst) { return worst > options_.plainDeltaE00; });
        return static_cast<double>(plain) / static_cast<double>(worldWorst_.size());
    }

    void explainLimit(Summary& out) const {
        if (out.lightsDisagree && lights_.worstAlone() <= options_.plainDeltaE00) {
            out.limit = Limit::lights;
            out.reason = said(
                "{}. The best for all leaves {}. No curve or profile mends that while the same inks mix the "
                "grey; a mode that makes more of it from black ink can",
                out.disagreement, leftWords(out.bestAttainable));
            return;
        }
        // With several lights, the one that would keep most even alone.
        const Worlds& seen = lights_.isEmpty() ? underD50_ : lights_.hardest();
        const std::string under =
            lights_.isEmpty() ? "" : " under " + lights_.name(seen.rows().light.front());
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
            std::size_t tone = 0;
            colour::Tint tint;
        };
        Extreme worst;
        const std::vector<colour::Tint> residuals = seen.meanTint(terms(best_));
        const double left = seen.expected(terms(best_)).mean;
        for (std::size_t t = 0; t < residuals.size(); ++t) {
            const colour::Tint& tint = residuals[t];
            sum.a += tint.a;
            sum.b += tint.b;
            const double size = std::hypot(tint.a, tint.b);
            lengths += size;
            if (size > worst.size) worst = {size, t, tint};
        }
        // The tone that pulls most against the worst one.
        Extreme against;
        for (std::size_t t = 0; t < residuals.size(); ++t) {
            const colour::Tint& tint = residuals[t];
            const double pull = -(tint.a * worst.tint.a + tint.b * worst.tint.b) / std::max(worst.size, 1e-9);
            if (pull > against.size) against = {pull, t, tint};
        }
        const bool oneWay = std::hypot(sum.a, sum.b) > 0.7 * lengths;
        const auto percent = [&](std::size_t tone) { return textFromNumber(100 * evidence_.tones[tone], 0); };
        if (atEnd && (oneWay || against.size < 0.4 * worst.size)) {
            out.limit = Limit::range;
            out.reason = said(
                "The control is too weak here: at the end of {} the ramp is still {}, about {} CIEDE2000 at "
                "{} % tone{}. A correction by curve or profile can do what the setting cannot",
                ends, colour::tintName(worst.tint), textFromNumber(left, 1), percent(worst.tone), under);
            return;
        }
        out.limit = Limit::turns;
        out.reason = said(
            "The tint turns along the ramp: at the best setting {} % tone is still {} while {} % pulls "
            "towards {}, "
            "so what mends one spoils the other; about {} CIEDE2000 remains{}. A correction by curve or "
            "profile can do "
            "what the setting cannot",
            percent(worst.tone), colour::tintName(worst.tint), percent(against.tone),
            colour::tintName(against.tint), textFromNumber(left, 1), under);
    }

    [[nodiscard]] std::vector<AxisAction> actions() const {
        const std::vector<MatrixXd> drawn = model_.responses(0.5, options_.worlds, options_.seed);
        // The median, and half of what the middle 68 % cover: a small chance that this paper answers in a way
        // of its own shall not hide what is known otherwise.
        std::vector<double> values(drawn.size());
        const auto middle = [&](Channel c, std::size_t axis) {
            for (std::size_t k = 0; k < drawn.size(); ++k) values[k] = drawn[k](c, static_cast<Index>(axis));
            std::ranges::sort(values);
            return std::pair(percentile(values, 0.5),
                             (percentile(values, 0.8413) - percentile(values, 0.1587)) / 2);
        };
        std::vector<AxisAction> out;
        for (std::size_t j = 0; j < grid_.axes(); ++j) {
            const double unit = 1 / grid_.fullDeflection(j);
            AxisAction action{.axis = history_.axes[j].name};
            const auto set = [&](Channel c, double& value, double& error) {
                const auto [median, spread] = middle(c, j);
                value = median * unit;
                error = spread * unit;
            };
            set(kA, action.a, action.standardErrorA);
            set(kB, action.b, action.standardErrorB);
            set(kLightness, action.L, action.standardErrorL);
            const auto agreeing = std::ranges::count_if(drawn, [&](const MatrixXd& one) {
                const auto column = static_cast<Index>(j);
                return one(kA, column) * action.a + one(kB, column) * action.b > 0;
            });
            action.words =
                actionWords(action, static_cast<double>(agreeing) / static_cast<double>(drawn.size()));
            out.push_back(std::move(action));
        }
        return out;
    }

    /// `agreeing`: the share of what is believed that pulls within a right angle of it.
    [[nodiscard]] static std::string actionWords(const AxisAction& action, double agreeing) {
        const double size = std::hypot(action.a, action.b);
        const double error = std::hypot(action.standardErrorA, action.standardErrorB);
        if (size < 1.5 * error || agreeing < 0.75)
            return said("{}: what it does is not known yet", action.axis);
        std::string words =
            said("{}: +1 moves mid-tones {} towards {}{}", action.axis, textFromNumber(size, 2),
                 colour::tintName({action.a, action.b}),
                 size < 2.5 * error || agreeing < 0.9 ? said(" (still uncertain)") : std::string());
        if (std::abs(action.L) > 0.25 * size && std::abs(action.L) > 3 * action.standardErrorL) {
            words += said(" and makes them {} L* {}", textFromNumber(std::abs(action.L), 2),
                          action.L > 0 ? said("lighter") : said("darker"));
        }
        return words;
    }

    [[nodiscard]] std::vector<TonePrediction> ramp(const Steps& steps) const {
        const VectorXd at = terms(steps);
        const auto tones = static_cast<Index>(evidence_.tones.size());
        const auto worlds = static_cast<Index>(underD50_.count());
        std::array<MatrixXd, 2> values{MatrixXd(worlds, tones), MatrixXd(worlds, tones)};
        for (Index k = 0; k < worlds; ++k) {
            const MatrixXd tint = underD50_.tint(static_cast<std::size_t>(k), at);
            for (Index c = 0; c < 2; ++c)
                values[static_cast<std::size_t>(c)].row(k) = tint.col(c).transpose();
        }
        std::vector<TonePrediction> out;
        for (Index t = 0; t < tones; ++t) {
            const auto i = static_cast<std::size_t>(t);
            const colour::Tint aim = evidence_.aim[i];
            const auto of = [&](std::size_t channel) {
                return std::span<double>(values[channel].col(t).data(), static_cast<std::size_t>(worlds));
            };
            TonePrediction one{.tonePercent = 100 * evidence_.tones[i], .aimA = aim.a, .aimB = aim.b};
            one.a = aim.a + mean(of(kA));
            one.b = aim.b + mean(of(kB));
            std::tie(one.lowA, one.highA) = ninetyPercentOf(of(kA));
            std::tie(one.lowB, one.highB) = ninetyPercentOf(of(kB));
            for (double* bound : {&one.lowA, &one.highA}) *bound += aim.a;
            for (double* bound : {&one.lowB, &one.highB}) *bound += aim.b;
            out.push_back(one);
        }
        return out;
    }

    const History& history_;
    Options options_;
    SettingGrid grid_;
    bool isTaught_;  // other papers tell of every axis
    Evidence evidence_;
    ResponseModel model_;
    Worlds underD50_;
    Lights lights_;
    std::optional<Worlds> underLights_;
    std::vector<Steps> worldBest_;
    std::vector<double> worldWorst_;
    Steps best_;
};

/// Before anything was printed: where the last paper of this driver ended, or no tint at all.
Summary beforeTheFirst(const History& history, const DriverKnowledge* knowledge) {
    const SettingGrid grid(history.axes);
    const Setting start = knowledge != nullptr ? knowledge->bestSetting : Setting(history.axes.size(), 0.0);
    Summary out;
    out.predicted.setting = grid.setting(grid.nearest(start));
    out.bestAttainable.setting = out.predicted.setting;
    out.reason =
        knowledge != nullptr
            ? said("Nothing was printed on this paper yet; start where the same driver's last paper ended")
            : said("Nothing was printed yet; start without any tint of the driver's own");
    return out;
}

}  // namespace

struct Outlook::Learned {
    History history;
    std::optional<DriverKnowledge> knowledge;
    Options options;
    Search search;
    Summary summary;

    Learned(History all, std::optional<DriverKnowledge> known, const Options& asked)
        : history(std::move(all)),
          knowledge(std::move(known)),
          options(asked),
          search(history, knowledge ? &*knowledge : nullptr, options) {
        const auto sharesError = [](const Trial& trial) {
            return trial.uncertainty && trial.uncertainty->shared > 0;
        };
        if (std::ranges::none_of(history.trials, sharesError)) {
            summary = search.summary();
            return;
        }
        // An error that all trials share cannot be learned from them; what is believed of it is the prior's.
        const bool isTold = !std::ranges::all_of(history.trials, sharesError);
        const History asRead = withoutSharedError(history, isTold ? search.sharedError() : colour::Tint{});
        summary =
            search.withinSharedError(Search(asRead, knowledge ? &*knowledge : nullptr, options).summary());
    }
};

Outlook::Outlook(History history, std::optional<DriverKnowledge> knowledge, const Options& options)
    : learned_(std::make_unique<const Learned>(std::move(history), std::move(knowledge), options)) {}

Outlook::~Outlook() = default;

const Summary& Outlook::summary() const {
    return learned_->summary;
}

Foretold Outlook::at(const Setting& setting) const {
    return learned_->search.foretold(setting);
}

SettingMap Outlook::map(const Setting& held, std::size_t most) const {
    expects(most >= 2, "a map needs two points each way");
    const Search& search = learned_->search;
    const SettingGrid& grid = search.grid();
    const auto ladder = [&](std::size_t axis) {
        const auto count = std::min(most, static_cast<std::size_t>(grid.count(axis)));
        const TintAxis& one = learned_->history.axes[axis];
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

Summary steer(const History& history, const DriverKnowledge* knowledge, const Options& options) {
    if (history.trials.empty()) return beforeTheFirst(history, knowledge);
    return Outlook(history, knowledge != nullptr ? std::optional(*knowledge) : std::nullopt, options)
        .summary();
}

DriverKnowledge learn(std::vector<History> papers, const Options& options) {
    expects(!papers.empty(), "nothing to learn from");
    for (const History& paper : papers) {
        expects(!paper.trials.empty(), "a paper without trials teaches nothing");
        expects(paper.axes.size() == papers.front().axes.size(), "papers of one driver have the same axes");
    }
    // The last paper was searched with what the others had taught.
    DriverKnowledge known{.papers = {papers.begin(), papers.end() - 1}, .bestSetting = {}};
    const Summary last =
        Outlook(papers.back(), known.papers.empty() ? std::nullopt : std::optional(known), options).summary();
    known.bestSetting = last.status == Status::settled ? last.predicted.setting : last.bestAttainable.setting;
    known.papers = std::move(papers);
    return known;
}

}  // namespace greywright::steer

#include "closed_loop/closed_loop.h"

#include <algorithm>
#include <cmath>

#include "colour/aim.h"
#include "colour/difference.h"

namespace greywright::closed_loop {
namespace {

double worstAgainstAim(const std::vector<steer::ToneColour>& tones) {
    const colour::TintAim aim{.paper = tones.front().lab, .blackL = tones.back().lab.L};
    double worst = 0;
    for (const steer::ToneColour& tone : tones) {
        if (tone.tonePercent < 5 - 1e-9) continue;
        const colour::Tint wanted = aim.at(tone.lab.L);
        worst = std::max(worst, colour::deltaE2000(tone.lab, {tone.lab.L, wanted.a, wanted.b}));
    }
    return worst;
}

/// The mean tint of the mid tones against the aim: what a person reads off a plot.
colour::Tint midTint(const steer::Trial& trial) {
    const colour::TintAim aim{.paper = trial.tones.front().lab, .blackL = trial.tones.back().lab.L};
    colour::Tint sum;
    double count = 0;
    for (const steer::ToneColour& tone : trial.tones) {
        if (tone.tonePercent < 25 || tone.tonePercent > 75) continue;
        const colour::Tint wanted = aim.at(tone.lab.L);
        sum.a += tone.lab.a - wanted.a;
        sum.b += tone.lab.b - wanted.b;
        count += 1;
    }
    return {sum.a / count, sum.b / count};
}

}  // namespace

Game::Game(const simulate::Recipe& recipe)
    : axes_{{"across", -50, 50, 1}},
      printer_(simulate::printerFromRecipe(recipe)),
      random_(recipe.seed * 31 + recipe.paper) {
    if (recipe.axes > 1) axes_.push_back({"up", -50, 50, 1});
    for (int i = 0; i <= 20; ++i) tones_.push_back(i / 20.0);
}

steer::Trial Game::print(const steer::Setting& setting, int number) {
    const std::vector<double> deflection = steer::SettingGrid(axes_).deflection(setting);
    steer::Trial trial{.number = number, .setting = setting, .tones = {}};
    for (const measure::Patch& patch : printer_->print(tones_, deflection, random_).patches) {
        trial.tones.push_back({*patch.tonePercent, *patch.lab});
    }
    return trial;
}

double Game::worst(const steer::Setting& setting) const {
    const std::vector<double> deflection = steer::SettingGrid(axes_).deflection(setting);
    std::vector<steer::ToneColour> tones;
    for (const double tone : tones_) tones.push_back({100 * tone, printer_->lab(tone, deflection)});
    return worstAgainstAim(tones);
}

double Game::bestWorst(const steer::Setting& also) const {
    const steer::SettingGrid grid(axes_);
    std::vector<steer::Setting> starts{also, steer::Setting(axes_.size(), 0.0)};
    if (axes_.size() == 2) {
        for (const double x : {-35.0, 35.0}) {
            for (const double y : {-35.0, 35.0}) starts.push_back({x, y});
        }
    }
    double best = worst(also);
    for (const steer::Setting& start : starts) {
        steer::SettingGrid::Steps steps = grid.nearest(start);
        double value = worst(grid.setting(steps));
        for (long stride = 16; stride >= 1; stride /= 2) {
            bool moved = true;
            while (moved) {
                moved = false;
                for (int direction = 0; direction < 16; ++direction) {
                    steer::SettingGrid::Steps next = steps;
                    next[0] += std::lround(static_cast<double>(stride) * std::cos(direction * 0.3926990817));
                    if (axes_.size() > 1)
                        next[1] +=
                            std::lround(static_cast<double>(stride) * std::sin(direction * 0.3926990817));
                    next = grid.clamped(next);
                    const double there = worst(grid.setting(next));
                    if (there < value - 1e-12) {
                        value = there;
                        steps = next;
                        moved = true;
                    }
                }
            }
        }
        best = std::min(best, value);
    }
    return best;
}

Outcome searchByModel(Game& game, const steer::DriverKnowledge* knowledge, std::size_t mostTrials,
                      steer::History* record) {
    steer::History history{game.axes(), {}};
    Outcome out;
    steer::Summary summary = steer::steer(history, knowledge);
    while (summary.status == steer::Status::print && history.trials.size() < mostTrials) {
        history.trials.push_back(
            game.print(summary.predicted.setting, static_cast<int>(history.trials.size()) + 1));
        summary = steer::steer(history, knowledge);
        const double truth = game.worst(summary.predicted.setting);
        ++out.intervals;
        if (truth >= summary.predicted.worstDeltaE00Low && truth <= summary.predicted.worstDeltaE00High)
            ++out.covered;
    }
    out.status = summary.status;
    out.trials = history.trials.size();
    out.bestWorst = game.bestWorst(summary.predicted.setting);
    out.regret = game.worst(summary.predicted.setting) - out.bestWorst;
    if (record != nullptr) *record = history;
    return out;
}

Outcome searchByHalving(Game& game, std::size_t mostTrials) {
    const steer::SettingGrid grid(game.axes());
    Outcome out;
    steer::Setting here(game.axes().size(), 0.0);
    const auto measured = [&](const steer::Setting& setting) {
        ++out.trials;
        return worstAgainstAim(game.print(setting, 1).tones);
    };
    double value = measured(here);
    for (double step = 16; step >= 2 && out.trials < mostTrials; step /= 2) {
        for (std::size_t axis = 0; axis < here.size(); ++axis) {
            for (const double way : {step, -step}) {
                if (out.trials >= mostTrials) break;
                steer::Setting next = here;
                next[axis] += way;
                next = grid.setting(grid.nearest(next));
                const double there = measured(next);
                if (there < value) {
                    value = there;
                    here = next;
                    break;
                }
            }
        }
    }
    out.status = steer::Status::settled;
    out.bestWorst = game.bestWorst(here);
    out.regret = game.worst(here) - out.bestWorst;
    return out;
}

Outcome searchByPushing(Game& game, std::size_t mostTrials) {
    const steer::SettingGrid grid(game.axes());
    Outcome out;
    steer::Setting here(game.axes().size(), 0.0);
    double gain = 0.15;  // CIELAB units a step, guessed; across is believed to be a*, up to be b*
    steer::Trial trial = game.print(here, 1);
    out.trials = 1;
    steer::Setting best = here;
    double bestSeen = worstAgainstAim(trial.tones);
    while (out.trials < mostTrials) {
        const colour::Tint before = midTint(trial);
        steer::Setting next = here;
        next[0] -= before.a / gain;
        if (next.size() > 1) next[1] -= before.b / gain;
        next = grid.setting(grid.nearest(next));
        if (next == here) break;
        const double asked =
            next.size() > 1 ? std::hypot(next[0] - here[0], next[1] - here[1]) : std::abs(next[0] - here[0]);
        here = next;
        trial = game.print(here, 1);
        ++out.trials;
        const double seen = worstAgainstAim(trial.tones);
        if (seen < bestSeen) {
            bestSeen = seen;
            best = here;
        }
        const colour::Tint after = midTint(trial);
        const double moved = std::hypot(after.a - before.a, after.b - before.b);
        if (asked > 0) gain = std::clamp(moved / asked, 0.03, 1.0);
        if (seen > bestSeen + 0.3) {
            // It got worse: go back and push the other way next time.
            here = best;
            gain = -gain;
        }
    }
    out.status = steer::Status::settled;
    out.bestWorst = game.bestWorst(best);
    out.regret = game.worst(best) - out.bestWorst;
    return out;
}

}  // namespace greywright::closed_loop

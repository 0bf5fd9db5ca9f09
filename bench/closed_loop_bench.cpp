// Plays whole searches on simulated printers and prints how they went, beside two ways of working by hand.
// Not a timing: the figures are trials, regrets and coverage. Arguments: printers per family (250), number of
// the first printer (1); other numbers are other printers.

#include <algorithm>
#include <atomic>
#include <cstdio>
#include <cstdlib>
#include <mutex>
#include <thread>

#include <fmt/format.h>

#include "closed_loop/closed_loop.h"

namespace greywright {
namespace {

struct Tally {
    std::vector<double> trials, regrets;
    std::size_t searches = 0, settled = 0, wronglySettled = 0, givenUp = 0, wronglyGivenUp = 0,
                unfinished = 0;
    std::size_t intervals = 0, covered = 0;

    void add(const closed_loop::Outcome& outcome) {
        ++searches;
        trials.push_back(static_cast<double>(outcome.trials));
        regrets.push_back(outcome.regret);
        intervals += outcome.intervals;
        covered += outcome.covered;
        switch (outcome.status) {
            case steer::Status::settled:
                ++settled;
                wronglySettled += outcome.regret > 0.3 ? 1 : 0;
                break;
            case steer::Status::outOfReach:
                ++givenUp;
                wronglyGivenUp += outcome.bestWorst <= 2.0 ? 1 : 0;
                break;
            case steer::Status::print:
                ++unfinished;
                break;
        }
    }
    void add(const Tally& other) {
        trials.insert(trials.end(), other.trials.begin(), other.trials.end());
        regrets.insert(regrets.end(), other.regrets.begin(), other.regrets.end());
        searches += other.searches;
        settled += other.settled;
        wronglySettled += other.wronglySettled;
        givenUp += other.givenUp;
        wronglyGivenUp += other.wronglyGivenUp;
        unfinished += other.unfinished;
        intervals += other.intervals;
        covered += other.covered;
    }
};

double percentile(std::vector<double> values, double share) {
    std::sort(values.begin(), values.end());
    return values[static_cast<std::size_t>(share * static_cast<double>(values.size() - 1) + 0.5)];
}

double percent(std::size_t part, std::size_t whole) {
    return whole == 0 ? 0 : 100.0 * static_cast<double>(part) / static_cast<double>(whole);
}

void print(std::string_view who, std::string_view family, const Tally& tally) {
    const auto within =
        std::count_if(tally.regrets.begin(), tally.regrets.end(), [](double r) { return r <= 0.3; });
    fmt::print(
        "{:<24} {:<9} {:>5} {:>7.0f} {:>5.0f} {:>10.2f} {:>6.2f} {:>8.1f} {:>9} {:>8.1f} {:>8} {:>8.1f} "
        "{:>6}\n",
        who, family, tally.searches, percentile(tally.trials, 0.5), percentile(tally.trials, 0.95),
        percentile(tally.regrets, 0.5), percentile(tally.regrets, 0.95),
        percent(static_cast<std::size_t>(within), tally.searches),
        tally.intervals > 0 ? fmt::format("{:.1f}", percent(tally.covered, tally.intervals)) : "-",
        percent(tally.wronglySettled, tally.searches), tally.givenUp,
        percent(tally.wronglyGivenUp, tally.searches), tally.unfinished);
    std::fflush(stdout);
}

constexpr std::size_t kWays = 5;
using Row = std::array<Tally, kWays>;

Row play(simulate::Family family, std::uint64_t seed) {
    constexpr std::size_t kMostTrials = 8;
    Row row;
    const simulate::Recipe recipe = simulate::randomRecipe(family, seed);
    steer::History history;
    closed_loop::Game first(recipe);
    row[0].add(closed_loop::searchByModel(first, nullptr, kMostTrials, &history));
    // The driver's next paper, and the one after it.
    std::vector<steer::History> papers{history};
    for (std::size_t paper : {1U, 2U}) {
        const steer::DriverKnowledge known = steer::learn(papers);
        simulate::Recipe other = recipe;
        other.paper = paper;
        closed_loop::Game next(other);
        row[paper].add(closed_loop::searchByModel(next, &known, kMostTrials, &history));
        papers.push_back(history);
    }
    closed_loop::Game third(recipe);
    row[3].add(closed_loop::searchByHalving(third, 16));
    closed_loop::Game fourth(recipe);
    row[4].add(closed_loop::searchByPushing(fourth, kMostTrials));
    return row;
}

int run(std::uint64_t perFamily, std::uint64_t first) {
    constexpr std::array<std::string_view, kWays> kNames{"model, unknown driver", "model, known driver",
                                                         "model, its third paper", "hand, halving by axis",
                                                         "hand, push and scale"};
    fmt::print("{:<24} {:<9} {:>5} {:>7} {:>5} {:>10} {:>6} {:>8} {:>9} {:>8} {:>8} {:>8} {:>6}\n", "", "",
               "", "trials", "", "regret", "", "within", "covered", "wrongly", "given", "wrongly", "not");
    fmt::print("{:<24} {:<9} {:>5} {:>7} {:>5} {:>10} {:>6} {:>8} {:>9} {:>8} {:>8} {:>8} {:>6}\n", "way",
               "family", "n", "median", "95 %", "median", "95 %", "0.3, %", "%", "settled%", "up", "up, %",
               "ended");
    Row all;
    for (const simulate::Family family : simulate::families()) {
        Row sum;
        std::mutex guard;
        std::atomic<std::uint64_t> next{1};
        std::vector<std::jthread> workers;
        const unsigned threads = std::max(1U, std::thread::hardware_concurrency());
        for (unsigned t = 0; t < threads; ++t) {
            workers.emplace_back([&] {
                for (std::uint64_t seed = next++; seed <= perFamily; seed = next++) {
                    const Row row = play(family, 999 + first + seed);
                    const std::scoped_lock lock(guard);
                    for (std::size_t way = 0; way < kWays; ++way) sum[way].add(row[way]);
                }
            });
        }
        workers.clear();
        for (std::size_t way = 0; way < kWays; ++way) {
            print(kNames[way], simulate::familyName(family), sum[way]);
            all[way].add(sum[way]);
        }
    }
    fmt::print("\n");
    for (std::size_t way = 0; way < kWays; ++way) print(kNames[way], "all", all[way]);
    fmt::print(
        "\nregret: worst tint of the final setting over that of the best integer setting, CIEDE2000, "
        "noise-free.\n"
        "covered: predictions whose 90 % interval held the truth at the setting predicted for, after every "
        "trial.\n"
        "wrongly settled: settled with a regret above 0.3. wrongly given up: the best attainable is 2.0 or "
        "better.\n");
    return 0;
}

}  // namespace
}  // namespace greywright

int main(int argc, char** argv) {
    const long perFamily = argc > 1 ? std::strtol(argv[1], nullptr, 10) : 250;
    const long first = argc > 2 ? std::strtol(argv[2], nullptr, 10) : 1;
    if (perFamily < 1 || first < 1) {
        std::fprintf(stderr, "usage: closed_loop_bench [PRINTERS PER FAMILY] [FIRST PRINTER]\n");
        return 2;
    }
    return greywright::run(static_cast<std::uint64_t>(perFamily), static_cast<std::uint64_t>(first));
}

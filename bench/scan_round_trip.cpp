// 500 photographs and 500 scans of an invented print, found again and compared with the truth. Prints
// figures; fails when they are worse than docs/methods/scanning.md promises. Another count: scan_round_trip
// 100.

#include <array>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <map>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "core/parallel.h"
#include "scan/round_trip.h"

namespace {

using namespace greywright;
using namespace greywright::scan;

struct Aim {
    double leastFound = 0;
    double mostMedian = 0;
};

bool run(const char* name, std::size_t count, const sheet::Sheet& sheet, bool isPhotograph, const Aim& aim) {
    const std::array<sheet::Sheet, 1> known{sheet};
    const simulate::Print print = round_trip::printed(sheet);
    std::vector<round_trip::Outcome> outcomes(count);
    std::vector<double> seconds(count);
    const bool all = inParallel(count, 0, [&](std::size_t i) {
        const simulate::Shot shot = isPhotograph
                                        ? simulate::take(print, simulate::anyPhotograph(sheet, i + 1))
                                        : round_trip::scanned(print, simulate::anyScan(sheet, i + 1));
        const auto start = std::chrono::steady_clock::now();
        const auto reading = readSheet(shot.picture, known, {.paper = round_trip::truthOf(0)});
        seconds[i] = std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
        outcomes[i] = round_trip::compared(reading, sheet, shot);
    });
    std::map<std::string, std::vector<std::size_t>> errors;  // seeds by code
    std::vector<double> tints;
    std::size_t found = 0;
    std::size_t wrong = 0;
    std::size_t far = 0;
    std::size_t patches = 0;
    std::size_t leftOut = 0;
    for (std::size_t i = 0; i < count; ++i) {
        const round_trip::Outcome& one = outcomes[i];
        if (!one.error.empty()) {
            errors[one.error].push_back(i + 1);
            continue;
        }
        ++found;
        wrong += one.wrongPlaces;
        far += one.farOff;
        patches += one.patches;
        leftOut += one.leftOut;
        tints.insert(tints.end(), one.tintErrors.begin(), one.tintErrors.end());
    }
    const double share = double(found) / double(count);
    const double median = tints.empty() ? 99 : round_trip::quantile(tints, 0.5);
    fmt::print("{}: {} of {} found ({:.1f} %)\n", name, found, count, 100 * share);
    for (const auto& [code, seeds] : errors) fmt::print("  {}: seeds {}\n", code, fmt::join(seeds, " "));
    if (!tints.empty()) {
        fmt::print("  {} patches read, {} left out, {} from a wrong place, {} off by more than 5 in L*\n",
                   patches, leftOut, wrong, far);
        fmt::print(
            "  distance in a*b* from the truth: median {:.2f}, 90 % below {:.2f}, 99 % below {:.2f}, worst "
            "{:.2f}\n",
            median, round_trip::quantile(tints, 0.9), round_trip::quantile(tints, 0.99),
            round_trip::quantile(tints, 1));
        fmt::print("  seconds to read one: median {:.2f}\n", round_trip::quantile(seconds, 0.5));
        std::fflush(stdout);
    }
    return all && share >= aim.leastFound && median <= aim.mostMedian && wrong == 0;
}

}  // namespace

int main(int argc, char** argv) {
    const std::size_t count = argc > 1 ? std::strtoul(argv[1], nullptr, 10) : 500;
    const sheet::Sheet sheet = round_trip::someSheet();
    const std::string which = argc > 2 ? argv[2] : "both";
    bool good = true;
    if (which != "scans")
        good = run("photographs", count, sheet, true, {.leastFound = 0.98, .mostMedian = 1.0});
    if (which != "photographs") {
        good = run("scans", count, sheet, false, {.leastFound = 0.995, .mostMedian = 0.3}) && good;
    }
    return good ? EXIT_SUCCESS : EXIT_FAILURE;
}

#pragma once

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>

/// What benchmarks have in common: the answer is checked before its time counts.
namespace greywright::bench {

inline void require(bool holds, const char* what) {
    if (holds) return;
    std::fprintf(stderr, "wrong answer: %s\n", what);
    std::exit(1);
}

template <typename Work>
double seconds(const Work& work) {
    const auto begin = std::chrono::steady_clock::now();
    work();
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
}

template <typename Work>
double bestSeconds(int rounds, const Work& work) {
    double best = HUGE_VAL;
    for (int round = 0; round < rounds; ++round) best = std::min(best, seconds(work));
    return best;
}

}  // namespace greywright::bench

#include "core/parallel.h"

#include <stdexcept>
#include <vector>

#include <gtest/gtest.h>

namespace greywright {
namespace {

TEST(Parallel, EveryIndexIsDoneOnce) {
    for (const std::size_t threads : {0U, 1U, 2U, 7U}) {
        std::vector<int> times(100);
        EXPECT_TRUE(inParallel(times.size(), threads, [&](std::size_t i) { ++times[i]; }));
        EXPECT_EQ(times, std::vector<int>(100, 1));
    }
    EXPECT_TRUE(inParallel(0, 2, [](std::size_t) { FAIL(); }));
}

TEST(Parallel, WhatIsThrownArrives) {
    EXPECT_THROW((void)inParallel(20, 2,
                                  [](std::size_t i) {
                                      if (i == 7) throw std::runtime_error("seven");
                                  }),
                 std::runtime_error);
}

TEST(Parallel, StopsWhenAsked) {
    std::vector<int> times(1000);
    EXPECT_FALSE(inParallel(
        times.size(), 1, [&](std::size_t i) { ++times[i]; }, [](std::size_t done) { return done < 10; }));
    EXPECT_EQ(times[9], 1);
    EXPECT_EQ(times[10], 0);
}

}  // namespace
}  // namespace greywright

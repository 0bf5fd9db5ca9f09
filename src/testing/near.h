#pragma once

#include <cmath>
#include <cstddef>
#include <ranges>

#include <gtest/gtest.h>

#include "core/result.h"

/// Helpers for tests only.
namespace greywright::testing {

/// Passes when two sequences have one length and agree everywhere within `tolerance`; the failure text names
/// the worst place, both values and how far over the tolerance it is.
template <std::ranges::random_access_range Actual, std::ranges::random_access_range Expected>
[[nodiscard]] ::testing::AssertionResult allNear(const Actual& actual, const Expected& expected,
                                                 double tolerance) {
    const auto count = static_cast<std::size_t>(std::ranges::size(actual));
    if (count != static_cast<std::size_t>(std::ranges::size(expected))) {
        return ::testing::AssertionFailure() << count << " values, expected " << std::ranges::size(expected);
    }
    std::size_t worst = 0;
    double worstDistance = -1;
    for (std::size_t i = 0; i < count; ++i) {
        const double distance =
            std::abs(double(std::ranges::begin(actual)[static_cast<std::ptrdiff_t>(i)]) -
                     double(std::ranges::begin(expected)[static_cast<std::ptrdiff_t>(i)]));
        if (!(distance <= worstDistance)) {
            worst = i;
            worstDistance = distance;
        }
    }
    if (worstDistance <= tolerance) return ::testing::AssertionSuccess();
    return ::testing::AssertionFailure()
           << "at [" << worst << "]: " << std::ranges::begin(actual)[static_cast<std::ptrdiff_t>(worst)]
           << ", expected " << std::ranges::begin(expected)[static_cast<std::ptrdiff_t>(worst)] << ", off by "
           << worstDistance << ", " << worstDistance - tolerance << " over the tolerance";
}

/// Passes when `result` holds a value; otherwise shows the error as a person would read it.
template <typename T>
[[nodiscard]] ::testing::AssertionResult succeeded(const Result<T>& result) {
    if (result) return ::testing::AssertionSuccess();
    return ::testing::AssertionFailure() << result.error().code << ": " << result.error().text();
}

}  // namespace greywright::testing

#pragma once

#include <span>

namespace greywright::colour {

/// Replaces every value by its cube root, to within two units in the last place.
/// Valid: finite values from 1/128 up; fast below 2.
/// Source: own work: a table at 128 places per octave gives the nearest cube root r of a number c, and the
/// binomial series of (1 - e)^(1/3), e = 1 - x/c, |e| < 0.004, the rest.
void cubeRoots(std::span<double> values);

}  // namespace greywright::colour

#pragma once

#include <cstdint>

namespace greywright {

/// A stream of random numbers that is the same on every machine and with every compiler, unlike the
/// distributions of the standard library. Thread: one stream a thread.
/// Source: SplitMix64, Steele, Lea and Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014;
/// normal deviates by the polar method of Marsaglia and Bray (1964).
class Random {
  public:
    explicit Random(std::uint64_t seed) : state_(seed) {}

    /// 64 random bits.
    [[nodiscard]] std::uint64_t bits();
    /// Uniform in [0, 1).
    [[nodiscard]] double uniform();
    /// Uniform between two bounds.
    [[nodiscard]] double uniform(double low, double high) { return low + (high - low) * uniform(); }
    /// Standard normal.
    [[nodiscard]] double normal();

  private:
    std::uint64_t state_;
    double spare_ = 0;
    bool hasSpare_ = false;
};

}  // namespace greywright

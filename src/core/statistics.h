#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

namespace greywright {

/// The share of a standard normal distribution below z.
[[nodiscard]] double normalBelow(double z);

/// The z below which a share of a standard normal distribution lies, to about 1e-14.
/// Valid: 0 < share < 1.
[[nodiscard]] double normalQuantile(double share);

/// Points that fill a unit cube evenly, far more so than random ones: Halton's sequence with its digits
/// permuted at random.
/// Source: J. H. Halton (1960), Numerische Mathematik 2, 84-90; permuted digits after Braaten and Weller
/// (1979), J. Comput. Phys. 32, 249-258.
class EvenPoints {
  public:
    /// `seed` chooses the permutations. Valid: 1 to 16 dimensions.
    EvenPoints(std::size_t dimensions, std::uint64_t seed);

    /// Point `index`. Shape: one coordinate per dimension, each inside (0, 1).
    [[nodiscard]] std::vector<double> at(std::size_t index) const;

  private:
    struct Dimension {
        std::vector<std::size_t> digits;  ///< what stands for 0, 1 .. base - 1
        double shift = 0;
    };
    std::vector<Dimension> dimensions_;
};

}  // namespace greywright

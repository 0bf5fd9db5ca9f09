#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace greywright::measure {

/// What a patch was meant to be and what it measured, in the order of measuring.
struct ToneAndLightness {
    double tonePercent = 0;
    double lightness = 0;
};

/// How far lightness rises, against all reason, towards darker tones: the largest rise above an earlier
/// minimum. Shape: any order; equal tones count as one. Units: L*.
struct Rise {
    double lightness = 0;
    double fromTonePercent = 0;
    double toTonePercent = 0;
};
[[nodiscard]] Rise largestRise(std::vector<ToneAndLightness> patches);

/// A mistake in the order of measuring that explains what was measured. Counts are 1-based, as people count.
struct OrderMistake {
    enum class Kind { swapped, reversed } kind = Kind::swapped;
    std::size_t firstFrom = 0;
    std::size_t firstTo = 0;
    std::size_t secondFrom = 0;  ///< swapped only
    std::size_t secondTo = 0;

    /// The likely order in words: "1-5, 11-15, 6-10, 16-21".
    [[nodiscard]] std::string likelyOrder(std::size_t count) const;
};

/// Whether exchanging two blocks of equal length, or turning one block round, makes lightness fall with tone
/// all the way. Cost: quadratic in the number of patches; nothing beyond 600.
[[nodiscard]] std::optional<OrderMistake> likelyOrderMistake(const std::vector<ToneAndLightness>& patches);

}  // namespace greywright::measure

#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

/// The arithmetic of prepared pictures, without reading or writing; for this module's sources and for those
/// who measure its speed.
namespace greywright::picture {

/// Hands out the codes that a table holds for each code of a grey picture.
class CodeTable {
  public:
    /// Shape: the channels, 1 or 3, of each entry side by side; one entry for each code of the picture.
    CodeTable(std::span<const std::uint16_t> codes, std::size_t channels);

    [[nodiscard]] std::size_t channels() const { return channels_; }

    /// Valid: codes below the number of entries. Shape: `out` has room for `grey.size()` times the channels.
    /// Thread: any number of calls at once.
    void apply(std::span<const std::uint8_t> grey, std::uint16_t* out) const;
    void apply(std::span<const std::uint16_t> grey, std::uint16_t* out) const;

  private:
    template <typename Code>
    void look(std::span<const Code> grey, std::uint16_t* out) const;

    std::size_t channels_;
    std::vector<std::uint16_t> single_ = {};
    std::vector<std::array<std::uint16_t, 4>> triple_ = {};  // as wide as one load; the fourth is not used
};

/// Codes of 16 bits for places between the entries of a table, by the straight line from one to the next.
class BetweenCodes {
  public:
    /// Shape: 65,536 entries of 1 or 3 channels.
    BetweenCodes(std::span<const std::uint16_t> codes, std::size_t channels);

    [[nodiscard]] std::size_t channels() const { return channels_; }

    /// Valid: `place` 0 .. 65535.
    void at(double place, std::uint16_t* out) const {
        const auto below = static_cast<std::size_t>(place);
        const double share = place - static_cast<double>(below);
        const std::uint16_t* low = codes_.data() + below * channels_;
        for (std::size_t c = 0; c < channels_; ++c) {
            const double rise = static_cast<double>(low[c + channels_]) - low[c];
            out[c] = static_cast<std::uint16_t>(low[c] + share * rise + 0.5);
        }
    }

  private:
    std::size_t channels_;
    std::vector<std::uint16_t> codes_;  // the last entry twice, so that there is always a next one
};

/// 8 bits from 16, with an ordered dither of 16 x 16 pixels that depends on the place in the picture alone.
/// The mean of a flat area of 16 x 16 pixels is that of the 16 bits to within 1/256 of a code, and of any 16
/// pixels in a row or column to within 1/16; a multiple of 257 stays as it is, and all channels step
/// together. Source: thresholds added by place: B. E. Bayer, "An optimum method for two-level rendition of
/// continuous-tone pictures", IEEE International Conference on Communications, 1973, from memory; their order
/// is our own.
void dither(std::span<const std::uint16_t> codes, std::size_t channels, std::size_t left, std::size_t row,
            std::uint8_t* out);

}  // namespace greywright::picture

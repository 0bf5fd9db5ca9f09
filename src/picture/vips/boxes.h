#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

/// Making pictures smaller and turning them; for this module's sources only.
namespace greywright::picture {

/// Takes rows of a picture from top to bottom and keeps the means of boxes of factor x factor pixels, rounded
/// to whole codes of 16 bits; codes of 8 bits are scaled by 257. Exact: sums are whole numbers.
class Boxes {
  public:
    Boxes(std::size_t width, std::size_t height, std::size_t channels, std::size_t factor);

    /// The least factor by which a picture has no more than `mostPixels`, or is one pixel wide or high.
    [[nodiscard]] static std::size_t factorFor(std::size_t width, std::size_t height, std::size_t mostPixels);

    void add(const std::uint8_t* row) { addSamples(row); }
    void add(const std::uint16_t* row) { addSamples(row); }

    [[nodiscard]] std::size_t width() const { return width_; }
    [[nodiscard]] std::size_t height() const { return height_; }
    [[nodiscard]] std::vector<std::uint16_t> take() { return std::move(codes_); }

  private:
    template <typename Sample>
    void addSamples(const Sample* row);
    void finishRow(double scale);

    std::size_t factor_;
    std::size_t width_;  ///< in boxes
    std::size_t height_;
    std::size_t channels_;
    std::size_t rowsDone_ = 0;
    std::vector<std::uint32_t> columns_;  ///< sums over the rows of the present boxes
    std::vector<std::uint16_t> codes_;
};

/// What an orientation of 1 to 8 asks for; other numbers are 1. Source: TIFF 6.0, tag 274.
struct Turned {
    std::size_t width = 0;
    std::size_t height = 0;
    std::vector<std::uint16_t> codes = {};
};
[[nodiscard]] Turned turned(std::vector<std::uint16_t> codes, std::size_t width, std::size_t height,
                            std::size_t channels, int orientation);

}  // namespace greywright::picture

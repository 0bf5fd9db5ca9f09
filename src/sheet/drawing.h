#pragma once

#include <array>
#include <vector>

#include "sheet/sheet.h"

/// What drawings look like. For the sources of this module only.
namespace greywright::sheet {

/// The tones of one drawing at any place of the page. Cost: about as much as a few dozen sines a place.
class Painter {
  public:
    explicit Painter(const Drawing& drawing);

    /// 0 .. 100. Units: mm. Valid: within the drawing; beside it, what would continue there.
    [[nodiscard]] double tonePercentAt(double xMm, double yMm) const;

  private:
    [[nodiscard]] double landscapeAt(double x, double y) const;
    [[nodiscard]] double skyAt(double x, double y) const;
    [[nodiscard]] double ridgeAt(std::size_t ridge, double x) const;
    [[nodiscard]] double coverage(double depth) const;

    Drawing drawing_;
    double aspect_;
    double softness_;
    std::array<std::array<double, 3>, 6> phases_{};
};

}  // namespace greywright::sheet

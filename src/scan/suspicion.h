#pragma once

#include <span>
#include <string>
#include <vector>

#include "core/result.h"
#include "scan/scan.h"

namespace greywright::scan {

/// A patch of the ramp for the checks of this file. Units: tone in percent; CIELAB as the picture says.
struct RampPoint {
    std::size_t index = 0;  ///< of the caller's
    double tonePercent = 0;
    colour::Lab lab = {};
    bool isDarkClipped = false;  ///< then without a colour
};

/// What a scanner's automatic correction leaves behind.
struct Ends {
    bool lightIsCut = false;
    bool darkIsCut = false;
};

/// Whether the ends of a ramp run together or against the end of what a picture can hold.
/// Model: three or more tones over 8 % at the light end, 12 % at the dark end, within 0.3 in L*; paper of L*
/// 99.3 or more; two or more patches without any light. A print alone does no more than half of that
/// (assumption).
[[nodiscard]] Ends endsOf(std::span<const RampPoint> ramp, const colour::Lab& paper);

/// Indices of the patches that look like nothing of this ramp: their tint is more than 10 from the middle of
/// the six nearest tones', or their L* more than 15 outside these: a finger, a label, another thing on top.
[[nodiscard]] std::vector<std::size_t> strangers(std::span<const RampPoint> ramp);

/// Whether three channels say the same at every pixel: a picture without any colour.
[[nodiscard]] bool isWithoutColour(const picture::Reduced& picture);

}  // namespace greywright::scan

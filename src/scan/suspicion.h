#pragma once

#include <optional>
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
    picture::Triple codes = {};  ///< of the picture, 0 .. 1
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

/// Whether red and blue follow from green at all but one pixel in a thousand, to two codes of 255: a grey
/// picture that was coloured, as in sepia. In what three channels saw, noise and the fringes of edges differ.
[[nodiscard]] bool isColouredGrey(const picture::Reduced& picture);

/// Whether the mean codes of areas, one in ten excepted, are the same in all channels to half a code of 255:
/// no print on any paper is so neutral in a scanner's eyes; a grey picture is, with or without noise.
[[nodiscard]] bool areWithoutTint(std::span<const picture::Triple> areas);

/// Why a scan seems to have been stretched, channel by channel or as a whole, without its ends being cut off;
/// empty when it does not. `paper` is the bare paper, as the scan itself has it.
/// Model: paper lighter than L* 97.5 (common practice: papers have 93 to 97); paper and darkest tone grey to
/// 1.5 codes of 255 where a tone between them is 4 off; five codes or more of 8 bits that are missing between
/// others. A stretch that leaves none of these cannot be seen.
[[nodiscard]] std::string stretchOf(const picture::Reduced& picture, std::span<const RampPoint> ramp,
                                    const colour::Lab& paper, const picture::Triple& paperCodes);

/// The tone that is most strongly tinted beside the paper, when that is by more than 12 units in the a*b*
/// plane: what a sepia or colour mode does, and few prints.
[[nodiscard]] const RampPoint* strongTint(std::span<const RampPoint> ramp, const colour::Lab& paper);

/// Standard deviation of a* and of b* of each patch by itself, from how far tones lie off the cubic through
/// the two on either side: what differs from place to place whatever its cause. Nothing where fewer than nine
/// tones, each another, are there. What the print itself wobbles counts as error, too.
[[nodiscard]] std::optional<double> scatterOf(std::span<const RampPoint> ramp);

}  // namespace greywright::scan

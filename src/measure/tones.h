#pragma once

#include <vector>

#include "core/result.h"
#include "measure/ramp.h"
#include "measure/reading.h"

namespace greywright::measure {

/// Where tones come from when the file has none.
struct ToneOptions {
    std::vector<double> tonesPercent = {};  ///< one per patch in the order of the reading; empty = not given
};

/// Finds the tone of every patch and checks that the reading can be what it claims to be.
///
/// Tones come from the reading's own (Patch::tonePercent), else from a device column (CMYK_K, K, GREY, RGB),
/// else from `options`; failing all, an unmistakable ramp gets evenly spaced tones and a note. K is ink: 0 is
/// paper. RGB is light: the maximum is paper. GREY may be either: the end that measured light is paper, and a
/// note says so. Where other inks take part, only rows of black alone are the ramp; where R, G and B differ,
/// the row is left out. Repeated tones are averaged, with a note.
/// Patches are never put in another order in silence: what looks like a mistake in measuring is refused, with
/// the order that is likely meant. A noisy or slightly uneven ramp, or one that is flat in the shadows,
/// passes. Errors: no-patches, patch-without-colour, wrong-number-of-tones, tone-out-of-range, tones-unknown,
/// tones-incomplete, device-value-out-of-range, grey-direction-unclear, no-black-ramp, ramp-upside-down,
/// strips-swapped, strip-reversed, ramp-not-monotone, repeated-tone-disagrees.
[[nodiscard]] Result<Ramp> rampFromReading(const Reading& reading, const ToneOptions& options = {});

}  // namespace greywright::measure

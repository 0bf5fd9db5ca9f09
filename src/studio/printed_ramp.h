#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "book/records.h"
#include "core/result.h"
#include "correct/neutralise.h"
#include "correct/tone.h"
#include "measure/ramp.h"

/// Ramps that were not printed; for the sources of this module only.
namespace greywright::studio {

/// The ramp at every whole percent if what it has at toneOf(t) stood at t: colours and spectra by straight
/// lines between its patches. Valid: a ramp from 0 to 100.
[[nodiscard]] measure::Ramp resampled(const measure::Ramp& ramp, const std::function<double(double)>& toneOf);

/// What a table's fit foretold. Errors: book-damaged.
[[nodiscard]] Result<measure::Ramp> predictedByTable(const book::CorrectionRecord& correction);

/// What was found when a correction was made, from the book's JSON; what is not understood is left out.
[[nodiscard]] std::vector<correct::BandPoint> bandIn(const book::CorrectionRecord& curve);

struct ForetoldTone {
    double tonePercent = 0;
    colour::Lab lab = {};
    double deltaE00 = 0;
    std::string remains = {};
};
[[nodiscard]] std::vector<ForetoldTone> foretoldIn(const book::CorrectionRecord& table);

/// What tint the tones of a print through a correction should have.
struct WantedTint {
    colour::TintAimKind kind = colour::TintAimKind::fade;
    colour::Toning toning = {};

    /// The tint at a lightness between the paper and the black of a ramp. Valid: a whole ramp.
    [[nodiscard]] colour::Tint at(const measure::Ramp& ramp, double L) const;
};

/// What a table was made for; for a curve and for none the paper's tint fading into neutral.
[[nodiscard]] WantedTint wantedIn(const std::optional<book::CorrectionRecord>& correction);

/// The index of the patch before a tone and the share of the way to the next. Valid: two patches or more.
struct Between {
    std::size_t before = 0;
    double share = 0;
};
[[nodiscard]] Between placeIn(const std::vector<measure::RampPatch>& patches, double tonePercent);

/// The colour at a tone, by straight lines.
[[nodiscard]] colour::Lab labAt(const measure::Ramp& ramp, double tonePercent);

}  // namespace greywright::studio

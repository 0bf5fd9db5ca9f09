#pragma once

#include <vector>

#include "colour/lab.h"
#include "colour/sheet_spectra.h"
#include "core/result.h"
#include "judge/notice.h"
#include "judge/scene.h"
#include "measure/ramp.h"

namespace greywright::judge {

/// The spectra of a ramp with the glow of the paper's brightener held apart as well as the readings allow:
/// from two (`second` is the same sheet measured again, one of the two being M2), from the shape of one under
/// M0 or M1, else not at all. Says by a note which it was. Valid: `ramp` has spectra; `second` may be null.
/// Notes: second-reading-unfit, glow-measured, glow-estimated, glow-unknown.
[[nodiscard]] colour::SheetSpectra sheetOfRamp(const measure::Ramp& ramp, const measure::Ramp* second,
                                               std::vector<Note>& notes);

/// The patches of a sheet in a scene for the standard observer of 2 degrees, relative to the scene's own
/// white.
[[nodiscard]] std::vector<colour::Lab> labsUnder(const colour::SheetSpectra& sheet, const Scene& scene);

/// The ramp in a scene. Valid: `ramp` has spectra, and `sheet` came from it.
[[nodiscard]] measure::Ramp rampUnder(const measure::Ramp& ramp, const colour::SheetSpectra& sheet,
                                      const Scene& scene);

/// What viewers are to see: the ramp, with paper and black lent by another reading of the condition where it
/// lacks them. `sheet` and `referenceSheet` as from sheetOfRamp(), or null without spectra.
[[nodiscard]] NoticeSubject subjectOfRamp(const measure::Ramp& ramp, const colour::SheetSpectra* sheet,
                                          const measure::Ramp* reference,
                                          const colour::SheetSpectra* referenceSheet,
                                          colour::TintAimKind aim);

/// How far from flat a tone's spectrum is: the standard deviation, over 420 to 680 nm, of its reflectance
/// over the paper's, in percent of the mean. 0 is a grey that is the paper's own colour in every light and
/// for every eye. Shape: reflectances on kFineGrid, without glow.
[[nodiscard]] double unevennessPercent(const std::vector<double>& reflectance,
                                       const std::vector<double>& paper);

}  // namespace greywright::judge

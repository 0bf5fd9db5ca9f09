#pragma once

#include <span>

#include "figure/plot.h"
#include "judge/judge.h"
#include "judge/notice.h"

/// Who would notice the tint of a print, and under which light, as figures.
namespace greywright::studio {

/// Scenes by tones: the share who notice each tone beside something neutral, at last that of the whole print.
/// Of the tones that were judged every so many are shown, eleven at most and always the one that most
/// notice, which is framed.
/// Shape: one tone for each entry of besideByTone, patches lent by another sheet included.
[[nodiscard]] figure::Cells lightsByTones(const judge::Notice& notice, std::span<const double> tonesPercent);

/// Scenes by ages: the share who notice beside something neutral. Without rows where all are of one age.
[[nodiscard]] figure::Cells lightsByAges(const judge::Notice& notice);

/// What each viewer's own eyes make of the worst tone: how it lies from the aim in the a*b* plane, with the
/// mean and an outline that holds 95 %. Units: CIELAB, each viewer's own.
[[nodiscard]] figure::Plot viewersOnThePlane(const judge::SceneNotice& scene);

/// The same for the scene where fewest notice and the one where most do.
[[nodiscard]] figure::Plot viewersOnThePlane(const judge::Notice& notice);

/// The factor that brings the largest tint of `patches` near ten CIELAB units: 1, 2, 3, 5, 8, 10, 15 or 20.
[[nodiscard]] double tintFactor(std::span<const judge::PatchVerdict> patches);

/// Tones as aimed, as measured, and with the distance from the aim multiplied, where the factor is more than
/// 1: the patches nearest to the tones asked for. Colours beyond the screen's are cut off.
/// Valid: factor from 1 on.
/// Source: sRGB (IEC 61966-2-1), the screen's white standing for the light's.
[[nodiscard]] figure::Strip magnifiedTint(std::span<const judge::PatchVerdict> patches,
                                          std::span<const double> tonesPercent, double factor);

}  // namespace greywright::studio

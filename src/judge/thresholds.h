#pragma once

/// Where the lines are drawn between what is good, what can be seen and what is plain. None of these figures
/// is a law of nature: each says where it comes from, and docs/methods/judging.md says how far to trust it.
/// Units: CIEDE2000 unless the name says otherwise.
namespace greywright::judge {

/// Up to here nobody is likely to see a tint. Side by side, half the people see a difference of 0.8 (Paravina
/// et al. 2015, from memory; reviews of 48 studies put it at 1 CIELAB unit: Khashayar et al. 2014), and a
/// print on a wall has no neutral beside it.
inline constexpr double kNobodySeesDeltaE00 = 1.0;

/// Above this a tint is plain. Pictures differ visibly from about 2.2 (Stokes, Fairchild and Berns 1992, from
/// memory) to 2.5 (Song and Luo 2001) on average.
inline constexpr double kPlainDeltaE00 = 2.0;

/// The difference that half the people see between two patches that touch (Paravina et al. 2015, from
/// memory).
inline constexpr double kJustPerceptibleDeltaE00 = 0.8;

/// A tint is judged from this tone on: paler tones are all but paper. Units: percent.
inline constexpr double kPalestJudgedTonePercent = 5;

/// How far L* may lie from the straight line over a broad part of the ramp before the eye can tell, weighted
/// for lightness as CIEDE2000 does: the picture threshold again, for a tone scale has no straight one beside
/// it.
inline constexpr double kBroadDeparture = 2.0;

/// How far one tone may lie from the straight line between its neighbours: a gradation is its own reference,
/// so the side-by-side figure holds (1 CIELAB unit, Khashayar et al. 2014).
inline constexpr double kLocalDeparture = 1.0;

/// Neighbours farther apart than this say nothing about a local step, and nothing is interpolated between
/// them (our choice: the steps of a ramp of eight, and a little). Units: percent of tone.
inline constexpr double kWidestGapPercent = 15;

/// A rise of L* towards darker tones up to this is instrument and print, not the driver: repeatability of 0.1
/// to 0.2 a patch, as a difference of two (common practice). Units: L*.
inline constexpr double kRepeatabilityL = 0.3;

/// A zone of the ramp below this distance in the a*b* plane has no direction worth a word: measurement noise
/// (judgement, as for the tolerances of grey balance in printing). Units: delta Ch.
inline constexpr double kZoneNoiseDeltaCh = 0.5;

/// Two zones of a ramp farther apart than this supply each other's reference: a tint that turns (judgement,
/// from the side-by-side figure). Units: delta Ch.
inline constexpr double kTurnDeltaCh = 1.0;

/// Directions nearer than this are one direction: the width of one colour word. Units: degrees of hue.
inline constexpr double kTurnDegrees = 45;

/// L* taken for a maximum black that was not measured: a usual one on matt and glossy papers (common
/// practice; the aim's tint in mid-tones hardly depends on it). Units: L*.
inline constexpr double kTypicalBlackL = 15;

/// 90 % of normal deviates lie within so many standard deviations to either side.
inline constexpr double k90 = 1.645;

/// Where highlights end and shadows begin (our choice). Units: percent of tone.
inline constexpr double kHighlightsEndPercent = 30;
inline constexpr double kShadowsBeginPercent = 70;

}  // namespace greywright::judge

#pragma once

#include <array>
#include <span>
#include <string_view>
#include <vector>

#include "colour/aim.h"
#include "colour/lab.h"
#include "core/result.h"
#include "correct/table.h"
#include "correct/tone.h"

namespace greywright::correct {

/// A patch of a near-neutral sheet.
struct NeutralPatch {
    Codes codes = {};
    colour::Lab lab = {};  ///< D50, 2 degrees
    /// The same in each light that is asked for, relative to its own white; empty where none is.
    std::vector<colour::Lab> under = {};
};

/// Tone and tint that a table is to follow together.
struct NeutralAim {
    ToneAim tone = ToneAim::even();
    colour::TintAimKind tint = colour::TintAimKind::fade;
    double fadeFraction = 0.85;
    colour::Toning toning = {};

    /// The colour of a tone between a paper and a black.
    [[nodiscard]] colour::Lab at(double tonePercent, const colour::Lab& paper, double blackL) const;
};

/// Why a tone does not meet its aim.
enum class Remains {
    nothing,     ///< predicted within half a unit
    range,       ///< a channel is at the end of its range: these inks reach no farther
    smoothness,  ///< following the aim would bend the channels more than the readings support
    lights,      ///< what suits one light does not suit another: these inks are metameric
};

/// "nothing", "range reached", "smoothness" or "lights disagree".
[[nodiscard]] std::string_view textFromRemains(Remains remains);

/// What is foretold for one tone of the table.
struct NeutralTone {
    double tonePercent = 0;
    colour::Lab aim = {};
    colour::Lab predicted = {};
    double deltaE00 = 0;  ///< CIEDE2000 from prediction to aim, lightness included; of the worst light
    std::vector<double> deltaE00Under = {};  ///< of each light that was asked for
    std::vector<colour::Lab> under = {};     ///< what is foretold in each of them
    Remains remains = Remains::nothing;
};

struct NeutralOptions {
    int rows = 65;  ///< of the table; 17 to 257
    /// How much each light of NeutralPatch::under counts; empty = D50 decides. Lightness is always D50's.
    /// Valid: above 0.
    std::vector<double> lightWeights = {};
};

/// A table and what it rests on.
struct NeutralFit {
    NeutralTable table = {};
    std::vector<NeutralTone> tones = {};  ///< a row of the table each
    NeutralTone worst = {};               ///< of tones of 5 % and more
    colour::Lab paper = {};
    colour::Lab black = {};  ///< of codes 0, 0, 0: the table's black may be a little lighter and more neutral
    std::array<double, 3> noise = {};  ///< standard deviation of one patch's L*, a*, b* as found
};

/// One near-neutral sheet: around which table it was made, and what was read.
struct NeutralRound {
    NeutralTable around = {};
    std::vector<NeutralPatch> patches = {};
};

/// The table of greys to codes that follows tone and tint aim together along the whole ramp.
///
/// L*, a*, b* are fitted locally as functions of red, green and blue, and all rows are solved at once:
/// squared departures in near-neutral CIEDE2000 and the bending of all three channels, inside 0 .. 65535,
/// paper kept at full codes. With lights the tints in all of them count by their weights. Later rounds take
/// earlier sheets along, so that how single prints differ is averaged; a ramp printed through the latest
/// table will do for one. Gives a table that darkens at every step or none. See docs/methods/correcting.md.
/// Shape: one round or more, the latest last. Errors: too-few-patches (fewer than 40 in all), no-paper,
/// no-black (codes all full, all 0), no-neighbours (next to nothing but greys), no-range, not-monotone.
[[nodiscard]] Result<NeutralFit> neutralise(std::span<const NeutralRound> rounds, const NeutralAim& aim = {},
                                            const NeutralOptions& options = {});

/// The codes of a sheet around a table for the next round: greys at equal steps of tone with six colours of
/// equal sum around each at every step size; what would leave the range is left out.
/// Units: steps in percent of the whole range. Valid: 2 greys or more.
[[nodiscard]] std::vector<Codes> sheetAround(const NeutralTable& table, int greys,
                                             std::span<const double> stepsPercent);

}  // namespace greywright::correct

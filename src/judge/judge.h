#pragma once

#include <optional>
#include <string>
#include <vector>

#include "colour/aim.h"
#include "colour/lab.h"
#include "core/result.h"
#include "judge/notice.h"
#include "judge/scene.h"
#include "measure/ramp.h"

namespace greywright::judge {

/// What is asked of a judgement.
struct Options {
    colour::TintAimKind aim = colour::TintAimKind::fade;
    colour::Toning toning = {};      ///< a tone on purpose, added to the aim
    std::vector<Scene> scenes = {};  ///< beside D50, which is always answered
    double d50Lux = kUsualLux;       ///< the level at which D50 is answered
    /// The same sheet read again, one of the two under M2: tells what the paper's brightener adds.
    std::optional<measure::Ramp> second = {};
    std::optional<NoticeOptions> viewers = {};  ///< whom to ask; empty = nobody
    /// A picture's share of area by lightness, L* 0..100 in 101 bins; empty = the worst tone decides.
    std::vector<double> pictureShares = {};
    /// Another reading of the same condition, for the paper and the black that the ramp itself lacks.
    std::optional<measure::Ramp> reference = {};
};

/// How much of a tint there is to see.
enum class TintLevel {
    none,     ///< nobody is likely to see it
    slight,   ///< many see it beside a neutral, few on a wall
    plain,    ///< seen without looking for it
    unknown,  ///< the reading is not certain enough to tell whether there is anything to mend
};

/// "none", "slight", "plain" or "cannot-tell".
[[nodiscard]] std::string_view textFromLevel(TintLevel level);

/// The level of a worst tone. Units: CIEDE2000 to the aim at equal L*.
[[nodiscard]] TintLevel levelFromDeltaE00(double worst);

/// One tone against the aim at its own lightness.
struct PatchVerdict {
    double tonePercent = 0;
    colour::Lab lab = {};   ///< D50, 2 degrees
    colour::Tint aim = {};  ///< the tint aim at lab.L
    double aimL = 0;        ///< the tone aim: on the straight line from paper to black; lab.L without them
    double deltaCh = 0;     ///< to the tint aim
    double deltaE00 = 0;    ///< to the tint aim at equal L*
    std::optional<double> unevennessPercent =
        {};  ///< of the spectrum, see sheet_of_ramp.h; absent without one
};

/// Tone from paper white to maximum black. What the ramp cannot answer is absent, and a note says why.
struct ToneVerdict {
    std::optional<bool> even = {};      ///< as far as the eye can tell
    std::optional<bool> monotone = {};  ///< every tone darker than the one before, within repeatability
    /// The largest distance of L* from the straight line, never negative. Units: L*.
    std::optional<double> worstDepartureL = {};
    double worstDepartureTonePercent = 0;
    bool worstDepartureIsLighter = false;  ///< above the line: that tone is too light
    double worstDepartureSeen = 0;         ///< the largest departure as the eye weighs it: CIEDE2000
    std::optional<double> unevenAtTonePercent = {};      ///< where tone fails worst, when it does
    std::optional<double> firstVisibleTonePercent = {};  ///< just perceptible beside bare paper
    std::optional<double> shadowSeparationL = {};        ///< L* at 95 % less L* at 100 %
    bool cannotTell = false;    ///< even or monotone is absent since the reading is not certain enough
    double departureError = 0;  ///< standard deviation of worstDepartureSeen; 0 for an instrument's
    std::string words = {};
};

/// The worst tone of 5 % and more in one scene, a light at a level.
struct LightVerdict {
    std::string name = {};
    std::string description = {};
    double lux = 0;
    std::string glazing = {};  ///< empty = none
    double worstTonePercent = 0;
    double deltaE00 = 0;                     ///< to the aim under that light, relative to its own white
    std::optional<double> deltaE00Low = {};  ///< as TintVerdict::worstDeltaE00Low
    std::optional<double> deltaE00High = {};
    colour::Tint tint = {};  ///< how the worst tone lies from the aim
    TintLevel level = TintLevel::none;
    std::optional<SceneNotice> notice = {};  ///< what a population of viewers says; absent without one
};

/// The mean tint of one part of the ramp against the aim.
struct ZoneVerdict {
    std::string name = {};  ///< "highlights", "mid-tones" or "shadows"
    colour::Tint tint = {};
    double worstDeltaE00 = 0;
    std::string words = {};  ///< "towards red", or "neutral"
};

/// Tint against the aim, D50.
struct TintVerdict {
    TintLevel level = TintLevel::none;
    double worstDeltaE00 = 0;
    std::optional<double> worstDeltaE00Low = {};  ///< 90 % interval; absent for an instrument's reading
    std::optional<double> worstDeltaE00High = {};
    double worstTonePercent = 0;
    colour::Tint worst = {};     ///< how the worst tone lies from the aim
    std::string direction = {};  ///< "towards red", "red in the highlights, green in the shadows", or "none",
                                 ///< or "unknown"
    bool turns = false;          ///< along the ramp, by more than can be told
    double turnDeltaCh = 0;      ///< the largest distance between two zones
    std::vector<ZoneVerdict> zones = {};  ///< those that have tones, highlights first
    std::string advice = {};  ///< what to ask of a tint control; empty where nothing is to be done
};

/// What a ramp is worth, in figures and words.
struct Verdict {
    colour::TintAimKind aim = colour::TintAimKind::fade;  ///< the one judged by; see notes
    std::optional<colour::Lab> paper = {};
    std::optional<colour::Lab> black = {};
    std::optional<double> visualDensityBlack = {};  ///< absolute
    ToneVerdict tone = {};
    std::vector<PatchVerdict> patches = {};
    std::vector<LightVerdict> lights = {};  ///< D50 first
    std::optional<Notice> notice = {};      ///< over all lights; absent without viewers
    /// Unevenness of the greys' spectra, the largest from 10 to 90 % tone. Units: percent.
    std::optional<double> unevennessPercent = {};
    double unevennessTonePercent = 0;
    TintVerdict tint = {};
    std::string summary = {};
    bool isGood = false;  ///< under D50 nothing that anybody is likely to see: no adjusting
    std::vector<Note> notes = {};
};

/// Judges tone and tint of a ramp by the standard observer of 2 degrees, and asks viewers where there are
/// any.
///
/// Tint: the worst CIEDE2000 to the aim at equal L* over tones of 5 % and more. Tone: L* against the straight
/// line from paper to maximum black, weighted as CIEDE2000 weighs lightness. A ramp with an uncertainty is
/// judged within it: levels may be `unknown`, and nothing is called good that might not be. See
/// docs/methods/judging.md.
/// Valid: patches in ascending order of tone; with a grid, a spectrum for each patch.
/// Errors: no-patches, no-tones (nothing of 5 % and more), stopped. Notes: no-paper, no-black, few-tones,
/// no-spectra, viewers-without-spectra, picture-tones, light-without-paper, uncertain-reading,
/// viewers-uncertain, and those of sheetOfRamp().
[[nodiscard]] Result<Verdict> judge(const measure::Ramp& ramp, const Options& options = {});

}  // namespace greywright::judge

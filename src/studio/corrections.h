#pragma once

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "book/records.h"
#include "colour/aim.h"
#include "correct/neutralise.h"
#include "correct/tone.h"
#include "judge/judge.h"
#include "judge/notice.h"
#include "measure/ramp.h"
#include "steer/control.h"

namespace greywright::studio {

/// Who is asked whether they notice.
struct ViewerRequest {
    std::size_t count = 1000;  ///< 0 = nobody
    double youngestYears = 20;
    double oldestYears = 75;
    double fieldDegrees = 2;
    std::uint64_t seed = 1;
    std::string named = {};  ///< a viewer kept in the book, in place of a population
};

/// What lightness the tones of a condition should have.
struct ToneAimChoice {
    enum class Kind { even, gamma, condition };
    Kind kind = Kind::even;
    double gamma = 1;
    std::string condition = {};  ///< whose measured tone is to be matched
};

struct CurveRequest {
    std::optional<int> trial = {};  ///< absent: the latest whole ramp
    ToneAimChoice aim = {};
    std::optional<double> repeatabilityL = {};  ///< as correct::CurveOptions
    bool force = false;
    std::filesystem::path out = {};  ///< for the curve's text; empty: only the book has it
    std::string when = {};
};

/// A print and how it stood to the tone aim.
struct RoundWorth {
    int trial = 0;
    int through = 0;  ///< number of the correction that it was printed through; 0 = none
    correct::Departure worst = {};
};

/// A curve that is now in the book.
struct MadeCurve {
    book::CorrectionRecord record = {};
    correct::CurveFit fit = {};
    std::vector<RoundWorth> rounds = {};  ///< the latest last
    std::string printedAt = {};           ///< setting and choices of the prints, for people; may be empty
    std::vector<Note> notes = {};
};

struct TableRequest {
    ToneAimChoice tone = {};
    colour::TintAimKind tint = colour::TintAimKind::fade;
    std::optional<colour::Toning> toning = {};  ///< a tone on purpose
    std::vector<steer::LightGoal> lights = {};  ///< empty: D50
    ViewerRequest viewers = {};                 ///< who looks at what is foretold
    std::filesystem::path out = {};             ///< for the table's text; empty: only the book has it
    std::string when = {};
    std::function<bool(double)> goOn =
        {};  ///< told the share of viewers asked; false stops it, before storing at the latest
};

/// How a tone on purpose will look. Shares of viewers, 0..1.
struct Toned {
    judge::Share beside = {};    ///< who notice it beside a neutral
    judge::Share alone = {};     ///< alone on a wall
    judge::Share overdone = {};  ///< who would call it overdone: an assumption, see correcting.md
    double strongestTonePercent = 0;
    double distance = 0;  ///< there, from the aim without it, CAM16-UCS
};

/// Who would notice what is foretold. All have the standard observer's eyes, for a table tells no spectra:
/// people who see such a grey differently are not counted.
struct ForetoldNotice {
    std::string light = {};
    judge::Share beside = {};  ///< beside a neutral
    judge::Share alone = {};   ///< alone on a wall
};

/// A table that is now in the book.
struct MadeTable {
    book::CorrectionRecord record = {};
    correct::NeutralFit fit = {};
    std::vector<std::string> lights = {};     ///< of NeutralTone::deltaE00Under
    std::vector<RoundWorth> rounds = {};      ///< ramps through earlier tables; the departure is CIEDE2000
    std::vector<ForetoldNotice> notice = {};  ///< D50 or each light; none with a tone on purpose
    std::optional<Toned> toned = {};
    std::vector<Note> notes = {};
};

/// What a condition prints through a correction, or without one.
struct PrintedRamp {
    measure::Ramp ramp = {};
    int trial = 0;                 ///< the print that was measured, or that a prediction rests on
    bool isPredicted = false;      ///< nothing was printed through the correction yet
    std::string printedAt = {};    ///< setting and choices, for people; may be empty
    std::vector<Note> notes = {};  ///< uncertain-reading, trial-withdrawn
};

/// Which correction is meant. Absent: the latest. 0: none.
using CorrectionChoice = std::optional<int>;

struct PrepareRequest {
    std::vector<std::filesystem::path> pictures = {};
    std::filesystem::path out = {};  ///< a folder; or a file, for one picture
    std::string condition = {};
    CorrectionChoice correction = {};
    int bits = 16;
    std::string format = "tiff";  ///< of the files in a folder: "tiff" or "png"
    /// "grey" (gamma 2.2), "srgb", "p3", or an ICC profile's file, as of the sheets that the condition was
    /// measured with; empty: grey for a curve, srgb for a table.
    std::string encoding = {};
    std::optional<double> widthMm = {};
    std::optional<double> pixelsPerInch = {};
    bool replace = false;  ///< also where a file of that name stands
    /// Told which picture and the share of it done; false stops the work.
    std::function<bool(std::size_t, double)> goOn = {};
    std::string when = {};
};

/// One picture of many.
struct PreparedPicture {
    std::filesystem::path picture = {};
    std::filesystem::path file = {};  ///< empty: it could not be made
    std::size_t width = 0;
    std::size_t height = 0;
    double pixelsPerInch = 0;
    std::vector<Note> notes = {};
    std::optional<Error> error = {};
};

struct PreparedPictures {
    int correction = 0;     ///< 0 = none
    std::string made = {};  ///< what the correction is and for what, for people
    std::vector<PreparedPicture> pictures = {};
    std::vector<Note> notes = {};
};

struct ProofRequest {
    std::filesystem::path picture = {};
    std::filesystem::path out = {};  ///< ends in .png
    std::string condition = {};
    CorrectionChoice correction = {};
    std::string light = {};  ///< a scene or light; empty: D50
    double magnify = 1;      ///< of the tint's distance from the aim
    bool replace = false;
    std::function<bool(double)> goOn = {};
};

struct Proof {
    std::filesystem::path file = {};
    int correction = 0;
    int trial = 0;
    bool isPredicted = false;
    std::string light = {};
    double magnify = 1;
    std::vector<Note> notes = {};
};

/// A run of tones and how much of a picture lies in it.
struct ToneShare {
    double fromPercent = 0;
    double toPercent = 0;
    double share = 0;  ///< of the area, 0..1
};

/// What a picture would suffer from, before ink is spent.
struct PictureCheck {
    std::filesystem::path picture = {};
    int correction = 0;
    int trial = 0;
    bool isPredicted = false;
    std::optional<ToneShare> blockedShadows = {};     ///< not to be told from maximum black
    std::optional<ToneShare> blockedHighlights = {};  ///< not to be told from bare paper
    std::vector<ToneShare> tinted = {};               ///< where the tint would show
    double worstTintDeltaE00 = 0;                     ///< of tones that the picture has
    double worstTintTonePercent = 0;
    bool isGood = false;  ///< nothing of it on more than a hundredth of the area
    std::vector<Note> notes = {};
};

/// A picture that could not be checked.
struct FailedCheck {
    std::filesystem::path picture = {};
    Error error = {};
};

struct CheckRequest {
    std::filesystem::path picture = {};
    std::string condition = {};
    CorrectionChoice correction = {};
};

}  // namespace greywright::studio

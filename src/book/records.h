#pragma once

#include <array>
#include <cstddef>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "core/result.h"

/// What the book holds, as plain values. Times are UTC in ISO 8601 to the second ("2031-04-05T06:07:08Z")
/// and always come from the caller.
namespace greywright::book {

/// One axis of a driver's tint control, in the driver's own units.
struct AxisRecord {
    std::string name = {};
    double min = 0;
    double max = 0;
    double step = 0;

    bool operator==(const AxisRecord&) const = default;
};

/// A printing condition: printer, inks, paper and monochrome mode, with the tint control it offers.
struct ConditionRecord {
    std::string name = {};  ///< unique in the book
    std::string printer = {};
    std::string inks = {};
    std::string paper = {};
    std::string mode = {};
    std::vector<AxisRecord> axes = {};  ///< three at most; none = there is no tint control
    std::string when = {};              ///< when it was entered

    bool operator==(const ConditionRecord&) const = default;
};

/// What was put right in how a condition had been entered.
struct ConditionChangeRecord {
    std::string what = {};  ///< for people, e.g. "paper: Chalk Rag -> Chalk Smooth"
    std::string when = {};

    bool operator==(const ConditionChangeRecord&) const = default;
};

/// What one axis was set to.
struct AxisValue {
    std::string axis = {};
    double value = 0;

    bool operator==(const AxisValue&) const = default;
};

/// One value for each axis.
using Setting = std::vector<AxisValue>;

/// Equally spaced wavelengths. Units: nm.
struct GridRecord {
    double startNm = 0;
    double stepNm = 0;
    std::size_t count = 0;

    bool operator==(const GridRecord&) const = default;
};

/// CIELAB for D50 and 2 degrees.
struct LabRecord {
    double L = 0;
    double a = 0;
    double b = 0;

    bool operator==(const LabRecord&) const = default;
};

/// One measured patch.
struct PatchRecord {
    std::string name = {};
    std::optional<double> tonePercent = {};  ///< 0 bare paper .. 100 maximum black
    std::optional<LabRecord> lab = {};
    std::vector<double> reflectance = {};  ///< fractions on the reading's grid; empty without a spectrum
    std::size_t line = 0;                  ///< line of the file it came from; 0 = unknown
    /// What was sent to red, green and blue, where the sheet has colours. Units: 0 .. 65535, full light =
    /// 65535.
    std::optional<std::array<double, 3>> codes = {};

    bool operator==(const PatchRecord&) const = default;
};

/// How far a scan or photograph may be off. Units: standard deviations of a* and of b*, each.
struct UncertaintyRecord {
    double shared = 0;  ///< the same way for all patches
    double own = 0;     ///< of each patch by itself

    bool operator==(const UncertaintyRecord&) const = default;
};

/// What was measured from one sheet, as it was understood when the file was read.
struct ReadingRecord {
    std::string fileName = {};  ///< the original file as the user named it
    std::string sha256 = {};    ///< of the original file; the book fills it in
    std::string format = {};
    std::string conditionM = {};  ///< ISO 13655: "M0".."M3"; empty = unknown
    std::string instrument = {};
    std::string created = {};                           ///< as the file says
    std::optional<GridRecord> grid = {};                ///< present when the patches carry spectra
    std::optional<UncertaintyRecord> uncertainty = {};  ///< of scans and photographs
    std::vector<Note> notes = {};                       ///< what the reader doubted
    std::vector<PatchRecord> patches = {};
    std::string when = {};  ///< when it was read into the book

    [[nodiscard]] bool isSpectral() const { return grid.has_value(); }
};

/// A reading to be kept, with the bytes of the file it came from.
struct NewReading {
    ReadingRecord reading = {};
    std::string originalFile = {};  ///< kept byte for byte
    bool evenIfReadBefore = false;  ///< take it although the same bytes stand in this condition already
};

/// A trial to be entered: one sheet printed at one setting, measured already or not yet.
struct NewTrial {
    Setting setting = {};                             ///< every axis once, in any order
    std::map<std::string, std::string> choices = {};  ///< the driver's named choices, e.g. tone = dark
    std::string when = {};
    std::optional<NewReading> reading = {};
    int through = 0;  ///< number of the correction that the sheet was printed through; 0 = none
};

/// How many trials a condition has, without what was measured.
struct TrialCounts {
    std::size_t counting = 0;  ///< not withdrawn
    int lastMeasured = 0;      ///< number of the latest of these that has a reading; 0 = none
};

/// A trial as the book holds it.
struct TrialRecord {
    int number = 0;        ///< 1, 2, 3 .. within the condition; never given twice
    Setting setting = {};  ///< in the order of the condition's axes
    std::map<std::string, std::string> choices = {};
    int through = 0;  ///< number of the correction that the sheet was printed through; 0 = none
    std::string when = {};
    std::optional<std::string> withdrawnBecause = {};  ///< present when the trial no longer counts
    std::optional<std::string> withdrawnWhen = {};  ///< absent also for one withdrawn in a book of version 1
    std::vector<ReadingRecord> readings = {};       ///< in the order they were read

    [[nodiscard]] bool isWithdrawn() const { return withdrawnBecause.has_value(); }
};

/// What was concluded at a trial. The book keeps the JSON text and does not look into it.
struct VerdictRecord {
    int trial = 0;
    std::string kind = {};  ///< e.g. "judge" or "steer"
    std::string json = {};
    std::string when = {};

    bool operator==(const VerdictRecord&) const = default;
};

/// How much one light brings to a mix.
struct LightShareRecord {
    std::string light = {};  ///< name of a light, of this book or one that ships
    double share = 0;        ///< above 0, relative to the other parts

    bool operator==(const LightShareRecord&) const = default;
};

/// A light of the studio's own: a measured spectrum, or a mix of other lights.
struct LightRecord {
    std::string name = {};  ///< unique among the book's lights, whatever the case
    std::string description = {};
    std::string origin = {};                   ///< kind of file it came from, or "mix"
    GridRecord grid = {};                      ///< of `power`; nothing set where there is none
    std::vector<double> power = {};            ///< relative; may be empty for a mix
    std::vector<double> ultraviolet = {};      ///< as `power`, every nm from 300 nm; empty = not known
    std::vector<LightShareRecord> parts = {};  ///< of a mix
    std::string fileName = {};                 ///< the original file as the user named it
    std::string when = {};                     ///< when it was entered

    bool operator==(const LightRecord&) const = default;
};

/// A light to be kept, with the bytes of the file it came from.
struct NewLight {
    LightRecord light = {};
    std::string originalFile = {};  ///< kept byte for byte; empty for a mix
};

/// Where prints hang or are judged: a light, its level, and what stands in front of the print.
struct SceneRecord {
    std::string name = {};   ///< unique among the book's scenes, whatever the case
    std::string light = {};  ///< name of a light, of this book or one that ships
    double lux = 0;
    std::string glazing = {};  ///< name of a glazing, of this book or one that ships; empty = none
    std::string when = {};     ///< when it was entered

    bool operator==(const SceneRecord&) const = default;
};

/// What stands in front of a print.
struct GlazingRecord {
    std::string name = {};  ///< unique among the book's glazings, whatever the case
    std::string description = {};
    std::string origin = {};  ///< kind of file it came from
    GridRecord grid = {};
    std::vector<double> transmittance = {};  ///< fractions on `grid`
    std::string fileName = {};               ///< the original file as the user named it
    std::string when = {};                   ///< when it was entered

    bool operator==(const GlazingRecord&) const = default;
};

/// A glazing to be kept, with the bytes of the file it came from.
struct NewGlazing {
    GlazingRecord glazing = {};
    std::string originalFile = {};  ///< kept byte for byte
};

/// Somebody who looks at prints. Units: thresholds are distances in the a', b' plane of CAM16-UCS.
struct ViewerRecord {
    std::string name = {};  ///< unique among the book's viewers, whatever the case
    double ageYears = 0;
    double fieldDegrees = 2;
    std::optional<double> thresholdBeside = {};  ///< beside a neutral; absent = the program's assumption
    std::optional<double> thresholdAlone = {};   ///< alone on a wall; absent = the program's assumption
    std::string when = {};                       ///< when it was entered

    bool operator==(const ViewerRecord&) const = default;
};

/// A test sheet as it was designed.
struct SheetRecord {
    std::string code = {};  ///< printed on it; unique together with the name, whatever the case
    std::string name = {};
    std::string kind = {};
    std::string setting = {};  ///< of blocks: what they are printed at, e.g. "across=-8,up=0"; may be empty
    std::string definition = {};  ///< the text that sheet::sheetFromCgats() reads
    std::string when = {};        ///< when it was made last

    bool operator==(const SheetRecord&) const = default;
};

/// What was learned about a scanner or camera on one kind of paper.
struct DeviceRecord {
    std::string name = {};  ///< unique together with the paper, whatever the case
    std::string paper = {};
    std::string characterisation = {};  ///< the text that characterise::characterisationFromText() reads
    std::string picture = {};           ///< the files it was learned from, as the user named them
    std::string measurement = {};
    std::string when = {};  ///< when it was learned

    bool operator==(const DeviceRecord&) const = default;
};

/// A curve or a table that corrects what a condition prints.
struct CorrectionRecord {
    int number = 0;                ///< 1, 2, 3 .. within the condition; given by the book
    std::string kind = {};         ///< "curve" or "table"
    std::string content = {};      ///< the text that correct::ToneCurve or NeutralTable reads
    int replaces = 0;              ///< number of the correction it goes on from; 0 = none
    std::string aim = {};          ///< for people
    std::vector<int> trials = {};  ///< numbers of the trials it rests on, ascending
    std::string fingerprint = {};  ///< SHA-256 over the digests of their readings; the book fills it in
    std::string json = {};         ///< what was found; the book does not look into it
    std::string when = {};
    std::optional<std::string> withdrawnBecause = {};  ///< present when it is no longer to be used
    std::optional<std::string> withdrawnWhen = {};
};

/// A file that was made for a condition.
struct MadeFileRecord {
    int correction = 0;       ///< number of the correction that it was made with; 0 = none
    std::string kind = {};    ///< e.g. "picture", "profile"
    std::string source = {};  ///< the picture as the user named it; empty = none
    std::string file = {};    ///< what was written
    std::string when = {};

    bool operator==(const MadeFileRecord&) const = default;
};

}  // namespace greywright::book

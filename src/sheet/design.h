#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/result.h"
#include "sheet/sheet.h"

namespace greywright::sheet {

/// What the instrument needs: strips it is drawn along, or squares it is put down on.
enum class Instrument { strip, spot };

/// What every sheet carries. Valid: characters that the lettering has, see cannotBeLettered() and no more
/// than a line holds.
struct Title {
    std::string name = {};  ///< required
    std::string date = {};  ///< may be empty
};

/// Patches of a ramp as the instrument needs them. Units: mm. Valid: lengths of 4 to 60, gaps of 1 to 60.
struct PatchSizes {
    double lengthMm = 8;  ///< along the strip; the side of a square
    double widthMm = 12;  ///< across the strip; squares have the length both ways
    double gapMm = 4;     ///< from the words below one row to the next row; between squares
    double leadMm = 8;    ///< before and behind each strip; 0 to 60
};

/// Sizes that suit most instruments of a kind (common practice).
[[nodiscard]] PatchSizes usualSizes(Instrument instrument);

struct RampRequest {
    Title title = {};
    std::vector<double> tonesPercent = {};  ///< 11 to 101 of 0 .. 100, in the order of measuring
    Instrument instrument = Instrument::strip;
    PatchSizes sizes = {};
    std::optional<std::uint64_t> shuffle = {};  ///< the seed; unset = in the order given
    Page page = {};
};

/// From bare paper to maximum black in equal steps. Shape: `count` tones. Valid: 2 or more.
[[nodiscard]] std::vector<double> evenTones(std::size_t count);

/// A ramp in strips or squares, on as many pages as it needs. Before and behind each strip is a lead that is
/// black beside a light patch, and bare paper that ends at a line beside a dark one. Shuffled tones are
/// exchanged until neighbours in a strip differ by 10 % or more, as far as the tones allow. Errors:
/// tone-count, tone-out-of-range, size-out-of-range, page-out-of-range, margin-too-large, page-too-small,
/// text-missing, text-too-long, text-not-drawable; all of kind wrongUse.
[[nodiscard]] Result<Sheet> rampSheet(const RampRequest& request);

/// A block of a few tones in one place of a page that is fed again for each trial.
struct BlockRequest {
    Title title = {};
    std::vector<double> tonesPercent = {35, 50, 65};  ///< 1 to 4 of 0 .. 100, side by side
    double sideMm = 12;                               ///< of each tone's square; 6 to 40
    std::optional<int> places = {};    ///< 1 to 24; unset = as many as the page holds, up to 24
    int place = 1;                     ///< which of them is printed: 1-based, row by row
    std::string trial = {};            ///< e.g. "TRIAL 3"; required
    std::string setting = {};          ///< e.g. "across=-8,up=0"; broken behind commas; may be empty
    std::optional<bool> heading = {};  ///< title and lines to write on; unset = with place 1 only
    Page page = {};
};

/// How many places the page of a request holds, 0 .. 24. Errors: as blockSheet().
[[nodiscard]] Result<int> blockPlaces(const BlockRequest& request);

/// One trial's block, with trial, setting, tones and code in small words below it. Places lie where they do
/// whatever the trial is called, so that blocks of one request but for place, trial and setting never
/// overlap. Errors: as rampSheet(), and places-out-of-range, place-out-of-range.
[[nodiscard]] Result<Sheet> blockSheet(const BlockRequest& request);

/// Steps for eyes alone.
struct EyeRequest {
    Title title = {};
    std::vector<double> lightTonesPercent = {0.5, 1, 1.5, 2, 2.5, 3, 4, 5, 6, 8};       ///< on bare paper
    std::vector<double> darkTonesPercent = {99.5, 99, 98, 97, 96, 95, 93, 91, 88, 85};  ///< on maximum black
    std::uint64_t seed = 1;  ///< decides on which side each step is
    Page page = {};
};

/// Near-white steps on bare paper and near-black steps in a black field. Each step is in the left or in the
/// right half of its cell, by chance, so that whoever looks says where it is and cannot only believe to see
/// it; the label of a patch, e.g. "W3R", ends in the side, which is not printed. Errors: as rampSheet(); each
/// list has 2 to 20 tones.
[[nodiscard]] Result<Sheet> eyeSheet(const EyeRequest& request);

/// A ramp for a camera or a scanner.
struct CameraRequest {
    Title title = {};
    std::vector<double> tonesPercent = {};      ///< 11 to 101 of 0 .. 100
    std::optional<double> sideMm = {};          ///< of a square, 5 to 40; unset = as the page suggests
    std::optional<std::uint64_t> shuffle = {};  ///< the seed; unset = in the order given
    Page page = {};
};

/// Squares between eight markers, with bare paper around and between them, and a place for a neutral card.
/// Squares that are not given a size are as large as one page holds, 22 mm at most, or as few pages as will
/// do; 4 at most. Errors: as rampSheet().
[[nodiscard]] Result<Sheet> cameraSheet(const CameraRequest& request);

/// Greys with small steps of colour around each. Steps are in percent of the code's whole range.
struct NeutralRequest {
    Title title = {};
    std::vector<double> tonesPercent = evenTones(11);  ///< 1 to 33 of 0 .. 100
    std::vector<double> stepsPercent = {2.5, 5};       ///< 1 to 4 of 0.1 .. 20, each another
    Instrument instrument = Instrument::spot;
    bool hasMarkers = false;                          ///< for a camera or a scanner, whatever the instrument
    PatchSizes sizes = usualSizes(Instrument::spot);  ///< without markers
    std::optional<double> sideMm = {};                ///< with markers; as of a CameraRequest
    std::optional<std::uint64_t> shuffle = 1;  ///< unset = grey by grey, which strips cannot be read in
    Page page = {};
};

struct NeutralSheet {
    Sheet sheet = {};
    std::size_t leftOut = 0;  ///< colours that a step would have taken beyond paper or black
};

/// Around each grey, colours of equal R + G + B in six directions: towards red, yellow, green, cyan, blue and
/// magenta. A step of s percent towards red adds s to red and takes half of s from green and from blue;
/// towards cyan it is the other way round. What would leave 0 .. 65535 is left out. Errors: as rampSheet(),
/// with 1 to 33 tones; step-count, step-out-of-range.
[[nodiscard]] Result<NeutralSheet> neutralSheet(const NeutralRequest& request);

/// What eyes alone can tell of a whole print.
struct EyePictureRequest {
    Title title = {};
    std::vector<double> tonesPercent = {25, 50, 75};               ///< 1 to 5 of 10 .. 90
    std::vector<double> differencesPercent = {0.5, 1, 1.5, 2, 3};  ///< 1 to 10 of 0.1 .. 10
    std::uint64_t seed = 1;  ///< which halves are darker, and the shape of the picture
    Page page = {};
};

/// Two smooth gradients, in which banding shows; pairs of halves around each tone, of which one is darker by
/// a difference, on a side decided by the seed (the label of the darker half, e.g. "A3R", ends in its side,
/// which is not printed; that of the other is "A3"); and an invented landscape in large smooth areas, in
/// which a cast shows. Errors: as rampSheet(), with 1 to 5 tones.
[[nodiscard]] Result<Sheet> eyePictureSheet(const EyePictureRequest& request);

/// An order for a sheet of this name: another name, another order, so that whoever uses a sheet twice does
/// not know the answers.
[[nodiscard]] std::uint64_t seedFromName(std::string_view name);

/// Greys of slightly different colour to choose the most neutral one from.
struct ChoiceRequest {
    Title title = {};
    double tonePercent = 50;   ///< of the grey in the middle
    double stepPercent = 1.5;  ///< of the code's whole range, as of a NeutralRequest; 0.1 to 10
    int rings = 2;             ///< of colours around it: 1, 2 or 3 make 7, 19 or 37 blocks
    std::uint64_t seed = 1;    ///< the order
    Page page = {};
};

/// Numbered blocks of equal R + G + B in an order decided by the seed, on bare paper. Which colour a number
/// has is told by the definition alone. Errors: as rampSheet(), with one tone; step-out-of-range (also where
/// a colour would be beyond paper or black); rings-out-of-range.
[[nodiscard]] Result<Sheet> choiceSheet(const ChoiceRequest& request);

}  // namespace greywright::sheet

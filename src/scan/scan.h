#pragma once

#include <array>
#include <filesystem>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "colour/lab.h"
#include "core/result.h"
#include "picture/read.h"
#include "sheet/sheet.h"

namespace greywright::scan {

/// A point or rectangle of a picture. Units: pixels of the file as it is shown, from its upper left corner.
struct PointPx {
    double x = 0;
    double y = 0;
};
struct RectPx {
    double x = 0;
    double y = 0;
    double width = 0;
    double height = 0;
};

/// What the colours are related to.
enum class White {
    picture,  ///< nothing but what the picture says
    card,     ///< a neutral card in the picture
    paper,    ///< the bare paper, whose colour is known
};

struct Options {
    bool hasCard = false;             ///< a card lies in the sheet's place for it
    std::optional<RectPx> card = {};  ///< or there
    std::optional<colour::Lab> cardLab =
        {};  ///< of the card, by an instrument; absent: neutral, of any lightness
    std::optional<colour::Lab> paper = {};  ///< of the bare paper, by an instrument
    std::function<bool(double)> goOn = {};  ///< told the share done; false stops the work
};

/// One patch as the picture shows it.
struct PatchColour {
    std::string label = {};
    colour::Lab lab = {};        ///< D50, 2 degrees
    double standardError = 0;    ///< of a* and of b*: scatter within the patch, doubt of its light
    double leftOutFraction = 0;  ///< of its pixels: dust, glare, fingers
    std::array<PointPx, 4> corners = {};
};

struct LeftOut {
    std::string label = {};
    std::string why = {};
    std::array<PointPx, 4> corners = {};
};

/// A sheet found in a picture and read.
struct SheetReading {
    std::string code = {};
    int page = 1;
    bool isPhotograph = false;  ///< not seen straight from above, or not at the file's own resolution
    std::vector<PatchColour> patches = {};  ///< in the order of the definition
    std::vector<LeftOut> leftOut = {};
    std::vector<std::array<PointPx, 4>> bare = {};    ///< where bare paper was taken
    std::optional<std::array<PointPx, 4>> card = {};  ///< where the card was taken
    picture::ColourSource source = picture::ColourSource::assumed;
    White white = White::picture;
    colour::Lab paper = {};      ///< the bare paper
    double unevennessStops = 0;  ///< of the light over the bare paper, brightest to darkest; taken out
    double placementMm = 0;      ///< how far markers lie from where the fit puts them, root mean square
    double sharedError = 0;      ///< standard deviation of a* and of b* in common to all patches; see docs
    /// Those of the picture; paper-lightness-assumed, white-not-known, ramp-end-cut, scan-stretched,
    /// picture-without-tint, picture-coloured-grey, ramp-strongly-tinted, marker-moved
    std::vector<Note> notes = {};
};

/// Finds one of the sheets by its markers and reads its patches. What cannot be trusted is left out, and
/// told. Model, assumptions and sources: docs/methods/scanning.md. Errors: picture-grey;
/// markers-missing, sheet-mirrored, sheet-unknown, sheet-incomplete, two-sheets, placement-uncertain;
/// paper-clipped, paper-unreadable, patches-unreadable; card-place-missing, card-outside, card-too-small,
/// card-clipped, card-uneven, card-missing, card-too-dark, card-not-neutral; scan-corrected;
/// profile-unusable; stopped. Cost: some seconds for 16 million pixels. Thread: any number of calls at once.
[[nodiscard]] Result<SheetReading> readSheet(const picture::Reduced& picture,
                                             std::span<const sheet::Sheet> known, const Options& options);

/// A picture of up to 2,000 pixels with every area outlined, for a person to check: read (a full line), left
/// out (broken, and crossed out), bare paper (dots), card (a double line).
[[nodiscard]] picture::Reduced outlined(const picture::Reduced& picture, const SheetReading& reading);

/// Writes what outlined() made as a PNG. Errors: those of picture::writePixels().
[[nodiscard]] Outcome writeOutlined(const picture::Reduced& outlined, const std::filesystem::path& path);

}  // namespace greywright::scan

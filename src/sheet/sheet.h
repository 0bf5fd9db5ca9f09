#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/result.h"

namespace greywright::sheet {

/// A piece of paper as it is fed. Units: mm. Valid: 50 to 1200 mm each way; a margin of 0 or more that leaves
/// at least 40 mm each way.
struct Page {
    double widthMm = 210;
    double heightMm = 297;
    double marginMm = 10;  ///< nothing is printed outside it
};

/// The page of that name, whatever its capitals, upright and with a margin that printers can keep: "A2" to
/// "A6", "Letter", "Legal", "Tabloid" or "4x6in". Errors: page-unknown. Source: ISO 216 (A2 to A6); common
/// practice for Letter, 8.5 x 11 in, Legal, 8.5 x 14 in, Tabloid, 11 x 17 in, and 4 x 6 in.
[[nodiscard]] Result<Page> pageByName(std::string_view name);

/// What pageByName() knows.
[[nodiscard]] std::vector<std::string> pageNames();

/// Units: mm from the upper left corner of the page, x to the right, y downwards.
struct RectMm {
    double x = 0;
    double y = 0;
    double width = 0;
    double height = 0;
};

/// An even area that is to be measured or looked at.
struct Patch {
    double tonePercent = 0;  ///< what is sent: 0 bare paper .. 100 maximum black
    RectMm at = {};
    int page = 1;            ///< 1-based
    std::string label = {};  ///< its place in words, once on a sheet, e.g. "B12"
    /// What is sent where that is no grey: red, green, blue, 65535 for bare paper. Its tone is then that of
    /// the grey which it lies around.
    std::optional<std::array<std::uint16_t, 3>> rgb = {};
};

/// A square pattern that a reader finds again: AprilTag, family standard 41h12.
struct Marker {
    int number = 0;  ///< of the family; see markerNumbers()
    RectMm at = {};  ///< all 9 x 9 cells; what a detector calls its corners are those of the middle 5 x 5
    int page = 1;
};

/// A place that is never printed, for a reader to see the bare paper.
struct BarePaper {
    RectMm at = {};
    int page = 1;
};

/// An even area that is printed and never measured: leads of strips, fields, lines.
struct Mark {
    double tonePercent = 100;
    RectMm at = {};
    int page = 1;
};

/// What is drawn from point to point rather than in even areas. It is the same picture at any resolution.
enum class DrawingKind {
    gradient,   ///< tones in a straight line from the left edge to the right one
    landscape,  ///< an invented evening by a lake: every tone in large smooth areas
};

/// A drawing. Never measured.
struct Drawing {
    DrawingKind kind = DrawingKind::gradient;
    double fromPercent = 0;  ///< at the left edge; of a landscape, the lightest tone
    double toPercent = 100;  ///< at the right edge; of a landscape, the darkest
    RectMm at = {};
    int page = 1;
    std::uint64_t seed = 1;  ///< the shape of a landscape
};

/// One line of words in maximum black. Valid: characters that the lettering has, see cannotBeLettered().
struct Lettering {
    std::string text = {};
    double xMm = 0;         ///< left end
    double baselineMm = 0;  ///< the foot of its capitals, from the upper edge of the page
    double heightMm = 2.5;  ///< of its capitals
    int page = 1;
};

enum class Kind { ramp, blocks, byEye, camera, nearNeutral };

/// What a kind is called in definitions: "ramp", "blocks", "by eye", "camera" or "near neutral".
[[nodiscard]] std::string_view textFromKind(Kind kind);

/// A sheet as it is designed, without pixels. Marks lie under drawings, drawings under patches, patches under
/// words; patches lie apart from one another. Everything is within the margin.
struct Sheet {
    Kind kind = Kind::ramp;
    std::string name = {};
    std::string code = {};  ///< printed on it; see codeOfSheet()
    std::string date = {};  ///< as the caller gave it
    Page page = {};
    int pages = 1;
    std::vector<Patch> patches = {};  ///< in the order of measuring
    std::vector<Mark> marks = {};
    std::vector<Drawing> drawings = {};
    std::vector<Lettering> letterings = {};
    std::vector<Marker> markers = {};  ///< on sheets for cameras and scanners
    std::vector<BarePaper> bare = {};  ///< around and between the patches, on the same sheets
    std::optional<RectMm> card = {};   ///< where a neutral card is laid, on each page of the same sheets
};

/// The numbers of a page's eight markers, from which its code and page can be told: those of the corners
/// (upper left, upper right, lower right, lower left), then of the sides (top, right, bottom, left). The
/// number holds its position in bits 8 to 10 and one byte of a word of 32 bits in bits 0 to 7: the 30 bits of
/// the code, then page - 1 modulo 4. Corner k holds byte k, side k byte (k + 2) modulo 4, so that every byte
/// is there twice. Valid: a code of codeOfSheet(); page 1 to 4.
[[nodiscard]] std::array<int, 8> markerNumbers(std::string_view code, int page);

/// Six letters and digits that tell a sheet by its kind, its page and its patches: tones, places and labels.
/// Neither name, date nor resolution have a part in it. None of the characters can be taken for another
/// (there is no I, O, 0 or 1). Two of 1,000 different sheets share a code with a probability of one in 2,000.
[[nodiscard]] std::string codeOfSheet(const Sheet& sheet);

/// What is sent for a tone: round(65535 (1 - tone / 100)), linear in the code, 65535 for bare paper. A
/// driver's monochrome mode makes of it what it does; that is what is measured. Valid: 0 to 100.
[[nodiscard]] std::uint16_t codeOfTone(double tonePercent);

/// The definition as CGATS.17 text with LF line ends: for each patch in the order of measuring SAMPLE_ID,
/// SAMPLE_LOC (its label), TONE_PERCENT, GREY (the same as ink: 0 is paper), RGB_R, RGB_G and RGB_B (as
/// light: 255 is paper), page and place in mm; name, code and date in front, and what a reader of pictures
/// needs: markers, bare paper, card. Where a patch has `rgb`, all have NEAR_TONE_PERCENT in place of
/// TONE_PERCENT and GREY, so that only its greys are taken for a ramp. Valid: all patches have `rgb` or
/// none has.
[[nodiscard]] std::string cgatsOfSheet(const Sheet& sheet);

/// A definition back from cgatsOfSheet(), places to 0.001 mm: all that is measured and all that helps to find
/// it, without marks, drawings and words. Errors: sheet-not-recognised; sheet-damaged (also where the patches
/// are not those that the code was given for); both with the line.
[[nodiscard]] Result<Sheet> sheetFromCgats(std::string_view text);

}  // namespace greywright::sheet

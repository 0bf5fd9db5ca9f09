#pragma once

#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "colour/lab.h"
#include "core/result.h"
#include "scan/look.h"
#include "scan/scan.h"
#include "sheet/design.h"

namespace greywright::studio {

/// What is to be printed.
using Design =
    std::variant<sheet::RampRequest, sheet::BlockRequest, sheet::CameraRequest, sheet::NeutralRequest,
                 sheet::EyeRequest, sheet::EyePictureRequest, sheet::ChoiceRequest>;

struct SheetRequest {
    Design design = {};
    std::filesystem::path out = {};  ///< ends in .tif, .tiff, .png or .pdf
    int dotsPerInch = 360;           ///< of TIFF and PNG
    /// "grey" (gamma 2.2), "srgb", "p3", or an ICC profile's file; empty: srgb where there are colours, else
    /// grey.
    std::string encoding = {};
    /// Of blocks: the trial is this printing condition's next one, at the setting that its search asks for,
    /// as far as the design does not say.
    std::string condition = {};
    bool replace = true;                    ///< also where files of these names stand
    bool placeGiven = false;                ///< of blocks; else it is the one after the last of that name
    std::function<bool(double)> goOn = {};  ///< told the share done; false stops the work
    std::string when = {};
};

/// A sheet that was written.
struct MadeSheet {
    sheet::Sheet sheet = {};
    std::vector<std::filesystem::path> files = {};  ///< one PDF, or one picture a page
    std::filesystem::path definition = {};          ///< CGATS text, beside the first
    std::vector<Note> notes = {};
};

/// How a scan or photograph of a sheet is to be understood.
struct PictureRequest {
    /// Name or code of a sheet of the book, or the file of a definition; empty: any of the book.
    std::string sheet = {};
    std::vector<std::filesystem::path> further = {};  ///< pictures of further pages of the same sheet
    std::string device = {};                          ///< a scanner or camera that was learned; empty: none
    std::string paper = {};                           ///< that it was learned on, where no condition says it
    bool hasCard = false;                             ///< a neutral card lies in the sheet's place for it
    std::optional<scan::RectPx> card = {};            ///< or there
    std::optional<colour::Lab> cardLab = {};          ///< the card's own, if it was measured
    std::filesystem::path outlined = {};    ///< where to write the picture with what was found outlined
    std::function<bool(double)> goOn = {};  ///< told the share done; false stops the work
};

/// A scanner or camera to be learned.
struct DeviceRequest {
    std::string name = {};
    std::string paper = {};                 ///< as printing conditions call it
    std::filesystem::path picture = {};     ///< of a sheet with markers
    std::filesystem::path measured = {};    ///< the same sheet by an instrument
    std::string sheet = {};                 ///< as in a PictureRequest
    std::function<bool(double)> goOn = {};  ///< told the share done; false stops the work
    std::string when = {};
};

/// What was learned. Units: CIELAB.
struct LearnedDevice {
    std::string name = {};
    std::string paper = {};
    std::size_t pairs = 0;
    double residualAb = 0;  ///< of a* and of b* each, root mean square, of patches left out in turn
    double before = 0;      ///< the same without anything learned
    std::vector<Note> notes = {};
};

/// A quick check of any photograph.
struct LookRequest {
    std::filesystem::path picture = {};
    scan::RectPx card = {};
    scan::RectPx patch = {};
    std::optional<colour::Lab> cardLab = {};
    double magnify = 6;
    std::filesystem::path out = {};         ///< for the copy with the tint magnified; empty: none
    std::function<bool(double)> goOn = {};  ///< told the share done; false stops the work
};

struct Look {
    scan::Look look = {};
    std::filesystem::path file = {};  ///< the copy; empty: none
    double magnify = 0;
    std::vector<Note> notes = {};
};

/// What was seen, in a sentence or two.
[[nodiscard]] std::string wordsFromLook(const Look& look);

/// What was learned, in a sentence.
[[nodiscard]] std::string wordsFromDevice(const LearnedDevice& device);

/// A photograph made small enough for a screen.
struct ShownPicture {
    std::filesystem::path file = {};  ///< PNG, sRGB
    std::size_t fileWidth = 0;        ///< pixels of the photograph itself
    std::size_t fileHeight = 0;
};

/// Writes a small copy of a picture in colour, to be shown or to mark places in. Errors: picture-grey; those
/// of picture::readReduced() and picture::writePixels().
[[nodiscard]] Result<ShownPicture> showPicture(const std::filesystem::path& picture,
                                               const std::filesystem::path& out,
                                               const std::function<bool(double)>& goOn = {});

/// Errors: magnify-out-of-range (1 to 30); those of picture::readReduced(), scan::look() and
/// scan::writeMagnified().
[[nodiscard]] Result<Look> look(const LookRequest& request);

}  // namespace greywright::studio

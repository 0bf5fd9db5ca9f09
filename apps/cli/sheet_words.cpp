// Answers in words about sheets, scanners and photographs.
#include <cmath>

#include <fmt/format.h>

#include "core/numbers.h"
#include "words.h"

namespace greywright::cli {
namespace {

// 90 % of a normal distribution lie within so many standard deviations, on a line and in a plane (the latter
// Rayleigh's: sqrt(2 ln 10)).
constexpr double kNinetyPercent = 1.645;
constexpr double kNinetyPercentInPlane = 2.146;

}  // namespace

std::string wordsFromSheet(const studio::MadeSheet& made) {
    const sheet::Sheet& sheet = made.sheet;
    std::string out = fmt::format("Sheet '{}', code {}: {} patches on {} page{} of {} x {} mm\n", sheet.name,
                                  sheet.code, sheet.patches.size(), sheet.pages, sheet.pages == 1 ? "" : "s",
                                  textFromNumber(sheet.page.widthMm), textFromNumber(sheet.page.heightMm));
    for (const auto& file : made.files) out += fmt::format("Print      {}\n", file.string());
    out += fmt::format("Definition {}\n", made.definition.string());
    out += "Print it at its own size, and let nothing on the way convert its colours.\n";
    return out;
}

std::string wordsFromSheets(const std::vector<book::SheetRecord>& sheets) {
    if (sheets.empty()) return "No sheets yet; make one with: greywright sheet ramp NAME --out FILE\n";
    std::string out;
    for (const book::SheetRecord& sheet : sheets) {
        out +=
            fmt::format("{}  {:<12}  {}  {}\n", sheet.code, sheet.kind, sheet.when.substr(0, 10), sheet.name);
    }
    return out;
}

std::string wordsFromDevice(const studio::LearnedDevice& device) {
    return fmt::format(
        "Device '{}' is learned on {}: from {} patches, a* and b* are now off by {} (before: {})\n",
        device.name, device.paper, device.pairs, textFromNumber(device.residualAb, 2),
        textFromNumber(device.before, 2));
}

std::string wordsFromDevices(const std::vector<book::DeviceRecord>& devices) {
    if (devices.empty()) {
        return "No scanners or cameras yet; learn one with: greywright device learn NAME PICTURE MEASURED "
               "--paper TYPE\n";
    }
    std::string out;
    for (const book::DeviceRecord& device : devices) {
        out += fmt::format("{} on {}, learned {} from {} and {}\n", device.name, device.paper,
                           device.when.substr(0, 10), device.picture, device.measurement);
    }
    return out;
}

std::string wordsFromLook(const studio::Look& look) {
    const scan::Look& seen = look.look;
    const double error = std::hypot(seen.standardError, seen.sharedError);
    // In the plane the chance of a chroma above 2.15 standard deviations by error alone is 10 %.
    const bool isTold = seen.chroma >= kNinetyPercentInPlane * error;
    std::string out =
        fmt::format("Beside the card, the patch {}: a* {}  b* {}  (each give or take {}), chroma {}\n",
                    isTold ? "is " + seen.word : "was read as", textFromNumber(seen.lab.a, 1),
                    textFromNumber(seen.lab.b, 1), textFromNumber(kNinetyPercent * error, 1),
                    textFromNumber(seen.chroma, 1));
    if (!isTold) {
        out +=
            "That is no more than such a photograph may be off: it cannot tell. A measured card, a raw file, "
            "or a sheet with markers would tell more.\n";
    }
    if (!look.file.empty()) {
        out += fmt::format("Wrote {} with the tint {} times as strong\n", look.file.string(),
                           textFromNumber(look.magnify));
    }
    return out;
}

}  // namespace greywright::cli

// Answers in words about sheets, scanners and photographs.
#include <fmt/format.h>

#include "core/numbers.h"
#include "words.h"

namespace greywright::cli {

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
    std::string out = studio::wordsFromLook(look) + "\n";
    if (!look.file.empty()) {
        out += fmt::format("Wrote {} with the tint {} times as strong\n", look.file.string(),
                           textFromNumber(look.magnify));
    }
    return out;
}

}  // namespace greywright::cli

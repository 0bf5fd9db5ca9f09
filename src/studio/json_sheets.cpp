// Answers about sheets, scanners and photographs.
#include "studio/json.h"
#include "studio/json_parts.h"

namespace greywright::studio {

std::string jsonFromSheet(const MadeSheet& made) {
    Json files = Json::array();
    for (const auto& file : made.files) files.push_back(file.string());
    return textFrom({{"name", made.sheet.name},
                     {"code", made.sheet.code},
                     {"patches", made.sheet.patches.size()},
                     {"pages", made.sheet.pages},
                     {"width_mm", made.sheet.page.widthMm},
                     {"height_mm", made.sheet.page.heightMm},
                     {"files", files},
                     {"definition", made.definition.string()},
                     {"notes", fromNotes(made.notes)}});
}

std::string jsonFromSheets(const std::vector<book::SheetRecord>& sheets) {
    Json out = Json::array();
    for (const book::SheetRecord& sheet : sheets) {
        out.push_back({{"code", sheet.code},
                       {"name", sheet.name},
                       {"kind", sheet.kind},
                       {"setting", sheet.setting},
                       {"when", sheet.when},
                       {"definition", sheet.definition}});
    }
    return textFrom({{"sheets", out}});
}

std::string jsonFromDevice(const LearnedDevice& device) {
    return textFrom({{"name", device.name},
                     {"paper", device.paper},
                     {"pairs", device.pairs},
                     {"residual_ab", device.residualAb},
                     {"residual_ab_before", device.before},
                     {"notes", fromNotes(device.notes)}});
}

std::string jsonFromDevices(const std::vector<book::DeviceRecord>& devices) {
    Json out = Json::array();
    for (const book::DeviceRecord& device : devices) {
        out.push_back({{"name", device.name},
                       {"paper", device.paper},
                       {"picture", device.picture},
                       {"measurement", device.measurement},
                       {"when", device.when}});
    }
    return textFrom({{"devices", out}});
}

std::string jsonFromLook(const Look& look) {
    return textFrom({{"L", look.look.lab.L},
                     {"a", look.look.lab.a},
                     {"b", look.look.lab.b},
                     {"chroma", look.look.chroma},
                     {"hue_degrees", look.look.hueDegrees},
                     {"tint", look.look.word},
                     {"standard_error", look.look.standardError},
                     {"shared_error", look.look.sharedError},
                     {"balance", look.look.balance},
                     {"file", look.file.empty() ? Json(nullptr) : Json(look.file.string())},
                     {"notes", fromNotes(look.notes)}});
}

}  // namespace greywright::studio

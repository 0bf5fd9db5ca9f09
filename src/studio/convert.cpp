#include "studio/convert.h"

#include <algorithm>
#include <array>

#include <fmt/format.h>

#include "core/numbers.h"
#include "core/said.h"

namespace greywright::studio {
namespace {

book::Setting recordFrom(const std::vector<steer::TintAxis>& axes, const steer::Setting& setting) {
    book::Setting values;
    for (std::size_t j = 0; j < axes.size() && j < setting.size(); ++j)
        values.push_back({axes[j].name, setting[j]});
    return values;
}

}  // namespace

book::ReadingRecord recordFromRamp(const measure::Ramp& ramp, const measure::Reading& reading,
                                   const std::string& fileName, const std::string& when) {
    book::ReadingRecord record{.fileName = fileName,
                               .format = reading.format,
                               .conditionM = ramp.condition == measure::Condition::unknown
                                                 ? std::string()
                                                 : std::string(measure::textFromCondition(ramp.condition)),
                               .instrument = reading.instrument,
                               .created = reading.created,
                               .notes = reading.notes,
                               .when = when};
    record.notes.insert(record.notes.end(), ramp.notes.begin(), ramp.notes.end());
    if (ramp.uncertainty) record.uncertainty = {ramp.uncertainty->shared, ramp.uncertainty->own};
    if (ramp.grid) record.grid = {ramp.grid->startNm, ramp.grid->stepNm, ramp.grid->count};
    for (const measure::RampPatch& patch : ramp.patches) {
        record.patches.push_back({.tonePercent = patch.tonePercent,
                                  .lab = book::LabRecord{patch.lab.L, patch.lab.a, patch.lab.b},
                                  .reflectance = patch.reflectance});
    }
    return record;
}

std::size_t addColoursTo(book::ReadingRecord& record, const measure::Reading& reading) {
    std::array<std::size_t, 3> at{};
    for (std::size_t k = 0; k < at.size(); ++k) {
        constexpr std::array kColumns{"RGB_R", "RGB_G", "RGB_B"};
        const auto found = std::ranges::find(reading.deviceColumns, kColumns[k]);
        if (found == reading.deviceColumns.end()) return 0;
        at[k] = static_cast<std::size_t>(found - reading.deviceColumns.begin());
    }
    double most = 0;
    std::size_t colours = 0;
    const auto isGrey = [&](const measure::Patch& patch) {
        return patch.device[at[0]] == patch.device[at[1]] && patch.device[at[1]] == patch.device[at[2]];
    };
    for (const measure::Patch& patch : reading.patches) {
        for (const std::size_t column : at) most = std::max(most, patch.device[column]);
        if (!isGrey(patch)) ++colours;
    }
    if (colours == 0) return 0;
    // As measure::rampFromReading() takes the same columns.
    const double scale = most == 1 ? 1 : most <= 100 ? 100 : 255;
    for (book::PatchRecord& patch : record.patches) {
        const double code = 65535 * (1 - *patch.tonePercent / 100);
        patch.codes = {{code, code, code}};
    }
    for (const measure::Patch& patch : reading.patches) {
        if (isGrey(patch) || !patch.lab) continue;
        book::PatchRecord beside{.name = patch.name,
                                 .lab = book::LabRecord{patch.lab->L, patch.lab->a, patch.lab->b},
                                 .line = patch.line,
                                 .codes = std::array<double, 3>{}};
        if (record.grid) beside.reflectance = patch.reflectance;
        for (std::size_t k = 0; k < at.size(); ++k)
            (*beside.codes)[k] = std::clamp(65535 * patch.device[at[k]] / scale, 0.0, 65535.0);
        record.patches.push_back(std::move(beside));
    }
    return colours;
}

measure::Ramp rampFromRecord(const book::ReadingRecord& record) {
    measure::Ramp ramp;
    if (record.grid) ramp.grid = {record.grid->startNm, record.grid->stepNm, record.grid->count};
    if (record.uncertainty) ramp.uncertainty = {record.uncertainty->shared, record.uncertainty->own};
    for (const measure::Condition condition :
         {measure::Condition::m0, measure::Condition::m1, measure::Condition::m2, measure::Condition::m3}) {
        if (record.conditionM == measure::textFromCondition(condition)) ramp.condition = condition;
    }
    for (const book::PatchRecord& patch : record.patches) {
        if (!patch.tonePercent || !patch.lab) continue;
        ramp.patches.push_back({.tonePercent = *patch.tonePercent,
                                .lab = {patch.lab->L, patch.lab->a, patch.lab->b},
                                .reflectance = patch.reflectance});
    }
    return ramp;
}

measure::Reading readingFromRecord(const book::ReadingRecord& record) {
    const measure::Ramp ramp = rampFromRecord(record);
    measure::Reading reading{.grid = ramp.grid,
                             .condition = ramp.condition,
                             .instrument = record.instrument,
                             .created = record.created,
                             .format = record.format,
                             .path = record.fileName,
                             .uncertainty = ramp.uncertainty};
    const bool hasColours = std::ranges::any_of(
        record.patches, [](const book::PatchRecord& patch) { return patch.codes.has_value(); });
    if (!hasColours) {
        for (const measure::RampPatch& patch : ramp.patches) {
            reading.patches.push_back({.name = textFromNumber(patch.tonePercent),
                                       .tonePercent = patch.tonePercent,
                                       .lab = patch.lab,
                                       .reflectance = patch.reflectance});
        }
        return reading;
    }
    reading.deviceColumns = {"RGB_R", "RGB_G", "RGB_B"};
    for (const book::PatchRecord& patch : record.patches) {
        if (!patch.codes || !patch.lab) continue;
        measure::Patch out{.name = patch.tonePercent ? textFromNumber(*patch.tonePercent) : patch.name,
                           .lab = colour::Lab{patch.lab->L, patch.lab->a, patch.lab->b},
                           .reflectance = patch.reflectance};
        for (const double code : *patch.codes) out.device.push_back(code / 257);
        reading.patches.push_back(std::move(out));
    }
    return reading;
}

std::vector<steer::TintAxis> axesFromRecord(const book::ConditionRecord& condition) {
    std::vector<steer::TintAxis> axes;
    for (const book::AxisRecord& axis : condition.axes)
        axes.push_back({axis.name, axis.min, axis.max, axis.step});
    return axes;
}

steer::Setting settingFromRecord(const book::Setting& setting) {
    steer::Setting out;
    for (const book::AxisValue& value : setting) out.push_back(value.value);
    return out;
}

std::string textFromSetting(const book::Setting& setting) {
    std::string text;
    for (const book::AxisValue& value : setting) {
        text += (text.empty() ? "" : ",") + value.axis + "=" + textFromNumber(value.value);
    }
    return text;
}

std::string textFromSetting(const std::vector<steer::TintAxis>& axes, const steer::Setting& setting) {
    return textFromSetting(recordFrom(axes, setting));
}

std::string wordsFromSetting(const book::Setting& setting) {
    std::string words;
    for (const book::AxisValue& value : setting) {
        std::string number = textFromNumber(value.value);
        if (number.starts_with('-')) number.replace(0, 1, "−");
        words += said("{}{} {}", words.empty() ? "" : ", ", value.axis, number);
    }
    return words;
}

std::string wordsFromSetting(const std::vector<steer::TintAxis>& axes, const steer::Setting& setting) {
    return wordsFromSetting(recordFrom(axes, setting));
}

std::optional<book::Setting> settingFromText(std::string_view text) {
    book::Setting setting;
    while (true) {
        const std::size_t comma = text.find(',');
        const std::string_view part = text.substr(0, comma);
        const std::size_t equals = part.find('=');
        const auto value =
            equals == std::string_view::npos ? std::nullopt : numberFromText(part.substr(equals + 1));
        if (!value || equals == 0) return std::nullopt;
        setting.push_back({std::string(part.substr(0, equals)), *value});
        if (comma == std::string_view::npos) return setting;
        text.remove_prefix(comma + 1);
    }
}

std::string textFromChoices(const std::map<std::string, std::string>& choices) {
    std::string text;
    for (const auto& [name, value] : choices) {
        if (!text.empty()) text += ", ";
        text.append(name).append("=").append(value);
    }
    return text;
}

}  // namespace greywright::studio

#include "book/rules.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <string_view>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "book/errors.h"
#include "core/nearest_name.h"
#include "core/numbers.h"
#include "core/said.h"

namespace greywright::book {
namespace {

constexpr std::size_t kMostAxes = 3;
constexpr double kMostSteps = 100000;
// A step of 0.1 counted in binary misses whole numbers by about 1e-12; a wrong value by far more than this.
constexpr double kStepTolerance = 1e-6;
constexpr int kDecimals = 9;

bool hasControlCharacter(std::string_view text) {
    return std::ranges::any_of(text, [](unsigned char letter) { return letter < 0x20 || letter == 0x7f; });
}

bool isBlank(std::string_view text) {
    return text.find_first_not_of(' ') == std::string_view::npos;
}

bool isName(std::string_view text) {
    return !isBlank(text) && !hasControlCharacter(text) && text.front() != ' ' && text.back() != ' ';
}

// As the book finds names: A to Z whatever their case.
bool sameName(std::string_view a, std::string_view b) {
    const auto lower = [](char letter) {
        return letter >= 'A' && letter <= 'Z' ? static_cast<char>(letter - 'A' + 'a') : letter;
    };
    return std::ranges::equal(a, b, {}, lower, lower);
}

bool isFinite(const std::vector<double>& values) {
    return std::ranges::all_of(values, [](double value) { return std::isfinite(value); });
}

bool isGrid(const GridRecord& grid) {
    return grid.count > 0 && std::isfinite(grid.startNm) && std::isfinite(grid.stepNm) && grid.stepNm > 0;
}

Outcome checkAxis(const AxisRecord& axis) {
    // These letters separate the parts of NAME:MIN:MAX:STEP and of NAME=VALUE,NAME=VALUE.
    if (axis.name.empty() || hasControlCharacter(axis.name) ||
        axis.name.find_first_of(" :=,") != std::string::npos) {
        return wrong("axis-name-invalid", axis.name, said("is no name for an axis"),
                     said("Use a name without spaces, colons, commas and equals signs"));
    }
    if (!std::isfinite(axis.min) || !std::isfinite(axis.max) || !(axis.min < axis.max)) {
        return wrong(
            "axis-range-invalid", axis.name,
            said("runs from {} to {}, which is no range", textFromNumber(axis.min), textFromNumber(axis.max)),
            said("Give the lowest value first, then the highest"));
    }
    const double steps = (axis.max - axis.min) / axis.step;
    if (!(axis.step > 0) || !(steps <= kMostSteps) || std::abs(steps - std::round(steps)) > kStepTolerance ||
        std::round(steps) < 1) {
        return wrong("axis-step-invalid", axis.name,
                     said("cannot go from {} to {} in steps of {}", textFromNumber(axis.min),
                          textFromNumber(axis.max), textFromNumber(axis.step)),
                     said("Give the step that the driver itself makes between neighbouring values"));
    }
    return Done{};
}

std::string axisNames(const std::vector<AxisRecord>& axes) {
    std::vector<std::string_view> names;
    names.reserve(axes.size());
    for (const AxisRecord& axis : axes) names.emplace_back(axis.name);
    return fmt::format("{}", fmt::join(names, ", "));
}

Result<double> valueOnStep(const AxisRecord& axis, double value) {
    const double slack = kStepTolerance * axis.step;
    if (!(value >= axis.min - slack && value <= axis.max + slack)) {
        return wrong("setting-out-of-range", axis.name,
                     said("{} lies outside {} to {}", textFromNumber(value), textFromNumber(axis.min),
                          textFromNumber(axis.max)),
                     said("Give a value that the driver offers"));
    }
    const auto shown = [&](double steps) {
        return *numberFromText(textFromNumber(axis.min + steps * axis.step, kDecimals));
    };
    const double steps = (value - axis.min) / axis.step;
    if (std::abs(steps - std::round(steps)) > kStepTolerance) {
        return wrong("setting-off-step", axis.name,
                     said("{} is not on the step of {}", textFromNumber(value), textFromNumber(axis.step)),
                     said("The nearest values are {} and {}", textFromNumber(shown(std::floor(steps))),
                          textFromNumber(shown(std::ceil(steps)))));
    }
    return shown(std::round(steps));
}

bool isFinite(const LabRecord& lab) {
    return std::isfinite(lab.L) && std::isfinite(lab.a) && std::isfinite(lab.b);
}

// The trouble of whoever gave the file, unless the entry was made without one.
Error wrongInFile(const std::string& fileName, std::string code, std::string field, std::string what,
                  std::string next) {
    Error error = wrong(std::move(code), std::move(field), std::move(what), std::move(next));
    if (fileName.empty()) return error;
    error.kind = ErrorKind::badInput;
    error.where.path = fileName;
    return error;
}

constexpr const char* kNameNext = toSay("Use a name of visible letters without spaces at its ends");

Outcome checkParts(const LightRecord& light) {
    const auto invalid = [](std::string what, std::string next) {
        return wrong("light-invalid", "parts", std::move(what), std::move(next));
    };
    for (std::size_t i = 0; i < light.parts.size(); ++i) {
        const LightShareRecord& part = light.parts[i];
        if (!isName(part.light)) return invalid(said("one has no name"), said("Name the light of each part"));
        if (!std::isfinite(part.share) || !(part.share > 0)) {
            return invalid(said("\"{}\" has a share of {}", part.light, textFromNumber(part.share)),
                           said("Give each part a share above 0"));
        }
        for (std::size_t j = 0; j < i; ++j) {
            if (sameName(light.parts[j].light, part.light)) {
                return invalid(said("\"{}\" is given more than once", part.light),
                               said("Name every light once"));
            }
        }
    }
    return Done{};
}

}  // namespace

Outcome checkTime(const std::string& when) {
    constexpr std::string_view kShape = "0000-00-00T00:00:00Z";
    const bool fits = std::ranges::equal(when, kShape, [](char letter, char shape) {
        return shape == '0' ? letter >= '0' && letter <= '9' : letter == shape;
    });
    if (fits) return Done{};
    return wrong("time-invalid", "time", said("\"{}\" is no time", when),
                 said("Give it in UTC, like 2031-04-05T06:07:08Z"));
}

Outcome checkCondition(const ConditionRecord& condition) {
    if (!isName(condition.name)) {
        return wrong("condition-name-invalid", "name", said("a printing condition needs a name"),
                     said("Use a name of visible letters without spaces at its ends"));
    }
    const std::pair<const char*, const std::string*> parts[] = {{"printer", &condition.printer},
                                                                {"inks", &condition.inks},
                                                                {"paper", &condition.paper},
                                                                {"mode", &condition.mode}};
    for (const auto& [field, text] : parts) {
        if (isBlank(*text)) {
            return wrong("condition-incomplete", field, said("is not given"),
                         said("Say what you print with, in your own words; what is learned about a driver is "
                              "carried over by printer, inks and mode"));
        }
    }
    if (condition.axes.size() > kMostAxes) {
        return wrong(
            "axis-count", "axes", said("{} axes are given", condition.axes.size()),
            said("Give the axes of the driver's tint control, three at most; none where it has none"));
    }
    for (std::size_t i = 0; i < condition.axes.size(); ++i) {
        const AxisRecord& axis = condition.axes[i];
        if (Outcome sound = checkAxis(axis); !sound) return sound;
        for (std::size_t j = 0; j < i; ++j) {
            if (condition.axes[j].name == axis.name) {
                return wrong("axis-name-twice", axis.name, said("two axes have this name"),
                             said("Give every axis its own name"));
            }
        }
    }
    return checkTime(condition.when);
}

Result<Setting> settingOnAxes(const std::vector<AxisRecord>& axes, const Setting& setting) {
    std::vector<std::string> names;
    names.reserve(axes.size());
    for (const AxisRecord& axis : axes) names.push_back(axis.name);
    for (const AxisValue& given : setting) {
        if (std::ranges::find(names, given.axis) == names.end()) {
            const auto nearest = nearestName(given.axis, names);
            return wrong("setting-axis-unknown", given.axis, said("is no axis of this condition"),
                         nearest        ? said("Did you mean {}?", *nearest)
                         : axes.empty() ? std::string(said("It has no tint control"))
                                        : said("Its axes are: {}", axisNames(axes)));
        }
        if (std::ranges::count(setting, given.axis, &AxisValue::axis) > 1) {
            return wrong("setting-axis-twice", given.axis, said("is given more than once"),
                         said("Give every axis once"));
        }
    }
    Setting ordered;
    for (const AxisRecord& axis : axes) {
        const auto given = std::ranges::find(setting, axis.name, &AxisValue::axis);
        if (given == setting.end()) {
            return wrong("setting-axis-missing", axis.name, said("has no value in the setting"),
                         said("Give a value for each of: {}", axisNames(axes)));
        }
        Result<double> value = valueOnStep(axis, given->value);
        if (!value) return std::move(value).error();
        ordered.push_back({axis.name, *value});
    }
    return ordered;
}

Outcome checkReading(const ReadingRecord& reading) {
    const auto invalid = [&](std::string field, std::string what, std::size_t line = 0) {
        return Error{.kind = ErrorKind::badInput,
                     .code = "reading-invalid",
                     .what = std::move(what),
                     .where = {.path = reading.fileName, .line = line, .field = std::move(field)},
                     .next = said("Measure the sheet again or mend the file")};
    };
    if (reading.patches.empty()) return invalid("patches", said("has none"));
    const std::size_t wanted = reading.grid ? reading.grid->count : 0;
    if (reading.grid && !isGrid(*reading.grid)) {
        return invalid("wavelengths", said("are no equally spaced wavelengths"));
    }
    if (const UncertaintyRecord off = reading.uncertainty.value_or(UncertaintyRecord{});
        !(off.shared >= 0 && off.own >= 0 && std::isfinite(off.shared + off.own))) {
        return invalid("uncertainty", said("is not zero or more"));
    }
    for (const PatchRecord& patch : reading.patches) {
        if (!patch.reflectance.empty() && patch.reflectance.size() != wanted) {
            return invalid(patch.name,
                           said("has {} reflectances for {} wavelengths", patch.reflectance.size(), wanted),
                           patch.line);
        }
        if (!std::isfinite(patch.tonePercent.value_or(0)) || !isFinite(patch.lab.value_or(LabRecord{})) ||
            !isFinite(patch.reflectance)) {
            return invalid(patch.name, said("holds a value that is not a number"), patch.line);
        }
        const auto isCode = [](double code) { return code >= 0 && code <= 65535; };
        if (patch.codes && !std::ranges::all_of(*patch.codes, isCode))
            return invalid(patch.name, said("was sent codes beyond 0 .. 65535"), patch.line);
    }
    return checkTime(reading.when);
}

Outcome checkLight(const LightRecord& light) {
    const auto invalid = [&](std::string field, std::string what) {
        return wrongInFile(
            light.fileName, "light-invalid", std::move(field), std::move(what),
            said("Give a spectrum of relative power at equally spaced wavelengths, or lights to mix"));
    };
    if (!isName(light.name)) return wrong("light-invalid", "name", said("a light needs a name"), kNameNext);
    if (light.power.empty() && light.parts.empty())
        return invalid("power", said("is not given, nor is a part"));
    if (light.power.empty() ? light.grid != GridRecord{} : !isGrid(light.grid)) {
        return invalid("wavelengths", light.power.empty() ? said("are given without power")
                                                          : said("are no equally spaced wavelengths"));
    }
    if (light.power.size() != light.grid.count) {
        return invalid("power",
                       said("has {} values for {} wavelengths", light.power.size(), light.grid.count));
    }
    if (!isFinite(light.power)) return invalid("power", said("holds a value that is not a number"));
    if (!light.power.empty() && !(std::accumulate(light.power.begin(), light.power.end(), 0.0) > 0)) {
        return invalid("power", said("is not above zero on the whole"));
    }
    if (!isFinite(light.ultraviolet))
        return invalid("ultraviolet", said("holds a value that is not a number"));
    if (Outcome sound = checkParts(light); !sound) return sound;
    return checkTime(light.when);
}

Outcome checkScene(const SceneRecord& scene) {
    const auto invalid = [](std::string field, std::string what, std::string next) {
        return wrong("scene-invalid", std::move(field), std::move(what), std::move(next));
    };
    if (!isName(scene.name)) return invalid("name", said("a scene needs a name"), kNameNext);
    if (!isName(scene.light)) return invalid("light", said("a scene needs a light"), said("Name the light"));
    if (!std::isfinite(scene.lux) || !(scene.lux > 0)) {
        return invalid("lux", said("{} is no light level", textFromNumber(scene.lux)),
                       said("Give the illuminance on the print in lux, above 0"));
    }
    if (!scene.glazing.empty() && !isName(scene.glazing)) {
        return invalid("glazing", said("is no name"),
                       said("Name the glazing, or leave it out where there is none"));
    }
    return checkTime(scene.when);
}

Outcome checkGlazing(const GlazingRecord& glazing) {
    constexpr double kSlack = 0.1;
    const auto invalid = [&](std::string field, std::string what) {
        return wrongInFile(glazing.fileName, "glazing-invalid", std::move(field), std::move(what),
                           said("Give transmittances as fractions at equally spaced wavelengths"));
    };
    if (!isName(glazing.name))
        return wrong("glazing-invalid", "name", said("a glazing needs a name"), kNameNext);
    if (!isGrid(glazing.grid)) return invalid("wavelengths", said("are no equally spaced wavelengths"));
    if (glazing.transmittance.size() != glazing.grid.count) {
        return invalid("transmittance", said("has {} values for {} wavelengths", glazing.transmittance.size(),
                                             glazing.grid.count));
    }
    for (std::size_t i = 0; i < glazing.transmittance.size(); ++i) {
        const double value = glazing.transmittance[i];
        if (!(value >= -kSlack && value <= 1 + kSlack)) {
            return invalid(
                "transmittance",
                said("{} at {} nm does not lie between 0 and 1", textFromNumber(value),
                     textFromNumber(glazing.grid.startNm + static_cast<double>(i) * glazing.grid.stepNm)));
        }
    }
    if (!(std::accumulate(glazing.transmittance.begin(), glazing.transmittance.end(), 0.0) > 0)) {
        return invalid("transmittance", said("lets no light through"));
    }
    return checkTime(glazing.when);
}

Outcome checkViewer(const ViewerRecord& viewer) {
    constexpr double kYoungest = 20;
    constexpr double kOldest = 80;
    constexpr double kSmallestField = 1;
    constexpr double kLargestField = 10;
    const auto invalid = [](std::string field, std::string what, std::string next) {
        return wrong("viewer-invalid", std::move(field), std::move(what), std::move(next));
    };
    if (!isName(viewer.name)) return invalid("name", said("a viewer needs a name"), kNameNext);
    if (!(viewer.ageYears >= kYoungest && viewer.ageYears <= kOldest)) {
        return invalid("age",
                       said("{} years are outside what is known of eyes", textFromNumber(viewer.ageYears)),
                       said("Give an age from 20 to 80"));
    }
    if (!(viewer.fieldDegrees >= kSmallestField && viewer.fieldDegrees <= kLargestField)) {
        return invalid(
            "field",
            said("{} degrees are outside what is known of eyes", textFromNumber(viewer.fieldDegrees)),
            said("Give a field from 1 to 10 degrees"));
    }
    const std::pair<const char*, const std::optional<double>&> thresholds[] = {
        {"threshold-beside", viewer.thresholdBeside}, {"threshold-alone", viewer.thresholdAlone}};
    for (const auto& [field, threshold] : thresholds) {
        if (threshold && (!std::isfinite(*threshold) || !(*threshold > 0))) {
            return invalid(field, said("{} is no threshold", textFromNumber(*threshold)),
                           said("Give one above 0, or leave it out"));
        }
    }
    return checkTime(viewer.when);
}

Outcome checkSheet(const SheetRecord& sheet) {
    if (!isName(sheet.code)) return wrong("sheet-invalid", "code", said("a sheet needs a code"), kNameNext);
    if (!isName(sheet.name)) return wrong("sheet-invalid", "name", said("a sheet needs a name"), kNameNext);
    if (isBlank(sheet.definition)) {
        return wrong("sheet-invalid", "definition", said("is missing"), said("Design the sheet first"));
    }
    return checkTime(sheet.when);
}

Outcome checkCorrection(const CorrectionRecord& correction) {
    const auto invalid = [](std::string field, std::string what) {
        return wrong("correction-invalid", std::move(field), std::move(what),
                     said("Make the correction from the readings of a trial"));
    };
    if (correction.kind != "curve" && correction.kind != "table")
        return invalid("kind", said("is neither curve nor table"));
    if (isBlank(correction.content)) return invalid("content", said("is missing"));
    if (correction.trials.empty()) return invalid("trials", said("are missing"));
    return checkTime(correction.when);
}

Outcome checkDevice(const DeviceRecord& device) {
    if (!isName(device.name)) {
        return wrong("device-invalid", "name", said("a scanner or camera needs a name"), kNameNext);
    }
    if (isBlank(device.characterisation)) {
        return wrong("device-invalid", "characterisation", said("is missing"),
                     said("Learn the device first"));
    }
    return checkTime(device.when);
}

}  // namespace greywright::book

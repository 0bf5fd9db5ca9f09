#include "book/rules.h"

#include <algorithm>
#include <cmath>
#include <string_view>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "book/errors.h"
#include "core/nearest_name.h"
#include "core/numbers.h"

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

Outcome checkAxis(const AxisRecord& axis) {
    // These letters separate the parts of NAME:MIN:MAX:STEP and of NAME=VALUE,NAME=VALUE.
    if (axis.name.empty() || hasControlCharacter(axis.name) ||
        axis.name.find_first_of(" :=,") != std::string::npos) {
        return wrong("axis-name-invalid", axis.name, "is no name for an axis",
                     "Use a name without spaces, colons, commas and equals signs");
    }
    if (!std::isfinite(axis.min) || !std::isfinite(axis.max) || !(axis.min < axis.max)) {
        return wrong("axis-range-invalid", axis.name,
                     fmt::format("runs from {} to {}, which is no range", textFromNumber(axis.min),
                                 textFromNumber(axis.max)),
                     "Give the lowest value first, then the highest");
    }
    const double steps = (axis.max - axis.min) / axis.step;
    if (!(axis.step > 0) || !(steps <= kMostSteps) || std::abs(steps - std::round(steps)) > kStepTolerance ||
        std::round(steps) < 1) {
        return wrong("axis-step-invalid", axis.name,
                     fmt::format("cannot go from {} to {} in steps of {}", textFromNumber(axis.min),
                                 textFromNumber(axis.max), textFromNumber(axis.step)),
                     "Give the step that the driver itself makes between neighbouring values");
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
                     fmt::format("{} lies outside {} to {}", textFromNumber(value), textFromNumber(axis.min),
                                 textFromNumber(axis.max)),
                     "Give a value that the driver offers");
    }
    const auto shown = [&](double steps) {
        return *numberFromText(textFromNumber(axis.min + steps * axis.step, kDecimals));
    };
    const double steps = (value - axis.min) / axis.step;
    if (std::abs(steps - std::round(steps)) > kStepTolerance) {
        return wrong(
            "setting-off-step", axis.name,
            fmt::format("{} is not on the step of {}", textFromNumber(value), textFromNumber(axis.step)),
            fmt::format("The nearest values are {} and {}", textFromNumber(shown(std::floor(steps))),
                        textFromNumber(shown(std::ceil(steps)))));
    }
    return shown(std::round(steps));
}

bool isFinite(const LabRecord& lab) {
    return std::isfinite(lab.L) && std::isfinite(lab.a) && std::isfinite(lab.b);
}

}  // namespace

Outcome checkTime(const std::string& when) {
    constexpr std::string_view kShape = "0000-00-00T00:00:00Z";
    const bool fits = std::ranges::equal(when, kShape, [](char letter, char shape) {
        return shape == '0' ? letter >= '0' && letter <= '9' : letter == shape;
    });
    if (fits) return Done{};
    return wrong("time-invalid", "time", fmt::format("\"{}\" is no time", when),
                 "Give it in UTC, like 2031-04-05T06:07:08Z");
}

Outcome checkCondition(const ConditionRecord& condition) {
    if (isBlank(condition.name) || hasControlCharacter(condition.name) || condition.name.front() == ' ' ||
        condition.name.back() == ' ') {
        return wrong("condition-name-invalid", "name", "a printing condition needs a name",
                     "Use a name of visible letters without spaces at its ends");
    }
    const std::pair<const char*, const std::string*> parts[] = {{"printer", &condition.printer},
                                                                {"inks", &condition.inks},
                                                                {"paper", &condition.paper},
                                                                {"mode", &condition.mode}};
    for (const auto& [field, text] : parts) {
        if (isBlank(*text)) {
            return wrong("condition-incomplete", field, "is not given",
                         "Say what you print with, in your own words; what is learned about a driver is "
                         "carried over by printer, inks and mode");
        }
    }
    if (condition.axes.empty() || condition.axes.size() > kMostAxes) {
        return wrong("axis-count", "axes", fmt::format("{} axes are given", condition.axes.size()),
                     "Give the one to three axes of the driver's tint control");
    }
    for (std::size_t i = 0; i < condition.axes.size(); ++i) {
        const AxisRecord& axis = condition.axes[i];
        if (Outcome sound = checkAxis(axis); !sound) return sound;
        for (std::size_t j = 0; j < i; ++j) {
            if (condition.axes[j].name == axis.name) {
                return wrong("axis-name-twice", axis.name, "two axes have this name",
                             "Give every axis its own name");
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
            return wrong("setting-axis-unknown", given.axis, "is no axis of this condition",
                         nearest ? fmt::format("Did you mean {}?", *nearest)
                                 : fmt::format("Its axes are: {}", axisNames(axes)));
        }
        if (std::ranges::count(setting, given.axis, &AxisValue::axis) > 1) {
            return wrong("setting-axis-twice", given.axis, "is given more than once", "Give every axis once");
        }
    }
    Setting ordered;
    for (const AxisRecord& axis : axes) {
        const auto given = std::ranges::find(setting, axis.name, &AxisValue::axis);
        if (given == setting.end()) {
            return wrong("setting-axis-missing", axis.name, "has no value in the setting",
                         fmt::format("Give a value for each of: {}", axisNames(axes)));
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
                     .next = "Measure the sheet again or mend the file"};
    };
    if (reading.patches.empty()) return invalid("patches", "has none");
    const std::size_t wanted = reading.grid ? reading.grid->count : 0;
    if (reading.grid &&
        (wanted == 0 || !std::isfinite(reading.grid->startNm) || !(reading.grid->stepNm > 0))) {
        return invalid("wavelengths", "are no equally spaced wavelengths");
    }
    for (const PatchRecord& patch : reading.patches) {
        if (!patch.reflectance.empty() && patch.reflectance.size() != wanted) {
            return invalid(
                patch.name,
                fmt::format("has {} reflectances for {} wavelengths", patch.reflectance.size(), wanted),
                patch.line);
        }
        if (!std::isfinite(patch.tonePercent.value_or(0)) || !isFinite(patch.lab.value_or(LabRecord{})) ||
            !std::ranges::all_of(patch.reflectance, [](double value) { return std::isfinite(value); })) {
            return invalid(patch.name, "holds a value that is not a number", patch.line);
        }
    }
    return checkTime(reading.when);
}

}  // namespace greywright::book

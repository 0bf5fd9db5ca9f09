#include "arguments.h"

#include <cmath>
#include <string_view>
#include <utility>

#include <fmt/format.h>

#include "core/numbers.h"
#include "studio/convert.h"

namespace greywright::cli {
namespace {

Error wrong(std::string code, const std::string& text, std::string_view option, std::string next) {
    return {.kind = ErrorKind::wrongUse,
            .code = std::move(code),
            .what = fmt::format("'{}' is not understood", text),
            .where = {.field = std::string(option)},
            .next = std::move(next)};
}

std::vector<std::string> split(const std::string& text, std::string_view separators) {
    std::vector<std::string> parts(1);
    for (const char letter : text) {
        if (separators.find(letter) != std::string_view::npos) {
            parts.emplace_back();
        } else {
            parts.back() += letter;
        }
    }
    return parts;
}

Result<steer::LightGoal> goalFromText(const std::string& text) {
    const std::size_t equals = text.rfind('=');
    if (equals == std::string::npos) return steer::LightGoal{.name = text};
    const auto weight = numberFromText(std::string_view(text).substr(equals + 1));
    if (!weight || equals == 0) {
        return wrong("light-text-invalid", text, "--light",
                     "Write a scene or light, and its weight if it has one: living-room=2");
    }
    return steer::LightGoal{.name = text.substr(0, equals), .weight = *weight};
}

Result<book::AxisRecord> axisFromText(const std::string& text) {
    const std::vector<std::string> parts = split(text, ":");
    const Error error = wrong("axis-text-invalid", text, "--axis",
                              "Write name:lowest:highest:step, for example across:-50:50:1");
    if (parts.size() != 4) return error;
    const auto lowest = numberFromText(parts[1]);
    const auto highest = numberFromText(parts[2]);
    const auto step = numberFromText(parts[3]);
    if (!lowest || !highest || !step) return error;
    return book::AxisRecord{.name = parts[0], .min = *lowest, .max = *highest, .step = *step};
}

}  // namespace

Result<std::vector<book::AxisRecord>> axesFromTexts(const std::vector<std::string>& texts) {
    std::vector<book::AxisRecord> axes;
    for (const std::string& text : texts) {
        auto axis = axisFromText(text);
        if (!axis) return std::move(axis).error();
        axes.push_back(*std::move(axis));
    }
    return axes;
}

Result<book::Setting> settingFromText(const std::string& text) {
    auto setting = studio::settingFromText(text);
    if (setting) return *std::move(setting);
    return wrong("setting-text-invalid", text, "--setting",
                 "Write one value for each axis, for example across=-8,up=0");
}

Result<std::vector<double>> tonesFromText(const std::string& text) {
    const auto tones = numbersInText(text);
    if (tones.empty()) {
        return wrong("tones-text-invalid", text, "--tones",
                     "Write the tones in percent in the order of the patches, for example 0,10,20,50,100");
    }
    return tones;
}

Result<std::pair<std::string, std::string>> choiceFromText(const std::string& text) {
    const std::size_t equals = text.find('=');
    if (equals == std::string::npos || equals == 0 || equals + 1 == text.size()) {
        return wrong("choice-text-invalid", text, "--choice", "Write name=value, for example tone=dark");
    }
    return std::pair{text.substr(0, equals), text.substr(equals + 1)};
}

Result<std::pair<double, double>> agesFromText(const std::string& text) {
    const std::vector<std::string> parts = split(text, ":");
    const auto youngest = numberFromText(parts.front()), oldest = numberFromText(parts.back());
    if (parts.size() > 2 || !youngest || !oldest) {
        return wrong("ages-text-invalid", text, "--ages",
                     "Write the youngest and the oldest, for example 20:75");
    }
    return std::pair{*youngest, *oldest};
}

Result<book::LightShareRecord> partFromText(const std::string& text) {
    const std::size_t equals = text.rfind('=');
    const auto share = equals == std::string::npos
                           ? std::nullopt
                           : numberFromText(std::string_view(text).substr(equals + 1));
    if (!share || equals == 0) {
        return wrong("part-text-invalid", text, "--mix",
                     "Write a light and its share of the illuminance, for example LED-B1=0.7");
    }
    return book::LightShareRecord{.light = text.substr(0, equals), .share = *share};
}

Result<std::vector<steer::LightGoal>> goalsFromTexts(const std::vector<std::string>& texts) {
    std::vector<steer::LightGoal> goals;
    for (const std::string& text : texts) {
        auto goal = goalFromText(text);
        if (!goal) return std::move(goal).error();
        goals.push_back(*std::move(goal));
    }
    return goals;
}

Result<colour::TintAimKind> aimFromText(const std::string& text) {
    if (text == "fade") return colour::TintAimKind::fade;
    if (text == "light") return colour::TintAimKind::light;
    if (text == "paper") return colour::TintAimKind::paper;
    return wrong("aim-unknown", text, "--aim",
                 "Choose fade (the paper's tint fades into neutral), light (neutral to the light) or paper");
}

Result<measure::Condition> measurementConditionFromText(const std::string& text) {
    for (const measure::Condition condition :
         {measure::Condition::m0, measure::Condition::m1, measure::Condition::m2, measure::Condition::m3}) {
        if (text == measure::textFromCondition(condition)) return condition;
    }
    return wrong("measurement-condition-unknown", text, "--condition-m", "Choose M0, M1, M2 or M3");
}

Result<sheet::Page> pageFromText(const std::string& text) {
    std::string plain;
    for (const char letter : text) {
        if (letter != ' ') plain += letter == 'X' ? 'x' : letter;
    }
    auto named = sheet::pageByName(plain);
    if (named) return named;
    double mmPerUnit = 1;
    for (const auto& [unit, mm] : {std::pair{"in", 25.4}, {"mm", 1.0}}) {
        if (!plain.ends_with(unit)) continue;
        plain.resize(plain.size() - std::string_view(unit).size());
        mmPerUnit = mm;
        break;
    }
    const std::vector<std::string> parts = split(plain, "x");
    const auto width = numberFromText(parts.front()), height = numberFromText(parts.back());
    if (parts.size() != 2 || (!width && !height)) return named;
    if (!width || !height) {
        return wrong("page-text-invalid", text, "--page",
                     "Write width and height in mm or inches, for example 210x297 or 5x7in");
    }
    return sheet::Page{.widthMm = *width * mmPerUnit, .heightMm = *height * mmPerUnit};
}

Result<std::vector<double>> numbersFromText(const std::string& text, std::string_view option) {
    const auto numbers = numbersInText(text);
    if (numbers.empty()) {
        return wrong("numbers-text-invalid", text, option, "Write numbers with commas between, like 2.5,5");
    }
    return numbers;
}

Result<scan::RectPx> rectangleFromText(const std::string& text, std::string_view option) {
    const auto numbers = numbersInText(text);
    if (numbers.size() != 4) {
        return wrong("rectangle-text-invalid", text, option,
                     "Write x,y,width,height in pixels from the picture's upper left corner: 1200,800,60,40");
    }
    return scan::RectPx{numbers[0], numbers[1], numbers[2], numbers[3]};
}

Result<colour::Lab> labFromText(const std::string& text, std::string_view option) {
    const auto numbers = numbersInText(text);
    if (numbers.size() != 3) {
        return wrong("lab-text-invalid", text, option, "Write L*,a*,b* for D50, for example 52.1,-0.3,0.4");
    }
    constexpr double kMostTint = 128;
    const bool isColour = numbers[0] >= 0 && numbers[0] <= 100 && std::abs(numbers[1]) <= kMostTint &&
                          std::abs(numbers[2]) <= kMostTint;
    if (!isColour) {
        return wrong("lab-out-of-range", text, option,
                     "L* runs from 0 to 100, a* and b* from -128 to 128, for example 52.1,-0.3,0.4");
    }
    return colour::Lab{numbers[0], numbers[1], numbers[2]};
}

Result<studio::ToneAimChoice> toneAimFromText(const std::string& text) {
    using Kind = studio::ToneAimChoice::Kind;
    if (text == "even") return studio::ToneAimChoice{};
    if (text.starts_with("match=") && text.size() > 6)
        return studio::ToneAimChoice{.kind = Kind::condition, .condition = text.substr(6)};
    if (text.starts_with("gamma=")) {
        if (const auto gamma = numberFromText(text.substr(6)))
            return studio::ToneAimChoice{.kind = Kind::gamma, .gamma = *gamma};
    }
    return wrong("tone-aim-text-invalid", text, "--tone-aim",
                 "Write even, gamma=2.2, or match=NAME for the tone of another condition");
}

Result<studio::ProfileKind> profileKindFromText(const std::string& text) {
    if (text == "grey") return studio::ProfileKind::grey;
    if (text == "rgb") return studio::ProfileKind::rgb;
    if (text == "link") return studio::ProfileKind::link;
    return wrong("profile-kind-unknown", text, "--kind", "Choose grey, rgb or link");
}

Result<std::size_t> viewerCount(long count) {
    if (count >= 0) return static_cast<std::size_t>(count);
    return Error{.kind = ErrorKind::wrongUse,
                 .code = "viewers-invalid",
                 .what = fmt::format("{} viewers cannot be asked", count),
                 .where = {.path = {}, .field = "--viewers"},
                 .next = "Give how many, or 0 to ask nobody"};
}

Result<colour::Tint> tintFromText(const std::string& text, std::string_view option) {
    const auto numbers = numbersInText(text);
    constexpr double kMostChroma = 60;
    if (numbers.size() != 2 || numbers[0] < 0 || numbers[0] > kMostChroma || std::abs(numbers[1]) > 360) {
        return wrong("tint-text-invalid", text, option,
                     "Write chroma,hue in CIELAB, at most 60 and 360 degrees: 6,70 is a light brown, 4,260 a "
                     "cool blue");
    }
    const colour::Toning toning = colour::Toning::even(numbers[0], numbers[1]);
    return toning.shadows;
}

}  // namespace greywright::cli

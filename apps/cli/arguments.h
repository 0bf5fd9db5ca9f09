#pragma once

#include <string>
#include <vector>

#include "book/records.h"
#include "colour/aim.h"
#include "core/result.h"
#include "measure/reading.h"
#include "scan/scan.h"
#include "sheet/sheet.h"
#include "steer/control.h"
#include "studio/corrections.h"
#include "studio/profiles.h"

/// The command line's little languages.
namespace greywright::cli {

/// "across:-50:50:1" each. Errors: axis-text-invalid.
[[nodiscard]] Result<std::vector<book::AxisRecord>> axesFromTexts(const std::vector<std::string>& texts);
/// "across=-8,up=0". Errors: setting-text-invalid.
[[nodiscard]] Result<book::Setting> settingFromText(const std::string& text);
/// "0,5,10,20.5,100"; blanks and semicolons separate as well. Errors: tones-text-invalid.
[[nodiscard]] Result<std::vector<double>> tonesFromText(const std::string& text);
/// "tone=dark". Errors: choice-text-invalid.
[[nodiscard]] Result<std::pair<std::string, std::string>> choiceFromText(const std::string& text);
/// "20:75", years. Errors: ages-text-invalid.
[[nodiscard]] Result<std::pair<double, double>> agesFromText(const std::string& text);
/// "LED-B1=0.7". Errors: part-text-invalid.
[[nodiscard]] Result<book::LightShareRecord> partFromText(const std::string& text);
/// "living-room" or "living-room=2" each: a scene or light, and its weight. Errors: light-text-invalid.
[[nodiscard]] Result<std::vector<steer::LightGoal>> goalsFromTexts(const std::vector<std::string>& texts);
/// "fade", "light" or "paper". Errors: aim-unknown.
[[nodiscard]] Result<colour::TintAimKind> aimFromText(const std::string& text);
/// "M0" .. "M3". Errors: measurement-condition-unknown.
[[nodiscard]] Result<measure::Condition> measurementConditionFromText(const std::string& text);

/// "A4", or "210x297", "210x297mm" or "5x7in" with the usual margin. Errors: page-text-invalid; those of
/// sheet::pageByName().
[[nodiscard]] Result<sheet::Page> pageFromText(const std::string& text);
/// Numbers of percent as tonesFromText(), of another option. Errors: numbers-text-invalid.
[[nodiscard]] Result<std::vector<double>> numbersFromText(const std::string& text, std::string_view option);
/// "120,80,40,30": a rectangle of a picture. Errors: rectangle-text-invalid.
[[nodiscard]] Result<scan::RectPx> rectangleFromText(const std::string& text, std::string_view option);
/// "52.1,-0.3,0.4". Errors: lab-text-invalid.
[[nodiscard]] Result<colour::Lab> labFromText(const std::string& text, std::string_view option);

/// "even", "gamma=2.2" or "match=NAME", a condition's. Errors: tone-aim-text-invalid.
[[nodiscard]] Result<studio::ToneAimChoice> toneAimFromText(const std::string& text);
/// "grey", "rgb" or "link". Errors: profile-kind-unknown.
[[nodiscard]] Result<studio::ProfileKind> profileKindFromText(const std::string& text);
/// How many viewers are asked. Errors: viewers-invalid.
[[nodiscard]] Result<std::size_t> viewerCount(long count);
/// "6,70": chroma and hue in degrees. Errors: tint-text-invalid.
[[nodiscard]] Result<colour::Tint> tintFromText(const std::string& text, std::string_view option);

}  // namespace greywright::cli

#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "book/records.h"
#include "measure/ramp.h"
#include "measure/reading.h"
#include "steer/control.h"

/// Between the book's plain records and the values that the other modules think in.
namespace greywright::studio {

/// A ramp as the book keeps it. `reading` gives what the ramp has lost: format, instrument, notes.
[[nodiscard]] book::ReadingRecord recordFromRamp(const measure::Ramp& ramp, const measure::Reading& reading,
                                                 const std::string& fileName, const std::string& when);

/// Adds what was sent to red, green and blue to a record of recordFromRamp(), and the patches that are beside
/// the ramp, when the reading has colours that are no greys. Hands back how many those are.
std::size_t addColoursTo(book::ReadingRecord& record, const measure::Reading& reading);

/// The ramp that was kept. Patches without tone or CIELAB are left out.
[[nodiscard]] measure::Ramp rampFromRecord(const book::ReadingRecord& record);

/// A ramp as a reading, for writing it out; with its colours where it has some.
[[nodiscard]] measure::Reading readingFromRecord(const book::ReadingRecord& record);

[[nodiscard]] std::vector<steer::TintAxis> axesFromRecord(const book::ConditionRecord& condition);

/// Values in the order of the condition's axes.
[[nodiscard]] steer::Setting settingFromRecord(const book::Setting& setting);

/// "across=-8,up=0"
[[nodiscard]] std::string textFromSetting(const book::Setting& setting);
[[nodiscard]] std::string textFromSetting(const std::vector<steer::TintAxis>& axes,
                                          const steer::Setting& setting);

/// "across −8, up 0", for people.
[[nodiscard]] std::string wordsFromSetting(const book::Setting& setting);
[[nodiscard]] std::string wordsFromSetting(const std::vector<steer::TintAxis>& axes,
                                           const steer::Setting& setting);

/// "across=-8,up=0" back; nothing when that is not understood.
[[nodiscard]] std::optional<book::Setting> settingFromText(std::string_view text);

/// "tone=dark, paper type=matt", or "" for none.
[[nodiscard]] std::string textFromChoices(const std::map<std::string, std::string>& choices);

}  // namespace greywright::studio

#pragma once

#include <string>

#include "studio/foresight.h"
#include "studio/studio.h"

/// Answers as JSON text, one object each. The field names are a contract with scripts; fields may be added.
/// Units: CIELAB and CIEDE2000 unless the name says otherwise; tones in percent.
namespace greywright::studio {

[[nodiscard]] std::string jsonFromRead(const ReadSummary& summary);
/// As jsonFromRead(), with doubts and likely_setting; trial is null when it would be a new one.
[[nodiscard]] std::string jsonFromInspected(const Inspected& inspected);
[[nodiscard]] std::string jsonFromJudgement(const Judgement& judgement);
[[nodiscard]] std::string jsonFromForetelling(const Foretelling& foretelling);
[[nodiscard]] std::string jsonFromSearch(const Search& search);
[[nodiscard]] std::string jsonFromConditions(const std::vector<ConditionOverview>& conditions);
[[nodiscard]] std::string jsonFromTrials(const std::vector<book::TrialRecord>& trials);
[[nodiscard]] std::string jsonFromLights(const Catalogue& catalogue);
[[nodiscard]] std::string jsonFromLight(const colour::Light& light, const Catalogue& catalogue);
[[nodiscard]] std::string jsonFromScenes(const Catalogue& catalogue);
[[nodiscard]] std::string jsonFromGlazings(const Catalogue& catalogue);
[[nodiscard]] std::string jsonFromViewers(const Catalogue& catalogue);
[[nodiscard]] std::string jsonFromSheet(const MadeSheet& made);
[[nodiscard]] std::string jsonFromSheets(const std::vector<book::SheetRecord>& sheets);
[[nodiscard]] std::string jsonFromDevice(const LearnedDevice& device);
[[nodiscard]] std::string jsonFromDevices(const std::vector<book::DeviceRecord>& devices);
[[nodiscard]] std::string jsonFromLook(const Look& look);
/// That something was done, and what was noted on the way.
[[nodiscard]] std::string jsonFromNotes(const std::vector<Note>& notes);
[[nodiscard]] std::string jsonFromError(const Error& error);
/// A text as a JSON string, quotes included; bytes that are no UTF-8 are replaced.
[[nodiscard]] std::string jsonFromText(const std::string& text);

}  // namespace greywright::studio

#pragma once

#include <string>

#include "studio/foresight.h"
#include "studio/studio.h"

/// Answers in words for the terminal.
namespace greywright::cli {

[[nodiscard]] std::string wordsFromRead(const studio::ReadSummary& summary);
[[nodiscard]] std::string wordsFromInspected(const studio::Inspected& inspected);
[[nodiscard]] std::string wordsFromJudgement(const studio::Judgement& judgement);
[[nodiscard]] std::string wordsFromForetelling(const studio::Foretelling& foretelling);
[[nodiscard]] std::string wordsFromSearch(const studio::Search& search);
[[nodiscard]] std::string wordsFromConditions(const std::vector<studio::ConditionOverview>& conditions);
[[nodiscard]] std::string wordsFromTrials(const std::vector<book::TrialRecord>& trials);
[[nodiscard]] std::string wordsFromNotes(const std::vector<Note>& notes);

[[nodiscard]] std::string wordsFromLights(const studio::Catalogue& catalogue);
[[nodiscard]] std::string wordsFromLight(const colour::Light& light, const studio::Catalogue& catalogue);
[[nodiscard]] std::string wordsFromScenes(const studio::Catalogue& catalogue);
[[nodiscard]] std::string wordsFromGlazings(const studio::Catalogue& catalogue);
[[nodiscard]] std::string wordsFromViewers(const studio::Catalogue& catalogue);

[[nodiscard]] std::string wordsFromSheet(const studio::MadeSheet& made);
[[nodiscard]] std::string wordsFromSheets(const std::vector<book::SheetRecord>& sheets);
[[nodiscard]] std::string wordsFromDevices(const std::vector<book::DeviceRecord>& devices);
[[nodiscard]] std::string wordsFromLook(const studio::Look& look);

}  // namespace greywright::cli

#pragma once

#include <string>
#include <vector>

#include "studio/corrections.h"
#include "studio/profiles.h"

/// Answers in words about corrections and prepared pictures.
namespace greywright::cli {

[[nodiscard]] std::string wordsFromCurve(const studio::MadeCurve& made, const std::string& condition);
[[nodiscard]] std::string wordsFromTable(const studio::MadeTable& made, const std::string& condition);
[[nodiscard]] std::string wordsFromCorrections(const std::vector<book::CorrectionRecord>& corrections,
                                               const std::vector<book::MadeFileRecord>& made);
[[nodiscard]] std::string wordsFromProfile(const studio::MadeProfile& made);
[[nodiscard]] std::string wordsFromPrepared(const studio::PreparedPictures& prepared);
[[nodiscard]] std::string wordsFromProof(const studio::Proof& proof);
[[nodiscard]] std::string wordsFromChecks(const std::vector<studio::PictureCheck>& checks);

}  // namespace greywright::cli

#pragma once

#include <string>
#include <vector>

#include "studio/corrections.h"
#include "studio/profiles.h"

/// Answers about corrections as JSON text, see json.h.
namespace greywright::studio {

[[nodiscard]] std::string jsonFromCurve(const MadeCurve& made);
[[nodiscard]] std::string jsonFromTable(const MadeTable& made);
[[nodiscard]] std::string jsonFromCorrections(const std::vector<book::CorrectionRecord>& corrections,
                                              const std::vector<book::MadeFileRecord>& made);
[[nodiscard]] std::string jsonFromProfile(const MadeProfile& made);
[[nodiscard]] std::string jsonFromPrepared(const PreparedPictures& prepared);
[[nodiscard]] std::string jsonFromProof(const Proof& proof);
[[nodiscard]] std::string jsonFromChecks(const std::vector<PictureCheck>& checks,
                                         const std::vector<FailedCheck>& failed);

}  // namespace greywright::studio

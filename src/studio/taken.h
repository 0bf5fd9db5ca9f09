#pragma once

#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "measure/ramp.h"
#include "measure/reading.h"
#include "studio/pictures.h"

/// From the bytes of any file to a reading; for the sources of this module only.
namespace greywright::studio {

/// A file as it was understood.
struct Taken {
    measure::Reading reading;
    measure::Ramp ramp;
    std::string bytes;
    std::string setting = {};  ///< what the sheet says it is printed at
    int missingPages = 0;
};

/// Asked for only when a file cannot be understood without it.
using AskContext = std::function<Result<PictureContext>()>;

/// Reads a measurement file, or a scan or photograph. Errors: those of measure::readingFromBytes() and
/// rampFromReading(), of readPicture(), and of `ask`; sheet-ambiguous, wrong-number-of-patches.
[[nodiscard]] Result<Taken> take(const std::filesystem::path& file, std::vector<double> tonesPercent,
                                 measure::Condition preferred, const PictureRequest& picture,
                                 const AskContext& ask);

/// The same patches under M2, from a file that holds several measurement conditions.
[[nodiscard]] std::optional<measure::Ramp> withoutUltraviolet(const Taken& taken,
                                                              const std::vector<double>& tonesPercent);

}  // namespace greywright::studio

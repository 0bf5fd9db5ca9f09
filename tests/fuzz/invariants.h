#pragma once

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <string>

#include "core/result.h"
#include "measure/read.h"
#include "measure/reading.h"
#include "measure/tones.h"
#include "measure/write.h"

/// What holds for every input of every reader, hostile or not. A broken invariant ends the program: that is
/// how both libFuzzer and the replay notice it.
namespace greywright::fuzz {

inline void demand(bool holds, const char* what) {
    if (holds) return;
    std::fprintf(stderr, "broken invariant: %s\n", what);
    std::abort();
}

inline bool near(double one, double other) {
    return std::abs(one - other) <= 1e-9 * std::max({1.0, std::abs(one), std::abs(other)});
}

inline void checkPatch(const measure::Reading& reading, const measure::Patch& patch) {
    demand(!patch.name.empty(), "a patch has a name");
    demand(patch.device.size() == reading.deviceColumns.size(), "one device value per column");
    demand(patch.reflectance.size() == (reading.grid ? reading.grid->count : 0), "spectra are on the grid");
    demand(patch.lab && std::isfinite(patch.lab->L) && std::isfinite(patch.lab->a) &&
               std::isfinite(patch.lab->b),
           "CIELAB is there and finite");
    demand(std::ranges::all_of(patch.device, [](double v) { return std::isfinite(v); }),
           "device values are finite");
    demand(std::ranges::all_of(patch.reflectance, [](double v) { return v > -0.1 && v < 3; }),
           "reflectances are possible");
    demand(!patch.tonePercent || (*patch.tonePercent >= 0 && *patch.tonePercent <= 100), "tones are percent");
}

inline void checkSame(const measure::Reading& one, const measure::Reading& other) {
    demand(one.patches.size() == other.patches.size(), "written: as many patches");
    demand(one.grid.has_value() == other.grid.has_value(), "written: spectral or not");
    if (one.grid) {
        demand(one.grid->count == other.grid->count && near(one.grid->startNm, other.grid->startNm) &&
                   near(one.grid->stepNm, other.grid->stepNm),
               "written: the grid");
    }
    demand(one.condition == other.condition, "written: the condition");
    demand(one.instrument == other.instrument, "written: the instrument");
    demand(one.created == other.created, "written: the date");
    demand(one.deviceColumns == other.deviceColumns, "written: the device columns");
    for (std::size_t i = 0; i < one.patches.size(); ++i) {
        const measure::Patch& a = one.patches[i];
        const measure::Patch& b = other.patches[i];
        demand(a.name == b.name, "written: the name");
        demand(a.tonePercent == b.tonePercent, "written: the tone");
        demand(a.device == b.device, "written: the device values");
        demand(a.reflectance == b.reflectance, "written: the spectrum");
        demand(near(a.lab->L, b.lab->L) && near(a.lab->a, b.lab->a) && near(a.lab->b, b.lab->b),
               "written: CIELAB");
    }
}

inline void checkRefusal(const Error& error) {
    demand(!error.code.empty() && !error.what.empty() && !error.next.empty(),
           "a refusal says what and what next");
    demand(error.where.path == "fuzz", "a refusal names the file");
}

/// Everything that must hold for a reading attempt.
inline void checkReading(const Result<measure::Reading>& result) {
    if (!result) return checkRefusal(result.error());
    const measure::Reading& reading = *result;
    demand(!reading.patches.empty(), "a reading has patches");
    for (const measure::Patch& patch : reading.patches) checkPatch(reading, patch);
    const auto again = measure::readingFromBytes(measure::cgatsFromReading(reading), "fuzz");
    if (!again) std::fprintf(stderr, "%s: %s\n", again.error().code.c_str(), again.error().text().c_str());
    demand(again.has_value(), "what is written can be read");
    checkSame(reading, *again);
    if (reading.patches.size() > 200) return;
    const auto ramp = measure::rampFromReading(reading);
    if (!ramp) return checkRefusal(ramp.error());
    for (std::size_t i = 1; i < ramp->patches.size(); ++i) {
        demand(ramp->patches[i - 1].tonePercent < ramp->patches[i].tonePercent, "tones ascend");
    }
}

}  // namespace greywright::fuzz

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string_view>

#include "invariants.h"
#include "measure/lamp.h"

namespace {

using namespace greywright;

bool isFinite(const std::vector<double>& values, double least, double most) {
    return std::ranges::all_of(values, [&](double v) { return v >= least && v <= most; });
}

void checkLamp(const measure::LampReading& lamp) {
    fuzz::demand(lamp.power.size() == lamp.wavelengthsNm.size(), "one power per wavelength");
    fuzz::demand(
        std::ranges::adjacent_find(lamp.wavelengthsNm, std::greater_equal<>()) == lamp.wavelengthsNm.end(),
        "wavelengths ascend");
    fuzz::demand(isFinite(lamp.wavelengthsNm, 100, 3000), "wavelengths are in nm");
    fuzz::demand(isFinite(lamp.power, 0, 1e33), "powers are finite and not negative");
    for (const Note& note : lamp.notes)
        fuzz::demand(!note.code.empty() && !note.text.empty(), "notes say something");
    const auto light = measure::lightFromLamp(lamp, "fuzz");
    if (!light) {
        // Narrow lines may fall between whole nanometres; all else was checked when the lamp was read.
        fuzz::demand(light.error().code == "lamp-all-zero", "a lamp that was read gives a light");
        return;
    }
    fuzz::demand(light->power.values.size() == colour::kFineGrid.count, "a light is on the fine grid");
    fuzz::demand(isFinite(light->power.values, 0, 100.0001), "a light has its peak at 100");
    fuzz::demand(*std::ranges::max_element(light->power.values) > 99.9999, "a light reaches its peak");
    fuzz::demand(light->ultraviolet.empty() || light->ultraviolet.size() == colour::kUltravioletGrid.count,
                 "ultraviolet is on its grid");
    fuzz::demand(std::ranges::all_of(light->ultraviolet, [](double v) { return std::isfinite(v) && v >= 0; }),
                 "ultraviolet is finite and not negative");
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string_view bytes(reinterpret_cast<const char*>(data), size);
    for (const measure::LampOptions& options :
         {measure::LampOptions{}, measure::LampOptions{.column = "2"}}) {
        if (const auto lamp = measure::lampFromBytes(bytes, "fuzz", options)) {
            checkLamp(*lamp);
        } else {
            fuzz::checkRefusal(lamp.error());
        }
    }
    if (const auto glazing = measure::transmittanceFromBytes(bytes, "fuzz")) {
        fuzz::demand(glazing->transmittance.values.size() == colour::kGlazingGrid.count,
                     "a transmittance is on its grid");
        fuzz::demand(isFinite(glazing->transmittance.values, 0, 1.02), "transmittances are possible");
    } else {
        fuzz::checkRefusal(glazing.error());
    }
    return 0;
}

#include "colour/lamps.h"

#include <array>

#include <fmt/format.h>

#include "colour/interpolation.h"
#include "colour/tables.h"

namespace greywright::colour {
namespace {

struct Lamp {
    const char* name;  // kind, look, Ra to the nearest whole number where it tells lamps apart
    const char* description;
    int place;  // in the collection, from 1
};

// The order of the columns of data/measured_lamps.csv (tools/make_tables.py, MEASURED_LAMPS).
constexpr std::array<Lamp, 20> kLamps{{
    {"led-warm-82", "LED spot lamp for the home, warm white", 378},
    {"led-warm-93", "LED, blue with phosphor, warm white, good rendering", 384},
    {"led-gallery-97", "LED, blue with phosphor, warm white, gallery quality", 383},
    {"led-violet-96", "LED, violet with phosphor, warm white, gallery quality", 400},
    {"led-mixed-90", "LED, phosphor with red LEDs mixed in, warm white", 123},
    {"led-neutral-81", "LED, blue with phosphor, neutral white", 118},
    {"led-cool-71", "LED, blue with phosphor, cool white, plain", 380},
    {"led-daylight-98", "LED, violet with phosphor, daylight", 249},
    {"led-rgb-32", "LED, red, green and blue mixed to warm white", 239},
    {"fluorescent-warm-85", "Fluorescent lamp, narrow-band, as warm as a bulb", 331},
    {"tube-warm-85", "Fluorescent tube, narrow-band, warm white", 46},
    {"tube-neutral-84", "Fluorescent tube, narrow-band, neutral white", 48},
    {"tube-halophosphate-58", "Fluorescent tube, halophosphate, cool white", 53},
    {"tube-broadband-90", "Fluorescent tube, broad-band, 5000 K, for judging colour", 55},
    {"tube-gallery-95", "Fluorescent tube, broad-band, warm white, gallery quality", 51},
    {"incandescent", "Filament bulb, 60 W", 369},
    {"incandescent-neodymium", "Filament bulb in neodymium glass", 12},
    {"halogen", "Halogen spot lamp", 394},
    {"halogen-daylight-90", "Halogen spot lamp filtered towards daylight", 325},
    {"metal-halide-87", "Metal halide lamp, warm white", 64},
}};

}  // namespace

std::vector<std::string> lampNames() {
    std::vector<std::string> names;
    names.reserve(kLamps.size());
    for (const Lamp& lamp : kLamps) names.emplace_back(lamp.name);
    return names;
}

std::optional<Light> lampByName(std::string_view name) {
    const tables::Table& table = tables::measuredLamps;
    for (std::size_t i = 0; i < kLamps.size(); ++i) {
        if (kLamps[i].name != name) continue;
        return Light{
            .name = kLamps[i].name,
            .description = kLamps[i].description,
            .origin = fmt::format("Measured: lamp {} of 401, Houser et al. 2013; linear between 5 nm",
                                  kLamps[i].place),
            .power = illuminantOnFineGrid(table.grid, table.column(i))};
    }
    return std::nullopt;
}

}  // namespace greywright::colour

#include "judge/scene.h"

#include <algorithm>
#include <array>
#include <utility>

#include <fmt/format.h>

#include "colour/observer.h"
#include "core/nearest_name.h"
#include "core/said.h"

namespace greywright::judge {
namespace {

struct Shipped {
    const char* name;
    const char* description;
    const char* light;
    double lux;
};

constexpr std::array<Shipped, 8> kShipped{{
    {"living-room", toSay("Living room in the evening, warm household LED, 150 lux"), "LED-B1", 150},
    {"office", toSay("Office, neutral white LED, 500 lux"), "LED-B3", 500},
    {"north-window", toSay("Beside a north window, 1000 lux"), "D75", 1000},
    {"direct-sun", toSay("Direct sun through a window, 20000 lux"), "D55", 20000},
    {"gallery", toSay("Gallery for sensitive works, tungsten, 50 lux"), "A", 50},
    {"critical-view", toSay("Viewing booth, ISO 3664 P1: D50 at 2000 lux"), "D50", 2000},
    {"practical-view", toSay("Viewing booth, ISO 3664 P2: D50 at 500 lux"), "D50", 500},
    {"hall", toSay("Hall with narrow-band fluorescent tubes, 300 lux"), "F11", 300},
}};

}  // namespace

std::vector<std::string> sceneNames() {
    std::vector<std::string> names;
    names.reserve(kShipped.size());
    for (const Shipped& scene : kShipped) names.emplace_back(scene.name);
    return names;
}

Result<Scene> sceneByName(std::string_view name) {
    const auto found =
        std::ranges::find_if(kShipped, [&](const Shipped& scene) { return sameName(scene.name, name); });
    if (found != kShipped.end()) {
        auto light = colour::lightByName(found->light);
        if (!light) return std::move(light).error();
        return Scene{.name = found->name,
                     .description = found->description,
                     .light = *std::move(light),
                     .lux = found->lux};
    }
    const auto names = sceneNames();
    const auto nearest = nearestName(name, names);
    return Error{.kind = ErrorKind::wrongUse,
                 .code = "unknown-scene",
                 .what = said("there is no scene named '{}'", name),
                 .where = {},
                 .next = nearest ? fmt::format("Did you mean {}?", *nearest)
                                 : fmt::format("There are {}", fmt::join(names, ", "))};
}

double luminousShare(const Scene& scene) {
    const std::vector<double>& y = colour::observer(colour::ObserverName::cie1931).yBar;
    double through = 0, all = 0;
    for (std::size_t i = 0; i < y.size(); ++i) {
        const double once = scene.glazing.at(colour::kUltravioletGrid.count + i);
        all += scene.light.power.values[i];
        through += y[i] * scene.light.power.values[i] * once * once;
    }
    return all > 0 ? through / all : 0;
}

Scene sceneOf(const colour::Light& light) {
    return {.name = light.name, .description = light.description, .light = light};
}

}  // namespace greywright::judge

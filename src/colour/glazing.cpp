#include "colour/glazing.h"

#include <array>
#include <cmath>

#include <fmt/format.h>

#include "core/nearest_name.h"
#include "core/said.h"

namespace greywright::colour {
namespace {

struct Model {
    const char* name;
    const char* description;
    double plateau;
    double edgeNm;
    double widthNm;
};

constexpr std::array<Model, 4> kModels{{
    {"none", "Nothing in front of the print", 1, 0, 0},
    {"plain-glass", "Plain window or framing glass, 2 to 3 mm", 0.91, 325, 7},
    {"acrylic", "Clear framing acrylic", 0.92, 376, 4},
    {"uv-glass", "Glazing that keeps ultraviolet out", 0.91, 404, 4},
}};

constexpr std::string_view kOrigin = "Model: plateau and edge (common practice, edge from memory)";

Glazing glazing(const Model& model) {
    Glazing out{.name = model.name,
                .description = model.description,
                .origin = std::string(model.widthNm > 0 ? kOrigin : std::string_view()),
                .transmittance = {}};
    if (model.widthNm == 0) return out;
    for (std::size_t i = 0; i < kGlazingGrid.count; ++i) {
        out.transmittance.push_back(model.plateau /
                                    (1 + std::exp((model.edgeNm - kGlazingGrid.atNm(i)) / model.widthNm)));
    }
    return out;
}

}  // namespace

std::vector<std::string> glazingNames() {
    std::vector<std::string> names;
    names.reserve(kModels.size());
    for (const Model& model : kModels) names.emplace_back(model.name);
    return names;
}

Result<Glazing> glazingByName(std::string_view name) {
    for (const Model& model : kModels) {
        if (sameName(name, model.name)) return glazing(model);
    }
    const auto names = glazingNames();
    const auto nearest = nearestName(name, names);
    return Error{.kind = ErrorKind::wrongUse,
                 .code = "unknown-glazing",
                 .what = said("there is no glazing named '{}'", name),
                 .where = {},
                 .next = nearest ? fmt::format("Did you mean {}?", *nearest)
                                 : fmt::format("There are {}", fmt::join(names, ", "))};
}

}  // namespace greywright::colour

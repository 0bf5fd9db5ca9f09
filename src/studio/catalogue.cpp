#include "studio/catalogue.h"

#include <algorithm>
#include <utility>

#include <fmt/format.h>

#include "colour/mix.h"
#include "core/nearest_name.h"
#include "core/numbers.h"
#include "core/said.h"

namespace greywright::studio {
namespace {

template <typename Record>
const Record* named(const std::vector<Record>& records, std::string_view name) {
    const auto found =
        std::ranges::find_if(records, [&](const Record& record) { return sameName(record.name, name); });
    return found == records.end() ? nullptr : &*found;
}

template <typename Record>
void append(std::vector<std::string>& names, const std::vector<Record>& records) {
    for (const Record& record : records) names.push_back(record.name);
}

std::string orTheNearest(std::string_view name, const std::vector<std::string>& names,
                         std::string otherwise) {
    const auto nearest = nearestName(name, names);
    return nearest ? said("Did you mean {}?", *nearest) : std::move(otherwise);
}

}  // namespace

Catalogue::Catalogue(std::vector<book::LightRecord> lights, std::vector<book::SceneRecord> scenes,
                     std::vector<book::GlazingRecord> glazings, std::vector<book::ViewerRecord> viewers)
    : lights_(std::move(lights)),
      scenes_(std::move(scenes)),
      glazings_(std::move(glazings)),
      viewers_(std::move(viewers)) {}

std::vector<std::string> Catalogue::lightNames() const {
    std::vector<std::string> names = colour::lightNames();
    append(names, lights_);
    return names;
}

std::vector<std::string> Catalogue::sceneNames() const {
    std::vector<std::string> names = judge::sceneNames();
    append(names, scenes_);
    return names;
}

std::vector<std::string> Catalogue::glazingNames() const {
    std::vector<std::string> names = colour::glazingNames();
    append(names, glazings_);
    return names;
}

const book::LightRecord* Catalogue::ownLight(std::string_view name) const {
    return named(lights_, name);
}

const book::SceneRecord* Catalogue::ownScene(std::string_view name) const {
    return named(scenes_, name);
}

Result<colour::Light> Catalogue::light(std::string_view name) const {
    return lightAt(name, 0);
}

Result<colour::Light> Catalogue::lightAt(std::string_view name, std::size_t depth) const {
    auto shipped = colour::lightByName(name);
    if (shipped || shipped.error().code != "unknown-light") return shipped;
    const book::LightRecord* own = ownLight(name);
    if (own == nullptr) {
        Error error = std::move(shipped).error();
        error.next =
            judge::sceneByName(name) || ownScene(name) != nullptr
                ? said("It is a scene; name its light")
                : orTheNearest(name, lightNames(), said("Name one that ships or that the book holds"));
        return error;
    }
    const colour::WavelengthGrid grid{own->grid.startNm, own->grid.stepNm, own->grid.count};
    const auto damaged = [](const std::string& what) {
        return Error{.code = "light-invalid",
                     .what = said("the glazing {} is kept on other wavelengths than this version uses", what),
                     .where = {},
                     .next = said("Remove it and add its file again")};
    };
    const bool ultravioletFits =
        own->ultraviolet.empty() || own->ultraviolet.size() == colour::kUltravioletGrid.count;
    if (own->parts.empty() && (!(grid == colour::kFineGrid) || !ultravioletFits)) return damaged(own->name);
    if (own->parts.empty()) {
        return colour::Light{.name = own->name,
                             .description = own->description,
                             .origin = own->origin,
                             .power = {grid, own->power},
                             .ultraviolet = own->ultraviolet};
    }
    if (depth > lights_.size()) {  // a longer chain goes in circles
        return Error{.code = "light-invalid",
                     .what = said("the mix '{}' is made of itself", own->name),
                     .where = {},
                     .next = said("Take it out of the book")};
    }
    std::vector<colour::LightPart> parts;
    for (const book::LightShareRecord& part : own->parts) {
        auto light = lightAt(part.light, depth + 1);
        if (!light) return std::move(light).error();
        parts.push_back({*std::move(light), part.share});
    }
    auto mix = colour::mixOf(own->name, parts);
    if (mix && !own->description.empty()) mix->description = own->description;
    return mix;
}

Result<colour::Glazing> Catalogue::glazing(std::string_view name) const {
    auto shipped = colour::glazingByName(name);
    if (shipped) return shipped;
    const book::GlazingRecord* own = named(glazings_, name);
    if (own == nullptr) {
        Error error = std::move(shipped).error();
        error.next =
            orTheNearest(name, glazingNames(), said("Name a glazing that ships or that the book holds"));
        return error;
    }
    if (!(colour::WavelengthGrid{own->grid.startNm, own->grid.stepNm, own->grid.count} ==
          colour::kGlazingGrid)) {
        return Error{.code = "glazing-invalid",
                     .what = said("{} is kept on other wavelengths than this version uses", own->name),
                     .where = {},
                     .next = said("Remove it and add its file again")};
    }
    return colour::Glazing{.name = own->name,
                           .description = own->description,
                           .origin = own->origin,
                           .transmittance = own->transmittance};
}

Result<judge::Scene> Catalogue::scene(std::string_view name) const {
    if (auto shipped = judge::sceneByName(name)) return shipped;
    if (const book::SceneRecord* own = ownScene(name)) {
        auto light = this->light(own->light);
        if (!light) return std::move(light).error();
        judge::Scene scene{.name = own->name, .lux = own->lux};
        scene.description = said("{}, {} lux", light->description, textFromNumber(own->lux));
        scene.light = *std::move(light);
        if (!own->glazing.empty()) {
            auto glazing = this->glazing(own->glazing);
            if (!glazing) return std::move(glazing).error();
            scene.description += said(", behind {}", glazing->name);
            scene.glazing = *std::move(glazing);
        }
        return scene;
    }
    auto light = this->light(name);
    if (light) return judge::sceneOf(*light);
    Error error = std::move(light).error();
    if (error.code != "unknown-light") return error;
    std::vector<std::string> names = sceneNames();
    append(names, lights_);
    for (std::string& shipped : colour::lightNames()) names.push_back(std::move(shipped));
    error.what = said("there is no light or scene named '{}'", name);
    error.next = orTheNearest(name, names, said("Name a light or scene that ships or that the book holds"));
    return error;
}

Result<book::ViewerRecord> Catalogue::viewer(std::string_view name) const {
    if (const book::ViewerRecord* own = named(viewers_, name)) return *own;
    std::vector<std::string> names;
    append(names, viewers_);
    return Error{.kind = ErrorKind::wrongUse,
                 .code = "viewer-unknown",
                 .what = said("there is no viewer named '{}' in the book", name),
                 .where = {},
                 .next = orTheNearest(name, names, said("Enter them first"))};
}

bool Catalogue::isShipped(std::string_view name) {
    const auto light = colour::lightByName(name);
    return light || light.error().code != "unknown-light" || judge::sceneByName(name);
}

}  // namespace greywright::studio

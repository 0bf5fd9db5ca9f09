#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "book/records.h"
#include "colour/glazing.h"
#include "colour/light.h"
#include "core/result.h"
#include "judge/scene.h"

namespace greywright::studio {

/// What prints can be looked at under, and by whom: all that ships and the studio's own from its book.
/// Names are found whatever their case; the studio's own never hide those that ship.
class Catalogue {
  public:
    /// What ships.
    Catalogue() = default;
    Catalogue(std::vector<book::LightRecord> lights, std::vector<book::SceneRecord> scenes,
              std::vector<book::GlazingRecord> glazings, std::vector<book::ViewerRecord> viewers);

    /// In the order in which to show them, shipped ones first.
    [[nodiscard]] std::vector<std::string> lightNames() const;
    [[nodiscard]] std::vector<std::string> sceneNames() const;
    [[nodiscard]] std::vector<std::string> glazingNames() const;
    [[nodiscard]] const std::vector<book::ViewerRecord>& viewers() const { return viewers_; }

    [[nodiscard]] const std::vector<book::LightRecord>& ownLights() const { return lights_; }
    [[nodiscard]] const std::vector<book::SceneRecord>& ownScenes() const { return scenes_; }
    [[nodiscard]] const std::vector<book::GlazingRecord>& ownGlazings() const { return glazings_; }

    /// The studio's own record of a light, or null for one that ships.
    [[nodiscard]] const book::LightRecord* ownLight(std::string_view name) const;
    [[nodiscard]] const book::SceneRecord* ownScene(std::string_view name) const;

    /// A light by its name; a mix is mixed.
    /// Errors: unknown-light (with the nearest name); those of colour::mixOf.
    [[nodiscard]] Result<colour::Light> light(std::string_view name) const;

    /// Errors: unknown-glazing.
    [[nodiscard]] Result<colour::Glazing> glazing(std::string_view name) const;

    /// A scene by its name, or a light by itself.
    /// Errors: unknown-light (with the nearest name of either kind).
    [[nodiscard]] Result<judge::Scene> scene(std::string_view name) const;

    /// Errors: viewer-unknown.
    [[nodiscard]] Result<book::ViewerRecord> viewer(std::string_view name) const;

    /// Whether a name belongs to a shipped light (D60 and P3200 too) or scene, and so cannot be the studio's
    /// own.
    [[nodiscard]] static bool isShipped(std::string_view name);

  private:
    [[nodiscard]] Result<colour::Light> lightAt(std::string_view name, std::size_t depth) const;

    std::vector<book::LightRecord> lights_;
    std::vector<book::SceneRecord> scenes_;
    std::vector<book::GlazingRecord> glazings_;
    std::vector<book::ViewerRecord> viewers_;
};

}  // namespace greywright::studio

// What prints are looked at under and by whom: the part of Book that keeps lights, scenes, glazings and
// viewers.

#include <fmt/format.h>

#include "book/book.h"
#include "book/connection.h"
#include "book/errors.h"
#include "book/named.h"
#include "book/rules.h"
#include "book/sha256.h"
#include "book/viewing_rows.h"
#include "core/said.h"

namespace greywright::book {
namespace {

using rows::NamedTable;
using SQLite::Database;

Outcome checkNameIsFree(Database& database, const NamedTable& kind, const std::string& name) {
    if (rows::idNamed(database, kind, name) == 0) return Done{};
    return wrong(fmt::format("{}-exists", kind.word), name, said("the book has a {} of this name", kind.word),
                 said("Choose another name, or remove the one that is there first"));
}

Result<std::string> originalOf(Database& database, const NamedTable& kind, const std::string& name) {
    const auto id = entryNamed(database, kind, name);
    if (!id) return id.error();
    auto original = rows::originalIn(database, kind, *id);
    if (!original) return std::string();
    if (sha256(original->bytes) != original->sha256) {
        return damaged(said("the file kept here is not the one that was read in"),
                       {.field = fmt::format("{} {}", kind.word, name)});
    }
    return std::move(original->bytes);
}

Outcome remove(Database& database, const NamedTable& kind, const std::string& name,
               const std::optional<std::string>& user = std::nullopt) {
    const auto id = entryNamed(database, kind, name);
    if (!id) return id.error();
    if (user) {
        return wrong(fmt::format("{}-in-use", kind.word), name, said("{} uses it", *user),
                     said("Remove {} first", *user));
    }
    rows::remove(database, kind, *id);
    return Done{};
}

}  // namespace

Outcome Book::addLight(const NewLight& light) {
    return connection_->write([&](Database& database) -> Outcome {
        if (Outcome sound = checkLight(light.light); !sound) return sound;
        if (Outcome free = checkNameIsFree(database, rows::kLights, light.light.name); !free) return free;
        rows::addLight(database, light);
        if (rows::holdsItself(database, light.light.name)) {
            return wrong("light-invalid", "parts",
                         said("one of the parts is a mix that holds this very light"),
                         said("Mix lights that do not hold one another"));
        }
        return Done{};
    });
}

Result<std::vector<LightRecord>> Book::lights() const {
    return connection_->read(
        [](Database& database) -> Result<std::vector<LightRecord>> { return rows::lights(database); });
}

Result<std::string> Book::originalOfLight(const std::string& name) const {
    return connection_->read([&](Database& database) { return originalOf(database, rows::kLights, name); });
}

Outcome Book::removeLight(const std::string& name) {
    return connection_->write([&](Database& database) {
        return remove(database, rows::kLights, name, rows::userOfLight(database, name));
    });
}

Outcome Book::addScene(const SceneRecord& scene) {
    return connection_->write([&](Database& database) -> Outcome {
        if (Outcome sound = checkScene(scene); !sound) return sound;
        if (Outcome free = checkNameIsFree(database, rows::kScenes, scene.name); !free) return free;
        rows::addScene(database, scene);
        return Done{};
    });
}

Result<std::vector<SceneRecord>> Book::scenes() const {
    return connection_->read(
        [](Database& database) -> Result<std::vector<SceneRecord>> { return rows::scenes(database); });
}

Outcome Book::removeScene(const std::string& name) {
    return connection_->write([&](Database& database) { return remove(database, rows::kScenes, name); });
}

Outcome Book::addGlazing(const NewGlazing& glazing) {
    return connection_->write([&](Database& database) -> Outcome {
        if (Outcome sound = checkGlazing(glazing.glazing); !sound) return sound;
        if (Outcome free = checkNameIsFree(database, rows::kGlazings, glazing.glazing.name); !free) {
            return free;
        }
        rows::addGlazing(database, glazing);
        return Done{};
    });
}

Result<std::vector<GlazingRecord>> Book::glazings() const {
    return connection_->read(
        [](Database& database) -> Result<std::vector<GlazingRecord>> { return rows::glazings(database); });
}

Result<std::string> Book::originalOfGlazing(const std::string& name) const {
    return connection_->read([&](Database& database) { return originalOf(database, rows::kGlazings, name); });
}

Outcome Book::removeGlazing(const std::string& name) {
    return connection_->write([&](Database& database) {
        return remove(database, rows::kGlazings, name, rows::userOfGlazing(database, name));
    });
}

Outcome Book::addViewer(const ViewerRecord& viewer) {
    return connection_->write([&](Database& database) -> Outcome {
        if (Outcome sound = checkViewer(viewer); !sound) return sound;
        if (Outcome free = checkNameIsFree(database, rows::kViewers, viewer.name); !free) return free;
        rows::addViewer(database, viewer);
        return Done{};
    });
}

Result<std::vector<ViewerRecord>> Book::viewers() const {
    return connection_->read(
        [](Database& database) -> Result<std::vector<ViewerRecord>> { return rows::viewers(database); });
}

Outcome Book::removeViewer(const std::string& name) {
    return connection_->write([&](Database& database) { return remove(database, rows::kViewers, name); });
}

}  // namespace greywright::book

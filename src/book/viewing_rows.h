#pragma once

#include <optional>
#include <string>
#include <vector>

#include <SQLiteCpp/SQLiteCpp.h>

#include "book/records.h"
#include "book/rows.h"

// As rows.h, for what prints are looked at under and by whom: lights, scenes, glazings and viewers.
namespace greywright::book::rows {

/// A table of entries with a name, found whatever the case of A to Z.
struct NamedTable {
    const char* table = nullptr;
    const char* word = nullptr;  ///< what a person calls one entry
};
inline constexpr NamedTable kLights{"lights", "light"};
inline constexpr NamedTable kScenes{"scenes", "scene"};
inline constexpr NamedTable kGlazings{"glazings", "glazing"};
inline constexpr NamedTable kViewers{"viewers", "viewer"};
inline constexpr NamedTable kSheets{"sheets", "sheet"};
inline constexpr NamedTable kDevices{"devices", "device"};

/// 0 when there is no such entry.
[[nodiscard]] Id idNamed(SQLite::Database& database, const NamedTable& kind, const std::string& name);
[[nodiscard]] std::vector<std::string> namesIn(SQLite::Database& database, const NamedTable& kind);
/// Of lights and glazings; nothing when the entry was made without a file.
[[nodiscard]] std::optional<Original> originalIn(SQLite::Database& database, const NamedTable& kind, Id id);
void remove(SQLite::Database& database, const NamedTable& kind, Id id);

[[nodiscard]] std::vector<LightRecord> lights(SQLite::Database& database);
void addLight(SQLite::Database& database, const NewLight& light);
/// Whether a light of the book is, by way of mixes of the book, a part of itself.
[[nodiscard]] bool holdsItself(SQLite::Database& database, const std::string& light);
/// The scene or mix that uses a light, in words; nothing when none does.
[[nodiscard]] std::optional<std::string> userOfLight(SQLite::Database& database, const std::string& light);

[[nodiscard]] std::vector<SceneRecord> scenes(SQLite::Database& database);
void addScene(SQLite::Database& database, const SceneRecord& scene);

[[nodiscard]] std::vector<GlazingRecord> glazings(SQLite::Database& database);
void addGlazing(SQLite::Database& database, const NewGlazing& glazing);
/// The scene that uses a glazing, in words; nothing when none does.
[[nodiscard]] std::optional<std::string> userOfGlazing(SQLite::Database& database,
                                                       const std::string& glazing);

[[nodiscard]] std::vector<ViewerRecord> viewers(SQLite::Database& database);
void addViewer(SQLite::Database& database, const ViewerRecord& viewer);

}  // namespace greywright::book::rows

#include "book/viewing_rows.h"

#include <fmt/format.h>

#include "book/sha256.h"

namespace greywright::book::rows {
namespace {

using SQLite::Statement;

// Nothing for a record without a file; the bytes stay the caller's until the statement has run.
void bindOriginal(Statement& row, int at, const std::string& bytes) {
    if (bytes.empty()) return;
    row.bind(at, sha256(bytes));
    row.bindNoCopy(at + 1, bytes.data(), static_cast<int>(bytes.size()));
}

GridRecord grid(const Statement& row, int at) {
    return {row.getColumn(at).getDouble(), row.getColumn(at + 1).getDouble(),
            static_cast<std::size_t>(row.getColumn(at + 2).getInt64())};
}

std::vector<LightShareRecord> parts(SQLite::Database& database, Id light) {
    std::vector<LightShareRecord> found;
    Statement row =
        prepared(database, "SELECT part, share FROM light_parts WHERE light_id = ? ORDER BY position", light);
    while (row.executeStep()) found.push_back({row.getColumn(0).getString(), row.getColumn(1).getDouble()});
    return found;
}

std::optional<std::string> user(SQLite::Database& database, const std::string& sql, const std::string& used) {
    Statement row = prepared(database, sql, used);
    if (!row.executeStep()) return std::nullopt;
    return fmt::format("the {} \"{}\"", row.getColumn(0).getString(), row.getColumn(1).getString());
}

}  // namespace

Id idNamed(SQLite::Database& database, const NamedTable& kind, const std::string& name) {
    return oneNumber(database, fmt::format("SELECT id FROM {} WHERE name = ?", kind.table), name);
}

std::vector<std::string> namesIn(SQLite::Database& database, const NamedTable& kind) {
    std::vector<std::string> found;
    Statement row(database, fmt::format("SELECT name FROM {} ORDER BY id", kind.table));
    while (row.executeStep()) found.push_back(row.getColumn(0).getString());
    return found;
}

std::optional<Original> originalIn(SQLite::Database& database, const NamedTable& kind, Id id) {
    Statement row = prepared(
        database,
        fmt::format("SELECT original, sha256 FROM {} WHERE id = ? AND original IS NOT NULL", kind.table), id);
    if (!row.executeStep()) return std::nullopt;
    return Original{.bytes = row.getColumn(0).getString(), .sha256 = row.getColumn(1).getString()};
}

void remove(SQLite::Database& database, const NamedTable& kind, Id id) {
    run(database, fmt::format("DELETE FROM {} WHERE id = ?", kind.table), id);
}

std::vector<LightRecord> lights(SQLite::Database& database) {
    std::vector<LightRecord> found;
    Statement row(database,
                  "SELECT id, name, description, origin, grid_start_nm, grid_step_nm, grid_count, power, "
                  "ultraviolet, file_name, entered FROM lights ORDER BY id");
    while (row.executeStep()) {
        found.push_back({.name = row.getColumn(1).getString(),
                         .description = row.getColumn(2).getString(),
                         .origin = row.getColumn(3).getString(),
                         .grid = grid(row, 4),
                         .power = doublesFromBytes(row.getColumn(7).getString()),
                         .ultraviolet = doublesFromBytes(row.getColumn(8).getString()),
                         .parts = parts(database, row.getColumn(0).getInt64()),
                         .fileName = row.getColumn(9).getString(),
                         .when = row.getColumn(10).getString()});
    }
    return found;
}

void addLight(SQLite::Database& database, const NewLight& light) {
    const LightRecord& record = light.light;
    Statement row =
        prepared(database,
                 "INSERT INTO lights (name, description, origin, entered, file_name, power, ultraviolet, "
                 "grid_start_nm, grid_step_nm, grid_count, sha256, original) "
                 "VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
                 record.name, record.description, record.origin, record.when, record.fileName, record.power,
                 record.ultraviolet);
    if (!record.power.empty()) {
        bindAll(row, 8, record.grid.startNm, record.grid.stepNm, asId(record.grid.count));
    }
    bindOriginal(row, 11, light.originalFile);
    row.exec();
    const Id id = database.getLastInsertRowid();
    int position = 0;
    for (const LightShareRecord& part : record.parts) {
        run(database, "INSERT INTO light_parts (light_id, position, part, share) VALUES (?, ?, ?, ?)", id,
            ++position, part.light, part.share);
    }
}

bool holdsItself(SQLite::Database& database, const std::string& light) {
    return oneNumber(database,
                     "WITH RECURSIVE held (part) AS ("
                     "SELECT part FROM light_parts JOIN lights ON id = light_id WHERE name = ?1 "
                     "UNION SELECT light_parts.part FROM held JOIN lights ON lights.name = held.part "
                     "JOIN light_parts ON light_id = lights.id) "
                     "SELECT count(*) FROM held WHERE part = ?1",
                     light) != 0;
}

std::optional<std::string> userOfLight(SQLite::Database& database, const std::string& light) {
    return user(database,
                "SELECT 'scene', name FROM scenes WHERE light = ?1 UNION ALL "
                "SELECT 'mix', name FROM light_parts JOIN lights ON id = light_id WHERE part = ?1",
                light);
}

std::vector<SceneRecord> scenes(SQLite::Database& database) {
    std::vector<SceneRecord> found;
    Statement row(database, "SELECT name, light, lux, glazing, entered FROM scenes ORDER BY id");
    while (row.executeStep()) {
        found.push_back({.name = row.getColumn(0).getString(),
                         .light = row.getColumn(1).getString(),
                         .lux = row.getColumn(2).getDouble(),
                         .glazing = row.getColumn(3).getString(),
                         .when = row.getColumn(4).getString()});
    }
    return found;
}

void addScene(SQLite::Database& database, const SceneRecord& scene) {
    run(database, "INSERT INTO scenes (name, light, lux, glazing, entered) VALUES (?, ?, ?, ?, ?)",
        scene.name, scene.light, scene.lux, scene.glazing, scene.when);
}

std::vector<GlazingRecord> glazings(SQLite::Database& database) {
    std::vector<GlazingRecord> found;
    Statement row(database,
                  "SELECT name, description, origin, grid_start_nm, grid_step_nm, grid_count, transmittance, "
                  "file_name, entered FROM glazings ORDER BY id");
    while (row.executeStep()) {
        found.push_back({.name = row.getColumn(0).getString(),
                         .description = row.getColumn(1).getString(),
                         .origin = row.getColumn(2).getString(),
                         .grid = grid(row, 3),
                         .transmittance = doublesFromBytes(row.getColumn(6).getString()),
                         .fileName = row.getColumn(7).getString(),
                         .when = row.getColumn(8).getString()});
    }
    return found;
}

void addGlazing(SQLite::Database& database, const NewGlazing& glazing) {
    const GlazingRecord& record = glazing.glazing;
    Statement row =
        prepared(database,
                 "INSERT INTO glazings (name, description, origin, entered, file_name, "
                 "grid_start_nm, grid_step_nm, grid_count, transmittance, sha256, original) "
                 "VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
                 record.name, record.description, record.origin, record.when, record.fileName,
                 record.grid.startNm, record.grid.stepNm, asId(record.grid.count), record.transmittance);
    bindOriginal(row, 10, glazing.originalFile);
    row.exec();
}

std::optional<std::string> userOfGlazing(SQLite::Database& database, const std::string& glazing) {
    return user(database, "SELECT 'scene', name FROM scenes WHERE glazing = ?", glazing);
}

std::vector<ViewerRecord> viewers(SQLite::Database& database) {
    std::vector<ViewerRecord> found;
    Statement row(database,
                  "SELECT name, age_years, field_degrees, threshold_beside, threshold_alone, entered "
                  "FROM viewers ORDER BY id");
    while (row.executeStep()) {
        found.push_back({.name = row.getColumn(0).getString(),
                         .ageYears = row.getColumn(1).getDouble(),
                         .fieldDegrees = row.getColumn(2).getDouble(),
                         .thresholdBeside = optionalNumber(row.getColumn(3)),
                         .thresholdAlone = optionalNumber(row.getColumn(4)),
                         .when = row.getColumn(5).getString()});
    }
    return found;
}

void addViewer(SQLite::Database& database, const ViewerRecord& viewer) {
    run(database,
        "INSERT INTO viewers (name, age_years, field_degrees, threshold_beside, threshold_alone, entered) "
        "VALUES (?, ?, ?, ?, ?, ?)",
        viewer.name, viewer.ageYears, viewer.fieldDegrees, viewer.thresholdBeside, viewer.thresholdAlone,
        viewer.when);
}

}  // namespace greywright::book::rows

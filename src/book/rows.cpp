#include "book/rows.h"

#include <cstddef>
#include <optional>

#include <fmt/format.h>

#include "book/statements.h"

namespace greywright::book::rows {
namespace {

using SQLite::Statement;

std::vector<Note> notes(SQLite::Database& database, Id reading) {
    std::vector<Note> found;
    Statement row = prepared(
        database,
        "SELECT code, text, path, line, field FROM reading_notes WHERE reading_id = ? ORDER BY position",
        reading);
    while (row.executeStep()) {
        found.push_back({.code = row.getColumn(0).getString(),
                         .text = row.getColumn(1).getString(),
                         .where = {.path = row.getColumn(2).getString(),
                                   .line = static_cast<std::size_t>(row.getColumn(3).getInt64()),
                                   .field = row.getColumn(4).getString()}});
    }
    return found;
}

std::vector<PatchRecord> patches(SQLite::Database& database, Id reading) {
    std::vector<PatchRecord> found;
    Statement row = prepared(database,
                             "SELECT name, tone_percent, lab_l, lab_a, lab_b, line, reflectance, codes "
                             "FROM patches WHERE reading_id = ? ORDER BY position",
                             reading);
    while (row.executeStep()) {
        PatchRecord patch{.name = row.getColumn(0).getString(),
                          .tonePercent = optionalNumber(row.getColumn(1)),
                          .reflectance = doublesFromBytes(row.getColumn(6).getString()),
                          .line = static_cast<std::size_t>(row.getColumn(5).getInt64())};
        if (!row.getColumn(2).isNull()) {
            patch.lab = {row.getColumn(2).getDouble(), row.getColumn(3).getDouble(),
                         row.getColumn(4).getDouble()};
        }
        const std::vector<double> codes = doublesFromBytes(row.getColumn(7).getString());
        if (codes.size() == 3) patch.codes = {codes[0], codes[1], codes[2]};
        found.push_back(std::move(patch));
    }
    return found;
}

std::vector<ReadingRecord> readings(SQLite::Database& database, Id trial) {
    std::vector<ReadingRecord> found;
    Statement row = prepared(database,
                             "SELECT id, file_name, sha256, format, condition_m, instrument, created, "
                             "grid_start_nm, grid_step_nm, grid_count, entered, shared_error, own_error "
                             "FROM readings WHERE trial_id = ? ORDER BY number",
                             trial);
    while (row.executeStep()) {
        const Id id = row.getColumn(0).getInt64();
        ReadingRecord reading{.fileName = row.getColumn(1).getString(),
                              .sha256 = row.getColumn(2).getString(),
                              .format = row.getColumn(3).getString(),
                              .conditionM = row.getColumn(4).getString(),
                              .instrument = row.getColumn(5).getString(),
                              .created = row.getColumn(6).getString(),
                              .notes = notes(database, id),
                              .patches = patches(database, id),
                              .when = row.getColumn(10).getString()};
        if (!row.getColumn(9).isNull()) {
            reading.grid = {row.getColumn(7).getDouble(), row.getColumn(8).getDouble(),
                            static_cast<std::size_t>(row.getColumn(9).getInt64())};
        }
        if (!row.getColumn(11).isNull()) {
            reading.uncertainty = {row.getColumn(11).getDouble(), row.getColumn(12).getDouble()};
        }
        found.push_back(std::move(reading));
    }
    return found;
}

Setting setting(SQLite::Database& database, Id trial, const std::vector<AxisRecord>& axes) {
    Setting found;
    for (const AxisRecord& axis : axes) found.push_back({axis.name, 0});
    Statement row = prepared(database, "SELECT position, value FROM settings WHERE trial_id = ?", trial);
    while (row.executeStep()) {
        const auto position = static_cast<std::size_t>(row.getColumn(0).getInt64());
        if (position <= found.size()) found[position - 1].value = row.getColumn(1).getDouble();
    }
    return found;
}

std::map<std::string, std::string> choices(SQLite::Database& database, Id trial) {
    std::map<std::string, std::string> found;
    Statement row = prepared(database, "SELECT name, value FROM choices WHERE trial_id = ?", trial);
    while (row.executeStep()) found[row.getColumn(0).getString()] = row.getColumn(1).getString();
    return found;
}

void addAxes(SQLite::Database& database, Id condition, const std::vector<AxisRecord>& axes) {
    int position = 0;
    for (const AxisRecord& axis : axes) {
        run(database,
            "INSERT INTO axes (condition_id, position, name, lowest, highest, step) VALUES (?, ?, ?, ?, ?, "
            "?)",
            condition, ++position, axis.name, axis.min, axis.max, axis.step);
    }
}

}  // namespace

std::vector<ConditionRow> conditions(SQLite::Database& database, std::string_view where,
                                     const std::vector<std::string>& values) {
    Statement row(database,
                  fmt::format("SELECT id, name, printer, inks, paper, mode, entered FROM conditions "
                              "WHERE {} ORDER BY id",
                              where));
    int at = 0;
    for (const std::string& value : values) row.bind(++at, value);
    std::vector<ConditionRow> found;
    while (row.executeStep()) {
        ConditionRow condition{.id = row.getColumn(0).getInt64(),
                               .record = {.name = row.getColumn(1).getString(),
                                          .printer = row.getColumn(2).getString(),
                                          .inks = row.getColumn(3).getString(),
                                          .paper = row.getColumn(4).getString(),
                                          .mode = row.getColumn(5).getString(),
                                          .when = row.getColumn(6).getString()}};
        Statement axis = prepared(
            database, "SELECT name, lowest, highest, step FROM axes WHERE condition_id = ? ORDER BY position",
            condition.id);
        while (axis.executeStep()) {
            condition.record.axes.push_back({axis.getColumn(0).getString(), axis.getColumn(1).getDouble(),
                                             axis.getColumn(2).getDouble(), axis.getColumn(3).getDouble()});
        }
        found.push_back(std::move(condition));
    }
    return found;
}

void addCondition(SQLite::Database& database, const ConditionRecord& condition) {
    run(database,
        "INSERT INTO conditions (name, printer, inks, paper, mode, entered) VALUES (?, ?, ?, ?, ?, ?)",
        condition.name, condition.printer, condition.inks, condition.paper, condition.mode, condition.when);
    addAxes(database, database.getLastInsertRowid(), condition.axes);
}

void correctCondition(SQLite::Database& database, Id id, const ConditionRecord& condition) {
    // Its sheets carry its name, by which the next place on a page of blocks is found.
    run(database,
        "UPDATE OR IGNORE sheets SET name = ? WHERE name = (SELECT name FROM conditions WHERE id = ?)",
        condition.name, id);
    run(database, "UPDATE conditions SET name = ?, printer = ?, inks = ?, paper = ?, mode = ? WHERE id = ?",
        condition.name, condition.printer, condition.inks, condition.paper, condition.mode, id);
    run(database, "DELETE FROM axes WHERE condition_id = ?", id);
    addAxes(database, id, condition.axes);
}

void addChange(SQLite::Database& database, Id condition, const ConditionChangeRecord& change) {
    run(database, "INSERT INTO condition_changes (condition_id, what, entered) VALUES (?, ?, ?)", condition,
        change.what, change.when);
}

std::vector<ConditionChangeRecord> changes(SQLite::Database& database, Id condition) {
    std::vector<ConditionChangeRecord> found;
    Statement row =
        prepared(database, "SELECT what, entered FROM condition_changes WHERE condition_id = ? ORDER BY id",
                 condition);
    while (row.executeStep()) found.push_back({row.getColumn(0).getString(), row.getColumn(1).getString()});
    return found;
}

bool isInUse(SQLite::Database& database, Id condition) {
    for (const char* table : {"trials", "corrections", "made_files"}) {
        Statement row = prepared(
            database, fmt::format("SELECT 1 FROM {} WHERE condition_id = ? LIMIT 1", table), condition);
        if (row.executeStep()) return true;
    }
    return false;
}

void removeCondition(SQLite::Database& database, Id id) {
    run(database, "DELETE FROM axes WHERE condition_id = ?", id);
    run(database, "DELETE FROM conditions WHERE id = ?", id);
}

std::vector<std::pair<int, Setting>> settings(SQLite::Database& database, const ConditionRow& condition) {
    std::vector<std::pair<int, Setting>> found;
    Statement row = prepared(database, "SELECT number, id FROM trials WHERE condition_id = ? ORDER BY number",
                             condition.id);
    while (row.executeStep()) {
        found.emplace_back(row.getColumn(0).getInt(),
                           setting(database, row.getColumn(1).getInt64(), condition.record.axes));
    }
    return found;
}

std::vector<TrialRecord> trials(SQLite::Database& database, const ConditionRow& condition, int number) {
    Statement row = prepared(database,
                             "SELECT trials.id, trials.number, trials.entered, trials.withdrawn_because, "
                             "trials.withdrawn_when, coalesce(corrections.number, 0) FROM trials "
                             "LEFT JOIN corrections ON corrections.id = through WHERE trials.condition_id = "
                             "?1 AND (?2 = 0 OR trials.number = ?2) ORDER BY trials.number",
                             condition.id, number);
    std::vector<TrialRecord> found;
    while (row.executeStep()) {
        const Id id = row.getColumn(0).getInt64();
        found.push_back({.number = row.getColumn(1).getInt(),
                         .setting = setting(database, id, condition.record.axes),
                         .choices = choices(database, id),
                         .through = row.getColumn(5).getInt(),
                         .when = row.getColumn(2).getString(),
                         .withdrawnBecause = optionalText(row.getColumn(3)),
                         .withdrawnWhen = optionalText(row.getColumn(4)),
                         .readings = readings(database, id)});
    }
    return found;
}

Id trialId(SQLite::Database& database, Id condition, int number) {
    return oneNumber(database, "SELECT id FROM trials WHERE condition_id = ? AND number = ?", condition,
                     number);
}

int addTrial(SQLite::Database& database, Id condition, const NewTrial& trial) {
    const auto number = static_cast<int>(oneNumber(
        database, "SELECT coalesce(max(number), 0) + 1 FROM trials WHERE condition_id = ?", condition));
    run(database,
        "INSERT INTO trials (condition_id, number, entered, through) VALUES (?1, ?2, ?3, "
        "(SELECT id FROM corrections WHERE condition_id = ?1 AND number = ?4))",
        condition, number, trial.when, trial.through);
    const Id id = database.getLastInsertRowid();
    int position = 0;
    for (const AxisValue& axis : trial.setting) {
        run(database, "INSERT INTO settings (trial_id, position, value) VALUES (?, ?, ?)", id, ++position,
            axis.value);
    }
    for (const auto& [name, value] : trial.choices) {
        run(database, "INSERT INTO choices (trial_id, name, value) VALUES (?, ?, ?)", id, name, value);
    }
    if (trial.reading) addReading(database, id, *trial.reading);
    return number;
}

void setWithdrawn(SQLite::Database& database, Id trial, const std::optional<std::string>& because,
                  const std::optional<std::string>& when) {
    run(database, "UPDATE trials SET withdrawn_because = ?, withdrawn_when = ? WHERE id = ?", because, when,
        trial);
}

int trialWithDigest(SQLite::Database& database, Id condition, const std::string& sha256) {
    return static_cast<int>(
        oneNumber(database,
                  "SELECT min(trials.number) FROM readings JOIN trials ON trial_id = trials.id "
                  "WHERE sha256 = ? AND condition_id = ? AND withdrawn_because IS NULL",
                  sha256, condition));
}

int addReading(SQLite::Database& database, Id trial, const NewReading& reading) {
    const ReadingRecord& record = reading.reading;
    const auto number = static_cast<int>(
        oneNumber(database, "SELECT coalesce(max(number), 0) + 1 FROM readings WHERE trial_id = ?", trial));
    Statement row =
        prepared(database,
                 "INSERT INTO readings (trial_id, number, entered, file_name, sha256, format, "
                 "condition_m, instrument, created, grid_start_nm, grid_step_nm, grid_count, shared_error, "
                 "own_error, original) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
                 trial, number, record.when, record.fileName, record.sha256, record.format, record.conditionM,
                 record.instrument, record.created);
    if (record.grid) {
        row.bind(10, record.grid->startNm);
        row.bind(11, record.grid->stepNm);
        row.bind(12, asId(record.grid->count));
    }
    if (record.uncertainty) bindAll(row, 13, record.uncertainty->shared, record.uncertainty->own);
    row.bindNoCopy(15, reading.originalFile.data(), static_cast<int>(reading.originalFile.size()));
    row.exec();
    const Id id = database.getLastInsertRowid();
    int position = 0;
    for (const Note& note : record.notes) {
        run(database,
            "INSERT INTO reading_notes (reading_id, position, code, text, path, line, field) "
            "VALUES (?, ?, ?, ?, ?, ?, ?)",
            id, ++position, note.code, note.text, note.where.path, asId(note.where.line), note.where.field);
    }
    position = 0;
    Statement patchRow(
        database,
        "INSERT INTO patches (reading_id, position, name, tone_percent, line, lab_l, lab_a, lab_b, "
        "reflectance, codes) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)");
    for (const PatchRecord& patch : record.patches) {
        patchRow.reset();
        patchRow.clearBindings();
        bindAll(patchRow, 1, id, ++position, patch.name, patch.tonePercent, asId(patch.line));
        if (patch.lab) bindAll(patchRow, 6, patch.lab->L, patch.lab->a, patch.lab->b);
        bindAll(patchRow, 9, patch.reflectance);
        if (patch.codes) {
            const auto& [red, green, blue] = *patch.codes;
            bindAll(patchRow, 10, std::vector<double>{red, green, blue});
        }
        patchRow.exec();
    }
    return number;
}

std::optional<Original> original(SQLite::Database& database, Id trial, int reading) {
    Statement row = prepared(
        database, "SELECT original, sha256 FROM readings WHERE trial_id = ? AND number = ?", trial, reading);
    if (!row.executeStep()) return std::nullopt;
    return Original{.bytes = row.getColumn(0).getString(), .sha256 = row.getColumn(1).getString()};
}

TrialCounts trialCounts(SQLite::Database& database, Id condition) {
    Statement row = prepared(database,
                             "SELECT count(*), coalesce(max(CASE WHEN EXISTS (SELECT 1 FROM readings WHERE "
                             "readings.trial_id = trials.id) THEN number END), 0) FROM trials "
                             "WHERE condition_id = ? AND withdrawn_because IS NULL",
                             condition);
    row.executeStep();
    return {.counting = static_cast<std::size_t>(row.getColumn(0).getInt64()),
            .lastMeasured = row.getColumn(1).getInt()};
}

std::vector<VerdictRecord> verdicts(SQLite::Database& database, Id condition, const std::string& kind) {
    std::vector<VerdictRecord> found;
    Statement row =
        prepared(database,
                 "SELECT trials.number, kind, json, verdicts.entered FROM verdicts "
                 "JOIN trials ON trial_id = trials.id WHERE condition_id = ?1 AND (?2 = '' OR kind = ?2) "
                 "ORDER BY verdicts.id",
                 condition, kind);
    while (row.executeStep()) {
        found.push_back({.trial = row.getColumn(0).getInt(),
                         .kind = row.getColumn(1).getString(),
                         .json = row.getColumn(2).getString(),
                         .when = row.getColumn(3).getString()});
    }
    return found;
}

void addVerdict(SQLite::Database& database, Id trial, const VerdictRecord& verdict) {
    run(database, "INSERT INTO verdicts (trial_id, kind, json, entered) VALUES (?, ?, ?, ?)", trial,
        verdict.kind, verdict.json, verdict.when);
}

}  // namespace greywright::book::rows

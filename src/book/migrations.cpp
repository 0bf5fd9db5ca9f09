#include "book/migrations.h"

#include <array>

#include <SQLiteCpp/SQLiteCpp.h>
#include <fmt/format.h>

namespace greywright::book {
namespace {

// docs/book.md explains every table and column.
constexpr const char* kVersion1 = R"sql(
CREATE TABLE conditions (
    id      INTEGER PRIMARY KEY,
    name    TEXT NOT NULL UNIQUE CHECK (name <> ''),
    printer TEXT NOT NULL,
    inks    TEXT NOT NULL,
    paper   TEXT NOT NULL,
    mode    TEXT NOT NULL,
    entered TEXT NOT NULL
) STRICT;
CREATE INDEX conditions_by_driver ON conditions (printer, inks, mode);

CREATE TABLE axes (
    condition_id INTEGER NOT NULL REFERENCES conditions (id),
    position     INTEGER NOT NULL CHECK (position BETWEEN 1 AND 3),
    name         TEXT NOT NULL CHECK (name <> ''),
    lowest       REAL NOT NULL,
    highest      REAL NOT NULL CHECK (highest > lowest),
    step         REAL NOT NULL CHECK (step > 0),
    PRIMARY KEY (condition_id, position),
    UNIQUE (condition_id, name)
) STRICT, WITHOUT ROWID;

CREATE TABLE trials (
    id                INTEGER PRIMARY KEY,
    condition_id      INTEGER NOT NULL REFERENCES conditions (id),
    number            INTEGER NOT NULL CHECK (number >= 1),
    entered           TEXT NOT NULL,
    withdrawn_because TEXT CHECK (withdrawn_because <> ''),
    UNIQUE (condition_id, number)
) STRICT;

CREATE TABLE settings (
    trial_id INTEGER NOT NULL REFERENCES trials (id),
    position INTEGER NOT NULL CHECK (position BETWEEN 1 AND 3),
    value    REAL NOT NULL,
    PRIMARY KEY (trial_id, position)
) STRICT, WITHOUT ROWID;

CREATE TABLE choices (
    trial_id INTEGER NOT NULL REFERENCES trials (id),
    name     TEXT NOT NULL CHECK (name <> ''),
    value    TEXT NOT NULL,
    PRIMARY KEY (trial_id, name)
) STRICT, WITHOUT ROWID;

CREATE TABLE readings (
    id            INTEGER PRIMARY KEY,
    trial_id      INTEGER NOT NULL REFERENCES trials (id),
    number        INTEGER NOT NULL CHECK (number >= 1),
    entered       TEXT NOT NULL,
    file_name     TEXT NOT NULL,
    sha256        TEXT NOT NULL CHECK (length(sha256) = 64),
    format        TEXT NOT NULL,
    condition_m   TEXT NOT NULL,
    instrument    TEXT NOT NULL,
    created       TEXT NOT NULL,
    grid_start_nm REAL,
    grid_step_nm  REAL,
    grid_count    INTEGER,
    original      BLOB NOT NULL,
    UNIQUE (trial_id, number)
) STRICT;
CREATE INDEX readings_by_digest ON readings (sha256);

CREATE TABLE reading_notes (
    reading_id INTEGER NOT NULL REFERENCES readings (id),
    position   INTEGER NOT NULL CHECK (position >= 1),
    code       TEXT NOT NULL,
    text       TEXT NOT NULL,
    path       TEXT NOT NULL,
    line       INTEGER NOT NULL,
    field      TEXT NOT NULL,
    PRIMARY KEY (reading_id, position)
) STRICT, WITHOUT ROWID;

CREATE TABLE patches (
    reading_id   INTEGER NOT NULL REFERENCES readings (id),
    position     INTEGER NOT NULL CHECK (position >= 1),
    name         TEXT NOT NULL,
    tone_percent REAL,
    lab_l        REAL,
    lab_a        REAL,
    lab_b        REAL,
    line         INTEGER NOT NULL,
    reflectance  BLOB CHECK (length(reflectance) % 8 = 0),
    PRIMARY KEY (reading_id, position)
) STRICT, WITHOUT ROWID;

CREATE TABLE verdicts (
    id       INTEGER PRIMARY KEY,
    trial_id INTEGER NOT NULL REFERENCES trials (id),
    kind     TEXT NOT NULL CHECK (kind <> ''),
    json     TEXT NOT NULL CHECK (json <> ''),
    entered  TEXT NOT NULL
) STRICT;
CREATE INDEX verdicts_by_trial ON verdicts (trial_id);
)sql";

// Lights, scenes, glazings and viewers. Scenes and mixes name what they use without a reference: it may be
// one that ships with the program.
constexpr const char* kVersion2 = R"sql(
CREATE TABLE lights (
    id            INTEGER PRIMARY KEY,
    name          TEXT NOT NULL COLLATE NOCASE UNIQUE CHECK (name <> ''),
    description   TEXT NOT NULL,
    origin        TEXT NOT NULL,
    entered       TEXT NOT NULL,
    grid_start_nm REAL,
    grid_step_nm  REAL,
    grid_count    INTEGER,
    power         BLOB CHECK (length(power) = 8 * grid_count),
    ultraviolet   BLOB CHECK (length(ultraviolet) % 8 = 0),
    file_name     TEXT NOT NULL,
    sha256        TEXT CHECK (length(sha256) = 64),
    original      BLOB,
    CHECK ((power IS NULL) = (grid_start_nm IS NULL)),
    CHECK ((power IS NULL) = (grid_step_nm IS NULL)),
    CHECK ((power IS NULL) = (grid_count IS NULL)),
    CHECK ((sha256 IS NULL) = (original IS NULL))
) STRICT;

CREATE TABLE light_parts (
    light_id INTEGER NOT NULL REFERENCES lights (id) ON DELETE CASCADE,
    position INTEGER NOT NULL CHECK (position >= 1),
    part     TEXT NOT NULL COLLATE NOCASE CHECK (part <> ''),
    share    REAL NOT NULL CHECK (share > 0),
    PRIMARY KEY (light_id, position),
    UNIQUE (light_id, part)
) STRICT, WITHOUT ROWID;

CREATE TABLE scenes (
    id      INTEGER PRIMARY KEY,
    name    TEXT NOT NULL COLLATE NOCASE UNIQUE CHECK (name <> ''),
    light   TEXT NOT NULL COLLATE NOCASE CHECK (light <> ''),
    lux     REAL NOT NULL CHECK (lux > 0),
    glazing TEXT NOT NULL COLLATE NOCASE,
    entered TEXT NOT NULL
) STRICT;

CREATE TABLE glazings (
    id            INTEGER PRIMARY KEY,
    name          TEXT NOT NULL COLLATE NOCASE UNIQUE CHECK (name <> ''),
    description   TEXT NOT NULL,
    origin        TEXT NOT NULL,
    entered       TEXT NOT NULL,
    grid_start_nm REAL NOT NULL,
    grid_step_nm  REAL NOT NULL,
    grid_count    INTEGER NOT NULL,
    transmittance BLOB NOT NULL CHECK (length(transmittance) = 8 * grid_count),
    file_name     TEXT NOT NULL,
    sha256        TEXT CHECK (length(sha256) = 64),
    original      BLOB,
    CHECK ((sha256 IS NULL) = (original IS NULL))
) STRICT;

CREATE TABLE viewers (
    id               INTEGER PRIMARY KEY,
    name             TEXT NOT NULL COLLATE NOCASE UNIQUE CHECK (name <> ''),
    age_years        REAL NOT NULL CHECK (age_years BETWEEN 20 AND 80),
    field_degrees    REAL NOT NULL CHECK (field_degrees BETWEEN 1 AND 10),
    threshold_beside REAL CHECK (threshold_beside > 0),
    threshold_alone  REAL CHECK (threshold_alone > 0),
    entered          TEXT NOT NULL
) STRICT;

ALTER TABLE trials ADD COLUMN withdrawn_when TEXT;
)sql";

// Sheets, scanners and cameras, and how far off their readings may be.
constexpr const char* kVersion3 = R"sql(
CREATE TABLE sheets (
    id         INTEGER PRIMARY KEY,
    code       TEXT NOT NULL COLLATE NOCASE CHECK (code <> ''),
    name       TEXT NOT NULL COLLATE NOCASE CHECK (name <> ''),
    kind       TEXT NOT NULL,
    setting    TEXT NOT NULL,
    definition TEXT NOT NULL CHECK (definition <> ''),
    entered    TEXT NOT NULL,
    UNIQUE (code, name)
) STRICT;
CREATE INDEX sheets_by_name ON sheets (name);

CREATE TABLE devices (
    id               INTEGER PRIMARY KEY,
    name             TEXT NOT NULL COLLATE NOCASE CHECK (name <> ''),
    paper            TEXT NOT NULL COLLATE NOCASE,
    characterisation TEXT NOT NULL CHECK (characterisation <> ''),
    picture          TEXT NOT NULL,
    measurement      TEXT NOT NULL,
    entered          TEXT NOT NULL,
    UNIQUE (name, paper)
) STRICT;

ALTER TABLE readings ADD COLUMN shared_error REAL CHECK (shared_error >= 0);
ALTER TABLE readings ADD COLUMN own_error REAL CHECK (own_error >= 0);
)sql";

// Corrections, which trials were printed through them, colours beside the ramp, and the files made.
constexpr const char* kVersion4 = R"sql(
CREATE TABLE corrections (
    id           INTEGER PRIMARY KEY,
    condition_id INTEGER NOT NULL REFERENCES conditions (id),
    number       INTEGER NOT NULL CHECK (number >= 1),
    kind         TEXT NOT NULL CHECK (kind IN ('curve', 'table')),
    content      TEXT NOT NULL CHECK (content <> ''),
    replaces     INTEGER,
    aim          TEXT NOT NULL,
    fingerprint  TEXT NOT NULL CHECK (length(fingerprint) = 64),
    json         TEXT NOT NULL,
    entered      TEXT NOT NULL,
    withdrawn_because TEXT,
    withdrawn_when    TEXT,
    UNIQUE (condition_id, number)
) STRICT;

CREATE TABLE correction_trials (
    correction_id INTEGER NOT NULL REFERENCES corrections (id) ON DELETE CASCADE,
    trial_id      INTEGER NOT NULL REFERENCES trials (id),
    PRIMARY KEY (correction_id, trial_id)
) STRICT, WITHOUT ROWID;

CREATE TABLE made_files (
    id            INTEGER PRIMARY KEY,
    condition_id  INTEGER NOT NULL REFERENCES conditions (id),
    correction_id INTEGER REFERENCES corrections (id),
    kind          TEXT NOT NULL CHECK (kind <> ''),
    source        TEXT NOT NULL,
    file          TEXT NOT NULL CHECK (file <> ''),
    entered       TEXT NOT NULL
) STRICT;

ALTER TABLE trials ADD COLUMN through INTEGER REFERENCES corrections (id);
ALTER TABLE patches ADD COLUMN codes BLOB CHECK (length(codes) = 24);
)sql";

constexpr const char* kVersion5 = R"sql(
CREATE TABLE condition_changes (
    id           INTEGER PRIMARY KEY,
    condition_id INTEGER NOT NULL REFERENCES conditions (id) ON DELETE CASCADE,
    what         TEXT NOT NULL CHECK (what <> ''),
    entered      TEXT NOT NULL
) STRICT;
)sql";

constexpr std::array kScripts{kVersion1, kVersion2, kVersion3, kVersion4, kVersion5};

}  // namespace

std::span<const char* const> migrations() {
    return kScripts;
}

int bookVersion(const SQLite::Database& database) {
    SQLite::Statement version(database, "PRAGMA user_version");
    version.executeStep();
    return version.getColumn(0).getInt();
}

void migrate(SQLite::Database& database, std::span<const char* const> scripts) {
    SQLite::Transaction transaction(database, SQLite::TransactionBehavior::IMMEDIATE);
    // Asked again now that nobody else can change it: another program may have been quicker.
    const auto version = static_cast<std::size_t>(bookVersion(database));
    if (version >= scripts.size()) return;
    for (const char* script : scripts.subspan(version)) database.exec(script);
    database.exec(fmt::format("PRAGMA application_id = {}", kApplicationId));
    database.exec(fmt::format("PRAGMA user_version = {}", scripts.size()));
    transaction.commit();
}

}  // namespace greywright::book

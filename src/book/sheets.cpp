// What is printed and what it is scanned with: the part of Book that keeps sheets, scanners and cameras.

#include <SQLiteCpp/SQLiteCpp.h>
#include <fmt/format.h>

#include "book/book.h"
#include "book/connection.h"
#include "book/named.h"
#include "book/rows.h"
#include "book/rules.h"
#include "core/said.h"

namespace greywright::book {
namespace {

using rows::prepared;
using SQLite::Database;
using SQLite::Statement;

constexpr const char* kSheetColumns = "SELECT code, name, kind, setting, definition, entered FROM sheets ";

SheetRecord sheetFromRow(Statement& row) {
    return {.code = row.getColumn(0).getString(),
            .name = row.getColumn(1).getString(),
            .kind = row.getColumn(2).getString(),
            .setting = row.getColumn(3).getString(),
            .definition = row.getColumn(4).getString(),
            .when = row.getColumn(5).getString()};
}

}  // namespace

Outcome Book::addSheet(const SheetRecord& sheet) {
    return connection_->write([&](Database& database) -> Outcome {
        if (Outcome sound = checkSheet(sheet); !sound) return sound;
        rows::run(database,
                  "INSERT INTO sheets (code, name, kind, setting, definition, entered) "
                  "VALUES (?, ?, ?, ?, ?, ?) ON CONFLICT (code, name) DO UPDATE SET "
                  "setting = excluded.setting, definition = excluded.definition, entered = excluded.entered",
                  sheet.code, sheet.name, sheet.kind, sheet.setting, sheet.definition, sheet.when);
        return Done{};
    });
}

Result<std::vector<SheetRecord>> Book::sheets() const {
    return connection_->read([](Database& database) -> Result<std::vector<SheetRecord>> {
        std::vector<SheetRecord> found;
        Statement row(database, std::string(kSheetColumns) + "ORDER BY id");
        while (row.executeStep()) found.push_back(sheetFromRow(row));
        return found;
    });
}

Result<std::vector<SheetRecord>> Book::sheetsNamed(const std::string& nameOrCode) const {
    return connection_->read([&](Database& database) -> Result<std::vector<SheetRecord>> {
        std::vector<SheetRecord> found;
        for (const char* column : {"code", "name"}) {
            Statement row =
                prepared(database,
                         fmt::format("{} WHERE {} = ? ORDER BY entered DESC, id DESC", kSheetColumns, column),
                         nameOrCode);
            while (row.executeStep()) found.push_back(sheetFromRow(row));
            if (!found.empty()) return found;
        }
        return entryNamed(database, rows::kSheets, nameOrCode).error();
    });
}

Outcome Book::keepDevice(const DeviceRecord& device) {
    return connection_->write([&](Database& database) -> Outcome {
        if (Outcome sound = checkDevice(device); !sound) return sound;
        rows::run(database,
                  "INSERT INTO devices (name, paper, characterisation, picture, measurement, entered) "
                  "VALUES (?, ?, ?, ?, ?, ?) ON CONFLICT (name, paper) DO UPDATE SET "
                  "characterisation = excluded.characterisation, picture = excluded.picture, "
                  "measurement = excluded.measurement, entered = excluded.entered",
                  device.name, device.paper, device.characterisation, device.picture, device.measurement,
                  device.when);
        return Done{};
    });
}

Result<std::vector<DeviceRecord>> Book::devices() const {
    return connection_->read([](Database& database) -> Result<std::vector<DeviceRecord>> {
        std::vector<DeviceRecord> found;
        Statement row(database,
                      "SELECT name, paper, characterisation, picture, measurement, entered FROM devices "
                      "ORDER BY id");
        while (row.executeStep()) {
            found.push_back({.name = row.getColumn(0).getString(),
                             .paper = row.getColumn(1).getString(),
                             .characterisation = row.getColumn(2).getString(),
                             .picture = row.getColumn(3).getString(),
                             .measurement = row.getColumn(4).getString(),
                             .when = row.getColumn(5).getString()});
        }
        return found;
    });
}

Outcome Book::removeDevice(const std::string& name) {
    return connection_->write([&](Database& database) -> Outcome {
        if (const auto found = entryNamed(database, rows::kDevices, name); !found) return found.error();
        rows::run(database, "DELETE FROM devices WHERE name = ?", name);
        return Done{};
    });
}

}  // namespace greywright::book

// What corrects a condition, and what was made with it: a part of Book.

#include <algorithm>

#include <SQLiteCpp/SQLiteCpp.h>
#include <fmt/format.h>

#include "book/book.h"
#include "book/connection.h"
#include "book/errors.h"
#include "book/named.h"
#include "book/rows.h"
#include "book/rules.h"
#include "book/sha256.h"
#include "core/said.h"

namespace greywright::book {
namespace {

using rows::Id;
using rows::prepared;
using SQLite::Database;
using SQLite::Statement;

struct RestsOn {
    std::vector<Id> trials = {};
    std::string fingerprint = {};
};

// The digests of all readings of the trials, in order, make one.
Result<RestsOn> restsOn(Database& database, const std::string& condition, std::vector<int> trials) {
    std::ranges::sort(trials);
    RestsOn out;
    std::string digests;
    for (const int number : trials) {
        const auto id = trialNumbered(database, condition, number);
        if (!id) return id.error();
        out.trials.push_back(*id);
        const std::size_t before = digests.size();
        Statement row =
            prepared(database, "SELECT sha256 FROM readings WHERE trial_id = ? ORDER BY number", *id);
        while (row.executeStep()) digests += row.getColumn(0).getString();
        if (digests.size() == before) {
            return wrong("trial-without-reading", said("trial {}", number), said("has no reading"),
                         said("Choose a trial that was measured"));
        }
    }
    out.fingerprint = sha256(digests);
    return out;
}

std::vector<int> trialsOf(Database& database, Id correction) {
    std::vector<int> found;
    Statement row =
        prepared(database,
                 "SELECT trials.number FROM correction_trials JOIN trials ON trial_id = trials.id "
                 "WHERE correction_id = ? ORDER BY trials.number",
                 correction);
    while (row.executeStep()) found.push_back(row.getColumn(0).getInt());
    return found;
}

}  // namespace

Result<int> Book::addCorrection(const std::string& condition, const CorrectionRecord& correction) {
    return connection_->write([&](Database& database) -> Result<int> {
        const auto owner = conditionNamed(database, condition);
        if (!owner) return owner.error();
        if (Outcome sound = checkCorrection(correction); !sound) return std::move(sound).error();
        if (correction.replaces != 0) {
            if (const auto known = correctionNumbered(database, *owner, correction.replaces); !known)
                return known.error();
        }
        const auto base = restsOn(database, condition, correction.trials);
        if (!base) return base.error();
        const auto number = static_cast<int>(rows::oneNumber(
            database, "SELECT coalesce(max(number), 0) + 1 FROM corrections WHERE condition_id = ?",
            owner->id));
        rows::run(database,
                  "INSERT INTO corrections (condition_id, number, kind, content, replaces, aim, fingerprint, "
                  "json, entered) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
                  owner->id, number, correction.kind, correction.content, correction.replaces, correction.aim,
                  base->fingerprint, correction.json, correction.when);
        const Id id = database.getLastInsertRowid();
        for (const Id trial : base->trials)
            rows::run(database, "INSERT INTO correction_trials (correction_id, trial_id) VALUES (?, ?)", id,
                      trial);
        return number;
    });
}

Result<std::vector<CorrectionRecord>> Book::corrections(const std::string& condition) const {
    return connection_->read([&](Database& database) -> Result<std::vector<CorrectionRecord>> {
        const auto owner = conditionNamed(database, condition);
        if (!owner) return owner.error();
        std::vector<CorrectionRecord> found;
        Statement row = prepared(
            database,
            "SELECT id, number, kind, content, replaces, aim, fingerprint, json, entered, "
            "withdrawn_because, withdrawn_when FROM corrections WHERE condition_id = ? ORDER BY number",
            owner->id);
        while (row.executeStep()) {
            found.push_back({.number = row.getColumn(1).getInt(),
                             .kind = row.getColumn(2).getString(),
                             .content = row.getColumn(3).getString(),
                             .replaces = row.getColumn(4).getInt(),
                             .aim = row.getColumn(5).getString(),
                             .trials = trialsOf(database, row.getColumn(0).getInt64()),
                             .fingerprint = row.getColumn(6).getString(),
                             .json = row.getColumn(7).getString(),
                             .when = row.getColumn(8).getString(),
                             .withdrawnBecause = rows::optionalText(row.getColumn(9)),
                             .withdrawnWhen = rows::optionalText(row.getColumn(10))});
        }
        return found;
    });
}

Outcome Book::withdrawCorrection(const std::string& condition, int number, const std::string& reason,
                                 const std::string& when) {
    return connection_->write([&](Database& database) -> Outcome {
        const auto owner = conditionNamed(database, condition);
        if (!owner) return owner.error();
        const auto id = correctionNumbered(database, *owner, number);
        if (!id) return id.error();
        if (reason.find_first_not_of(' ') == std::string::npos) {
            return wrong("reason-missing", said("correction {}", number),
                         said("is withdrawn without a reason"),
                         said("Say why, so that the book still tells it in a year"));
        }
        if (Outcome sound = checkTime(when); !sound) return sound;
        rows::run(database, "UPDATE corrections SET withdrawn_because = ?, withdrawn_when = ? WHERE id = ?",
                  reason, when, *id);
        return Done{};
    });
}

Outcome Book::addMadeFiles(const std::string& condition, const std::vector<MadeFileRecord>& made) {
    return connection_->write([&](Database& database) -> Outcome {
        const auto owner = conditionNamed(database, condition);
        if (!owner) return owner.error();
        for (const MadeFileRecord& file : made) {
            if (file.correction != 0) {
                if (const auto known = correctionNumbered(database, *owner, file.correction); !known)
                    return known.error();
            }
            if (file.kind.empty() || file.file.empty()) {
                return wrong("made-file-invalid", file.kind.empty() ? "kind" : "file", said("is empty"),
                             said("Say what was made and where it is"));
            }
            if (Outcome sound = checkTime(file.when); !sound) return sound;
            rows::run(database,
                      "INSERT INTO made_files (condition_id, correction_id, kind, source, file, entered) "
                      "VALUES (?1, (SELECT id FROM corrections WHERE condition_id = ?1 AND number = ?2), ?3, "
                      "?4, ?5, ?6)",
                      owner->id, file.correction, file.kind, file.source, file.file, file.when);
        }
        return Done{};
    });
}

Result<std::vector<MadeFileRecord>> Book::madeFiles(const std::string& condition) const {
    return connection_->read([&](Database& database) -> Result<std::vector<MadeFileRecord>> {
        const auto owner = conditionNamed(database, condition);
        if (!owner) return owner.error();
        std::vector<MadeFileRecord> found;
        Statement row = prepared(database,
                                 "SELECT coalesce(corrections.number, 0), made_files.kind, source, file, "
                                 "made_files.entered FROM made_files "
                                 "LEFT JOIN corrections ON correction_id = corrections.id "
                                 "WHERE made_files.condition_id = ? ORDER BY made_files.id",
                                 owner->id);
        while (row.executeStep()) {
            found.push_back({.correction = row.getColumn(0).getInt(),
                             .kind = row.getColumn(1).getString(),
                             .source = row.getColumn(2).getString(),
                             .file = row.getColumn(3).getString(),
                             .when = row.getColumn(4).getString()});
        }
        return found;
    });
}

}  // namespace greywright::book

#include "book/book.h"

#include <algorithm>

#include <fmt/format.h>

#include "book/connection.h"
#include "book/errors.h"
#include "book/named.h"
#include "book/rows.h"
#include "book/rules.h"
#include "book/sha256.h"
#include "core/numbers.h"
#include "core/said.h"

namespace greywright::book {
namespace {

using SQLite::Database;

// The reading with its digest, once it may be kept in this condition.
Result<NewReading> acceptable(Database& database, rows::Id condition, NewReading reading) {
    if (Outcome sound = checkReading(reading.reading); !sound) return std::move(sound).error();
    reading.reading.sha256 = sha256(reading.originalFile);
    if (reading.evenIfReadBefore) return reading;
    const int before = rows::trialWithDigest(database, condition, reading.reading.sha256);
    if (before == 0) return reading;
    return wrong("reading-twice", reading.reading.fileName,
                 said("this very file was read already, as trial {} of this condition", before),
                 said("Name the file of the new sheet, withdraw trial {}, or say that the same file is meant",
                      before));
}

Outcome checkChoices(const std::map<std::string, std::string>& choices) {
    const bool named = std::ranges::none_of(
        choices, [](const auto& choice) { return choice.first.find_first_not_of(' ') == std::string::npos; });
    if (named) return Done{};
    return wrong("choice-invalid", "choices", said("a choice has no name"),
                 said("Give every choice as NAME=VALUE"));
}

std::string textOf(const std::vector<AxisRecord>& axes) {
    std::string out;
    for (const AxisRecord& axis : axes) {
        out += fmt::format("{}{} {}..{} by {}", out.empty() ? "" : ", ", axis.name, textFromNumber(axis.min),
                           textFromNumber(axis.max), textFromNumber(axis.step));
    }
    return out.empty() ? "none" : out;
}

// Kept as it is, so in one language.
std::string changeOf(const ConditionRecord& before, const ConditionRecord& after) {
    std::string out;
    const auto add = [&out](std::string_view what, const std::string& was, const std::string& is) {
        if (was != is) out += fmt::format("{}{}: {} -> {}", out.empty() ? "" : "; ", what, was, is);
    };
    add("name", before.name, after.name);
    add("printer", before.printer, after.printer);
    add("inks", before.inks, after.inks);
    add("paper", before.paper, after.paper);
    add("mode", before.mode, after.mode);
    add("tint control", textOf(before.axes), textOf(after.axes));
    return out;
}

std::vector<ConditionRecord> records(std::vector<rows::ConditionRow> found) {
    std::vector<ConditionRecord> conditions;
    conditions.reserve(found.size());
    for (rows::ConditionRow& row : found) conditions.push_back(std::move(row.record));
    return conditions;
}

}  // namespace

Book::Book(std::unique_ptr<Connection> connection) : connection_(std::move(connection)) {}
Book::Book(Book&&) noexcept = default;
Book& Book::operator=(Book&&) noexcept = default;
Book::~Book() = default;

Result<Book> Book::open(const std::filesystem::path& path, OpenMode mode,
                        std::chrono::milliseconds patience) {
    auto connection = Connection::open(path, mode, patience);
    if (!connection) return std::move(connection).error();
    return Book(std::move(connection).value());
}

const std::filesystem::path& Book::path() const {
    return connection_->path();
}

Outcome Book::addCondition(const ConditionRecord& condition) {
    return connection_->write([&](Database& database) -> Outcome {
        if (Outcome sound = checkCondition(condition); !sound) return sound;
        if (!rows::conditions(database, "name = ?", {condition.name}).empty()) {
            return wrong("condition-exists", condition.name,
                         said("the book has a printing condition of this name"),
                         said("Choose another name, or go on with the one that is there"));
        }
        rows::addCondition(database, condition);
        return Done{};
    });
}

Outcome Book::correctCondition(const std::string& name, const ConditionRecord& corrected) {
    return connection_->write([&](Database& database) -> Outcome {
        const auto owner = conditionNamed(database, name);
        if (!owner) return owner.error();
        if (Outcome sound = checkCondition(corrected); !sound) return sound;
        ConditionRecord record = corrected;
        record.when = owner->record.when;
        if (record == owner->record) {
            return wrong("nothing-corrected", name, said("it is entered so already"),
                         said("Give what is wrong with it"));
        }
        if (record.name != name && !rows::conditions(database, "name = ?", {record.name}).empty()) {
            return wrong("condition-exists", record.name,
                         said("the book has a printing condition of this name"), said("Choose another name"));
        }
        const bool isAsMany = record.axes.size() == owner->record.axes.size();
        for (auto& [trial, setting] : rows::settings(database, *owner)) {
            for (std::size_t i = 0; isAsMany && i < setting.size(); ++i)
                setting[i].axis = record.axes[i].name;
            if (!isAsMany || !settingOnAxes(record.axes, setting)) {
                return wrong("axes-of-trials", name,
                             said("trial {} was printed at a setting that this control does not have", trial),
                             said("Give as many axes as before, in their order, with ranges and steps that "
                                  "hold the settings of all trials"));
            }
        }
        rows::correctCondition(database, owner->id, record);
        rows::addChange(database, owner->id, {changeOf(owner->record, record), corrected.when});
        return Done{};
    });
}

Result<std::vector<ConditionChangeRecord>> Book::conditionChanges(const std::string& name) const {
    return connection_->read([&](Database& database) -> Result<std::vector<ConditionChangeRecord>> {
        const auto owner = conditionNamed(database, name);
        if (!owner) return owner.error();
        return rows::changes(database, owner->id);
    });
}

Outcome Book::removeCondition(const std::string& name) {
    return connection_->write([&](Database& database) -> Outcome {
        const auto owner = conditionNamed(database, name);
        if (!owner) return owner.error();
        if (rows::isInUse(database, owner->id)) {
            return wrong("condition-in-use", name,
                         said("this printing condition has trials or corrections, which a record keeps"),
                         said("Put right what is wrong with it, or withdraw its trials"));
        }
        rows::removeCondition(database, owner->id);
        return Done{};
    });
}

Result<std::vector<ConditionRecord>> Book::conditions() const {
    return connection_->read([](Database& database) -> Result<std::vector<ConditionRecord>> {
        return records(rows::conditions(database));
    });
}

Result<ConditionRecord> Book::condition(const std::string& name) const {
    return connection_->read([&](Database& database) -> Result<ConditionRecord> {
        auto found = conditionNamed(database, name);
        if (!found) return std::move(found).error();
        return std::move(found->record);
    });
}

Result<std::vector<ConditionRecord>> Book::conditionsOfDriver(const std::string& printer,
                                                              const std::string& inks,
                                                              const std::string& mode) const {
    return connection_->read([&](Database& database) -> Result<std::vector<ConditionRecord>> {
        return records(
            rows::conditions(database, "printer = ? AND inks = ? AND mode = ?", {printer, inks, mode}));
    });
}

Result<int> Book::addTrial(const std::string& condition, const NewTrial& trial) {
    return connection_->write([&](Database& database) -> Result<int> {
        const auto owner = conditionNamed(database, condition);
        if (!owner) return owner.error();
        auto setting = settingOnAxes(owner->record.axes, trial.setting);
        if (!setting) return std::move(setting).error();
        if (Outcome sound = checkChoices(trial.choices); !sound) return std::move(sound).error();
        if (Outcome sound = checkTime(trial.when); !sound) return std::move(sound).error();
        if (trial.through != 0) {
            if (const auto known = correctionNumbered(database, *owner, trial.through); !known)
                return known.error();
        }
        NewTrial entry{.setting = std::move(setting).value(),
                       .choices = trial.choices,
                       .when = trial.when,
                       .through = trial.through};
        if (trial.reading) {
            auto reading = acceptable(database, owner->id, *trial.reading);
            if (!reading) return std::move(reading).error();
            entry.reading = std::move(reading).value();
        }
        return rows::addTrial(database, owner->id, entry);
    });
}

Result<int> Book::addReading(const std::string& condition, int trial, const NewReading& reading) {
    return connection_->write([&](Database& database) -> Result<int> {
        const auto owner = conditionNamed(database, condition);
        if (!owner) return owner.error();
        const auto id = trialNumbered(database, condition, trial);
        if (!id) return id.error();
        const auto accepted = acceptable(database, owner->id, reading);
        if (!accepted) return accepted.error();
        return rows::addReading(database, *id, *accepted);
    });
}

Result<std::vector<TrialRecord>> Book::trials(const std::string& condition) const {
    return connection_->read([&](Database& database) -> Result<std::vector<TrialRecord>> {
        const auto owner = conditionNamed(database, condition);
        if (!owner) return owner.error();
        return rows::trials(database, *owner);
    });
}

Result<TrialCounts> Book::trialCounts(const std::string& condition) const {
    return connection_->read([&](Database& database) -> Result<TrialCounts> {
        const auto owner = conditionNamed(database, condition);
        if (!owner) return owner.error();
        return rows::trialCounts(database, owner->id);
    });
}

Result<TrialRecord> Book::trial(const std::string& condition, int number) const {
    return connection_->read([&](Database& database) -> Result<TrialRecord> {
        const auto id = trialNumbered(database, condition, number);
        if (!id) return id.error();
        const auto owner = conditionNamed(database, condition);
        return std::move(rows::trials(database, *owner, number).front());
    });
}

Outcome Book::withdrawTrial(const std::string& condition, int number, const std::string& reason,
                            const std::string& when) {
    return connection_->write([&](Database& database) -> Outcome {
        const auto id = trialNumbered(database, condition, number);
        if (!id) return id.error();
        if (reason.find_first_not_of(' ') == std::string::npos) {
            return wrong("reason-missing", said("trial {}", number), said("is withdrawn without a reason"),
                         said("Say why, so that the book still tells it in a year"));
        }
        if (Outcome sound = checkTime(when); !sound) return sound;
        rows::setWithdrawn(database, *id, reason, when);
        return Done{};
    });
}

Outcome Book::restoreTrial(const std::string& condition, int number) {
    return connection_->write([&](Database& database) -> Outcome {
        const auto id = trialNumbered(database, condition, number);
        if (!id) return id.error();
        rows::setWithdrawn(database, *id, std::nullopt, std::nullopt);
        return Done{};
    });
}

Result<std::string> Book::originalFile(const std::string& condition, int trial, int reading) const {
    return connection_->read([&](Database& database) -> Result<std::string> {
        const auto id = trialNumbered(database, condition, trial);
        if (!id) return id.error();
        auto original = rows::original(database, *id, reading);
        if (!original) {
            return wrong("reading-unknown", said("trial {}", trial), said("has no reading {}", reading),
                         said("Ask for one that the trial has"));
        }
        if (sha256(original->bytes) != original->sha256) {
            return damaged(said("the file kept here is not the one that was read in"),
                           {.field = said("trial {}", trial)});
        }
        return std::move(original->bytes);
    });
}

Outcome Book::addVerdict(const std::string& condition, const VerdictRecord& verdict) {
    return connection_->write([&](Database& database) -> Outcome {
        const auto id = trialNumbered(database, condition, verdict.trial);
        if (!id) return id.error();
        if (verdict.kind.empty() || verdict.json.empty()) {
            return wrong("verdict-invalid", verdict.kind.empty() ? "kind" : "json", said("is empty"),
                         said("Give a verdict its kind and its text"));
        }
        if (Outcome sound = checkTime(verdict.when); !sound) return sound;
        rows::addVerdict(database, *id, verdict);
        return Done{};
    });
}

Result<std::vector<VerdictRecord>> Book::verdicts(const std::string& condition,
                                                  const std::string& kind) const {
    return connection_->read([&](Database& database) -> Result<std::vector<VerdictRecord>> {
        const auto owner = conditionNamed(database, condition);
        if (!owner) return owner.error();
        return rows::verdicts(database, owner->id, kind);
    });
}

Outcome Book::check() const {
    return connection_->read([](Database& database) -> Outcome {
        SQLite::Statement structure(database, "PRAGMA integrity_check(1)");
        structure.executeStep();
        if (const std::string found = structure.getColumn(0).getString(); found != "ok") {
            return damaged(found, {.field = "structure"});
        }
        SQLite::Statement references(database, "PRAGMA foreign_key_check");
        if (references.executeStep()) {
            return damaged(said("a row belongs to nothing"), {.field = references.getColumn(0).getString()});
        }
        for (const char* table : {"readings", "lights", "glazings"}) {
            SQLite::Statement files(
                database,
                fmt::format("SELECT id, original, sha256 FROM {} WHERE original IS NOT NULL", table));
            while (files.executeStep()) {
                if (sha256(files.getColumn(1).getString()) != files.getColumn(2).getString()) {
                    return damaged(said("the file kept here is not the one that was read in"),
                                   {.field = fmt::format("{}, id {}", table, files.getColumn(0).getInt64())});
                }
            }
        }
        return Done{};
    });
}

}  // namespace greywright::book

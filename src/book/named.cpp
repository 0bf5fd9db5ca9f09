#include "book/named.h"

#include <fmt/format.h>

#include "book/errors.h"
#include "core/nearest_name.h"
#include "core/said.h"

namespace greywright::book {

Result<rows::Id> entryNamed(SQLite::Database& database, const rows::NamedTable& kind,
                            const std::string& name) {
    const rows::Id id = rows::idNamed(database, kind, name);
    if (id != 0) return id;
    const auto nearest = nearestName(name, rows::namesIn(database, kind));
    return wrong(fmt::format("{}-unknown", kind.word), name,
                 said("the book has no {} of this name", kind.word),
                 nearest ? said("Did you mean \"{}\"?", *nearest)
                         : said("List the {} of the book to see their names", kind.table));
}

Result<rows::ConditionRow> conditionNamed(SQLite::Database& database, const std::string& name) {
    std::vector<rows::ConditionRow> found = rows::conditions(database, "name = ?", {name});
    if (!found.empty()) return std::move(found.front());
    const std::vector<rows::ConditionRow> all = rows::conditions(database);
    std::vector<std::string> names;
    names.reserve(all.size());
    for (const rows::ConditionRow& row : all) names.push_back(row.record.name);
    const auto nearest = nearestName(name, names);
    return wrong("condition-unknown", name, said("the book has no printing condition of this name"),
                 nearest ? said("Did you mean \"{}\"?", *nearest)
                         : said("List the conditions to see their names, or enter this one first"));
}

Result<rows::Id> trialNumbered(SQLite::Database& database, const std::string& condition, int number) {
    const auto owner = conditionNamed(database, condition);
    if (!owner) return owner.error();
    const rows::Id id = rows::trialId(database, owner->id, number);
    if (id != 0) return id;
    return wrong("trial-unknown", said("trial {}", number), said("\"{}\" has no such trial", condition),
                 said("List the trials of the condition to see their numbers"));
}

Result<rows::Id> correctionNumbered(SQLite::Database& database, const rows::ConditionRow& condition,
                                    int number) {
    const rows::Id id = rows::oneNumber(
        database, "SELECT id FROM corrections WHERE condition_id = ? AND number = ?", condition.id, number);
    if (id != 0) return id;
    return wrong("correction-unknown", said("correction {}", number),
                 said("\"{}\" has no such correction", condition.record.name),
                 said("List the corrections of the condition to see their numbers"));
}

}  // namespace greywright::book

#include "book/named.h"

#include <fmt/format.h>

#include "book/errors.h"
#include "core/nearest_name.h"

namespace greywright::book {

Result<rows::Id> entryNamed(SQLite::Database& database, const rows::NamedTable& kind,
                            const std::string& name) {
    const rows::Id id = rows::idNamed(database, kind, name);
    if (id != 0) return id;
    const auto nearest = nearestName(name, rows::namesIn(database, kind));
    return wrong(fmt::format("{}-unknown", kind.word), name,
                 fmt::format("the book has no {} of this name", kind.word),
                 nearest ? fmt::format("Did you mean \"{}\"?", *nearest)
                         : fmt::format("List the {} of the book to see their names", kind.table));
}

}  // namespace greywright::book

#pragma once

#include <string>
#include <utility>

#include "core/result.h"
#include "core/said.h"

// Inside the module only. The book's path is filled in where a function leaves the module.
namespace greywright::book {

/// A request that cannot be granted.
[[nodiscard]] inline Error wrong(std::string code, std::string field, std::string what, std::string next) {
    return {.kind = ErrorKind::wrongUse,
            .code = std::move(code),
            .what = std::move(what),
            .where = {.field = std::move(field)},
            .next = std::move(next)};
}

/// Something in the book that does not fit.
[[nodiscard]] inline Error damaged(std::string what, Place where) {
    return {.code = "book-damaged",
            .what = std::move(what),
            .where = std::move(where),
            .next = said("Keep this file and go back to a copy; docs/book.md says how to look inside")};
}

}  // namespace greywright::book

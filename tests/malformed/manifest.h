#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "core/contract.h"
#include "core/files.h"

/// The tables of cases beside the tests.
namespace greywright::testing {

inline std::filesystem::path casesFolder() {
    return std::filesystem::path(GREYWRIGHT_SOURCE_DIR) / "tests" / "malformed";
}

/// The rows of a tab-separated file below its header line, each with `columns` cells.
inline std::vector<std::vector<std::string>> manifest(const char* name, std::size_t columns) {
    const auto text = readWholeFile(casesFolder() / name);
    expects(text.has_value(), "the manifest can be read");
    std::vector<std::vector<std::string>> rows;
    std::vector<std::string> row(1);
    for (const char c : *text) {
        if (c == '\t') {
            row.emplace_back();
        } else if (c == '\n') {
            expects(row.size() == columns, "every row of the manifest has all its cells");
            rows.push_back(std::move(row));
            row.assign(1, "");
        } else {
            row.back() += c;
        }
    }
    rows.erase(rows.begin());
    return rows;
}

}  // namespace greywright::testing

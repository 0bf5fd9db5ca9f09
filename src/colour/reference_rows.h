#pragma once

#include <filesystem>
#include <fstream>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <gtest/gtest.h>

#include "core/numbers.h"

/// For tests only.
namespace greywright::colour {

/// The rows of a table of numbers under tests/reference/: comment lines and one header row left out.
inline std::vector<std::vector<double>> referenceRows(const std::string& name) {
    const std::filesystem::path folder(GREYWRIGHT_SOURCE_DIR);
    std::ifstream file(folder / "tests" / "reference" / name);
    EXPECT_TRUE(file) << name << " cannot be read";
    std::vector<std::vector<double>> rows;
    bool header = true;
    for (std::string line; std::getline(file, line);) {
        if (!line.empty() && line.back() == '\r') line.pop_back();
        if (line.empty() || line.front() == '#') continue;
        if (std::exchange(header, false)) continue;
        std::vector<double>& row = rows.emplace_back();
        std::string_view rest = line;
        while (true) {
            const std::size_t comma = rest.find(',');
            const auto number = numberFromText(rest.substr(0, comma));
            EXPECT_TRUE(number) << name << ": " << line;
            row.push_back(number.value_or(0));
            if (comma == std::string_view::npos) break;
            rest.remove_prefix(comma + 1);
        }
    }
    return rows;
}

}  // namespace greywright::colour

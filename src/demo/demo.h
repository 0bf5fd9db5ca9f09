#pragma once

#include <filesystem>
#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include "core/result.h"

/// The whole job on an invented studio.
namespace greywright::demo {

struct Options {
    std::filesystem::path folder;  ///< made when absent; one that holds a book already is left alone
    std::string when;              ///< UTC, ISO 8601; every trial of the demo has it
    std::function<void(std::string_view)> say = [](std::string_view) {};  ///< told what is done, line by line
    std::function<bool()> goOn = [] { return true; };  ///< false stops it before the next sheet
};

struct Summary {
    std::filesystem::path folder;  ///< the one used: with a number behind it when the wanted one was taken
    std::filesystem::path book;
    std::vector<std::filesystem::path> reports;
};

/// Prints, measures, judges and steers two printers on two papers, all invented, scans a sheet with markers,
/// and writes sheets, measurement files, a book to play with and a report for each printing condition.
/// Errors: those of the studio; cannotWrite where the folder takes no files; stopped (goOn said so): what was
/// made stays. Cost: a few seconds.
[[nodiscard]] Result<Summary> run(const Options& options);

/// Whether a run in a folder came to its end.
[[nodiscard]] bool isWhole(const std::filesystem::path& folder);

}  // namespace greywright::demo

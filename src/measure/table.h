#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "core/result.h"
#include "measure/reading.h"
#include "measure/settle.h"
#include "measure/statements.h"
#include "measure/text.h"

namespace greywright::measure {

/// Rows under named columns, as CGATS and delimited text share them. Shape: cells.size() ==
/// columns.size() * rowLines.size(), row by row. The cells look into a text that must outlive the table.
struct Table {
    std::vector<HeaderEntry> header = {};
    std::vector<std::string> columns = {};
    std::size_t columnsLine = 0;
    std::vector<std::string_view> cells = {};
    std::vector<std::size_t> rowLines = {};
};

/// Whether short names such as "L", "a*", "R" or "380" mean something: in a spreadsheet's header they do, in
/// CGATS they are somebody's own.
enum class ShortNames { no, yes };

/// What the columns of a table mean. Shape: indices into Table::columns.
struct ColumnRoles {
    std::optional<std::size_t> id = {};
    std::optional<std::size_t> name = {};
    std::optional<std::size_t> tone = {};
    std::array<std::optional<std::size_t>, 3> lab = {};
    std::array<std::optional<std::size_t>, 3> lch = {};
    std::array<std::optional<std::size_t>, 3> xyz = {};
    std::vector<std::pair<double, std::size_t>> bands = {};  ///< wavelength in nm by name, ascending
    std::vector<std::pair<std::size_t, std::size_t>> wavelengthAndValue = {};
    SpectralScale scale = SpectralScale::notSaid;
    std::vector<std::pair<std::string, std::size_t>> device = {};  ///< canonical name

    [[nodiscard]] bool hasLab() const { return lab[0] && lab[1] && lab[2]; }
    [[nodiscard]] bool hasLch() const { return lch[0] && lch[1] && lch[2]; }
    [[nodiscard]] bool hasXyz() const { return xyz[0] && xyz[1] && xyz[2]; }
    [[nodiscard]] bool hasSpectra() const { return !bands.empty() || !wavelengthAndValue.empty(); }
    [[nodiscard]] bool isMeasurement() const { return hasLab() || hasLch() || hasXyz() || hasSpectra(); }
};

/// Finds out what every column means; unknown ones are left alone.
/// Errors: duplicate-column, spectral-columns-mixed.
[[nodiscard]] Result<ColumnRoles> columnRoles(const std::vector<std::string>& columns, std::size_t line,
                                              ShortNames shortNames, const Source& source);

/// The wavelength in a column name such as SPECTRAL_NM380, nm380, SPEC_380, R_380, 380nm or 380_NM; a bare
/// "380" only with short names. Valid: 200 to 2500 nm.
[[nodiscard]] std::optional<double> wavelengthFromName(std::string_view name, ShortNames shortNames);

/// The reading in a table.
/// Errors: what settled() and columnRoles() refuse, and no-measurement, display-file, not-reflectance,
/// too-many-patches, tone-out-of-range, not-a-number, mixed-decimal-marks, wavelengths-vary,
/// wavelengths-contradictory.
[[nodiscard]] Result<Reading> readingFromTable(const Table& table, ShortNames shortNames, std::string format,
                                               std::vector<Note> notes, const Source& source);

}  // namespace greywright::measure

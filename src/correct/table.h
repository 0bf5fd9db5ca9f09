#pragma once

#include <array>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "core/result.h"

namespace greywright::correct {

/// What is sent to red, green and blue. Units: 0 .. 65535, full light = 65535.
using Codes = std::array<double, 3>;

/// A row of a table: what to send for a tone.
struct TableRow {
    double tonePercent = 0;
    Codes codes = {};
};

/// From grey to RGB; between rows a smooth cubic, never outside 0 .. 65535.
/// Source: E. Catmull and R. Rom (1974), A class of local interpolating splines.
class NeutralTable {
  public:
    /// Equal codes for every tone.
    NeutralTable();

    /// Valid: two rows or more, tones ascending from 0 to 100, codes within range.
    explicit NeutralTable(std::vector<TableRow> rows);

    /// The table of a text(). Errors: table-not-read; the place is the line.
    [[nodiscard]] static Result<NeutralTable> fromText(std::string_view text);

    /// What to send for a tone; outside 0..100 the ends hold.
    [[nodiscard]] Codes at(double tonePercent) const;

    [[nodiscard]] std::span<const TableRow> rows() const { return rows_; }

    /// A text that reads back as the same table to the last bit.
    [[nodiscard]] std::string text() const;

  private:
    std::vector<TableRow> rows_;
};

}  // namespace greywright::correct

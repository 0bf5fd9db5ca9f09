#include "measure/table.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "core/numbers.h"
#include "core/said.h"

namespace greywright::measure {
namespace {

// The largest characterisation charts have some ten thousand patches (common practice).
constexpr std::size_t kMostPatches = 100'000;

/// Reads numbers of one file, all with a decimal point or all with a comma.
class NumberReader {
  public:
    NumberReader(const Table& table, const Source& source) : table_(table), source_(source) {}

    Result<double> at(std::size_t row, std::size_t column) {
        const std::string_view cell = unquoted(table_.cells[row * table_.columns.size() + column]);
        auto number = numberFromText(cell);
        bool comma = false;
        if (!number && std::ranges::count(cell, ',') == 1 && cell.find('.') == std::string_view::npos) {
            text_ = cell;
            std::ranges::replace(text_, ',', '.');
            number = numberFromText(text_);
            comma = number.has_value();
        }
        if (!number) {
            return source_.refusal("not-a-number",
                                   cell.empty() ? std::string(said("a number is missing"))
                                                : said("{} is not a number", shown(cell)),
                                   said("Correct the cell or export the measurement again"),
                                   table_.rowLines[row], table_.columns[column]);
        }
        const bool point = !comma && cell.find('.') != std::string_view::npos;
        commaSeen_ = commaSeen_ || comma;
        pointSeen_ = pointSeen_ || point;
        if (commaSeen_ && pointSeen_) {
            return source_.refusal("mixed-decimal-marks",
                                   said("{} has a decimal {}, other numbers have a {}", shown(cell),
                                        comma ? "comma" : "point", comma ? "point" : "comma"),
                                   said("Export all numbers with the same decimal mark"),
                                   table_.rowLines[row], table_.columns[column]);
        }
        return *number;
    }

    [[nodiscard]] bool usedCommas() const { return commaSeen_; }

  private:
    static std::string_view unquoted(std::string_view cell) {
        if (cell.size() >= 2 && (cell.front() == '"' || cell.front() == '\'') &&
            cell.back() == cell.front()) {
            return trimmed(cell.substr(1, cell.size() - 2));
        }
        return cell;
    }

    const Table& table_;
    const Source& source_;
    std::string text_;
    bool commaSeen_ = false;
    bool pointSeen_ = false;
};

Outcome refuseWhatIsNoPrint(const Table& table, const Source& source) {
    for (const HeaderEntry& entry : table.header) {
        const std::string value = bareName(entry.value);
        if ((entry.keyword == "DEVICE_CLASS" && value == "DISPLAY") ||
            entry.keyword.starts_with("LUMINANCE_XYZ")) {
            return source.refusal("display-file", said("was measured on a display, not on a print"),
                                  said("Give the measurement of a printed sheet"), entry.line, entry.keyword);
        }
        if (entry.keyword.find("MEAS") == std::string::npos) continue;
        for (const char* other : {"EMISSION", "EMISSIVE", "AMBIENT", "TRANSMISSION", "TRANSMISSIVE",
                                  "TRANSMITTANCE", "IRRADIANCE", "RADIANCE"}) {
            if (value != other) continue;
            return source.refusal("not-reflectance", said("was not measured in reflection"),
                                  said("Give the measurement of a printed sheet"), entry.line, entry.keyword);
        }
    }
    return Done{};
}

/// Wavelengths that the header states beat those in the names, which may be rounded.
Result<std::vector<double>> wavelengthsByName(const Table& table, const ColumnRoles& roles,
                                              const Source& source) {
    std::vector<double> nm;
    for (const auto& [wavelength, column] : roles.bands) nm.push_back(wavelength);
    const HeaderEntry* start = findEntry(table.header, "SPECTRAL_START_NM");
    const HeaderEntry* end = findEntry(table.header, "SPECTRAL_END_NM");
    if (start == nullptr || end == nullptr) return nm;
    const auto from = numberFromText(start->value);
    const auto to = numberFromText(end->value);
    const HeaderEntry* bands = findEntry(table.header, "SPECTRAL_BANDS");
    const auto count = bands == nullptr ? static_cast<double>(nm.size()) : numberFromText(bands->value);
    if (!from || !to || std::abs(*from - nm.front()) > 1 || std::abs(*to - nm.back()) > 1 ||
        count != static_cast<double>(nm.size())) {
        return source.refusal("wavelengths-contradictory",
                              said("the header speaks of {} to {} nm, the {} columns of {:.6g} to {:.6g}",
                                   shown(start->value), shown(end->value), nm.size(), nm.front(), nm.back()),
                              said("Export the measurement again"), start->line, start->keyword);
    }
    for (std::size_t i = 0; i < nm.size(); ++i) {
        const double stated =
            *from + (*to - *from) * static_cast<double>(i) / static_cast<double>(nm.size() - 1);
        if (std::abs(stated - nm[i]) > 1) return nm;
        nm[i] = stated;
    }
    return nm;
}

class TableReader {
  public:
    TableReader(const Table& table, ColumnRoles roles, const Source& source)
        : table_(table), roles_(std::move(roles)), source_(source), numbers_(table, source) {}

    Result<Reading> read(std::string format, std::vector<Note> notes) {
        raw_.format = std::move(format);
        raw_.notes = std::move(notes);
        raw_.statements = statementsFromHeader(table_.header, raw_.notes);
        raw_.scale = roles_.scale;
        if (auto normed = takeNorm(); !normed) return std::move(normed).error();
        for (const auto& [name, column] : roles_.device) raw_.deviceColumns.push_back(name);
        raw_.patches.resize(table_.rowLines.size());
        for (std::size_t row = 0; row < raw_.patches.size(); ++row) {
            if (auto taken = takeRow(row); !taken) return std::move(taken).error();
        }
        if (auto taken = takeSpectra(); !taken) return std::move(taken).error();
        takeNames();
        if (numbers_.usedCommas()) {
            raw_.notes.push_back({"decimal-comma", said("the numbers of this file have decimal commas")});
        }
        return settled(std::move(raw_), source_);
    }

  private:
    /// SPECTRAL_NORM is what the spectra count a perfect white as.
    Outcome takeNorm() {
        const HeaderEntry* norm = findEntry(table_.header, "SPECTRAL_NORM");
        if (norm == nullptr || !roles_.hasSpectra()) return Done{};
        const auto value = numberFromText(norm->value);
        if (value == 1.0 || value == 100.0) {
            if (raw_.scale == SpectralScale::notSaid) {
                raw_.scale = value == 1.0 ? SpectralScale::fraction : SpectralScale::percent;
            }
            return Done{};
        }
        return source_.refusal(
            "not-reflectance",
            said("its spectra are scaled to {}, as those of a light are", shown(norm->value)),
            said("Give the measurement of a printed sheet"), norm->line, norm->keyword);
    }

    Outcome takeRow(std::size_t row) {
        RawPatch& patch = raw_.patches[row];
        patch.line = table_.rowLines[row];
        std::array<double, 3> three{};
        if (roles_.hasLab()) {
            if (auto taken = takeThree(row, roles_.lab, three); !taken) return taken;
            patch.lab = colour::Lab{three[0], three[1], three[2]};
        } else if (roles_.hasLch()) {
            if (auto taken = takeThree(row, roles_.lch, three); !taken) return taken;
            const double angle = three[2] * std::numbers::pi / 180;
            patch.lab = colour::Lab{three[0], three[1] * std::cos(angle), three[1] * std::sin(angle)};
        } else if (roles_.hasXyz() && !roles_.hasSpectra()) {
            if (auto taken = takeThree(row, roles_.xyz, three); !taken) return taken;
            patch.xyz = colour::Xyz{three[0], three[1], three[2]};
        }
        for (const auto& [name, column] : roles_.device) {
            const auto number = numbers_.at(row, column);
            if (!number) return number.error();
            patch.device.push_back(*number);
        }
        if (roles_.tone) {
            const auto number = numbers_.at(row, *roles_.tone);
            if (!number) return number.error();
            if (*number < 0 || *number > 100) {
                return source_.refusal(
                    "tone-out-of-range",
                    said("the tone {} is not within 0 to 100 percent", textFromNumber(*number)),
                    said("Correct the tone: 0 is bare paper, 100 is maximum black"), table_.rowLines[row],
                    table_.columns[*roles_.tone]);
            }
            patch.tonePercent = *number;
        }
        for (const auto& [nm, column] : roles_.bands) {
            const auto number = numbers_.at(row, column);
            if (!number) return number.error();
            patch.spectrum.push_back(*number);
        }
        return Done{};
    }

    Outcome takeThree(std::size_t row, const std::array<std::optional<std::size_t>, 3>& columns,
                      std::array<double, 3>& three) {
        for (std::size_t i = 0; i < 3; ++i) {
            const auto number = numbers_.at(row, *columns[i]);
            if (!number) return number.error();
            three[i] = *number;
        }
        return Done{};
    }

    Outcome takeSpectra() {
        if (!roles_.hasSpectra() || raw_.patches.empty()) return Done{};
        std::vector<double> nm;
        if (!roles_.bands.empty()) {
            auto found = wavelengthsByName(table_, roles_, source_);
            if (!found) return found.error();
            nm = *std::move(found);
        } else if (auto taken = takePairs(nm); !taken) {
            return taken;
        }
        const auto grid = gridFromWavelengths(nm, source_, table_.columnsLine, raw_.notes);
        if (!grid) return grid.error();
        raw_.grid = *grid;
        return Done{};
    }

    Outcome takePairs(std::vector<double>& nm) {
        for (std::size_t row = 0; row < raw_.patches.size(); ++row) {
            for (std::size_t i = 0; i < roles_.wavelengthAndValue.size(); ++i) {
                const auto [wavelengthColumn, valueColumn] = roles_.wavelengthAndValue[i];
                const auto wavelength = numbers_.at(row, wavelengthColumn);
                if (!wavelength) return wavelength.error();
                const auto value = numbers_.at(row, valueColumn);
                if (!value) return value.error();
                if (row == 0) nm.push_back(*wavelength);
                if (*wavelength != nm[i]) {
                    return source_.refusal(
                        "wavelengths-vary",
                        said("this row has {:.6g} nm where the first has {:.6g} nm", *wavelength, nm[i]),
                        said("Export all patches with the same wavelengths"), table_.rowLines[row],
                        "SPECTRAL_NM");
                }
                raw_.patches[row].spectrum.push_back(*value);
            }
        }
        return Done{};
    }

    void takeNames() {
        const auto text = [&](std::size_t row, std::size_t column) {
            return cellText(table_.cells[row * table_.columns.size() + column]);
        };
        for (std::size_t row = 0; row < raw_.patches.size(); ++row) {
            std::string& name = raw_.patches[row].name;
            if (roles_.name) name = text(row, *roles_.name);
            if (name.empty() && roles_.id) name = text(row, *roles_.id);
        }
    }

    const Table& table_;
    ColumnRoles roles_;
    const Source& source_;
    NumberReader numbers_;
    RawReading raw_;
};

}  // namespace

Result<Reading> readingFromTable(const Table& table, ShortNames shortNames, std::string format,
                                 std::vector<Note> notes, const Source& source) {
    if (auto checked = refuseWhatIsNoPrint(table, source); !checked) return std::move(checked).error();
    auto roles = columnRoles(table.columns, table.columnsLine, shortNames, source);
    if (!roles) return std::move(roles).error();
    if (!roles->isMeasurement()) {
        return source.refusal(
            "no-measurement",
            roles->device.empty() ? said("has neither spectra nor CIELAB")
                                  : said("holds device values only, nothing measured"),
            said("Export the measurement with spectra (SPECTRAL_NM380 ...) or CIELAB (LAB_L, LAB_A, "
                 "LAB_B)"),
            table.columnsLine);
    }
    if (table.rowLines.size() > kMostPatches) {
        return source.refusal("too-many-patches",
                              said("holds {} rows, more than any test sheet", table.rowLines.size()),
                              said("Check that it is the file you meant"), table.rowLines[kMostPatches]);
    }
    return TableReader(table, *std::move(roles), source).read(std::move(format), std::move(notes));
}

}  // namespace greywright::measure

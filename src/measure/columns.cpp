#include <algorithm>
#include <set>

#include <fmt/format.h>

#include "core/numbers.h"
#include "core/said.h"
#include "measure/table.h"

namespace greywright::measure {
namespace {

bool isDigit(char c) {
    return c >= '0' && c <= '9';
}

bool isLetter(char c) {
    return (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z');
}

Error duplicate(const Source& source, std::size_t line, const std::string& column) {
    return source.refusal("duplicate-column", said("the column {} occurs twice", shown(column)),
                          said("Remove or rename one of the two"), line, column);
}

/// The places of the short names that only together mean something.
struct ShortRoles {
    bool lab = false;
    bool lch = false;
    bool xyz = false;
    bool rgb = false;
    bool cmyk = false;
};

ShortRoles shortRoles(const std::vector<std::string>& columns) {
    std::set<std::string> names;
    std::set<std::string> exact;
    for (const std::string& column : columns) {
        std::string name = upper(column);
        std::erase(name, '*');
        names.insert(name);
        exact.insert(column);
    }
    const auto all = [&](std::initializer_list<const char*> wanted) {
        return std::ranges::all_of(wanted, [&](const char* name) { return names.contains(name); });
    };
    return {.lab = all({"L", "A", "B"}),
            .lch = all({"L", "C", "H"}) && !all({"L", "A", "B"}),
            .xyz = all({"X", "Y", "Z"}),
            .rgb = exact.contains("R") && exact.contains("G") && exact.contains("B"),
            .cmyk = all({"C", "M", "Y", "K"}) && !all({"X", "Z"})};
}

class RoleFinder {
  public:
    RoleFinder(const std::vector<std::string>& columns, std::size_t line, ShortNames shortNames,
               const Source& source)
        : columns_(columns), line_(line), shortNames_(shortNames), source_(source) {
        if (shortNames == ShortNames::yes) short_ = shortRoles(columns);
    }

    Result<ColumnRoles> find() {
        std::set<std::string> seen;
        for (std::size_t i = 0; i < columns_.size(); ++i) {
            const std::string& column = columns_[i];
            if (column.empty()) continue;
            const std::string name = upper(column);
            if (takePair(name, i)) continue;
            // "R, G, B, L, a, b": case alone tells blue from b*.
            const bool oneLetter = column.size() == 1 && shortNames_ == ShortNames::yes;
            if (!seen.insert(oneLetter ? column : name).second) return duplicate(source_, line_, column);
            if (!take(column, i)) return duplicate(source_, line_, column);
        }
        return finished();
    }

  private:
    bool set(std::optional<std::size_t>& role, std::size_t index) {
        if (role) return false;
        role = index;
        return true;
    }

    bool setDevice(const char* name, std::size_t index) {
        const bool taken =
            std::ranges::any_of(roles_.device, [&](const auto& known) { return known.first == name; });
        if (!taken) roles_.device.emplace_back(name, index);
        return !taken;
    }

    bool takePair(const std::string& name, std::size_t index) {
        if (name == "SPECTRAL_NM") {
            pendingWavelength_ = index;
            ++wavelengthColumns_;
            return true;
        }
        const bool fraction = name == "SPECTRAL_DEC";
        if (!fraction && name != "SPECTRAL_PCT") return false;
        mixedScales_ = mixedScales_ || (fraction ? percentSeen_ : fractionSeen_);
        (fraction ? fractionSeen_ : percentSeen_) = true;
        if (pendingWavelength_) {
            roles_.wavelengthAndValue.emplace_back(*pendingWavelength_, index);
            pendingWavelength_.reset();
        } else {
            lonelyValue_ = true;
        }
        return true;
    }

    bool take(const std::string& column, std::size_t index) {
        const std::string name = bareName(column);
        if (const auto nm = wavelengthFromName(column, shortNames_)) {
            roles_.bands.emplace_back(*nm, index);
            return true;
        }
        static constexpr std::array kLab{"LABL", "LABA", "LABB"};
        static constexpr std::array kLch{"", "LABC", "LABH"};
        static constexpr std::array kXyz{"XYZX", "XYZY", "XYZZ"};
        for (std::size_t i = 0; i < 3; ++i) {
            if (name == kLab[i] || name == std::string("CIE") + kLab[i]) return set(roles_.lab[i], index);
            if (name == kXyz[i]) return set(roles_.xyz[i], index);
            if (i > 0 && name == kLch[i]) return set(roles_.lch[i], index);
        }
        if (name == "SAMPLEID" || name == "ID") return set(roles_.id, index);
        if (name == "SAMPLENAME" || name == "NAME" || name == "PATCH" || name == "SAMPLE") {
            return set(roles_.name, index);
        }
        if (name == "TONE" || name == "TONEPERCENT") return set(roles_.tone, index);
        if (name == "GREY" || name == "GRAY") return setDevice("GREY", index);
        if (name == "K") return setDevice(short_.cmyk ? "CMYK_K" : "K", index);
        for (const char* device : {"CMYK_C", "CMYK_M", "CMYK_Y", "CMYK_K", "RGB_R", "RGB_G", "RGB_B"}) {
            if (name == bareName(device)) return setDevice(device, index);
        }
        return shortNames_ == ShortNames::no || takeShort(column, index);
    }

    bool takeShort(const std::string& column, std::size_t index) {
        std::string name = upper(column);
        std::erase(name, '*');
        if (name.starts_with("CIE")) name = std::string(trimmed(name.substr(3)));
        if (name == "LSTAR" || name == "ASTAR" || name == "BSTAR") name.resize(1);
        if (short_.rgb && (column == "R" || column == "G" || column == "B")) {
            return setDevice(column == "R" ? "RGB_R" : column == "G" ? "RGB_G" : "RGB_B", index);
        }
        if (name == "L" && short_.lch) return set(roles_.lch[0], index);
        if (name == "C" && short_.lch) return set(roles_.lch[1], index);
        if (name == "H" && short_.lch) return set(roles_.lch[2], index);
        if (name == "L") return set(roles_.lab[0], index);
        if (name == "A") return set(roles_.lab[1], index);
        if (name == "B") return set(roles_.lab[2], index);
        if (short_.cmyk && name == "C") return setDevice("CMYK_C", index);
        if (short_.cmyk && name == "M") return setDevice("CMYK_M", index);
        if (short_.cmyk && name == "Y") return setDevice("CMYK_Y", index);
        if (short_.xyz && name == "X") return set(roles_.xyz[0], index);
        if (short_.xyz && name == "Y") return set(roles_.xyz[1], index);
        if (short_.xyz && name == "Z") return set(roles_.xyz[2], index);
        return true;
    }

    Result<ColumnRoles> finished() {
        const bool pairsBroken = lonelyValue_ || pendingWavelength_.has_value() || mixedScales_ ||
                                 wavelengthColumns_ != roles_.wavelengthAndValue.size();
        const bool both = !roles_.bands.empty() && !roles_.wavelengthAndValue.empty();
        if (pairsBroken || both) {
            return source_.refusal("spectral-columns-mixed",
                                   said("its spectral columns do not form pairs of SPECTRAL_NM and one of "
                                        "SPECTRAL_DEC or SPECTRAL_PCT"),
                                   said("Export the spectra in one way only"), line_, "SPECTRAL_NM");
        }
        if (percentSeen_) roles_.scale = SpectralScale::percent;
        if (fractionSeen_) roles_.scale = SpectralScale::fraction;
        if (!roles_.lch[0]) roles_.lch[0] = roles_.lab[0];
        // A handful of numbered columns are no spectrum (R_1000, 300 ...).
        if (roles_.bands.size() < 4) roles_.bands.clear();
        std::ranges::sort(roles_.bands);
        for (std::size_t i = 1; i < roles_.bands.size(); ++i) {
            if (roles_.bands[i].first == roles_.bands[i - 1].first) {
                return duplicate(source_, line_, columns_[roles_.bands[i].second]);
            }
        }
        return std::move(roles_);
    }

    const std::vector<std::string>& columns_;
    std::size_t line_;
    ShortNames shortNames_;
    const Source& source_;
    ShortRoles short_ = {};
    ColumnRoles roles_ = {};
    std::optional<std::size_t> pendingWavelength_ = {};
    std::size_t wavelengthColumns_ = 0;
    bool fractionSeen_ = false;
    bool percentSeen_ = false;
    bool mixedScales_ = false;
    bool lonelyValue_ = false;
};

}  // namespace

std::optional<double> wavelengthFromName(std::string_view name, ShortNames shortNames) {
    std::string text = upper(trimmed(name));
    std::erase_if(text, [](char c) { return c == ' ' || c == '[' || c == ']' || c == '(' || c == ')'; });
    std::string_view rest = text;
    bool marked = false;
    for (const std::string_view prefix :
         {"SPECTRAL_NM_", "SPECTRAL_NM", "SPECTRAL_", "SPECTRUM_", "SPEC_", "NM_", "NM", "R_"}) {
        if (!rest.starts_with(prefix)) continue;
        rest.remove_prefix(prefix.size());
        marked = true;
        break;
    }
    for (const std::string_view suffix : {"_NM", "NM"}) {
        if (!rest.ends_with(suffix)) continue;
        rest.remove_suffix(suffix.size());
        marked = true;
        break;
    }
    if (!marked && shortNames == ShortNames::no) return std::nullopt;
    if (rest.empty() || !isDigit(rest.front()) || std::ranges::any_of(rest, isLetter)) return std::nullopt;
    const auto nm = numberFromText(rest);
    if (!nm || *nm < 200 || *nm > 2500) return std::nullopt;
    return nm;
}

Result<ColumnRoles> columnRoles(const std::vector<std::string>& columns, std::size_t line,
                                ShortNames shortNames, const Source& source) {
    return RoleFinder(columns, line, shortNames, source).find();
}

}  // namespace greywright::measure

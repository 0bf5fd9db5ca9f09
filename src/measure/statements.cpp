#include "measure/statements.h"

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>

#include "core/numbers.h"
#include "core/said.h"
#include "measure/text.h"

namespace greywright::measure {
namespace {

bool isWordCharacter(char c) {
    return (c >= '0' && c <= '9') || (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z');
}

/// Which conditions a statement leaves possible, one bit for each of M0..M3; 0 = it says nothing.
using Possible = unsigned;
constexpr Possible kM0 = 1;
constexpr Possible kM1 = 2;
constexpr Possible kM2 = 4;
constexpr Possible kM3 = 8;

Possible possibleFrom(Condition condition) {
    return condition == Condition::unknown ? 0 : 1U << (static_cast<unsigned>(condition) - 1);
}

struct Evidence {
    Possible possible = 0;
    std::string said = {};
};

/// What a filter tells: D50 is the filter of M1, a UV cut that of M2, no filter leaves M0 and M1 open.
Possible possibleFromFilter(std::string_view value) {
    if (const Condition named = conditionNamedIn(value); named != Condition::unknown) {
        return possibleFrom(named);
    }
    const std::string name = bareName(value);
    if (name == "D50") return kM1;
    if (name == "A") return kM0;
    if (name == "UV" || name == "UVCUT" || name == "UVEXCLUDED" || name == "UVFILTER") return kM2;
    if (name.starts_with("POL")) return kM3;
    if (name == "NO" || name == "NONE" || name.empty()) return kM0 | kM1;
    return 0;
}

/// "Illumination=D50 ObserverAngle=2degree Filter=no": the value behind `key`, up to a blank, tab, comma or
/// semicolon.
std::optional<std::string> pairValue(std::string_view text, std::string_view key) {
    const std::string capitals = upper(text);
    for (std::size_t at = capitals.find(key); at != std::string::npos; at = capitals.find(key, at + 1)) {
        std::size_t i = at + key.size();
        if ((at > 0 && isWordCharacter(capitals[at - 1])) || i >= text.size() || text[i] != '=') continue;
        const std::size_t end = std::min(text.find_first_of(" \t,;", ++i), text.size());
        return std::string(text.substr(i, end - i));
    }
    return std::nullopt;
}

std::string quote(const HeaderEntry& entry) {
    return fmt::format("{} {}", entry.keyword, shown(entry.value));
}

class Gatherer {
  public:
    void take(const HeaderEntry& entry) {
        const std::string name = bareName(entry.keyword);
        if (name == "MEASUREMENTCONDITION" || name == "MEASUREMENTCONDITIONS" || name == "MCONDITION" ||
            name == "MEASUREMENTGEOMETRY") {
            add(possibleFrom(conditionNamedIn(entry.value)), entry);
        } else if (name == "FILTER") {
            add(possibleFromFilter(entry.value), entry);
        } else if (name == "POLARIZATION" || name == "POLARISATION") {
            const std::string value = bareName(entry.value);
            if (value == "YES" || value == "TRUE" || value == "ON") add(kM3, entry);
        } else if (name == "MEASUREMENTSOURCE") {
            takeSource(entry);
        } else if (name == "ILLUMINATIONNAME" || name == "ILLUMINANT") {
            white.addIlluminant(entry.value, entry.line, entry.keyword);
        } else if (name == "OBSERVERANGLE" || name == "OBSERVER") {
            white.addObserver(entry.value, entry.line, entry.keyword);
        } else if (name == "WEIGHTINGFUNCTION") {
            takeWeighting(entry);
        } else {
            takeFreeText(entry);
        }
    }

    Condition condition(std::vector<Note>& notes) const {
        Possible possible = kM0 | kM1 | kM2 | kM3;
        std::string stated;
        for (const Evidence& evidence : evidence_) {
            possible &= evidence.possible;
            if (stated.size() < 300) stated += (stated.empty() ? "" : "; ") + evidence.said;
        }
        constexpr const char* kAsk = toSay("state it as M0, M1, M2 or M3 if you know it");
        if (possible == 0) {
            notes.push_back({"condition-contradictory",
                             said("the file contradicts itself about the measurement condition ({}); "
                                  "it is treated as unknown: {}",
                                  stated, translated(kAsk))});
            return Condition::unknown;
        }
        for (const Condition each : {Condition::m0, Condition::m1, Condition::m2, Condition::m3}) {
            if (possible != possibleFrom(each)) continue;
            for (const Evidence& other : freeText_) {
                if (other.possible == possible) continue;
                notes.push_back({"condition-text-differs",
                                 said("the file states {} ({}), though a text in it names another ({})",
                                      textFromCondition(each), stated, other.said)});
                break;
            }
            return each;
        }
        if (!freeText_.empty()) {
            notes.push_back({"condition-only-in-text",
                             said("only free text names the measurement condition ({}); it is treated "
                                  "as unknown: {}",
                                  freeText_.front().said, translated(kAsk))});
        } else {
            notes.push_back(
                {"condition-not-stated",
                 said("the file does not state the measurement condition: {}", translated(kAsk))});
        }
        return Condition::unknown;
    }

    WhiteStatement white = {};

  private:
    void add(Possible possible, const HeaderEntry& entry) {
        if (possible != 0) evidence_.push_back({possible, quote(entry)});
    }

    void takeSource(const HeaderEntry& entry) {
        bool paired = false;
        for (const char* key : {"MEASUREMENTCONDITION", "MEASUREMENT_CONDITION"}) {
            if (const auto value = pairValue(entry.value, key)) {
                add(possibleFrom(conditionNamedIn(*value)), entry);
                paired = true;
            }
        }
        if (const auto value = pairValue(entry.value, "FILTER")) {
            add(possibleFromFilter(*value), entry);
            paired = true;
        }
        for (const char* key : {"ILLUMINATION", "ILLUMINANT"}) {
            if (const auto value = pairValue(entry.value, key)) {
                white.addIlluminant(*value, entry.line, entry.keyword);
                paired = true;
            }
        }
        for (const char* key : {"OBSERVERANGLE", "OBSERVER"}) {
            if (const auto value = pairValue(entry.value, key)) {
                white.addObserver(*value, entry.line, entry.keyword);
                paired = true;
            }
        }
        if (paired) return;
        if (bareName(entry.value) == "A") {
            add(kM0, entry);
        } else {
            add(possibleFrom(conditionNamedIn(entry.value)), entry);
        }
    }

    void takeWeighting(const HeaderEntry& entry) {
        const std::size_t comma = entry.value.find(',');
        if (comma == std::string::npos) return;
        const std::string_view value = trimmed(std::string_view(entry.value).substr(comma + 1));
        const std::string kind = bareName(std::string_view(entry.value).substr(0, comma));
        if (kind == "ILLUMINANT") white.addIlluminant(value, entry.line, entry.keyword);
        if (kind == "OBSERVER") white.addObserver(value, entry.line, entry.keyword);
    }

    void takeFreeText(const HeaderEntry& entry) {
        const Possible possible = possibleFrom(conditionNamedIn(entry.value));
        if (possible != 0) freeText_.push_back({possible, quote(entry)});
    }

    std::vector<Evidence> evidence_;
    std::vector<Evidence> freeText_;
};

}  // namespace

Condition conditionNamedIn(std::string_view text) {
    Condition found = Condition::unknown;
    for (std::size_t i = 0; i + 1 < text.size(); ++i) {
        if ((text[i] != 'M' && text[i] != 'm') || text[i + 1] < '0' || text[i + 1] > '3') continue;
        // "115 g/m2" names no condition.
        if (i > 0 && (isWordCharacter(text[i - 1]) || text[i - 1] == '/')) continue;
        if (i + 2 < text.size() && isWordCharacter(text[i + 2])) continue;
        const auto named = static_cast<Condition>(text[i + 1] - '0' + 1);
        if (found != Condition::unknown && found != named) return Condition::unknown;
        found = named;
    }
    return found;
}

bool WhiteStatement::mayBeD50TwoDegrees() const {
    return !contradictory && (illuminant.empty() || illuminant == "D50") &&
           (!observerDegrees || *observerDegrees == 2);
}

bool WhiteStatement::isD50TwoDegrees() const {
    return !contradictory && illuminant == "D50" && observerDegrees == 2.0;
}

std::string WhiteStatement::text() const {
    if (contradictory) return said("contradictory statements");
    std::string out = illuminant.empty() ? said("an unnamed illuminant") : illuminant;
    out += observerDegrees ? said(", {} degrees", *observerDegrees) : said(", observer not named");
    return out;
}

void WhiteStatement::addIlluminant(std::string_view value, std::size_t atLine, std::string_view atField) {
    std::string name = bareName(value);
    if (name.starts_with("CIE")) name.erase(0, 3);
    if (name.starts_with("ILLUMINANT")) name.erase(0, 10);
    if (name == "D5000" || name == "5000K") name = "D50";
    if (name.empty() || name == "UNKNOWN" || name == "NA" || name == "NONE" || name == "NO") return;
    if (!illuminant.empty() && illuminant != name) contradictory = true;
    illuminant = name.substr(0, 20);
    if (field.empty() || illuminant != "D50" || contradictory) {
        line = atLine;
        field = atField;
    }
}

void WhiteStatement::addObserver(std::string_view value, std::size_t atLine, std::string_view atField) {
    std::optional<double> degrees;
    if (value.find("1931") != std::string_view::npos) degrees = 2;
    if (value.find("1964") != std::string_view::npos) degrees = 10;
    if (!degrees) {
        const std::size_t first = value.find_first_of("0123456789");
        if (first == std::string_view::npos) return;
        const std::size_t end = std::min(value.find_first_not_of("0123456789.", first), value.size());
        std::string_view digits = value.substr(first, end - first);
        while (digits.ends_with('.')) digits.remove_suffix(1);
        degrees = numberFromText(digits);
    }
    if (!degrees) return;
    if (observerDegrees && *observerDegrees != *degrees) contradictory = true;
    observerDegrees = degrees;
    if (field.empty() || *degrees != 2 || contradictory) {
        line = atLine;
        field = atField;
    }
}

const HeaderEntry* findEntry(std::span<const HeaderEntry> header, std::string_view keyword) {
    const auto found = std::find_if(header.rbegin(), header.rend(),
                                    [&](const HeaderEntry& entry) { return entry.keyword == keyword; });
    return found == header.rend() ? nullptr : &*found;
}

Statements statementsFromHeader(std::span<const HeaderEntry> header, std::vector<Note>& notes) {
    Gatherer gatherer;
    Statements statements;
    for (const HeaderEntry& entry : header) {
        if (entry.keyword == "KEYWORD") continue;
        gatherer.take(entry);
    }
    for (const char* keyword : {"INSTRUMENTATION", "INSTRUMENT"}) {
        const HeaderEntry* entry = findEntry(header, keyword);
        if (entry != nullptr && statements.instrument.empty()) statements.instrument = entry->value;
    }
    // CREATED may come twice; the first is the file's own.
    const auto created =
        std::ranges::find_if(header, [](const HeaderEntry& entry) { return entry.keyword == "CREATED"; });
    if (created != header.end()) statements.created = created->value;
    statements.condition = gatherer.condition(notes);
    statements.white = gatherer.white;
    return statements;
}

}  // namespace greywright::measure

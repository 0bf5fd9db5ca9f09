#include "measure/lamp_words.h"

#include <algorithm>
#include <array>
#include <initializer_list>
#include <vector>

#include "measure/lamp_points.h"
#include "measure/text.h"

namespace greywright::measure {
namespace {

constexpr std::size_t kMostWords = 1000;  // characters of a line that are looked at

void replaceAll(std::string& text, std::string_view from, std::string_view to) {
    for (std::size_t at = text.find(from); at != std::string::npos; at = text.find(from, at + to.size())) {
        text.replace(at, from.size(), to);
    }
}

/// Capitals, with the Greek letters and signs of units spelt in ASCII.
std::string plain(std::string_view text) {
    std::string out = upper(text.substr(0, kMostWords));
    static constexpr std::array<std::array<std::string_view, 2>, 9> kSpelling{{
        {"\xC2\xB5", "U"},         // micro sign
        {"\xCE\xBC", "U"},         // small mu
        {"\xCE\xBB", "LAMBDA"},    // small lambda
        {"\xCF\x84", "TAU"},       // small tau
        {"\xC3\x85", "ANGSTROM"},  // A with ring
        {"\xE2\x84\xAB", "ANGSTROM"},
        {"\xE2\x81\xBB", "-"},  // superscript minus
        {"\xE2\x88\x92", "-"},  // minus sign
        {"\xC2\xB9", "1"},      // superscript one
    }};
    for (const auto& [from, to] : kSpelling) replaceAll(out, from, to);
    return out;
}

bool isWordCharacter(char c) {
    return (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || static_cast<unsigned char>(c) >= 0x80;
}

std::vector<std::string_view> wordsOf(std::string_view text) {
    std::vector<std::string_view> words;
    std::size_t i = 0;
    while (i < text.size()) {
        std::size_t end = i;
        while (end < text.size() && isWordCharacter(text[end])) ++end;
        if (end > i) words.push_back(text.substr(i, end - i));
        i = end + 1;
    }
    return words;
}

bool hasAny(const std::vector<std::string_view>& words, std::initializer_list<std::string_view> wanted) {
    return std::ranges::any_of(
        words, [&](std::string_view word) { return std::ranges::find(wanted, word) != wanted.end(); });
}

bool hasBeginning(const std::vector<std::string_view>& words,
                  std::initializer_list<std::string_view> wanted) {
    return std::ranges::any_of(words, [&](std::string_view word) {
        return std::ranges::any_of(wanted, [&](std::string_view w) { return word.starts_with(w); });
    });
}

bool contains(std::string_view text, std::initializer_list<std::string_view> pieces) {
    return std::ranges::any_of(
        pieces, [&](std::string_view piece) { return text.find(piece) != std::string_view::npos; });
}

}  // namespace

Ordinate ordinateIn(std::string_view text) {
    using enum Ordinate::Kind;
    const std::string spelt = plain(text);
    const auto words = wordsOf(spelt);
    Ordinate found;
    const bool percent = contains(spelt, {"%"}) || hasAny(words, {"PERCENT", "PCT"});
    if (percent) found.scale = SpectralScale::percent;
    if (!percent && hasAny(words, {"FRACTION", "FRACTIONAL", "DECIMAL"})) {
        found.scale = SpectralScale::fraction;
    }
    for (const char* quantity : {"irradiance", "radiance", "exitance", "intensity", "flux"}) {
        if (found.quantity.empty() && hasAny(words, {upper(quantity)})) found.quantity = quantity;
    }
    if (hasAny(words, {"COUNTS", "COUNT", "CTS", "ADC", "ADU", "RAW", "UNCALIBRATED"})) {
        found.kind = counts;
    } else if (hasBeginning(words, {"UMOL", "NMOL", "MMOL", "MICROMOL", "PHOTONS"}) ||
               hasAny(words, {"PHOTON", "MOL", "MOLES", "QUANTA", "PPFD"})) {
        found.kind = photons;
    } else if (hasBeginning(words, {"TRANSMITT", "TRANSMISS"}) || hasAny(words, {"TAU"}) ||
               (percent && hasAny(words, {"T"}))) {
        found.kind = transmittance;
    } else if (hasBeginning(words, {"REFLECT", "ABSORPT", "ABSORB", "EXTINCTION"}) ||
               hasAny(words, {"DENSITY", "OD", "SENSITIVITY", "RESPONSIVITY", "EFFICIENCY"}) ||
               (percent && hasAny(words, {"R"}))) {
        // A spectral power density is a power.
        const bool isPower = hasAny(words, {"POWER", "FLUX", "W", "WATT", "WATTS", "MW", "UW", "ENERGY"});
        found.kind = isPower ? power : other;
    } else if (!found.quantity.empty() ||
               hasBeginning(words, {"WATT", "MILLIWATT", "MICROWATT", "EMISSION"}) ||
               hasAny(words,
                      {"W", "MW", "UW", "NW", "WM", "MWM", "UWCM", "POWER", "SPD", "ENERGY", "RADIANT"})) {
        found.kind = power;
    }
    return found;
}

bool speaksOfSpectrum(std::string_view key, std::string_view line) {
    const std::string spelt = plain(line);
    if (contains(spelt, {"NM-1", "/NM", "NM^-1", "PER NM", "NM**-1"})) return true;
    const std::string bare = bareName(key.substr(0, kMostWords));
    return contains(bare, {"UNIT", "QUANTITY", "ORDINATE", "YAXIS", "YLABEL", "DATATYPE", "SIGNAL",
                           "SPECTRALDATA", "SPECTRUMTYPE", "SPECTRALTYPE"});
}

WavelengthUnit wavelengthUnitIn(std::string_view heading) {
    const std::string spelt = plain(heading);
    const auto words = wordsOf(spelt);
    if (hasAny(words, {"NM"}) || hasBeginning(words, {"NANOMET"})) return WavelengthUnit::nanometres;
    if (hasAny(words, {"UM"}) || hasBeginning(words, {"MICROMET", "MICRON"})) {
        return WavelengthUnit::micrometres;
    }
    const bool foreign = hasBeginning(words, {"ANGSTR", "WAVENUMBER", "FREQUENC"}) ||
                         hasAny(words, {"EV", "THZ", "HZ", "CM", "MM"});
    const bool otherUnit =
        hasBeginning(words, {"WAVELENGTH", "LAMBDA"}) && spelt.find_first_of("([") != std::string::npos;
    return foreign || otherUnit ? WavelengthUnit::foreign : WavelengthUnit::notSaid;
}

bool namesWavelengths(std::string_view cell) {
    const auto spelt = plain(cell);
    const auto words = wordsOf(spelt);
    return hasBeginning(
               words, {"WAVELENGTH", "WAVENUMBER", "FREQUENC", "LAMBDA", "NANOMET", "MICROMET", "WELLENL"}) ||
           hasAny(words, {"WL", "NM", "UM", "WAVE", "WVL", "ANGSTROM"});
}

std::optional<WavelengthCell> wavelengthFromCell(std::string_view cell) {
    MarkedNumbers numbers;
    WavelengthCell found;
    if (cell.size() > 80) return std::nullopt;
    if (const auto whole = numbers.read(cell)) {
        found.number = *whole;
        found.digits = cell;
    } else {
        const std::string spelt = plain(cell);
        const std::size_t start = spelt.find_first_of("0123456789");
        if (start == std::string::npos) return std::nullopt;
        const std::size_t end = std::min(spelt.find_first_not_of("0123456789.,", start), spelt.size());
        std::string unit(trimmed(std::string_view(spelt).substr(end)));
        std::erase_if(unit, [](char c) { return c == '[' || c == ']' || c == '(' || c == ')' || c == ' '; });
        if (unit != "NM" && unit != "UM") return std::nullopt;
        found.digits = spelt.substr(start, end - start);
        const auto number = numbers.read(found.digits);
        if (!number) return std::nullopt;
        found.number = *number;
        found.label = spelt.substr(0, start) + unit;
    }
    if (found.number <= 0) return std::nullopt;
    return found;
}

bool isBlockMarker(std::string_view line) {
    if (line.size() > 120) return false;
    const std::string spelt = plain(line);
    const auto words = wordsOf(spelt);
    return words.size() <= 6 && hasAny(words, {"BEGIN", "END"});
}

}  // namespace greywright::measure

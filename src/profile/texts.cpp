#include "profile/texts.h"

#include <algorithm>
#include <array>
#include <chrono>
#include <cstdint>
#include <utility>

#include "core/said.h"

namespace greywright::profile {
namespace {

/// How many bytes a first byte announces, what it holds itself, and the least that so many bytes may spell.
struct Lead {
    std::size_t length = 0;
    char32_t bits = 0;
    char32_t least = 0;
};

Lead leadOf(unsigned char byte) {
    if (byte < 0x80) return {1, byte, 0};
    if (byte >= 0xC0 && byte < 0xE0) return {2, static_cast<char32_t>(byte & 0x1F), 0x80};
    if (byte >= 0xE0 && byte < 0xF0) return {3, static_cast<char32_t>(byte & 0x0F), 0x800};
    if (byte >= 0xF0 && byte < 0xF8) return {4, static_cast<char32_t>(byte & 0x07), 0x10000};
    return {};
}

bool isCharacter(char32_t code) {
    const bool control = code < 0x20 || (code >= 0x7F && code < 0xA0);
    return !control && !(code >= 0xD800 && code < 0xE000) && code <= 0x10FFFF;
}

void put(std::string& out, std::uint32_t number, int bytes) {
    for (int shift = 8 * (bytes - 1); shift >= 0; shift -= 8) {
        out += static_cast<char>((number >> static_cast<unsigned>(shift)) & 0xFFU);
    }
}

Error refused(std::string code, std::string what, std::string field, std::string next) {
    return {.kind = ErrorKind::badInput,
            .code = std::move(code),
            .what = std::move(what),
            .where = {.field = std::move(field)},
            .next = std::move(next)};
}

bool isMoment(const Moment& moment) {
    const auto within = [](int value, int least, int most) { return value >= least && value <= most; };
    if (!within(moment.year, 1, 9999) || !within(moment.month, 1, 12) || !within(moment.day, 1, 31))
        return false;
    const std::chrono::year_month_day day{std::chrono::year(moment.year),
                                          std::chrono::month(static_cast<unsigned>(moment.month)),
                                          std::chrono::day(static_cast<unsigned>(moment.day))};
    return day.ok() && within(moment.hour, 0, 23) && within(moment.minute, 0, 59) &&
           within(moment.second, 0, 59);
}

}  // namespace

std::optional<std::u16string> utf16From(std::string_view utf8) {
    std::u16string out;
    while (!utf8.empty()) {
        const Lead lead = leadOf(static_cast<unsigned char>(utf8.front()));
        if (lead.length == 0 || lead.length > utf8.size()) return std::nullopt;
        char32_t code = lead.bits;
        for (const char next : utf8.substr(1, lead.length - 1)) {
            const auto byte = static_cast<unsigned char>(next);
            if ((byte & 0xC0U) != 0x80U) return std::nullopt;
            code = code << 6U | (byte & 0x3FU);
        }
        if (code < lead.least || !isCharacter(code)) return std::nullopt;
        if (code < 0x10000) {
            out += static_cast<char16_t>(code);
        } else {
            out += static_cast<char16_t>(0xD800 + ((code - 0x10000) >> 10U));
            out += static_cast<char16_t>(0xDC00 + ((code - 0x10000) & 0x3FFU));
        }
        utf8.remove_prefix(lead.length);
    }
    return out;
}

std::string asciiFrom(std::u16string_view text) {
    std::string out;
    for (const char16_t unit : text) {
        if (unit < 0x7F) {
            out += static_cast<char>(unit);
        } else if (unit == u'\u00A9') {
            out += "(c)";
        } else if (unit < 0xDC00 || unit > 0xDFFF) {  // the second half of a pair is not shown twice
            out += '?';
        }
    }
    return out;
}

std::string textDescription(std::u16string_view text) {
    constexpr std::size_t kScriptBytes = 67;
    const std::string ascii = asciiFrom(text);
    const bool isAscii = std::ranges::all_of(text, [](char16_t unit) { return unit < 0x7F; });
    std::string out = "desc";
    put(out, 0, 4);
    put(out, static_cast<std::uint32_t>(ascii.size() + 1), 4);
    out += ascii;
    out += '\0';
    put(out, 0, 4);  // no language
    if (isAscii) {
        put(out, 0, 4);
    } else {
        put(out, static_cast<std::uint32_t>(text.size() + 1), 4);
        for (const char16_t unit : text) put(out, unit, 2);
        put(out, 0, 2);
    }
    out.append(2 + 1 + kScriptBytes, '\0');
    return out;
}

std::optional<Error> flawOf(const Description& description) {
    const std::array<std::pair<const std::string*, std::string>, 3> texts{{
        {&description.name, "name"},
        {&description.copyright, "copyright"},
        {&description.condition, "condition"},
    }};
    for (const auto& [text, field] : texts) {
        if (text->find_first_not_of(' ') == std::string::npos) {
            return refused("text-empty", said("A profile needs a text here"), field, said("Give it one"));
        }
        if (!utf16From(*text)) {
            return refused("text-not-utf8", said("The text is not UTF-8 or holds a control character"), field,
                           said("Give it in UTF-8, on one line"));
        }
    }
    const std::string& print = description.readingsSha256;
    if (print.size() != 64 || print.find_first_not_of("0123456789abcdef") != std::string::npos) {
        return refused("fingerprint-not-sha256",
                       said("The fingerprint is not 64 lower-case hexadecimal digits"), "readings",
                       said("Give the SHA-256 of the readings"));
    }
    if (!isMoment(description.made)) {
        return refused("moment-out-of-range", said("There is no such day or time"), "made",
                       said("Give a date of the calendar and a time of day"));
    }
    return std::nullopt;
}

}  // namespace greywright::profile

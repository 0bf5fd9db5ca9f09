#include "measure/text.h"

#include <algorithm>
#include <array>

#include <fmt/format.h>

#include "core/said.h"
#include "measure/reading.h"

namespace greywright::measure {
namespace {

bool isBlank(char c) {
    return c == ' ' || c == '\t';
}

bool isControl(char c) {
    const auto byte = static_cast<unsigned char>(c);
    return byte < 0x20 || byte == 0x7F;
}

/// Length of the UTF-8 character at the front, 0 when it is none (overlong forms and surrogates included).
std::size_t characterLength(std::string_view text) {
    const auto at = [&](std::size_t i) { return static_cast<unsigned char>(text[i]); };
    const unsigned char lead = at(0);
    if (lead < 0x80) return 1;
    const std::size_t length = lead >= 0xF0 ? 4 : lead >= 0xE0 ? 3 : 2;
    if (lead < 0xC2 || lead > 0xF4 || text.size() < length) return 0;
    for (std::size_t i = 1; i < length; ++i) {
        if ((at(i) & 0xC0) != 0x80) return 0;
    }
    if ((lead == 0xE0 && at(1) < 0xA0) || (lead == 0xED && at(1) > 0x9F) || (lead == 0xF0 && at(1) < 0x90) ||
        (lead == 0xF4 && at(1) > 0x8F)) {
        return 0;
    }
    return length;
}

bool isUtf8(std::string_view text) {
    while (!text.empty()) {
        const std::size_t length = characterLength(text);
        if (length == 0) return false;
        text.remove_prefix(length);
    }
    return true;
}

std::string utf8FromLatin1(std::string_view bytes) {
    std::string text;
    text.reserve(bytes.size() + bytes.size() / 8);
    for (const char c : bytes) {
        const auto byte = static_cast<unsigned char>(c);
        if (byte < 0x80) {
            text += c;
        } else {
            text += static_cast<char>(0xC0 | (byte >> 6));
            text += static_cast<char>(0x80 | (byte & 0x3F));
        }
    }
    return text;
}

struct Signature {
    std::size_t offset;
    std::string_view bytes;
    const char* kind;
};

// Source: the signatures that the formats' own specifications give.
constexpr std::array kSignatures{
    Signature{0, std::string_view("PK\x03\x04", 4), "an archive or a spreadsheet file"},
    Signature{0, std::string_view("\xD0\xCF\x11\xE0", 4), "an office document"},
    Signature{0, std::string_view("%PDF-", 5), "a PDF document"},
    Signature{0, std::string_view("\x89PNG", 4), "a PNG picture"},
    Signature{0, std::string_view("\xFF\xD8\xFF", 3), "a JPEG picture"},
    Signature{0, std::string_view("II*\0", 4), "a TIFF picture"},
    Signature{0, std::string_view("MM\0*", 4), "a TIFF picture"},
    Signature{0, std::string_view("\x1F\x8B", 2), "a compressed file"},
    Signature{36, std::string_view("acsp", 4), "an ICC profile"},
};

}  // namespace

std::string_view textFromCondition(Condition condition) {
    switch (condition) {
        case Condition::m0:
            return "M0";
        case Condition::m1:
            return "M1";
        case Condition::m2:
            return "M2";
        case Condition::m3:
            return "M3";
        case Condition::unknown:
            break;
    }
    return "unknown";
}

Error Source::refusal(std::string code, std::string what, std::string next, std::size_t line,
                      std::string field) const {
    return {.code = std::move(code),
            .what = std::move(what),
            .where = {.path = path, .line = line, .field = std::move(field)},
            .next = std::move(next)};
}

std::optional<Line> LineCursor::next() {
    if (rest_.empty()) return std::nullopt;
    const std::size_t end = std::min(rest_.find_first_of("\r\n"), rest_.size());
    const Line line{rest_.substr(0, end), ++number_};
    rest_.remove_prefix(end);
    if (!rest_.empty()) {
        // "\r\r\n" is one line end (a text file translated twice), "\r\r" alone is two.
        rest_.remove_prefix(rest_.starts_with("\r\r\n") ? 3 : rest_.starts_with("\r\n") ? 2 : 1);
    }
    return line;
}

Result<std::string> textFromBytes(std::string_view bytes, const Source& source, std::vector<Note>& notes) {
    if (bytes.size() > kMostBytes) {
        return source.refusal("file-too-large",
                              said("has {} bytes, more than a measurement file can have", bytes.size()),
                              said("Check that it is the file you meant"));
    }
    if (bytes.starts_with("\xFF\xFE") || bytes.starts_with("\xFE\xFF")) {
        return source.refusal("encoding-utf16", said("is written in UTF-16"),
                              said("Save it as plain text or UTF-8"));
    }
    for (const Signature& signature : kSignatures) {
        if (bytes.size() > signature.offset && bytes.substr(signature.offset).starts_with(signature.bytes)) {
            return source.refusal("not-text", said("is {}, not a measurement file", signature.kind),
                                  said("Export the measurement as CGATS text, CxF3 or CSV"));
        }
    }
    if (bytes.starts_with("\xEF\xBB\xBF")) bytes.remove_prefix(3);
    while (!bytes.empty() && bytes.back() == '\0') bytes.remove_suffix(1);
    if (bytes.find_first_not_of(" \t\r\n\f\v\x1A") == std::string_view::npos) {
        return source.refusal("file-empty", said("holds nothing"), said("Export the measurement again"));
    }
    if (bytes.find('\0') != std::string_view::npos) {
        return source.refusal("not-text", said("holds NUL bytes, so it is not a text file"),
                              said("Export the measurement as CGATS text, CxF3 or CSV"));
    }
    if (isUtf8(bytes)) return std::string(bytes);
    notes.push_back(
        {"encoding-latin1", said("the text is not UTF-8; it was taken for ISO 8859-1 (Latin 1)")});
    return utf8FromLatin1(bytes);
}

std::string upper(std::string_view text) {
    std::string out(text);
    for (char& c : out) {
        if (c >= 'a' && c <= 'z') c = static_cast<char>(c - 'a' + 'A');
    }
    return out;
}

std::string_view trimmed(std::string_view text) {
    while (!text.empty() && (isBlank(text.front()) || isControl(text.front()))) text.remove_prefix(1);
    while (!text.empty() && (isBlank(text.back()) || isControl(text.back()))) text.remove_suffix(1);
    return text;
}

std::string bareName(std::string_view text) {
    std::string out = upper(text);
    std::erase_if(out, [](char c) { return !((c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9')); });
    return out;
}

std::string cleanText(std::string_view text) {
    std::string out(trimmed(text));
    for (std::size_t i = 0; i < out.size(); ++i) {
        if (isControl(out[i])) out[i] = ' ';
        // U+0080 .. U+009F: the other set of control characters.
        if (out[i] == '\xC2' && i + 1 < out.size() && static_cast<unsigned char>(out[i + 1]) < 0xA0) {
            out[i] = out[i + 1] = ' ';
        }
    }
    return std::string(trimmed(out));
}

std::string shown(std::string_view text) {
    constexpr std::size_t kMost = 40;
    std::string out = cleanText(text.substr(0, 4 * kMost));
    if (out.size() > kMost) {
        std::size_t cut = kMost;
        while (cut > 0 && (static_cast<unsigned char>(out[cut]) & 0xC0) == 0x80) --cut;
        out.resize(cut);
        out += "...";
    }
    return '"' + out + '"';
}

std::string cellText(std::string_view cell) {
    if (cell.size() >= 2 && cell.front() == cell.back() && (cell.front() == '"' || cell.front() == '\'')) {
        const bool doubled = cell.front() == '"';
        cell = cell.substr(1, cell.size() - 2);
        std::string out;
        out.reserve(cell.size());
        for (std::size_t i = 0; i < cell.size(); ++i) {
            out += cell[i];
            if (doubled && cell[i] == '"' && i + 1 < cell.size() && cell[i + 1] == '"') ++i;
        }
        return cleanText(out);
    }
    return cleanText(cell);
}

namespace {

/// Just behind the double quote that closes the one at `start`, or npos.
std::size_t afterQuoted(std::string_view line, std::size_t start) {
    for (std::size_t i = start + 1; i < line.size(); ++i) {
        if (line[i] != '"') continue;
        if (i + 1 < line.size() && line[i + 1] == '"') {
            ++i;
        } else {
            return i + 1;
        }
    }
    return std::string_view::npos;
}

}  // namespace

bool splitCells(std::string_view line, char separator, std::vector<std::string_view>& cells) {
    cells.clear();
    std::size_t start = 0;
    while (start <= line.size()) {
        std::size_t from = start;
        while (from < line.size() && line[from] != separator && isBlank(line[from])) ++from;
        std::size_t search = from;
        if (from < line.size() && line[from] == '"') {
            search = afterQuoted(line, from);
            if (search == std::string_view::npos) return false;
        }
        const std::size_t end = std::min(line.find(separator, search), line.size());
        if (cells.size() == kMostColumns) return false;
        cells.push_back(trimmed(line.substr(start, end - start)));
        start = end + 1;
    }
    return true;
}

bool splitTokens(std::string_view line, std::vector<std::string_view>& tokens) {
    tokens.clear();
    bool apostrophesQuote = true;
    std::size_t i = 0;
    while (i < line.size() && tokens.size() <= kMostColumns) {
        if (isBlank(line[i]) || isControl(line[i])) {
            ++i;
            continue;
        }
        if (line[i] == '#') break;
        std::size_t end = std::string_view::npos;
        if (line[i] == '"') {
            end = afterQuoted(line, i);
            if (end == std::string_view::npos) {
                tokens.push_back(trimmed(line.substr(i)));
                return false;
            }
        } else if (line[i] == '\'' && apostrophesQuote) {
            // An apostrophe quotes only when another one stands at the end of a token.
            for (std::size_t j = i + 1; j < line.size() && end == std::string_view::npos; ++j) {
                if (line[j] == '\'' && (j + 1 == line.size() || isBlank(line[j + 1]))) end = j + 1;
            }
            apostrophesQuote = end != std::string_view::npos;
        }
        if (end == std::string_view::npos) end = std::min(line.find_first_of(" \t", i), line.size());
        tokens.push_back(trimmed(line.substr(i, end - i)));
        i = end;
    }
    return true;
}

}  // namespace greywright::measure

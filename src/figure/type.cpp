#include "figure/type.h"

#include <algorithm>
#include <array>
#include <cstddef>

namespace greywright::figure {
namespace {

// Advance widths of U+0020 to U+007E in thousandths of the size: the wider of two faces, glyph by glyph.
// Source: the hmtx tables of DejaVu Sans 2.37 and of Liberation Sans 2 (whose widths are Helvetica's).
constexpr std::array<int, 95> kWidths{
    318, 401, 460, 838, 636, 950, 780, 275, 390, 390, 500, 838, 318, 361,  318, 337, 636, 636, 636,
    636, 636, 636, 636, 636, 636, 636, 337, 337, 838, 838, 838, 556, 1015, 684, 686, 722, 770, 667,
    611, 778, 752, 295, 500, 667, 557, 863, 748, 787, 667, 787, 722, 667,  611, 732, 684, 989, 685,
    667, 685, 390, 337, 390, 838, 556, 500, 613, 635, 550, 635, 615, 352,  635, 634, 278, 278, 579,
    278, 974, 634, 612, 635, 635, 411, 521, 392, 634, 592, 818, 592, 592,  525, 636, 337, 636, 838};

struct Decoded {
    char32_t code = 0xFFFD;
    std::size_t bytes = 1;
    bool valid = false;
};

/// The character at the start of `text`, by the well-formed sequences of the Unicode Standard, table 3-7.
Decoded decode(std::string_view text) {
    const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[i]); };
    const unsigned lead = byte(0);
    if (lead < 0x80) return {lead, 1, true};
    const std::size_t length = lead >= 0xF0 ? 4 : lead >= 0xE0 ? 3 : 2;
    if (lead < 0xC2 || lead > 0xF4 || text.size() < length) return {};
    char32_t code = lead & (0xFFU >> (length + 1));
    for (std::size_t i = 1; i < length; ++i) {
        if ((byte(i) & 0xC0U) != 0x80U) return {};
        code = (code << 6U) | (byte(i) & 0x3FU);
    }
    const bool overlong = (length == 3 && code < 0x800) || (length == 4 && code < 0x10000);
    if (overlong || (code >= 0xD800 && code <= 0xDFFF) || code > 0x10FFFF) return {};
    return {code, length, true};
}

int widthOf(char32_t code) {
    if (code >= 0x20 && code <= 0x7E) return kWidths[code - 0x20];
    switch (code) {
        case 0x00B0:  // degree
        case 0x00B1:  // plus-minus
        case 0x00B7:  // middle dot
        case 0x00D7:  // times
        case 0x0394:  // Delta
        case 0x2013:  // en dash
        case 0x2212:  // minus
            return 838;
        default:
            return 1080;
    }
}

/// The longest beginning of `text`, in whole characters, no wider than `widthPt`; never none of it.
std::size_t fitting(std::string_view text, double sizePt, double widthPt) {
    double width = 0;
    std::size_t at = 0;
    while (at < text.size()) {
        const Decoded next = decode(text.substr(at));
        width += widthOf(next.code) * sizePt / 1000;
        if (width > widthPt && at > 0) break;
        at += next.bytes;
    }
    return at;
}

}  // namespace

double textWidthPt(std::string_view utf8, double sizePt) {
    int width = 0;
    while (!utf8.empty()) {
        const Decoded next = decode(utf8);
        width += widthOf(next.code);
        utf8.remove_prefix(next.bytes);
    }
    return width * sizePt / 1000;
}

Rect textBox(const Text& text) {
    const double width = textWidthPt(text.text, text.sizePt);
    const double before = text.anchor == Anchor::start    ? 0
                          : text.anchor == Anchor::middle ? width / 2
                                                          : width;
    const double height = (kAscent + kDescent) * text.sizePt;
    if (text.upwards) {
        return {text.at.x - kAscent * text.sizePt, text.at.y + before - width, height, width};
    }
    return {text.at.x - before, text.at.y - kAscent * text.sizePt, width, height};
}

std::vector<std::string> wrapped(std::string_view utf8, double sizePt, double widthPt) {
    std::vector<std::string> lines;
    while (!utf8.empty()) {
        std::size_t cut = fitting(utf8, sizePt, widthPt);
        if (cut < utf8.size()) {
            const std::size_t space = utf8.substr(0, cut + 1).rfind(' ');
            if (space != std::string_view::npos && space > 0) cut = space;
        }
        lines.emplace_back(utf8.substr(0, cut));
        utf8.remove_prefix(cut);
        while (utf8.starts_with(' ')) utf8.remove_prefix(1);
    }
    return lines;
}

std::string shortened(std::string_view utf8, double sizePt, double widthPt) {
    if (textWidthPt(utf8, sizePt) <= widthPt) return std::string(utf8);
    constexpr std::string_view kEllipsis = "\u2026";
    const double room = widthPt - textWidthPt(kEllipsis, sizePt);
    std::string_view kept = utf8.substr(0, room > 0 ? fitting(utf8, sizePt, room) : 0);
    while (kept.ends_with(' ')) kept.remove_suffix(1);
    return std::string(kept) + std::string(kEllipsis);
}

std::string cleanText(std::string_view bytes) {
    std::string out;
    out.reserve(bytes.size());
    while (!bytes.empty()) {
        const Decoded next = decode(bytes);
        const bool control = next.code < 0x20 || (next.code >= 0x7F && next.code < 0xA0) ||
                             next.code == 0xFFFE || next.code == 0xFFFF;
        if (next.code == '\t' || next.code == '\n' || next.code == '\r') {
            out += ' ';
        } else if (!next.valid || control) {
            out += "\uFFFD";
        } else {
            out += bytes.substr(0, next.bytes);
        }
        bytes.remove_prefix(next.bytes);
    }
    return out;
}

}  // namespace greywright::figure

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "core/contract.h"
#include "core/numbers.h"
#include "core/said.h"
#include "sheet/kinds.h"
#include "sheet/sheet.h"

namespace greywright::sheet {
namespace {

constexpr std::string_view kFirstLine = "CGATS.17";
constexpr std::string_view kOriginator = "ORIGINATOR \"Greywright\"";
constexpr std::string_view kGreyColumns =
    "SAMPLE_ID\tSAMPLE_LOC\tTONE_PERCENT\tGREY\tRGB_R\tRGB_G\tRGB_B\tPAGE\tX_MM\tY_MM\tWIDTH_MM\tHEIGHT_MM";
constexpr std::string_view kColourColumns =
    "SAMPLE_ID\tSAMPLE_LOC\tNEAR_TONE_PERCENT\tRGB_R\tRGB_G\tRGB_B\tPAGE\tX_MM\tY_MM\tWIDTH_MM\tHEIGHT_MM";
constexpr std::size_t kGreyCount = 12;
constexpr std::size_t kColourCount = 11;
constexpr double kCodesPerLevel = 65535.0 / 255;
constexpr int kMostPages = 1000;
constexpr int kMarkerCount = 2115;  // of the family

std::string quoted(std::string_view text) {
    std::string out = "\"";
    for (const char c : text) {
        out += static_cast<unsigned char>(c) < 0x20 ? ' ' : c;
        if (c == '"') out += c;
    }
    return out + '"';
}

std::string textFromRect(const RectMm& at, char between) {
    std::string text;
    for (const double mm : {at.x, at.y, at.width, at.height}) {
        if (!text.empty()) text += between;
        text += textFromNumber(mm, 3);
    }
    return text;
}

std::vector<std::string_view> split(std::string_view text, char at) {
    std::vector<std::string_view> parts;
    for (;;) {
        const std::size_t end = text.find(at);
        parts.push_back(text.substr(0, end));
        if (end == std::string_view::npos) return parts;
        text.remove_prefix(end + 1);
    }
}

std::optional<std::string> unquoted(std::string_view text) {
    if (text.size() < 2 || text.front() != '"' || text.back() != '"') return std::nullopt;
    text = text.substr(1, text.size() - 2);
    std::string out;
    for (std::size_t i = 0; i < text.size(); ++i) {
        if (text[i] == '"' && (++i == text.size() || text[i] != '"')) return std::nullopt;
        out += text[i];
    }
    return out;
}

std::optional<int> wholeNumber(std::string_view text, int least, int most) {
    int number = 0;
    const auto [end, problem] = std::from_chars(text.data(), text.data() + text.size(), number);
    if (problem != std::errc{} || end != text.data() + text.size() || number < least || number > most) {
        return std::nullopt;
    }
    return number;
}

/// A number within bounds from one of the fields of a line.
std::optional<double> numberWithin(std::string_view text, double least, double most) {
    const auto number = numberFromText(text);
    return number && *number >= least && *number <= most ? number : std::nullopt;
}

std::optional<RectMm> rectFrom(std::span<const std::string_view> four) {
    constexpr double kMostMm = 1200;
    std::array<double, 4> mm{};
    for (std::size_t i = 0; i < mm.size(); ++i) {
        const auto number = numberWithin(four[i], 0, kMostMm);
        if (!number) return std::nullopt;
        mm[i] = *number;
    }
    if (mm[2] <= 0 || mm[3] <= 0) return std::nullopt;
    return RectMm{mm[0], mm[1], mm[2], mm[3]};
}

// More than any design has: a page of 101 tones has about as many places of bare paper.
constexpr std::size_t kMostBare = 2000;
constexpr int kMostPatches = 100'000;

class DefinitionReader {
  public:
    explicit DefinitionReader(std::string_view text) : rest_(text) {}

    Result<Sheet> read() {
        for (const std::string_view expected : {kFirstLine, kOriginator}) {
            if (next() != expected) return refusal("sheet-not-recognised", "is not a sheet's definition");
        }
        while (next() && line_ != "BEGIN_DATA_FORMAT") {
            if (!readHeader()) return damaged("is no line of a definition's head, or one too many");
        }
        if (!next() || !readColumns()) return damaged("does not name the columns of a definition");
        if (next() != "END_DATA_FORMAT") return damaged("is not the end of the columns");
        if (!next() || !readCount()) return damaged("does not tell the number of patches");
        if (next() != "BEGIN_DATA") return damaged("is not the beginning of the patches");
        while (next() && line_ != "END_DATA") {
            if (!readPatch()) return damaged("is no patch of this sheet");
        }
        if (line_ != "END_DATA" || !rest_.empty()) return damaged("is not the end of the definition");
        if (sheet_.patches.size() != count_)
            return damaged("comes after another number of patches than told");
        // Page and patches are checked by the code; only then can the rest be trusted to belong to them.
        if (sheet_.code != codeOfSheet(sheet_))
            return damaged("comes after a page, patches or markers that are not those of the code told");
        return std::move(sheet_);
    }

  private:
    std::optional<std::string_view> next() {
        ++number_;
        const std::size_t end = rest_.find('\n');
        if (end == std::string_view::npos) {
            line_ = {};
            return std::nullopt;
        }
        line_ = rest_.substr(0, end);
        rest_.remove_prefix(end + 1);
        if (line_.ends_with('\r')) line_.remove_suffix(1);  // an editor's line ends
        return line_;
    }

    bool readHeader() {
        if (line_.starts_with('#') || line_.starts_with("KEYWORD ")) return true;
        const std::size_t blank = line_.find(' ');
        if (blank == std::string_view::npos) return false;
        const std::string_view word = line_.substr(0, blank);
        const std::string_view value = line_.substr(blank + 1);
        if (word == "NUMBER_OF_FIELDS") {
            const auto fields = wholeNumber(value, int(kColourCount), int(kGreyCount));
            isColour_ = fields == int(kColourCount);
            return fields.has_value();
        }
        const auto text = unquoted(value);
        return text && readKeyword(word, *text);
    }

    bool readKeyword(std::string_view word, const std::string& text) {
        constexpr double kMostMm = 1200;
        const auto take = [](auto& into, auto number) {
            if (number) into = *number;
            return number.has_value();
        };
        if (word == "DESCRIPTOR")
            sheet_.name = text;
        else if (word == "CREATED")
            sheet_.date = text;
        else if (word == "SHEET_CODE")
            sheet_.code = text;
        else if (word == "SHEET_KIND")
            return readKind(text);
        else if (word == "SHEET_PAGES")
            return take(sheet_.pages, wholeNumber(text, 1, kMostPages));
        else if (word == "PAGE_WIDTH_MM")
            return take(sheet_.page.widthMm, numberWithin(text, 1, kMostMm));
        else if (word == "PAGE_HEIGHT_MM")
            return take(sheet_.page.heightMm, numberWithin(text, 1, kMostMm));
        else if (word == "PAGE_MARGIN_MM")
            return take(sheet_.page.marginMm, numberWithin(text, 0, kMostMm));
        else
            return readPlace(word, split(text, ' '));
        return true;
    }

    bool readKind(std::string_view text) {
        const auto* const found = std::ranges::find(kKinds, text, &NamedKind::name);
        if (found == std::end(kKinds)) return false;
        sheet_.kind = found->kind;
        return true;
    }

    bool readPlace(std::string_view word, std::span<const std::string_view> parts) {
        if (parts.size() < 4) return false;
        const auto at = rectFrom(parts.last(4));
        if (!at) return false;
        if (word == "SHEET_CARD" && parts.size() == 4) {
            sheet_.card = *at;
            return true;
        }
        const auto page = wholeNumber(parts[0], 1, sheet_.pages);
        if (!page) return false;
        if (!isOnPage(*at)) return false;
        if (word == "SHEET_BARE" && parts.size() == 5) {
            if (anyOverlaps(sheet_.markers, *at, *page)) return false;
            sheet_.bare.push_back({.at = *at, .page = *page});
            return sheet_.bare.size() <= kMostBare;
        }
        const auto number = wholeNumber(parts[1], 0, kMarkerCount - 1);
        if (!number || word != "SHEET_MARKER" || parts.size() != 6) return false;
        const bool isTaken = std::ranges::any_of(sheet_.markers, [&](const Marker& marker) {
            return marker.number == *number && marker.page == *page;
        });
        if (isTaken || anyOverlaps(sheet_.bare, *at, *page)) return false;
        sheet_.markers.push_back({.number = *number, .at = *at, .page = *page});
        return true;
    }

    [[nodiscard]] bool isOnPage(const RectMm& at) const {
        constexpr double kRounding = 0.01;
        return at.x + at.width <= sheet_.page.widthMm + kRounding &&
               at.y + at.height <= sheet_.page.heightMm + kRounding;
    }

    /// Bare paper is where nothing is printed.
    template <typename Place>
    static bool anyOverlaps(const std::vector<Place>& places, const RectMm& at, int page) {
        constexpr double kRounding = 0.01;
        return std::ranges::any_of(places, [&](const Place& one) {
            return one.page == page && one.at.x + one.at.width > at.x + kRounding &&
                   at.x + at.width > one.at.x + kRounding && one.at.y + one.at.height > at.y + kRounding &&
                   at.y + at.height > one.at.y + kRounding;
        });
    }

    bool readColumns() { return line_ == (isColour_ ? kColourColumns : kGreyColumns); }

    bool readCount() {
        constexpr std::string_view kWord = "NUMBER_OF_SETS ";
        if (!line_.starts_with(kWord)) return false;
        const auto count = wholeNumber(line_.substr(kWord.size()), 0, kMostPatches);
        count_ = static_cast<std::size_t>(count.value_or(0));
        return count.has_value();
    }

    bool readPatch() {
        const auto fields = split(line_, '\t');
        if (fields.size() != (isColour_ ? kColourCount : kGreyCount)) return false;
        const auto id = wholeNumber(fields[0], 1, kMostPatches);
        const auto label = unquoted(fields[1]);
        const auto tone = numberWithin(fields[2], 0, 100);
        const std::size_t firstLevel = isColour_ ? 3 : 4;
        std::array<std::uint16_t, 3> rgb{};
        for (std::size_t i = 0; i < rgb.size(); ++i) {
            const auto level = numberWithin(fields[firstLevel + i], 0, 255);
            if (!level) return false;
            rgb[i] = static_cast<std::uint16_t>(std::lround(*level * kCodesPerLevel));
        }
        const auto page = wholeNumber(fields[firstLevel + 3], 1, sheet_.pages);
        const auto at = rectFrom(std::span(fields).last(4));
        if (!id || *id != int(sheet_.patches.size()) + 1 || !label || !tone || !page || !at) return false;
        if (!isColour_ && fields[3] != fields[2]) return false;
        if (!isOnPage(*at) || anyOverlaps(sheet_.bare, *at, *page)) return false;
        Patch patch{.tonePercent = *tone, .at = *at, .page = *page, .label = *label};
        if (isColour_) patch.rgb = rgb;
        sheet_.patches.push_back(std::move(patch));
        return true;
    }

    [[nodiscard]] Error refusal(std::string code, std::string what) const {
        return {.kind = ErrorKind::badInput,
                .code = std::move(code),
                .what = said("'{}' {}", line_.substr(0, 60), what),
                .where = {.line = number_},
                .next = said("Use the definition that was written with the sheet, unchanged")};
    }
    [[nodiscard]] Error damaged(std::string what) const { return refusal("sheet-damaged", std::move(what)); }

    std::string_view rest_;
    std::string_view line_;
    std::size_t number_ = 0;
    bool isColour_ = false;
    std::size_t count_ = 0;
    Sheet sheet_;
};

std::string headOf(const Sheet& sheet) {
    std::string out = fmt::format("{}\n{}\n", kFirstLine, kOriginator);
    if (!sheet.name.empty()) out += "DESCRIPTOR " + quoted(sheet.name) + '\n';
    if (!sheet.date.empty()) out += "CREATED " + quoted(sheet.date) + '\n';
    const auto declare = [&](std::string_view word) { out += fmt::format("KEYWORD \"{}\"\n", word); };
    for (const char* const word :
         {"SHEET_CODE", "SHEET_KIND", "SHEET_PAGES", "PAGE_WIDTH_MM", "PAGE_HEIGHT_MM", "PAGE_MARGIN_MM"}) {
        declare(word);
    }
    if (!sheet.markers.empty()) declare("SHEET_MARKER");
    if (!sheet.bare.empty()) declare("SHEET_BARE");
    if (sheet.card) declare("SHEET_CARD");
    if (hasColours(sheet)) declare("NEAR_TONE_PERCENT");
    for (const char* const word : {"PAGE", "X_MM", "Y_MM", "WIDTH_MM", "HEIGHT_MM"}) declare(word);
    const auto say = [&](std::string_view word, std::string_view value) {
        out += fmt::format("{} \"{}\"\n", word, value);
    };
    say("SHEET_CODE", sheet.code);
    say("SHEET_KIND", textFromKind(sheet.kind));
    say("SHEET_PAGES", fmt::to_string(sheet.pages));
    say("PAGE_WIDTH_MM", textFromNumber(sheet.page.widthMm));
    say("PAGE_HEIGHT_MM", textFromNumber(sheet.page.heightMm));
    say("PAGE_MARGIN_MM", textFromNumber(sheet.page.marginMm));
    if (!sheet.markers.empty()) out += "# Each marker: page, number, x, y, width and height in mm.\n";
    for (const Marker& marker : sheet.markers) {
        say("SHEET_MARKER",
            fmt::format("{} {} {}", marker.page, marker.number, textFromRect(marker.at, ' ')));
    }
    if (!sheet.bare.empty()) out += "# Bare paper: page, x, y, width and height in mm.\n";
    for (const BarePaper& bare : sheet.bare) {
        say("SHEET_BARE", fmt::format("{} {}", bare.page, textFromRect(bare.at, ' ')));
    }
    if (sheet.card) say("SHEET_CARD", textFromRect(*sheet.card, ' '));
    return out;
}

}  // namespace

std::string cgatsOfSheet(const Sheet& sheet) {
    const bool isColour = hasColours(sheet);
    expects(!isColour || std::ranges::all_of(sheet.patches, [](const Patch& p) { return p.rgb.has_value(); }),
            "cgatsOfSheet: all patches have rgb or none has");
    std::string out = headOf(sheet);
    out += isColour ? "# NEAR_TONE_PERCENT is the grey that a patch lies around: 0 bare paper, 100 maximum "
                      "black. RGB is "
                      "light: 255 bare paper. Places are in mm from the upper left corner.\n"
                    : "# GREY is ink: 0 bare paper, 100 maximum black. RGB is light: 255 bare paper. Places "
                      "are in mm "
                      "from the upper left corner.\n";
    out += fmt::format("NUMBER_OF_FIELDS {}\nBEGIN_DATA_FORMAT\n{}\nEND_DATA_FORMAT\n",
                       isColour ? kColourCount : kGreyCount, isColour ? kColourColumns : kGreyColumns);
    out += fmt::format("NUMBER_OF_SETS {}\nBEGIN_DATA\n", sheet.patches.size());
    for (std::size_t i = 0; i < sheet.patches.size(); ++i) {
        const Patch& patch = sheet.patches[i];
        const std::string tone = textFromNumber(patch.tonePercent);
        out += fmt::format("{}\t{}\t{}", i + 1, quoted(patch.label), tone);
        if (!isColour) out += '\t' + tone;
        for (std::size_t channel = 0; channel < 3; ++channel) {
            // Four decimals of 1/257 of a code: a code comes back as it was.
            const double level =
                patch.rgb ? (*patch.rgb)[channel] / kCodesPerLevel : 255 * (1 - patch.tonePercent / 100);
            out += '\t' + textFromNumber(level, 4);
        }
        out += fmt::format("\t{}\t{}\n", patch.page, textFromRect(patch.at, '\t'));
    }
    return out + "END_DATA\n";
}

Result<Sheet> sheetFromCgats(std::string_view text) {
    return DefinitionReader(text).read();
}

}  // namespace greywright::sheet

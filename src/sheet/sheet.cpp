#include "sheet/sheet.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "core/contract.h"
#include "core/nearest_name.h"
#include "core/numbers.h"
#include "core/random.h"

namespace greywright::sheet {
namespace {

struct NamedPage {
    std::string_view name;
    Page page;
};

constexpr NamedPage kPages[] = {
    {"A4", {210, 297, 10}},
    {"A3", {297, 420, 10}},
    {"Letter", {215.9, 279.4, 10}},
    {"4x6in", {101.6, 152.4, 5}},
};

std::string_view textFromKind(Kind kind) {
    switch (kind) {
        case Kind::ramp:
            return "ramp";
        case Kind::blocks:
            return "blocks";
        case Kind::byEye:
            break;
    }
    return "by eye";
}

// Source: Fowler, Noll and Vo, FNV-1a with 64 bits, from memory.
std::uint64_t digest(std::string_view text) {
    std::uint64_t hash = 0xcbf29ce484222325ULL;
    for (const char c : text) hash = (hash ^ static_cast<unsigned char>(c)) * 0x100000001b3ULL;
    return Random(hash).bits();
}

std::string quoted(std::string_view text) {
    std::string out = "\"";
    for (const char c : text) {
        out += static_cast<unsigned char>(c) < 0x20 ? ' ' : c;
        if (c == '"') out += c;
    }
    return out + '"';
}

}  // namespace

Result<Page> pageByName(std::string_view name) {
    const auto* const found =
        std::ranges::find_if(kPages, [&](const NamedPage& one) { return sameName(one.name, name); });
    if (found != std::end(kPages)) return found->page;
    return Error{
        .kind = ErrorKind::wrongUse,
        .code = "page-unknown",
        .what = fmt::format("there is no page named '{}'", name),
        .where = {.field = "page"},
        .next = fmt::format("Name one of {}, or give width and height in mm", fmt::join(pageNames(), ", "))};
}

std::vector<std::string> pageNames() {
    std::vector<std::string> names;
    for (const NamedPage& one : kPages) names.emplace_back(one.name);
    return names;
}

std::string codeOfSheet(const Sheet& sheet) {
    constexpr std::string_view kCharacters = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ";
    static_assert(kCharacters.size() == 32);
    std::string text = fmt::format("{} {:.3f} {:.3f} {:.3f} {}\n", textFromKind(sheet.kind),
                                   sheet.page.widthMm, sheet.page.heightMm, sheet.page.marginMm, sheet.pages);
    for (const Patch& patch : sheet.patches) {
        text += fmt::format("{} {:.3f} {:.3f} {:.3f} {:.3f} {:.4f} {}\n", patch.page, patch.at.x, patch.at.y,
                            patch.at.width, patch.at.height, patch.tonePercent, patch.label);
    }
    std::uint64_t bits = digest(text);
    std::string code;
    for (int i = 0; i < 6; ++i, bits >>= 5U) code += kCharacters[bits & 31U];
    return code;
}

std::uint16_t codeOfTone(double tonePercent) {
    expects(tonePercent >= 0 && tonePercent <= 100, "codeOfTone: 0 to 100 percent");
    return static_cast<std::uint16_t>(std::lround(65535 * (1 - tonePercent / 100)));
}

std::string cgatsOfSheet(const Sheet& sheet) {
    std::string out = "CGATS.17\nORIGINATOR \"Greywright\"\n";
    if (!sheet.name.empty()) out += "DESCRIPTOR " + quoted(sheet.name) + '\n';
    if (!sheet.date.empty()) out += "CREATED " + quoted(sheet.date) + '\n';
    for (const std::string_view word : {"SHEET_CODE", "SHEET_KIND", "SHEET_PAGES", "PAGE_WIDTH_MM",
                                        "PAGE_HEIGHT_MM", "PAGE", "X_MM", "Y_MM", "WIDTH_MM", "HEIGHT_MM"}) {
        out += fmt::format("KEYWORD \"{}\"\n", word);
    }
    out += fmt::format(
        "SHEET_CODE \"{}\"\nSHEET_KIND \"{}\"\nSHEET_PAGES \"{}\"\nPAGE_WIDTH_MM \"{}\"\nPAGE_HEIGHT_MM "
        "\"{}\"\n",
        sheet.code, textFromKind(sheet.kind), sheet.pages, textFromNumber(sheet.page.widthMm),
        textFromNumber(sheet.page.heightMm));
    out +=
        "# GREY is ink: 0 bare paper, 100 maximum black. RGB is light: 255 bare paper. Places are in mm from "
        "the upper left corner.\n";
    out +=
        "NUMBER_OF_FIELDS 12\nBEGIN_DATA_FORMAT\nSAMPLE_ID\tSAMPLE_LOC\tTONE_PERCENT\tGREY\tRGB_R\tRGB_G\t"
        "RGB_B\tPAGE\tX_MM\tY_MM\tWIDTH_MM\tHEIGHT_MM\nEND_DATA_FORMAT\n";
    out += fmt::format("NUMBER_OF_SETS {}\nBEGIN_DATA\n", sheet.patches.size());
    for (std::size_t i = 0; i < sheet.patches.size(); ++i) {
        const Patch& patch = sheet.patches[i];
        const std::string tone = textFromNumber(patch.tonePercent);
        const std::string light = textFromNumber(255 * (1 - patch.tonePercent / 100), 4);
        out += fmt::format("{}\t{}\t{}\t{}\t{}\t{}\t{}\t{}", i + 1, quoted(patch.label), tone, tone, light,
                           light, light, patch.page);
        for (const double mm : {patch.at.x, patch.at.y, patch.at.width, patch.at.height}) {
            out += '\t' + textFromNumber(mm, 3);
        }
        out += '\n';
    }
    return out + "END_DATA\n";
}

}  // namespace greywright::sheet

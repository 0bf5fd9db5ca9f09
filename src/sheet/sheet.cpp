#include "sheet/sheet.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "core/contract.h"
#include "core/nearest_name.h"
#include "core/random.h"
#include "core/said.h"
#include "sheet/kinds.h"

namespace greywright::sheet {
namespace {

struct NamedPage {
    std::string_view name;
    Page page;
};

constexpr NamedPage kPages[] = {
    {"A4", {210, 297, 10}},        {"A2", {420, 594, 10}},          {"A3", {297, 420, 10}},
    {"A5", {148, 210, 5}},         {"A6", {105, 148, 5}},           {"Letter", {215.9, 279.4, 10}},
    {"Legal", {215.9, 355.6, 10}}, {"Tabloid", {279.4, 431.8, 10}}, {"4x6in", {101.6, 152.4, 5}},
};

constexpr std::string_view kCodeCharacters = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ";
constexpr std::size_t kCodeLength = 6;
static_assert(kCodeCharacters.size() == 32);

// Source: Fowler, Noll and Vo, FNV-1a with 64 bits, from memory.
std::uint64_t digest(std::string_view text) {
    std::uint64_t hash = 0xcbf29ce484222325ULL;
    for (const char c : text) hash = (hash ^ static_cast<unsigned char>(c)) * 0x100000001b3ULL;
    return Random(hash).bits();
}

}  // namespace

std::string_view textFromKind(Kind kind) {
    for (const NamedKind& one : kKinds) {
        if (one.kind == kind) return one.name;
    }
    return {};
}

Result<Page> pageByName(std::string_view name) {
    const auto* const found =
        std::ranges::find_if(kPages, [&](const NamedPage& one) { return sameName(one.name, name); });
    if (found != std::end(kPages)) return found->page;
    return Error{.kind = ErrorKind::wrongUse,
                 .code = "page-unknown",
                 .what = said("there is no page named '{}'", name),
                 .where = {.field = "page"},
                 .next = said("Name one of {}, or give width and height: 210x297 in mm, 5x7in in inches",
                              fmt::join(pageNames(), ", "))};
}

std::vector<std::string> pageNames() {
    std::vector<std::string> names;
    for (const NamedPage& one : kPages) names.emplace_back(one.name);
    return names;
}

std::string codeOfSheet(const Sheet& sheet) {
    std::string text = fmt::format("{} {:.3f} {:.3f} {:.3f} {}\n", textFromKind(sheet.kind),
                                   sheet.page.widthMm, sheet.page.heightMm, sheet.page.marginMm, sheet.pages);
    for (const Patch& patch : sheet.patches) {
        text += fmt::format("{} {:.3f} {:.3f} {:.3f} {:.3f} {:.4f} {}", patch.page, patch.at.x, patch.at.y,
                            patch.at.width, patch.at.height, patch.tonePercent, patch.label);
        if (patch.rgb) text += fmt::format(" {} {} {}", (*patch.rgb)[0], (*patch.rgb)[1], (*patch.rgb)[2]);
        text += '\n';
    }
    std::uint64_t bits = digest(text);
    std::string code;
    for (std::size_t i = 0; i < kCodeLength; ++i, bits >>= 5U) code += kCodeCharacters[bits & 31U];
    return code;
}

std::array<int, 8> markerNumbers(std::string_view code, int page) {
    expects(code.size() == kCodeLength, "markerNumbers: a code of six characters");
    expects(page >= 1 && page <= 4, "markerNumbers: page 1 to 4");
    std::uint32_t word = static_cast<std::uint32_t>(page - 1) << 30U;
    for (std::size_t i = 0; i < kCodeLength; ++i) {
        const std::size_t bits = kCodeCharacters.find(code[i]);
        expects(bits != std::string_view::npos, "markerNumbers: a character that codes do not have");
        word |= static_cast<std::uint32_t>(bits) << (5 * i);
    }
    std::array<int, 8> numbers{};
    for (std::size_t position = 0; position < numbers.size(); ++position) {
        const std::size_t byte = (position < 4 ? position : position + 2) % 4;
        numbers[position] = static_cast<int>(position << 8U | (word >> (8 * byte) & 0xFFU));
    }
    return numbers;
}

std::uint16_t codeOfTone(double tonePercent) {
    expects(tonePercent >= 0 && tonePercent <= 100, "codeOfTone: 0 to 100 percent");
    return static_cast<std::uint16_t>(std::lround(65535 * (1 - tonePercent / 100)));
}

}  // namespace greywright::sheet

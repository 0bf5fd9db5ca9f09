#include "sheet/lettering.h"

#include <algorithm>
#include <cstddef>

#include "core/contract.h"

namespace greywright::sheet {
namespace {

// Drawn for this program: strokes apart by blanks, each a row of points x y, on a grid where capitals are 12
// high. 0-9 and a-x count up from 0; y and z are -1 and -2, below the baseline.
struct Glyph {
    char character;
    std::string_view strokes;
};

constexpr double kCapitals = 12;
constexpr double kBetween = 3;
constexpr double kBlank = 4;

constexpr Glyph kGlyphs[] = {
    {'A', "003c60 1454"},
    {'B', "000c4c6a684606 4664624000"},
    {'C', "6a4c2c0a02204062"},
    {'D', "000c3c69633000"},
    {'E', "6c0c0060 0646"},
    {'F', "6c0c00 0646"},
    {'G', "6a4c2c0a022040626636"},
    {'H', "000c 606c 0666"},
    {'I', "0040 0c4c 202c"},
    {'J', "6c62402002"},
    {'K', "000c 6c05 2760"},
    {'L', "0c0060"},
    {'M', "000c366c60"},
    {'N', "000c606c"},
    {'O', "2040626a4c2c0a0220"},
    {'P', "000c4c6a674505"},
    {'Q', "2040626a4c2c0a0220 3360"},
    {'R', "000c4c6a674505 3560"},
    {'S', "6a4c2c0a0826466462402002"},
    {'T', "0c6c 3c30"},
    {'U', "0c022040626c"},
    {'V', "0c306c"},
    {'W', "0c1037506c"},
    {'X', "006c 0c60"},
    {'Y', "0c366c 3630"},
    {'Z', "0c6c0060"},
    {'0', "1030424a3c1c0a0210"},
    {'1', "092c20 0040"},
    {'2', "0a2c4c6a680060"},
    {'3', "0a2c4c6a684626 466462402002"},
    {'4', "404c0464"},
    {'5', "6c0c07476562402002"},
    {'6', "6a4c2c0a0220406265472705"},
    {'7', "0c6c20"},
    {'8', "26080a2c4c6a68462604022040626446"},
    {'9', "022040626a4c2c0a07254567"},
    {'%', "006c 090c2c2909 4043636040"},
    {'=', "0464 0868"},
    {',', "11100z"},
    {'.', "0001"},
    {'-', "0646"},
    {'/', "006c"},
    {':', "0203 0809"},
    {'+', "0666 3339"},
    {'(', "2c090320"},
    {')', "0c292300"},
    {'#', "102c 405c 0464 0868"},
    {'_', "0060"},
    {'\'', "0c09"},
    {'&', "60181a2c3c4a480402204064"},
};

double gridNumber(char digit) {
    const int number = digit <= '9' ? digit - '0' : digit - 'a' + 10;
    return number < 34 ? number : 33 - number;
}

/// Nothing for a blank and for what the lettering does not have.
std::string_view strokesOfCharacter(char character) {
    const char capital =
        character >= 'a' && character <= 'z' ? static_cast<char>(character - 'a' + 'A') : character;
    const auto* const found = std::ranges::find(kGlyphs, capital, &Glyph::character);
    return found == std::end(kGlyphs) ? std::string_view{} : found->strokes;
}

double widthOfStrokes(std::string_view strokes) {
    double width = 0;
    for (std::size_t i = 0; i < strokes.size(); i += 2) {
        if (strokes[i] == ' ') ++i;
        width = std::max(width, gridNumber(strokes[i]));
    }
    return width;
}

double widthOf(char character) {
    return character == ' ' ? kBlank : widthOfStrokes(strokesOfCharacter(character));
}

}  // namespace

std::optional<std::string> cannotBeLettered(std::string_view text) {
    for (std::size_t i = 0; i < text.size(); ++i) {
        if (text[i] == ' ' || !strokesOfCharacter(text[i]).empty()) continue;
        std::size_t end = i + 1;  // the rest of a character of UTF-8
        while (end < text.size() && (static_cast<unsigned char>(text[end]) & 0xC0U) == 0x80U) ++end;
        return std::string(text.substr(i, end - i));
    }
    return std::nullopt;
}

double letteringWidthMm(std::string_view text, double heightMm) {
    if (text.empty()) return 0;
    double units = -kBetween;
    for (const char character : text) units += widthOf(character) + kBetween;
    return heightMm * (units / kCapitals + kStrokeFraction);
}

std::vector<Stroke> strokesOf(const Lettering& lettering) {
    expects(!cannotBeLettered(lettering.text), "strokesOf: a character that the lettering does not have");
    const double unit = lettering.heightMm / kCapitals;
    double left = lettering.xMm + kStrokeFraction * lettering.heightMm / 2;
    std::vector<Stroke> out;
    for (const char character : lettering.text) {
        const std::string_view strokes = strokesOfCharacter(character);
        const auto x = [&](std::size_t i) { return left + unit * gridNumber(strokes[i]); };
        const auto y = [&](std::size_t i) {
            return lettering.baselineMm - unit * gridNumber(strokes[i + 1]);
        };
        for (std::size_t i = 0; i + 3 < strokes.size(); i += 2) {
            if (strokes[i + 2] == ' ') {
                ++i;
                continue;
            }
            out.push_back({x(i), y(i), x(i + 2), y(i + 2)});
        }
        left += unit * (widthOf(character) + kBetween);
    }
    return out;
}

}  // namespace greywright::sheet

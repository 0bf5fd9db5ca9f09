#include "scan/identify.h"

#include <algorithm>
#include <array>
#include <map>
#include <set>

#include <fmt/format.h>

#include "core/said.h"

namespace greywright::scan {
namespace {

constexpr std::size_t kLeastMarkers = 3;
constexpr std::string_view kCharacters = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ";

Identified matched(std::span<const Found> found, const sheet::Sheet& sheet, int page) {
    Identified out{.sheet = &sheet, .page = page};
    for (const sheet::Marker& marker : sheet.markers) {
        if (marker.page != page) continue;
        for (const Found& one : found) {
            if (one.number == marker.number) out.anchors.push_back({marker, one});
        }
    }
    return out;
}

std::set<int> numbersOf(const Identified& one) {
    std::set<int> numbers;
    for (const Anchor& anchor : one.anchors) numbers.insert(anchor.marker.number);
    return numbers;
}

Error twoSheets(const std::string& which) {
    return {.code = "two-sheets",
            .what = said("markers of more than one sheet are in the picture: ") + which,
            .where = {},
            .next = said("Crop the picture to one sheet, or take one picture of each")};
}

}  // namespace

std::string codeFromMarkers(std::span<const Found> found) {
    // markerNumbers() alone knows how a code lies in the numbers: a character shows in certain bits.
    const std::string blank(6, kCharacters[0]);
    const auto numbersOf = [&](std::size_t place, char character) {
        std::string code = blank;
        code[place] = character;
        return sheet::markerNumbers(code, 1);
    };
    std::array<int, 8> seen{};
    seen.fill(-1);
    for (const Found& one : found) {
        if (one.number < 8 * 256) seen[static_cast<std::size_t>(one.number) / 256] = one.number;
    }
    std::string out;
    for (std::size_t place = 0; place < blank.size(); ++place) {
        const auto none = numbersOf(place, kCharacters.front());
        const auto all = numbersOf(place, kCharacters.back());
        std::vector<char> fitting;
        for (const char character : kCharacters) {
            const auto numbers = numbersOf(place, character);
            bool fits = true;
            for (std::size_t i = 0; i < seen.size(); ++i) {
                const int bits = none[i] ^ all[i];
                fits = fits && (seen[i] < 0 || ((seen[i] ^ numbers[i]) & bits) == 0);
            }
            if (fits) fitting.push_back(character);
        }
        out += fitting.size() == 1 ? fitting[0] : '?';
    }
    return out;
}

Result<Identified> identify(std::span<const Found> found, std::span<const sheet::Sheet> known) {
    if (found.empty()) {
        return Error{
            .code = "markers-missing",
            .what = said("no markers of a sheet were found in the picture"),
            .where = {},
            .next = said("Show the whole sheet, sharp and large, in the picture; only sheets for cameras and "
                         "scanners carry markers")};
    }
    Identified best;
    std::size_t most = 0;
    bool isTied = false;  // pages of one sheet share six numbers of eight
    for (const sheet::Sheet& sheet : known) {
        for (int page = 1; page <= sheet.pages; ++page) {
            Identified one = matched(found, sheet, page);
            const std::size_t count = numbersOf(one).size();
            if (count == most && numbersOf(one) == numbersOf(best)) isTied = true;
            if (count > most) {
                isTied = false;
                most = count;
                best = std::move(one);
            }
        }
    }
    std::set<int> all;
    for (const Found& one : found) all.insert(one.number);
    if (most < kLeastMarkers && all.size() >= kLeastMarkers) {
        const std::string code = codeFromMarkers(found);
        return Error{
            .code = "sheet-unknown",
            .what = said(
                "the sheet in the picture has the code {}, which is none of the sheets that were looked for",
                code),
            .where = {},
            .next = said("Name its own sheet or definition")};
    }
    if (most < kLeastMarkers) {
        return Error{.code = "sheet-incomplete",
                     .what = said("only {} of a sheet's markers {} in the picture, and {} are needed",
                                  all.size(), all.size() == 1 ? "is" : "are", kLeastMarkers),
                     .where = {},
                     .next = said("Show the whole sheet with all its corners, and nothing over its markers")};
    }
    if (isTied) {
        return Error{.code = "sheet-incomplete",
                     .what = said("the markers that tell one page from another are not in the picture"),
                     .where = {},
                     .next = said("Show the whole sheet with all its corners, and nothing over its markers")};
    }
    // What the best does not explain belongs to another sheet, or to a second print of this one.
    std::vector<Found> others;
    for (const Found& one : found) {
        const bool explained = std::ranges::any_of(
            best.anchors, [&](const Anchor& anchor) { return anchor.found.number == one.number; });
        if (!explained) others.push_back(one);
    }
    if (others.size() >= kLeastMarkers) {
        return twoSheets(said("{} and {}", best.sheet->code, codeFromMarkers(others)));
    }
    std::map<int, int> times;
    for (const Anchor& anchor : best.anchors) ++times[anchor.marker.number];
    const auto twice = std::ranges::count_if(times, [](const auto& one) { return one.second > 1; });
    if (twice >= 2) return twoSheets(best.sheet->code + said(" twice, or two of its pages"));
    return best;
}

}  // namespace greywright::scan

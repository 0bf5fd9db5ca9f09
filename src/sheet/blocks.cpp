#include <algorithm>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "core/said.h"
#include "sheet/design.h"
#include "sheet/layout.h"
#include "sheet/lettering.h"

namespace greywright::sheet {
namespace {

using layout::kBelowMm;
using layout::kLineMm;
using layout::kSmallMm;

constexpr int kMostPlaces = 24;
constexpr std::size_t kMostTones = 4;
constexpr double kLeastWordsMm = 42;
constexpr double kApartMm = 4;
constexpr std::size_t kSettingLines = 2;
constexpr std::size_t kLines = 2 + kSettingLines;  // trial, setting, code

/// Where places lie, whatever is printed in them.
struct Places {
    double wordsMm = 0;
    double stepX = 0;
    double stepY = 0;
    int across = 0;
    int count = 0;
};

Outcome check(const BlockRequest& request) {
    if (auto sound = layout::checkTones(request.tonesPercent, 1, kMostTones, "tones"); !sound) return sound;
    if (auto sound = layout::checkPage(request.page); !sound) return sound;
    if (auto sound = layout::checkTitle(request.title, request.page); !sound) return sound;
    return layout::checkSize(request.sideMm, 6, 40, "side");
}

Places placesOf(const BlockRequest& request) {
    const RectMm room = layout::roomOn(request.page);
    Places places;
    places.wordsMm = std::max(double(request.tonesPercent.size()) * request.sideMm, kLeastWordsMm);
    places.stepX = places.wordsMm + kApartMm;
    places.stepY = request.sideMm + kBelowMm + kSmallMm + double(kLines - 1) * kLineMm + kApartMm;
    places.across = std::max(0, int((room.width + kApartMm) / places.stepX));
    const int down = std::max(0, int((room.height + kApartMm) / places.stepY));
    places.count = std::min(kMostPlaces, places.across * down);
    return places;
}

Outcome checkPlace(const BlockRequest& request, const Places& places) {
    if (request.places && (*request.places < 1 || *request.places > kMostPlaces)) {
        return layout::refusal("places-out-of-range", "places",
                               said("a page cannot have {} places", *request.places),
                               said("Ask for 1 to {} places", kMostPlaces));
    }
    if (places.count == 0 || request.places.value_or(1) > places.count) {
        return layout::pageTooSmall(
            said("{} x {} mm have room for {} places, not {}", request.page.widthMm, request.page.heightMm,
                 places.count, request.places.value_or(1)),
            said("Choose a larger page, fewer places, fewer tones or smaller blocks"));
    }
    const int most = request.places.value_or(places.count);
    if (request.place >= 1 && request.place <= most) return Done{};
    return layout::refusal(
        "place-out-of-range", "place", said("there is no place {} of {}", request.place, most),
        request.place > most ? said("Begin a new piece of paper at place 1") : said("Count places from 1"));
}

/// Broken behind commas into lines that fit; nothing when one does not, or when there are too many.
std::optional<std::vector<std::string>> brokenSetting(std::string_view setting, double roomMm) {
    std::vector<std::string> lines;
    while (!setting.empty()) {
        const std::size_t comma = setting.find(',');
        const std::string_view part = setting.substr(0, comma == std::string_view::npos ? comma : comma + 1);
        setting.remove_prefix(part.size());
        if (!lines.empty() && letteringWidthMm(lines.back() + std::string(part), kSmallMm) <= roomMm) {
            lines.back() += part;
        } else {
            lines.emplace_back(part);
        }
    }
    const bool fits =
        lines.size() <= kSettingLines && std::ranges::all_of(lines, [&](const std::string& line) {
            return letteringWidthMm(line, kSmallMm) <= roomMm;
        });
    return fits ? std::optional(lines) : std::nullopt;
}

Result<std::vector<std::string>> wordsOf(const BlockRequest& request, double roomMm) {
    if (request.trial.find_first_not_of(' ') == std::string::npos) {
        return layout::refusal("text-missing", "trial", said("the block does not say which trial it is"),
                               said("Give the trial's number or name"));
    }
    if (auto sound = layout::checkWords(request.trial, kSmallMm, roomMm, "trial"); !sound)
        return std::move(sound).error();
    constexpr double kAnyWidth = 1e9;
    if (auto sound = layout::checkWords(request.setting, kSmallMm, kAnyWidth, "setting"); !sound)
        return std::move(sound).error();
    auto setting = brokenSetting(request.setting, roomMm);
    if (!setting) {
        return layout::refusal(
            "text-too-long", "setting",
            said("'{}' does not fit into {} lines of {} mm", request.setting, kSettingLines, roomMm),
            said("Give the axes shorter names, or leave out what stays the same"));
    }
    setting->insert(setting->begin(), request.trial);
    return std::move(*setting);
}

}  // namespace

Result<int> blockPlaces(const BlockRequest& request) {
    if (auto sound = check(request); !sound) return std::move(sound).error();
    return placesOf(request).count;
}

Result<Sheet> blockSheet(const BlockRequest& request) {
    if (auto sound = check(request); !sound) return std::move(sound).error();
    const Places places = placesOf(request);
    if (auto sound = checkPlace(request, places); !sound) return std::move(sound).error();
    auto words = wordsOf(request, places.wordsMm);
    if (!words) return std::move(words).error();

    Sheet sheet{
        .kind = Kind::blocks, .name = request.title.name, .date = request.title.date, .page = request.page};
    const RectMm room = layout::roomOn(request.page);
    const int row = (request.place - 1) / places.across;
    const int column = (request.place - 1) % places.across;
    const double x = room.x + column * places.stepX;
    const double y = room.y + row * places.stepY;
    std::vector<std::string> tones;
    for (std::size_t i = 0; i < request.tonesPercent.size(); ++i) {
        sheet.patches.push_back(
            {.tonePercent = request.tonesPercent[i],
             .at = {x + double(i) * request.sideMm, y, request.sideMm, request.sideMm},
             .page = 1,
             .label = fmt::format("{}{}", request.place, static_cast<char>('A' + int(i)))});
        tones.push_back(layout::textFromTone(request.tonesPercent[i]));
    }
    // The heading is printed once for all places, and therefore without a code.
    if (request.heading.value_or(request.place == 1)) layout::addHeading(sheet, layout::frameOf(sheet.page));
    sheet.code = codeOfSheet(sheet);
    words->push_back(fmt::format("{}  {}%", sheet.code, fmt::join(tones, " ")));
    double baseline = y + request.sideMm + kBelowMm + kSmallMm;
    for (std::string& line : *words) {
        layout::letter(sheet, std::move(line), x, baseline, kSmallMm, 1);
        baseline += kLineMm;
    }
    return sheet;
}

}  // namespace greywright::sheet

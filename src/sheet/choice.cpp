#include <algorithm>
#include <cstdlib>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "core/random.h"
#include "core/said.h"
#include "sheet/colours.h"
#include "sheet/design.h"
#include "sheet/layout.h"
#include "sheet/lettering.h"

namespace greywright::sheet {
namespace {

using layout::kBelowMm;
using layout::kSmallMm;

using Colour = std::array<std::uint16_t, 3>;

constexpr double kMostStepPercent = 10;
constexpr double kLargestBlockMm = 26;
constexpr double kSmallestBlockMm = 7;
constexpr double kTitleMm = kSmallMm + 5;
constexpr const char* kWords = "NUMBER OF THE MOST NEUTRAL GREY";
constexpr double kLineToWriteOnMm = 18;

/// The points of a hexagonal grid in the plane of equal sums, from its middle outwards as far as `rings`.
Result<std::vector<Colour>> coloursOf(const ChoiceRequest& request) {
    std::vector<Colour> colours;
    for (int red = -request.rings; red <= request.rings; ++red) {
        for (int green = -request.rings; green <= request.rings; ++green) {
            if (std::abs(red - green) > request.rings) continue;
            // `red` steps towards red and `green` steps towards green.
            const double r = request.stepPercent * (red - 0.5 * green);
            const double g = request.stepPercent * (green - 0.5 * red);
            const auto rgb = colourBeside(request.tonePercent, {r, g, -r - g});
            if (!rgb) {
                return layout::refusal(
                    "step-out-of-range", "step",
                    said("{} rings of {} percent around a tone of {} percent leave the range", request.rings,
                         request.stepPercent, request.tonePercent),
                    said("Choose a tone nearer to the middle, smaller steps or fewer rings"));
            }
            colours.push_back(*rgb);
        }
    }
    return colours;
}

/// The largest squares of which the room holds `count`, and how many stand side by side.
std::pair<double, std::size_t> largestBlocks(const RectMm& room, std::size_t count) {
    for (double side = kLargestBlockMm; side >= kSmallestBlockMm; side -= 0.5) {
        const double apart = side / 4;
        const auto across = static_cast<std::size_t>((room.width + apart) / (side + apart));
        const auto down =
            static_cast<std::size_t>((room.height + apart) / (side + kBelowMm + kSmallMm + apart));
        if (across * down >= count) return {side, across};
    }
    return {0, 0};
}

Outcome check(const ChoiceRequest& request) {
    if (auto sound = layout::checkTones({&request.tonePercent, 1}, 1, 1, "tone"); !sound) return sound;
    if (auto sound = checkStep(request.stepPercent, kMostStepPercent); !sound) return sound;
    if (request.rings < 1 || request.rings > 3) {
        return layout::refusal("rings-out-of-range", "rings",
                               said("{} rings of colours cannot be made", request.rings),
                               said("Ask for 1 to 3 rings"));
    }
    if (auto sound = layout::checkPage(request.page); !sound) return sound;
    const double roomMm = layout::roomOn(request.page).width - kLineToWriteOnMm - 1.5;
    if (auto fits = layout::checkRoomFor(kWords, roomMm); !fits) return fits;
    return layout::checkTitle(request.title, request.page);
}

}  // namespace

std::uint64_t seedFromName(std::string_view name) {
    std::uint64_t seed = 1;
    for (const char letter : name) seed = 31 * seed + static_cast<unsigned char>(letter);
    return seed;
}

Result<Sheet> choiceSheet(const ChoiceRequest& request) {
    if (auto sound = check(request); !sound) return std::move(sound).error();
    auto colours = coloursOf(request);
    if (!colours) return std::move(colours).error();
    RectMm room = layout::roomOn(request.page);
    room.y += kTitleMm;
    room.height -= kTitleMm;
    const auto [side, across] = largestBlocks(room, colours->size());
    if (across == 0) {
        return layout::pageTooSmall(said("there is no room for {} blocks on {} x {} mm", colours->size(),
                                         request.page.widthMm, request.page.heightMm),
                                    said("Choose a larger page, a smaller margin or fewer rings"));
    }
    Random random(request.seed);
    for (std::size_t i = colours->size(); i > 1; --i) {
        std::swap((*colours)[i - 1], (*colours)[static_cast<std::size_t>(random.bits() % i)]);
    }
    Sheet sheet{
        .kind = Kind::byEye, .name = request.title.name, .date = request.title.date, .page = request.page};
    const double baseline = room.y - kTitleMm + kSmallMm;
    layout::letter(sheet, kWords, room.x, baseline, kSmallMm, 1);
    sheet.marks.push_back({.at = {room.x + letteringWidthMm(kWords, kSmallMm) + 1.5, baseline,
                                  kLineToWriteOnMm, layout::kThinMm}});
    const std::size_t rows = (colours->size() + across - 1) / across;
    const std::size_t perRow = (colours->size() + rows - 1) / rows;
    const double left = room.x + (room.width - double(perRow) * side * 1.25 + side / 4) / 2;
    for (std::size_t i = 0; i < colours->size(); ++i) {
        const RectMm at{left + double(i % perRow) * side * 1.25,
                        room.y + double(i / perRow) * (side * 1.25 + kBelowMm + kSmallMm), side, side};
        const std::string label = fmt::format("{}", i + 1);
        sheet.patches.push_back(
            {.tonePercent = request.tonePercent, .at = at, .label = label, .rgb = (*colours)[i]});
        layout::letterCentred(sheet, label, at.x + side / 2, at.y + side + kBelowMm + kSmallMm, kSmallMm, 1);
    }
    sheet.code = codeOfSheet(sheet);
    layout::addHeading(sheet, layout::frameOf(sheet.page), "LOOK UNDER THE LIGHT THAT COUNTS");
    return sheet;
}

}  // namespace greywright::sheet

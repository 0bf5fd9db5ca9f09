#include <algorithm>
#include <utility>

#include <fmt/format.h>

#include "core/random.h"
#include "core/said.h"
#include "sheet/design.h"
#include "sheet/layout.h"
#include "sheet/lettering.h"

namespace greywright::sheet {
namespace {

using layout::kBelowMm;
using layout::kSmallMm;
using layout::kThinMm;

constexpr const char* kLightWords = "NEAR WHITE: WRITE L OR R FOR THE SQUARE";
constexpr const char* kDarkWords = "NEAR BLACK: WRITE L OR R FOR THE SQUARE";
constexpr double kCellWidthMm = 21;
constexpr double kCellHeightMm = 12;
constexpr double kStepWidthMm = 7;
constexpr double kStepHeightMm = 8;
constexpr double kTickMm = 1;
constexpr double kRowGapMm = 4;
constexpr double kRowMm = kCellHeightMm + kTickMm + kBelowMm + kSmallMm + kRowGapMm;
constexpr double kTitleMm = kSmallMm + 3;

class EyeLayout {
  public:
    explicit EyeLayout(const EyeRequest& request)
        : request_(request), room_(layout::roomOn(request.page)), random_(request.seed) {}

    Result<Sheet> make() {
        if (room_.width < 2 * kCellWidthMm || room_.height < kTitleMm + kRowMm) {
            return layout::pageTooSmall(said("there is no room for one row of steps on {} x {} mm",
                                             request_.page.widthMm, request_.page.heightMm),
                                        said("Choose a larger page or a smaller margin"));
        }
        sheet_.kind = Kind::byEye;
        sheet_.name = request_.title.name;
        sheet_.date = request_.title.date;
        sheet_.page = request_.page;
        y_ = room_.y;
        addSteps(request_.lightTonesPercent, 0, 'W', kLightWords);
        addSteps(request_.darkTonesPercent, 100, 'K', kDarkWords);
        sheet_.pages = page_;
        sheet_.code = codeOfSheet(sheet_);
        layout::addHeading(sheet_, layout::frameOf(sheet_.page), "WRITE - WHERE YOU SEE NONE");
        return std::move(sheet_);
    }

  private:
    [[nodiscard]] bool fits(double mm) const { return y_ + mm <= room_.y + room_.height; }

    void turnPage() {
        ++page_;
        y_ = room_.y;
    }

    void addSteps(const std::vector<double>& tones, double fieldPercent, char group, const char* words) {
        if (!fits(kTitleMm + kRowMm - kRowGapMm)) turnPage();
        layout::letter(sheet_, words, room_.x, y_ + kSmallMm, kSmallMm, page_);
        y_ += kTitleMm;
        const std::size_t most = static_cast<std::size_t>(room_.width / kCellWidthMm);
        const std::size_t rows = (tones.size() + most - 1) / most;
        const std::size_t perRow = (tones.size() + rows - 1) / rows;
        for (std::size_t first = 0; first < tones.size(); first += perRow) {
            if (!fits(kRowMm - kRowGapMm)) turnPage();
            addRow(tones, first, std::min(first + perRow, tones.size()), fieldPercent, group);
            y_ += kRowMm;
        }
    }

    void addRow(const std::vector<double>& tones, std::size_t first, std::size_t end, double fieldPercent,
                char group) {
        const double width = double(end - first) * kCellWidthMm;
        const double foot = y_ + kCellHeightMm;
        if (fieldPercent > 0) addMark(fieldPercent, {room_.x, y_, width, kCellHeightMm});
        for (std::size_t i = first; i < end; ++i) {
            const double x = room_.x + double(i - first) * kCellWidthMm;
            const bool isRight = (random_.bits() >> 63U) == 1;
            const double middle = x + kCellWidthMm * (isRight ? 0.75 : 0.25);
            sheet_.patches.push_back(
                {.tonePercent = tones[i],
                 .at = {middle - kStepWidthMm / 2, y_ + (kCellHeightMm - kStepHeightMm) / 2, kStepWidthMm,
                        kStepHeightMm},
                 .page = page_,
                 .label = fmt::format("{}{}{}", group, i + 1, isRight ? 'R' : 'L')});
            addCellWords(tones[i], x, foot);
        }
        addMark(100, {room_.x, foot, width, kThinMm});
    }

    // Ticks part the cells and, shorter, their halves; then the tone and a line to write on.
    void addCellWords(double tone, double x, double foot) {
        for (const double end : {x, x + kCellWidthMm - kThinMm}) {
            addMark(100, {end, foot, kThinMm, kTickMm + kSmallMm});
        }
        addMark(100, {x + (kCellWidthMm - kThinMm) / 2, foot, kThinMm, kTickMm});
        const std::string words = layout::textFromTone(tone);
        const double baseline = foot + kTickMm + kBelowMm + kSmallMm;
        layout::letter(sheet_, words, x + 1.5, baseline, kSmallMm, page_);
        const double begin = x + 1.5 + letteringWidthMm(words, kSmallMm) + 1.5;
        addMark(100, {begin, baseline, x + kCellWidthMm - 1.5 - begin, kThinMm});
    }

    void addMark(double tonePercent, const RectMm& at) {
        sheet_.marks.push_back({.tonePercent = tonePercent, .at = at, .page = page_});
    }

    const EyeRequest& request_;
    RectMm room_;
    Random random_;
    Sheet sheet_;
    double y_ = 0;
    int page_ = 1;
};

}  // namespace

Result<Sheet> eyeSheet(const EyeRequest& request) {
    if (auto sound = layout::checkTones(request.lightTonesPercent, 2, 20, "light tones"); !sound)
        return std::move(sound).error();
    if (auto sound = layout::checkTones(request.darkTonesPercent, 2, 20, "dark tones"); !sound)
        return std::move(sound).error();
    if (auto sound = layout::checkPage(request.page); !sound) return std::move(sound).error();
    if (auto sound = layout::checkTitle(request.title, request.page); !sound) return std::move(sound).error();
    for (const char* words : {kLightWords, kDarkWords}) {
        if (auto fits = layout::checkRoomFor(words, layout::roomOn(request.page).width); !fits)
            return std::move(fits).error();
    }
    return EyeLayout(request).make();
}

}  // namespace greywright::sheet

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>

#include <fmt/format.h>

#include "core/random.h"
#include "core/said.h"
#include "sheet/colours.h"
#include "sheet/design.h"
#include "sheet/layout.h"
#include "sheet/lettering.h"
#include "sheet/tiles.h"

namespace greywright::sheet {
namespace {

using layout::kBelowMm;
using layout::kSmallMm;
using layout::kThinMm;

constexpr double kTitleMm = kSmallMm + 1.5;
constexpr double kApartMm = 4.5;
constexpr double kNarrowestPairMm = 11;
constexpr double kWidestPairMm = 30;
constexpr double kPairApartMm = 4;
constexpr double kLetterMm = 14;  // for the tone before a row of pairs
constexpr double kLeastPictureMm = 45;
constexpr double kGradientOfHeight = 0.05;

class EyePictureLayout {
  public:
    explicit EyePictureLayout(const EyePictureRequest& request)
        : request_(request), room_(layout::roomOn(request.page)), random_(request.seed) {}

    Result<Sheet> make() {
        stripMm_ = std::clamp(kGradientOfHeight * request_.page.heightMm, 7.0, 20.0);
        if (room_.width < kLetterMm + 2 * (kNarrowestPairMm + kPairApartMm) ||
            room_.height < std::max(kLeastPictureMm + kTitleMm, 2 * (kTitleMm + stripMm_ + kApartMm))) {
            return layout::pageTooSmall(said("there is no room for a picture on {} x {} mm",
                                             request_.page.widthMm, request_.page.heightMm),
                                        said("Choose a larger page or a smaller margin"));
        }
        sheet_.kind = Kind::byEye;
        sheet_.name = request_.title.name;
        sheet_.date = request_.title.date;
        sheet_.page = request_.page;
        y_ = room_.y;
        const double each =
            (room_.width - kLetterMm + kPairApartMm) / double(request_.differencesPercent.size());
        pairMm_ = std::clamp(each - kPairApartMm, kNarrowestPairMm, kWidestPairMm);
        addGradients();
        addPairs();
        addPicture();
        sheet_.pages = page_;
        sheet_.code = codeOfSheet(sheet_);
        layout::addHeading(sheet_, layout::frameOf(sheet_.page), "WRITE - WHERE YOU SEE NONE");
        return std::move(sheet_);
    }

  private:
    void makeRoom(double mm) {
        if (y_ + mm <= room_.y + room_.height) return;
        ++page_;
        y_ = room_.y;
    }

    void addTitle(const std::string& words) {
        layout::letter(sheet_, words, room_.x, y_ + kSmallMm, kSmallMm, page_);
        y_ += kTitleMm;
    }

    void addGradient(double from, double to, double x, double width) {
        sheet_.drawings.push_back(
            {.fromPercent = from, .toPercent = to, .at = {x, y_, width, stripMm_}, .page = page_});
    }

    void addGradients() {
        const double half = room_.width / 2;
        addTitle("LOOK FOR BANDS: PAPER TO BLACK AND BACK");
        addGradient(0, 100, room_.x, half);
        addGradient(100, 0, room_.x + half, half);
        y_ += stripMm_ + kApartMm;
        addTitle("LOOK FOR BANDS: 40 TO 60%");
        addGradient(40, 60, room_.x, room_.width);
        y_ += stripMm_ + kApartMm;
    }

    void addPairs() {
        const double rowMm = stripMm_ + kBelowMm + kSmallMm + kApartMm;
        const auto most =
            static_cast<std::size_t>((room_.width - kLetterMm + kPairApartMm) / (pairMm_ + kPairApartMm));
        makeRoom(kTitleMm + rowMm);
        addTitle("WRITE L OR R FOR THE DARKER HALF");
        for (std::size_t row = 0; row < request_.tonesPercent.size(); ++row) {
            const std::size_t count = request_.differencesPercent.size();
            for (std::size_t first = 0; first < count; first += most) {
                makeRoom(rowMm);
                layout::letter(sheet_, layout::textFromTone(request_.tonesPercent[row]) + "%", room_.x,
                               y_ + (stripMm_ + kSmallMm) / 2, kSmallMm, page_);
                for (std::size_t i = first; i < std::min(first + most, count); ++i) {
                    addPair(row, i, room_.x + kLetterMm + double(i - first) * (pairMm_ + kPairApartMm));
                }
                y_ += rowMm;
            }
        }
    }

    void addPair(std::size_t row, std::size_t column, double x) {
        const double difference = request_.differencesPercent[column];
        const bool isRight = (random_.bits() >> 63U) == 1;
        const std::string label = fmt::format("{}{}", rowName(row), column + 1);
        for (const bool isRightHalf : {false, true}) {
            const bool isDarker = isRightHalf == isRight;
            sheet_.patches.push_back(
                {.tonePercent = request_.tonesPercent[row] + (isDarker ? difference / 2 : -difference / 2),
                 .at = {x + (isRightHalf ? pairMm_ / 2 : 0), y_, pairMm_ / 2, stripMm_},
                 .page = page_,
                 .label = isDarker ? label + (isRight ? 'R' : 'L') : label});
        }
        const double baseline = y_ + stripMm_ + kBelowMm + kSmallMm;
        layout::letter(sheet_, label, x, baseline, kSmallMm, page_);
        const double begin = x + letteringWidthMm(label, kSmallMm) + 1.5;
        sheet_.marks.push_back({.at = {begin, baseline, x + pairMm_ - begin, kThinMm}, .page = page_});
    }

    void addPicture() {
        makeRoom(kTitleMm + kLeastPictureMm);
        addTitle("LOOK FOR A CAST: SKY, LAKE, STONES");
        const double left = room_.y + room_.height - y_;
        const double width = std::min(room_.width, left * 1.9);
        const double height = std::min(left, width / 1.3);
        sheet_.drawings.push_back({.kind = DrawingKind::landscape,
                                   .at = {room_.x + (room_.width - width) / 2, y_, width, height},
                                   .page = page_,
                                   .seed = random_.bits()});
    }

    const EyePictureRequest& request_;
    RectMm room_;
    Random random_;
    Sheet sheet_;
    double stripMm_ = 0;
    double pairMm_ = 0;  ///< both halves
    double y_ = 0;
    int page_ = 1;
};

}  // namespace

Result<Sheet> eyePictureSheet(const EyePictureRequest& request) {
    if (auto sound = layout::checkTones(request.tonesPercent, 1, 5, "tones", 10, 90); !sound)
        return std::move(sound).error();
    if (request.differencesPercent.empty() || request.differencesPercent.size() > 10) {
        return layout::refusal("step-count", "differences",
                               said("{} differences were asked for", request.differencesPercent.size()),
                               said("Ask for 1 to 10 differences"));
    }
    for (const double difference : request.differencesPercent) {
        if (auto sound = checkStep(difference, 10); !sound) return std::move(sound).error();
    }
    if (auto sound = layout::checkPage(request.page); !sound) return std::move(sound).error();
    if (auto sound = layout::checkTitle(request.title, request.page); !sound) return std::move(sound).error();
    return EyePictureLayout(request).make();
}

}  // namespace greywright::sheet

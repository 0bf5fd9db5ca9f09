#include "sheet/layout.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "core/numbers.h"
#include "core/said.h"
#include "sheet/lettering.h"

namespace greywright::sheet::layout {
namespace {

constexpr double kLeastPageMm = 50;
constexpr double kMostPageMm = 1200;
constexpr double kLeastInsideMm = 40;
constexpr double kCodeRoomMm = 24;
constexpr double kScaleMm = 50;
constexpr double kShortScaleMm = 20;
constexpr double kFooterMm = 7;

constexpr double kNameBaselineMm = kLargeMm + 0.5;
constexpr double kDateBaselineMm = kNameBaselineMm + 5;
constexpr double kFirstLineMm = kDateBaselineMm + 8;
constexpr double kLineStepMm = 7.5;
constexpr double kBelowHeadingMm = 5;
constexpr std::array kLinesToWriteOn{"PRINTER", "PAPER", "SETTING"};

double insideWidth(const Page& page) {
    return page.widthMm - 2 * page.marginMm;
}

bool isWide(const RectMm& frame) {
    return frame.width >= 150;
}

/// From the top to the lowest line to write on.
double headingMm(const RectMm& frame) {
    return kFirstLineMm + (isWide(frame) ? 0 : kLineStepMm * double(kLinesToWriteOn.size() - 1));
}

void addLine(Sheet& sheet, RectMm at, int page) {
    sheet.marks.push_back({.tonePercent = 100, .at = at, .page = page});
}

void addLinesToWriteOn(Sheet& sheet, const RectMm& frame, int page) {
    const double each = isWide(frame) ? frame.width / double(kLinesToWriteOn.size()) : frame.width;
    double x = frame.x;
    double baseline = frame.y + kFirstLineMm;
    for (const char* const words : kLinesToWriteOn) {
        letter(sheet, words, x, baseline, kSmallMm, page);
        const double begin = x + letteringWidthMm(words, kSmallMm) + 1.5;
        addLine(sheet, {begin, baseline, x + each - (isWide(frame) ? 3 : 0) - begin, kThinMm}, page);
        if (isWide(frame)) {
            x += each;
        } else {
            baseline += kLineStepMm;
        }
    }
}

void addScale(Sheet& sheet, const RectMm& frame, std::string_view hint, int page) {
    const double left = frame.x;
    const double foot = frame.y + frame.height;
    const bool isShort = frame.width < kScaleMm + 20;
    const double length = isShort ? kShortScaleMm : kScaleMm;
    // The outer edges of the two end marks are the length apart.
    addLine(sheet, {left, foot - 1.5, length, kThinMm}, page);
    addLine(sheet, {left, foot - 2.5, kThinMm, 2.25}, page);
    addLine(sheet, {left + length - kThinMm, foot - 2.5, kThinMm, 2.25}, page);
    const std::string words = fmt::format("{} MM", length);
    letter(sheet, words, left + length + 2, foot - 0.25, kSmallMm, page);
    const double begin = left + length + 2 + letteringWidthMm(words, kSmallMm) + 8;
    const double width = letteringWidthMm(hint, kSmallMm);
    if (begin + width <= left + frame.width) {
        letter(sheet, std::string(hint), begin, foot - 0.25, kSmallMm, page);
    } else if (width <= frame.width) {
        letter(sheet, std::string(hint), left, foot - 3.2, kSmallMm, page);
    }
}

bool isWithin(double number, double least, double most) {
    return std::isfinite(number) && number >= least && number <= most;
}

}  // namespace

Error refusal(std::string code, std::string field, std::string what, std::string next) {
    return {.kind = ErrorKind::wrongUse,
            .code = std::move(code),
            .what = std::move(what),
            .where = {.field = std::move(field)},
            .next = std::move(next)};
}

Error pageTooSmall(std::string what, std::string next) {
    return refusal("page-too-small", "page", std::move(what), std::move(next));
}

Outcome checkRoomFor(std::string_view words, double roomMm) {
    const double width = letteringWidthMm(words, kSmallMm);
    if (width <= roomMm) return Done{};
    return pageTooSmall(
        said("the words '{}' need {:.0f} mm where {:.0f} mm are", words, std::ceil(width), roomMm),
        said("Choose a wider page or a smaller margin"));
}

Outcome checkPage(const Page& page) {
    for (const double mm : {page.widthMm, page.heightMm}) {
        if (isWithin(mm, kLeastPageMm, kMostPageMm)) continue;
        return refusal("page-out-of-range", "page",
                       said("a page of {} x {} mm cannot be made", page.widthMm, page.heightMm),
                       said("Give width and height between {} and {} mm", kLeastPageMm, kMostPageMm));
    }
    const double most = (std::min(page.widthMm, page.heightMm) - kLeastInsideMm) / 2;
    if (isWithin(page.marginMm, 0, most)) return Done{};
    return refusal(
        "margin-too-large", "margin",
        said("a margin of {} mm leaves no room on {} x {} mm", page.marginMm, page.widthMm, page.heightMm),
        said("Give a margin between 0 and {} mm", most));
}

Outcome checkTones(std::span<const double> tonesPercent, std::size_t least, std::size_t most,
                   std::string_view field, double leastPercent, double mostPercent) {
    if (tonesPercent.size() < least || tonesPercent.size() > most) {
        return refusal("tone-count", std::string(field), said("{} tones were asked for", tonesPercent.size()),
                       said("Ask for {} to {} tones", least, most));
    }
    for (const double tone : tonesPercent) {
        if (isWithin(tone, leastPercent, mostPercent)) continue;
        return refusal("tone-out-of-range", std::string(field),
                       said("the tone {} is not within {} to {} percent", tone, leastPercent, mostPercent),
                       said("Give tones in percent: 0 is bare paper, 100 is maximum black"));
    }
    return Done{};
}

Outcome checkSize(double mm, double leastMm, double mostMm, std::string_view field) {
    if (isWithin(mm, leastMm, mostMm)) return Done{};
    return refusal("size-out-of-range", std::string(field),
                   said("{} mm are not within {} to {} mm", mm, leastMm, mostMm),
                   said("Give a size within that range"));
}

Outcome checkWords(std::string_view text, double heightMm, double roomMm, std::string_view field) {
    if (const auto character = cannotBeLettered(text)) {
        return refusal("text-not-drawable", std::string(field),
                       said("'{}' cannot be written on a sheet because of '{}'", text, *character),
                       said("Use letters A to Z, digits, blanks and % = , . - / : + ( ) # _ ' &"));
    }
    const double width = letteringWidthMm(text, heightMm);
    if (width <= roomMm) return Done{};
    return refusal("text-too-long", std::string(field),
                   said("'{}' needs {:.0f} mm where {:.0f} mm are", text, std::ceil(width), roomMm),
                   said("Choose a shorter one or a wider page"));
}

Outcome checkTitle(const Title& title, const Page& page) {
    if (title.name.find_first_not_of(' ') == std::string::npos) {
        return refusal("text-missing", "name", said("the sheet has no name"),
                       said("Give it a name to be told by"));
    }
    if (auto fits = checkWords(title.name, kLargeMm, insideWidth(page) - kCodeRoomMm, "name"); !fits)
        return fits;
    return checkWords(title.date, kSmallMm, insideWidth(page) - kCodeRoomMm, "date");
}

RectMm frameOf(const Page& page) {
    return {page.marginMm, page.marginMm, insideWidth(page), page.heightMm - 2 * page.marginMm};
}

RectMm roomIn(const RectMm& frame) {
    const double top = headingMm(frame) + kBelowHeadingMm;
    return {frame.x, frame.y + top, frame.width, frame.height - kFooterMm - top};
}

RectMm roomOn(const Page& page) {
    return roomIn(frameOf(page));
}

std::string textFromTone(double tonePercent) {
    const std::string text = textFromNumber(tonePercent, 1);
    return text.ends_with(".0") ? text.substr(0, text.size() - 2) : text;
}

void letter(Sheet& sheet, std::string text, double xMm, double baselineMm, double heightMm, int page) {
    if (text.empty()) return;
    sheet.letterings.push_back(
        {.text = std::move(text), .xMm = xMm, .baselineMm = baselineMm, .heightMm = heightMm, .page = page});
}

void letterCentred(Sheet& sheet, std::string text, double middleMm, double baselineMm, double heightMm,
                   int page) {
    const double x = middleMm - letteringWidthMm(text, heightMm) / 2;
    letter(sheet, std::move(text), x, baselineMm, heightMm, page);
}

void outline(Sheet& sheet, const RectMm& at, double apartMm, int page) {
    const double left = at.x - apartMm - kThinMm;
    const double top = at.y - apartMm - kThinMm;
    const double width = at.width + 2 * (apartMm + kThinMm);
    const double height = at.height + 2 * (apartMm + kThinMm);
    addLine(sheet, {left, top, width, kThinMm}, page);
    addLine(sheet, {left, top + height - kThinMm, width, kThinMm}, page);
    addLine(sheet, {left, top, kThinMm, height}, page);
    addLine(sheet, {left + width - kThinMm, top, kThinMm, height}, page);
}

void addHeading(Sheet& sheet, const RectMm& frame, std::string_view hint) {
    const double right = frame.x + frame.width;
    const double nameBaseline = frame.y + kNameBaselineMm;
    const double dateBaseline = frame.y + kDateBaselineMm;
    for (int page = 1; page <= sheet.pages; ++page) {
        letter(sheet, sheet.name, frame.x, nameBaseline, kLargeMm, page);
        letter(sheet, sheet.code, right - letteringWidthMm(sheet.code, kLargeMm), nameBaseline, kLargeMm,
               page);
        letter(sheet, sheet.date, frame.x, dateBaseline, kSmallMm, page);
        if (sheet.pages > 1) {
            const std::string words = fmt::format("PAGE {} OF {}", page, sheet.pages);
            letter(sheet, words, right - letteringWidthMm(words, kSmallMm), dateBaseline, kSmallMm, page);
        }
        addLinesToWriteOn(sheet, frame, page);
        addScale(sheet, frame, hint, page);
    }
}

}  // namespace greywright::sheet::layout

#pragma once

#include <span>
#include <string>
#include <string_view>

#include "core/result.h"
#include "sheet/design.h"
#include "sheet/sheet.h"

/// What all kinds of sheets share: checks of requests, and what stands above and below the patches. For the
/// sources of this module only.
namespace greywright::sheet::layout {

inline constexpr double kSmallMm = 2.5;  ///< height of capitals of most words
inline constexpr double kLargeMm = 4;    ///< and of a sheet's name
inline constexpr double kBelowMm = 1.2;  ///< between a patch and the words below it
inline constexpr double kLineMm = 3.9;   ///< from one small line to the next

[[nodiscard]] Error refusal(std::string code, std::string field, std::string what, std::string next);

/// Errors: page-out-of-range, margin-too-large.
[[nodiscard]] Outcome checkPage(const Page& page);
/// Errors: tone-count, tone-out-of-range.
[[nodiscard]] Outcome checkTones(std::span<const double> tonesPercent, std::size_t least, std::size_t most,
                                 std::string_view field, double leastPercent = 0, double mostPercent = 100);
/// Errors: size-out-of-range.
[[nodiscard]] Outcome checkSize(double mm, double leastMm, double mostMm, std::string_view field);
/// Errors: text-not-drawable, text-too-long.
[[nodiscard]] Outcome checkWords(std::string_view text, double heightMm, double roomMm,
                                 std::string_view field);
/// Errors: text-missing, and those of checkWords().
[[nodiscard]] Outcome checkTitle(const Title& title, const Page& page);

[[nodiscard]] Error pageTooSmall(std::string what, std::string next);
/// Whether the program's own words fit. Errors: page-too-small.
[[nodiscard]] Outcome checkRoomFor(std::string_view words, double roomMm);

/// What is within the margin.
[[nodiscard]] RectMm frameOf(const Page& page);

/// The part of a frame that is left for patches and their words, below the heading and above the scale.
[[nodiscard]] RectMm roomIn(const RectMm& frame);
[[nodiscard]] RectMm roomOn(const Page& page);

/// "45", "12.5" or, rounded, "33.3".
[[nodiscard]] std::string textFromTone(double tonePercent);

void letter(Sheet& sheet, std::string text, double xMm, double baselineMm, double heightMm, int page);
void letterCentred(Sheet& sheet, std::string text, double middleMm, double baselineMm, double heightMm,
                   int page);

/// The thickness of fine lines.
inline constexpr double kThinMm = 0.25;

/// A line around `at`, `apartMm` away from it on all sides.
void outline(Sheet& sheet, const RectMm& at, double apartMm, int page);

/// The same on every page, in `frame`: name, date, lines to write on, and a scale that shows whether the
/// print is true to size; and the code, if the sheet has one. `hint` stands beside the scale where there is
/// room, else above it.
void addHeading(Sheet& sheet, const RectMm& frame, std::string_view hint = {});

}  // namespace greywright::sheet::layout

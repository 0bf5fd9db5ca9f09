#pragma once

#include <set>
#include <string>

#include <gtest/gtest.h>

#include "core/result.h"
#include "sheet/lettering.h"
#include "sheet/sheet.h"

/// For tests only.
namespace greywright::sheet {

/// The error's code, or "none"; every refusal is wrong use and says what to do.
template <typename T>
std::string codeOf(const Result<T>& result) {
    if (result) return "none";
    EXPECT_EQ(result.error().kind, ErrorKind::wrongUse);
    EXPECT_NE(result.error().where.field, "");
    EXPECT_NE(result.error().next, "");
    return result.error().code;
}

inline bool overlap(const RectMm& one, const RectMm& other) {
    constexpr double kRounding = 1e-9;
    return one.x + one.width > other.x + kRounding && other.x + other.width > one.x + kRounding &&
           one.y + one.height > other.y + kRounding && other.y + other.height > one.y + kRounding;
}

inline RectMm boxOf(const Lettering& words) {
    const double half = kStrokeFraction * words.heightMm / 2;
    return {words.xMm, words.baselineMm - words.heightMm - half, letteringWidthMm(words.text, words.heightMm),
            words.heightMm + 2 * half};
}

/// Everything inside the margin; patches apart from each other and from all words, whatever the page; nothing
/// printed on bare paper, on the card or within a cell of a marker.
inline void expectSound(const Sheet& sheet) {
    const Page& page = sheet.page;
    const auto inside = [&](const RectMm& at) {
        constexpr double kRounding = 1e-9;
        return at.x >= page.marginMm - kRounding && at.y >= page.marginMm - kRounding &&
               at.x + at.width <= page.widthMm - page.marginMm + kRounding &&
               at.y + at.height <= page.heightMm - page.marginMm + kRounding;
    };
    std::set<std::string> labels;
    for (const Patch& patch : sheet.patches) {
        EXPECT_TRUE(inside(patch.at)) << patch.label;
        EXPECT_TRUE(labels.insert(patch.label).second) << patch.label << " twice";
        EXPECT_GE(patch.page, 1);
        EXPECT_LE(patch.page, sheet.pages);
        for (const Patch& other : sheet.patches) {
            if (&other == &patch || other.page != patch.page) continue;
            EXPECT_FALSE(overlap(patch.at, other.at)) << patch.label << " and " << other.label;
        }
        for (const Lettering& words : sheet.letterings) {
            if (words.page != patch.page) continue;
            EXPECT_FALSE(overlap(patch.at, boxOf(words))) << patch.label << " and " << words.text;
        }
    }
    for (const Mark& mark : sheet.marks) EXPECT_TRUE(inside(mark.at)) << mark.at.x << " " << mark.at.y;
    for (const Lettering& words : sheet.letterings) {
        EXPECT_TRUE(inside(boxOf(words))) << words.text;
        for (const Lettering& other : sheet.letterings) {
            if (&other == &words || other.page != words.page) continue;
            EXPECT_FALSE(overlap(boxOf(words), boxOf(other))) << words.text << " and " << other.text;
        }
    }
    for (const Drawing& drawing : sheet.drawings) EXPECT_TRUE(inside(drawing.at));
    const auto expectFree = [&](const RectMm& at, int number, const std::string& what) {
        const auto expectApart = [&](const RectMm& printed, int on, const std::string& name) {
            EXPECT_FALSE(on == number && overlap(printed, at)) << name << " on " << what;
        };
        for (const Patch& patch : sheet.patches) expectApart(patch.at, patch.page, patch.label);
        for (const Lettering& words : sheet.letterings) expectApart(boxOf(words), words.page, words.text);
        for (const Mark& mark : sheet.marks) expectApart(mark.at, mark.page, "a mark");
        for (const Drawing& drawing : sheet.drawings) expectApart(drawing.at, drawing.page, "a drawing");
    };
    for (const Marker& marker : sheet.markers) {
        const double cell = marker.at.width / 9;
        const RectMm quiet{marker.at.x - cell, marker.at.y - cell, marker.at.width + 2 * cell,
                           marker.at.height + 2 * cell};
        EXPECT_TRUE(inside(marker.at)) << marker.number;
        expectFree(quiet, marker.page, "a marker's surround");
        for (const Marker& other : sheet.markers) {
            if (&other == &marker || other.page != marker.page) continue;
            EXPECT_FALSE(overlap(quiet, other.at)) << marker.number << " and " << other.number;
        }
    }
    for (const BarePaper& bare : sheet.bare) {
        EXPECT_TRUE(inside(bare.at));
        expectFree(bare.at, bare.page, "bare paper");
        for (const Marker& marker : sheet.markers) {
            EXPECT_FALSE(marker.page == bare.page && overlap(marker.at, bare.at));
        }
        EXPECT_FALSE(sheet.card && overlap(*sheet.card, bare.at));
    }
    for (int number = 1; sheet.card && number <= sheet.pages; ++number) {
        EXPECT_TRUE(inside(*sheet.card));
        expectFree(*sheet.card, number, "the card");
    }
}

}  // namespace greywright::sheet

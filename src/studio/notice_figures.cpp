#include "studio/notice_figures.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

#include <fmt/format.h>

#include "colour/colorimeter.h"
#include "core/contract.h"
#include "core/said.h"
#include "judge/thresholds.h"
#include "studio/screen.h"

namespace greywright::studio {
namespace {

using colour::Tint;
using figure::Cells;
using figure::Ink;
using figure::Marker;
using figure::Plot;
using figure::Points;
using figure::Rgb;
using figure::XY;

constexpr const char* kTitle = toSay("Viewers in a hundred who notice the tint beside something neutral");
constexpr std::size_t kMostTones = 11;
constexpr double kHeldByOutline = 0.95;
constexpr std::size_t kFewestForOutline = 20;
constexpr double kAlike = 1e-6;   // CIELAB units within which all eyes agree
constexpr double kLeastSpan = 2;  // CIELAB units on either axis
constexpr double kWantedTint = 10;
constexpr std::array<double, 8> kFactors{1, 2, 3, 5, 8, 10, 15, 20};

/// "45" or "12.5".
std::string toneText(double tonePercent) {
    const bool isWhole = std::abs(tonePercent - std::round(tonePercent)) < 0.05;
    return fmt::format("{:.{}f}", tonePercent, isWhole ? 0 : 1);
}

/// The share of the scene in which most notice this tone.
double mostAt(const judge::Notice& notice, std::size_t patch) {
    double most = 0;
    for (const judge::SceneNotice& scene : notice.scenes) most = std::max(most, scene.besideByTone[patch]);
    return most;
}

/// Every so many of `indices`, at most `most` and `needed` among them.
std::vector<std::size_t> evenlyChosen(const std::vector<std::size_t>& indices, std::size_t most,
                                      std::size_t needed) {
    const std::size_t stride = (indices.size() + most - 1) / most;
    const auto place = static_cast<std::size_t>(std::ranges::find(indices, needed) - indices.begin());
    std::vector<std::size_t> chosen;
    for (std::size_t i = place % stride; i < indices.size(); i += stride) chosen.push_back(indices[i]);
    return chosen;
}

Rgb rgbFromLab(const colour::Lab& lab) {
    const std::array<double, 3> shares = srgbFromLab(lab);
    const auto code = [&](std::size_t i) { return static_cast<std::uint8_t>(std::lround(255 * shares[i])); };
    return {code(0), code(1), code(2)};
}

/// Centre and outline of where viewers see a tone.
struct Cloud {
    XY mean = {};
    double xx = 0, xy = 0, yy = 0;

    explicit Cloud(const std::vector<Tint>& tints) {
        const auto count = static_cast<double>(tints.size());
        for (const Tint& tint : tints) mean = {mean.x + tint.a / count, mean.y + tint.b / count};
        for (const Tint& tint : tints) {
            xx += std::pow(tint.a - mean.x, 2) / count;
            xy += (tint.a - mean.x) * (tint.b - mean.y) / count;
            yy += std::pow(tint.b - mean.y, 2) / count;
        }
    }

    [[nodiscard]] bool allAlike() const { return std::sqrt(xx + yy) < kAlike; }

    /// By how many standard deviations the ellipse must reach to hold a share of the viewers; nothing where
    /// they lie on a line.
    [[nodiscard]] std::optional<double> scaleHolding(double share, const std::vector<Tint>& tints) const {
        const double determinant = xx * yy - xy * xy;
        if (determinant <= 1e-9 * (xx + yy) * (xx + yy)) return std::nullopt;
        std::vector<double> squares;
        for (const Tint& tint : tints) {
            const double x = tint.a - mean.x;
            const double y = tint.b - mean.y;
            squares.push_back((yy * x * x - 2 * xy * x * y + xx * y * y) / determinant);
        }
        const auto place =
            static_cast<std::size_t>(std::ceil(share * static_cast<double>(squares.size()))) - 1;
        std::ranges::nth_element(squares, squares.begin() + static_cast<std::ptrdiff_t>(place));
        return std::sqrt(squares[place]);
    }
};

/// How one scene is drawn.
struct Look {
    Ink ink = Ink::petrol;
    Marker dot = Marker::disc;
    figure::Dash outline = figure::Dash::solid;
};

/// The dots go into the plot, what is to lie on all dots to `onTop`.
void addViewers(const judge::SceneNotice& scene, const Look& look, Plot& plot,
                std::vector<figure::Series>& onTop) {
    if (scene.spread.empty()) return;
    const Cloud cloud(scene.spread);
    const std::string where = said("{} at {} % tone", scene.name, toneText(scene.spreadTonePercent));
    Points mean{.points = {cloud.mean},
                .labels = {scene.name + ", mean"},
                .ink = look.ink,
                .marker = Marker::square,
                .radiusPt = 3.4};
    if (cloud.allAlike()) {
        mean.labels = {scene.name};
        mean.name = where + said(": all viewers alike");
        onTop.emplace_back(std::move(mean));
        return;
    }
    Points viewers{.name = where + said(": a dot for each viewer"),
                   .ink = look.ink,
                   .marker = look.dot,
                   .radiusPt = 1.1};
    for (const Tint& tint : scene.spread) viewers.points.push_back({tint.a, tint.b});
    const auto scale = cloud.scaleHolding(kHeldByOutline, scene.spread);
    if (scale && scene.spread.size() >= kFewestForOutline) {
        figure::Ellipse outline =
            figure::ellipseFromCovariance(cloud.mean, cloud.xx, cloud.xy, cloud.yy, *scale);
        outline.ink = look.ink;
        outline.dash = look.outline;
        onTop.emplace_back(std::move(outline));
        viewers.name += said(", the outline holds {:.0f} %", 100 * kHeldByOutline);
    }
    plot.series.emplace_back(std::move(viewers));
    onTop.emplace_back(std::move(mean));
}

/// A square part of the plane that holds the aim and all viewers, never so small that a spread nobody could
/// see would fill the page.
void frameViewers(std::span<const judge::SceneNotice* const> scenes, Plot& plot) {
    figure::Range a{0, 0};
    figure::Range b{0, 0};
    for (const judge::SceneNotice* scene : scenes) {
        for (const Tint& tint : scene->spread) {
            a = {std::min(a.low, tint.a), std::max(a.high, tint.a)};
            b = {std::min(b.low, tint.b), std::max(b.high, tint.b)};
        }
    }
    const double half = 0.58 * std::max({a.span(), b.span(), kLeastSpan});
    const auto around = [&](const figure::Range& range) {
        const double middle = (range.low + range.high) / 2;
        return figure::Range{middle - half, middle + half};
    };
    plot.x.range = around(a);
    plot.y.range = around(b);
}

Plot planeOf(std::span<const judge::SceneNotice* const> scenes) {
    std::string names;
    for (const judge::SceneNotice* scene : scenes)
        names += (names.empty() ? "" : said(" and ")) + scene->name;
    Plot plot{.description =
                  said("How the worst tone lies from the aim in the a*b* plane to each viewer's own eyes: ") +
                  names + ".",
              .x = {.title = said("a*, green to red, from the aim")},
              .y = {.title = said("b*, blue to yellow, from the aim")},
              .equalAspect = true,
              .widthPt = 380,
              .heightPt = 380};
    if (std::ranges::all_of(scenes, [](const auto* scene) { return scene->spread.empty(); })) return plot;
    plot.series.emplace_back(figure::ReferenceLine{.at = 0});
    plot.series.emplace_back(
        figure::ReferenceLine{.at = 0, .across = figure::ReferenceLine::Across::upright});
    std::vector<figure::Series> onTop;
    for (std::size_t i = 0; i < scenes.size(); ++i)
        addViewers(*scenes[i], i == 0 ? Look{} : Look{Ink::copper, Marker::circle, figure::Dash::dashed},
                   plot, onTop);
    plot.series.insert(plot.series.end(), onTop.begin(), onTop.end());
    plot.series.emplace_back(
        Points{.points = {{0, 0}}, .labels = {"aim"}, .marker = Marker::cross, .radiusPt = 3.6});
    frameViewers(scenes, plot);
    return plot;
}

}  // namespace

figure::Cells lightsByTones(const judge::Notice& notice, std::span<const double> tonesPercent) {
    for (const judge::SceneNotice& scene : notice.scenes)
        expects(scene.besideByTone.size() == tonesPercent.size(), "one tone per share");
    Cells cells{.title = kTitle, .columnsTitle = "tone, %"};
    // A tone at which nobody at all says anything, not even by mistake, was not asked about.
    std::vector<std::size_t> judged;
    for (std::size_t i = 0; i < tonesPercent.size(); ++i) {
        if (tonesPercent[i] >= judge::kPalestJudgedTonePercent && mostAt(notice, i) > 0) judged.push_back(i);
    }
    if (judged.empty()) return cells;
    const std::size_t worst =
        *std::ranges::max_element(judged, {}, [&](std::size_t patch) { return mostAt(notice, patch); });
    const std::vector<std::size_t> shown = evenlyChosen(judged, kMostTones, worst);
    for (const std::size_t patch : shown) cells.columns.push_back(toneText(tonesPercent[patch]));
    cells.columns.emplace_back(said("whole print"));
    cells.columnsApart = 1;
    for (const judge::SceneNotice& scene : notice.scenes) {
        figure::CellRow row{.name = scene.name};
        for (const std::size_t patch : shown) row.fractions.push_back(scene.besideByTone[patch]);
        row.fractions.push_back(scene.beside.value);
        cells.rows.push_back(std::move(row));
    }
    const auto most = std::ranges::max_element(
        notice.scenes, {}, [&](const judge::SceneNotice& scene) { return scene.besideByTone[worst]; });
    cells.marked = {.row = static_cast<std::size_t>(most - notice.scenes.begin()),
                    .column = static_cast<std::size_t>(std::ranges::find(shown, worst) - shown.begin())};
    return cells;
}

figure::Cells lightsByAges(const judge::Notice& notice) {
    Cells cells{.title = kTitle, .columnsTitle = said("age, years"), .widthPt = 360};
    if (notice.scenes.empty() || notice.scenes.front().who.ages.size() < 2) return cells;
    const std::vector<judge::WhoNotices::AgeBand>& bands = notice.scenes.front().who.ages;
    for (const judge::WhoNotices::AgeBand& band : bands) {
        // Nobody outside the ages that were asked for stands in a band.
        const double from = std::max(band.fromYears, notice.youngestYears);
        const double to =
            std::min(&band == &bands.back() ? band.toYears : band.toYears - 1, notice.oldestYears);
        cells.columns.push_back(said("{:.0f} to {:.0f}", from, to));
    }
    cells.columns.emplace_back("all");
    cells.columnsApart = 1;
    for (const judge::SceneNotice& scene : notice.scenes) {
        figure::CellRow row{.name = scene.name};
        for (const judge::WhoNotices::AgeBand& band : scene.who.ages) row.fractions.push_back(band.share);
        row.fractions.push_back(scene.beside.value);
        cells.rows.push_back(std::move(row));
    }
    return cells;
}

figure::Plot viewersOnThePlane(const judge::SceneNotice& scene) {
    return planeOf(std::array{&scene});
}

figure::Plot viewersOnThePlane(const judge::Notice& notice) {
    if (notice.scenes.empty()) return planeOf({});
    const auto [fewest, most] = std::ranges::minmax_element(
        notice.scenes, {}, [](const judge::SceneNotice& scene) { return scene.beside.value; });
    if (fewest == most) return planeOf(std::array{&*most});
    return planeOf(std::array{&*fewest, &*most});
}

double tintFactor(std::span<const judge::PatchVerdict> patches) {
    double largest = 0;
    for (const judge::PatchVerdict& patch : patches) {
        largest = std::max(largest, std::hypot(patch.lab.a - patch.aim.a, patch.lab.b - patch.aim.b));
    }
    if (largest <= 0) return kFactors.back();
    // As near as can be in proportion, as one sees it.
    return *std::ranges::min_element(
        kFactors, {}, [&](double factor) { return std::abs(std::log(factor * largest / kWantedTint)); });
}

figure::Strip magnifiedTint(std::span<const judge::PatchVerdict> patches,
                            std::span<const double> tonesPercent, double factor) {
    expects(factor >= 1, "a tint is made larger, not smaller");
    figure::Strip strip{.description =
                            said("The tones as aimed, as measured, and with their tint made larger.")};
    strip.rows = {{.name = said("as aimed")}, {.name = said("as measured")}};
    if (factor > 1) strip.rows.push_back({.name = said("tint × {:g}", factor)});
    const judge::PatchVerdict* before = nullptr;
    for (const double tone : tonesPercent) {
        if (patches.empty()) break;
        const judge::PatchVerdict& patch = *std::ranges::min_element(
            patches, {}, [&](const judge::PatchVerdict& one) { return std::abs(one.tonePercent - tone); });
        if (&patch == before) continue;
        before = &patch;
        const auto with = [&](double times) {
            return rgbFromLab({patch.lab.L, patch.aim.a + times * (patch.lab.a - patch.aim.a),
                               patch.aim.b + times * (patch.lab.b - patch.aim.b)});
        };
        strip.rows[0].swatches.push_back({with(0), {}});
        strip.rows[1].swatches.push_back({with(1), {}});
        if (factor > 1) strip.rows[2].swatches.push_back({with(factor), {}});
        strip.rows.back().swatches.back().label = toneText(patch.tonePercent) + " %";
    }
    return strip;
}

}  // namespace greywright::studio

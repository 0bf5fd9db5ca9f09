#include "judge/sheet_of_ramp.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include <fmt/format.h>

#include "colour/colorimeter.h"
#include "colour/viewer.h"
#include "core/contract.h"
#include "judge/thresholds.h"

namespace greywright::judge {
namespace {

using measure::Condition;
using Rows = std::vector<std::vector<double>>;

Rows rowsOf(const measure::Ramp& ramp) {
    Rows rows;
    for (const measure::RampPatch& patch : ramp.patches) rows.push_back(patch.reflectance);
    return rows;
}

bool hasUltraviolet(Condition condition) {
    return condition == Condition::m0 || condition == Condition::m1;
}

colour::Light lightOf(Condition condition) {
    return colour::lightByName(condition == Condition::m0 ? "A" : "D50").value();
}

bool sameTones(const measure::Ramp& one, const measure::Ramp& other) {
    return std::ranges::equal(one.patches, other.patches, [](const auto& a, const auto& b) {
        return std::abs(a.tonePercent - b.tonePercent) < 0.05;
    });
}

std::optional<std::size_t> paperOf(const measure::Ramp& ramp) {
    if (ramp.patches.front().tonePercent > 0.005) return std::nullopt;
    return 0;
}

}  // namespace

colour::SheetSpectra sheetOfRamp(const measure::Ramp& ramp, const measure::Ramp* second,
                                 std::vector<Note>& notes) {
    expects(ramp.grid.has_value(), "sheetOfRamp: a ramp with spectra");
    const auto note = [&](const char* code, std::string text) {
        notes.push_back({.code = code, .text = std::move(text), .where = {}});
    };
    const auto nameOf = [](const measure::Ramp& one) { return measure::textFromCondition(one.condition); };
    if (second != nullptr) {
        const bool isPair = (hasUltraviolet(ramp.condition) && second->condition == Condition::m2) ||
                            (hasUltraviolet(second->condition) && ramp.condition == Condition::m2);
        if (isPair && second->grid == ramp.grid && sameTones(ramp, *second)) {
            const measure::Ramp& with = hasUltraviolet(ramp.condition) ? ramp : *second;
            const measure::Ramp& without = hasUltraviolet(ramp.condition) ? *second : ramp;
            note("glow-measured",
                 fmt::format("the paper's brightener was found from the readings under {} and {}",
                             nameOf(with), nameOf(without)));
            return colour::sheetFromTwoReadings(*ramp.grid, rowsOf(with), rowsOf(without),
                                                lightOf(with.condition));
        }
        note("second-reading-unfit",
             fmt::format(
                 "the second reading ({}) does not tell the paper's brightener: it has to be of the same "
                 "tones and wavelengths, one reading under M1 or M0, the other under M2",
                 nameOf(*second)));
    }
    const auto paper = paperOf(ramp);
    if (hasUltraviolet(ramp.condition) && paper) {
        colour::SheetSpectra sheet =
            colour::sheetFromOneReading(*ramp.grid, rowsOf(ramp), *paper, lightOf(ramp.condition));
        if (sheet.isGlowEstimated) {
            note("glow-estimated",
                 "the paper has a brightener; how much it glows under other lights is an estimate from the "
                 "shape "
                 "of its spectrum: a second reading under M2 would tell");
        }
        return sheet;
    }
    if (ramp.condition == Condition::unknown || (hasUltraviolet(ramp.condition) && !paper)) {
        note("glow-unknown",
             "what the paper's brightener does under other lights is left out: the reading does not say "
             "enough");
    }
    return colour::sheetFromReflectances(*ramp.grid, rowsOf(ramp));
}

std::vector<colour::Lab> labsUnder(const colour::SheetSpectra& sheet, const Scene& scene) {
    const colour::Observer& observer = colour::observer(colour::ObserverName::cie1931);
    std::vector<double> sensitivities = observer.xBar;
    sensitivities.insert(sensitivities.end(), observer.yBar.begin(), observer.yBar.end());
    sensitivities.insert(sensitivities.end(), observer.zBar.begin(), observer.zBar.end());
    const std::vector<double> stimuli = colour::stimuliUnder(sheet, scene.light, scene.glazing);
    const std::size_t columns = 1 + sheet.reflectance.size();
    std::vector<double> responses(3 * columns);
    colour::integrate(sensitivities, stimuli, responses);
    const auto xyz = [&](std::size_t column) {
        const double scale = 100 / responses[columns];
        return colour::Xyz{scale * responses[column], scale * responses[columns + column],
                           scale * responses[2 * columns + column]};
    };
    std::vector<colour::Lab> labs;
    for (std::size_t patch = 1; patch < columns; ++patch)
        labs.push_back(colour::labFromXyz(xyz(patch), xyz(0)));
    return labs;
}

measure::Ramp rampUnder(const measure::Ramp& ramp, const colour::SheetSpectra& sheet, const Scene& scene) {
    measure::Ramp out = ramp;
    const std::vector<colour::Lab> labs = labsUnder(sheet, scene);
    for (std::size_t i = 0; i < out.patches.size(); ++i) out.patches[i].lab = labs[i];
    return out;
}

NoticeSubject subjectOfRamp(const measure::Ramp& ramp, const colour::SheetSpectra* sheet,
                            const measure::Ramp* reference, const colour::SheetSpectra* referenceSheet,
                            colour::TintAimKind aim) {
    NoticeSubject subject{.aim = aim, .blackLWithout = kTypicalBlackL};
    const auto lend = [&](std::size_t patch) {
        const measure::RampPatch& from = reference->patches[patch];
        subject.tonesPercent.push_back(from.tonePercent);
        subject.labs.push_back(from.lab);
        subject.isLent.push_back(true);
        if (sheet == nullptr) return;
        subject.sheet.reflectance.push_back(referenceSheet->reflectance[patch]);
        if (!sheet->hasGlow()) return;
        // Both glows on one scale.
        std::vector<double> glow(colour::kFineGrid.count);
        if (referenceSheet->hasGlow()) {
            glow = referenceSheet->glow[patch];
            for (double& value : glow)
                value *= sheet->measuredExcitation / referenceSheet->measuredExcitation;
        }
        subject.sheet.glow.push_back(std::move(glow));
    };
    const bool canLend = reference != nullptr && (sheet == nullptr || referenceSheet != nullptr);
    if (!paperOf(ramp) && canLend && paperOf(*reference)) lend(0);
    for (std::size_t i = 0; i < ramp.patches.size(); ++i) {
        subject.tonesPercent.push_back(ramp.patches[i].tonePercent);
        subject.labs.push_back(ramp.patches[i].lab);
        subject.isLent.push_back(false);
        if (sheet == nullptr) continue;
        subject.sheet.reflectance.push_back(sheet->reflectance[i]);
        if (sheet->hasGlow()) subject.sheet.glow.push_back(sheet->glow[i]);
    }
    if (sheet != nullptr) subject.sheet.measuredExcitation = sheet->measuredExcitation;
    const bool hasBlack = ramp.patches.back().tonePercent >= 99.995;
    const bool referenceHasBlack = canLend && reference->patches.back().tonePercent >= 99.995;
    if (!hasBlack && referenceHasBlack) lend(reference->patches.size() - 1);
    if (subject.tonesPercent.front() <= 0.005) subject.paper = 0;
    if (hasBlack || referenceHasBlack) {
        const auto darkest = std::ranges::min_element(subject.labs, {}, &colour::Lab::L);
        subject.black = static_cast<std::size_t>(darkest - subject.labs.begin());
    }
    return subject;
}

double unevennessPercent(const std::vector<double>& reflectance, const std::vector<double>& paper) {
    constexpr auto kFrom = static_cast<std::size_t>(420 - colour::kFineGrid.startNm);
    constexpr auto kTo = static_cast<std::size_t>(680 - colour::kFineGrid.startNm);
    constexpr double kCount = kTo - kFrom + 1;
    const auto ratio = [&](std::size_t i) { return reflectance[i] / std::max(paper[i], 1e-4); };
    double mean = 0, square = 0;
    for (std::size_t i = kFrom; i <= kTo; ++i) mean += ratio(i) / kCount;
    for (std::size_t i = kFrom; i <= kTo; ++i) square += std::pow(ratio(i) - mean, 2) / kCount;
    return mean > 0 ? 100 * std::sqrt(square) / mean : 0;
}

}  // namespace greywright::judge

#include "measure/settle.h"

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>

#include "colour/colorimeter.h"
#include "colour/difference.h"
#include "colour/light.h"
#include "core/numbers.h"
#include "core/said.h"

namespace greywright::measure {
namespace {

using colour::Colorimeter;
using colour::Lab;
using colour::ObserverName;
using colour::WavelengthGrid;

// Schema of CxF3 3.0.018 for a reflectance: above -0.1 and below 3.
constexpr double kLeastReflectance = -0.1;
constexpr double kMostReflectance = 3;

// Where the scale is not told, the largest value decides; no paper reflects twice what falls on it, and no
// ramp has its paper at 5 % or darker.
constexpr double kSurelyFraction = 2;
constexpr double kSurelyPercent = 5;
constexpr double kDoubtfulFraction = 1.3;

// CIELAB in files is rounded, to whole numbers at worst.
constexpr double kAgreementDeltaE = 1.5;
constexpr double kWorstAgreementDeltaE = 6;
constexpr double kBeyondCompare = 1e9;
constexpr std::size_t kMostCompared = 4096;

Colorimeter colorimeterFor(const char* light, ObserverName observer, const WavelengthGrid& grid) {
    return {colour::observer(observer), colour::lightByName(light).value(), grid};
}

struct Agreement {
    double median = 0;
    double worst = 0;
    std::size_t worstPatch = 0;

    [[nodiscard]] bool isGood() const { return median <= kAgreementDeltaE; }
};

/// How far the file's own CIELAB, times `labFactor`, is from that of its spectra, times `scale`.
std::optional<Agreement> agreement(const RawReading& raw, const Colorimeter& colorimeter, double scale,
                                   double labFactor = 1) {
    std::vector<double> distances;
    Agreement result;
    std::vector<double> reflectance;
    const std::size_t stride = std::max<std::size_t>(1, raw.patches.size() / kMostCompared);
    for (std::size_t i = 0; i < raw.patches.size(); i += stride) {
        const RawPatch& patch = raw.patches[i];
        if (!patch.lab) continue;
        reflectance = patch.spectrum;
        for (double& value : reflectance) value *= scale;
        const Lab file{patch.lab->L * labFactor, patch.lab->a * labFactor, patch.lab->b * labFactor};
        const double distance = colour::deltaE2000(colorimeter.labFromReflectance(reflectance), file);
        distances.push_back(std::isfinite(distance) ? distance : kBeyondCompare);
        if (distances.back() > result.worst) {
            result.worst = distances.back();
            result.worstPatch = i;
        }
    }
    if (distances.empty()) return std::nullopt;
    const auto middle = distances.begin() + static_cast<std::ptrdiff_t>(distances.size() / 2);
    std::nth_element(distances.begin(), middle, distances.end());
    result.median = *middle;
    return result;
}

std::string percentOrFraction(double scale) {
    return scale == 1 ? said("as fractions (1 = perfect white)") : said("as percent (100 = perfect white)");
}

Result<double> scaleOf(RawReading& raw, const Colorimeter& colorimeter, const Source& source) {
    if (raw.scale == SpectralScale::fraction) return 1.0;
    if (raw.scale == SpectralScale::percent) return 0.01;
    double most = -1e300;
    const RawPatch* brightest = nullptr;
    for (const RawPatch& patch : raw.patches) {
        const double here = *std::max_element(patch.spectrum.begin(), patch.spectrum.end());
        if (here > most) {
            most = here;
            brightest = &patch;
        }
    }
    const auto asFraction = agreement(raw, colorimeter, 1);
    const auto asPercent = agreement(raw, colorimeter, 0.01);
    const bool fractionFits = asFraction && asFraction->isGood();
    const bool percentFits = asPercent && asPercent->isGood();
    const double byRange = most <= kSurelyFraction ? 1 : most > kSurelyPercent ? 0.01 : 0;
    if (fractionFits != percentFits) {
        const double byLab = fractionFits ? 1 : 0.01;
        if (byLab != byRange) {
            raw.notes.push_back({"spectral-scale-from-lab",
                                 said("the spectra (largest value {:.4g}) were read {}: only so do they "
                                      "agree with the file's own CIELAB",
                                      most, percentOrFraction(byLab))});
        }
        return byLab;
    }
    if (byRange == 0) {
        return source.refusal("spectral-scale-unclear",
                              said("the largest spectral value is {:.4g}: too much for a fraction, too "
                                   "little for percent",
                                   most),
                              said("Export spectra as 0..1 with CIELAB beside them, or name the columns "
                                   "SPECTRAL_DEC (0..1) or SPECTRAL_PCT (0..100)"),
                              brightest->line);
    }
    if (most > kDoubtfulFraction && byRange == 1) {
        raw.notes.push_back({"spectral-scale-doubtful",
                             said("the largest spectral value is {:.4g}, a lot for a fraction; if the "
                                  "file is in percent, name its columns SPECTRAL_PCT",
                                  most)});
    }
    if (byRange == 0.01) {
        raw.notes.push_back({"spectral-scale-percent",
                             said("the spectra (largest value {:.4g}) were read as percent", most)});
    }
    return byRange;
}

/// Says what the disagreement looks like, when it looks like something known.
std::string likelyCause(const RawReading& raw, double scale, const WavelengthGrid& grid) {
    struct Guess {
        const char* light;
        ObserverName observer;
        double scale;
        double labFactor;
        const char* words;
    };
    const std::array guesses{
        Guess{"D50", ObserverName::cie1964, scale, 1,
              toSay("its CIELAB fits the 10 degree observer under D50")},
        Guess{"D65", ObserverName::cie1931, scale, 1, toSay("its CIELAB fits D65 and 2 degrees")},
        Guess{"D65", ObserverName::cie1964, scale, 1, toSay("its CIELAB fits D65 and 10 degrees")},
        Guess{"A", ObserverName::cie1931, scale, 1, toSay("its CIELAB fits illuminant A and 2 degrees")},
        Guess{"D50", ObserverName::cie1931, scale == 1 ? 0.01 : 100, 1,
              toSay("the spectra fit when read in the other scale (0..1 or 0..100)")},
        Guess{"D50", ObserverName::cie1931, scale, 0.01,
              toSay("its CIELAB fits when divided by 100, as if decimal marks had been lost")},
        Guess{"D50", ObserverName::cie1931, scale, 0.1,
              toSay("its CIELAB fits when divided by 10, as if decimal marks had been lost")},
    };
    const Guess* best = nullptr;
    double leastMedian = kAgreementDeltaE;
    for (const Guess& guess : guesses) {
        const auto fit =
            agreement(raw, colorimeterFor(guess.light, guess.observer, grid), guess.scale, guess.labFactor);
        if (fit && fit->median < leastMedian) {
            leastMedian = fit->median;
            best = &guess;
        }
    }
    return translated(best == nullptr ? toSay("no known cause fits; check the export") : best->words);
}

void compareWithOwnLab(RawReading& raw, const Colorimeter& colorimeter, double scale) {
    const auto found = agreement(raw, colorimeter, scale);
    if (!found) return;
    const WhiteStatement& white = raw.statements.white;
    if (!white.mayBeD50TwoDegrees()) {
        raw.notes.push_back(
            {"lab-recomputed", said("the file's own CIELAB is for {}; CIELAB for D50 and 2 degrees was "
                                    "computed from the spectra (median difference {:.1f})",
                                    white.text(), found->median)});
        return;
    }
    if (found->isGood() && found->worst <= kWorstAgreementDeltaE) return;
    const RawPatch& patch = raw.patches[found->worstPatch];
    std::string text = said(
        "the file's own CIELAB is not that of its spectra for D50 and 2 degrees: median difference {:.1f}, "
        "worst {:.1f} (patch {}, line {}); the spectra are used",
        found->median, found->worst, shown(patch.name), patch.line);
    if (!found->isGood()) text += "; " + likelyCause(raw, scale, *raw.grid);
    raw.notes.push_back({"lab-disagrees", std::move(text)});
}

Outcome checkGrid(const RawReading& raw, const Source& source) {
    const WavelengthGrid& grid = *raw.grid;
    const std::size_t line = raw.patches.front().line;
    if (grid.stepNm > 20) {
        return source.refusal("spectrum-too-coarse",
                              said("has a spectral value only every {:.4g} nm", grid.stepNm),
                              said("Export spectra in steps of 10 nm or finer"), line);
    }
    if (grid.startNm > 420 || grid.endNm() < 660) {
        return source.refusal("spectrum-too-narrow",
                              said("the spectra cover {:.4g} to {:.4g} nm", grid.startNm, grid.endNm()),
                              said("Export spectra that cover at least 420 to 660 nm"), line);
    }
    return Done{};
}

Outcome settleSpectra(RawReading& raw, std::vector<Patch>& patches, const Source& source) {
    if (auto checked = checkGrid(raw, source); !checked) return std::move(checked).error();
    const WavelengthGrid& grid = *raw.grid;
    const Colorimeter colorimeter = colorimeterFor("D50", ObserverName::cie1931, grid);
    const auto scale = scaleOf(raw, colorimeter, source);
    if (!scale) return scale.error();
    for (std::size_t i = 0; i < patches.size(); ++i) {
        patches[i].reflectance = raw.patches[i].spectrum;
        for (std::size_t band = 0; band < grid.count; ++band) {
            double& value = patches[i].reflectance[band];
            if (*scale != 1) value /= 100;
            if (value > kLeastReflectance && value < kMostReflectance) continue;
            return source.refusal("reflectance-out-of-range",
                                  said("the reflectance {} of patch {} cannot be that of a print",
                                       textFromNumber(value), shown(raw.patches[i].name)),
                                  said("Check that the file holds reflectances, and measure again"),
                                  raw.patches[i].line, said("{:.4g} nm", grid.atNm(band)));
        }
        patches[i].lab = colorimeter.labFromReflectance(patches[i].reflectance);
    }
    if (colorimeter.extrapolatedFraction() > 1e-4 && (grid.startNm > 400 || grid.endNm() < 700)) {
        raw.notes.push_back({"spectrum-extrapolated",
                             said("the spectra cover {:.4g} to {:.4g} nm only; beyond, the last value "
                                  "was held ({:.2f} % of the luminance)",
                                  grid.startNm, grid.endNm(), 100 * colorimeter.extrapolatedFraction())});
    }
    compareWithOwnLab(raw, colorimeter, *scale);
    return Done{};
}

Outcome checkWhite(const RawReading& raw, const Source& source) {
    const WhiteStatement& white = raw.statements.white;
    if (white.contradictory) {
        return source.refusal(
            "white-contradictory", said("states two different illuminants or observers for its CIELAB"),
            said("Export spectra, or CIELAB for D50 and 2 degrees only"), white.line, white.field);
    }
    if (!white.mayBeD50TwoDegrees()) {
        return source.refusal(
            "white-not-d50", said("its colour values are for {}, and there are no spectra", white.text()),
            said("Export spectra, or CIELAB for D50 and 2 degrees"), white.line, white.field);
    }
    return Done{};
}

Outcome settleLab(RawReading& raw, std::vector<Patch>& patches, const Source& source) {
    if (auto checked = checkWhite(raw, source); !checked) return std::move(checked).error();
    const WhiteStatement& white = raw.statements.white;
    const bool allLab = std::ranges::all_of(raw.patches, [](const RawPatch& p) { return p.lab.has_value(); });
    if (!allLab && !white.isD50TwoDegrees()) {
        return source.refusal(
            "xyz-white-not-stated", said("gives XYZ but does not say for which illuminant and observer"),
            said("Export CIELAB or spectra, or state ILLUMINATION_NAME \"D50\" and OBSERVER_ANGLE "
                 "\"2\" in the header"),
            raw.patches.front().line);
    }
    const auto whiteXyz =
        colour::whiteOf(colour::lightByName("D50").value(), colour::observer(ObserverName::cie1931));
    for (std::size_t i = 0; i < patches.size(); ++i) {
        const RawPatch& patch = raw.patches[i];
        if (!patch.lab && !patch.xyz) {
            return source.refusal(
                "no-measurement", said("patch {} has no measured colour", shown(patch.name)),
                said("Export the measurement with spectra or CIELAB for every patch"), patch.line);
        }
        const Lab lab = patch.lab ? *patch.lab : colour::labFromXyz(*patch.xyz, whiteXyz);
        const bool possible = lab.L >= -1 && lab.L <= 110 && std::abs(lab.a) <= 200 && std::abs(lab.b) <= 200;
        if (!possible) {
            return source.refusal("lab-out-of-range",
                                  said("CIELAB {:.5g}, {:.5g}, {:.5g} of patch {} cannot be that of a "
                                       "print",
                                       lab.L, lab.a, lab.b, shown(patch.name)),
                                  said("Check the decimal marks and the columns, and export again"),
                                  patch.line, "LAB_L, LAB_A, LAB_B");
        }
        patches[i].lab = lab;
    }
    if (!allLab) {
        raw.notes.push_back(
            {"lab-from-xyz", said("CIELAB was computed from the file's XYZ for D50 and 2 degrees")});
    } else if (!white.isStated()) {
        raw.notes.push_back(
            {"white-assumed",
             said("the file does not say for which illuminant and observer its CIELAB is; D50 and "
                  "2 degrees were assumed (ISO 13655)")});
    }
    return Done{};
}

}  // namespace

Result<WavelengthGrid> gridFromWavelengths(const std::vector<double>& nm, const Source& source,
                                           std::size_t line, std::vector<Note>& notes) {
    if (nm.size() < 10) {
        return source.refusal("spectrum-too-few-bands", said("has only {} spectral columns", nm.size()),
                              said("Export the whole spectrum, 400 to 700 nm in steps of 10 nm or finer"),
                              line);
    }
    const WavelengthGrid grid{nm.front(), (nm.back() - nm.front()) / static_cast<double>(nm.size() - 1),
                              nm.size()};
    double worst = 0;
    std::size_t worstBand = 0;
    bool allWhole = true;
    for (std::size_t i = 0; i < nm.size(); ++i) {
        const double off = std::abs(nm[i] - grid.atNm(i));
        if (off > worst) {
            worst = off;
            worstBand = i;
        }
        allWhole = allWhole && nm[i] == std::round(nm[i]);
    }
    const double allowed = allWhole && grid.stepNm != std::round(grid.stepNm) ? 0.75 : 1e-3;
    if (worst > allowed || !(grid.stepNm > 0)) {
        return source.refusal(
            "wavelengths-irregular",
            said("the wavelengths are not equally spaced (look near {:.6g} nm)", nm[worstBand]),
            said("Export the spectra in equal steps"), line, said("{:.6g} nm", nm[worstBand]));
    }
    if (worst > 1e-3) {
        notes.push_back({"wavelengths-rounded",
                         said("the wavelengths are rounded; steps of {:.4f} nm from {:.6g} nm were taken",
                              grid.stepNm, grid.startNm)});
    }
    return grid;
}

Result<Reading> settled(RawReading raw, const Source& source) {
    if (raw.patches.empty()) {
        return source.refusal("no-patches", said("holds no measured patch"),
                              said("Export the measurement again"));
    }
    std::vector<Patch> patches(raw.patches.size());
    for (std::size_t i = 0; i < patches.size(); ++i) {
        RawPatch& from = raw.patches[i];
        if (from.name.empty()) from.name = fmt::format("{}", i + 1);
        patches[i].name = from.name;
        patches[i].line = from.line;
        patches[i].device = from.device;
        patches[i].tonePercent = from.tonePercent;
    }
    auto outcome = raw.grid ? settleSpectra(raw, patches, source) : settleLab(raw, patches, source);
    if (!outcome) return std::move(outcome).error();
    return Reading{.patches = std::move(patches),
                   .grid = raw.grid,
                   .condition = raw.statements.condition,
                   .deviceColumns = std::move(raw.deviceColumns),
                   .instrument = std::move(raw.statements.instrument),
                   .created = std::move(raw.statements.created),
                   .format = std::move(raw.format),
                   .path = source.path,
                   .notes = std::move(raw.notes)};
}

}  // namespace greywright::measure

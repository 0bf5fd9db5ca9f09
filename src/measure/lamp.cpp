#include "measure/lamp.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "core/contract.h"
#include "core/said.h"
#include "measure/cgats.h"
#include "measure/lamp_points.h"
#include "measure/text.h"

namespace greywright::measure {
namespace {

using enum Ordinate::Kind;
using Wanted = LampSource::Wanted;

// What is measured of a lamp must at least reach over these; what is missing of the second is continued.
constexpr double kLeastStartNm = 420;
constexpr double kLeastEndNm = 640;
constexpr double kVisibleStartNm = 400;
constexpr double kVisibleEndNm = 700;
constexpr int kSlopeNm = 20;
constexpr double kSmallFraction = 0.02;  // of the peak
// CIE 15:2018 and common practice ask for 5 nm or finer; half a nanometre more is a rounded name.
constexpr double kCoarseNm = 5.5;
constexpr double kLeastPeak = 1e-30;

/// Molar Planck constant times the speed of light: watts of one micromole of photons per second, times nm.
/// Source: the exact constants of the SI (2019): 6.02214076e23 * 6.62607015e-34 * 299792458.
constexpr double kWattNmPerMicromole = 119.626565582;

Result<SpectralPoints> pointsFromBytes(std::string_view bytes, const LampSource& source,
                                       const LampOptions& options) {
    std::vector<Note> notes;
    const auto text = textFromBytes(bytes, source.source, notes);
    if (!text) return text.error();
    const auto notTable = [&](const std::string& what) {
        return source.refusal("not-recognised", what,
                              said("Give a spectrum as IES TM-27 or as a table of wavelengths and values"),
                              1);
    };
    const std::string_view content = trimmed(*text);
    if (content.starts_with('<')) {
        auto points = pointsFromTm27(*text, source, std::move(notes));
        if (points && options.column && *options.column != "1") {
            return source.refusal("column-unknown",
                                  said("has no spectrum {}; IES TM-27 holds one", shown(*options.column)),
                                  said("Leave the column out"), 0, cleanText(*options.column));
        }
        return points;
    }
    if (content.starts_with('{') || content.starts_with("SPDXVersion")) {
        return notTable(said(
            "is no spectrum; bills of software materials have such files, whose names end in .spdx too"));
    }
    if (text->find("BEGIN_DATA_FORMAT") != std::string::npos && looksLikeCgats(*text)) {
        return notTable(said("is a CGATS measurement, not the spectrum of a light or of a glazing"));
    }
    return pointsFromLampTable(*text, source, options.column, std::move(notes));
}

// --- lamps ---

double peakOf(const SpectralPoints& points) {
    double peak = 0;
    for (std::size_t i = 0; i < points.values.size(); ++i) {
        const double nm = points.wavelengths[i];
        if (nm >= 360 && nm <= 830) peak = std::max(peak, points.values[i]);
    }
    return peak;
}

Outcome checkLamp(const SpectralPoints& points, const LampSource& source) {
    if (auto checked = checkPoints(points, source); !checked) return checked;
    const auto& nm = points.wavelengths;
    if (nm.front() > kLeastStartNm || nm.back() < kLeastEndNm) {
        return source.refusal(
            "range-too-short", said("reaches from {:.6g} to {:.6g} nm only", nm.front(), nm.back()),
            said("Export at least {} to {} nm, better 300 to 780 nm", kLeastStartNm, kLeastEndNm),
            points.lineOf(nm.front() > kLeastStartNm ? 0 : nm.size() - 1), "wavelength");
    }
    const double peak = peakOf(points);
    for (std::size_t i = 0; i < nm.size(); ++i) {
        // Outside of what is seen, a detector that hardly sees either has noise of any size.
        const bool matters = nm[i] >= 380 && nm[i] <= 780;
        if (!matters || points.values[i] >= -kSmallFraction * peak) continue;
        return source.refusal(
            "negative",
            said("the power {:.6g} at {:.6g} nm is below zero by more than noise", points.values[i], nm[i]),
            said("Subtract the right dark spectrum and export it again"), points.lineOf(i));
    }
    if (peak < kLeastPeak) {
        return source.refusal("all-zero", said("has no power between 360 and 830 nm"),
                              said("Check that the lamp was on and that this is the right column"),
                              points.lineOf(0));
    }
    return Done{};
}

void zeroNegatives(SpectralPoints& points) {
    std::size_t count = 0;
    double worst = 0;
    for (double& value : points.values) {
        if (value >= 0) continue;
        ++count;
        worst = std::min(worst, value);
        value = 0;
    }
    if (count == 0) return;
    points.notes.push_back(
        {"negative-values", said("{} negative {}, down to {:.3g}, {} set to zero", count,
                                 count == 1 ? "value" : "values", worst, count == 1 ? "was" : "were")});
}

/// How a spectrum goes on beyond one of its ends.
struct End {
    double nm = 0;
    double value = 0;
    bool isInside = false;  ///< the end lies within the visible range
    double slopePerNm = 0;  ///< outwards; never rising

    [[nodiscard]] double at(double distanceNm) const {
        return isInside ? std::max(0.0, value + slopePerNm * distanceNm) : 0;
    }
};

/// `outwards` is -1 for the short end and 1 for the long one.
End endOf(const SpectralPoints& points, int outwards) {
    End end;
    end.nm = outwards < 0 ? points.wavelengths.front() : points.wavelengths.back();
    end.value = outwards < 0 ? points.values.front() : points.values.back();
    end.isInside = outwards < 0 ? end.nm > kVisibleStartNm : end.nm < kVisibleEndNm;
    // Least squares over the last 20 nm, at 1 nm.
    double sum = 0;
    double squares = 0;
    for (int d = 0; d <= kSlopeNm; ++d) {
        const double x = kSlopeNm / 2.0 - d;
        sum += x * valueAt(points, end.nm - outwards * d);
        squares += x * x;
    }
    end.slopePerNm = std::min(0.0, sum / squares);
    return end;
}

void noteEnd(const End& end, int outwards, double peak, std::vector<Note>& notes) {
    const char* begins = outwards < 0 ? "begins" : "ends";
    const char* beyond = outwards < 0 ? "below" : "above";
    if (end.isInside) {
        std::string how = said("does not fall there: its last value was held");
        if (end.value == 0) how = said("is zero there, as it was taken to stay");
        if (end.value > 0 && end.slopePerNm < 0) {
            how = said("was continued at the slope of its {} {} nm, down to zero at {:.0f} nm",
                       outwards < 0 ? "first" : "last", kSlopeNm,
                       end.nm - outwards * end.value / end.slopePerNm);
        }
        notes.push_back({"continued", said("the spectrum {} at {:.6g} nm and {}", begins, end.nm, how)});
    } else if (end.value > kSmallFraction * peak && end.nm > 360 && end.nm < 830) {
        notes.push_back({"cut-off", said("the spectrum {} at {:.6g} nm with {:.0f} % of its peak; {} that "
                                         "no power was assumed",
                                         begins, end.nm, 100 * end.value / peak, beyond)});
    }
}

Error otherQuantity(const Ordinate& ordinate, const LampSource& source) {
    static constexpr const char* kWords[] = {toSay("values of an unknown kind"),
                                             toSay("power"),
                                             toSay("photons"),
                                             toSay("raw counts"),
                                             toSay("transmittance"),
                                             toSay("another quantity")};
    const std::string words = translated(kWords[static_cast<std::size_t>(ordinate.kind)]);
    return source.refusal("other-quantity",
                          said("says that it holds {}, not {}", words,
                               source.wanted == Wanted::lamp ? said("the spectrum of a lamp")
                                                             : said("the transmittance of a glazing")),
                          said("Check that it is the file and the column you meant"), ordinate.line,
                          ordinate.field);
}

// --- glazings ---

bool isUsed(double nm) {
    return nm >= colour::kGlazingGrid.startNm && nm <= colour::kGlazingGrid.endNm();
}

Outcome settleScale(SpectralPoints& points, const LampSource& source) {
    double most = 0;
    std::size_t where = 0;
    for (std::size_t i = 0; i < points.values.size(); ++i) {
        if (!isUsed(points.wavelengths[i]) || points.values[i] <= most) continue;
        most = points.values[i];
        where = i;
    }
    SpectralScale scale = points.ordinate.scale;
    if (scale == SpectralScale::notSaid) {
        if (most > 1 + kSmallFraction && most <= 2) {
            return source.refusal(
                "scale-unclear",
                said("its largest value is {:.6g}, too much for a fraction and too "
                     "little for percent",
                     most),
                said("Name the unit in the heading: transmittance (%) or transmittance (fraction)"),
                points.lineOf(where));
        }
        scale = most > 2 ? SpectralScale::percent : SpectralScale::fraction;
    }
    const double factor = scale == SpectralScale::percent ? 0.01 : 1;
    for (double& value : points.values) value *= factor;
    return Done{};
}

Outcome checkTransmittance(SpectralPoints& points, const LampSource& source) {
    double most = 0;
    for (std::size_t i = 0; i < points.values.size(); ++i) {
        const double value = points.values[i];
        if (!isUsed(points.wavelengths[i])) continue;
        if (value < 0 || value > 1 + kSmallFraction) {
            return source.refusal(
                value < 0 ? "negative" : "out-of-range",
                said("the transmittance at {:.6g} nm is {:.6g} %", points.wavelengths[i], 100 * value),
                said("Correct the value or measure it again"), points.lineOf(i));
        }
        most = std::max(most, value);
    }
    if (most < kLeastPeak) {
        return source.refusal("all-zero", said("lets nothing through"),
                              said("Check that this is the right column"), points.lineOf(0));
    }
    if (most > 1) {
        points.notes.push_back({"above-one", said("the largest transmittance is {:.1f} %; it was taken "
                                                  "for noise and kept",
                                                  100 * most)});
    }
    const auto& nm = points.wavelengths;
    if (nm.front() > kVisibleStartNm || nm.back() < kVisibleEndNm) {
        return source.refusal("range-too-short",
                              said("reaches from {:.6g} to {:.6g} nm only", nm.front(), nm.back()),
                              said("Export at least 400 to 700 nm, better 300 to 830 nm"),
                              points.lineOf(nm.front() > kVisibleStartNm ? 0 : nm.size() - 1), "wavelength");
    }
    if (nm.front() > colour::kGlazingGrid.startNm) {
        points.notes.push_back(
            {"ultraviolet-assumed", said("the file begins at {:.6g} nm; in the ultraviolet below, its first "
                                         "value, {:.1f} %, was assumed",
                                         nm.front(), 100 * points.values.front())});
    }
    if (nm.back() < colour::kGlazingGrid.endNm()) {
        points.notes.push_back(
            {"held", said("the file ends at {:.6g} nm; above, its last value was held", nm.back())});
    }
    return Done{};
}

}  // namespace

Result<LampReading> lampFromBytes(std::string_view bytes, const std::string& path,
                                  const LampOptions& options) {
    const LampSource source{{path}, Wanted::lamp};
    auto points = pointsFromBytes(bytes, source, options);
    if (!points) return std::move(points).error();
    const Ordinate& ordinate = points->ordinate;
    if (ordinate.kind == counts) {
        return source.refusal("raw-counts", said("holds the detector's raw counts, which are no power"),
                              said("Export the calibrated spectrum"), ordinate.line, ordinate.field);
    }
    if (ordinate.kind == transmittance || ordinate.kind == other) return otherQuantity(ordinate, source);
    if (auto done = inNanometres(*points, source); !done) return std::move(done).error();
    if (auto done = checkLamp(*points, source); !done) return std::move(done).error();
    zeroNegatives(*points);
    if (ordinate.kind == photons) {
        for (std::size_t i = 0; i < points->values.size(); ++i) {
            points->values[i] *= kWattNmPerMicromole / points->wavelengths[i];
        }
        points->notes.push_back(
            {"photons",
             said("the file counts photons; each was given its energy, which is less the longer the wave"),
             {path, ordinate.line, ordinate.field}});
    }
    if (const Gap gap = largestGap(*points); gap.nm > kCoarseNm) {
        points->notes.push_back({"coarse",
                                 said("points are up to {:.3g} nm apart: narrow bands, such as those of "
                                      "an LED or a fluorescent lamp, may be missed or misshapen",
                                      gap.nm),
                                 {path, points->lineOf(gap.index)}});
    }
    const double peak = peakOf(*points);
    for (const int outwards : {-1, 1}) noteEnd(endOf(*points, outwards), outwards, peak, points->notes);
    return LampReading{.name = std::move(points->name),
                       .description = std::move(points->description),
                       .format = std::move(points->format),
                       .quantity = ordinate.quantity.empty() ? "relative" : ordinate.quantity,
                       .wavelengthsNm = std::move(points->wavelengths),
                       .power = std::move(points->values),
                       .notes = std::move(points->notes)};
}

Result<colour::Light> lightFromLamp(const LampReading& lamp, const std::string& name) {
    expects(lamp.wavelengthsNm.size() == lamp.power.size(), "one power per wavelength");
    SpectralPoints points{.wavelengths = lamp.wavelengthsNm, .values = lamp.power};
    points.largestGapNm = kLargestTm27GapNm;
    if (auto done = checkLamp(points, {}); !done) return std::move(done).error();
    zeroNegatives(points);
    const End low = endOf(points, -1);
    const End high = endOf(points, 1);
    const auto powerAt = [&](double nm) {
        if (nm < low.nm) return low.at(low.nm - nm);
        return nm > high.nm ? high.at(nm - high.nm) : valueAt(points, nm);
    };
    const auto sampled = [&](const colour::WavelengthGrid& grid) {
        std::vector<double> values(grid.count);
        for (std::size_t i = 0; i < grid.count; ++i) values[i] = powerAt(grid.atNm(i));
        return values;
    };
    colour::Light light{.name = name,
                        .description = lamp.description.empty() ? lamp.name : lamp.description,
                        .origin = said("measured lamp ({})", lamp.format),
                        .power = {colour::kFineGrid, sampled(colour::kFineGrid)}};
    if (low.nm <= colour::kUltravioletGrid.endNm()) light.ultraviolet = sampled(colour::kUltravioletGrid);
    // Of narrow lines between whole nanometres the sampled peak, not the measured one, becomes 100.
    const double peak = *std::ranges::max_element(light.power.values);
    if (peak < kLeastPeak) {
        return LampSource{}.refusal("all-zero", said("has no power at whole nanometres"),
                                    said("Measure the lamp again"));
    }
    for (double& value : light.power.values) value *= 100 / peak;
    for (double& value : light.ultraviolet) value *= 100 / peak;
    return light;
}

Result<TransmittanceReading> transmittanceFromBytes(std::string_view bytes, const std::string& path,
                                                    const LampOptions& options) {
    const LampSource source{{path}, Wanted::transmittance};
    auto points = pointsFromBytes(bytes, source, options);
    if (!points) return std::move(points).error();
    const Ordinate& ordinate = points->ordinate;
    if (ordinate.kind != notSaid && ordinate.kind != transmittance) return otherQuantity(ordinate, source);
    if (auto done = inNanometres(*points, source); !done) return std::move(done).error();
    if (auto done = checkPoints(*points, source); !done) return std::move(done).error();
    if (auto done = settleScale(*points, source); !done) return std::move(done).error();
    if (auto done = checkTransmittance(*points, source); !done) return std::move(done).error();
    TransmittanceReading reading{.name = std::move(points->name),
                                 .description = std::move(points->description),
                                 .format = std::move(points->format),
                                 .transmittance = {colour::kGlazingGrid, {}}};
    for (std::size_t i = 0; i < colour::kGlazingGrid.count; ++i) {
        reading.transmittance.values.push_back(valueAt(*points, colour::kGlazingGrid.atNm(i)));
    }
    reading.notes = std::move(points->notes);
    return reading;
}

}  // namespace greywright::measure

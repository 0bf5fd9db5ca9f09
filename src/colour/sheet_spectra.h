#pragma once

#include <optional>
#include <span>
#include <vector>

#include "colour/glazing.h"
#include "colour/light.h"
#include "colour/spectrum.h"

namespace greywright::colour {

/// How much of a light's ultraviolet, after it passed the glazing once, makes a brightener glow.
///
/// Model: power weighted by the excitation of the stilbene brighteners that papers carry: a normal curve
/// around 365 nm, 25 nm wide (from memory), cut at 430 nm. Units: those of the light's power; only ratios
/// mean anything. A light whose ultraviolet is unknown counts from where its table begins.
[[nodiscard]] double excitingPower(const Light& light, const Glazing& glazing);

/// The spectra of a sheet's patches, the glow of the paper's brightener held apart.
///
/// Model: a patch sends back a share of the light (its reflectance) and adds its glow, whose shape is the
/// paper's and whose strength follows the ultraviolet that reaches it. Two readings of the sheet, one with
/// ultraviolet (M1 or M0) and one without (M2), differ by just the glow.
/// Fails to describe: brighteners excited by blue light (beyond 430 nm), fading, an ink that glows itself.
/// Source: the separation is that behind M0, M1 and M2 of ISO 13655:2017.
struct SheetSpectra {
    std::vector<std::vector<double>> reflectance = {};  ///< 1 nm on kFineGrid, one row per patch
    std::vector<std::vector<double>> glow =
        {};                         ///< power added, relative to the measuring light; may be empty
    double measuredExcitation = 0;  ///< excitingPower of the measuring light
    bool isGlowEstimated = false;   ///< from the shape of one reading, not from two

    [[nodiscard]] bool hasGlow() const { return !glow.empty(); }
};

/// Reflectances without any word on a brightener: what was measured holds under every light.
/// Shape: rows on `grid`.
[[nodiscard]] SheetSpectra sheetFromReflectances(const WavelengthGrid& grid,
                                                 std::span<const std::vector<double>> reflectances);

/// From two readings of the same patches, the first under `measuringLight` (D50 for M1, A for M0), the second
/// without ultraviolet (M2).
/// Shape: rows on `grid`, as many of the one as of the other.
[[nodiscard]] SheetSpectra sheetFromTwoReadings(const WavelengthGrid& grid,
                                                std::span<const std::vector<double>> withUltraviolet,
                                                std::span<const std::vector<double>> without,
                                                const Light& measuringLight);

/// From one reading with ultraviolet: the glow is what stands above a straight line through the paper's
/// spectrum at 500 to 600 nm, between 410 and 500 nm; a printed patch keeps of it what its ink lets through
/// on the way in and out: its reflectance over the paper's at 500 nm. An estimate, and marked as one. No glow
/// where the paper shows none. Shape: rows on `grid`; `paper` is one of them.
[[nodiscard]] SheetSpectra sheetFromOneReading(const WavelengthGrid& grid,
                                               std::span<const std::vector<double>> withUltraviolet,
                                               std::size_t paper, const Light& measuringLight);

/// What reaches the eye from each patch under a light behind a glazing, and first from a perfect diffuser in
/// its place: the white that the print is seen against.
/// Units: those of the light's power. Shape: 1 + patches rows of kFineGrid.count.
[[nodiscard]] std::vector<double> stimuliUnder(const SheetSpectra& sheet, const Light& light,
                                               const Glazing& glazing);

}  // namespace greywright::colour

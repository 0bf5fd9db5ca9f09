#pragma once

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <string>
#include <vector>

#include "core/contract.h"
#include "scan/rgb.h"
#include "scan/scan.h"
#include "sheet/design.h"
#include "simulate/camera.h"
#include "simulate/shots.h"

/// Pictures of invented prints there and back, for tests and benchmarks only.
namespace greywright::scan::round_trip {

/// A sheet of one page with 21 tones.
inline sheet::Sheet someSheet(const std::string& name = "SOME PAPER", std::size_t tones = 21) {
    auto made = sheet::cameraSheet(
        {.title = {.name = name}, .tonesPercent = sheet::evenTones(tones), .shuffle = 3, .page = {}});
    expects(made.has_value(), "someSheet: a sheet that can be made");
    return std::move(*made);
}

inline colour::Lab truthOf(double tonePercent) {
    const simulate::Light light = simulate::inkOnPaper(tonePercent);
    return labFromRgb({light[0], light[1], light[2]});
}

inline simulate::Print printed(const sheet::Sheet& sheet, const simulate::Light* card = nullptr) {
    return simulate::printOf(sheet, 1, 6, simulate::inkOnPaper, card);
}

/// A scan says at which resolution it was made.
inline simulate::Shot scanned(const simulate::Print& print, const simulate::Camera& camera) {
    simulate::Shot shot = simulate::take(print, camera);
    const auto from = shot.pxFromMm(10, 10);
    const auto to = shot.pxFromMm(110, 10);
    shot.picture.pixelsPerInch = std::hypot(to[0] - from[0], to[1] - from[1]) / 100 * 25.4;
    return shot;
}

/// How a reading stands to the truth.
struct Outcome {
    std::string error = {};  ///< its code, where nothing was read
    std::size_t patches = 0;
    std::size_t leftOut = 0;
    std::size_t wrongPlaces = 0;          ///< patches that were not taken from within the true patch
    std::size_t farOff = 0;               ///< patches off by more than 5 in L*
    std::vector<double> tintErrors = {};  ///< distances in the a*b* plane
};

inline Outcome compared(const Result<SheetReading>& reading, const sheet::Sheet& sheet,
                        const simulate::Shot& shot) {
    Outcome out;
    if (!reading) {
        out.error = reading.error().code;
        return out;
    }
    out.patches = reading->patches.size();
    out.leftOut = reading->leftOut.size();
    std::map<std::string, const sheet::Patch*> byLabel;
    for (const sheet::Patch& patch : sheet.patches) byLabel[patch.label] = &patch;
    for (const PatchColour& patch : reading->patches) {
        const sheet::Patch& designed = *byLabel.at(patch.label);
        const sheet::RectMm& at = designed.at;
        const std::array<std::array<double, 2>, 4> corners{
            shot.pxFromMm(at.x, at.y), shot.pxFromMm(at.x + at.width, at.y),
            shot.pxFromMm(at.x + at.width, at.y + at.height), shot.pxFromMm(at.x, at.y + at.height)};
        bool inside = true;
        for (const PointPx& point : patch.corners) {
            bool left = false;
            bool right = false;
            for (std::size_t k = 0; k < 4; ++k) {
                const auto& from = corners[k];
                const auto& to = corners[(k + 1) % 4];
                const double side =
                    (to[0] - from[0]) * (point.y - from[1]) - (to[1] - from[1]) * (point.x - from[0]);
                (side > 0 ? left : right) = true;
            }
            inside = inside && !(left && right);
        }
        out.wrongPlaces += inside ? 0U : 1U;
        const colour::Lab truth = truthOf(designed.tonePercent);
        out.farOff += std::abs(patch.lab.L - truth.L) > 5 ? 1U : 0U;
        out.tintErrors.push_back(std::hypot(patch.lab.a - truth.a, patch.lab.b - truth.b));
    }
    return out;
}

/// The value below which a share of the values lies.
inline double quantile(std::vector<double> values, double share) {
    expects(!values.empty(), "quantile: no values");
    std::ranges::sort(values);
    return values[std::min(values.size() - 1, static_cast<std::size_t>(share * double(values.size())))];
}

}  // namespace greywright::scan::round_trip

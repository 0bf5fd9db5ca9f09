#pragma once

#include <Eigen/Core>

#include "core/result.h"
#include "scan/even.h"
#include "scan/sample.h"
#include "scan/scan.h"

namespace greywright::scan {

/// The card as the picture shows it. Units: linear light of the picture's own colours.
struct SeenCard {
    Eigen::Vector3d rgb;
    Eigen::Vector2d mm;  ///< where it lies on the page, or beside it
};

/// Why a card cannot be used: card-too-small, card-clipped, card-uneven.
[[nodiscard]] Outcome checkCard(const Sample& sample);

/// What light counts as, from now on.
struct Related {
    Eigen::Vector3d paper;  ///< the bare paper, linear light of sRGB's primaries for D50
    White white = White::picture;
    double sharedError = 0;
    std::vector<Note> notes = {};
};

/// Decides what colour the bare paper has: as known, else by the card, else as the picture says. A
/// photograph's lightness is relative to a paper of L* 95 unless something better is known.
/// Errors: card-not-neutral.
[[nodiscard]] Result<Related> relate(const LightSurface& light, const std::optional<SeenCard>& card,
                                     const Options& options, bool isPhotograph, picture::ColourSource source);

}  // namespace greywright::scan

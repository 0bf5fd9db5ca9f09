#pragma once

#include <array>
#include <filesystem>
#include <optional>
#include <string>

#include "colour/lab.h"
#include "core/result.h"
#include "picture/read.h"
#include "scan/scan.h"

namespace greywright::scan {

struct LookOptions {
    std::optional<colour::Lab> cardLab = {};  ///< of the card, by an instrument; absent: neutral
};

/// The tint of one place beside a neutral card.
struct Look {
    colour::Lab lab =
        {};  ///< a*, b* beside the card; L* with a card of L* 95, or of its own where it is known
    double chroma = 0;
    double hueDegrees = 0;                      ///< 0 .. 360
    std::string word = {};                      ///< see colour::tintName()
    double standardError = 0;                   ///< of a* and of b*, from the scatter within both places
    double sharedError = 0;                     ///< what the camera's colours may add (assumption)
    std::array<double, 3> balance = {1, 1, 1};  ///< factors of linear light that make the card what it is
};

/// White balance on a card, and the tint of another place of the same picture in the same light.
/// Model: light is divided and multiplied in linear light of sRGB's primaries (von Kries).
/// Errors: picture-grey; card-outside, card-too-small, card-clipped, card-uneven, card-not-neutral;
/// patch-outside, patch-too-small, patch-clipped, patch-uneven; profile-unusable.
[[nodiscard]] Result<Look> look(const picture::Reduced& picture, const RectPx& card, const RectPx& patch,
                                const LookOptions& options = {});

/// A copy of the picture, balanced as `look` says, with `factor` times its chroma in CIELAB and its lightness
/// kept, so that eyes can see which way it leans: PNG, 8 bits, sRGB. Valid: factor 1 to 30.
/// Errors: those of picture::writePixels(); profile-unusable.
[[nodiscard]] Outcome writeMagnified(const picture::Reduced& picture, const Look& look, double factor,
                                     const std::filesystem::path& path);

}  // namespace greywright::scan

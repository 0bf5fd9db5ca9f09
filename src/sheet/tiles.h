#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "core/result.h"
#include "sheet/design.h"
#include "sheet/sheet.h"

/// How patches are laid out that come one after the other. For the sources of this module only.
namespace greywright::sheet {

/// What a patch is before it has a place.
struct Tile {
    double tonePercent = 0;
    std::optional<std::array<std::uint16_t, 3>> rgb = {};
};

/// In strips or squares, as an instrument needs them.
struct TileRequest {
    Kind kind = Kind::ramp;
    Title title = {};
    std::vector<Tile> tiles = {};  ///< in the order of measuring; one or more
    Instrument instrument = Instrument::strip;
    PatchSizes sizes = {};
    std::optional<std::uint64_t> shuffle = {};
    Page page = {};
};

/// Errors: as rampSheet(), but for its tones.
[[nodiscard]] Result<Sheet> tiledSheet(const TileRequest& request);

/// In squares between markers and bare paper, for a camera or a scanner.
struct MarkedRequest {
    Kind kind = Kind::camera;
    Title title = {};
    std::vector<Tile> tiles = {};  ///< one or more
    std::optional<double> sideMm = {};
    std::optional<std::uint64_t> shuffle = {};
    Page page = {};
};

/// Errors: as cameraSheet(), but for its tones.
[[nodiscard]] Result<Sheet> markedSheet(const MarkedRequest& request);

/// A row's name: A .. Z, AA, AB ...
[[nodiscard]] std::string rowName(std::size_t row);

/// In an order by `seed`, in which neighbours within a row differ, as far as the tones allow.
[[nodiscard]] std::vector<Tile> shuffled(std::vector<Tile> tiles, std::size_t perRow, std::uint64_t seed);

}  // namespace greywright::sheet

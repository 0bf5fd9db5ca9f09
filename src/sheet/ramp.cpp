#include "core/contract.h"
#include "sheet/design.h"
#include "sheet/layout.h"
#include "sheet/tiles.h"

namespace greywright::sheet {
namespace {

constexpr std::size_t kLeastTones = 11;
constexpr std::size_t kMostTones = 101;

std::vector<Tile> tilesOf(const std::vector<double>& tonesPercent) {
    std::vector<Tile> tiles;
    for (const double tone : tonesPercent) tiles.push_back({.tonePercent = tone});
    return tiles;
}

}  // namespace

PatchSizes usualSizes(Instrument instrument) {
    if (instrument == Instrument::strip) return {};
    return {.lengthMm = 14, .widthMm = 14, .gapMm = 4, .leadMm = 0};
}

std::vector<double> evenTones(std::size_t count) {
    expects(count >= 2, "evenTones: two or more");
    std::vector<double> tones(count);
    for (std::size_t i = 0; i < count; ++i) tones[i] = 100 * double(i) / double(count - 1);
    return tones;
}

Result<Sheet> rampSheet(const RampRequest& request) {
    if (auto sound = layout::checkTones(request.tonesPercent, kLeastTones, kMostTones, "tones"); !sound)
        return std::move(sound).error();
    return tiledSheet({.kind = Kind::ramp,
                       .title = request.title,
                       .tiles = tilesOf(request.tonesPercent),
                       .instrument = request.instrument,
                       .sizes = request.sizes,
                       .shuffle = request.shuffle,
                       .page = request.page});
}

Result<Sheet> cameraSheet(const CameraRequest& request) {
    if (auto sound = layout::checkTones(request.tonesPercent, kLeastTones, kMostTones, "tones"); !sound)
        return std::move(sound).error();
    return markedSheet({.kind = Kind::camera,
                        .title = request.title,
                        .tiles = tilesOf(request.tonesPercent),
                        .sideMm = request.sideMm,
                        .shuffle = request.shuffle,
                        .page = request.page});
}

}  // namespace greywright::sheet

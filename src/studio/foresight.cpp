#include "studio/foresight.h"

#include <algorithm>
#include <cmath>

namespace greywright::studio {
namespace {

std::size_t nearest(const std::vector<double>& values, double wanted) {
    const auto found =
        std::ranges::min_element(values, {}, [&](double value) { return std::abs(value - wanted); });
    return static_cast<std::size_t>(found - values.begin());
}

}  // namespace

std::optional<double> Foresight::worstNear(const steer::Setting& setting) const {
    if (!map || setting.empty()) return std::nullopt;
    const std::size_t column = nearest(map->across, setting[0]);
    const std::size_t row = map->up.empty() || setting.size() < 2 ? 0 : nearest(map->up, setting[1]);
    return map->worst[row * map->across.size() + column];
}

Result<Foresight> Studio::foresee(const std::string& condition, const SteerRequest& request) const {
    auto search = steer(condition, request);
    if (!search) return std::move(search).error();
    Foresight out{.search = *std::move(search)};
    if (!out.search.summary.isUsable()) return out;
    constexpr std::size_t kMapPoints = 51;
    out.map = steer::settingMap(out.search.history, out.search.knowledge ? &*out.search.knowledge : nullptr,
                                out.search.summary.predicted.setting, kMapPoints, {.aim = request.aim});
    return out;
}

}  // namespace greywright::studio

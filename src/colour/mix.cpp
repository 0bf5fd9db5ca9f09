#include "colour/mix.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <vector>

#include <fmt/format.h>

#include "colour/observer.h"
#include "core/contract.h"
#include "core/said.h"

namespace greywright::colour {
namespace {

double luminousPower(const Light& light) {
    expects(light.power.grid == kFineGrid, "mixOf: power on kFineGrid");
    const Observer& eye = observer(ObserverName::cie1931);
    const auto& power = light.power.values;
    const double sum = std::inner_product(power.begin(), power.end(), eye.yBar.begin(), 0.0);
    expects(sum > 0, "mixOf: a light with a share needs luminous power");
    return sum;
}

void add(std::vector<double>& sum, const std::vector<double>& values, double factor) {
    for (std::size_t i = 0; i < sum.size(); ++i) sum[i] += factor * values[i];
}

Error shareInvalid(std::string what) {
    return {.kind = ErrorKind::wrongUse,
            .code = "mix-share-invalid",
            .what = std::move(what),
            .where = {.field = "share"},
            .next = said("Give every light of a mix its share of the illuminance, for example 0.7 and 0.3")};
}

}  // namespace

Result<Light> mixOf(std::string name, std::span<const LightPart> parts) {
    if (parts.empty()) {
        return Error{.kind = ErrorKind::wrongUse,
                     .code = "mix-empty",
                     .what = said("the mix '{}' has no lights", name),
                     .next = said("Name at least one light and its share")};
    }
    double whole = 0;
    for (const auto& [light, share] : parts) {
        if (!std::isfinite(share) || share < 0) {
            return shareInvalid(
                said("the share of {} in the mix '{}' is {}, not 0 or more", light.name, name, share));
        }
        whole += share;
    }
    if (!(whole > 0) || !std::isfinite(whole)) {
        return shareInvalid(said("the shares in the mix '{}' add up to {}", name, whole));
    }

    struct Counted {
        const Light& light;
        double fraction;
        double luminous;
    };
    std::vector<Counted> counted;
    double mean = 0;
    for (const auto& [light, share] : parts) {
        if (share == 0) continue;
        counted.push_back({light, share / whole, luminousPower(light)});
        mean += counted.back().fraction * counted.back().luminous;
    }
    Light mix{.name = std::move(name),
              .origin = "Mixed by shares of illuminance",
              .power = {kFineGrid, std::vector<double>(kFineGrid.count)}};
    const bool ultravioletKnown =
        std::ranges::none_of(counted, [](const Counted& part) { return part.light.ultraviolet.empty(); });
    if (ultravioletKnown) mix.ultraviolet.resize(kUltravioletGrid.count);
    for (const auto& [light, fraction, luminous] : counted) {
        const double factor = fraction * (mean / luminous);
        add(mix.power.values, light.power.values, factor);
        add(mix.ultraviolet, light.ultraviolet, factor);
        mix.description +=
            fmt::format("{}{:.3g} {}", mix.description.empty() ? "" : " + ", fraction, light.name);
    }
    return mix;
}

}  // namespace greywright::colour

#include "studio/printed_ramp.h"

#include <algorithm>

#include <fmt/format.h>

#include "studio/json_parts.h"

namespace greywright::studio {
namespace {

double mixed(double one, double other, double share) {
    return one + share * (other - one);
}

}  // namespace

Between placeIn(const std::vector<measure::RampPatch>& patches, double tonePercent) {
    std::size_t after = 1;
    while (after + 1 < patches.size() && patches[after].tonePercent < tonePercent) ++after;
    const double from = patches[after - 1].tonePercent, to = patches[after].tonePercent;
    return {after - 1, std::clamp((tonePercent - from) / (to - from), 0.0, 1.0)};
}

colour::Lab labAt(const measure::Ramp& ramp, double tonePercent) {
    const auto [before, share] = placeIn(ramp.patches, tonePercent);
    const colour::Lab& one = ramp.patches[before].lab;
    const colour::Lab& other = ramp.patches[before + 1].lab;
    return {mixed(one.L, other.L, share), mixed(one.a, other.a, share), mixed(one.b, other.b, share)};
}

measure::Ramp resampled(const measure::Ramp& ramp, const std::function<double(double)>& toneOf) {
    measure::Ramp out{
        .grid = ramp.grid, .condition = ramp.condition, .uncertainty = ramp.uncertainty, .notes = ramp.notes};
    for (int percent = 0; percent <= 100; ++percent) {
        const double there = toneOf(percent);
        measure::RampPatch patch{.tonePercent = double(percent), .lab = labAt(ramp, there)};
        const auto [before, share] = placeIn(ramp.patches, there);
        const std::vector<double>& one = ramp.patches[before].reflectance;
        const std::vector<double>& other = ramp.patches[before + 1].reflectance;
        for (std::size_t i = 0; i < one.size(); ++i)
            patch.reflectance.push_back(mixed(one[i], other[i], share));
        out.patches.push_back(std::move(patch));
    }
    return out;
}

Result<measure::Ramp> predictedByTable(const book::CorrectionRecord& correction) {
    const Json found = Json::parse(correction.json, nullptr, false);
    measure::Ramp out;
    if (found.is_object() && found.contains("tones") && found["tones"].is_array()) {
        for (const Json& tone : found["tones"]) {
            const auto number = [](const Json& object, const char* name) {
                return object.is_object() && object.contains(name) && object[name].is_number()
                           ? std::optional(object[name].get<double>())
                           : std::nullopt;
            };
            if (!tone.is_object() || !tone.contains("predicted")) continue;
            const Json& lab = tone["predicted"];
            const auto percent = number(tone, "tone_percent");
            const auto L = number(lab, "L"), a = number(lab, "a"), b = number(lab, "b");
            if (percent && L && a && b) out.patches.push_back({.tonePercent = *percent, .lab = {*L, *a, *b}});
        }
    }
    if (out.patches.size() >= 2) return out;
    return Error{.code = "book-damaged",
                 .what = fmt::format("correction {} does not say what it foretold", correction.number),
                 .where = {.field = "corrections"},
                 .next = "Make the table again with: greywright neutralise --condition NAME"};
}

}  // namespace greywright::studio

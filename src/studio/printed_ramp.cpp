#include "studio/printed_ramp.h"

#include <algorithm>

#include <fmt/format.h>

#include "core/said.h"
#include "studio/json_parts.h"

namespace greywright::studio {
namespace {

double mixed(double one, double other, double share) {
    return one + share * (other - one);
}

/// The list of that name; empty when the text is no such JSON.
Json listIn(const book::CorrectionRecord& correction, const char* name) {
    Json found = Json::parse(correction.json, nullptr, false);
    if (!found.is_object() || !found.contains(name) || !found[name].is_array()) return Json::array();
    return found[name];
}

std::optional<double> numberIn(const Json& object, const char* name) {
    if (!object.is_object() || !object.contains(name) || !object[name].is_number()) return std::nullopt;
    return object[name].get<double>();
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

std::vector<correct::BandPoint> bandIn(const book::CorrectionRecord& curve) {
    std::vector<correct::BandPoint> out;
    for (const Json& point : listIn(curve, "band")) {
        if (!point.is_array() || point.size() != 3) continue;
        if (!std::ranges::all_of(point, [](const Json& one) { return one.is_number(); })) continue;
        out.push_back({point[0].get<double>(), point[1].get<double>(), point[2].get<double>()});
    }
    return out;
}

std::vector<ForetoldTone> foretoldIn(const book::CorrectionRecord& table) {
    std::vector<ForetoldTone> out;
    for (const Json& tone : listIn(table, "tones")) {
        if (!tone.is_object() || !tone.contains("predicted")) continue;
        const Json& lab = tone["predicted"];
        const auto percent = numberIn(tone, "tone_percent"), off = numberIn(tone, "delta_e00");
        const auto L = numberIn(lab, "L"), a = numberIn(lab, "a"), b = numberIn(lab, "b");
        if (!percent || !off || !L || !a || !b) continue;
        const bool isNamed = tone.contains("remains") && tone["remains"].is_string();
        out.push_back(
            {*percent, {*L, *a, *b}, *off, isNamed ? tone["remains"].get<std::string>() : "nothing"});
    }
    return out;
}

colour::Tint WantedTint::at(const measure::Ramp& ramp, double L) const {
    const colour::Lab& paper = ramp.patches.front().lab;
    const double blackL = ramp.patches.back().lab.L;
    return colour::TintAim{.kind = kind, .paper = paper, .blackL = blackL, .toning = toning}.at(L);
}

WantedTint wantedIn(const std::optional<book::CorrectionRecord>& correction) {
    WantedTint out;
    if (!correction || correction->kind != "table") return out;
    const Json found = Json::parse(correction->json, nullptr, false);
    if (!found.is_object()) return out;
    if (found.contains("tint") && found["tint"].is_string()) {
        const std::string kind = found["tint"].get<std::string>();
        if (kind == "light") out.kind = colour::TintAimKind::light;
        if (kind == "paper") out.kind = colour::TintAimKind::paper;
    }
    const auto take = [&](const char* name, colour::Tint& tint) {
        if (!found.contains(name)) return;
        const auto a = numberIn(found[name], "a"), b = numberIn(found[name], "b");
        if (a && b) tint = {*a, *b};
    };
    take("toned_highlights", out.toning.highlights);
    take("toned_shadows", out.toning.shadows);
    return out;
}

Result<measure::Ramp> predictedByTable(const book::CorrectionRecord& correction) {
    measure::Ramp out;
    for (const ForetoldTone& tone : foretoldIn(correction))
        out.patches.push_back({.tonePercent = tone.tonePercent, .lab = tone.lab});
    if (out.patches.size() >= 2) return out;
    return Error{.code = "book-damaged",
                 .what = said("correction {} does not say what it foretold", correction.number),
                 .where = {.field = "corrections"},
                 .next = said("Make the table again")};
}

}  // namespace greywright::studio

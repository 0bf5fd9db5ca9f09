#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "colour/glazing.h"
#include "colour/light.h"
#include "core/result.h"

namespace greywright::judge {

/// A light by itself, without a place, is taken at this level: that of practical appraisal in ISO 3664 (P2).
inline constexpr double kUsualLux = 500;

/// Where a print is looked at: a light, its level on the print, and what is in front of the print.
struct Scene {
    std::string name = {};
    std::string description = {};
    colour::Light light = {};
    double lux = kUsualLux;
    colour::Glazing glazing = {};
};

/// The scenes that ship, in the order in which to show them: "living-room", "office", "north-window",
/// "direct-sun", "gallery", "critical-view", "practical-view", "hall".
[[nodiscard]] std::vector<std::string> sceneNames();

/// A shipped scene by its name, whatever the case.
///
/// Levels: rooms and halls as lighting is planned (common practice); the gallery's 50 lux is the most for
/// sensitive exhibits (Cuttle, J. Am. Inst. Conserv. 39(2); CIE 157:2004); critical-view and practical-view
/// are P1 and P2 of ISO 3664:2009, D50 at 2000 and 500 lux (the levels confirmed, the tolerances from
/// memory). Errors: unknown-scene (with the nearest name).
[[nodiscard]] Result<Scene> sceneByName(std::string_view name);

/// How much of a light's power is left for the eye (V of the 1931 observer) after its glazing was passed
/// twice: 1 at most, next to nothing for an infrared or ultraviolet lamp. Units: 0..1.
[[nodiscard]] double luminousShare(const Scene& scene);

/// A light by itself as a scene: kUsualLux, nothing in front.
[[nodiscard]] Scene sceneOf(const colour::Light& light);

}  // namespace greywright::judge

#pragma once

#include <string>
#include <utility>
#include <vector>

#include "book/records.h"

// Invented entries for tests.
namespace greywright::book::sample {

inline constexpr const char* kWhen = "2031-04-05T06:07:08Z";
inline constexpr const char* kLater = "2031-04-06T06:07:08Z";

inline ConditionRecord condition(const std::string& name = "Pearl") {
    return {.name = name,
            .printer = "Studio printer",
            .inks = "Six greys",
            .paper = "Pearl 300",
            .mode = "Monochrome",
            .axes = {{"across", -50, 50, 1}, {"up", -1, 1, 0.1}},
            .when = kWhen};
}

inline NewReading reading(const std::string& bytes, const std::string& fileName = "ramp.txt") {
    return {
        .reading = {.fileName = fileName,
                    .format = "CGATS",
                    .conditionM = "M1",
                    .instrument = "Spectro",
                    .created = "yesterday",
                    .grid = GridRecord{380, 10, 3},
                    .notes = {{"tones-assumed",
                               "evenly spaced tones are assumed",
                               {.path = fileName, .line = 4, .field = "SAMPLE_ID"}}},
                    .patches = {{.name = "A1",
                                 .tonePercent = 0.0,
                                 .lab = LabRecord{96.1, -0.2, 1.0 / 3},
                                 .reflectance = {0.1, 1.0 / 3, 1e-300},
                                 .line = 12},
                                {.name = "A2", .lab = LabRecord{4.5, 0, -0.0001}},
                                {.name = "A3", .tonePercent = 100.0, .reflectance = {0.004, 0.0041, 0.004}}},
                    .when = kWhen},
        .originalFile = bytes};
}

inline NewTrial trial(double across, double up) {
    return {.setting = {{"across", across}, {"up", up}}, .when = kWhen};
}

inline NewTrial trial(double across, double up, const std::string& bytes) {
    NewTrial made = trial(across, up);
    made.reading = reading(bytes);
    return made;
}

inline CorrectionRecord correction(std::vector<int> trials, int replaces = 0) {
    return {.kind = "curve",
            .content = "0 0\n100 100\n",
            .replaces = replaces,
            .aim = "even",
            .trials = std::move(trials),
            .json = "{}",
            .when = kWhen};
}

inline NewLight light(const std::string& name = "Lamp", const std::string& bytes = "380 1.5\n") {
    return {.light = {.name = name,
                      .description = "above the easel «β»",
                      .origin = "text",
                      .grid = {380, 5, 4},
                      .power = {1.5, 1.0 / 3, -0.001, 1e-300},
                      .ultraviolet = {0, 0.125},
                      .fileName = "lamp.txt",
                      .when = kWhen},
            .originalFile = bytes};
}

inline NewLight mix(const std::string& name, std::vector<LightShareRecord> parts) {
    return {.light = {.name = name, .origin = "mix", .parts = std::move(parts), .when = kWhen}};
}

inline SceneRecord scene(const std::string& name = "Hallway", const std::string& light = "Lamp",
                         const std::string& glazing = "") {
    return {.name = name, .light = light, .lux = 200.5, .glazing = glazing, .when = kWhen};
}

inline NewGlazing glazing(const std::string& name = "Frame", const std::string& bytes = "380 0.9\n") {
    return {.glazing = {.name = name,
                        .description = "2 mm",
                        .origin = "text",
                        .grid = {380.5, 10, 3},
                        .transmittance = {-0.01, 1.0 / 3, 1.02},
                        .fileName = "glass.txt",
                        .when = kWhen},
            .originalFile = bytes};
}

inline ViewerRecord viewer(const std::string& name = "Keen eye") {
    return {.name = name, .ageYears = 47.5, .fieldDegrees = 4, .thresholdBeside = 0.7, .when = kWhen};
}

inline SheetRecord sheet(const std::string& code = "K7Q2XM", const std::string& name = "First ramp") {
    return {.code = code, .name = name, .kind = "ramp", .definition = "CGATS.17\n..", .when = kWhen};
}

inline DeviceRecord device(const std::string& name = "Flatbed", const std::string& paper = "Pearl 300") {
    return {.name = name,
            .paper = paper,
            .characterisation = "L 1 2 3",
            .picture = "scan.tif",
            .measurement = "ramp.txt",
            .when = kWhen};
}

}  // namespace greywright::book::sample

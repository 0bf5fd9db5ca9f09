#pragma once

#include <map>
#include <string>
#include <vector>

#include "book/book.h"

// What the programs of these tests enter, worked out from who writes and how often, so that a reader can tell
// a whole trial from a torn one.
namespace greywright::book {

inline constexpr const char* kWhen = "2031-04-05T06:07:08Z";

inline ConditionRecord expectedCondition(const std::string& name) {
    return {.name = name,
            .printer = "Studio printer",
            .inks = "Six greys",
            .paper = "Pearl 300",
            .mode = "Monochrome",
            .axes = {{"across", 0, 50, 1}, {"up", 0, 1, 0.1}},
            .when = kWhen};
}

/// The bytes of the original: large enough to span several pages.
inline std::string expectedFile(int writer, int index) {
    const std::string line = std::to_string(writer) + " " + std::to_string(index) + "\n";
    std::string bytes;
    while (bytes.size() < 20000) bytes += line;
    return bytes;
}

inline NewTrial expectedTrial(int writer, int index) {
    NewTrial trial{.setting = {{"across", static_cast<double>(index % 51)}, {"up", 0.3}},
                   .choices = {{"writer", std::to_string(writer)}, {"index", std::to_string(index)}},
                   .when = kWhen};
    trial.reading =
        NewReading{.reading = {.fileName = "ramp.txt", .grid = GridRecord{380, 10, 36}, .when = kWhen},
                   .originalFile = expectedFile(writer, index)};
    for (int patch = 0; patch <= 20; ++patch) {
        trial.reading->reading.patches.push_back(
            {.name = std::to_string(patch),
             .tonePercent = 5.0 * patch,
             .lab = LabRecord{95.0 - patch, writer / 3.0, index / 7.0},
             .reflectance = std::vector<double>(36, 0.9 / (1 + patch + index))});
    }
    return trial;
}

/// Whether the trials are numbered 1, 2, 3 .. and each is exactly what its writer entered.
inline bool isWhole(const Book& book, const std::string& condition, const std::vector<TrialRecord>& trials) {
    int number = 0;
    for (const TrialRecord& trial : trials) {
        if (trial.number != ++number || !trial.choices.contains("writer") ||
            !trial.choices.contains("index")) {
            return false;
        }
        const int writer = std::stoi(trial.choices.at("writer"));
        const int index = std::stoi(trial.choices.at("index"));
        const NewTrial expected = expectedTrial(writer, index);
        if (trial.setting != expected.setting || trial.readings.size() != 1 ||
            trial.readings[0].patches != expected.reading->reading.patches) {
            return false;
        }
        const auto original = book.originalFile(condition, number);
        if (!original || *original != expected.reading->originalFile) return false;
    }
    return true;
}

}  // namespace greywright::book

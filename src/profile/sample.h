#pragma once

#include <cmath>
#include <string>
#include <vector>

#include "profile/profile.h"

/// For tests only.
namespace greywright::profile {

/// An invented print: warm paper, tint that turns from cool to warm along the ramp, an uneven tone.
inline std::vector<MeasuredTone> sampleResponse(int steps = 20) {
    std::vector<MeasuredTone> out;
    for (int i = 0; i <= steps; ++i) {
        const double tone = 100.0 * i / steps;
        const double dark = std::pow(tone / 100, 0.85);
        const double turn = std::sin(3 * dark);
        out.push_back(
            {.tonePercent = tone,
             .lab = {.L = 96.4 - 80.9 * dark, .a = 0.6 - 1.4 * turn, .b = 2.8 - 2.1 * dark - 2.5 * turn}});
    }
    return out;
}

/// A table that takes unequal codes, with a black that needs a little light in one channel.
inline std::vector<CodesOfTone> sampleTable(int steps = 100) {
    std::vector<CodesOfTone> out;
    for (int i = 0; i <= steps; ++i) {
        const double light = 1 - double(i) / steps;
        const double bow = light * (1 - light);
        out.push_back({.tonePercent = 100 * (1 - light),
                       .codes = {65535 * (light + 0.11 * bow), 65535 * (light - 0.07 * bow),
                                 65535 * (light - 0.04 * bow + 0.03 * std::pow(1 - light, 12))}});
    }
    return out;
}

inline Description sampleDescription() {
    return {.name = "Invented printer, cotton paper",
            .copyright = "No copyright, use freely",
            .condition = "Invented printer, cotton paper, grey mode",
            .readingsSha256 = std::string(64, '5'),
            .made = {.year = 2026, .month = 3, .day = 14, .hour = 15, .minute = 9, .second = 26}};
}

}  // namespace greywright::profile

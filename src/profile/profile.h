#pragma once

#include <array>
#include <span>
#include <string>

#include "colour/lab.h"
#include "core/result.h"

namespace greywright::profile {

/// The version of the ICC profile format that is written.
enum class Version {
    v2,  ///< 2.4, ICC.1:2001-04
    v4,  ///< 4.4, ICC.1:2022
};

/// When a profile was made, in UTC.
struct Moment {
    int year = 0;
    int month = 0;
    int day = 0;
    int hour = 0;
    int minute = 0;
    int second = 0;
};

/// What a profile says of itself. All texts are UTF-8, none may be empty.
struct Description {
    std::string name = {};            ///< what programs show in their lists
    std::string copyright = {};       ///< version 2 holds ASCII only: other characters become '?'
    std::string condition = {};       ///< the printing condition's name
    std::string readingsSha256 = {};  ///< fingerprint of the readings: 64 lower-case hexadecimal digits
    Moment made = {};
};

/// One measured tone. Units: 0 = bare paper, 100 = maximum black; CIELAB for D50, relative to the perfect
/// diffuser.
struct MeasuredTone {
    double tonePercent = 0;
    colour::Lab lab = {};
};

/// What is sent to red, green and blue for a tone. Units: 0 .. 65535, full light = 65535.
struct CodesOfTone {
    double tonePercent = 0;
    std::array<double, 3> codes = {};
};

/// The bytes of an output profile for one grey channel, 0 = black: what paper and inks do with greys as
/// measured. Between tones a cubic that keeps their order. The same input gives the same bytes. What is
/// inside and why: docs/methods/profiles.md. Valid: tones ascending, lightness falling at every step; the
/// readings' noise is the caller's to smooth out. Errors: too-few-tones (fewer than 11), tones-not-ascending,
/// no-paper, no-black, lab-out-of-range, not-monotone, no-range (paper and black less than 20 L* apart);
/// text-empty, text-not-utf8, fingerprint-not-sha256, moment-out-of-range; profile-not-written,
/// profile-unsound, profile-not-true (what comes back from it is more than 0.1 CIELAB off).
[[nodiscard]] Result<std::string> greyProfile(std::span<const MeasuredTone> response,
                                              const Description& description, Version version);

/// The bytes of an output profile for RGB of a route whose greys are neutralised by a table. Lightness goes
/// to the table's codes, colours by their lightness alone; codes are told by their sum, as the grey of the
/// table with that sum. `response` is of prints through the table. Errors: those of greyProfile(), and of the
/// table too-few-rows (fewer than 11), tones-not-ascending, no-paper, no-black, codes-out-of-range,
/// codes-not-falling (R + G + B at every step).
[[nodiscard]] Result<std::string> rgbProfile(std::span<const MeasuredTone> response,
                                             std::span<const CodesOfTone> table,
                                             const Description& description, Version version);

/// The bytes of a device link from a picture's grey, full code = tone 0 %, to the table's codes, without
/// colours between: a grey of code c, 0..1, is the tone 100 (1 - c). Errors: those of rgbProfile(), of the
/// table and the description. profile-not-true: codes come back more than 8 off.
[[nodiscard]] Result<std::string> deviceLink(std::span<const CodesOfTone> table,
                                             const Description& description, Version version);

}  // namespace greywright::profile

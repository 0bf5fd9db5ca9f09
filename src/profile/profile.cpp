#include "profile/profile.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "colour/difference.h"
#include "core/numbers.h"
#include "core/said.h"
#include "profile/read_back.h"
#include "profile/response.h"
#include "profile/texts.h"
#include "profile/writer.h"

namespace greywright::profile {
namespace {

constexpr double kTrueLab = 0.1;
constexpr double kTrueCodes = 8;
constexpr double kFullCode = 65535;

/// How far a tint may lie outside those of the ramp and still count as printable. Units: CIELAB.
constexpr double kGamutMargin = 3;

using Function = std::function<double(double)>;

/// Brings black to the black that perceptual tables have: none in version 2, that of the reference medium in
/// version 4. Straight in each tristimulus value, so that white stays.
/// Source: ICC.1:2022, 6.3.3 (reference medium: XYZ of black 0.00336, 0.0034731, 0.00287), from memory.
class BlackShift {
  public:
    BlackShift(const colour::Lab& black, Version version) : from_(xyzFromLab(black)) {
        if (version == Version::v4) to_ = {0.00336, 0.0034731, 0.00287};
    }

    [[nodiscard]] colour::Lab shifted(const colour::Lab& relative) const {
        std::array<double, 3> xyz = xyzFromLab(relative);
        for (std::size_t c = 0; c < 3; ++c) {
            const double white = kConnectionWhite[c];
            xyz[c] = to_[c] + (xyz[c] - from_[c]) * (white - to_[c]) / (white - from_[c]);
        }
        return labFromXyz(xyz);
    }

    [[nodiscard]] double unshiftedL(double L) const {
        const double Y = xyzFromLab({.L = L})[1];
        return labFromXyz({0, from_[1] + (Y - to_[1]) * (1 - from_[1]) / (1 - to_[1]), 0}).L;
    }

  private:
    std::array<double, 3> from_;
    std::array<double, 3> to_{};
};

/// The device side of a profile: the tone of device values gathered to one, and device values of a tone.
struct Device {
    cmsColorSpaceSignature space = cmsSigGrayData;
    std::size_t channels = 1;
    Function toneOf = {};
    std::function<double(double tone, std::size_t channel)> at = {};
};

double mean(const std::array<int, 3>& corner, std::size_t channels) {
    double sum = 0;
    for (std::size_t c = 0; c < channels; ++c) sum += corner[c];
    return sum / static_cast<double>(channels);
}

Curves toConnection(const Device& device, const std::function<colour::Lab(double)>& labOfTone,
                    Version version) {
    Curves curves{.channelsIn = device.channels, .channelsOut = 3};
    curves.corner = [n = device.channels](const std::array<int, 3>& corner) { return mean(corner, n); };
    for (std::size_t c = 0; c < 3; ++c) {
        curves.out.emplace_back([=, tone = device.toneOf](double gathered) {
            return encoded(labOfTone(tone(gathered)), version)[c];
        });
    }
    return curves;
}

Curves fromConnection(const Device& device, const Function& toneOfL, Version version) {
    Curves curves{.channelsIn = 3, .channelsOut = device.channels};
    curves.corner = [](const std::array<int, 3>& corner) { return double(corner[0]); };
    for (std::size_t c = 0; c < device.channels; ++c) {
        curves.out.emplace_back(
            [=, at = device.at](double L) { return at(toneOfL(lightnessOf(L, version)), c); });
    }
    return curves;
}

/// 0 for what lies about the ramp, 1 for everything else.
Curves gamut(const Response& response, Version version) {
    colour::Lab least = response.relative().back().lab;
    colour::Lab most = response.relative().front().lab;
    for (const MeasuredTone& tone : response.relative()) {
        least.a = std::min(least.a, tone.lab.a);
        least.b = std::min(least.b, tone.lab.b);
        most.a = std::max(most.a, tone.lab.a);
        most.b = std::max(most.b, tone.lab.b);
    }
    least.a -= kGamutMargin;
    least.b -= kGamutMargin;
    most.a += kGamutMargin;
    most.b += kGamutMargin;
    const auto low = encoded(least, version);
    const auto high = encoded(most, version);
    Curves curves{.channelsIn = 3, .channelsOut = 1};
    for (std::size_t c = 0; c < 3; ++c) {
        curves.in.emplace_back(
            [=](double value) { return value >= low[c] && (c == 0 || value <= high[c]) ? 0.0 : 1.0; });
    }
    curves.corner = [](const std::array<int, 3>& corner) { return mean(corner, 3) > 0 ? 1.0 : 0.0; };
    return curves;
}

/// What the profile was made from, as a table in the text format of the trade (ISO 28178).
std::string sourceText(const Description& description, std::string_view columns,
                       std::span<const std::vector<double>> rows) {
    std::string condition = asciiFrom(utf16From(description.condition).value_or(u""));
    std::ranges::replace(condition, '"', '\'');
    std::string out = fmt::format(
        "CGATS.17\nORIGINATOR \"Greywright\"\nDESCRIPTOR \"{}\"\nKEYWORD \"READINGS_SHA256\"\n"
        "READINGS_SHA256 \"{}\"\nNUMBER_OF_FIELDS {}\nBEGIN_DATA_FORMAT\nSAMPLE_ID {}\nEND_DATA_FORMAT\n"
        "NUMBER_OF_SETS {}\nBEGIN_DATA\n",
        condition, description.readingsSha256, rows.front().size() + 1, columns, rows.size());
    for (std::size_t i = 0; i < rows.size(); ++i) {
        out += std::to_string(i + 1);
        for (const double value : rows[i]) out += ' ' + textFromNumber(value, 4);
        out += '\n';
    }
    return out + "END_DATA\n";
}

std::string sourceText(const Description& description, std::span<const MeasuredTone> tones) {
    std::vector<std::vector<double>> rows;
    for (const auto& [tone, lab] : tones) rows.push_back({tone, lab.L, lab.a, lab.b});
    return sourceText(description, "CMYK_K LAB_L LAB_A LAB_B", rows);
}

std::string sourceText(const Description& description, std::span<const CodesOfTone> table) {
    std::vector<std::vector<double>> rows;
    for (const auto& [tone, codes] : table) {
        rows.push_back({tone});
        for (const double code : codes) rows.back().push_back(code / kFullCode * 255);
    }
    return sourceText(description, "CMYK_K RGB_R RGB_G RGB_B", rows);
}

Result<std::string> written(const Response& response, std::span<const MeasuredTone> tones,
                            const Device& device, const Description& description, Version version) {
    const BlackShift shift(response.relativeAt(100), version);
    const auto relative = [&](double tone) { return response.relativeAt(tone); };
    const auto perceptual = [&](double tone) { return shift.shifted(response.relativeAt(tone)); };
    const auto toneOf = [&](double L) { return response.toneOf(L); };
    const auto toneOfPerceptual = [&](double L) { return response.toneOf(shift.unshiftedL(L)); };

    Writer writer(cmsSigOutputClass, device.space, cmsSigLabData, version);
    writer.description(description);
    writer.mediaWhite(response.paper());
    writer.inkjet();
    writer.text(cmsSigCharTargetTag, sourceText(description, tones));
    // In version 4 lcms2 takes any grey profile with this curve for one without perceptual tables, and moves
    // black twice.
    if (device.channels == 1 && version == Version::v2) {
        writer.curve(cmsSigGrayTRCTag, [&](double grey) { return relative(device.toneOf(grey)).L / 100; });
    }
    writer.curves(cmsSigAToB0Tag, toConnection(device, perceptual, version));
    writer.curves(cmsSigAToB1Tag, toConnection(device, relative, version));
    writer.link(cmsSigAToB2Tag, cmsSigAToB0Tag);
    writer.curves(cmsSigBToA0Tag, fromConnection(device, toneOfPerceptual, version));
    writer.curves(cmsSigBToA1Tag, fromConnection(device, toneOf, version));
    writer.link(cmsSigBToA2Tag, cmsSigBToA0Tag);
    writer.curves(cmsSigGamutTag, gamut(response, version));
    return writer.bytes(description.made);
}

Error notTrue(const std::string& what) {
    return {.kind = ErrorKind::badInput,
            .code = "profile-not-true",
            .what = said("The profile, read back, is ") + what,
            .next = said("Smooth the readings, or print and measure more tones where they change most")};
}

/// Reads a profile back at every tone, as measured, relative to paper, and there and back by lightness.
Result<std::string> proven(std::string bytes, const Response& response, std::span<const MeasuredTone> tones,
                           const Device& device) {
    std::vector<double> values;
    std::vector<colour::Lab> measured;
    std::vector<colour::Lab> relative;
    for (std::size_t i = 0; i < tones.size(); ++i) {
        for (std::size_t c = 0; c < device.channels; ++c)
            values.push_back(device.at(tones[i].tonePercent, c));
        measured.push_back(tones[i].lab);
        relative.push_back(response.relative()[i].lab);
    }
    const auto asMeasured = readBack(bytes, values, Intent::absolute);
    if (!asMeasured) return asMeasured.error();
    const auto toPaper = readBack(bytes, values, Intent::relative);
    if (!toPaper) return toPaper.error();
    const auto there = deviceOf(bytes, relative, Intent::relative);
    if (!there) return there.error();
    const auto back = readBack(bytes, *there, Intent::relative);
    if (!back) return back.error();
    for (std::size_t i = 0; i < tones.size(); ++i) {
        const double off =
            std::max({colour::deltaE76((*asMeasured)[i], measured[i]),
                      colour::deltaE76((*toPaper)[i], relative[i]), std::abs((*back)[i].L - relative[i].L)});
        if (!(off <= kTrueLab)) {
            return notTrue(said("{} CIELAB off at a tone of {} %", textFromNumber(off, 2),
                                textFromNumber(tones[i].tonePercent, 1)));
        }
    }
    return bytes;
}

}  // namespace

Result<std::string> greyProfile(std::span<const MeasuredTone> response, const Description& description,
                                Version version) {
    if (auto flaw = flawOf(description)) return *std::move(flaw);
    const auto curve = Response::of(response);
    if (!curve) return curve.error();
    const Device device{.toneOf = [](double grey) { return 100 * (1 - grey); },
                        .at = [](double tone, std::size_t) { return 1 - tone / 100; }};
    auto bytes = written(*curve, response, device, description, version);
    if (!bytes) return bytes;
    return proven(*std::move(bytes), *curve, response, device);
}

Result<std::string> rgbProfile(std::span<const MeasuredTone> response, std::span<const CodesOfTone> table,
                               const Description& description, Version version) {
    if (auto flaw = flawOf(description)) return *std::move(flaw);
    const auto curve = Response::of(response);
    if (!curve) return curve.error();
    const auto codes = Table::of(table);
    if (!codes) return codes.error();
    const Device device{
        .space = cmsSigRgbData,
        .channels = 3,
        .toneOf = [&](double mean) { return codes->toneOfMean(mean); },
        .at = [&](double tone, std::size_t channel) { return codes->at(tone)[channel]; },
    };
    auto bytes = written(*curve, response, device, description, version);
    if (!bytes) return bytes;
    return proven(*std::move(bytes), *curve, response, device);
}

Result<std::string> deviceLink(std::span<const CodesOfTone> table, const Description& description,
                               Version version) {
    if (auto flaw = flawOf(description)) return *std::move(flaw);
    const auto codes = Table::of(table);
    if (!codes) return codes.error();
    Curves curves{.channelsIn = 1, .channelsOut = 3};
    curves.corner = [](const std::array<int, 3>& corner) { return double(corner[0]); };
    for (std::size_t c = 0; c < 3; ++c) {
        curves.out.emplace_back([&codes, c](double grey) { return codes->at(100 * (1 - grey))[c]; });
    }
    Writer writer(cmsSigLinkClass, cmsSigGrayData, cmsSigRgbData, version);
    writer.description(description);
    writer.text(cmsSigCharTargetTag, sourceText(description, table));
    writer.curves(cmsSigAToB0Tag, curves);
    writer.sequence();
    auto bytes = writer.bytes(description.made);
    if (!bytes) return bytes;

    std::vector<double> greys;
    for (const CodesOfTone& row : table) greys.push_back(1 - row.tonePercent / 100);
    const auto back = codesThrough(*bytes, greys);
    if (!back) return back.error();
    for (std::size_t i = 0; i < table.size(); ++i) {
        for (std::size_t c = 0; c < 3; ++c) {
            const double off = std::abs((*back)[i][c] - table[i].codes[c]);
            if (!(off <= kTrueCodes)) {
                return notTrue(said("{} codes of {} off at a tone of {} %", textFromNumber(off, 0), kFullCode,
                                    textFromNumber(table[i].tonePercent, 1)));
            }
        }
    }
    return bytes;
}

}  // namespace greywright::profile

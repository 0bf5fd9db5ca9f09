#include "measure/write.h"

#include <algorithm>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "core/contract.h"
#include "core/numbers.h"
#include "measure/text.h"

namespace greywright::measure {
namespace {

std::string quoted(std::string_view text) {
    std::string out = "\"";
    for (const char c : cleanText(text)) {
        out += c;
        if (c == '"') out += c;
    }
    return out + '"';
}

}  // namespace

std::string cgatsFromReading(const Reading& reading) {
    const auto every = [&](auto&& has) { return std::ranges::all_of(reading.patches, has); };
    const bool toned = every([](const Patch& patch) { return patch.tonePercent.has_value(); });
    const bool hasLab = every([](const Patch& patch) { return patch.lab.has_value(); });
    const std::size_t bands = reading.grid ? reading.grid->count : 0;
    expects(hasLab || bands > 0, "cgatsFromReading: neither CIELAB nor spectra");
    expects(every([&](const Patch& patch) { return patch.reflectance.size() == bands; }),
            "cgatsFromReading: a spectrum is not on the grid");
    expects(every([&](const Patch& patch) { return patch.device.size() == reading.deviceColumns.size(); }),
            "cgatsFromReading: device values are missing");

    std::vector<std::string> columns{"SAMPLE_ID", "SAMPLE_NAME"};
    if (toned && !reading.patches.empty()) columns.emplace_back("TONE_PERCENT");
    columns.insert(columns.end(), reading.deviceColumns.begin(), reading.deviceColumns.end());
    if (hasLab) columns.insert(columns.end(), {"LAB_L", "LAB_A", "LAB_B"});
    for (std::size_t i = 0; i < bands; ++i) {
        columns.push_back("SPECTRAL_NM" + textFromNumber(reading.grid->atNm(i)));
    }

    std::string out = "CGATS.17\nORIGINATOR \"Greywright\"\n";
    if (!reading.created.empty()) out += "CREATED " + quoted(reading.created) + '\n';
    if (!reading.instrument.empty()) out += "INSTRUMENTATION " + quoted(reading.instrument) + '\n';
    if (reading.condition != Condition::unknown) {
        out += fmt::format("KEYWORD \"MEASUREMENT_CONDITION\"\nMEASUREMENT_CONDITION \"{}\"\n",
                           textFromCondition(reading.condition));
    }
    if (bands > 0) {
        out += fmt::format("KEYWORD \"SPECTRAL_NORM\"\nSPECTRAL_NORM \"1\"\n");
    }
    out += "WEIGHTING_FUNCTION \"ILLUMINANT, D50\"\nWEIGHTING_FUNCTION \"OBSERVER, 2 degree\"\n";
    out += fmt::format("NUMBER_OF_FIELDS {}\nBEGIN_DATA_FORMAT\n{}\nEND_DATA_FORMAT\n", columns.size(),
                       fmt::join(columns, "\t"));
    out += fmt::format("NUMBER_OF_SETS {}\nBEGIN_DATA\n", reading.patches.size());
    for (std::size_t row = 0; row < reading.patches.size(); ++row) {
        const Patch& patch = reading.patches[row];
        out += fmt::format("{}\t{}", row + 1, quoted(patch.name));
        const auto add = [&](double number) { out += '\t' + textFromNumber(number); };
        if (toned) add(*patch.tonePercent);
        for (const double number : patch.device) add(number);
        if (hasLab) {
            for (const double number : {patch.lab->L, patch.lab->a, patch.lab->b}) add(number);
        }
        for (const double number : patch.reflectance) add(number);
        out += '\n';
    }
    return out + "END_DATA\n";
}

}  // namespace greywright::measure

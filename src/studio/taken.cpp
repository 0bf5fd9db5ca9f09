#include "studio/taken.h"

#include <utility>

#include "core/files.h"
#include "core/said.h"
#include "measure/read.h"
#include "measure/tones.h"
#include "measure/write.h"

namespace greywright::studio {
namespace {

Result<Taken> takePicture(const std::filesystem::path& file, const PictureRequest& request,
                          const AskContext& ask) {
    const auto context = ask();
    if (!context) return context.error();
    auto read = readPicture(file, request, *context);
    if (!read) return std::move(read).error();
    auto ramp = measure::rampFromReading(read->reading);
    if (!ramp) return std::move(ramp).error();
    if (auto written = writeOutlined(*read); !written) return std::move(written).error();
    std::string text = measure::cgatsFromReading(read->reading);
    return Taken{std::move(read->reading), *std::move(ramp), std::move(text), context->setting,
                 read->missingPages};
}

/// What was sent for each patch of sheets that share a name, in the order of measuring.
struct Sent {
    std::vector<double> tonesPercent = {};
    std::vector<std::array<std::uint16_t, 3>> rgb = {};  ///< of sheets with colours

    bool operator==(const Sent&) const = default;
};

Result<Sent> sentFor(const std::vector<sheet::Sheet>& sheets, const std::string& name) {
    Sent sent;
    for (const sheet::Sheet& sheet : sheets) {
        Sent its;
        for (const sheet::Patch& patch : sheet.patches) {
            its.tonesPercent.push_back(patch.tonePercent);
            if (patch.rgb) its.rgb.push_back(*patch.rgb);
        }
        if (sent.tonesPercent.empty() || sent == its) {
            sent = std::move(its);
            continue;
        }
        std::string codes;
        for (const sheet::Sheet& one : sheets) codes += (codes.empty() ? "" : ", ") + one.code;
        return Error{.kind = ErrorKind::wrongUse,
                     .code = "sheet-ambiguous",
                     .what = said("several sheets of other tones are named '{}'", name),
                     .where = {.field = "--sheet"},
                     .next = said("Give the code that is printed on it: {}", codes)};
    }
    return sent;
}

/// The colours of a sheet as device values, for a file that has none of its own.
Outcome addColours(measure::Reading& reading, const Sent& sent) {
    if (!reading.deviceColumns.empty()) return Done{};
    if (reading.patches.size() != sent.rgb.size()) {
        return Error{
            .code = "wrong-number-of-patches",
            .what = said("the sheet has {} patches, and {} were measured", sent.rgb.size(),
                         reading.patches.size()),
            .where = {.path = reading.path, .field = "--sheet"},
            .next =
                said("Measure every patch in the order of the sheet's definition, and name the right sheet")};
    }
    reading.deviceColumns = {"RGB_R", "RGB_G", "RGB_B"};
    for (std::size_t i = 0; i < sent.rgb.size(); ++i) {
        for (const std::uint16_t code : sent.rgb[i]) reading.patches[i].device.push_back(double(code) / 257);
    }
    return Done{};
}

Result<std::pair<measure::Reading, measure::Ramp>> rampOf(const std::string& bytes, const std::string& path,
                                                          const std::vector<double>& tonesPercent,
                                                          measure::Condition preferred,
                                                          const Sent& sent = {}) {
    auto reading = measure::readingFromBytes(bytes, path, preferred);
    if (!reading) return std::move(reading).error();
    if (!sent.rgb.empty()) {
        if (auto added = addColours(*reading, sent); !added) return std::move(added).error();
    }
    auto ramp = measure::rampFromReading(*reading, {.tonesPercent = tonesPercent});
    if (!ramp) return std::move(ramp).error();
    return std::pair{*std::move(reading), *std::move(ramp)};
}

}  // namespace

Result<Taken> take(const std::filesystem::path& file, std::vector<double> tonesPercent,
                   measure::Condition preferred, const PictureRequest& picture, const AskContext& ask) {
    const auto seen = isPicture(file);
    if (!seen) return seen.error();
    if (*seen) return takePicture(file, picture, ask);
    Sent sent;
    std::string setting;
    if (tonesPercent.empty() && !picture.sheet.empty()) {
        const auto context = ask();
        if (!context) return context.error();
        auto found = sentFor(context->sheets, picture.sheet);
        if (!found) return std::move(found).error();
        sent = *std::move(found);
        setting = context->setting;
        if (sent.rgb.empty()) tonesPercent = sent.tonesPercent;
    }
    auto bytes = readWholeFile(file);
    if (!bytes) return std::move(bytes).error();
    auto both = rampOf(*bytes, file.string(), tonesPercent, preferred, sent);
    if (!both) return std::move(both).error();
    return Taken{std::move(both->first), std::move(both->second), *std::move(bytes), std::move(setting)};
}

std::optional<measure::Ramp> withoutUltraviolet(const Taken& taken, const std::vector<double>& tonesPercent) {
    if (taken.reading.format != "CxF3" || taken.ramp.condition == measure::Condition::m2) return std::nullopt;
    auto again = rampOf(taken.bytes, taken.reading.path, tonesPercent, measure::Condition::m2);
    if (!again || !again->second.grid || again->second.condition != measure::Condition::m2)
        return std::nullopt;
    return again->second;
}

}  // namespace greywright::studio

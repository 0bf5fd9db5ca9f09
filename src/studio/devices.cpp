// The use cases of reading without an instrument: which sheets may be in a picture, and what was learned of
// scanners and cameras.
#include <algorithm>
#include <cmath>
#include <utility>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "characterise/characterise.h"
#include "core/files.h"
#include "core/nearest_name.h"
#include "core/numbers.h"
#include "core/said.h"
#include "measure/read.h"
#include "measure/tones.h"
#include "studio/convert.h"
#include "studio/pictures.h"
#include "studio/studio.h"

namespace greywright::studio {
namespace {

// No ink that is sold as black, nor a tone on purpose, has as much (assumption).
constexpr double kMostTintOfAGrey = 45;
// As levels of 0 to 255 round it.
constexpr double kRoundedTone = 0.5;

Result<sheet::Sheet> sheetIn(const std::string& text, const std::string& path) {
    auto sheet = sheet::sheetFromCgats(text);
    if (sheet) return sheet;
    Error error = std::move(sheet).error();
    error.where.path = path;
    return error;
}

struct NamedSheets {
    std::vector<sheet::Sheet> sheets = {};
    std::string setting = {};
};

/// A definition's file, or the book's sheets of that name, each design once.
Result<NamedSheets> sheetsCalled(const std::string& name, const Studio& studio) {
    std::error_code ignored;
    if (std::filesystem::is_regular_file(name, ignored)) {
        const auto text = readWholeFile(name);
        if (!text) return text.error();
        auto sheet = sheetIn(*text, name);
        if (!sheet) return std::move(sheet).error();
        return NamedSheets{{*std::move(sheet)}};
    }
    const auto records = studio.sheetsNamed(name);
    if (!records) {
        Error error = records.error();
        if (error.code == "book-not-found")
            error.next = said("Name the file of its definition, or the book that holds it");
        return error;
    }
    NamedSheets out;
    for (const book::SheetRecord& record : *records) {
        if (std::ranges::find(out.sheets, record.code, &sheet::Sheet::code) != out.sheets.end()) continue;
        auto sheet = sheetIn(record.definition, studio.path().string());
        if (!sheet) return std::move(sheet).error();
        out.sheets.push_back(*std::move(sheet));
    }
    if (out.sheets.size() == 1) out.setting = records->front().setting;
    return out;
}

Result<std::optional<book::DeviceRecord>> deviceOn(const std::vector<book::DeviceRecord>& devices,
                                                   const std::string& name, const std::string& paper) {
    std::vector<std::string> names;
    std::vector<std::string> papers;
    for (const book::DeviceRecord& device : devices) {
        names.push_back(device.name);
        if (!sameName(device.name, name)) continue;
        if (sameName(device.paper, paper)) return std::optional(device);
        papers.push_back(device.paper);
    }
    if (papers.empty()) {
        const auto nearest = nearestName(name, names);
        return Error{
            .kind = ErrorKind::wrongUse,
            .code = "device-unknown",
            .what = said("no scanner or camera named '{}' was learned", name),
            .where = {.field = "--device"},
            .next = nearest ? said("Did you mean \"{}\"?", *nearest) : said("Learn it, or read without it")};
    }
    return Error{
        .kind = ErrorKind::wrongUse,
        .code = "device-paper-unknown",
        .what = paper.empty() ? said("'{}' was learned on {}, and the paper of this picture is not known",
                                     name, fmt::join(papers, said(" and on ")))
                              : said("'{}' was not learned on {}, but on {}", name, paper,
                                     fmt::join(papers, said(" and on "))),
        .where = {.field = "--device"},
        .next = paper.empty()
                    ? said("Say which paper it is")
                    : said("Learn it on this paper, or read without it: the reading is then less certain")};
}

/// Of the bare paper, by an instrument.
std::optional<colour::Lab> paperMeasured(const std::vector<book::TrialRecord>& trials) {
    for (auto trial = trials.rbegin(); trial != trials.rend(); ++trial) {
        if (trial->isWithdrawn()) continue;
        for (const book::ReadingRecord& reading : trial->readings) {
            const measure::Ramp ramp = rampFromRecord(reading);
            if (!ramp.uncertainty && !ramp.patches.empty() && ramp.patches.front().tonePercent == 0)
                return ramp.patches.front().lab;
        }
    }
    return std::nullopt;
}

/// The colours of the same patches, side by side.
Result<std::vector<characterise::Pair>> pairsOf(const ReadPicture& seen, const measure::Reading& measured) {
    std::vector<characterise::Pair> pairs;
    const auto differ = [&](std::string what) {
        return Error{
            .code = "sheets-differ",
            .what = std::move(what),
            .where = {.path = measured.path},
            .next = said("Measure the very sheet that is in the picture, all its patches in their order")};
    };
    const auto isStrong = [](const measure::Patch& patch) {
        return patch.lab && std::hypot(patch.lab->a, patch.lab->b) > kMostTintOfAGrey;
    };
    const auto strong = std::ranges::find_if(measured.patches, isStrong);
    if (strong != measured.patches.end()) {
        return differ(said("patch {} of the measurement is no grey: a* {:.1f}, b* {:.1f}",
                           strong - measured.patches.begin() + 1, strong->lab->a, strong->lab->b));
    }
    if (measured.patches.size() == seen.sheet.patches.size()) {
        for (std::size_t i = 0; i < measured.patches.size(); ++i) {
            const auto& tone = measured.patches[i].tonePercent;
            const double printed = seen.sheet.patches[i].tonePercent;
            if (tone && std::abs(*tone - printed) > kRoundedTone) {
                return differ(
                    said("patch {} of the measurement has a tone of {:.1f} %, that of the "
                         "sheet {:.1f} %",
                         i + 1, *tone, printed));
            }
        }
        for (const measure::Patch& patch : seen.reading.patches) {
            const auto at = std::ranges::find(seen.sheet.patches, patch.name, &sheet::Patch::label);
            const measure::Patch& truth =
                measured.patches[std::size_t(std::distance(seen.sheet.patches.begin(), at))];
            if (truth.lab) pairs.push_back({.seen = *patch.lab, .truth = *truth.lab});
        }
        return pairs;
    }
    const auto one = measure::rampFromReading(seen.reading), other = measure::rampFromReading(measured);
    if (!one) return one.error();
    if (!other) {
        return differ(said("the sheet has {} patches, the measurement {}, and its tones are not known",
                           seen.sheet.patches.size(), measured.patches.size()));
    }
    constexpr double kSameTone = 0.05;
    for (const measure::RampPatch& patch : one->patches) {
        for (const measure::RampPatch& truth : other->patches) {
            if (std::abs(patch.tonePercent - truth.tonePercent) <= kSameTone)
                pairs.push_back({.seen = patch.lab, .truth = truth.lab});
        }
    }
    const bool areOthers = std::ranges::any_of(other->patches, [&](const measure::RampPatch& truth) {
        return std::ranges::none_of(seen.sheet.patches, [&](const sheet::Patch& patch) {
            return std::abs(patch.tonePercent - truth.tonePercent) <= kSameTone;
        });
    });
    if (areOthers) return differ(said("tones were measured that are not on the sheet in the picture"));
    if (2 * pairs.size() < one->patches.size()) {
        return differ(said("only {} of the {} tones of the picture are among the {} that were measured",
                           pairs.size(), one->patches.size(), other->patches.size()));
    }
    return pairs;
}

}  // namespace

Result<PictureContext> Studio::pictureContext(const PictureRequest& request,
                                              const std::string& condition) const {
    PictureContext context;
    if (!request.sheet.empty()) {
        auto named = sheetsCalled(request.sheet, *this);
        if (!named) return std::move(named).error();
        context.sheets = std::move(named->sheets);
        context.setting = std::move(named->setting);
    } else {
        const auto known = sheets();
        if (!known) return known.error();
        for (const book::SheetRecord& record : *known) {
            auto sheet = sheetIn(record.definition, path().string());
            if (!sheet) return std::move(sheet).error();
            const bool isKnown =
                std::ranges::find(context.sheets, sheet->code, &sheet::Sheet::code) != context.sheets.end();
            if (!sheet->markers.empty() && !isKnown) context.sheets.push_back(*std::move(sheet));
        }
    }
    std::string paper = request.paper;
    if (!condition.empty()) {
        const auto record = this->condition(condition);
        if (!record) return record.error();
        paper = record->paper;
        const auto all = trials(condition);
        if (!all) return all.error();
        context.paper = paperMeasured(*all);
    }
    if (!request.device.empty()) {
        const auto known = devices();
        if (!known) return known.error();
        auto device = deviceOn(*known, request.device, paper);
        if (!device) return std::move(device).error();
        context.device = *std::move(device);
    }
    return context;
}

std::string wordsFromDevice(const LearnedDevice& device) {
    return said("Device '{}' is learned on {}: from {} patches, a* and b* are now off by {} (before: {})",
                device.name, device.paper, device.pairs, textFromNumber(device.residualAb, 2),
                textFromNumber(device.before, 2));
}

Result<LearnedDevice> Studio::learnDevice(const DeviceRequest& request) const {
    const auto context = pictureContext({.sheet = request.sheet}, "");
    if (!context) return context.error();
    const auto seen = readPicture(request.picture, {.goOn = request.goOn}, *context);
    if (!seen) return seen.error();
    const auto measured = measure::readingFromFile(request.measured, measure::Condition::unknown);
    if (!measured) return measured.error();
    const auto pairs = pairsOf(*seen, *measured);
    if (!pairs) return pairs.error();
    const characterise::Characterisation learned(*pairs);
    if (!learned.isUsable()) {
        return Error{.code = "device-not-usable",
                     .what = learned.trouble(),
                     .where = {.path = request.picture.string()},
                     .next = {}};
    }
    auto book = open(book::OpenMode::readWrite);
    if (!book) return std::move(book).error();
    if (auto kept = book->keepDevice({.name = request.name,
                                      .paper = request.paper,
                                      .characterisation = characterise::textOf(learned),
                                      .picture = request.picture.filename().string(),
                                      .measurement = request.measured.filename().string(),
                                      .when = request.when});
        !kept) {
        return std::move(kept).error();
    }
    const auto known = book->conditions();
    if (!known) return known.error();
    const bool isPrintedOn = std::ranges::any_of(*known, [&](const book::ConditionRecord& condition) {
        return sameName(condition.paper, request.paper);
    });
    LearnedDevice out{.name = request.name,
                      .paper = request.paper,
                      .pairs = pairs->size(),
                      .residualAb = learned.residual(),
                      .before = learned.uncorrected(),
                      .notes = seen->reading.notes};
    out.notes.insert(out.notes.end(), measured->notes.begin(), measured->notes.end());
    if (!isPrintedOn && !known->empty()) {
        out.notes.push_back({.code = "paper-without-condition",
                             .text = said("no printing condition has a paper called '{}'; what was learned "
                                          "is found by the condition's paper",
                                          request.paper),
                             .where = {}});
    }
    return out;
}

Result<std::vector<book::DeviceRecord>> Studio::devices() const {
    auto book = open(book::OpenMode::readOnly);
    if (!book) {
        if (book.error().code == "book-not-found") return std::vector<book::DeviceRecord>{};
        return std::move(book).error();
    }
    return book->devices();
}

Outcome Studio::removeDevice(const std::string& name) const {
    auto book = openExisting();
    if (!book) return std::move(book).error();
    return book->removeDevice(name);
}

}  // namespace greywright::studio

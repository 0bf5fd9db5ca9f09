// From a scan or photograph of a sheet to a reading.
#include "studio/pictures.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <fstream>
#include <iterator>
#include <set>
#include <string_view>
#include <utility>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "characterise/characterise.h"
#include "core/files.h"
#include "core/nearest_name.h"
#include "core/numbers.h"
#include "core/said.h"
#include "picture/read.h"
#include "scan/look.h"
#include "studio/replaced.h"

namespace greywright::studio {
namespace {

constexpr double kMostMagnified = 30;

// 90 % of a normal distribution lie within so many standard deviations, on a line and in a plane (the latter
// Rayleigh's: sqrt(2 ln 10)).
constexpr double kNinetyPercent = 1.645;
constexpr double kNinetyPercentInPlane = 2.146;

// The same paper on the same scanner comes back within one unit or so; another light, another white balance
// or another paper makes more of a difference (assumption).
constexpr double kOtherLight = 3;
constexpr double kOtherLightL = 5;

std::string_view textFrom(picture::ColourSource source) {
    switch (source) {
        case picture::ColourSource::profile:
            return "the picture's own colour profile";
        case picture::ColourSource::rawMatrix:
            return "the raw file's own matrix";
        case picture::ColourSource::assumed:
            break;
    }
    return "sRGB, which is assumed, since the picture has no profile";
}

std::string_view textFrom(scan::White white) {
    switch (white) {
        case scan::White::card:
            return "related to the neutral card";
        case scan::White::paper:
            return "related to the bare paper, which an instrument has measured";
        case scan::White::picture:
            break;
    }
    return "as the picture has them";
}

Note colourNote(const scan::SheetReading& found, const std::string& path) {
    return {.code = "picture-colours",
            .text = said("page {} of sheet {}, taken as a {}: colours by {}, {}; the light varied by {} "
                         "stops over the paper, which is taken out; places are certain to {} mm",
                         found.page, found.code, found.isPhotograph ? "photograph" : "scan",
                         textFrom(found.source), textFrom(found.white),
                         textFromNumber(found.unevennessStops, 2), textFromNumber(found.placementMm, 2)),
            .where = {.path = path}};
}

Note leftOutNote(const scan::SheetReading& found, const std::string& path) {
    std::vector<std::string> lines;
    for (const scan::LeftOut& patch : found.leftOut)
        lines.push_back(fmt::format("{} ({})", patch.label, patch.why));
    return {.code = "patches-left-out",
            .text = said("left out: {}", fmt::join(lines, ", ")),
            .where = {.path = path}};
}

/// Whether a PNG may be written there: never over what is read, nor over a file of another kind.
Outcome mayBecomePng(const std::filesystem::path& out, const std::vector<std::filesystem::path>& inputs) {
    const auto refused = [&](const char* code, const std::string& what, const std::string& next) {
        return Error{.kind = ErrorKind::wrongUse,
                     .code = code,
                     .what = what,
                     .where = {.path = out.string()},
                     .next = next};
    };
    if (!sameName(out.extension().string(), ".png")) {
        return refused("file-ending", said("a PNG is to be written, and the name says something else"),
                       said("Let it end in .png"));
    }
    std::error_code ignored;
    for (const std::filesystem::path& input : inputs) {
        if (std::filesystem::equivalent(out, input, ignored))
            return refused("output-is-input", said("this file is being read"),
                           said("Name another file to write"));
    }
    return Done{};
}

double rootMeanSquare(const std::vector<double>& values) {
    double sum = 0;
    for (const double value : values) sum += value * value;
    return values.empty() ? 0 : std::sqrt(sum / double(values.size()));
}

const sheet::Patch* patchLabelled(const sheet::Sheet& sheet, const std::string& label) {
    const auto found = std::ranges::find(sheet.patches, label, &sheet::Patch::label);
    return found == sheet.patches.end() ? nullptr : &*found;
}

measure::Patch measured(const sheet::Patch& patch, const scan::PatchColour& seen) {
    measure::Patch out{.name = seen.label, .lab = seen.lab};
    if (patch.rgb) {
        for (const std::uint16_t code : *patch.rgb) out.device.push_back(double(code) / 257);
    } else {
        out.tonePercent = patch.tonePercent;
    }
    return out;
}

/// Corrects by what was learned of the device.
Outcome correct(ReadPicture& read, const book::DeviceRecord& device, const std::string& path) {
    const auto learned = characterise::characterisationFromText(device.characterisation);
    if (!learned) {
        Error error = learned.error();
        error.where = {.path = path, .field = device.name};
        return error;
    }
    const colour::Lab& paper = learned->pairs().back().seen;
    const double away = std::hypot(read.found.paper.a - paper.a, read.found.paper.b - paper.b);
    if (away > kOtherLight || std::abs(read.found.paper.L - paper.L) > kOtherLightL) {
        return Error{.code = "device-differs",
                     .what = said("the bare paper looks unlike the one that {} was learned on: {} away in a* "
                                  "and b*, {} in L*",
                                  device.name, textFromNumber(away, 1),
                                  textFromNumber(read.found.paper.L - paper.L, 1)),
                     .where = {.path = path},
                     .next = said("Scan with the same settings and on the same paper as then, photograph in "
                                  "the same light and with the card, or read without it")};
    }
    std::vector<colour::Lab> seen;
    for (const measure::Patch& patch : read.reading.patches) seen.push_back(*patch.lab);
    auto corrected = characterise::correct(*learned, seen);
    if (!corrected) {
        Error error = std::move(corrected).error();
        if (error.where.path.empty()) error.where.path = path;
        return error;
    }
    for (std::size_t i = 0; i < seen.size(); ++i) read.reading.patches[i].lab = corrected->labs[i];
    const double scatter = read.reading.uncertainty->own;
    read.reading.uncertainty = corrected->uncertainty;
    read.reading.uncertainty->own = std::hypot(corrected->uncertainty.own, scatter);
    std::vector<Note>& notes = read.reading.notes;
    notes.insert(notes.end(), corrected->notes.begin(), corrected->notes.end());
    notes.push_back({.code = "device-learned",
                     .text = said("corrected by what was learned of {} on {}", device.name, device.paper),
                     .where = {.path = path}});
    return Done{};
}

Result<ReadPicture> onePage(const std::filesystem::path& path, const std::filesystem::path& outlined,
                            const PictureRequest& request, const PictureContext& context) {
    if (!outlined.empty()) {
        std::vector<std::filesystem::path> inputs = request.further;
        inputs.insert(inputs.end(), {path, request.sheet});
        if (auto may = mayBecomePng(outlined, inputs); !may) return std::move(may).error();
    }
    const auto picture = picture::readReduced(path, {.goOn = request.goOn});
    if (!picture) return picture.error();
    const scan::Options options{.hasCard = request.hasCard,
                                .card = request.card,
                                .cardLab = request.cardLab,
                                .paper = context.device ? std::nullopt : context.paper,
                                .goOn = request.goOn};
    auto found = scan::readSheet(*picture, context.sheets, options);
    if (!found) {
        Error error = std::move(found).error();
        if (error.where.path.empty()) error.where.path = path.string();
        return error;
    }
    ReadPicture read{.found = *std::move(found)};
    if (!outlined.empty()) read.outlined.push_back({outlined, scan::outlined(*picture, read.found)});
    read.sheet = *std::ranges::find(context.sheets, read.found.code, &sheet::Sheet::code);
    read.reading.format = read.found.isPhotograph ? "photograph" : "scan";
    read.reading.path = path.string();
    read.reading.instrument = context.device ? context.device->name : std::string();
    read.reading.notes.insert(read.reading.notes.end(), read.found.notes.begin(), read.found.notes.end());
    read.reading.notes.push_back(colourNote(read.found, path.string()));
    if (!read.found.leftOut.empty()) read.reading.notes.push_back(leftOutNote(read.found, path.string()));
    std::vector<double> scatter;
    for (const scan::PatchColour& seen : read.found.patches) {
        const sheet::Patch* patch = patchLabelled(read.sheet, seen.label);
        if (patch == nullptr) continue;
        read.reading.patches.push_back(measured(*patch, seen));
        scatter.push_back(seen.standardError);
    }
    if (std::ranges::any_of(read.reading.patches, [](const auto& patch) { return !patch.device.empty(); }))
        read.reading.deviceColumns = {"RGB_R", "RGB_G", "RGB_B"};
    read.reading.uncertainty =
        measure::Uncertainty{.shared = read.found.sharedError, .own = rootMeanSquare(scatter)};
    if (context.device) {
        if (auto done = correct(read, *context.device, path.string()); !done) return std::move(done).error();
    }
    return read;
}

/// A further page of the same sheet; patches stay in the order of the definition.
void append(ReadPicture& read, ReadPicture page) {
    measure::Reading& all = read.reading;
    all.patches.insert(all.patches.end(), page.reading.patches.begin(), page.reading.patches.end());
    all.notes.insert(all.notes.end(), page.reading.notes.begin(), page.reading.notes.end());
    all.uncertainty->shared = std::max(all.uncertainty->shared, page.reading.uncertainty->shared);
    all.uncertainty->own = std::max(all.uncertainty->own, page.reading.uncertainty->own);
    std::ranges::move(page.outlined, std::back_inserter(read.outlined));
    std::ranges::sort(all.patches, {},
                      [&](const measure::Patch& patch) { return patchLabelled(read.sheet, patch.name); });
}

}  // namespace

Result<bool> isPicture(const std::filesystem::path& path) {
    auto begin = readWholeFile(path, 0);
    if (begin.has_value()) return false;  // empty: whoever reads it says so
    if (begin.error().code != "file-too-large") return std::move(begin).error();
    std::string bytes(4096, '\0');
    std::ifstream file(path, std::ios::binary);
    file.read(bytes.data(), static_cast<std::streamsize>(bytes.size()));
    bytes.resize(static_cast<std::size_t>(file.gcount()));
    bytes.resize(bytes.find_last_not_of('\0') + 1);  // some programs fill up a text's last block
    const bool isWide = bytes.starts_with("\xFF\xFE") || bytes.starts_with("\xFE\xFF");  // UTF-16 text
    return !isWide && (bytes.find('\0') != std::string::npos || bytes.starts_with("\xFF\xD8\xFF"));
}

Result<ReadPicture> readPicture(const std::filesystem::path& path, const PictureRequest& request,
                                const PictureContext& context) {
    if (request.cardLab && !request.hasCard && !request.card) {
        return Error{.kind = ErrorKind::wrongUse,
                     .code = "card-missing",
                     .what = said("a card's colour is given, but not where the card is"),
                     .where = {.field = "--card-lab"},
                     .next = said("Say that it lies in the sheet's own place, or where it lies")};
    }
    if (context.sheets.empty()) {
        return Error{
            .kind = ErrorKind::wrongUse,
            .code = "no-sheets",
            .what = said("this is a picture, and no sheet is known that could be in it"),
            .where = {.path = path.string()},
            .next = said(
                "Make a sheet for a scanner or camera and print that; or name the file of its definition")};
    }
    auto read = onePage(path, request.outlined, request, context);
    if (!read) return read;
    std::set<int> pages{read->found.page};
    for (const std::filesystem::path& further : request.further) {
        std::filesystem::path outlined = request.outlined;
        if (!outlined.empty()) {
            outlined.replace_filename(fmt::format("{}-{}{}", outlined.stem().string(), pages.size() + 1,
                                                  outlined.extension().string()));
        }
        auto page = onePage(further, outlined, request, context);
        if (!page) return page;
        if (page->found.code != read->found.code || !pages.insert(page->found.page).second) {
            return Error{.code = "not-a-further-page",
                         .what = said("this is page {} of sheet {}, beside page {} of sheet {}",
                                      page->found.page, page->found.code, read->found.page, read->found.code),
                         .where = {.path = further.string()},
                         .next = said("Name another page of the same sheet")};
        }
        append(*read, std::move(*page));
    }
    const int missing = read->sheet.pages - static_cast<int>(pages.size());
    read->missingPages = missing;
    if (missing > 0) {
        read->reading.notes.push_back(
            {.code = "pages-missing",
             .text = said("{} of the sheet's {} pages are not among the pictures; name them too", missing,
                          read->sheet.pages),
             .where = {.path = path.string()}});
    }
    return read;
}

Outcome writeOutlined(ReadPicture& read) {
    std::vector<Note>& notes = read.reading.notes;
    for (const OutlinedPicture& one : read.outlined) {
        noteReplaced(one.path, notes);
        if (auto written = scan::writeOutlined(one.picture, one.path); !written) return written;
        notes.push_back(
            {.code = "outlined",
             .text = said("outlined: read (full lines), left out (broken, crossed out), bare paper (dots), "
                          "card (double lines)"),
             .where = {.path = one.path.string()}});
    }
    return Done{};
}

std::string wordsFromLook(const Look& look) {
    const scan::Look& seen = look.look;
    const double error = std::hypot(seen.standardError, seen.sharedError);
    const auto figures = [&](std::string_view is) {
        return said("Beside the card, the place {}: a* {}, b* {} (each give or take {}), chroma {}.", is,
                    textFromNumber(seen.lab.a, 1), textFromNumber(seen.lab.b, 1),
                    textFromNumber(kNinetyPercent * error, 1), textFromNumber(seen.chroma, 1));
    };
    // In the plane the chance of a chroma above 2.15 standard deviations by error alone is 10 %.
    if (seen.chroma >= kNinetyPercentInPlane * error) return figures(said("is {}", seen.word));
    return figures(said("was read as")) + " " +
           said(
               "That is no more than such a photograph may be off: it cannot tell. A measured card, a raw "
               "file, or a sheet with markers would tell more.");
}

Result<ShownPicture> showPicture(const std::filesystem::path& picture, const std::filesystem::path& out,
                                 const std::function<bool(double)>& goOn) {
    constexpr std::size_t kMostPixels = 1'500'000;
    const auto read = picture::readReduced(picture, {.mostPixels = kMostPixels, .goOn = goOn});
    if (!read) return read.error();
    if (read->channels != 3) {
        return Error{.code = "picture-grey",
                     .what = said("the picture has one channel, which says nothing about tint"),
                     .where = {.path = picture.string()},
                     .next = said("Scan or photograph in colour")};
    }
    if (auto written = scan::writeMagnified(*read, {}, 1, out); !written) return std::move(written).error();
    return ShownPicture{.file = out, .fileWidth = read->fileWidth, .fileHeight = read->fileHeight};
}

Result<Look> look(const LookRequest& request) {
    if (!(request.magnify >= 1 && request.magnify <= kMostMagnified)) {
        return Error{.kind = ErrorKind::wrongUse,
                     .code = "magnify-out-of-range",
                     .what = said("a tint cannot be shown {} times as strong", request.magnify),
                     .where = {.field = "--magnify"},
                     .next = said("Give 1 to {}", kMostMagnified)};
    }
    if (!request.out.empty()) {
        if (auto may = mayBecomePng(request.out, {request.picture}); !may) return std::move(may).error();
    }
    const auto picture = picture::readReduced(request.picture, {.goOn = request.goOn});
    if (!picture) return picture.error();
    auto seen = scan::look(*picture, request.card, request.patch, {.cardLab = request.cardLab});
    if (!seen) {
        Error error = std::move(seen).error();
        if (error.where.path.empty()) error.where.path = request.picture.string();
        return error;
    }
    Look out{.look = *std::move(seen), .magnify = request.magnify};
    out.notes = picture->notes;
    out.notes.push_back({.code = "picture-colours",
                         .text = said("colours by {}", textFrom(picture->source)),
                         .where = {.path = request.picture.string()}});
    if (!request.out.empty()) {
        noteReplaced(request.out, out.notes);
        if (auto written = scan::writeMagnified(*picture, out.look, request.magnify, request.out); !written)
            return std::move(written).error();
        out.file = request.out;
    }
    return out;
}

}  // namespace greywright::studio

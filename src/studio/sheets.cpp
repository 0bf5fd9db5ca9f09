// The use cases of test sheets.
#include "studio/sheets.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <system_error>
#include <utility>

#include <fmt/format.h>

#include "core/files.h"
#include "core/nearest_name.h"
#include "core/said.h"
#include "sheet/render.h"
#include "studio/convert.h"
#include "studio/encodings.h"
#include "studio/outputs.h"
#include "studio/replaced.h"
#include "studio/studio.h"

namespace greywright::studio {
namespace {

namespace fs = std::filesystem;

enum class Form { tiff, png, pdf };

Result<Form> formOf(const fs::path& out) {
    constexpr std::array<std::pair<const char*, Form>, 4> kEndings{
        {{".tif", Form::tiff}, {".tiff", Form::tiff}, {".png", Form::png}, {".pdf", Form::pdf}}};
    for (const auto& [ending, form] : kEndings) {
        if (sameName(out.extension().string(), ending)) return form;
    }
    return Error{.kind = ErrorKind::wrongUse,
                 .code = "file-ending",
                 .what = said("the ending of the name does not say what to write"),
                 .where = {.path = out.string()},
                 .next = said("Let it end in .tif, .png or .pdf")};
}

bool needsColours(const sheet::Sheet& sheet) {
    return std::ranges::any_of(sheet.patches,
                               [](const sheet::Patch& patch) { return patch.rgb.has_value(); });
}

/// "ramp.tif" is "ramp-2.tif" for the second of several pages.
fs::path pagePath(const fs::path& out, int page, int pages) {
    if (pages == 1) return out;
    fs::path path = out;
    path.replace_filename(fmt::format("{}-{}{}", out.stem().string(), page, out.extension().string()));
    return path;
}

struct Designed {
    sheet::Sheet sheet;
    std::vector<Note> notes = {};
};

Result<Designed> designed(Result<sheet::Sheet> sheet) {
    if (!sheet) return std::move(sheet).error();
    return Designed{*std::move(sheet)};
}

struct Designer {
    Result<Designed> operator()(const sheet::RampRequest& request) const {
        return designed(sheet::rampSheet(request));
    }
    Result<Designed> operator()(const sheet::BlockRequest& request) const {
        return designed(sheet::blockSheet(request));
    }
    Result<Designed> operator()(const sheet::CameraRequest& request) const {
        return designed(sheet::cameraSheet(request));
    }
    Result<Designed> operator()(const sheet::EyeRequest& request) const {
        return designed(sheet::eyeSheet(request));
    }
    Result<Designed> operator()(const sheet::EyePictureRequest& request) const {
        return designed(sheet::eyePictureSheet(request));
    }
    Result<Designed> operator()(const sheet::ChoiceRequest& request) const {
        return designed(sheet::choiceSheet(request));
    }
    Result<Designed> operator()(const sheet::NeutralRequest& request) const {
        auto made = sheet::neutralSheet(request);
        if (!made) return std::move(made).error();
        Designed out{std::move(made->sheet)};
        if (made->leftOut > 0) {
            out.notes.push_back(
                {.code = "colours-left-out",
                 .text = said("{} colours that a step would have taken beyond paper or black are left out",
                              made->leftOut)});
        }
        return out;
    }
};

/// Strip-reading instruments look for the edges between patches.
void noteWhatIsAlike(const Design& design, std::vector<Note>& notes) {
    constexpr double kAlikePercent = 2.5;
    const auto* ramp = std::get_if<sheet::RampRequest>(&design);
    if (ramp == nullptr || ramp->shuffle || ramp->instrument != sheet::Instrument::strip) return;
    for (std::size_t i = 1; i < ramp->tonesPercent.size(); ++i) {
        if (std::abs(ramp->tonesPercent[i] - ramp->tonesPercent[i - 1]) >= kAlikePercent) continue;
        notes.push_back({.code = "neighbours-alike",
                         .text = said("neighbouring patches are so alike that an instrument may not find "
                                      "their edges; shuffled, unlike ones stand beside each other"),
                         .where = {}});
        return;
    }
}

}  // namespace

Result<MadeSheet> Studio::makeSheet(const SheetRequest& request) const {
    const auto form = formOf(request.out);
    if (!form) return form.error();
    MadeSheet made;
    Design design = request.design;
    std::string setting;
    if (auto* blocks = std::get_if<sheet::BlockRequest>(&design); blocks != nullptr) {
        auto notes = describeBlocks(*blocks, request);
        if (!notes) return std::move(notes).error();
        made.notes = *std::move(notes);
        if (settingFromText(blocks->setting)) setting = blocks->setting;
    }
    noteWhatIsAlike(design, made.notes);
    auto sheet = std::visit(Designer{}, design);
    if (!sheet) return std::move(sheet).error();
    made.sheet = std::move(sheet->sheet);
    made.notes.insert(made.notes.end(), sheet->notes.begin(), sheet->notes.end());
    auto profile = profileNamed(request.encoding.empty() ? (needsColours(made.sheet) ? "srgb" : "grey")
                                                         : request.encoding);
    if (!profile) return std::move(profile).error();
    const sheet::RenderOptions options{
        .dotsPerInch = request.dotsPerInch,
        .profile = *std::move(profile),
        .format = *form == Form::png ? picture::FileFormat::png : picture::FileFormat::tiff,
        .goOn = request.goOn};

    made.definition = fs::path(request.out).replace_extension(".sheet.txt");
    const int pages = *form == Form::pdf ? 1 : made.sheet.pages;
    for (int page = 1; page <= pages; ++page) made.files.push_back(pagePath(request.out, page, pages));
    std::vector<fs::path> outputs = made.files;
    outputs.push_back(made.definition);
    for (const fs::path& out : outputs) {
        auto may = mayWrite(out, request.replace ? IfThere::replace : IfThere::refuse, {book_});
        if (!may) return std::move(may).error();
    }

    // The book first: a sheet on paper that the book does not know is worth less than one not printed yet.
    auto book = open(book::OpenMode::readWrite);
    if (!book) return std::move(book).error();
    const std::string definition = sheet::cgatsOfSheet(made.sheet);
    if (auto kept = book->addSheet({.code = made.sheet.code,
                                    .name = made.sheet.name,
                                    .kind = std::string(sheet::textFromKind(made.sheet.kind)),
                                    .setting = setting,
                                    .definition = definition,
                                    .when = request.when});
        !kept) {
        return std::move(kept).error();
    }
    for (const fs::path& out : outputs) noteReplaced(out, made.notes);
    if (*form == Form::pdf) {
        if (auto written = sheet::writePdf(made.sheet, request.out, options); !written)
            return std::move(written).error();
    } else {
        for (int page = 1; page <= pages; ++page) {
            const fs::path& out = made.files[static_cast<std::size_t>(page - 1)];
            if (auto written = sheet::writePage(made.sheet, page, out, options); !written)
                return std::move(written).error();
        }
    }
    if (auto written = writeWholeFile(made.definition, definition); !written)
        return std::move(written).error();
    return made;
}

Result<int> Studio::nextPlace(const sheet::BlockRequest& blocks) const {
    const auto places = sheet::blockPlaces(blocks);
    if (!places) return places.error();
    const auto known = sheets();
    if (!known) return known.error();
    const book::SheetRecord* latest = nullptr;
    for (const book::SheetRecord& record : *known) {
        if (record.kind != sheet::textFromKind(sheet::Kind::blocks) ||
            !sameName(record.name, blocks.title.name))
            continue;
        if (latest == nullptr || record.when >= latest->when) latest = &record;
    }
    if (latest == nullptr) return 1;
    const auto before = sheet::sheetFromCgats(latest->definition);
    if (!before) return before.error();
    // A block's patches are labelled by their place: "3A".
    int place = 0;
    const std::string& label = before->patches.front().label;
    std::from_chars(label.data(), label.data() + label.size(), place);
    return place % std::max(1, std::min(*places, blocks.places.value_or(*places))) + 1;
}

Result<std::vector<Note>> Studio::describeBlocks(sheet::BlockRequest& blocks,
                                                 const SheetRequest& request) const {
    std::vector<Note> notes;
    if (request.condition.empty()) return notes;
    const auto known = trials(request.condition);
    if (!known) return known.error();
    const int next = known->empty() ? 1 : known->back().number + 1;
    if (blocks.trial.empty()) blocks.trial = fmt::format("TRIAL {}", next);
    if (!request.placeGiven) {
        auto place = nextPlace(blocks);
        if (!place) return std::move(place).error();
        blocks.place = *place;
    }
    if (blocks.setting.empty()) {
        const auto search = steer(request.condition, {});
        if (!search) return search.error();
        blocks.setting = textFromSetting(search->history.axes, search->summary.predicted.setting);
    }
    notes.push_back(
        {.code = "blocks-of-trial",
         .text = said("{} at {}, place {} of the page", blocks.trial, blocks.setting, blocks.place)});
    return notes;
}

Result<std::vector<book::SheetRecord>> Studio::sheets() const {
    auto book = open(book::OpenMode::readOnly);
    if (!book) {
        if (book.error().code == "book-not-found") return std::vector<book::SheetRecord>{};
        return std::move(book).error();
    }
    return book->sheets();
}

Result<std::vector<book::SheetRecord>> Studio::sheetsNamed(const std::string& nameOrCode) const {
    auto book = open(book::OpenMode::readOnly);
    if (!book) return std::move(book).error();
    return book->sheetsNamed(nameOrCode);
}

}  // namespace greywright::studio

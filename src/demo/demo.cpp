#include "demo/demo.h"

#include <algorithm>
#include <cmath>
#include <span>
#include <utility>

#include <fmt/format.h>

#include "core/files.h"
#include "core/numbers.h"
#include "correct/table.h"
#include "measure/write.h"
#include "picture/write.h"
#include "simulate/camera.h"
#include "simulate/printer.h"
#include "simulate/rgb_printer.h"
#include "simulate/shots.h"
#include "studio/convert.h"
#include "studio/json.h"
#include "studio/studio.h"

namespace greywright::demo {
namespace {

namespace fs = std::filesystem;

/// A printing condition of the invented studio, and the hidden printer behind it.
struct Place {
    std::string name;
    std::string printer, inks, paper, mode;
    std::string story;
    simulate::Recipe recipe;
};

std::vector<Place> studioOfTheDemo() {
    simulate::Recipe pigment{.family = simulate::Family::halftone, .noiseDeltaE00 = 0.18, .seed = 23};
    pigment.control = {
        .rotationDegrees = 205, .mirrored = true, .gain = 1.1, .unequal = 0.8, .skewDegrees = 8};
    simulate::Recipe second = pigment;
    second.paper = 1;
    simulate::Recipe dye{.family = simulate::Family::dye, .noiseDeltaE00 = 0.2, .seed = 8};
    dye.control = {.rotationDegrees = 65, .mirrored = false, .gain = 0.9, .unequal = 1.2, .skewDegrees = -6};
    return {{"chalk", "Heron", "pigment", "Chalk Rag", "grey",
             "A new matt paper on the pigment printer, whose driver nobody has documented.", pigment},
            {"fen", "Heron", "pigment", "Fen Satin", "grey",
             "Another paper on the same printer: what was learned of the driver carries over.", second},
            {"wren", "Wren", "dye", "Fen Satin", "grey",
             "The dye printer, another driver: everything from the start.", dye}};
}

constexpr const char* kColourRoute = "wren colour";

fs::path freeFolder(const fs::path& wanted) {
    fs::path folder = wanted;
    for (int n = 2; fs::exists(folder / "studio.book"); ++n) {
        folder = wanted;
        folder += fmt::format("-{}", n);
    }
    return folder;
}

Error stopped() {
    return {.code = "stopped", .what = "the demonstration was stopped"};
}

class Demo {
  public:
    Demo(const Options& options, fs::path folder)
        : options_(options), folder_(std::move(folder)), studio_(folder_ / "studio.book"), random_(2031) {}

    [[nodiscard]] Outcome play(const Place& place) {
        say(fmt::format("\n{}\n  printer {}, inks {}, paper {}", place.story, place.printer, place.inks,
                        place.paper));
        const auto added = studio_.addCondition({.name = place.name,
                                                 .printer = place.printer,
                                                 .inks = place.inks,
                                                 .paper = place.paper,
                                                 .mode = place.mode,
                                                 .axes = {{"across", -50, 50, 1}, {"up", -50, 50, 1}},
                                                 .when = options_.when});
        if (!added) return added.error();
        const auto printer = simulate::printerFromRecipe(place.recipe);
        constexpr int kMostSheets = 8;
        for (int sheet = 1; sheet <= kMostSheets; ++sheet) {
            if (!options_.goOn()) return stopped();
            auto search = studio_.steer(place.name, {});
            if (!search) return std::move(search).error();
            tell(*search);
            keep(place, "steer", sheet - 1, studio::jsonFromSearch(*search));
            if (search->summary.status != steer::Status::print) {
                for (const steer::AxisAction& action : search->summary.control) say("    " + action.words);
                return judged(place);
            }
            if (auto printed = printAndRead(place, *printer, *search, sheet); !printed) return printed;
        }
        return judged(place);
    }

    /// A ramp to print, and a ramp between markers: printed, scanned and read without an instrument.
    [[nodiscard]] Outcome sheets() {
        const auto ramp = make("ramp", sheet::RampRequest{.title = titled("RAMP OF 51 TONES"),
                                                          .tonesPercent = sheet::evenTones(51)});
        if (!ramp) return ramp.error();
        const auto camera = make("scanner", sheet::CameraRequest{.title = titled("FOR THE SCANNER"),
                                                                 .tonesPercent = sheet::evenTones(21)});
        if (!camera) return camera.error();
        say(fmt::format("\nSheets to print: {} and {}.", ramp->files.front().filename().string(),
                        camera->files.front().filename().string()));
        const fs::path file = folder_ / "scan.tif";
        if (auto scanned = scan(camera->sheet, file); !scanned) return scanned;
        const auto judgement =
            studio_.judgeFile(file, {}, {.viewers = {.count = 0}},
                              {.sheet = camera->sheet.code, .outlined = folder_ / "scan-outlined.png"});
        if (!judgement) return judgement.error();
        say(fmt::format("  the second one, printed and scanned: {}", judgement->verdict.summary));
        return Done{};
    }

    /// A route without a tint control: a near-neutral sheet, a table, a ramp through it, a picture made
    /// ready.
    [[nodiscard]] Outcome correct() {
        const std::string name = kColourRoute;
        say("\nThe dye printer fed with RGB has no tint control: a table corrects it.\n"
            "  printer Wren, inks dye, paper Fen Satin");
        const auto added = studio_.addCondition({.name = name,
                                                 .printer = "Wren",
                                                 .inks = "dye",
                                                 .paper = "Fen Satin",
                                                 .mode = "colour",
                                                 .when = options_.when});
        if (!added) return added.error();
        const auto near = make("near-neutral", sheet::NeutralRequest{.title = titled("NEAR NEUTRAL"),
                                                                     .tonesPercent = sheet::evenTones(21)});
        if (!near) return near.error();
        const simulate::RgbPrinter printer(simulate::Medium::dye, 8);
        std::vector<simulate::RgbCodes> codes;
        for (const sheet::Patch& patch : near->sheet.patches) {
            simulate::RgbCodes sent{};
            std::ranges::copy(*patch.rgb, sent.begin());
            codes.push_back(sent);
        }
        if (auto read = readPrint(printer, codes, {}, near->sheet.code, 0, "colour-1.txt"); !read)
            return read;
        const auto first = studio_.makeTable(name, {.when = options_.when});
        if (!first) return first.error();
        tell(*first);

        const std::vector<double> tones = sheet::evenTones(41);
        const auto table = correct::NeutralTable::fromText(first->record.content);
        if (!table) return table.error();
        codes.clear();
        for (const double tone : tones) codes.push_back(table->at(tone));
        if (auto read = readPrint(printer, codes, tones, "", first->record.number, "colour-2.txt"); !read)
            return read;
        auto judgement = studio_.judgeTrial(name, std::nullopt, {.viewers = {.count = 0}});
        if (!judgement) return std::move(judgement).error();
        say(fmt::format("  a ramp through it: {}", judgement->verdict.summary));
        const auto second = studio_.makeTable(name, {.when = options_.when});
        if (!second) return second.error();
        tell(*second);

        const auto picture =
            studio_.makeSheet({.design = sheet::EyePictureRequest{.title = titled("EVENING BY A LAKE")},
                               .out = folder_ / "picture.tif",
                               .dotsPerInch = 200,
                               .when = options_.when});
        if (!picture) return picture.error();
        const auto ready = studio_.preparePictures({.pictures = picture->files,
                                                    .out = folder_ / "ready",
                                                    .condition = name,
                                                    .replace = true,
                                                    .when = options_.when});
        if (!ready) return ready.error();
        if (ready->pictures.front().error) return *ready->pictures.front().error;
        say(fmt::format("  a picture made ready to print with it: ready/{}",
                        ready->pictures.front().file.filename().string()));
        const auto proof = studio_.proof({.picture = picture->files.front(),
                                          .out = folder_ / "proof.png",
                                          .condition = name,
                                          .correction = 0,
                                          .replace = true});
        if (!proof) return proof.error();
        say("  and how it would have looked without: proof.png");
        return Done{};
    }

    [[nodiscard]] Result<fs::path> report(const std::string& condition) {
        auto page = studio_.report(condition, {}, options_.when);
        if (!page) return std::move(page).error();
        const fs::path path = folder_ / (condition + ".html");
        if (auto written = writeWholeFile(path, *page); !written) return std::move(written).error();
        return path;
    }

    [[nodiscard]] const fs::path& book() const { return studio_.path(); }

  private:
    void say(const std::string& line) const { options_.say(line); }

    [[nodiscard]] sheet::Title titled(std::string name) const {
        return {.name = std::move(name), .date = options_.when.substr(0, 10)};
    }

    [[nodiscard]] Result<studio::MadeSheet> make(const char* name, studio::Design design) const {
        return studio_.makeSheet({.design = std::move(design),
                                  .out = folder_ / fmt::format("{}.pdf", name),
                                  .when = options_.when});
    }

    /// An invented print on an invented scanner, which looks down on it a little askew.
    [[nodiscard]] static Outcome scan(const sheet::Sheet& sheet, const fs::path& file) {
        constexpr double kPixelsPerMm = 6;
        constexpr double kMmPerInch = 25.4;
        const simulate::Shot shot =
            simulate::take(simulate::printOf(sheet, 1, kPixelsPerMm, simulate::inkOnPaper),
                           {.width = 1300, .height = 1800, .turnDegrees = 0.7, .fill = 0.97});
        const picture::Reduced& seen = shot.picture;
        const auto left = shot.pxFromMm(10, 10), right = shot.pxFromMm(200, 10);
        const double perMm = std::hypot(right[0] - left[0], right[1] - left[1]) / 190;
        return picture::writePixels(
            file,
            {.width = seen.width,
             .height = seen.height,
             .pixelsPerInch = perMm * kMmPerInch,
             .channels = 3,
             .bits = 8},
            [&](std::size_t row, std::span<std::uint16_t> samples) {
                std::ranges::copy(std::span(seen.codes).subspan(row * samples.size(), samples.size()),
                                  samples.begin());
            });
    }

    void tell(const studio::MadeTable& made) const {
        const auto named = std::ranges::count_if(made.fit.tones, [](const correct::NeutralTone& tone) {
            return tone.remains != correct::Remains::nothing;
        });
        say(fmt::format(
            "  table {}: {} from the aim expected at worst, at {} %; {} of {} tones miss it by more than "
            "half a unit",
            made.record.number, textFromNumber(made.fit.worst.deltaE00, 1),
            textFromNumber(made.fit.worst.tonePercent, 0), named, made.fit.tones.size()));
    }

    /// Prints patches, measures them with an instrument's noise and reads them in.
    [[nodiscard]] Outcome readPrint(const simulate::RgbPrinter& printer,
                                    const std::vector<simulate::RgbCodes>& codes,
                                    const std::vector<double>& tones, const std::string& sheet, int through,
                                    const char* fileName) {
        constexpr double kNoise = 0.004;
        measure::Reading reading{.grid = simulate::kInstrumentGrid, .condition = measure::Condition::m1};
        for (std::size_t i = 0; i < codes.size(); ++i) {
            measure::Patch patch{.name = fmt::format("{}", i + 1),
                                 .reflectance = printer.reflectance(codes[i])};
            if (!tones.empty()) patch.tonePercent = tones[i];
            // A little lighter or darker, and a little warmer or cooler.
            const double much = kNoise * random_.normal(), tilt = kNoise * random_.normal();
            const auto bands = static_cast<double>(patch.reflectance.size());
            for (std::size_t band = 0; band < patch.reflectance.size(); ++band)
                patch.reflectance[band] *= 1 + much + tilt * (2 * static_cast<double>(band) / bands - 1);
            reading.patches.push_back(std::move(patch));
        }
        const fs::path file = folder_ / fileName;
        if (auto written = writeWholeFile(file, measure::cgatsFromReading(reading)); !written) return written;
        auto read = studio_.read({.file = file,
                                  .condition = kColourRoute,
                                  .through = through,
                                  .picture = {.sheet = sheet},
                                  .when = options_.when});
        if (!read) return std::move(read).error();
        return Done{};
    }

    void tell(const studio::Search& search) const {
        const steer::Summary& summary = search.summary;
        const std::string setting = studio::textFromSetting(search.history.axes, summary.predicted.setting);
        switch (summary.status) {
            case steer::Status::print:
                say(fmt::format("  steer: print {}. {}.", setting, summary.reason));
                break;
            case steer::Status::settled:
                say(fmt::format("  steer: settled at {}. {}.", setting, summary.reason));
                break;
            case steer::Status::outOfReach:
                say(fmt::format("  steer: out of reach, best at {}. {}.", setting, summary.reason));
                break;
        }
    }

    [[nodiscard]] Outcome printAndRead(const Place& place, const simulate::Printer& printer,
                                       const studio::Search& search, int sheet) {
        std::vector<double> tones;
        for (int i = 0; i <= 20; ++i) tones.push_back(i / 20.0);
        const steer::Setting setting = search.summary.predicted.setting;
        const auto deflection = steer::SettingGrid(search.history.axes).deflection(setting);
        const measure::Reading reading = printer.print(tones, deflection, random_);
        const fs::path file = folder_ / fmt::format("{}-{}.txt", place.name, sheet);
        if (auto written = writeWholeFile(file, measure::cgatsFromReading(reading)); !written) return written;

        book::Setting values;
        for (std::size_t j = 0; j < setting.size(); ++j)
            values.push_back({search.history.axes[j].name, setting[j]});
        auto read =
            studio_.read({.file = file, .condition = place.name, .setting = values, .when = options_.when});
        if (!read) return std::move(read).error();
        auto judgement = studio_.judgeTrial(place.name, read->trial, {.viewers = {.count = 0}});
        if (!judgement) return std::move(judgement).error();
        say(fmt::format("  sheet {} at {}: {}", sheet, studio::textFromSetting(values),
                        judgement->verdict.summary));
        return Done{};
    }

    // As the program does after the same question.
    void keep(const Place& place, const char* kind, int trial, const std::string& json) {
        if (trial == 0) return;
        if (const auto note = studio_.keepVerdict(
                place.name, {.trial = trial, .kind = kind, .json = json, .when = options_.when}))
            say("  " + note->text);
    }

    [[nodiscard]] Outcome judged(const Place& place) {
        auto judgement = studio_.judgeTrial(place.name, std::nullopt, {});
        if (!judgement) return std::move(judgement).error();
        keep(place, "judge", judgement->trial, studio::jsonFromJudgement(*judgement));
        say("  who would notice beside something neutral (and alone on a wall), of a thousand viewers:");
        std::string line = "   ";
        for (const judge::LightVerdict& light : judgement->verdict.lights) {
            const auto percent = [](const judge::Share& share) {
                return textFromNumber(100 * share.value, 0);
            };
            line += fmt::format(" {} {} % ({} %) ", light.name, percent(light.notice->beside),
                                percent(light.notice->alone));
        }
        say(line);
        return Done{};
    }

    const Options& options_;
    fs::path folder_;
    studio::Studio studio_;
    Random random_;
};

}  // namespace

Result<Summary> run(const Options& options) {
    std::error_code problem;
    const fs::path folder = freeFolder(options.folder);
    fs::create_directories(folder, problem);
    if (problem) {
        return Error{.kind = ErrorKind::cannotWrite,
                     .code = "folder-not-made",
                     .what = fmt::format("the folder cannot be made ({})", problem.message()),
                     .where = {.path = folder.string()},
                     .next = "Choose another with --out"};
    }
    Demo demo(options, folder);
    Summary summary{.folder = folder, .book = demo.book()};
    const std::vector<Place> places = studioOfTheDemo();
    options.say("An invented studio: two printers, two papers, and drivers whose tint controls are hidden.");
    for (const Place& place : places) {
        if (auto played = demo.play(place); !played) return std::move(played).error();
    }
    if (!options.goOn()) return stopped();
    if (auto made = demo.sheets(); !made) return std::move(made).error();
    if (!options.goOn()) return stopped();
    if (auto corrected = demo.correct(); !corrected) return std::move(corrected).error();
    std::vector<std::string> conditions;
    for (const Place& place : places) conditions.push_back(place.name);
    conditions.emplace_back(kColourRoute);
    for (const std::string& condition : conditions) {
        if (!options.goOn()) return stopped();
        auto report = demo.report(condition);
        if (!report) return std::move(report).error();
        summary.reports.push_back(*report);
    }
    return summary;
}

// Its report is the last file that is written.
bool isWhole(const std::filesystem::path& folder) {
    return fs::exists(folder / fmt::format("{}.html", kColourRoute));
}

}  // namespace greywright::demo

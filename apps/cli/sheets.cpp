#include "sheets.h"

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <CLI/CLI.hpp>

#include "arguments.h"
#include "core/platform.h"
#include "studio/json.h"
#include "studio/sheets.h"
#include "words.h"

namespace greywright::cli {

class SheetCommands::Commands {
  public:
    Commands(const Terminal& terminal, int& exit) : terminal_(terminal), exit_(exit) {}

    void describe(CLI::App& app) {
        describeSheets(app);
        describeDevices(app);
        CLI::App* sub = command(&app, "look", "How far a patch in any photograph is from neutral, by a card",
                                &Commands::look);
        sub->add_option("photo", given_.picture, "TIFF, PNG, JPEG or camera raw")->required();
        sub->add_option("--card", given_.card, "A neutral card: x,y,width,height in pixels")->required();
        sub->add_option("--patch", given_.patch, "What is looked at: x,y,width,height in pixels")->required();
        sub->add_option("--card-lab", given_.cardLab, "The card's own L*,a*,b*, if it was measured");
        sub->add_option("--magnify", given_.magnify, "How many times the copy shows the tint (default: 6)");
        sub->add_option("--out", given_.out, "Write a copy with the tint magnified, as PNG");
    }

  private:
    // What was given on the command line.
    struct Given {
        std::string name, out, page = "A4", encoding, instrument = "strip", condition, trial, sheet, paper;
        std::string picture, measured, card, patch;
        std::optional<std::string> tones, steps, setting, differences, cardLab;
        std::optional<double> margin, side, length, width, gap, lead, step;
        std::optional<int> place, places;
        std::optional<std::uint64_t> shuffle;
        std::optional<std::uint64_t> seed;
        int dpi = 360, rings = 2;
        double magnify = 6;
        bool markers = false;
    };

    CLI::App* command(CLI::App* parent, const char* name, const char* what, int (Commands::*action)()) {
        CLI::App* sub = parent->add_subcommand(name, what);
        sub->fallthrough();
        if (action != nullptr) sub->callback([this, action] { exit_ = (this->*action)(); });
        return sub;
    }

    // --- sheets --------------------------------------------------------------------------------------------

    CLI::App* design(CLI::App* group, const char* name, const char* what, int (Commands::*action)()) {
        CLI::App* sub = command(group, name, what, action);
        sub->add_option("name", given_.name, "The sheet's name, printed on it")->required();
        sub->add_option("--out", given_.out, "File to write: .tif, .png or .pdf")->required();
        sub->add_option("--page", given_.page,
                        "A4 (default), A2 to A6, Letter, Legal, Tabloid, or a size like 210x297mm or 5x7in");
        sub->add_option("--margin", given_.margin, "Nothing is printed nearer to the edge, in mm");
        sub->add_option("--dpi", given_.dpi, "Dots per inch of TIFF and PNG (default: 360)");
        sub->add_option(
            "--encoding", given_.encoding,
            "What the file is tagged as: grey, srgb, p3, or an ICC profile's file (default: grey; "
            "srgb for colours)");
        return sub;
    }

    void offerTones(CLI::App* sub, const char* what) { sub->add_option("--tones", given_.tones, what); }
    void offerShuffle(CLI::App* sub) {
        sub->add_option("--shuffle", given_.shuffle, "Shuffle the order, by this seed")
            ->check(CLI::NonNegativeNumber);
    }
    void offerSizes(CLI::App* sub) {
        sub->add_option("--instrument", given_.instrument,
                        "strip (drawn along rows, default) or spot (put down on squares)");
        sub->add_option("--length", given_.length, "Of a patch along the strip, or a square's side, in mm");
        sub->add_option("--width", given_.width, "Of a strip, in mm");
        sub->add_option("--gap", given_.gap, "Between strips or squares, in mm");
        sub->add_option("--lead", given_.lead, "Before and behind a strip, in mm");
    }
    void offerSide(CLI::App* sub) { sub->add_option("--side", given_.side, "Of a square, in mm"); }
    void offerSeed(CLI::App* sub, const char* what) {
        sub->add_option("--seed", given_.seed, what)->check(CLI::NonNegativeNumber);
    }

    void describeSheets(CLI::App& app) {
        CLI::App* group = command(&app, "sheet", "Test sheets, exact in millimetres", nullptr);
        group->require_subcommand(1);
        CLI::App* sub = design(group, "ramp", "From paper to black, for an instrument", &Commands::ramp);
        offerTones(sub, "How many even tones, or the tones in percent (default: 21)");
        offerSizes(sub);
        offerShuffle(sub);

        sub = design(group, "blocks", "A few mid-tones in one place of a page that is fed again",
                     &Commands::blocks);
        offerTones(sub, "1 to 4 tones in percent (default: 35,50,65)");
        sub->add_option("--condition", given_.condition,
                        "The printing condition whose next trial this is: gives number, setting and place");
        sub->add_option("--trial", given_.trial, "What the trial is called on the page");
        sub->add_option("--setting", given_.setting, "What it is printed at, e.g. across=-8,up=0");
        sub->add_option("--place", given_.place, "Which place of the page (default: 1)");
        sub->add_option("--places", given_.places, "How many the page has, up to 24 (default: all that fit)");
        offerSide(sub);

        sub = design(group, "camera", "A ramp between markers, for a scanner or a camera", &Commands::camera);
        offerTones(sub, "How many even tones, or the tones in percent (default: 21)");
        offerSide(sub);
        offerShuffle(sub);

        sub = design(group, "neutral", "Greys with small steps of colour around them", &Commands::neutral);
        offerTones(sub, "How many even tones, or the tones in percent (default: 11)");
        sub->add_option("--steps", given_.steps, "Sizes of the steps in percent (default: 2.5,5)");
        sub->add_flag("--markers", given_.markers, "For a scanner or a camera");
        offerSizes(sub);
        offerSide(sub);
        offerShuffle(sub);

        sub = design(group, "steps", "By eye: first visible tone and shadow detail", &Commands::steps);
        offerSeed(sub, "Decides on which side each step lies (default: from the name)");

        sub = design(group, "picture", "By eye: gradients, fine greys and an invented picture",
                     &Commands::picture);
        offerTones(sub, "Tones of the fine greys in percent (default: 25,50,75)");
        sub->add_option("--differences", given_.differences,
                        "Between fine greys, in percent (default: 0.5,1,1.5,2,3)");
        offerSeed(sub, "Decides which half is darker, and the picture (default: from the name)");

        sub = design(group, "choice", "By eye: numbered greys to choose the most neutral from",
                     &Commands::choice);
        offerTones(sub, "Their tone in percent (default: 50)");
        sub->add_option("--step", given_.step, "From colour to colour in percent (default: 1.5)");
        sub->add_option("--rings", given_.rings, "1, 2 or 3 make 7, 19 or 37 blocks (default: 2)");
        offerSeed(sub, "Decides the order (default: from the name)");

        command(group, "list", "List the sheets of the book", &Commands::sheetList);
        sub = command(group, "show", "A sheet's definition as CGATS text", &Commands::sheetShow);
        sub->add_option("name", given_.name, "Its name or code")->required();
    }

    [[nodiscard]] sheet::Title title() const { return {given_.name, platform::utcNow().substr(0, 10)}; }

    [[nodiscard]] Result<sheet::Page> page() const {
        auto page = pageFromText(given_.page);
        if (page && given_.margin) page->marginMm = *given_.margin;
        return page;
    }

    // "21" asks for 21 even tones; several numbers are the tones.
    [[nodiscard]] Result<std::vector<double>> manyTones(std::size_t usual) const {
        if (!given_.tones) return sheet::evenTones(usual);
        auto tones = tonesFromText(*given_.tones);
        if (!tones || tones->size() > 1) return tones;
        const double count = tones->front();
        if (count >= 2 && count <= 1000 && count == static_cast<double>(static_cast<std::size_t>(count))) {
            return sheet::evenTones(static_cast<std::size_t>(count));
        }
        return Error{.kind = ErrorKind::wrongUse,
                     .code = "tone-count",
                     .what = "'" + *given_.tones + "' is no count of tones",
                     .where = {.field = "--tones"},
                     .next = "Give a whole number such as 21, or the tones in percent: 0,10,20.."};
    }

    [[nodiscard]] Result<sheet::Instrument> instrument() const {
        if (given_.instrument == "strip") return sheet::Instrument::strip;
        if (given_.instrument == "spot") return sheet::Instrument::spot;
        return Error{.kind = ErrorKind::wrongUse,
                     .code = "instrument-unknown",
                     .what = "there is no kind of instrument named '" + given_.instrument + "'",
                     .where = {.field = "--instrument"},
                     .next = "Choose strip or spot"};
    }

    [[nodiscard]] sheet::PatchSizes sizes(sheet::Instrument instrument) const {
        sheet::PatchSizes sizes = sheet::usualSizes(instrument);
        sizes.lengthMm = given_.length.value_or(sizes.lengthMm);
        sizes.widthMm = given_.width.value_or(sizes.widthMm);
        sizes.gapMm = given_.gap.value_or(sizes.gapMm);
        sizes.leadMm = given_.lead.value_or(sizes.leadMm);
        return sizes;
    }

    int make(studio::Design design) {
        const studio::SheetRequest request{.design = std::move(design),
                                           .out = given_.out,
                                           .dotsPerInch = given_.dpi,
                                           .encoding = given_.encoding,
                                           .condition = given_.condition,
                                           .placeGiven = given_.place.has_value(),
                                           .when = platform::utcNow()};
        const auto made = terminal_.studio().makeSheet(request);
        if (!made) return terminal_.fail(made.error());
        tell(wordsFromNotes(made->notes));
        return terminal_.answer([&] { return studio::jsonFromSheet(*made); },
                                [&] { return wordsFromSheet(*made); });
    }

    int ramp() {
        const auto on = page();
        if (!on) return terminal_.fail(on.error());
        const auto tones = manyTones(21);
        if (!tones) return terminal_.fail(tones.error());
        const auto by = instrument();
        if (!by) return terminal_.fail(by.error());
        return make(sheet::RampRequest{.title = title(),
                                       .tonesPercent = *tones,
                                       .instrument = *by,
                                       .sizes = sizes(*by),
                                       .shuffle = given_.shuffle,
                                       .page = *on});
    }

    // "14" is printed as TRIAL 14.
    [[nodiscard]] std::string trialName() const {
        const bool isNumber =
            !given_.trial.empty() && given_.trial.find_first_not_of("0123456789") == std::string::npos;
        return isNumber ? "TRIAL " + given_.trial : given_.trial;
    }

    int blocks() {
        const auto on = page();
        if (!on) return terminal_.fail(on.error());
        sheet::BlockRequest request{.title = title(),
                                    .places = given_.places,
                                    .place = given_.place.value_or(1),
                                    .trial = trialName(),
                                    .setting = given_.setting.value_or(""),
                                    .page = *on};
        if (given_.tones) {
            auto tones = tonesFromText(*given_.tones);
            if (!tones) return terminal_.fail(tones.error());
            request.tonesPercent = *std::move(tones);
        }
        request.sideMm = given_.side.value_or(request.sideMm);
        return make(request);
    }

    int camera() {
        const auto on = page();
        if (!on) return terminal_.fail(on.error());
        const auto tones = manyTones(21);
        if (!tones) return terminal_.fail(tones.error());
        return make(sheet::CameraRequest{.title = title(),
                                         .tonesPercent = *tones,
                                         .sideMm = given_.side,
                                         .shuffle = given_.shuffle,
                                         .page = *on});
    }

    int neutral() {
        const auto on = page();
        if (!on) return terminal_.fail(on.error());
        const auto by = instrument();
        if (!by) return terminal_.fail(by.error());
        sheet::NeutralRequest request{.title = title(),
                                      .instrument = *by,
                                      .hasMarkers = given_.markers,
                                      .sizes = sizes(*by),
                                      .sideMm = given_.side,
                                      .page = *on};
        const auto tones = manyTones(11);
        if (!tones) return terminal_.fail(tones.error());
        request.tonesPercent = *tones;
        if (given_.steps) {
            auto steps = numbersFromText(*given_.steps, "--steps");
            if (!steps) return terminal_.fail(steps.error());
            request.stepsPercent = *std::move(steps);
        }
        if (given_.shuffle) request.shuffle = given_.shuffle;
        return make(request);
    }

    [[nodiscard]] std::uint64_t seed() const {
        return given_.seed.value_or(sheet::seedFromName(given_.name));
    }

    int steps() {
        const auto on = page();
        if (!on) return terminal_.fail(on.error());
        return make(sheet::EyeRequest{.title = title(), .seed = seed(), .page = *on});
    }

    int picture() {
        const auto on = page();
        if (!on) return terminal_.fail(on.error());
        sheet::EyePictureRequest request{.title = title(), .seed = seed(), .page = *on};
        if (given_.tones) {
            auto tones = tonesFromText(*given_.tones);
            if (!tones) return terminal_.fail(tones.error());
            request.tonesPercent = *std::move(tones);
        }
        if (given_.differences) {
            auto differences = numbersFromText(*given_.differences, "--differences");
            if (!differences) return terminal_.fail(differences.error());
            request.differencesPercent = *std::move(differences);
        }
        return make(request);
    }

    int choice() {
        const auto on = page();
        if (!on) return terminal_.fail(on.error());
        sheet::ChoiceRequest request{.title = title(), .rings = given_.rings, .seed = seed(), .page = *on};
        if (given_.tones) {
            const auto tones = tonesFromText(*given_.tones);
            if (!tones) return terminal_.fail(tones.error());
            if (tones->size() > 1) {
                return terminal_.fail({.kind = ErrorKind::wrongUse,
                                       .code = "tone-count",
                                       .what = "the greys to choose from have one tone",
                                       .where = {.field = "--tones"},
                                       .next = "Give one tone in percent, such as 50"});
            }
            request.tonePercent = tones->front();
        }
        request.stepPercent = given_.step.value_or(request.stepPercent);
        return make(request);
    }

    int sheetList() {
        const auto sheets = terminal_.studio().sheets();
        if (!sheets) return terminal_.fail(sheets.error());
        return terminal_.answer([&] { return studio::jsonFromSheets(*sheets); },
                                [&] { return wordsFromSheets(*sheets); });
    }

    int sheetShow() {
        const auto found = terminal_.studio().sheetsNamed(given_.name);
        if (!found) return terminal_.fail(found.error());
        return terminal_.answer([&] { return studio::jsonFromSheets(*found); },
                                [&] { return found->front().definition; });
    }

    // --- scanners and cameras ------------------------------------------------------------------------------

    void describeDevices(CLI::App& app) {
        CLI::App* group = command(&app, "device", "Scanners and cameras that sheets are read with", nullptr);
        group->require_subcommand(1);
        CLI::App* sub = command(group, "learn", "Learn one from a sheet read both by it and by an instrument",
                                &Commands::deviceLearn);
        sub->add_option("name", given_.name, "Your name for the scanner or camera")->required();
        sub->add_option("picture", given_.picture, "The scan or photograph of a sheet with markers")
            ->required();
        sub->add_option("measured", given_.measured, "The instrument's file of the same sheet")->required();
        sub->add_option("--paper", given_.paper, "Kind of paper, as the printing condition calls it")
            ->required();
        sub->add_option("--sheet", given_.sheet,
                        "Its name, code, or the file of its definition (default: any of the book)");
        command(group, "list", "List them", &Commands::deviceList);
        sub = command(group, "remove", "Forget one, on all papers", &Commands::deviceRemove);
        sub->add_option("name", given_.name, "Its name")->required();
    }

    int deviceLearn() {
        const auto learned = terminal_.studio().learnDevice({.name = given_.name,
                                                             .paper = given_.paper,
                                                             .picture = given_.picture,
                                                             .measured = given_.measured,
                                                             .sheet = given_.sheet,
                                                             .when = platform::utcNow()});
        if (!learned) return terminal_.fail(learned.error());
        tell(wordsFromNotes(learned->notes));
        return terminal_.answer([&] { return studio::jsonFromDevice(*learned); },
                                [&] { return studio::wordsFromDevice(*learned) + "\n"; });
    }

    int deviceList() {
        const auto devices = terminal_.studio().devices();
        if (!devices) return terminal_.fail(devices.error());
        return terminal_.answer([&] { return studio::jsonFromDevices(*devices); },
                                [&] { return wordsFromDevices(*devices); });
    }

    int deviceRemove() {
        const auto removed = terminal_.studio().removeDevice(given_.name);
        if (!removed) return terminal_.fail(removed.error());
        return terminal_.done("Device '" + given_.name + "' is no longer in the book");
    }

    int look() {
        const auto card = rectangleFromText(given_.card, "--card");
        if (!card) return terminal_.fail(card.error());
        const auto patch = rectangleFromText(given_.patch, "--patch");
        if (!patch) return terminal_.fail(patch.error());
        studio::LookRequest request{.picture = given_.picture,
                                    .card = *card,
                                    .patch = *patch,
                                    .magnify = given_.magnify,
                                    .out = given_.out};
        if (given_.cardLab) {
            const auto lab = labFromText(*given_.cardLab, "--card-lab");
            if (!lab) return terminal_.fail(lab.error());
            request.cardLab = *lab;
        }
        const auto seen = studio::look(request);
        if (!seen) return terminal_.fail(seen.error());
        tell(wordsFromNotes(seen->notes));
        return terminal_.answer([&] { return studio::jsonFromLook(*seen); },
                                [&] { return cli::wordsFromLook(*seen); });
    }

    const Terminal& terminal_;
    int& exit_;
    Given given_;
};

SheetCommands::SheetCommands(const Terminal& terminal, int& exit)
    : commands_(std::make_unique<Commands>(terminal, exit)) {}
SheetCommands::~SheetCommands() = default;

void SheetCommands::describe(CLI::App& app) {
    commands_->describe(app);
}

}  // namespace greywright::cli

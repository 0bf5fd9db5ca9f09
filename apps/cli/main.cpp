#include <algorithm>
#include <cstdio>
#include <exception>
#include <filesystem>
#include <optional>
#include <string_view>
#include <tuple>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "arguments.h"
#include "core/nearest_name.h"
#include "core/platform.h"
#include "corrections.h"
#include "demo/demo.h"
#include "sheets.h"
#include "studio/json.h"
#include "studio/studio.h"
#include "terminal.h"
#include "ways.h"
#include "words.h"

namespace greywright::cli {
namespace {

// So many take long enough for a word on how far it is. Ctrl-C stops the program; nothing is written until
// the end.
constexpr long kManyViewers = 20000;

/// Always true: the work goes on.
bool tellProgress(double share) {
    static int last = -1;
    const int tenth = static_cast<int>(10 * share);
    if (tenth != last) tell(fmt::format("viewers: {} %\n", 10 * (last = tenth)));
    return true;
}

/// What was given on the command line.
struct Given {
    std::string file, condition, name, printer, inks, paper, mode, aim = "fade", reason, out;
    std::optional<std::string> setting, tones, conditionM;  // given but empty is a mistake, not an absence
    std::string sheet, device, outlined;
    std::optional<std::string> card, cardLab;
    std::string second, picture, glazing, viewer, description, light;
    std::optional<std::string> ages, column;
    std::optional<double> lux, beside, alone;
    std::vector<std::string> axes, lights, choices, mix, pages;
    std::optional<int> trial;
    int through = 0;
    long viewers = 1000;
    std::uint64_t seed = 1;
    double age = 0, field = 2;
    bool force = false, hasCard = false;
    bool original = false;
    bool strict = false;
    bool isLook = false;
};

class Program : Terminal {
  public:
    int run(int argc, char** argv) {
        describe();
        try {
            app_.parse(argc, argv);
        } catch (const CLI::ParseError& error) {
            if (error.get_exit_code() == 0) {
                app_.exit(error);  // help or version
            } else {
                json = std::any_of(argv + 1, argv + argc,
                                   [](const char* word) { return std::string_view(word) == "--json"; });
                exit_ = fail({.kind = ErrorKind::wrongUse,
                              .code = "command-line",
                              .what = error.what(),
                              .next = nextAfter(argc, argv)});
            }
        }
        if (std::fflush(stdout) != 0 || std::ferror(stdout) != 0) {
            tell("greywright: the answer could not be written to standard output\n");
            return kCannotWrite;
        }
        return exit_;
    }

  private:
    /// What to do about a command line that was not understood: the command that was meant, if that is plain.
    [[nodiscard]] std::string nextAfter(int argc, char** argv) const {
        const CLI::App* app = &app_;
        for (int i = 1; i < argc; ++i) {
            const std::string word = argv[i];
            if (word.starts_with("-")) {
                if (word == "--book") ++i;
                continue;
            }
            std::vector<std::string> names;
            const CLI::App* meant = nullptr;
            for (const CLI::App* sub : app->get_subcommands(nullptr)) {
                names.push_back(sub->get_name());
                if (sub->get_name() == word) meant = sub;
            }
            if (names.empty()) break;
            if (meant != nullptr) {
                app = meant;
                continue;
            }
            const auto nearest = nearestName(word, names);
            return nearest ? fmt::format("There is no '{}'. Did you mean {}?", word, *nearest)
                           : fmt::format("There is no '{}'. Choose one of: {}", word, fmt::join(names, ", "));
        }
        return "See greywright --help, or --help behind a command";
    }

    [[nodiscard]] Result<studio::JudgeRequest> judgeRequest() const {
        auto aim = aimFromText(given_.aim);
        if (!aim) return std::move(aim).error();
        const auto viewers = viewerCount(given_.viewers);
        if (!viewers) return viewers.error();
        studio::JudgeRequest request{.aim = *aim,
                                     .lights = given_.lights,
                                     .lux = given_.lux,
                                     .glazing = given_.glazing,
                                     .viewers = {.count = *viewers,
                                                 .fieldDegrees = given_.field,
                                                 .seed = given_.seed,
                                                 .named = given_.viewer},
                                     .second = given_.second,
                                     .picture = given_.picture};
        if (given_.ages) {
            auto ages = agesFromText(*given_.ages);
            if (!ages) return std::move(ages).error();
            std::tie(request.viewers.youngestYears, request.viewers.oldestYears) = *ages;
        }
        if (given_.viewers > kManyViewers) request.goOn = [](double share) { return tellProgress(share); };
        return request;
    }

    [[nodiscard]] Result<studio::PictureRequest> pictureRequest() const {
        studio::PictureRequest request{.sheet = given_.sheet,
                                       .further = {given_.pages.begin(), given_.pages.end()},
                                       .device = given_.device,
                                       .paper = given_.paper,
                                       .hasCard = given_.hasCard,
                                       .outlined = given_.outlined};
        if (given_.card) {
            auto card = rectangleFromText(*given_.card, "--card-at");
            if (!card) return std::move(card).error();
            request.card = *card;
        }
        if (given_.cardLab) {
            auto lab = labFromText(*given_.cardLab, "--card-lab");
            if (!lab) return std::move(lab).error();
            request.cardLab = *lab;
        }
        return request;
    }

    [[nodiscard]] Result<std::vector<double>> tones() const {
        if (!given_.tones) return std::vector<double>{};
        return tonesFromText(*given_.tones);
    }

    [[nodiscard]] Result<studio::Choices> choices() const {
        studio::Choices out;
        for (const std::string& text : given_.choices) {
            auto choice = choiceFromText(text);
            if (!choice) return std::move(choice).error();
            out.insert(*std::move(choice));
        }
        return out;
    }

    // --- the commands ------------------------------------------------------------------------------------

    int demo() {
        auto summary =
            demo::run({.folder = given_.out, .when = platform::utcNow(), .say = [](std::string_view line) {
                           tell(fmt::format("{}\n", line));
                       }});
        if (!summary) return fail(summary.error());
        std::string words = fmt::format("\nBook     {}\n", summary->book.string());
        std::string object = fmt::format("{{\"folder\": {}, \"book\": {}, \"reports\": [",
                                         studio::jsonFromText(summary->folder.string()),
                                         studio::jsonFromText(summary->book.string()));
        for (std::size_t i = 0; i < summary->reports.size(); ++i) {
            words += fmt::format("{} {}\n", i == 0 ? "Reports " : "        ", summary->reports[i].string());
            object += (i == 0 ? "" : ", ") + studio::jsonFromText(summary->reports[i].string());
        }
        words += fmt::format("Go on with it: greywright --book {} condition list\n", summary->book.string());
        return answer([&] { return object + "]}"; }, [&] { return words; });
    }

    int conditionAdd() {
        book::ConditionRecord condition{.name = given_.name,
                                        .printer = given_.printer,
                                        .inks = given_.inks,
                                        .paper = given_.paper,
                                        .mode = given_.mode,
                                        .when = platform::utcNow()};
        auto axes = axesFromTexts(given_.axes);
        if (!axes) return fail(axes.error());
        condition.axes = *std::move(axes);
        const auto added = studio().addCondition(condition);
        if (!added) return fail(added.error());
        return done(fmt::format(
            "Condition '{}' is in the book {}{}", condition.name, studio().path().string(),
            condition.axes.empty() ? "; it has no tint control (--axis), so nothing will be steered" : ""));
    }

    int conditionCorrect() {
        const auto found = studio().condition(given_.condition);
        if (!found) return fail(found.error());
        book::ConditionRecord corrected = *found;
        for (auto& [field, given] : std::initializer_list<std::pair<std::string*, const std::string*>>{
                 {&corrected.name, &given_.name},
                 {&corrected.printer, &given_.printer},
                 {&corrected.inks, &given_.inks},
                 {&corrected.paper, &given_.paper},
                 {&corrected.mode, &given_.mode}}) {
            if (!given->empty()) *field = *given;
        }
        if (!given_.axes.empty()) {
            auto axes = axesFromTexts(given_.axes);
            if (!axes) return fail(axes.error());
            corrected.axes = *std::move(axes);
        }
        corrected.when = platform::utcNow();
        const auto outcome = studio().correctCondition(given_.condition, corrected);
        if (!outcome) return fail(outcome.error());
        return done(fmt::format("Condition '{}' is put right", corrected.name));
    }

    int conditionRemove() {
        const auto outcome = studio().removeCondition(given_.condition);
        if (!outcome) return fail(outcome.error());
        return done(fmt::format("Condition '{}' is no longer in the book", given_.condition));
    }

    int conditionList() {
        auto conditions = studio().overview();
        if (!conditions && conditions.error().code == "book-not-found") {
            tell(fmt::format("note: there is no book yet at {}\n", studio().path().string()));
            conditions = std::vector<studio::ConditionOverview>{};
        }
        if (!conditions) return fail(conditions.error());
        return answer([&] { return studio::jsonFromConditions(*conditions); },
                      [&] { return wordsFromConditions(*conditions); });
    }

    int trialList() {
        const auto trials = studio().trials(given_.condition);
        if (!trials) return fail(trials.error());
        return answer([&] { return studio::jsonFromTrials(*trials); },
                      [&] { return wordsFromTrials(*trials); });
    }

    int trialWithdraw() {
        const auto outcome =
            studio().withdraw(given_.condition, *given_.trial, given_.reason, platform::utcNow());
        if (!outcome) return fail(outcome.error());
        return done(fmt::format("Trial {} is withdrawn; it stays in the book", *given_.trial));
    }

    int trialRestore() {
        const auto outcome = studio().restore(given_.condition, *given_.trial);
        if (!outcome) return fail(outcome.error());
        return done(fmt::format("Trial {} counts again", *given_.trial));
    }

    int read() {
        studio::ReadRequest request{.file = given_.file,
                                    .condition = given_.condition,
                                    .force = given_.force,
                                    .toTrial = given_.trial,
                                    .through = given_.through,
                                    .when = platform::utcNow()};
        if (given_.setting) {
            auto setting = settingFromText(*given_.setting);
            if (!setting) return fail(setting.error());
            request.setting = *setting;
        }
        auto tones = this->tones();
        if (!tones) return fail(tones.error());
        request.tonesPercent = *tones;
        auto named = choices();
        if (!named) return fail(named.error());
        request.choices = *named;
        if (given_.conditionM) {
            auto preferred = measurementConditionFromText(*given_.conditionM);
            if (!preferred) return fail(preferred.error());
            request.preferred = *preferred;
        }
        auto picture = pictureRequest();
        if (!picture) return fail(picture.error());
        request.picture = *std::move(picture);
        if (given_.isLook) {
            const auto inspected = studio().inspect(request);
            if (!inspected) return fail(inspected.error());
            tell(wordsFromNotes(inspected->summary.notes));
            return answer([&] { return studio::jsonFromInspected(*inspected); },
                          [&] { return wordsFromInspected(*inspected); });
        }
        const auto summary = studio().read(request);
        if (!summary) return fail(summary.error());
        tell(wordsFromNotes(summary->notes));
        return answer([&] { return studio::jsonFromRead(*summary); },
                      [&] { return wordsFromRead(*summary); });
    }

    int judge() {
        const auto request = judgeRequest();
        if (!request) return fail(request.error());
        if (given_.file.empty() == given_.condition.empty()) {
            return fail({.kind = ErrorKind::wrongUse,
                         .code = "file-or-condition",
                         .what = "judge needs either a file or --condition",
                         .next = "Write: greywright judge FILE, or: greywright judge --condition NAME"});
        }
        const auto tones = this->tones();
        if (!tones) return fail(tones.error());
        const auto picture = pictureRequest();
        if (!picture) return fail(picture.error());
        const auto judgement = given_.condition.empty()
                                   ? studio().judgeFile(given_.file, *tones, *request, *picture)
                                   : studio().judgeTrial(given_.condition, given_.trial, *request);
        if (!judgement) return fail(judgement.error());
        tell(wordsFromNotes(judgement->notes));
        tell(wordsFromNotes(judgement->verdict.notes));
        if (judgement->trial > 0) keep(judgement->trial, "judge", studio::jsonFromJudgement(*judgement));
        answer([&] { return studio::jsonFromJudgement(*judgement); },
               [&] { return wordsFromJudgement(*judgement); });
        return given_.strict && !judgement->verdict.isGood ? kAnsweredNo : kDone;
    }

    int steer() {
        studio::SteerRequest request;
        auto aim = aimFromText(given_.aim);
        if (!aim) return fail(aim.error());
        request.aim = *aim;
        if (!given_.choices.empty()) {
            auto named = choices();
            if (!named) return fail(named.error());
            request.choices = *named;
        }
        auto goals = goalsFromTexts(given_.lights);
        if (!goals) return fail(goals.error());
        request.lights = *std::move(goals);
        if (given_.setting) return foretell(request);
        const auto search = studio().steer(given_.condition, request);
        if (!search) return fail(search.error());
        tell(wordsFromNotes(search->notes));
        if (!search->history.trials.empty()) {
            const auto latest = std::ranges::max_element(search->history.trials, {}, &steer::Trial::number);
            keep(latest->number, "steer", studio::jsonFromSearch(*search));
        }
        return answer([&] { return studio::jsonFromSearch(*search); },
                      [&] { return wordsFromSearch(*search); });
    }

    int foretell(const studio::SteerRequest& request) {
        const auto setting = settingFromText(*given_.setting);
        if (!setting) return fail(setting.error());
        studio::JudgeRequest looking{.aim = request.aim};
        for (const steer::LightGoal& goal : request.lights) looking.lights.push_back(goal.name);
        const auto foretold = studio().foretell(given_.condition, *setting, request, looking);
        if (!foretold) return fail(foretold.error());
        tell(wordsFromNotes(foretold->verdict.notes));
        return answer([&] { return studio::jsonFromForetelling(*foretold); },
                      [&] { return wordsFromForetelling(*foretold); });
    }

    void keep(int trial, const std::string& kind, const std::string& text) {
        const auto note = studio().keepVerdict(
            given_.condition, {.trial = trial, .kind = kind, .json = text, .when = platform::utcNow()});
        if (note) tell(wordsFromNotes({*note}));
    }

    int report() {
        const auto request = judgeRequest();
        if (!request) return fail(request.error());
        const auto page = studio().report(given_.condition, *request, platform::utcNow());
        if (!page) return fail(page.error());
        return write(given_.out, *page);
    }

    int exportTrial() {
        const auto text = given_.original ? studio().originalOfTrial(given_.condition, *given_.trial)
                                          : studio().cgatsOfTrial(given_.condition, *given_.trial);
        if (!text) return fail(text.error());
        return write(given_.out, *text);
    }

    // Answers from what ships and what the book holds.
    template <typename ToJson, typename ToWords>
    int fromCatalogue(const ToJson& toJson, const ToWords& toWords) {
        const auto catalogue = studio().catalogue();
        if (!catalogue) return fail(catalogue.error());
        return answer([&] { return toJson(*catalogue); }, [&] { return toWords(*catalogue); });
    }

    int entered(const Result<std::vector<Note>>& notes, std::string_view kind) {
        if (!notes) return fail(notes.error());
        tell(wordsFromNotes(*notes));
        return answer([&] { return studio::jsonFromNotes(*notes); },
                      [&] { return fmt::format("{} '{}' is in the book\n", kind, given_.name); });
    }

    int entered(const Outcome& outcome, std::string_view kind) {
        if (!outcome) return fail(outcome.error());
        return done(fmt::format("{} '{}' is in the book", kind, given_.name));
    }

    int removed(const Outcome& outcome, std::string_view kind) {
        if (!outcome) return fail(outcome.error());
        return done(fmt::format("{} '{}' is no longer in the book", kind, given_.name));
    }

    int lightsList() { return fromCatalogue(studio::jsonFromLights, wordsFromLights); }

    int lightsShow() {
        const auto catalogue = studio().catalogue();
        if (!catalogue) return fail(catalogue.error());
        const auto light = catalogue->light(given_.name);
        if (!light) return fail(light.error());
        return answer([&] { return studio::jsonFromLight(*light, *catalogue); },
                      [&] { return wordsFromLight(*light, *catalogue); });
    }

    int lightsAdd() {
        studio::LightRequest request{.name = given_.name,
                                     .description = given_.description,
                                     .file = given_.file,
                                     .column = given_.column,
                                     .when = platform::utcNow()};
        if (given_.file.empty() == given_.mix.empty()) {
            return fail({.kind = ErrorKind::wrongUse,
                         .code = "file-or-mix",
                         .what = "lights add needs either a file or --mix",
                         .next =
                             "Write: greywright lights add NAME FILE, or: greywright lights add NAME --mix "
                             "LED-B1=0.7 --mix D65=0.3"});
        }
        for (const std::string& text : given_.mix) {
            auto part = partFromText(text);
            if (!part) return fail(part.error());
            request.parts.push_back(*std::move(part));
        }
        return entered(studio().addLight(request), "Light");
    }
    int lightsRemove() { return removed(studio().removeLight(given_.name), "Light"); }

    int sceneList() { return fromCatalogue(studio::jsonFromScenes, wordsFromScenes); }
    int sceneAdd() {
        return entered(studio().addScene({.name = given_.name,
                                          .light = given_.light,
                                          .lux = given_.lux.value_or(judge::kUsualLux),
                                          .glazing = given_.glazing,
                                          .when = platform::utcNow()}),
                       "Scene");
    }
    int sceneRemove() { return removed(studio().removeScene(given_.name), "Scene"); }

    int glazingList() { return fromCatalogue(studio::jsonFromGlazings, wordsFromGlazings); }
    int glazingAdd() {
        return entered(studio().addGlazing({.name = given_.name,
                                            .description = given_.description,
                                            .file = given_.file,
                                            .column = given_.column,
                                            .when = platform::utcNow()}),
                       "Glazing");
    }
    int glazingRemove() { return removed(studio().removeGlazing(given_.name), "Glazing"); }

    int viewerList() { return fromCatalogue(studio::jsonFromViewers, wordsFromViewers); }
    int viewerAdd() {
        return entered(studio().addViewer({.name = given_.name,
                                           .ageYears = given_.age,
                                           .fieldDegrees = given_.field,
                                           .thresholdBeside = given_.beside,
                                           .thresholdAlone = given_.alone,
                                           .when = platform::utcNow()}),
                       "Viewer");
    }
    int viewerRemove() { return removed(studio().removeViewer(given_.name), "Viewer"); }

    int bookCheck() {
        const auto outcome = studio().check();
        if (!outcome) return fail(outcome.error());
        return done(fmt::format("The book {} is whole", studio().path().string()));
    }

    // --- the command line ----------------------------------------------------------------------------------

    CLI::App* command(CLI::App* parent, const char* name, const char* what, int (Program::*action)()) {
        CLI::App* sub = parent->add_subcommand(name, what);
        sub->fallthrough();
        if (action != nullptr) sub->callback([this, action] { exit_ = (this->*action)(); });
        return sub;
    }

    void needCondition(CLI::App* sub) {
        sub->add_option("--condition", given_.condition, "Name of the printing condition")->required();
    }

    void needName(CLI::App* sub) { sub->add_option("name", given_.name, "Its name")->required(); }

    void offerFileDetails(CLI::App* sub) {
        sub->add_option("--column", given_.column,
                        "Which of several in one table: its heading, or its number");
        sub->add_option("--description", given_.description, "In your own words");
    }

    void offerLights(CLI::App* sub) {
        sub->add_option("--light", given_.lights,
                        "A scene or a light beside D50; repeat it (see: greywright scene list, lights list)")
            ->allow_extra_args(false);
        sub->add_option("--lux", given_.lux, "Level on the print, in place of the scenes' own");
        sub->add_option("--glazing", given_.glazing,
                        "In front of the print, in place of the scenes' own (see: greywright glazing list)");
    }

    void offerViewers(CLI::App* sub) {
        sub->add_option("--viewers", given_.viewers, "How many viewers to ask (default: 1000; 0: nobody)");
        sub->add_option("--ages", given_.ages, "Their ages, youngest:oldest (default: 20:75)");
        sub->add_option("--field", given_.field,
                        "What they look at, in degrees: 2 is a detail (default), 10 a whole picture");
        sub->add_option("--seed", given_.seed, "Another draw of viewers (default: 1)")
            ->check(CLI::NonNegativeNumber);
        sub->add_option("--viewer", given_.viewer, "People like this viewer of the book, in place of all");
    }

    void offerPicture(CLI::App* sub) {
        sub->add_option("--sheet", given_.sheet,
                        "The sheet that was read: name, code, or the file of its definition (a picture: any "
                        "of the book)");
        sub->add_option("--page", given_.pages, "A picture of a further page of the same sheet; repeat it")
            ->allow_extra_args(false);
        sub->add_option("--device", given_.device, "The scanner or camera, once learned");
        sub->add_flag("--card", given_.hasCard, "A neutral card lies in the sheet's place for it");
        sub->add_option("--card-at", given_.card, "A neutral card elsewhere: x,y,width,height in pixels");
        sub->add_option("--card-lab", given_.cardLab, "The card's own L*,a*,b*, if it was measured");
        sub->add_option("--outlined", given_.outlined,
                        "Write the picture with what was found outlined, as PNG");
    }

    void offerAim(CLI::App* sub) {
        sub->add_option("--aim", given_.aim,
                        "fade (default): the paper's tint fades into neutral; light; paper");
    }

    void describe() {
        app_.description(
            "Neutral black-and-white inkjet prints: takes in what was measured from test sheets, judges tone "
            "and\n"
            "tint, and finds the setting of the driver's tint control that makes the print neutral; where no "
            "setting does, it corrects by a curve or a table.");
        app_.name("greywright");
        app_.set_version_flag("--version", std::string(studio::version()));
        app_.require_subcommand(1);
        app_.fallthrough();
        app_.add_option("--book", book,
                        "The record book (default: GREYWRIGHT_BOOK, else a file in your data folder)");
        app_.add_flag("--json", json, "One JSON object on standard output, messages on standard error");

        CLI::App* sub = command(&app_, "demo", "The whole job on an invented studio", &Program::demo);
        given_.out = "greywright-demo";
        sub->add_option("--out", given_.out, "Folder for its files (default: greywright-demo)");

        CLI::App* group =
            command(&app_, "condition", "Printing conditions: printer + inks + paper + mode", nullptr);
        group->require_subcommand(1);
        sub = command(group, "add", "Enter a printing condition", &Program::conditionAdd);
        sub->add_option("name", given_.name, "A short name of your own")->required();
        sub->add_option("--printer", given_.printer, "Printer")->required();
        sub->add_option("--inks", given_.inks, "Inks")->required();
        sub->add_option("--paper", given_.paper, "Paper")->required();
        sub->add_option("--mode", given_.mode, "The driver's monochrome mode")->required();
        sub->add_option("--axis", given_.axes,
                        "An axis of the tint control, name:lowest:highest:step; repeat it (none: it has no "
                        "tint control)")
            ->allow_extra_args(false);
        sub = command(group, "correct", "Put right how one was entered", &Program::conditionCorrect);
        sub->add_option("name", given_.condition, "Its name as it is")->required();
        sub->add_option("--name", given_.name, "Its name as it should be");
        sub->add_option("--printer", given_.printer, "Printer");
        sub->add_option("--inks", given_.inks, "Inks");
        sub->add_option("--paper", given_.paper, "Paper");
        sub->add_option("--mode", given_.mode, "The driver's monochrome mode");
        sub->add_option("--axis", given_.axes,
                        "An axis of the tint control, name:lowest:highest:step; repeat it, all of them in "
                        "their order")
            ->allow_extra_args(false);
        sub = command(group, "remove", "Take out one that was entered by mistake", &Program::conditionRemove);
        sub->add_option("name", given_.condition, "Its name")->required();
        command(group, "list", "List the printing conditions", &Program::conditionList);

        group = command(&app_, "trial", "Trials: one sheet printed at one setting", nullptr);
        group->require_subcommand(1);
        sub = command(group, "list", "List the trials of a condition", &Program::trialList);
        needCondition(sub);
        sub = command(group, "withdraw", "Take a trial out of the account; it stays in the book",
                      &Program::trialWithdraw);
        needCondition(sub);
        sub->add_option("--trial", given_.trial, "Number of the trial")->required();
        sub->add_option("--reason", given_.reason, "Why")->required();
        sub = command(group, "restore", "Make a withdrawn trial count again", &Program::trialRestore);
        needCondition(sub);
        sub->add_option("--trial", given_.trial, "Number of the trial")->required();

        sub = command(&app_, "read", "Take a measurement file into the book as a trial", &Program::read);
        sub->add_option("file", given_.file,
                        "CGATS, ISO 28178, CxF3, CSV or TSV; or a scan or photograph of a sheet with markers")
            ->required();
        needCondition(sub);
        sub->add_option("--setting", given_.setting, "What the sheet was printed at, e.g. across=-8,up=0");
        sub->add_option("--tones", given_.tones,
                        "Tones in percent in the order of the patches, e.g. 0,10,50,100");
        sub->add_option("--choice", given_.choices, "A named choice of the driver, name=value; repeat it")
            ->allow_extra_args(false);
        sub->add_option("--condition-m", given_.conditionM,
                        "Which of M0..M3 to read from a file that holds several");
        sub->add_option("--to-trial", given_.trial,
                        "A further reading of this trial's sheet, e.g. under M2, instead of a new trial");
        sub->add_option("--through", given_.through,
                        "Number of the correction that the sheet was printed through (default: none)")
            ->check(CLI::NonNegativeNumber);
        offerPicture(sub);
        CLI::Option* force = sub->add_flag("--force", given_.force,
                                           "Take it although its paper differs or it was read before");
        sub->add_flag("--look", given_.isLook,
                      "Store nothing: say what it would be taken for, and what would be asked")
            ->excludes(force);

        sub = command(&app_, "judge", "Judge tone and tint of a file or a trial", &Program::judge);
        sub->add_option("file", given_.file, "A measurement file, scan or photograph");
        CLI::Option* condition =
            sub->add_option("--condition", given_.condition, "Judge a trial of this printing condition");
        sub->add_option("--trial", given_.trial, "Number of the trial (default: the latest)")
            ->needs(condition);
        offerLights(sub);
        offerViewers(sub);
        sub->add_option("--second", given_.second,
                        "The same sheet read again, one of the two under M2: tells the paper's brightener");
        sub->add_option("--picture", given_.picture,
                        "A picture whose own tones count, by their share of its area");
        sub->add_option("--tones", given_.tones, "Tones in percent, for a file that does not say")
            ->excludes(condition);
        offerPicture(sub);
        sub->add_option("--paper", given_.paper, "Kind of paper that --device was learned on")
            ->excludes(condition);
        offerAim(sub);
        sub->add_flag("--strict", given_.strict, "Exit with 1 unless nothing is to be mended");

        sub = command(&app_, "steer", "Which setting to print next, or that the search is over",
                      &Program::steer);
        needCondition(sub);
        sub->add_option("--choice", given_.choices,
                        "Only trials printed with this driver's choice; repeat it")
            ->allow_extra_args(false);
        sub->add_option("--light", given_.lights,
                        "A scene or light the print shall look right under, NAME or NAME=WEIGHT (half the "
                        "weight may show twice the tint); repeat it for "
                        "the worst of several (default: D50)")
            ->allow_extra_args(false);
        sub->add_option("--at", given_.setting,
                        "Foretell what this setting gives, e.g. across=-8,up=0, in place of searching");
        offerAim(sub);

        sub = command(&app_, "report", "One page about a condition, as HTML", &Program::report);
        needCondition(sub);
        sub->add_option("--out", given_.out, "File to write")->required();
        offerLights(sub);
        offerViewers(sub);
        offerAim(sub);

        sub = command(&app_, "export", "Write a trial's reading as CGATS text", &Program::exportTrial);
        needCondition(sub);
        sub->add_option("--trial", given_.trial, "Number of the trial")->required();
        sub->add_option("--out", given_.out, "File to write")->required();
        sub->add_flag("--original", given_.original, "The file it was read from instead, byte for byte");

        sheets_.describe(app_);
        corrections_.describe(app_);

        group = command(&app_, "lights", "Lights that prints are judged under", nullptr);
        group->require_subcommand(1);
        command(group, "list", "List them, with their white and rendering", &Program::lightsList);
        sub = command(group, "show", "Everything about one", &Program::lightsShow);
        needName(sub);
        sub = command(group, "add", "Enter a measured lamp, or a mix of lights", &Program::lightsAdd);
        needName(sub);
        sub->add_option("file", given_.file, "IES TM-27, or a table of wavelengths and power (CSV, TSV)");
        offerFileDetails(sub);
        sub->add_option("--mix", given_.mix,
                        "A part and its share of the illuminance, light=share; repeat it")
            ->allow_extra_args(false);
        sub =
            command(group, "remove", "Take one of the studio's own out of the book", &Program::lightsRemove);
        needName(sub);

        group = command(&app_, "scene", "Scenes: a light, its level, and the glazing in front of the print",
                        nullptr);
        group->require_subcommand(1);
        command(group, "list", "List them", &Program::sceneList);
        sub = command(group, "add", "Compose one", &Program::sceneAdd);
        needName(sub);
        sub->add_option("--light", given_.light, "Its light")->required();
        sub->add_option("--lux", given_.lux, "Level on the print in lux (default: 500)");
        sub->add_option("--glazing", given_.glazing, "In front of the print (see: greywright glazing list)");
        sub = command(group, "remove", "Take one of the studio's own out of the book", &Program::sceneRemove);
        needName(sub);

        group = command(&app_, "glazing", "What can stand in front of a print", nullptr);
        group->require_subcommand(1);
        command(group, "list", "List them", &Program::glazingList);
        sub = command(group, "add", "Enter a measured transmittance", &Program::glazingAdd);
        needName(sub);
        sub->add_option("file", given_.file, "IES TM-27, or a table of wavelengths and transmittance")
            ->required();
        offerFileDetails(sub);
        sub =
            command(group, "remove", "Take one of the studio's own out of the book", &Program::glazingRemove);
        needName(sub);

        group = command(&app_, "viewer", "People who look at the studio's prints", nullptr);
        group->require_subcommand(1);
        command(group, "list", "List them", &Program::viewerList);
        sub = command(group, "add", "Enter one; this is no test of anybody's eyes", &Program::viewerAdd);
        needName(sub);
        sub->add_option("--age", given_.age, "Years, 20 to 80")->required();
        sub->add_option("--field", given_.field, "What they look at, in degrees, 1 to 10 (default: 2)");
        sub->add_option("--threshold-beside", given_.beside,
                        "What they just notice beside a neutral, CAM16-UCS units (default: as assumed)");
        sub->add_option("--threshold-alone", given_.alone, "The same with the print alone on a wall");
        sub = command(group, "remove", "Take one out of the book", &Program::viewerRemove);
        needName(sub);

        group = command(&app_, "book", "The record book itself", nullptr);
        group->require_subcommand(1);
        command(group, "check", "Read the whole book and compare everything with everything",
                &Program::bookCheck);
    }

    CLI::App app_;
    Given given_;
    int exit_ = kDone;
    SheetCommands sheets_{*this, exit_};
    CorrectionCommands corrections_{*this, exit_};
};

}  // namespace
}  // namespace greywright::cli

int main(int argc, char** argv) {
    try {
        greywright::cli::sayWhatToType();
        return greywright::cli::Program().run(argc, argv);
    } catch (const std::exception& error) {
        std::fprintf(stderr, "greywright: this is a mistake in the program, please report it: %s\n",
                     error.what());
        return 70;
    }
}

#include <algorithm>
#include <cstdio>
#include <exception>
#include <optional>
#include <string_view>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "arguments.h"
#include "colour/light.h"
#include "colour/rendering.h"
#include "colour/temperature.h"
#include "core/files.h"
#include "core/numbers.h"
#include "core/platform.h"
#include "demo/demo.h"
#include "studio/json.h"
#include "studio/studio.h"
#include "words.h"

namespace greywright::cli {
namespace {

enum Exit : int { kDone = 0, kAnsweredNo = 1, kWrongUse = 2, kBadInput = 3, kCannotWrite = 4 };

void print(std::string_view text) {
    std::fwrite(text.data(), 1, text.size(), stdout);
}
void tell(std::string_view text) {
    std::fwrite(text.data(), 1, text.size(), stderr);
}

/// What was given on the command line.
struct Given {
    std::string book;
    bool json = false;

    std::string file, condition, name, printer, inks, paper, mode, aim = "fade", reason, out;
    std::optional<std::string> setting, tones, conditionM;  // given but empty is a mistake, not an absence
    std::vector<std::string> axes, lights, choices;
    std::optional<int> trial;
    int viewers = 0;
    bool force = false;
    bool original = false;
    bool strict = false;
};

class Program {
  public:
    int run(int argc, char** argv) {
        describe();
        try {
            app_.parse(argc, argv);
        } catch (const CLI::ParseError& error) {
            if (error.get_exit_code() == 0) {
                app_.exit(error);  // help or version
            } else {
                given_.json = std::any_of(argv + 1, argv + argc, [](const char* word) {
                    return std::string_view(word) == "--json";
                });
                exit_ = fail({.kind = ErrorKind::wrongUse,
                              .code = "command-line",
                              .what = error.what(),
                              .next = "See greywright --help, or --help behind a command"});
            }
        }
        if (std::fflush(stdout) != 0 || std::ferror(stdout) != 0) {
            tell("greywright: the answer could not be written to standard output\n");
            return kCannotWrite;
        }
        return exit_;
    }

  private:
    // --- what every command does -------------------------------------------------------------------------

    int fail(const Error& error) {
        tell("greywright: " + error.text() + "\n");
        if (given_.json) print(studio::jsonFromError(error) + "\n");
        switch (error.kind) {
            case ErrorKind::wrongUse:
                return kWrongUse;
            case ErrorKind::badInput:
                return kBadInput;
            case ErrorKind::cannotWrite:
                return kCannotWrite;
        }
        return kBadInput;
    }

    /// Prints an answer in the form asked for.
    template <typename ToJson, typename ToWords>
    int answer(const ToJson& json, const ToWords& words) {
        print(given_.json ? json() + "\n" : words());
        return kDone;
    }

    int done(std::string_view what) {
        print(given_.json ? "{\"done\": true}\n" : fmt::format("{}\n", what));
        return kDone;
    }

    [[nodiscard]] studio::Studio studio() const {
        if (!given_.book.empty()) return studio::Studio(given_.book);
        if (const auto book = platform::environment("GREYWRIGHT_BOOK")) return studio::Studio(*book);
        return studio::Studio(platform::userDataFolder() / "greywright" / "studio.book");
    }

    [[nodiscard]] Result<studio::JudgeRequest> judgeRequest() const {
        auto aim = aimFromText(given_.aim);
        if (!aim) return std::move(aim).error();
        return studio::JudgeRequest{.aim = *aim, .lights = given_.lights};
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
        std::string json = fmt::format("{{\"folder\": {}, \"book\": {}, \"reports\": [",
                                       studio::jsonFromText(summary->folder.string()),
                                       studio::jsonFromText(summary->book.string()));
        for (std::size_t i = 0; i < summary->reports.size(); ++i) {
            words += fmt::format("{} {}\n", i == 0 ? "Reports " : "        ", summary->reports[i].string());
            json += (i == 0 ? "" : ", ") + studio::jsonFromText(summary->reports[i].string());
        }
        words += fmt::format("Go on with it: greywright --book {} condition list\n", summary->book.string());
        return answer([&] { return json + "]}"; }, [&] { return words; });
    }

    int conditionAdd() {
        book::ConditionRecord condition{.name = given_.name,
                                        .printer = given_.printer,
                                        .inks = given_.inks,
                                        .paper = given_.paper,
                                        .mode = given_.mode,
                                        .when = platform::utcNow()};
        for (const std::string& text : given_.axes) {
            auto axis = axisFromText(text);
            if (!axis) return fail(axis.error());
            condition.axes.push_back(*axis);
        }
        const auto added = studio().addCondition(condition);
        if (!added) return fail(added.error());
        return done(
            fmt::format("Condition '{}' is in the book {}", condition.name, studio().path().string()));
    }

    int conditionList() {
        const auto conditions = studio().conditions();
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
        const auto outcome = studio().withdraw(given_.condition, *given_.trial, given_.reason, platform::utcNow());
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
        if (given_.viewers > 0) {
            tell(
                "note: --viewers: this version judges by the standard observer; share_who_notice stays "
                "empty\n");
        }
        const auto tones = this->tones();
        if (!tones) return fail(tones.error());
        const auto judgement = given_.condition.empty()
                                   ? studio::judgeFile(given_.file, *tones, *request)
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

    void keep(int trial, const std::string& kind, const std::string& json) {
        const auto note = studio().keepVerdict(
            given_.condition, {.trial = trial, .kind = kind, .json = json, .when = platform::utcNow()});
        if (note) tell(wordsFromNotes({*note}));
    }

    int report() {
        const auto request = judgeRequest();
        if (!request) return fail(request.error());
        const auto page = studio().report(given_.condition, *request, platform::utcNow());
        if (!page) return fail(page.error());
        return write(*page);
    }

    int exportTrial() {
        const auto text = given_.original ? studio().originalOfTrial(given_.condition, *given_.trial)
                                          : studio().cgatsOfTrial(given_.condition, *given_.trial);
        if (!text) return fail(text.error());
        return write(*text);
    }

    int write(const std::string& bytes) {
        const auto written = writeWholeFile(given_.out, bytes);
        if (!written) return fail(written.error());
        return done(fmt::format("Wrote {}", given_.out));
    }

    int lightsList() {
        std::string words;
        std::string json = "{\"lights\": [";
        for (const std::string& name : colour::lightNames()) {
            const auto light = colour::lightByName(name);
            if (!light) return fail(light.error());
            const auto temperature = colour::colourTemperatureOf(*light);
            const auto rendering = colour::renderingOf(*light);
            const std::string kelvin = temperature ? textFromNumber(temperature->kelvin, 0) : "";
            const std::string duv = temperature ? textFromNumber(temperature->duv, 4) : "";
            const std::string ra = rendering ? textFromNumber(rendering->ra, 1) : "";
            words += fmt::format("{:<7} {:>6} K  Duv {:>7}  Ra {:>5}  {}\n", name, kelvin, duv, ra,
                                 light->description);
            json += fmt::format("{}{{\"name\": \"{}\", \"cct_kelvin\": {}, \"duv\": {}, \"ra\": {}}}",
                                json.back() == '[' ? "" : ", ", name, kelvin.empty() ? "null" : kelvin,
                                duv.empty() ? "null" : duv, ra.empty() ? "null" : ra);
        }
        return answer([&] { return json + "]}"; }, [&] { return words; });
    }

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

    void offerAim(CLI::App* sub) {
        sub->add_option("--aim", given_.aim,
                        "fade (default): the paper's tint fades into neutral; light; paper");
    }

    void describe() {
        app_.description(
            "Neutral black-and-white inkjet prints: takes in what was measured from test sheets, judges tone "
            "and\n"
            "tint, and finds the setting of the driver's tint control that makes the print neutral.");
        app_.name("greywright");
        app_.set_version_flag("--version", std::string(studio::version()));
        app_.require_subcommand(1);
        app_.fallthrough();
        app_.add_option("--book", given_.book,
                        "The record book (default: GREYWRIGHT_BOOK, else a file in your data folder)");
        app_.add_flag("--json", given_.json,
                      "One JSON object on standard output, messages on standard error");

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
                        "An axis of the tint control, name:lowest:highest:step; repeat it")
            ->required()
            ->allow_extra_args(false);
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
        sub->add_option("file", given_.file, "CGATS, ISO 28178, CxF3, CSV or TSV")->required();
        needCondition(sub);
        sub->add_option("--setting", given_.setting, "What the sheet was printed at, e.g. across=-8,up=0");
        sub->add_option("--tones", given_.tones,
                        "Tones in percent in the order of the patches, e.g. 0,10,50,100");
        sub->add_option("--choice", given_.choices, "A named choice of the driver, name=value; repeat it")
            ->allow_extra_args(false);
        sub->add_option("--condition-m", given_.conditionM,
                        "Which of M0..M3 to read from a file that holds several");
        sub->add_flag("--force", given_.force, "Take it although its paper differs or it was read before");

        sub = command(&app_, "judge", "Judge tone and tint of a file or a trial", &Program::judge);
        sub->add_option("file", given_.file, "A measurement file");
        CLI::Option* condition =
            sub->add_option("--condition", given_.condition, "Judge a trial of this printing condition");
        sub->add_option("--trial", given_.trial, "Number of the trial (default: the latest)")
            ->needs(condition);
        sub->add_option("--light", given_.lights,
                        "A light beside D50; repeat it (see: greywright lights list)")
            ->allow_extra_args(false);
        sub->add_option("--tones", given_.tones, "Tones in percent, for a file that does not say")
            ->excludes(condition);
        sub->add_option("--viewers", given_.viewers,
                        "Accepted; populations of viewers are not in this version");
        offerAim(sub);
        sub->add_flag("--strict", given_.strict, "Exit with 1 unless nothing is to be mended");

        sub = command(&app_, "steer", "Which setting to print next, or that the search is over",
                      &Program::steer);
        needCondition(sub);
        sub->add_option("--choice", given_.choices,
                        "Only trials printed with this driver's choice; repeat it")
            ->allow_extra_args(false);
        offerAim(sub);

        sub = command(&app_, "report", "One page about a condition, as HTML", &Program::report);
        needCondition(sub);
        sub->add_option("--out", given_.out, "File to write")->required();
        sub->add_option("--light", given_.lights, "A light beside D50; repeat it")->allow_extra_args(false);
        offerAim(sub);

        sub = command(&app_, "export", "Write a trial's reading as CGATS text", &Program::exportTrial);
        needCondition(sub);
        sub->add_option("--trial", given_.trial, "Number of the trial")->required();
        sub->add_option("--out", given_.out, "File to write")->required();
        sub->add_flag("--original", given_.original, "The file it was read from instead, byte for byte");

        group = command(&app_, "lights", "Lights that prints are judged under", nullptr);
        group->require_subcommand(1);
        command(group, "list", "List them", &Program::lightsList);

        group = command(&app_, "book", "The record book itself", nullptr);
        group->require_subcommand(1);
        command(group, "check", "Read the whole book and compare everything with everything",
                &Program::bookCheck);
    }

    CLI::App app_;
    Given given_;
    int exit_ = kDone;
};

}  // namespace
}  // namespace greywright::cli

int main(int argc, char** argv) {
    try {
        return greywright::cli::Program().run(argc, argv);
    } catch (const std::exception& error) {
        std::fprintf(stderr, "greywright: this is a mistake in the program, please report it: %s\n",
                     error.what());
        return 70;
    }
}

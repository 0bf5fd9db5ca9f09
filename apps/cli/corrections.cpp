#include "corrections.h"

#include <atomic>
#include <csignal>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "arguments.h"
#include "core/platform.h"
#include "correction_words.h"
#include "studio/json_corrections.h"
#include "words.h"

namespace greywright::cli {
namespace {

std::atomic<bool> isInterrupted = false;
static_assert(std::atomic<bool>::is_always_lock_free, "a signal may set it");

extern "C" void interrupt(int) {
    isInterrupted = true;
}

/// Says how far a picture is, and stops the work when the user asks for it.
bool tellProgress(const std::string& name, double share) {
    static std::string lastName;
    static int last = -1;
    const int tenth = static_cast<int>(10 * share);
    if (name != lastName || tenth != last) tell(fmt::format("{}: {} %\n", name, 10 * tenth));
    lastName = name;
    last = tenth;
    return !isInterrupted;
}

}  // namespace

class CorrectionCommands::Commands {
  public:
    Commands(const Terminal& terminal, int& exit) : terminal_(terminal), exit_(exit) {}

    void describe(CLI::App& app) {
        CLI::App* sub =
            command(&app, "curve", "A tone curve that makes a condition's ramp even", &Commands::curve);
        needCondition(sub);
        sub->add_option("--trial", given_.trial, "From this trial (default: the latest whole ramp)");
        offerToneAim(sub);
        sub->add_option("--repeatability", given_.repeatability,
                        "Standard deviation of one patch's L* (default: from the readings)");
        sub->add_flag("--force", given_.force, "Also where nobody can see anything to mend (else exit 1)");
        sub->add_option("--out", given_.out, "Write the curve as text too");

        sub = command(&app, "neutralise", "A table from grey to RGB that follows tone and tint together",
                      &Commands::neutralise);
        needCondition(sub);
        offerToneAim(sub);
        sub->add_option(
            "--aim", given_.aim,
            "Tint to aim at: fade (the paper's tint fading into neutral, default), light or paper");
        sub->add_option("--light", given_.lights,
                        "A scene or light to be neutral in, NAME or NAME=WEIGHT; repeat it for the best "
                        "compromise (default: D50)")
            ->allow_extra_args(false);
        sub->add_option("--tint", given_.tint, "A tone on purpose: chroma,hue in degrees, e.g. 6,70");
        sub->add_option("--tint-highlights", given_.tintHighlights, "The same for the highlights alone");
        sub->add_option("--tint-shadows", given_.tintShadows, "The same for the shadows alone");
        sub->add_option("--viewers", given_.viewers,
                        "How many look at what is foretold (default: 1000; 0: nobody)");
        sub->add_option("--out", given_.out, "Write the table as text too");

        sub = command(&app, "profile", "An ICC profile of a condition", &Commands::profile);
        needCondition(sub);
        sub->add_option("--out", given_.out, "File to write, usually .icc")->required();
        sub->add_option(
            "--kind", given_.kind,
            "grey (for grey pictures, default), rgb (for RGB through a table), or link (from grey "
            "pictures to a table's codes)");
        sub->add_option("--icc", given_.version,
                        "Version of the format: 2 (default, read by most programs) or 4");
        sub->add_option(
            "--correction", given_.correction,
            "grey: the curve that pictures will go through afterwards (default: none); rgb, link: "
            "the table (default: the latest)");
        sub->add_option("--description", given_.description, "What programs show (default: the condition)");
        sub->add_option("--copyright", given_.copyright, "The profile's own (default: use freely)");
        sub->add_flag("--force", given_.force, "Replace a file of the same name");

        CLI::App* group = command(&app, "correction", "Curves and tables in the book", nullptr);
        group->require_subcommand(1);
        sub =
            command(group, "list", "List those of a condition and what was made with them", &Commands::list);
        needCondition(sub);
        sub = command(group, "show", "One as text", &Commands::show);
        needCondition(sub);
        sub->add_option("--correction", given_.correction, "Its number")->required();

        sub = command(group, "withdraw", "Take one out of use; it stays in the book", &Commands::withdraw);
        needCondition(sub);
        sub->add_option("--correction", given_.correction, "Its number")->required();
        sub->add_option("--reason", given_.reason, "Why")->required();

        sub = command(&app, "prepare", "Pictures ready to print through a correction", &Commands::prepare);
        sub->add_option("pictures", given_.pictures, "TIFF, PNG, JPEG or what else libvips opens")
            ->required();
        needCondition(sub);
        sub->add_option("--correction", given_.correction,
                        "Number of the correction (default: the latest; 0: none)");
        CLI::Option* out =
            sub->add_option("--out", given_.out, "Folder to write into, or a file for one picture");
        sub->add_option("--bits", given_.bits, "16 (default), or 8 with dither");
        sub->add_option("--format", given_.format, "Of files in a folder: tiff (default) or png");
        sub->add_option("--encoding", given_.encoding,
                        "What the files are tagged as, as the condition's sheets were: grey, srgb, p3, or an "
                        "ICC profile's file (default: grey for a curve, srgb for a table)");
        sub->add_option("--width-mm", given_.widthMm, "Width on paper in mm");
        sub->add_option("--ppi", given_.pixelsPerInch,
                        "Pixels per inch; with --width-mm the picture is resized");
        sub->add_flag("--force", given_.force, "Replace files of the same name");
        CLI::Option* check = sub->add_flag(
            "--check", given_.check, "Only tell which tones would block up or show a tint; write nothing");
        sub->add_flag("--strict", given_.strict, "With --check: exit 1 when there are any")->needs(check);
        CLI::Option* proof = sub->add_option("--proof", given_.proof,
                                             "Only write how the print will look, as PNG for the screen");
        sub->add_option("--light", given_.light, "With --proof: the scene or light (default: D50)")
            ->needs(proof);
        sub->add_option("--magnify", given_.magnify, "With --proof: the tint so many times as strong")
            ->needs(proof);
        check->excludes(out)->excludes(proof);
        proof->excludes(out);
    }

  private:
    // What was given on the command line.
    struct Given {
        std::string kind = "grey", description, copyright, reason;
        std::string condition, toneAim = "even", aim = "fade", out, format = "tiff", encoding, proof, light;
        std::optional<std::string> tint, tintHighlights, tintShadows;
        std::vector<std::string> lights, pictures;
        std::optional<int> trial, correction;
        std::optional<double> repeatability, widthMm, pixelsPerInch;
        int bits = 16, version = 2;
        long viewers = 1000;
        double magnify = 1;
        bool force = false, check = false, strict = false;
    };

    CLI::App* command(CLI::App* parent, const char* name, const char* what, int (Commands::*action)()) {
        CLI::App* sub = parent->add_subcommand(name, what);
        sub->fallthrough();
        if (action != nullptr) sub->callback([this, action] { exit_ = (this->*action)(); });
        return sub;
    }

    void needCondition(CLI::App* sub) {
        sub->add_option("--condition", given_.condition, "Name of the printing condition")->required();
    }

    void offerToneAim(CLI::App* sub) {
        sub->add_option("--tone-aim", given_.toneAim,
                        "even in L* (default), gamma=2.2, or match=NAME for another condition's tone");
    }

    int curve() {
        const auto aim = toneAimFromText(given_.toneAim);
        if (!aim) return terminal_.fail(aim.error());
        const auto made =
            terminal_.studio().makeCurve(given_.condition, {.trial = given_.trial,
                                                            .aim = *aim,
                                                            .repeatabilityL = given_.repeatability,
                                                            .force = given_.force,
                                                            .out = given_.out,
                                                            .when = platform::utcNow()});
        if (!made) {
            const int failed = terminal_.fail(made.error());
            return made.error().code == "already-even" ? kAnsweredNo : failed;
        }
        tell(wordsFromNotes(made->notes));
        return terminal_.answer([&] { return studio::jsonFromCurve(*made); },
                                [&] { return wordsFromCurve(*made, given_.condition); });
    }

    [[nodiscard]] Result<std::optional<colour::Toning>> toning() const {
        if (!given_.tint && !given_.tintHighlights && !given_.tintShadows)
            return std::optional<colour::Toning>{};
        colour::Toning out;
        const auto take = [](const std::optional<std::string>& text, std::string_view option,
                             std::initializer_list<colour::Tint*> into) -> Outcome {
            if (!text) return Done{};
            const auto tint = tintFromText(*text, option);
            if (!tint) return tint.error();
            for (colour::Tint* one : into) *one = *tint;
            return Done{};
        };
        if (auto done = take(given_.tint, "--tint", {&out.highlights, &out.shadows}); !done)
            return std::move(done).error();
        if (auto done = take(given_.tintHighlights, "--tint-highlights", {&out.highlights}); !done)
            return std::move(done).error();
        if (auto done = take(given_.tintShadows, "--tint-shadows", {&out.shadows}); !done)
            return std::move(done).error();
        return std::optional(out);
    }

    int neutralise() {
        studio::TableRequest request{.when = platform::utcNow()};
        const auto tone = toneAimFromText(given_.toneAim);
        if (!tone) return terminal_.fail(tone.error());
        request.tone = *tone;
        const auto aim = aimFromText(given_.aim);
        if (!aim) return terminal_.fail(aim.error());
        request.tint = *aim;
        auto toned = toning();
        if (!toned) return terminal_.fail(toned.error());
        request.toning = *toned;
        auto goals = goalsFromTexts(given_.lights);
        if (!goals) return terminal_.fail(goals.error());
        request.lights = *std::move(goals);
        const auto viewers = viewerCount(given_.viewers);
        if (!viewers) return terminal_.fail(viewers.error());
        request.viewers.count = *viewers;
        request.out = given_.out;
        const auto made = terminal_.studio().makeTable(given_.condition, request);
        if (!made) return terminal_.fail(made.error());
        tell(wordsFromNotes(made->notes));
        return terminal_.answer([&] { return studio::jsonFromTable(*made); },
                                [&] { return wordsFromTable(*made, given_.condition); });
    }

    int profile() {
        studio::ProfileRequest request{.version = given_.version,
                                       .correction = given_.correction,
                                       .description = given_.description,
                                       .out = given_.out,
                                       .replace = given_.force,
                                       .when = platform::utcNow()};
        if (!given_.copyright.empty()) request.copyright = given_.copyright;
        const auto kind = profileKindFromText(given_.kind);
        if (!kind) return terminal_.fail(kind.error());
        request.kind = *kind;
        const auto made = terminal_.studio().makeProfile(given_.condition, request);
        if (!made) return terminal_.fail(made.error());
        tell(wordsFromNotes(made->notes));
        return terminal_.answer([&] { return studio::jsonFromProfile(*made); },
                                [&] { return wordsFromProfile(*made); });
    }

    int list() {
        const auto corrections = terminal_.studio().corrections(given_.condition);
        if (!corrections) return terminal_.fail(corrections.error());
        const auto made = terminal_.studio().madeFiles(given_.condition);
        if (!made) return terminal_.fail(made.error());
        return terminal_.answer([&] { return studio::jsonFromCorrections(*corrections, *made); },
                                [&] { return wordsFromCorrections(*corrections, *made); });
    }

    int show() {
        const auto found = terminal_.studio().correction(given_.condition, *given_.correction);
        if (!found) return terminal_.fail(found.error());
        return terminal_.answer([&] { return studio::jsonFromCorrections({*found}, {}); },
                                [&] { return found->content; });
    }

    int withdraw() {
        const auto done = terminal_.studio().withdrawCorrection(given_.condition, *given_.correction,
                                                                given_.reason, platform::utcNow());
        if (!done) return terminal_.fail(done.error());
        return terminal_.done(
            fmt::format("Correction {} is out of use; it stays in the book", *given_.correction));
    }

    int prepare() {
        if (given_.check) return checkPictures();
        // Ctrl-C ends the work in an orderly way: what is half written goes.
        std::signal(SIGINT, interrupt);
        std::signal(SIGTERM, interrupt);
        if (!given_.proof.empty()) return proof();
        if (given_.out.empty()) {
            return terminal_.fail({.kind = ErrorKind::wrongUse,
                                   .code = "output-missing",
                                   .what = "it is not said where to write",
                                   .where = {.field = "--out"},
                                   .next = "Give a folder with --out, or use --check or --proof"});
        }
        const auto prepared = terminal_.studio().preparePictures(
            {.pictures = {given_.pictures.begin(), given_.pictures.end()},
             .out = given_.out,
             .condition = given_.condition,
             .correction = given_.correction,
             .bits = given_.bits,
             .format = given_.format,
             .encoding = given_.encoding,
             .widthMm = given_.widthMm,
             .pixelsPerInch = given_.pixelsPerInch,
             .replace = given_.force,
             .goOn = [&](std::size_t picture,
                         double share) { return tellProgress(given_.pictures[picture], share); },
             .when = platform::utcNow()});
        if (!prepared) return terminal_.fail(prepared.error());
        tell(wordsFromNotes(prepared->notes));
        std::optional<Error> first;
        for (const studio::PreparedPicture& one : prepared->pictures) {
            tell(wordsFromNotes(one.notes));
            if (!one.error) continue;
            tell(fmt::format("greywright: {}\n", one.error->text()));
            if (!first) first = one.error;
        }
        terminal_.answer([&] { return studio::jsonFromPrepared(*prepared); },
                         [&] { return wordsFromPrepared(*prepared); });
        return first ? exitOf(first->kind) : kDone;
    }

    int checkPictures() {
        std::vector<studio::PictureCheck> checks;
        std::vector<studio::FailedCheck> failed;
        bool isGood = true;
        for (const std::string& picture : given_.pictures) {
            auto check = terminal_.studio().checkPicture(
                {.picture = picture, .condition = given_.condition, .correction = given_.correction});
            if (!check) {
                failed.push_back({picture, std::move(check).error()});
                continue;
            }
            tell(wordsFromNotes(check->notes));
            isGood = isGood && check->isGood;
            checks.push_back(*std::move(check));
        }
        if (checks.empty()) return terminal_.fail(failed.front().error);
        for (const studio::FailedCheck& one : failed) tell(fmt::format("greywright: {}\n", one.error.text()));
        terminal_.answer([&] { return studio::jsonFromChecks(checks, failed); },
                         [&] { return wordsFromChecks(checks); });
        if (!failed.empty()) return exitOf(failed.front().error.kind);
        return given_.strict && !isGood ? kAnsweredNo : kDone;
    }

    int proof() {
        if (given_.pictures.size() > 1) {
            return terminal_.fail({.kind = ErrorKind::wrongUse,
                                   .code = "one-picture",
                                   .what = "a proof is of one picture",
                                   .where = {.field = "--proof"},
                                   .next = "Name one picture"});
        }
        const std::string& picture = given_.pictures.front();
        const auto made =
            terminal_.studio().proof({.picture = picture,
                                      .out = given_.proof,
                                      .condition = given_.condition,
                                      .correction = given_.correction,
                                      .light = given_.light,
                                      .magnify = given_.magnify,
                                      .replace = given_.force,
                                      .goOn = [&](double share) { return tellProgress(picture, share); }});
        if (!made) return terminal_.fail(made.error());
        tell(wordsFromNotes(made->notes));
        return terminal_.answer([&] { return studio::jsonFromProof(*made); },
                                [&] { return wordsFromProof(*made); });
    }

    const Terminal& terminal_;
    int& exit_;
    Given given_;
};

CorrectionCommands::CorrectionCommands(const Terminal& terminal, int& exit)
    : commands_(std::make_unique<Commands>(terminal, exit)) {}
CorrectionCommands::~CorrectionCommands() = default;

void CorrectionCommands::describe(CLI::App& app) {
    commands_->describe(app);
}

}  // namespace greywright::cli

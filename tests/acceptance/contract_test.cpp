#include <filesystem>
#include <fstream>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "stage.h"

// What scripts rely on: the options, the fields of --json, the exit codes, and which book is meant.
namespace greywright::acceptance {
namespace {

using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::Not;

enum class Kind { number, whole, text, truth, object, list, numberOrNull, truthOrNull };

bool isOfKind(const Json& value, Kind kind) {
    switch (kind) {
        case Kind::number:
            return value.is_number();
        case Kind::whole:
            return value.is_number_integer();
        case Kind::text:
            return value.is_string() && !value.get<std::string>().empty();
        case Kind::truth:
            return value.is_boolean();
        case Kind::object:
            return value.is_object();
        case Kind::list:
            return value.is_array();
        case Kind::numberOrNull:
            return value.is_number() || value.is_null();
        case Kind::truthOrNull:
            return value.is_boolean() || value.is_null();
    }
    return false;
}

void expectFields(const Json& json, const std::vector<std::pair<std::string, Kind>>& fields) {
    ASSERT_TRUE(json.is_object()) << json;
    for (const auto& [name, kind] : fields) {
        ASSERT_TRUE(json.contains(name)) << name << " is missing in " << json;
        EXPECT_TRUE(isOfKind(json[name], kind)) << name << " is " << json[name];
    }
}

/// A studio in which one sheet was read.
class Contract : public ::testing::Test {
  protected:
    Contract() {
        studio_.enter("chalk");
        file_ = studio_.write("first sheet.txt", sheetText(driver_.print({0, 0}), Format::cgats));
        taken_ = studio_.ask({"read", file_, "--condition", "chalk", "--setting", "across=0,up=0"});
    }
    void SetUp() override { ASSERT_EQ(taken_.code, 0) << taken_.err; }

    Studio studio_;
    Driver driver_{usualRecipe(), usualAxes()};
    std::string file_;
    Answer taken_;
};

TEST_F(Contract, ReadHasItsFields) {
    const Json json = taken_.json();
    expectFields(json, {{"trial", Kind::whole},
                        {"patches", Kind::whole},
                        {"spectral", Kind::truth},
                        {"condition_m", Kind::text},
                        {"notes", Kind::list}});
    EXPECT_EQ(json["trial"], 1);
    EXPECT_EQ(json["patches"], 21);
    EXPECT_EQ(json["spectral"], true);
    EXPECT_EQ(json["condition_m"], "M1");
}

void expectJudgement(const Json& json) {
    expectFields(json, {{"paper", Kind::object},
                        {"black", Kind::object},
                        {"visual_density_black", Kind::number},
                        {"tone", Kind::object},
                        {"patches", Kind::list},
                        {"lights", Kind::list},
                        {"verdict", Kind::object}});
    for (const char* end : {"paper", "black"}) {
        expectFields(json[end], {{"L", Kind::number}, {"a", Kind::number}, {"b", Kind::number}});
    }
    expectFields(json["tone"], {{"even", Kind::truthOrNull},
                                {"monotone", Kind::truthOrNull},
                                {"worst_departure_L", Kind::numberOrNull},
                                {"worst_departure_tone_percent", Kind::number},
                                {"first_visible_tone_percent", Kind::numberOrNull},
                                {"shadow_separation_L", Kind::numberOrNull}});
    ASSERT_EQ(json["patches"].size(), 21U);
    for (const Json& patch : json["patches"]) {
        expectFields(patch, {{"tone_percent", Kind::number},
                             {"L", Kind::number},
                             {"a", Kind::number},
                             {"b", Kind::number},
                             {"aim_a", Kind::number},
                             {"aim_b", Kind::number},
                             {"delta_ch", Kind::number},
                             {"delta_e00", Kind::number}});
    }
    ASSERT_FALSE(json["lights"].empty());
    for (const Json& light : json["lights"]) {
        expectFields(light, {{"name", Kind::text},
                             {"worst_tone_percent", Kind::number},
                             {"delta_e00", Kind::number},
                             {"share_who_notice", Kind::numberOrNull}});
    }
    expectFields(json["verdict"], {{"tint", Kind::text}, {"direction", Kind::text}, {"summary", Kind::text}});
    EXPECT_THAT(json["verdict"]["tint"].get<std::string>(), ::testing::AnyOf("none", "slight", "plain"));
}

TEST_F(Contract, JudgeHasItsFieldsForAFileAndForATrial) {
    const Answer ofFile = studio_.ask({"judge", file_});
    ASSERT_EQ(ofFile.code, 0) << ofFile.err;
    expectJudgement(ofFile.json());
    const Answer ofTrial = studio_.ask({"judge", "--condition", "chalk", "--trial", "1"});
    ASSERT_EQ(ofTrial.code, 0) << ofTrial.err;
    expectJudgement(ofTrial.json());
    // The trial is the file.
    for (const char* field : {"paper", "black", "visual_density_black", "tone", "patches", "lights"}) {
        EXPECT_EQ(ofFile.json()[field], ofTrial.json()[field]) << field;
    }
    EXPECT_EQ(studio_.ask({"judge", "--condition", "chalk"}).json(), ofTrial.json()) << "the latest is meant";
}

TEST_F(Contract, JudgeTellsWhatThePatchesSay) {
    const measure::Reading reading = driver_.print({0, 0});
    const std::string file = studio_.write("told.csv", sheetText(reading, Format::csv, false));
    const Json json = studio_.ask({"judge", file, "--aim", "paper"}).json();
    ASSERT_TRUE(json.is_object());
    for (std::size_t i = 0; i < reading.patches.size(); ++i) {
        const Json& patch = json["patches"][i];
        EXPECT_NEAR(patch["tone_percent"].get<double>(), *reading.patches[i].tonePercent, 1e-9);
        EXPECT_NEAR(patch["L"].get<double>(), reading.patches[i].lab->L, 1e-9);
        EXPECT_NEAR(patch["a"].get<double>(), reading.patches[i].lab->a, 1e-9);
        EXPECT_NEAR(patch["b"].get<double>(), reading.patches[i].lab->b, 1e-9);
        // The paper's own tint is the aim: the distance is that to the first patch.
        EXPECT_NEAR(patch["aim_a"].get<double>(), reading.patches[0].lab->a, 1e-9);
        EXPECT_NEAR(patch["delta_ch"].get<double>(),
                    std::hypot(reading.patches[i].lab->a - reading.patches[0].lab->a,
                               reading.patches[i].lab->b - reading.patches[0].lab->b),
                    1e-9);
    }
}

TEST_F(Contract, TheAimChangesTheAim) {
    const auto aimOf = [&](const std::string& aim) {
        const Json json = studio_.ask({"judge", file_, "--aim", aim}).json();
        return std::pair{json["patches"].front()["aim_b"].get<double>(),
                         json["patches"].back()["aim_b"].get<double>()};
    };
    const auto light = aimOf("light");
    EXPECT_EQ(light, (std::pair{0.0, 0.0}));
    const auto paper = aimOf("paper");
    EXPECT_NE(paper.first, 0);
    EXPECT_EQ(paper.first, paper.second);
    const auto fade = aimOf("fade");
    EXPECT_DOUBLE_EQ(fade.first, paper.first);
    // Source: ISO 12647-2:2013, the factor 0.85 from memory.
    EXPECT_NEAR(fade.second, 0.15 * paper.first, 1e-9);
    const Answer wrong = studio_.ask({"judge", file_, "--aim", "neutral"});
    EXPECT_EQ(wrong.code, 2);
    EXPECT_EQ(wrong.errorCode(), "aim-unknown");
    EXPECT_EQ(studio_.ask({"steer", "--condition", "chalk", "--aim", "neutral"}).errorCode(), "aim-unknown");
}

TEST_F(Contract, LightsAreJudgedAsAsked) {
    const Json json = studio_.ask({"judge", file_, "--light", "A", "--light", "F11"}).json();
    std::vector<std::string> names;
    for (const Json& light : json["lights"]) names.push_back(light["name"]);
    EXPECT_THAT(names, ::testing::ElementsAre("D50", "A", "F11"));
    const Answer unknown = studio_.ask({"judge", file_, "--light", "LED-B33"});
    EXPECT_EQ(unknown.code, 2);
    EXPECT_EQ(unknown.errorCode(), "unknown-light");
    EXPECT_THAT(unknown.err, HasSubstr("LED-B3"));
}

TEST_F(Contract, SteerHasItsFields) {
    const Answer answer = studio_.ask({"steer", "--condition", "chalk"});
    ASSERT_EQ(answer.code, 0) << answer.err;
    const Json json = answer.json();
    expectFields(json, {{"status", Kind::text},
                        {"setting", Kind::object},
                        {"predicted", Kind::object},
                        {"best_attainable", Kind::object},
                        {"control", Kind::object},
                        {"trials", Kind::whole},
                        {"reason", Kind::text}});
    EXPECT_EQ(json["status"], "print");
    EXPECT_EQ(json["trials"], 1);
    expectFields(json["setting"], {{"across", Kind::number}, {"up", Kind::number}});
    expectFields(json["predicted"], {{"worst_delta_e00", Kind::number},
                                     {"worst_delta_e00_low", Kind::number},
                                     {"worst_delta_e00_high", Kind::number},
                                     {"worst_tone_percent", Kind::number}});
    EXPECT_LT(json["predicted"]["worst_delta_e00_low"], json["predicted"]["worst_delta_e00_high"]);
    expectFields(json["best_attainable"], {{"setting", Kind::object}, {"worst_delta_e00", Kind::number}});
    expectFields(json["best_attainable"]["setting"], {{"across", Kind::number}, {"up", Kind::number}});
    for (const char* field : {"matrix", "standard_error"}) {
        const Json& matrix = json["control"][field];
        ASSERT_EQ(matrix.size(), 2U) << field << ": a row for a*, one for b*";
        for (const Json& row : matrix) {
            ASSERT_EQ(row.size(), 2U) << field << ": a column for each axis";
            for (const Json& value : row) EXPECT_TRUE(value.is_number());
        }
    }
}

TEST_F(Contract, EveryAnswerIsOneObjectAndNothingElse) {
    const Words commands[] = {
        {"condition", "list"},
        {"condition", "add", "fen", "--printer", "p", "--inks", "i", "--paper", "q", "--mode", "m", "--axis",
         "warm:0:10:1"},
        {"condition", "correct", "fen", "--inks", "j", "--name", "marsh"},
        {"condition", "remove", "marsh"},
        {"trial", "list", "--condition", "chalk"},
        {"trial", "withdraw", "--condition", "chalk", "--trial", "1", "--reason", "dust"},
        {"trial", "restore", "--condition", "chalk", "--trial", "1"},
        {"judge", file_},
        {"judge", "--condition", "chalk", "--viewers", "10"},
        {"steer", "--condition", "chalk"},
        {"export", "--condition", "chalk", "--trial", "1", "--out", studio_.path("out").string()},
        {"report", "--condition", "chalk", "--out", studio_.path("page.html").string()},
        {"lights", "list"},
        {"book", "check"},
        {"demo", "--out", studio_.path("demo \"1\"").string()}};
    for (const Words& command : commands) {
        const Answer answer = studio_.ask(command);
        EXPECT_EQ(answer.code, 0) << command[0] << ": " << answer.err;
        EXPECT_TRUE(answer.json().is_object()) << command[0] << ": " << answer.out;
        EXPECT_EQ(answer.errorCode(), "");
        // Without --json there are words, and they are no object.
        if (command[0] == "demo" || command[1] == "add" || command[1] == "correct" || command[1] == "remove")
            continue;
        const Answer words = studio_.inWords(command);
        EXPECT_EQ(words.code, 0) << command[0] << ": " << words.err;
        EXPECT_THAT(words.out, Not(IsEmpty())) << command[0];
        EXPECT_FALSE(words.json().is_object()) << command[0];
    }
}

TEST_F(Contract, FailuresAreOneObjectTooAndSpeakOnStandardError) {
    const std::pair<Words, int> commands[] = {{{}, 2},
                                              {{"stear"}, 2},
                                              {{"condition"}, 2},
                                              {{"steer"}, 2},
                                              {{"steer", "--condition"}, 2},
                                              {{"steer", "--condition", "chalk", "--quick"}, 2},
                                              {{"judge", "--trial", "one", "--condition", "chalk"}, 2},
                                              {{"judge"}, 2},
                                              {{"judge", file_, "--condition", "chalk"}, 2},
                                              {{"judge", "--condition", "chalk", "--trial", "0"}, 2},
                                              {{"judge", "--condition", "chalk", "--trial", "2"}, 2},
                                              {{"steer", "--condition", "chalk", "--choice", "tone=dark"}, 2},
                                              {{"judge", studio_.path("none.txt").string()}, 3},
                                              {{"judge", studio_.folder().string()}, 3},
                                              {{"judge", file_, "--tones", "0,ten,100"}, 2},
                                              {{"export", "--condition", "chalk", "--trial", "1", "--out",
                                                studio_.path("no/such/folder.txt").string()},
                                               4}};
    for (const auto& [command, code] : commands) {
        std::string shown;
        for (const std::string& word : command) shown += word + " ";
        const Answer answer = studio_.ask(command);
        EXPECT_EQ(answer.code, code) << shown << answer.err;
        EXPECT_THAT(answer.errorCode(), Not(IsEmpty())) << shown << answer.out;
        EXPECT_THAT(answer.err, Not(IsEmpty())) << shown;
        const Answer words = studio_.inWords(command);
        EXPECT_EQ(words.code, code) << shown;
        EXPECT_THAT(words.out, IsEmpty()) << shown;
        EXPECT_THAT(words.err, Not(IsEmpty())) << shown;
    }
}

TEST_F(Contract, StrictAnswersNoWithOne) {
    EXPECT_EQ(studio_.ask({"judge", file_}).code, 0);
    const Answer strict = studio_.ask({"judge", file_, "--strict"});
    EXPECT_EQ(strict.code, 1) << "this printer's tint is plain";
    EXPECT_EQ(strict.json()["verdict"]["tint"], "plain");
    // A ramp of pure greys, even in L*, is answered with yes.
    std::string even = "TONE,LAB_L,LAB_A,LAB_B\n";
    for (int tone = 0; tone <= 100; tone += 5)
        even += std::to_string(tone) + "," + std::to_string(95 - 0.8 * tone) + ",0,0\n";
    const Answer good = studio_.ask({"judge", studio_.write("even.csv", even), "--strict"});
    EXPECT_EQ(good.code, 0) << good.out;
    EXPECT_EQ(good.json()["verdict"]["tint"], "none");
    EXPECT_EQ(good.json()["tone"]["even"], true);
    EXPECT_EQ(good.json()["tone"]["monotone"], true);
    EXPECT_NEAR(good.json()["tone"]["shadow_separation_L"].get<double>(), 4, 1e-9);
}

TEST_F(Contract, HelpAndVersionAreNoFailure) {
    for (const Words& words : {Words{"--help"}, Words{"steer", "--help"}, Words{"condition", "add", "--help"},
                               Words{"--version"}}) {
        const Answer answer = run(words);
        EXPECT_EQ(answer.code, 0);
        EXPECT_THAT(answer.out, Not(IsEmpty()));
        EXPECT_THAT(answer.err, IsEmpty());
    }
    const std::string help = run({"--help"}).out;
    for (const char* command :
         {"demo", "condition", "read", "judge", "steer", "report", "lights", "--book", "--json"})
        EXPECT_THAT(help, HasSubstr(command));
}

TEST_F(Contract, AnAnswerThatCannotBeWrittenIsNoSuccess) {
    if (!std::filesystem::exists("/dev/full")) GTEST_SKIP() << "no /dev/full here";
    const std::string book = studio_.book().string();
    for (const char* json : {"--json", "--book"}) {
        Words words{"condition", "list", "--book", book};
        if (json == std::string("--json")) words.emplace_back(json);
        const Answer answer = run(words, {.outTo = "/dev/full"});
        EXPECT_EQ(answer.code, 4);
        EXPECT_THAT(answer.err, Not(IsEmpty()));
    }
}

TEST_F(Contract, TheBookIsTheOneNamed) {
    const std::string book = studio_.book().string();
    const std::string elsewhere = studio_.path("elsewhere").string();
    const Surroundings variable{.environment = {{"GREYWRIGHT_BOOK", book}, {"XDG_DATA_HOME", elsewhere}}};
    const Words list{"condition", "list", "--json"};
    const Json chalk = studio_.ask({"condition", "list"}).json();
    ASSERT_EQ(chalk["conditions"].size(), 1U);

    // The option before and after the command; the variable; both, when the option counts.
    EXPECT_EQ(run({"--book", book, "condition", "list", "--json"}).json(), chalk);
    EXPECT_EQ(run({"condition", "--book", book, "list", "--json"}).json(), chalk);
    EXPECT_EQ(run({"condition", "list", "--json", "--book", book}).json(), chalk);
    EXPECT_EQ(run({"--json", "condition", "list", "--book=" + book}).json(), chalk);
    EXPECT_EQ(run(list, variable).json(), chalk);
    Words other = list;
    other.insert(other.end(), {"--book", studio_.path("other.book").string()});
    EXPECT_TRUE(run(other, variable).json()["conditions"].empty());
    EXPECT_FALSE(std::filesystem::exists(studio_.path("other.book"))) << "a look makes no book";

    // Neither: a file in the user's data folder.
    const Words add{"condition", "add", "fen",    "--printer", "Heron",  "--inks",     "pigment",
                    "--paper",   "Fen", "--mode", "grey",      "--axis", "warm:-5:5:1"};
    EXPECT_EQ(run(add, {.environment = {{"XDG_DATA_HOME", elsewhere}}}).code, 0);
    EXPECT_TRUE(std::filesystem::exists(std::filesystem::path(elsewhere) / "greywright" / "studio.book"));
    EXPECT_EQ(run(list, {.environment = {{"XDG_DATA_HOME", elsewhere}}}).json()["conditions"][0]["name"],
              "fen");
#ifdef __linux__
    const std::string home = studio_.path("home").string();
    EXPECT_EQ(run(add, {.environment = {{"HOME", home}}}).code, 0);
    EXPECT_TRUE(std::filesystem::exists(std::filesystem::path(home) / ".local/share/greywright/studio.book"));
#endif
    EXPECT_EQ(studio_.ask({"condition", "list"}).json(), chalk) << "and no other";
}

TEST_F(Contract, ExportGivesTheReadingAndTheFileItself) {
    const std::string out = studio_.path("out.txt").string();
    const auto content = [&] {
        std::ostringstream bytes;
        bytes << std::ifstream(out, std::ios::binary).rdbuf();
        return bytes.str();
    };
    ASSERT_EQ(
        studio_.ask({"export", "--condition", "chalk", "--trial", "1", "--out", out, "--original"}).code, 0);
    std::ostringstream original;
    original << std::ifstream(file_, std::ios::binary).rdbuf();
    EXPECT_EQ(content(), original.str());
    ASSERT_EQ(studio_.ask({"export", "--condition", "chalk", "--trial", "1", "--out", out}).code, 0);
    EXPECT_EQ(studio_.ask({"judge", out}).json()["patches"], studio_.ask({"judge", file_}).json()["patches"]);
}

TEST_F(Contract, LookingChangesNoTrialAndNoCondition) {
    const Json trials = studio_.ask({"trial", "list", "--condition", "chalk"}).json();
    const Json steer = studio_.ask({"steer", "--condition", "chalk"}).json();
    ASSERT_EQ(studio_.ask({"judge", "--condition", "chalk"}).code, 0);
    EXPECT_EQ(studio_.ask({"trial", "list", "--condition", "chalk"}).json(), trials);
    EXPECT_EQ(studio_.ask({"steer", "--condition", "chalk"}).json(), steer) << "the same question twice";
    const std::string before = studio_.bookBytes();
    ASSERT_EQ(studio_.ask({"judge", "--condition", "chalk"}).code, 0);
    ASSERT_EQ(studio_.ask({"steer", "--condition", "chalk"}).code, 0);
    EXPECT_EQ(studio_.bookBytes(), before) << "an answer that was kept already is kept once";
}

}  // namespace
}  // namespace greywright::acceptance

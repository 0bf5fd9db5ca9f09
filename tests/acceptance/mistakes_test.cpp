#include <algorithm>
#include <fstream>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sqlite3.h>

#include "stage.h"

// What goes wrong in measuring, typing and filing: refused with its place and what to do, and the book stays
// byte for byte as it was.
namespace greywright::acceptance {
namespace {

using ::testing::AllOf;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::Not;

class Mistakes : public ::testing::Test {
  protected:
    void SetUp() override {
        studio_.enter("chalk");
        first_ = driver_.print({0, 0});
        ASSERT_EQ(studio_.read(first_, "chalk", "across=0,up=0").code, 0);
        before_ = studio_.bookBytes();
        ASSERT_THAT(before_, Not(IsEmpty()));
    }

    /// Expects a refusal that names its place and what to do, and an untouched book.
    void expectRefused(const Words& words, int exitCode, const std::string& code,
                       const std::vector<std::string>& inText) {
        const Answer answer = studio_.ask(words);
        EXPECT_EQ(answer.code, exitCode) << code << ": " << answer.err << answer.out;
        EXPECT_EQ(answer.errorCode(), code) << answer.out;
        for (const std::string& part : inText) EXPECT_THAT(answer.err, HasSubstr(part)) << code;
        const Json json = answer.json();
        if (json.is_object() && json.contains("error")) {
            EXPECT_THAT(json["error"].value("what", ""), Not(IsEmpty())) << code;
            EXPECT_THAT(json["error"].value("next", ""), Not(IsEmpty())) << code;
        }
        EXPECT_EQ(studio_.bookBytes(), before_) << code << ": the book was changed";
    }

    void expectFileRefused(const std::string& name, const std::string& content, const std::string& code,
                           std::vector<std::string> inText, const Words& more = {}) {
        const std::string file = studio_.write(name, content);
        inText.push_back(name);
        Words words{"read", file, "--condition", "chalk", "--setting", "across=5,up=5"};
        words.insert(words.end(), more.begin(), more.end());
        expectRefused(words, 3, code, inText);
    }

    Studio studio_;
    Driver driver_{usualRecipe(), usualAxes()};
    measure::Reading first_;
    std::string before_;
};

/// A CIELAB table without tones.
std::string bare(const std::vector<measure::Patch>& patches) {
    std::string out = "LAB_L,LAB_A,LAB_B\n";
    for (const measure::Patch& patch : patches) {
        out += std::to_string(patch.lab->L) + "," + std::to_string(patch.lab->a) + "," +
               std::to_string(patch.lab->b) + "\n";
    }
    return out;
}

constexpr const char* kTones = "0,5,10,15,20,25,30,35,40,45,50,55,60,65,70,75,80,85,90,95,100";

TEST_F(Mistakes, PatchesAreMissing) {
    std::vector<measure::Patch> patches = driver_.print({5, 5}).patches;
    patches.erase(patches.begin() + 7);
    expectFileRefused("missing.csv", bare(patches), "wrong-number-of-tones", {"21", "20", "--tones"},
                      {"--tones", kTones});
    // A sheet that the file itself says is longer.
    std::string cut = sheetText(driver_.print({5, 5}), Format::cgats);
    const std::size_t row = cut.rfind("\n21\t");
    ASSERT_NE(row, std::string::npos);
    cut.erase(row + 1, cut.find('\n', row + 1) - row);
    expectFileRefused("cut.txt", cut, "set-count-mismatch", {"20", "21"});
}

TEST_F(Mistakes, ARampIsMeasuredUpsideDown) {
    std::vector<measure::Patch> patches = driver_.print({5, 5}).patches;
    std::ranges::reverse(patches);
    expectFileRefused("turned.csv", bare(patches), "ramp-upside-down", {"21 down to 1"}, {"--tones", kTones});
}

TEST_F(Mistakes, TwoStripsAreSwapped) {
    std::vector<measure::Patch> patches = driver_.print({5, 5}).patches;
    std::rotate(patches.begin() + 3, patches.begin() + 8, patches.begin() + 13);  // 4-8 and 9-13
    expectFileRefused("swapped.csv", bare(patches), "strips-swapped",
                      {"4 to 8", "9 to 13", "1-3, 9-13, 4-8, 14-21", "swapped.csv:5"}, {"--tones", kTones});
}

TEST_F(Mistakes, OneStripIsReversed) {
    std::vector<measure::Patch> patches = driver_.print({5, 5}).patches;
    std::reverse(patches.begin() + 6, patches.begin() + 12);
    expectFileRefused("reversed.csv", bare(patches), "strip-reversed", {"7 to 12", "12 down to 7"},
                      {"--tones", kTones});
}

TEST_F(Mistakes, ATonesListDoesNotFit) {
    const std::vector<measure::Patch> patches = driver_.print({5, 5}).patches;
    expectFileRefused("few.csv", bare(patches), "wrong-number-of-tones", {"3 tones", "21", "--tones"},
                      {"--tones", "0,50,100"});
    const std::string file = studio_.write("range.csv", bare(patches));
    expectRefused({"read", file, "--condition", "chalk", "--setting", "across=5,up=5", "--tones", "0,50,101"},
                  2, "tone-out-of-range", {"101", "--tones"});
    expectRefused(
        {"read", file, "--condition", "chalk", "--setting", "across=5,up=5", "--tones", "0,half,100"}, 2,
        "tones-text-invalid", {"0,half,100", "--tones"});
}

TEST_F(Mistakes, DuplicatesDisagree) {
    std::string csv = "K,LAB_L,LAB_A,LAB_B\n0,94,0,1\n50,55,0,0\n50,30,0,0\n100,16,0,0\n";
    expectFileRefused("twice.csv", csv, "repeated-tone-disagrees", {"50 %", "2 times", "twice.csv:4"});
    expectFileRefused("columns.csv", "K,LAB_L,LAB_A,LAB_B,LAB_L\n0,94,0,1,94\n", "duplicate-column",
                      {"LAB_L", "columns.csv:1"});
}

TEST_F(Mistakes, AFileIsDamaged) {
    expectFileRefused("letters.csv", "K,LAB_L,LAB_A,LAB_B\n0,94,0,1\n50,many,0,0\n100,16,0,0\n",
                      "not-a-number", {"letters.csv:3", "LAB_L", "many"});
    expectFileRefused("short.csv", "K,LAB_L,LAB_A,LAB_B\n0,94,0,1\n50,55\n", "row-too-short",
                      {"short.csv:3"});
    expectFileRefused("empty.csv", "", "file-empty", {});
    expectFileRefused("broken.cxf",
                      "<?xml version=\"1.0\"?><CxF xmlns=\"http://colorexchangeformat.com/CxF3-core\">",
                      "xml-not-well-formed", {"broken.cxf"});
    expectRefused({"read", studio_.path("nowhere.txt").string(), "--condition", "chalk"}, 3, "file-not-found",
                  {"nowhere.txt"});
    expectRefused({"read", studio_.folder().string(), "--condition", "chalk"}, 3, "file-not-regular",
                  {studio_.folder().string()});
}

TEST_F(Mistakes, TheSettingIsImpossible) {
    const std::string file = studio_.write("s.txt", sheetText(driver_.print({5, 5}), Format::cgats));
    const auto refused = [&](const std::string& setting, const std::string& code,
                             const std::vector<std::string>& inText) {
        expectRefused({"read", file, "--condition", "chalk", "--setting", setting}, 2, code, inText);
    };
    refused("across=51,up=0", "setting-out-of-range", {"across", "51", "-50 to 50"});
    refused("across=0.5,up=0", "setting-off-step", {"across", "0.5", "0 and 1"});
    refused("across=5", "setting-axis-missing", {"up", "across, up"});
    refused("across=5,up=0,deep=1", "setting-axis-unknown", {"deep"});
    refused("acros=5,up=0", "setting-axis-unknown", {"acros", "Did you mean across"});
    refused("across=5,across=6,up=0", "setting-axis-twice", {"across"});
    refused("across=five,up=0", "setting-text-invalid", {"--setting", "across=five"});
    refused("5,0", "setting-text-invalid", {"--setting", "across=-8,up=0"});
    refused("across=nan,up=0", "setting-text-invalid", {"--setting"});
    refused("across=1e999,up=0", "setting-text-invalid", {"--setting"});
    refused("across=0,up=0,", "setting-text-invalid", {"--setting"});
}

TEST_F(Mistakes, TheSameFileIsReadTwice) {
    const std::string file = studio_.write("again.txt", sheetText(first_, Format::cgats));
    expectRefused({"read", file, "--condition", "chalk", "--setting", "across=5,up=5"}, 2, "reading-twice",
                  {"again.txt", "trial 1", "--force"});
    const Answer forced =
        studio_.ask({"read", file, "--condition", "chalk", "--setting", "across=5,up=5", "--force"});
    EXPECT_EQ(forced.code, 0) << forced.err;
    EXPECT_EQ(forced.json()["trial"], 2);
    // Once it is withdrawn, the file may be read again, say at the setting it was really printed at.
    for (const char* trial : {"1", "2"}) {
        ASSERT_EQ(studio_
                      .ask({"trial", "withdraw", "--condition", "chalk", "--trial", trial, "--reason",
                            "typed wrongly"})
                      .code,
                  0);
    }
    EXPECT_EQ(studio_.ask({"read", file, "--condition", "chalk", "--setting", "across=5,up=6"}).code, 0);
}

TEST_F(Mistakes, TheSheetIsOfAnotherPaper) {
    measure::Reading cream = driver_.print({5, 5});
    for (measure::Patch& patch : cream.patches) {
        patch.reflectance.clear();
        patch.lab->b += 6 * (1 - *patch.tonePercent / 100);
    }
    cream.grid.reset();
    const std::string file = studio_.write("cream.txt", sheetText(cream, Format::cgats));
    const Words words{"read", file, "--condition", "chalk", "--setting", "across=5,up=5"};
    expectRefused(words, 3, "other-paper", {"cream.txt", "trial 1", "chalk", "--force"});
    // Judging a file asks no book; and a condition of its own takes it.
    EXPECT_EQ(studio_.ask({"judge", file}).code, 0);
    EXPECT_EQ(studio_.bookBytes(), before_);
    Words forced = words;
    forced.emplace_back("--force");
    const Answer answer = studio_.ask(forced);
    ASSERT_EQ(answer.code, 0) << answer.err;
    EXPECT_EQ(answer.json()["trial"], 2);
    // Both papers are known now: neither needs to be forced again.
    EXPECT_EQ(studio_.read(driver_.print({6, 6}), "chalk", "across=6,up=6").code, 0);
    cream.patches[3].lab->L += 0.1;
    EXPECT_EQ(studio_.read(cream, "chalk", "across=7,up=7").code, 0);
}

TEST_F(Mistakes, AnotherPaperIsSeenBehindAnotherMeasurementCondition) {
    // The first trial has no paper patch and another condition M; the second tells what the paper is.
    studio_.enter("fen");
    measure::Reading blocks = driver_.print({5, 5}, {0.3, 0.5, 0.7});
    blocks.condition = measure::Condition::m2;
    ASSERT_EQ(studio_.read(blocks, "fen", "across=5,up=5").code, 0);
    ASSERT_EQ(studio_.read(driver_.print({0, 0}), "fen", "across=0,up=0").code, 0);
    before_ = studio_.bookBytes();
    measure::Reading cream = driver_.print({6, 6});
    for (measure::Patch& patch : cream.patches) {
        patch.reflectance.clear();
        patch.lab->b += 6;
    }
    cream.grid.reset();
    const std::string file = studio_.write("cream.txt", sheetText(cream, Format::cgats));
    expectRefused({"read", file, "--condition", "fen", "--setting", "across=6,up=6"}, 3, "other-paper",
                  {"cream.txt", "trial 2", "fen"});
}

TEST_F(Mistakes, NamesAreMisspelt) {
    const std::string book = studio_.book().string();
    for (const Words& words :
         {Words{"steer", "--condition", "chlak"}, Words{"judge", "--condition", "chlak"},
          Words{"trial", "list", "--condition", "chlak"},
          Words{"report", "--condition", "chlak", "--out", studio_.path("p.html").string()}}) {
        expectRefused(words, 2, "condition-unknown", {"chlak", "Did you mean \"chalk\""});
    }
    expectRefused({"judge", "--condition", "chalk", "--light", "LEDB3"}, 2, "unknown-light",
                  {"LEDB3", "Did you mean LED-B3?"});
    expectRefused({"judge", "--condition", "chalk", "--trial", "7"}, 2, "trial-unknown", {"trial 7"});
    expectRefused({"trial", "withdraw", "--condition", "chalk", "--trial", "7", "--reason", "r"}, 2,
                  "trial-unknown", {"trial 7"});
    const std::string file = studio_.write("s.txt", sheetText(driver_.print({5, 5}), Format::cgats));
    expectRefused({"read", file, "--condition", "chalk", "--setting", "across=5,up=5", "--choice", "dark"}, 2,
                  "choice-text-invalid", {"--choice", "dark", "name=value"});
    expectRefused({"read", file, "--condition", "chalk", "--setting", "across=5,up=5", "--condition-m", "M5"},
                  2, "measurement-condition-unknown", {"M5", "M0, M1, M2 or M3"});
    expectRefused({"read", file, "--condition", "chalk", "--seting", "across=5,up=5"}, 2, "command-line",
                  {"--seting"});
}

TEST_F(Mistakes, AConditionIsNotSound) {
    const auto refused = [&](const std::string& axis, const std::string& code,
                             const std::vector<std::string>& inText) {
        expectRefused({"condition", "add", "new", "--printer", "p", "--inks", "i", "--paper", "q", "--mode",
                       "m", "--axis", axis},
                      2, code, inText);
    };
    refused("across", "axis-text-invalid", {"--axis", "across:-50:50:1"});
    refused("across:-50:50", "axis-text-invalid", {"--axis"});
    refused("across:low:50:1", "axis-text-invalid", {"--axis"});
    refused("across:50:-50:1", "axis-range-invalid", {"across"});
    refused("across:-50:50:0", "axis-step-invalid", {"across"});
    refused("across:-50:50:-1", "axis-step-invalid", {"across"});
    refused("across:-50:50:7", "axis-step-invalid", {"across"});
    refused(":-50:50:1", "axis-name-invalid", {"name"});
    expectRefused({"condition", "add", "new", "--printer", "p", "--inks", "i", "--paper", "q", "--mode", "m",
                   "--axis", "a:0:1:1", "--axis", "b:0:1:1", "--axis", "c:0:1:1", "--axis", "d:0:1:1"},
                  2, "axis-count", {"4", "three at most"});
    expectRefused({"condition", "add", "new", "--printer", "p", "--inks", "i", "--paper", "q", "--mode", "m",
                   "--axis", "a:0:1:1", "--axis", "a:0:1:1"},
                  2, "axis-name-twice", {"a"});
    expectRefused({"condition", "add", "chalk", "--printer", "p", "--inks", "i", "--paper", "q", "--mode",
                   "m", "--axis", "a:0:1:1"},
                  2, "condition-exists", {"chalk"});
    expectRefused({"condition", "add", " ", "--printer", "p", "--inks", "i", "--paper", "q", "--mode", "m",
                   "--axis", "a:0:1:1"},
                  2, "condition-name-invalid", {"name"});
    expectRefused({"condition", "add", "new", "--printer", "", "--inks", "i", "--paper", "q", "--mode", "m",
                   "--axis", "a:0:1:1"},
                  2, "condition-incomplete", {"printer"});
    expectRefused({"condition", "add", "new", "--printer", "p"}, 2, "command-line", {"--inks"});
    expectRefused({"condition", "correct", "chalk", "--axis", "across:0:1:1"}, 2, "axes-of-trials",
                  {"trial 1", "as many axes"});
    expectRefused({"condition", "correct", "chalk", "--paper", " "}, 2, "condition-incomplete", {"paper"});
    expectRefused({"condition", "correct", "chlk", "--paper", "q"}, 2, "condition-unknown", {"chalk"});
    expectRefused({"condition", "remove", "chalk"}, 2, "condition-in-use", {"withdraw its trials"});
}

TEST_F(Mistakes, TheBookIsFromANewerVersion) {
    sqlite3* database = nullptr;
    ASSERT_EQ(sqlite3_open(studio_.book().c_str(), &database), SQLITE_OK);
    ASSERT_EQ(sqlite3_exec(database, "PRAGMA user_version = 900", nullptr, nullptr, nullptr), SQLITE_OK);
    sqlite3_close(database);
    before_ = studio_.bookBytes();
    const std::string file = studio_.write("s.txt", sheetText(driver_.print({5, 5}), Format::cgats));
    const std::vector<std::string> says{"studio.book", "900", "newer", "Update"};
    expectRefused({"read", file, "--condition", "chalk", "--setting", "across=5,up=5"}, 3, "book-newer",
                  says);
    expectRefused({"steer", "--condition", "chalk"}, 3, "book-newer", says);
    expectRefused({"condition", "list"}, 3, "book-newer", says);
    expectRefused({"book", "check"}, 3, "book-newer", says);
}

TEST_F(Mistakes, TheBookIsNone) {
    const std::string file = studio_.write("s.txt", sheetText(driver_.print({5, 5}), Format::cgats));
    before_ = "Dear diary, today I printed nothing.\n";
    static_cast<void>(studio_.write("studio.book", before_));
    expectRefused({"read", file, "--condition", "chalk", "--setting", "across=5,up=5"}, 3, "not-a-book",
                  {"studio.book"});
    expectRefused({"condition", "list"}, 3, "not-a-book", {"studio.book"});

    // A damaged one.
    before_ = std::string("SQLite format 3\0", 16) + std::string(4000, 'x');
    static_cast<void>(studio_.write("studio.book", before_));
    const Answer damaged = studio_.ask({"condition", "list"});
    EXPECT_EQ(damaged.code, 3);
    EXPECT_THAT(damaged.errorCode(), Not(IsEmpty()));
    EXPECT_EQ(studio_.bookBytes(), before_);
}

TEST_F(Mistakes, ThereIsNoBookYet) {
    const Words elsewhere{"--json", "--book", studio_.path("none.book").string()};
    for (const Words& question :
         {Words{"steer", "--condition", "chalk"}, Words{"judge", "--condition", "chalk"},
          Words{"trial", "list", "--condition", "chalk"}, Words{"book", "check"}}) {
        Words words = elsewhere;
        words.insert(words.end(), question.begin(), question.end());
        const Answer answer = run(words);
        EXPECT_EQ(answer.code, 3) << question[0];
        EXPECT_EQ(answer.errorCode(), "book-not-found") << question[0];
        EXPECT_THAT(answer.err, HasSubstr("none.book"));
    }
    const std::string file = studio_.write("s.txt", sheetText(driver_.print({5, 5}), Format::cgats));
    Words read = elsewhere;
    read.insert(read.end(), {"read", file, "--condition", "chalk", "--setting", "across=5,up=5"});
    const Answer answer = run(read);
    EXPECT_EQ(answer.code, 3);
    EXPECT_EQ(answer.errorCode(), "book-not-found") << answer.out;
    EXPECT_FALSE(std::filesystem::exists(studio_.path("none.book")))
        << "a sheet that goes nowhere made a book";
}

TEST_F(Mistakes, NothingWasReadYet) {
    studio_.enter("fen", usualAxes(), "Fen Satin");
    before_ = studio_.bookBytes();
    expectRefused({"judge", "--condition", "fen"}, 2, "no-trials", {"fen", "greywright read"});
    expectRefused({"export", "--condition", "fen", "--trial", "1", "--out", studio_.path("o").string()}, 2,
                  "trial-unknown", {"trial 1"});
    EXPECT_FALSE(std::filesystem::exists(studio_.path("o")));
}

}  // namespace
}  // namespace greywright::acceptance

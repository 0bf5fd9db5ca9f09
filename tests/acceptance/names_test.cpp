#include <cstdlib>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "stage.h"

// Names that trip careless programs, and places where numbers are written with a comma.
namespace greywright::acceptance {
namespace {

using ::testing::HasSubstr;

TEST(Names, BlanksQuotesAndOtherScriptsComeBackAsTheyWent) {
    const std::string names[] = {"Chalk rag, 310 g",   "it's \"soft\"", "Grauglänzend – größer", "白い紙",
                                 "a\\b/c%d{}$HOME`x`", "-dashed",       "x'; DROP TABLE t;--"};
    Studio studio;
    Driver driver(usualRecipe(), usualAxes());
    Json expected = Json::array();
    int turn = 0;
    for (const std::string& name : names) {
        // A name that begins with a dash goes behind a double dash, as everywhere.
        const Answer added =
            studio.ask({"condition", "add", "--printer=" + name, "--inks=" + name, "--paper=" + name,
                        "--mode=" + name, "--axis", "across:-50:50:1", "--axis", "up:-50:50:1", "--", name});
        ASSERT_EQ(added.code, 0) << name << ": " << added.err;
        const std::string folder = studio.path(std::to_string(turn++)).string();
        std::filesystem::create_directory(folder);
        std::string fileName = name + ".txt";
        std::ranges::replace(fileName, '/', '_');
        const std::string file = std::string(std::to_string(turn - 1)).append("/").append(fileName);
        const std::string path = studio.write(file, sheetText(driver.print({0, 0}), Format::cgats));
        const Answer read = studio.ask({"read", path, "--condition=" + name, "--setting", "across=0,up=0",
                                        "--choice=" + name + "=" + name});
        ASSERT_EQ(read.code, 0) << name << ": " << read.err;
        const Json trials = studio.ask({"trial", "list", "--condition=" + name}).json();
        EXPECT_EQ(trials["trials"][0]["file"], fileName);
        EXPECT_EQ(trials["trials"][0]["choices"], (Json{{name, name}}));
        EXPECT_EQ(studio.ask({"judge", "--condition=" + name}).code, 0) << name;
        EXPECT_EQ(studio.ask({"steer", "--condition=" + name}).json()["trials"], 1) << name;
        EXPECT_EQ(studio.inWords({"steer", "--condition=" + name}).code, 0) << name;
        expected.push_back(name);
    }
    const Json listed = studio.ask({"condition", "list"}).json();
    Json found = Json::array();
    for (const Json& condition : listed["conditions"]) {
        found.push_back(condition["name"]);
        for (const char* field : {"printer", "inks", "paper", "mode"}) {
            EXPECT_EQ(condition[field], condition["name"]) << field;
        }
    }
    EXPECT_EQ(found, expected);
}

TEST(Names, TheBookMayHaveAnyName) {
    Studio studio;
    for (const char* name :
         {"my book, 2031 'final'.book", "Größe.book", "no ending", ":memory:", "%20&=.book"}) {
        const std::string book = studio.path(name).string();
        const Answer added = run({"--json", "--book", book, "condition", "add", "chalk", "--printer", "p",
                                  "--inks", "i", "--paper", "q", "--mode", "m", "--axis", "warm:-5:5:1"});
        ASSERT_EQ(added.code, 0) << name << added.err;
        EXPECT_TRUE(std::filesystem::is_regular_file(book)) << name;
        EXPECT_EQ(run({"--json", "--book", book, "condition", "list"}).json()["conditions"].size(), 1U)
            << name;
        // Named from its own folder.
        EXPECT_EQ(run({"--json", "--book", name, "condition", "list"}, {.folder = studio.folder().string()})
                      .json()["conditions"]
                      .size(),
                  1U)
            << name;
    }
}

TEST(Names, BytesThatAreNoUtf8DoNotStopAnAnswer) {
    Studio studio;
    studio.enter("chalk");
    const Answer unknown = studio.ask({"steer", "--condition", "\xff\xfe chalk"});
    EXPECT_EQ(unknown.code, 2);
    EXPECT_EQ(unknown.errorCode(), "condition-unknown");
    const Answer demo = run({"--json", "demo", "--out", studio.path("demo \xff\t\n").string()});
    EXPECT_EQ(demo.code, 0) << demo.err;
    EXPECT_TRUE(demo.json().is_object()) << demo.out;
}

/// Surroundings whose locale writes one half as 0,5; nothing where none can be had.
std::optional<Surroundings> withDecimalComma(const Studio& studio) {
    const auto isThere = [](const Surroundings& surroundings) {
        std::string command;
        for (const auto& [name, value] : surroundings.environment) command += name + "='" + value + "' ";
        command += "locale decimal_point 2>/dev/null | grep -q '^,$'";
        return std::system(command.c_str()) == 0;
    };
    Surroundings installed{.environment = {{"LC_ALL", "de_DE.UTF-8"}}};
    if (isThere(installed)) return installed;
    const std::string folder = studio.path("locales").string();
    std::filesystem::create_directory(folder);
    const std::string make = "localedef -i de_DE -f UTF-8 '" + folder + "/de_DE.UTF-8' >/dev/null 2>&1";
    installed.environment["LOCPATH"] = folder;
    if (std::system(make.c_str()) == 0 && isThere(installed)) return installed;
    return std::nullopt;
}

TEST(Names, ADecimalCommaInTheLocaleChangesNothing) {
    Studio studio;
    const auto german = withDecimalComma(studio);
    if (!german) GTEST_SKIP() << "no locale with a decimal comma can be had here";
    Driver driver(usualRecipe(), {{"warm", -5, 5, 0.5}});
    const std::string book = studio.book().string();
    const std::string file = studio.write("s.csv", sheetText(driver.print({1.5}), Format::csv));
    const auto ask = [&](Words words) {
        words.insert(words.begin(), {"--book", book});
        return run(words, *german);
    };
    ASSERT_EQ(ask({"condition", "add", "chalk", "--printer", "p", "--inks", "i", "--paper", "q", "--mode",
                   "m", "--axis", "warm:-5:5:0.5"})
                  .code,
              0);
    const Answer read = ask({"--json", "read", file, "--condition", "chalk", "--setting", "warm=1.5"});
    ASSERT_EQ(read.code, 0) << read.err;
    EXPECT_EQ(settingText(read.json()["setting"]), "warm=1.5");
    const Words questions[] = {{"--json", "judge", file},
                               {"judge", file},
                               {"--json", "steer", "--condition", "chalk"},
                               {"steer", "--condition", "chalk"},
                               {"lights", "list"},
                               {"--json", "lights", "list"},
                               {"condition", "list"}};
    for (const Words& words : questions) {
        const Answer there = ask(words);
        const Answer here = studio.inWords(words);
        EXPECT_EQ(there.code, 0) << there.err;
        EXPECT_EQ(there.out, here.out);
        EXPECT_EQ(there.err, here.err);
    }
}

}  // namespace
}  // namespace greywright::acceptance

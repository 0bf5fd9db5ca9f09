#include <array>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <tuple>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "core/files.h"
#include "picture/write.h"
#include "sheet/sheet.h"
#include "simulate/camera.h"
#include "simulate/shots.h"
#include "stage.h"
#include "testing/near.h"
#include "testing/shots.h"

// Sheets made, printed on invented paper, scanned or photographed, and read again, from the command line.
namespace greywright::acceptance {
namespace {

using greywright::testing::flatbed;
using greywright::testing::measurementOf;
using greywright::testing::succeeded;
using ::testing::Contains;
using ::testing::HasSubstr;

class Pictures : public ::testing::Test {
  protected:
    /// A sheet as the command line made it.
    [[nodiscard]] sheet::Sheet made(const Words& words) const {
        const Answer answer = studio_.ask(words);
        EXPECT_EQ(answer.code, 0) << answer.err;
        const auto text = readWholeFile(answer.json()["definition"].get<std::string>());
        EXPECT_TRUE(succeeded(text));
        auto sheet = sheet::sheetFromCgats(*text);
        EXPECT_TRUE(succeeded(sheet));
        return *std::move(sheet);
    }

    /// What a scanner or camera makes of it, as a TIFF file.
    [[nodiscard]] std::string picture(const sheet::Sheet& sheet, const simulate::Camera& camera,
                                      int page = 1) {
        const std::string path = studio_.path(studio_.freshName("tif")).string();
        EXPECT_TRUE(succeeded(greywright::testing::writeShot(path, sheet, camera, page)));
        return path;
    }

    void expectRefused(const Words& words, int code, const std::string& errorCode,
                       const std::string& named = "") const {
        const std::string before = studio_.bookBytes();
        const Answer answer = studio_.ask(words);
        EXPECT_EQ(answer.code, code) << answer.err;
        EXPECT_EQ(answer.errorCode(), errorCode) << answer.err;
        EXPECT_THAT(answer.err, HasSubstr(named));
        EXPECT_EQ(studio_.bookBytes(), before);
    }

    Studio studio_;
};

TEST_F(Pictures, EveryKindOfSheetIsWrittenAndKept) {
    const std::vector<std::pair<Words, std::string>> kinds{
        {{"ramp", "Ramp", "--tones", "33", "--instrument", "spot", "--shuffle", "5"}, "tif"},
        {{"blocks", "Blocks", "--trial", "one", "--setting", "across=-8,up=0", "--place", "2"}, "png"},
        {{"camera", "Camera", "--page", "Letter"}, "pdf"},
        {{"neutral", "Neutral", "--markers", "--tones", "5"}, "tif"},
        {{"steps", "Steps", "--page", "4x6in"}, "png"},
        {{"picture", "Picture", "--page", "200x250"}, "pdf"},
        {{"choice", "Choice", "--encoding", "p3"}, "tif"}};
    std::size_t count = 0;
    for (const auto& [words, ending] : kinds) {
        Words all{"sheet"};
        all.insert(all.end(), words.begin(), words.end());
        const std::string out = studio_.path(studio_.freshName(ending)).string();
        all.insert(all.end(), {"--out", out, "--dpi", "150"});
        const Answer answer = studio_.ask(all);
        ASSERT_EQ(answer.code, 0) << answer.err;
        const Json json = answer.json();
        EXPECT_EQ(json["name"], words[1]);
        EXPECT_FALSE(json["files"].empty());
        for (const Json& file : json["files"])
            EXPECT_GT(std::filesystem::file_size(file.get<std::string>()), 1000U);
        EXPECT_EQ(studio_.ask({"sheet", "list"}).json()["sheets"].size(), ++count);
        const Answer shown = studio_.inWords({"sheet", "show", json["code"].get<std::string>()});
        EXPECT_EQ(shown.out, readWholeFile(json["definition"].get<std::string>()).value());
        const auto back = sheet::sheetFromCgats(shown.out);
        ASSERT_TRUE(succeeded(back));
        EXPECT_EQ(back->code, json["code"]);
        EXPECT_EQ(back->patches.size(), json["patches"]);
    }
}

TEST_F(Pictures, PagesAreGivenByNameInMillimetresOrInInches) {
    const auto sized = [&](const std::string& page) {
        return made({"sheet", "ramp", "Sized", "--page", page, "--dpi", "100", "--out",
                     studio_.path(studio_.freshName("png")).string()})
            .page;
    };
    // Source: ISO 216; an inch is 25.4 mm by definition; common practice for the names of inch sizes.
    const std::vector<std::tuple<std::string, double, double>> pages{{"a5", 148, 210},
                                                                     {"A2", 420, 594},
                                                                     {"A6", 105, 148},
                                                                     {"legal", 215.9, 355.6},
                                                                     {"Tabloid", 279.4, 431.8},
                                                                     {"5x7in", 127, 177.8},
                                                                     {"8.5 x 11 in", 215.9, 279.4},
                                                                     {"210x250mm", 210, 250},
                                                                     {"250X210", 250, 210}};
    for (const auto& [text, width, height] : pages) {
        const sheet::Page page = sized(text);
        EXPECT_NEAR(page.widthMm, width, 1e-6) << text;
        EXPECT_NEAR(page.heightMm, height, 1e-6) << text;
    }
    const std::string out = studio_.path("x.tif").string();
    for (const auto& [text, code] : {std::pair{"5x7ft", "page-text-invalid"},
                                     {"5in", "page-unknown"},
                                     {"x", "page-unknown"},
                                     {"1x1in", "page-out-of-range"}}) {
        expectRefused({"sheet", "ramp", "A", "--out", out, "--page", text}, 2, code);
    }
}

TEST_F(Pictures, AFileThatIsWrittenOverIsTold) {
    const Words words{"sheet", "camera", "Twice", "--dpi", "100", "--out", studio_.path("t.png").string()};
    EXPECT_THAT(studio_.ask(words).err, ::testing::Not(HasSubstr("written over")));
    const Answer again = studio_.ask(words);
    ASSERT_EQ(again.code, 0) << again.err;
    int told = 0;
    const Json json = again.json();
    for (const Json& note : json["notes"]) told += note["code"] == "file-replaced" ? 1 : 0;
    EXPECT_EQ(told, 2) << "the page and its definition";
}

TEST_F(Pictures, ASheetSaysTheTonesOfAMeasurement) {
    studio_.enter("chalk");
    const sheet::Sheet sheet = made({"sheet", "ramp", "Shuffled", "--shuffle", "9", "--out",
                                     studio_.path("ramp.tif").string(), "--dpi", "100"});
    const std::string file = studio_.write("measured.txt", measurementOf(sheet));
    const Words words{"read", file, "--condition", "chalk", "--setting", "across=0,up=0"};
    EXPECT_NE(studio_.ask(words).code, 0) << "a shuffled ramp is no ramp without its sheet";
    for (const std::string& named :
         {std::string("shuffled"), sheet.code, studio_.path("ramp.sheet.txt").string()}) {
        Words all = words;
        all.insert(all.end(), {"--sheet", named, "--force"});
        const Answer answer = studio_.ask(all);
        ASSERT_EQ(answer.code, 0) << answer.err;
        EXPECT_EQ(answer.json()["patches"], 21);
        EXPECT_TRUE(answer.json()["uncertainty"].is_null());
    }
    // Another order under the same name: then only a code tells which is meant.
    const sheet::Sheet other = made({"sheet", "ramp", "shuffled", "--shuffle", "10", "--out",
                                     studio_.path("other.tif").string(), "--dpi", "100"});
    Words ambiguous = words;
    ambiguous.insert(ambiguous.end(), {"--sheet", "Shuffled"});
    expectRefused(ambiguous, 2, "sheet-ambiguous", other.code);
}

TEST_F(Pictures, BlocksAreOfTheNextTrialAtTheSettingThatIsAskedFor) {
    studio_.enter("chalk");
    const Answer first = studio_.ask({"sheet", "blocks", "Blocks", "--condition", "chalk", "--out",
                                      studio_.path("b.tif").string(), "--dpi", "100"});
    ASSERT_EQ(first.code, 0) << first.err;
    EXPECT_THAT(first.err, HasSubstr("TRIAL 1 at across=0,up=0, place 1"));
    Driver driver(usualRecipe(), usualAxes());
    ASSERT_EQ(studio_.read(driver.print({0, 0}), "chalk", "across=0,up=0").code, 0);
    const std::string next = settingText(studio_.ask({"steer", "--condition", "chalk"}).json()["setting"]);
    const Answer second = studio_.ask({"sheet", "blocks", "Blocks", "--condition", "chalk", "--out",
                                       studio_.path("b.tif").string(), "--dpi", "100"});
    ASSERT_EQ(second.code, 0) << second.err;
    EXPECT_THAT(second.err, HasSubstr("TRIAL 2 at " + next + ", place 2"));
    EXPECT_NE(first.json()["code"], second.json()["code"]);

    // The sheet says what it was printed at.
    const auto sheet =
        sheet::sheetFromCgats(readWholeFile(second.json()["definition"].get<std::string>()).value());
    ASSERT_TRUE(succeeded(sheet));
    const std::string measured = studio_.write("blocks.txt", measurementOf(*sheet));
    const Answer read =
        studio_.ask({"read", measured, "--condition", "chalk", "--sheet", sheet->code, "--force"});
    ASSERT_EQ(read.code, 0) << read.err;
    EXPECT_EQ(settingText(read.json()["setting"]), next);
    EXPECT_THAT(read.err, HasSubstr("as the sheet says"));
}

TEST_F(Pictures, AScanIsReadAndSaysHowFarItMayBeOff) {
    studio_.enter("chalk");
    const sheet::Sheet sheet =
        made({"sheet", "camera", "Scanned", "--out", studio_.path("c.tif").string(), "--dpi", "100"});
    const std::string scan = picture(sheet, flatbed());
    const std::string outlined = studio_.path("outlined.png").string();
    const Answer read = studio_.ask(
        {"read", scan, "--condition", "chalk", "--setting", "across=0,up=0", "--outlined", outlined});
    ASSERT_EQ(read.code, 0) << read.err;
    EXPECT_EQ(read.json()["patches"], 21);
    EXPECT_FALSE(read.json()["spectral"].get<bool>());
    EXPECT_GT(read.json()["uncertainty"]["shared"], 1);
    EXPECT_GT(std::filesystem::file_size(outlined), 10'000U);

    // The truth is what the print was made of; the picture itself is kept nowhere.
    const Json judged = studio_.ask({"judge", "--condition", "chalk"}).json();
    const std::string truth = studio_.write("truth.txt", measurementOf(sheet));
    const Json expected = studio_.ask({"judge", truth, "--sheet", sheet.code}).json();
    ASSERT_EQ(judged["patches"].size(), expected["patches"].size());
    for (std::size_t i = 0; i < judged["patches"].size(); ++i) {
        EXPECT_NEAR(judged["patches"][i]["a"], expected["patches"][i]["a"], 0.5) << i;
        EXPECT_NEAR(judged["patches"][i]["b"], expected["patches"][i]["b"], 0.5) << i;
    }
    const Json& verdict = judged["verdict"];
    EXPECT_LT(verdict["worst_delta_e00_low"], verdict["worst_delta_e00"]);
    EXPECT_GT(verdict["worst_delta_e00_high"], verdict["worst_delta_e00"]);
    EXPECT_FALSE(verdict["good"].get<bool>()) << "a scan cannot tell that a print is good";
    EXPECT_TRUE(expected["verdict"]["worst_delta_e00_low"].is_null());
    EXPECT_LT(studio_.bookBytes().size(), 1'000'000U);

    // Nothing that is read is written over, nor the book or a file of another kind.
    const std::string before = readWholeFile(scan).value();
    expectRefused({"judge", scan, "--outlined", scan}, 2, "file-ending", ".png");
    expectRefused({"judge", scan, "--outlined", studio_.book().string()}, 2, "file-ending");
    expectRefused({"look", scan, "--card", "100,300,50,50", "--patch", "400,300,50,50", "--out", scan}, 2,
                  "file-ending");
    const std::string png = studio_.path("copy.png").string();
    ASSERT_TRUE(succeeded(writeWholeFile(png, before)));
    expectRefused({"judge", png, "--outlined", png}, 2, "output-is-input", "copy.png");
    EXPECT_EQ(readWholeFile(scan).value(), before);
    EXPECT_EQ(readWholeFile(png).value(), before);

    // A card that is none makes nothing more certain.
    expectRefused({"judge", scan, "--card"}, 3, "card-missing", "bare paper");
    expectRefused({"judge", scan, "--card-lab", "50,0,0"}, 2, "card-missing", "--card-at");

    // The same picture again is the same reading.
    expectRefused({"read", scan, "--condition", "chalk", "--setting", "across=0,up=0"}, 2, "reading-twice");
    const Json steered = studio_.ask({"steer", "--condition", "chalk"}).json();
    EXPECT_EQ(steered["status"], "print");
}

TEST_F(Pictures, ASheetOfTwoPagesIsOneReading) {
    studio_.enter("chalk");
    const sheet::Sheet sheet = made({"sheet", "camera", "Postcards", "--page", "4x6in", "--tones", "41",
                                     "--out", studio_.path("c.tif").string(), "--dpi", "100"});
    ASSERT_EQ(sheet.pages, 2);
    const std::string first = picture(sheet, flatbed()), second = picture(sheet, flatbed(), 2);
    const Answer half = studio_.ask({"judge", first});
    EXPECT_EQ(half.code, 0) << half.err;
    EXPECT_THAT(half.err, HasSubstr("1 of the sheet's 2 pages"));
    const Answer both =
        studio_.ask({"judge", second, "--page", first, "--outlined", studio_.path("o.png").string()});
    ASSERT_EQ(both.code, 0) << both.err;
    EXPECT_EQ(both.json()["patches"].size(), sheet.patches.size());
    EXPECT_TRUE(std::filesystem::exists(studio_.path("o.png")));
    EXPECT_TRUE(std::filesystem::exists(studio_.path("o-2.png")));
    expectRefused({"judge", first, "--page", first}, 3, "not-a-further-page", "page 1");
    // A run that is refused leaves nothing behind.
    expectRefused({"judge", first, "--page", first, "--outlined", studio_.path("r.png").string()}, 3,
                  "not-a-further-page");
    EXPECT_FALSE(std::filesystem::exists(studio_.path("r.png")));
    EXPECT_FALSE(std::filesystem::exists(studio_.path("r-2.png")));
    const Answer over =
        studio_.ask({"judge", second, "--page", first, "--outlined", studio_.path("o.png").string()});
    EXPECT_THAT(over.err, HasSubstr("written over"));
    expectRefused({"read", first, "--condition", "chalk"}, 3, "pages-missing", "--page");
    const Answer look = studio_.ask({"read", first, "--condition", "chalk", "--look"});
    ASSERT_EQ(look.code, 0) << look.err;
    ASSERT_EQ(look.json()["doubts"].size(), 1U) << "a scan has no measuring condition to ask for";
    EXPECT_EQ(look.json()["doubts"][0]["code"], "pages-missing");
    EXPECT_TRUE(studio_.ask({"trial", "list", "--condition", "chalk"}).json()["trials"].empty());
}

TEST_F(Pictures, ALearnedScannerIsCertainWhereAnUnknownOneIsNot) {
    studio_.enter("chalk");
    const sheet::Sheet sheet =
        made({"sheet", "camera", "Learned", "--out", studio_.path("c.tif").string(), "--dpi", "100"});
    // A scanner whose colours are off: reddish, and its channels see of one another.
    simulate::Camera camera = flatbed();
    camera.gain = {0.97, 0.86, 0.82};
    camera.overlap = 0.1;
    const std::string scan = picture(sheet, camera);
    const std::string truth = studio_.write("truth.txt", measurementOf(sheet));
    const Answer learned = studio_.ask({"device", "learn", "Flatbed", scan, truth, "--paper", "Chalk Rag"});
    ASSERT_EQ(learned.code, 0) << learned.err;
    // The measurement of another sheet, half of whose tones are the same; and of none.
    const sheet::Sheet other = made(
        {"sheet", "ramp", "Other", "--tones", "31", "--out", studio_.path("o.tif").string(), "--dpi", "100"});
    const Words learn{"device", "learn", "Other", scan};
    Words ofAnother = learn;
    ofAnother.insert(ofAnother.end(),
                     {studio_.write("other.txt", measurementOf(other)), "--paper", "Chalk Rag"});
    expectRefused(ofAnother, 3, "sheets-differ", "other.txt");
    Words absurd = learn;
    std::string tinted = measurementOf(sheet);
    const std::size_t last = tinted.rfind(' ', tinted.rfind("END_DATA"));
    tinted.replace(last + 1, tinted.rfind("END_DATA") - last - 2, "-60");
    absurd.insert(absurd.end(), {studio_.write("absurd.txt", tinted), "--paper", "Chalk Rag"});
    expectRefused(absurd, 3, "sheets-differ", "no grey");
    EXPECT_LT(learned.json()["residual_ab"], 0.3);
    EXPECT_GT(learned.json()["residual_ab_before"], 2);
    EXPECT_EQ(studio_.ask({"device", "list"}).json()["devices"].size(), 1U);

    camera.turnDegrees = 90;
    std::swap(camera.width, camera.height);
    const std::string again = picture(sheet, camera);
    const Words words{"read", again, "--condition", "chalk", "--setting", "across=0,up=0"};
    Words byDevice = words;
    byDevice.insert(byDevice.end(), {"--device", "flatbed"});
    const Answer read = studio_.ask(byDevice);
    ASSERT_EQ(read.code, 0) << read.err;
    const double certain = read.json()["uncertainty"]["shared"];
    Words without = words;
    without.push_back("--force");
    EXPECT_LT(2 * certain, studio_.ask(without).json()["uncertainty"]["shared"].get<double>());
    const Json judged = studio_.ask({"judge", "--condition", "chalk", "--trial", "1"}).json();
    const Json expected = studio_.ask({"judge", truth, "--sheet", sheet.code}).json();
    for (std::size_t i = 0; i < judged["patches"].size(); ++i) {
        EXPECT_NEAR(judged["patches"][i]["a"], expected["patches"][i]["a"], 0.6) << i;
        EXPECT_NEAR(judged["patches"][i]["b"], expected["patches"][i]["b"], 0.6) << i;
    }

    // The same scanner with another white balance is another scanner.
    camera.gain = {0.90, 0.92, 0.95};
    expectRefused({"judge", picture(sheet, camera), "--device", "flatbed", "--paper", "Chalk Rag"}, 3,
                  "device-differs", "bare paper");
    expectRefused({"judge", again, "--device", "flatbed", "--paper", "Other"}, 2, "device-paper-unknown",
                  "Chalk Rag");
    expectRefused({"judge", again, "--device", "flatbed"}, 2, "device-paper-unknown", "--paper");
    expectRefused({"judge", again, "--device", "flatbad"}, 2, "device-unknown", "Flatbed");
    EXPECT_EQ(studio_.ask({"judge", again, "--device", "flatbed", "--paper", "Chalk Rag"}).code, 0);
    EXPECT_EQ(studio_.ask({"device", "remove", "flatbed"}).code, 0);
    expectRefused({"device", "remove", "flatbed"}, 2, "device-unknown");
}

TEST_F(Pictures, ALookAtAnyPhotographTellsTheTint) {
    const std::string photo = studio_.path("photo.png").string();
    // The print has less green: towards magenta.
    ASSERT_TRUE(succeeded(greywright::testing::writeCardAndPrint(photo, {150, 138, 150})));
    const std::string out = studio_.path("magnified.png").string();
    const Words words{"look", photo, "--card", "20,20,100,100", "--patch", "250,20,100,100"};
    Words all = words;
    all.insert(all.end(), {"--out", out});
    const Answer answer = studio_.ask(all);
    ASSERT_EQ(answer.code, 0) << answer.err;
    EXPECT_GT(answer.json()["a"], 3);
    EXPECT_LT(answer.json()["b"], -1);
    EXPECT_THAT(answer.json()["tint"].get<std::string>(),
                ::testing::AnyOf(HasSubstr("magenta"), HasSubstr("purple")));
    EXPECT_GT(std::filesystem::file_size(out), 1000U);
    EXPECT_FALSE(std::filesystem::exists(studio_.book())) << "a look needs no book";
    const Answer inWords = studio_.inWords(words);
    EXPECT_THAT(inWords.out, HasSubstr("give or take"));
    EXPECT_EQ(studio_.ask({"look", photo, "--card", "20,20,100", "--patch", "1,1,50,50"}).errorCode(),
              "rectangle-text-invalid");
    EXPECT_EQ(studio_.ask({"look", photo, "--card", "390,20,100,100", "--patch", "1,1,50,50"}).errorCode(),
              "card-outside");
    for (const char* lab : {"1e308,0,0", "-5,0,0", "500,0,0", "60,200,0", "nan,0,0"}) {
        Words known = words;
        known.insert(known.end(), {"--card-lab", lab});
        EXPECT_EQ(studio_.ask(known).code, 2) << lab;
    }
    all.insert(all.end(), {"--magnify", "31"});
    EXPECT_EQ(studio_.ask(all).errorCode(), "magnify-out-of-range");
}

TEST_F(Pictures, ALookNamesNoColourThatItCannotTellFromNeutral) {
    using Codes = std::array<int, 3>;
    const auto wordsFor = [&](const Codes& place) {
        const std::string photo = studio_.path(studio_.freshName("png")).string();
        EXPECT_TRUE(succeeded(greywright::testing::writeCardAndPrint(photo, place)));
        const Answer answer =
            studio_.inWords({"look", photo, "--card", "20,20,100,100", "--patch", "250,20,100,100"});
        EXPECT_EQ(answer.code, 0) << answer.err;
        return answer.out;
    };
    const auto colours =
        ::testing::AnyOf(HasSubstr("red"), HasSubstr("orange"), HasSubstr("yellow"), HasSubstr("green"),
                         HasSubstr("cyan"), HasSubstr("blue"), HasSubstr("magenta"));
    // One or two codes off in every direction: a chroma of 0.5 to 2, and a camera may be off by more.
    for (const Codes& faint : {Codes{150, 150, 150},
                               {152, 150, 150},
                               {150, 152, 150},
                               {150, 150, 152},
                               {148, 150, 150},
                               {150, 148, 150},
                               {150, 150, 148},
                               {151, 150, 149}}) {
        std::string words = wordsFor(faint);
        EXPECT_THAT(words, HasSubstr("it cannot tell"));
        // "was read as" has no colour's name in it.
        const std::size_t at = words.find("was read as");
        ASSERT_NE(at, std::string::npos) << words;
        words.erase(at, 11);
        words.erase(std::min(words.find("A measured card"), words.size()));
        EXPECT_THAT(words, ::testing::Not(colours));
    }
    for (const auto& [plain, name] : {std::pair{Codes{165, 145, 145}, "red"},
                                      {{140, 150, 170}, "blue"},
                                      {{140, 156, 140}, "yellow-green"},
                                      {{156, 150, 130}, "yellow"}}) {
        const std::string words = wordsFor(plain);
        EXPECT_THAT(words, HasSubstr(std::string("is ") + name));
        EXPECT_THAT(words, ::testing::Not(HasSubstr("cannot tell")));
    }
}

TEST_F(Pictures, WhatCannotBeReadOrMadeIsRefusedInWords) {
    studio_.enter("chalk");
    const std::string out = studio_.path("x.tif").string();
    expectRefused({"sheet", "ramp", "A", "--out", studio_.path("x.gif").string()}, 2, "file-ending");
    expectRefused({"sheet", "ramp", "A", "--out", out, "--encoding", "cmyk"}, 2, "encoding-unknown");
    expectRefused({"sheet", "ramp", "A", "--out", out, "--tones", "7"}, 2, "tone-count");
    expectRefused({"sheet", "ramp", "A", "--out", out, "--tones", "many"}, 2, "tones-text-invalid");
    expectRefused({"sheet", "ramp", "A", "--out", out, "--page", "A9"}, 2, "page-unknown");
    expectRefused({"sheet", "ramp", "A", "--out", out, "--page", "210xtall"}, 2, "page-text-invalid");
    expectRefused({"sheet", "ramp", "A", "--out", out, "--instrument", "nose"}, 2, "instrument-unknown");
    expectRefused({"sheet", "ramp", "A", "--out", out, "--shuffle", "-1"}, 2, "command-line");
    expectRefused({"sheet", "blocks", "A", "--out", out}, 2, "text-missing");
    expectRefused({"sheet", "blocks", "A", "--out", out, "--condition", "chalc"}, 2, "condition-unknown");
    expectRefused({"sheet", "show", "nothing"}, 2, "sheet-unknown");
    const std::string notAProfile = studio_.write("p.icc", "no profile");
    expectRefused({"sheet", "ramp", "A", "--out", out, "--encoding", notAProfile}, 3, "profile-unusable");
    EXPECT_FALSE(std::filesystem::exists(out));

    const std::string blank = studio_.path("blank.tif").string();
    ASSERT_TRUE(succeeded(picture::writePixels(blank, {.width = 300, .height = 300, .channels = 3},
                                               [](std::size_t row, std::span<std::uint16_t> samples) {
                                                   for (std::size_t i = 0; i < samples.size(); ++i)
                                                       samples[i] = std::uint16_t(40000 + row + 7 * (i % 3));
                                               })));
    const Words read{"read", blank, "--condition", "chalk"};
    expectRefused(read, 2, "no-sheets", "greywright sheet camera");
    (void)made({"sheet", "camera", "Known", "--out", studio_.path("k.tif").string(), "--dpi", "100"});
    expectRefused(read, 3, "markers-missing", "blank.tif");
    const std::string padded = studio_.write(
        "padded.txt",
        measurementOf(made({"sheet", "ramp", "P", "--out", studio_.path("p.tif").string(), "--dpi", "100"})) +
            std::string(200, '\0'));
    EXPECT_EQ(studio_.ask({"judge", padded}).code, 0) << "NUL bytes at a text's end make no picture of it";
    Words named = read;
    named.insert(named.end(), {"--sheet", "Knovn"});
    expectRefused(named, 2, "sheet-unknown", "Known");
    const std::string broken = studio_.write("broken.txt", "CGATS.17\nnothing\n");
    Words file = read;
    file.insert(file.end(), {"--sheet", broken});
    expectRefused(file, 3, "sheet-not-recognised", "broken.txt");
    expectRefused({"device", "learn", "F", blank, blank, "--paper", "P"}, 3, "markers-missing");
}

}  // namespace
}  // namespace greywright::acceptance

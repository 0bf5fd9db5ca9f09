#include <algorithm>
#include <chrono>
#include <cmath>
#include <csignal>
#include <fstream>
#include <thread>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <lcms2.h>

#include "core/files.h"
#include "core/numbers.h"
#include "picture/read_back.h"
#include "picture/write.h"
#include "sheet/sheet.h"
#include "simulate/rgb_printer.h"
#include "stage.h"

// Where no setting helps: a curve or a table from measured sheets, and pictures through it.
namespace greywright::acceptance {
namespace {

using simulate::RgbCodes;
using simulate::RgbPrinter;

/// A studio with a printer that takes RGB and has no tint control, and its sheets.
class Lab : public ::testing::Test {
  protected:
    Lab() {
        const Answer answer = studio_.ask({"condition", "add", "Chalk", "--printer", "Alder", "--inks",
                                           "four", "--paper", "Chalk Rag", "--mode", "colour"});
        EXPECT_EQ(answer.code, 0) << answer.err;
    }

    /// Makes a sheet and hands back its definition.
    sheet::Sheet sheetOf(const Words& design, const std::string& name) {
        Words words{"sheet"};
        words.insert(words.end(), design.begin(), design.end());
        words.insert(words.end(), {"--out", (studio_.path(name + ".tif")).string()});
        const Answer answer = studio_.ask(words);
        EXPECT_EQ(answer.code, 0) << answer.err;
        return sheet::sheetFromCgats(readWholeFile(studio_.path(name + ".sheet.txt")).value()).value();
    }

    /// What a picture of a sheet sends in the middle of each of its patches.
    std::vector<RgbCodes> codesIn(const std::string& file, const sheet::Sheet& sheet) const {
        constexpr double kPixelsPerMm = 360 / 25.4;
        std::vector<RgbCodes> codes(sheet.patches.size());
        std::size_t channels = 0;
        std::vector<std::pair<std::size_t, std::size_t>> at;
        for (const sheet::Patch& patch : sheet.patches) {
            at.emplace_back(static_cast<std::size_t>((patch.at.x + patch.at.width / 2) * kPixelsPerMm),
                            static_cast<std::size_t>((patch.at.y + patch.at.height / 2) * kPixelsPerMm));
        }
        std::size_t width = 0;
        const auto facts = picture::readback::readTiff(
            studio_.path(file), [&](std::size_t row, std::span<const std::uint16_t> samples) {
                if (row == 0) {
                    width = static_cast<std::size_t>(std::lround(sheet.page.widthMm * kPixelsPerMm));
                    channels = samples.size() / width;
                }
                for (std::size_t i = 0; i < at.size(); ++i) {
                    if (at[i].second != row) continue;
                    for (std::size_t k = 0; k < 3; ++k)
                        codes[i][k] = samples[at[i].first * channels + std::min(k, channels - 1)];
                }
            });
        EXPECT_EQ(facts.bits, 16);
        return codes;
    }

    /// What an instrument writes of patches sent these codes: spectra alone, in the order of measuring.
    static std::string measured(const RgbPrinter& printer, const std::vector<RgbCodes>& codes) {
        std::string out = "NAME";
        for (std::size_t i = 0; i < simulate::kInstrumentGrid.count; ++i)
            out += fmt::format(",SPECTRAL_NM{}", textFromNumber(simulate::kInstrumentGrid.atNm(i)));
        int row = 0;
        for (const RgbCodes& sent : codes) {
            out += fmt::format("\np{}", ++row);
            for (const double share : printer.reflectance(sent)) out += "," + textFromNumber(share);
        }
        return out + "\n";
    }

    Answer read(const std::string& text, const std::string& sheet, const Words& more = {}) {
        Words words{"read", studio_.write(studio_.freshName(".csv"), text), "--condition", "Chalk", "--sheet",
                    sheet};
        words.insert(words.end(), more.begin(), more.end());
        return studio_.ask(words);
    }

    /// Puts the ramp sheet through a correction, prints it, measures it and reads it.
    void printThrough(const RgbPrinter& printer, const sheet::Sheet& ramp, int correction) {
        const std::string name = fmt::format("through-{}.tif", correction);
        const Answer prepared =
            studio_.ask({"prepare", studio_.path("ramp.tif").string(), "--condition", "Chalk", "--correction",
                         std::to_string(correction), "--out", studio_.path(name).string()});
        ASSERT_EQ(prepared.code, 0) << prepared.err;
        const Answer taken =
            read(measured(printer, codesIn(name, ramp)), "ramp", {"--through", std::to_string(correction)});
        ASSERT_EQ(taken.code, 0) << taken.err;
    }

    Answer ask(const Words& command, const Words& more = {}) {
        Words words = command;
        words.insert(words.end(), {"--condition", "Chalk"});
        words.insert(words.end(), more.begin(), more.end());
        return studio_.ask(words);
    }

    /// A grey gradient of 16 bits, one pixel for each step.
    std::string gradient(const std::string& name, std::size_t width = 1024) const {
        const picture::PixelFile file{.width = width,
                                      .height = 8,
                                      .profile = picture::profileOf(picture::Encoding::greyGamma22).value()};
        EXPECT_TRUE(
            picture::writePixels(studio_.path(name), file, [&](std::size_t, std::span<std::uint16_t> row) {
                for (std::size_t i = 0; i < row.size(); ++i)
                    row[i] = static_cast<std::uint16_t>(65535 * i / (width - 1));
            }));
        return studio_.path(name).string();
    }

    /// An uneven ramp and its curve: correction 1.
    void curveForChalk() {
        const sheet::Sheet ramp = sheetOf({"ramp", "ramp", "--tones", "41"}, "ramp");
        const RgbPrinter printer(simulate::Medium::pigment, 3);
        ASSERT_EQ(read(measured(printer, codesIn("ramp.tif", ramp)), "ramp").code, 0);
        ASSERT_EQ(ask({"curve"}).code, 0);
    }

    Studio studio_;
};

TEST_F(Lab, ACurveMakesTheRampEvenAndThenSaysSo) {
    const RgbPrinter printer(simulate::Medium::pigment, 3);
    const sheet::Sheet ramp = sheetOf({"ramp", "ramp", "--tones", "41"}, "ramp");
    ASSERT_EQ(read(measured(printer, codesIn("ramp.tif", ramp)), "ramp").code, 0);
    const Json before = ask({"judge"}, {"--viewers", "0"}).json();
    ASSERT_FALSE(before["tone"]["even"].get<bool>()) << "nothing to mend";

    const Answer first = ask({"curve"});
    ASSERT_EQ(first.code, 0) << first.err;
    const Json made = first.json();
    EXPECT_EQ(made["correction"], 1);
    EXPECT_EQ(made["kind"], "curve");
    double last = -1;
    for (const Json& point : made["curve"]) {
        EXPECT_GT(point["send_percent"].get<double>(), last);
        last = point["send_percent"];
        EXPECT_LE(point["low_percent"].get<double>(), last);
        EXPECT_GE(point["high_percent"].get<double>(), last);
    }
    EXPECT_EQ(made["curve"][0]["send_percent"], 0);
    EXPECT_EQ(last, 100);
    printThrough(printer, ramp, 1);

    const Json after = ask({"judge"}, {"--viewers", "0"}).json();
    EXPECT_TRUE(after["tone"]["even"].get<bool>()) << after["tone"];
    EXPECT_LT(after["tone"]["worst_departure_L"], 1.0);
    // Nothing that anybody could see is left: the answer is no, and nothing is made.
    const Answer again = ask({"curve"});
    EXPECT_EQ(again.code, 1) << again.err;
    EXPECT_EQ(again.errorCode(), "already-even");
    EXPECT_EQ(ask({"correction", "list"}).json()["corrections"].size(), 1U);

    const Json forced = ask({"curve"}, {"--force"}).json();
    EXPECT_EQ(forced["correction"], 2);
    EXPECT_EQ(forced["replaces"], 1);
    ASSERT_EQ(forced["rounds"].size(), 2U) << "each round is shown";
    EXPECT_GT(std::abs(forced["rounds"][0]["worst_departure_L"].get<double>()), 3.0);
    EXPECT_LT(std::abs(forced["rounds"][1]["worst_departure_L"].get<double>()), 1.0);
    EXPECT_EQ(forced["rounds"][1]["through"], 1);
}

TEST_F(Lab, ATableMeetsToneAndTintTogether) {
    const RgbPrinter printer(simulate::Medium::dye, 5);
    const sheet::Sheet near = sheetOf({"neutral", "near", "--tones", "21"}, "near");
    const Answer taken = read(measured(printer, codesIn("near.tif", near)), "near");
    ASSERT_EQ(taken.code, 0) << taken.err;
    EXPECT_EQ(taken.json()["patches"], 21) << "its greys are a ramp";
    EXPECT_EQ(taken.json()["colours"], near.patches.size() - 21);
    const double before = ask({"judge"}, {"--viewers", "0"}).json()["lights"][0]["delta_e00"];
    ASSERT_GT(before, 3);

    const Answer first = ask({"neutralise"});
    ASSERT_EQ(first.code, 0) << first.err;
    EXPECT_EQ(first.json()["kind"], "table");
    const sheet::Sheet ramp = sheetOf({"ramp", "ramp", "--tones", "41"}, "ramp");
    printThrough(printer, ramp, 1);
    const Answer second = ask({"neutralise"});
    ASSERT_EQ(second.code, 0) << second.err;
    const Json json = second.json();
    EXPECT_EQ(json["replaces"], 1);
    EXPECT_EQ(json["trials"], (Json{1, 2}));
    printThrough(printer, ramp, 2);

    // By the program's own judgement of the prints: what is not beyond the inks is met.
    std::vector<double> beyond;
    for (const Json& tone : json["tones"]) {
        if (tone["remains"] != "nothing") beyond.push_back(tone["tone_percent"]);
    }
    const Json after = ask({"judge"}, {"--viewers", "0"}).json();
    for (const Json& patch : after["patches"]) {
        const double tone = patch["tone_percent"];
        const bool isNamed =
            std::ranges::any_of(beyond, [&](double named) { return std::abs(named - tone) < 100.0 / 64; });
        if (tone < 5 || isNamed) continue;
        EXPECT_LT(patch["delta_e00"].get<double>(), 0.8) << tone;
        // Even from paper to the printer's own black, which the table may leave for a more neutral one.
        const double paperL = json["tones"].front()["aim"]["L"], blackL = json["tones"].back()["aim"]["L"];
        EXPECT_NEAR(patch["L"].get<double>(), paperL + (blackL - paperL) * tone / 100, 0.6) << tone;
    }
}

TEST_F(Lab, ATableCanSuitALightAndATone) {
    const RgbPrinter printer(simulate::Medium::dye, 5);
    const sheet::Sheet near = sheetOf({"neutral", "near", "--tones", "21"}, "near");
    ASSERT_EQ(read(measured(printer, codesIn("near.tif", near)), "near").code, 0);
    const Json daylight = ask({"neutralise"}).json();
    const Answer warm = ask({"neutralise"}, {"--light", "living-room"});
    ASSERT_EQ(warm.code, 0) << warm.err;
    const Json lamp = warm.json();
    double moved = 0;
    for (std::size_t i = 0; i < 65; ++i) {
        for (std::size_t k = 0; k < 3; ++k)
            moved = std::max(moved, std::abs(lamp["tones"][i]["codes"][k].get<double>() -
                                             daylight["tones"][i]["codes"][k].get<double>()));
    }
    EXPECT_GT(moved, 300) << "three dyes look otherwise under a lamp";
    EXPECT_LT(lamp["tones"][32]["delta_e00_under"]["living-room"], 0.5);
    ASSERT_EQ(lamp["notice"].size(), 1U);
    EXPECT_EQ(lamp["notice"][0]["light"], "living-room");
    // In daylight the lamp's table is worse than daylight's own.
    const Json both = ask({"neutralise"}, {"--light", "living-room=1000", "--light", "D50"}).json();
    EXPECT_GT(both["notice"][1]["beside"]["share"].get<double>(),
              daylight["notice"][0]["beside"]["share"].get<double>() + 0.2);

    const Json toned = ask({"neutralise"}, {"--tint", "6,70"}).json();
    EXPECT_NEAR(
        toned["tones"][32]["aim"]["b"].get<double>() - daylight["tones"][32]["aim"]["b"].get<double>(),
        6 * std::sin(70 * M_PI / 180), 0.01);
    EXPECT_GT(toned["toned"]["beside"]["share"], 0.9);
    EXPECT_LT(toned["toned"]["overdone"]["share"], 0.5);
    const Answer loud = ask({"neutralise"}, {"--tint", "25,60"});
    ASSERT_EQ(loud.code, 0) << loud.err;
    EXPECT_GT(loud.json()["toned"]["overdone"]["share"], 0.5);
    EXPECT_THAT(loud.err, ::testing::HasSubstr("overdone"));
}

TEST_F(Lab, WhatCannotBeCorrectedIsRefusedInWords) {
    EXPECT_EQ(ask({"curve"}).errorCode(), "no-whole-ramp");
    EXPECT_EQ(ask({"neutralise"}).errorCode(), "no-near-neutral-sheet");
    EXPECT_EQ(ask({"steer"}).errorCode(), "no-tint-control");
    const auto readTones = [&](const std::string& rows) {
        const Answer answer = studio_.ask(
            {"read", studio_.write(studio_.freshName(".csv"), rows), "--condition", "Chalk", "--force"});
        EXPECT_EQ(answer.code, 0) << answer.err;
        return answer.json()["trial"].get<int>();
    };
    const auto curveOf = [&](int trial) { return ask({"curve"}, {"--trial", std::to_string(trial)}); };
    const int four = readTones("K,LAB_L,LAB_A,LAB_B\n0,95,0,0\n30,70,0,0\n70,35,0,0\n100,12,0,0\n");
    EXPECT_EQ(curveOf(four).errorCode(), "too-few-tones");
    EXPECT_EQ(curveOf(four).code, 3);
    std::string rows = "K,LAB_L,LAB_A,LAB_B\n", short_rows = rows, turned = rows;
    for (int tone = 0; tone <= 100; tone += 5) {
        const double L = 95 - 80 * std::pow(tone / 100.0, 1.4);
        const std::string row = fmt::format("{},{:.3f},0,0\n", tone, L);
        if (tone <= 90) short_rows += row;
        turned += tone == 50 ? fmt::format("50,{:.3f},0,0\n", L + 5) : row;
        rows += row;
    }
    EXPECT_EQ(curveOf(readTones(short_rows)).errorCode(), "no-black");
    const Answer refused = curveOf(readTones(turned));
    EXPECT_EQ(refused.errorCode(), "not-monotone") << refused.err;
    EXPECT_THAT(refused.err, ::testing::HasSubstr("50 %"));
    EXPECT_EQ(curveOf(99).errorCode(), "trial-unknown");
    EXPECT_EQ(ask({"curve"}, {"--tone-aim", "steep"}).errorCode(), "tone-aim-text-invalid");
    EXPECT_EQ(ask({"curve"}, {"--tone-aim", "gamma=9"}).errorCode(), "gamma-out-of-range");
    EXPECT_EQ(ask({"neutralise"}, {"--tint", "brown"}).errorCode(), "tint-text-invalid");
    EXPECT_TRUE(ask({"correction", "list"}).json()["corrections"].empty());
    EXPECT_EQ(ask({"correction", "show"}, {"--correction", "1"}).errorCode(), "correction-unknown");
}

TEST_F(Lab, ANearNeutralSheetIsNotReadAsAnother) {
    const sheet::Sheet near = sheetOf({"neutral", "near", "--tones", "21"}, "near");
    const RgbPrinter printer(simulate::Medium::dye, 5);
    std::vector<RgbCodes> codes = codesIn("near.tif", near);
    codes.pop_back();
    EXPECT_EQ(read(measured(printer, codes), "near").errorCode(), "wrong-number-of-patches");
    curveForChalk();
    EXPECT_EQ(read(measured(printer, codesIn("near.tif", near)), "near", {"--through", "1"}).errorCode(),
              "colours-through-correction");
}

TEST_F(Lab, ColoursAreExportedAndReadBack) {
    const RgbPrinter printer(simulate::Medium::dye, 5);
    const sheet::Sheet near = sheetOf({"neutral", "near", "--tones", "21"}, "near");
    ASSERT_EQ(read(measured(printer, codesIn("near.tif", near)), "near").code, 0);
    const std::string file = studio_.path("out.txt").string();
    ASSERT_EQ(ask({"export"}, {"--trial", "1", "--out", file}).code, 0);
    const Answer again = studio_.ask({"read", file, "--condition", "Chalk", "--force"});
    ASSERT_EQ(again.code, 0) << again.err;
    EXPECT_EQ(again.json()["patches"], 21);
    EXPECT_EQ(again.json()["colours"], near.patches.size() - 21);
}

TEST_F(Lab, PicturesAreMadeReadyAndKeptInTheBook) {
    curveForChalk();
    const std::string one = gradient("dusk.tif"), other = gradient("dawn.tif");
    std::ofstream(studio_.path("broken.tif")) << "II*";
    const std::string original = readWholeFile(one).value();
    const Answer answer = ask({"prepare", one, studio_.path("broken.tif").string(), other},
                              {"--out", studio_.path("ready").string(), "--width-mm", "100"});
    EXPECT_EQ(answer.code, 3) << "one of them is no picture";
    const Json json = answer.json();
    ASSERT_EQ(json["pictures"].size(), 3U);
    EXPECT_EQ(json["pictures"][0]["error"], nullptr);
    EXPECT_NE(json["pictures"][1]["error"], nullptr);
    EXPECT_EQ(json["pictures"][2]["error"], nullptr) << "one bad picture stops no other";
    EXPECT_NEAR(json["pictures"][0]["pixels_per_inch"].get<double>(), 1024 / 100.0 * 25.4, 1e-6);
    EXPECT_EQ(readWholeFile(one).value(), original);
    EXPECT_FALSE(std::filesystem::exists(studio_.path("ready/broken-to-print.tif")));

    std::vector<std::uint16_t> row;
    (void)picture::readback::readTiff(studio_.path("ready/dusk-to-print.tif"),
                                      [&](std::size_t y, std::span<const std::uint16_t> samples) {
                                          if (y == 0) row.assign(samples.begin(), samples.end());
                                      });
    ASSERT_EQ(row.size(), 1024U);
    EXPECT_EQ(row.front(), 0);
    EXPECT_EQ(row.back(), 65535);
    EXPECT_TRUE(std::ranges::is_sorted(row));

    const Json kept = ask({"correction", "list"}).json()["corrections"][0];
    ASSERT_EQ(kept["made"].size(), 2U);
    EXPECT_EQ(kept["made"][0]["source"], one);
    EXPECT_EQ(kept["made"][1]["source"], other);
    EXPECT_EQ(kept["trials"], Json{1});
    EXPECT_EQ(kept["fingerprint"].get<std::string>().size(), 64U);

    const Answer twice = ask({"prepare", one}, {"--out", studio_.path("ready").string()});
    EXPECT_EQ(twice.code, 2);
    EXPECT_THAT(twice.err, ::testing::HasSubstr("--force"));
    EXPECT_EQ(ask({"prepare", one}, {"--out", studio_.path("ready").string(), "--force"}).code, 0);
    EXPECT_EQ(ask({"prepare", one}, {"--out", one, "--force"}).code, 2) << "never over the input";
    const Answer again = ask({"prepare", studio_.path("ready/dusk-to-print.tif").string()},
                             {"--out", studio_.path("again.tif").string()});
    EXPECT_EQ(again.code, 0);
    EXPECT_EQ(again.json()["pictures"][0]["notes"].back()["code"], "corrected-twice");
    EXPECT_EQ(readWholeFile(one).value(), original);
    EXPECT_EQ(ask({"prepare", one}, {"--correction", "9", "--out", "x.tif"}).errorCode(),
              "correction-unknown");
    EXPECT_EQ(ask({"prepare", one}, {"--bits", "12", "--out", "x.tif"}).errorCode(), "bits-invalid");
    EXPECT_EQ(ask({"prepare", one}).errorCode(), "output-missing");
}

TEST_F(Lab, AnInterruptLeavesNothingHalfWritten) {
    curveForChalk();
    // A picture of many rows takes long enough to be interrupted.
    const picture::PixelFile file{.width = 12000, .height = 8000};
    ASSERT_TRUE(
        picture::writePixels(studio_.path("long.tif"), file, [](std::size_t y, std::span<std::uint16_t> row) {
            for (std::size_t i = 0; i < row.size(); ++i) row[i] = static_cast<std::uint16_t>(7 * i + 13 * y);
        }));
    const std::filesystem::path out = studio_.path("stopped");
    Going going({"--book", studio_.book().string(), "prepare", studio_.path("long.tif").string(),
                 "--condition", "Chalk", "--out", out.string()});
    // Once there is something half written.
    for (int i = 0; i < 1000 && (!std::filesystem::exists(out) || std::filesystem::is_empty(out)); ++i)
        std::this_thread::sleep_for(std::chrono::milliseconds(10));
    going.signal(SIGINT);
    const Answer answer = going.finish();
    EXPECT_NE(answer.code, 0) << answer.err;
    EXPECT_NE(answer.code, -1) << "it ends in an orderly way";
    EXPECT_TRUE(std::filesystem::is_empty(out)) << "neither the file nor what was half written";
    EXPECT_THAT(answer.err, ::testing::HasSubstr("stopped"));
}

TEST_F(Lab, ACheckTellsWhatWouldSufferAndWritesNothing) {
    curveForChalk();
    const std::string picture = gradient("dusk.tif");
    const Json found = ask({"prepare", picture}, {"--check"}).json()["pictures"][0];
    EXPECT_TRUE(found["predicted"].get<bool>()) << "nothing was printed through the curve yet";
    // This printer's greys have a cast that no curve mends.
    ASSERT_FALSE(found["tinted"].empty());
    double area = 0;
    for (const Json& part : found["tinted"]) area += part["share"].get<double>();
    EXPECT_GT(area, 0.3);
    EXPECT_LT(area, 1.0);
    EXPECT_FALSE(found["good"].get<bool>());
    EXPECT_EQ(ask({"prepare", picture}, {"--check"}).code, 0);
    const Answer both = ask({"prepare", studio_.path("none.tif").string(), picture}, {"--check"});
    EXPECT_EQ(both.code, 3);
    EXPECT_EQ(both.json()["pictures"].size(), 1U) << "one bad picture stops no other";
    EXPECT_EQ(both.json()["errors"][0]["code"], "picture-not-found");
    EXPECT_EQ(ask({"prepare", picture}, {"--check", "--strict"}).code, 1);
    const Json shadows = found["blocked_shadows"];
    if (!shadows.is_null()) {
        EXPECT_NEAR(shadows["share"].get<double>(),
                    (shadows["to_percent"].get<double>() - shadows["from_percent"].get<double>()) / 100,
                    0.003)
            << "every tone of a gradient has the same area";
    }
}

TEST_F(Lab, AProofShowsTheTintToScaleOrMagnified) {
    curveForChalk();
    const std::string picture = gradient("dusk.tif");
    const auto castAt = [&](const Words& more) {
        const std::filesystem::path file = studio_.path("proof.png");
        Words words{"--proof", file.string(), "--force"};
        words.insert(words.end(), more.begin(), more.end());
        const Answer answer = ask({"prepare", picture}, words);
        EXPECT_EQ(answer.code, 0) << answer.err;
        double most = 0;
        (void)picture::readback::readPng(file, [&](std::size_t row, std::span<const std::uint16_t> samples) {
            if (row != 0) return;
            for (std::size_t x = 0; 3 * x < samples.size(); ++x) {
                const auto [low, high] =
                    std::minmax({samples[3 * x], samples[3 * x + 1], samples[3 * x + 2]});
                most = std::max(most, double(high) - low);
            }
        });
        return most;
    };
    const double plain = castAt({});
    EXPECT_GT(plain, 5);
    EXPECT_GT(castAt({"--magnify", "3"}), 1.8 * plain);
    (void)castAt({"--light", "living-room"});
    EXPECT_EQ(ask({"prepare", picture}, {"--proof", studio_.path("p.tif").string()}).errorCode(),
              "file-ending");
    EXPECT_EQ(
        ask({"prepare", picture}, {"--proof", studio_.path("q.png").string(), "--magnify", "99"}).errorCode(),
        "magnify-out-of-range");
}

TEST_F(Lab, ProfilesAreWrittenForWhatWasMeasured) {
    const RgbPrinter printer(simulate::Medium::dye, 5);
    EXPECT_EQ(ask({"profile"}, {"--out", studio_.path("x.icc").string()}).errorCode(), "no-whole-ramp");
    const sheet::Sheet near = sheetOf({"neutral", "near", "--tones", "21"}, "near");
    ASSERT_EQ(read(measured(printer, codesIn("near.tif", near)), "near").code, 0);
    EXPECT_EQ(ask({"profile"}, {"--kind", "rgb", "--out", studio_.path("x.icc").string()}).errorCode(),
              "profile-needs-a-table");
    ASSERT_EQ(ask({"neutralise"}).code, 0);
    const Json ramp = ask({"judge"}, {"--viewers", "0"}).json()["patches"];
    for (const char* version : {"2", "4"}) {
        const std::filesystem::path grey = studio_.path(fmt::format("grey-{}.icc", version));
        const Answer answer = ask({"profile"}, {"--icc", version, "--out", grey.string()});
        ASSERT_EQ(answer.code, 0) << answer.err;
        // Read by lcms2 itself: the paper relative to D50 and every measured tone, absolute.
        const std::string bytes = readWholeFile(grey).value();
        EXPECT_EQ(bytes.substr(36, 4), "acsp");
        EXPECT_EQ(bytes[8], version[0] - '0');
        EXPECT_EQ(bytes.substr(12, 8), "prtrGRAY");
        const cmsHPROFILE profile = cmsOpenProfileFromMem(bytes.data(), cmsUInt32Number(bytes.size()));
        ASSERT_NE(profile, nullptr);
        const cmsHPROFILE lab = cmsCreateLab4Profile(nullptr);
        const cmsHTRANSFORM transform =
            cmsCreateTransform(profile, TYPE_GRAY_DBL, lab, TYPE_Lab_DBL, INTENT_ABSOLUTE_COLORIMETRIC, 0);
        ASSERT_NE(transform, nullptr);
        for (const Json& patch : ramp) {
            const double code = 1 - patch["tone_percent"].get<double>() / 100;
            cmsCIELab seen;
            cmsDoTransform(transform, &code, &seen, 1);
            // The readings have no noise; a smoothed ramp may still lie a little beside them.
            EXPECT_NEAR(seen.L, patch["L"].get<double>(), 0.25) << code;
            EXPECT_NEAR(seen.a, patch["a"].get<double>(), 0.1) << code;
            EXPECT_NEAR(seen.b, patch["b"].get<double>(), 0.1) << code;
        }
        cmsDeleteTransform(transform);
        cmsCloseProfile(lab);
        cmsCloseProfile(profile);
        for (const char* kind : {"rgb", "link"}) {
            const Answer made =
                ask({"profile"}, {"--kind", kind, "--icc", version, "--out",
                                  studio_.path(fmt::format("{}-{}.icc", kind, version)).string()});
            EXPECT_EQ(made.code, 0) << made.err;
        }
    }
    EXPECT_EQ(ask({"profile"}, {"--out", studio_.path("grey-2.icc").string()}).errorCode(), "output-exists");
    EXPECT_EQ(ask({"profile"}, {"--icc", "3", "--out", "y.icc"}).errorCode(), "icc-version-unknown");
    EXPECT_EQ(ask({"profile"}, {"--kind", "cmyk", "--out", "y.icc"}).errorCode(), "profile-kind-unknown");
    EXPECT_EQ(ask({"profile"}, {"--correction", "1", "--out", "y.icc"}).errorCode(), "profile-of-a-table");
    EXPECT_EQ(ask({"correction", "list"}).json()["corrections"][0]["made"].size(), 4U);
}

/// A condition with a tint control, and a steered print of it.
class Steered : public Lab {
  protected:
    Steered() { studio_.enter("Fen"); }

    std::string rampText(double power, double tint = 0) const {
        std::string rows = "K,LAB_L,LAB_A,LAB_B\n";
        for (int tone = 0; tone <= 100; tone += 5) {
            const double L = 95 - 80 * std::pow(tone / 100.0, power);
            rows += fmt::format("{},{:.3f},{:.3f},0\n", tone, L, tint * std::sin(M_PI * tone / 100));
        }
        return rows;
    }

    Json readAt(const std::string& text, const Words& more) {
        Words words{"read", studio_.write(studio_.freshName(".csv"), text), "--condition", "Fen", "--force"};
        words.insert(words.end(), more.begin(), more.end());
        const Answer answer = studio_.ask(words);
        EXPECT_EQ(answer.code, 0) << answer.err;
        return answer.json();
    }

    Answer fen(const Words& command, const Words& more = {}) {
        Words words = command;
        words.insert(words.end(), {"--condition", "Fen"});
        words.insert(words.end(), more.begin(), more.end());
        return studio_.ask(words);
    }
};

TEST_F(Steered, APrintThroughACorrectionIsTakenAsPrintedAsItsBase) {
    readAt(rampText(1.5), {"--setting", "across=14,up=28", "--choice", "tone=dark"});
    ASSERT_EQ(fen({"curve"}).code, 0);
    const Json read = readAt(rampText(1.02), {"--through", "1"});
    EXPECT_EQ(read["setting"], (Json{{"across", 14}, {"up", 28}}));
    const Json trials = fen({"trial", "list"}).json()["trials"];
    EXPECT_EQ(trials[1]["choices"], (Json{{"tone", "dark"}}));
    EXPECT_EQ(trials[1]["through"], 1);
    EXPECT_EQ(fen({"judge"}, {"--viewers", "0"}).json()["through"], 1);
    const Answer both =
        fen({"read", studio_.write("b.csv", rampText(1.1))}, {"--to-trial", "1", "--through", "1"});
    EXPECT_EQ(both.errorCode(), "through-and-trial");
    const Answer unknown = fen({"read", studio_.write("u.csv", rampText(1.1))}, {"--through", "7"});
    EXPECT_EQ(unknown.errorCode(), "correction-unknown");
}

TEST_F(Steered, ACorrectedPrintTellsNothingOfTheDriver) {
    readAt(rampText(1.5, 4), {"--setting", "across=0,up=0"});
    readAt(rampText(1.5, 2), {"--setting", "across=10,up=0"});
    const Json before = fen({"steer"}).json();
    ASSERT_EQ(fen({"curve"}).code, 0);
    readAt(rampText(1.0, 9), {"--through", "1", "--choice", "tone=light"});
    const Answer after = fen({"steer"});
    EXPECT_EQ(after.json()["setting"], before["setting"]);
    EXPECT_EQ(after.json()["predicted"], before["predicted"]);
    // Nor is it held against the driver's other choices.
    EXPECT_FALSE(fen({"judge"}, {"--viewers", "0"}).json().contains("choices"));
}

TEST_F(Steered, AWithdrawnTrialIsNoBasis) {
    readAt(rampText(1.5), {"--setting", "across=0,up=0"});
    readAt(rampText(1.3), {"--setting", "across=0,up=0"});
    ASSERT_EQ(fen({"trial", "withdraw"}, {"--trial", "2", "--reason", "dust"}).code, 0);
    EXPECT_EQ(fen({"curve"}, {"--trial", "2"}).errorCode(), "trial-withdrawn");
    const Json made = fen({"curve"}).json();
    EXPECT_EQ(made["trials"], Json{1});
    // What was made already goes on, with a word.
    ASSERT_EQ(fen({"trial", "withdraw"}, {"--trial", "1", "--reason", "the wrong paper"}).code, 0);
    const Answer used = fen({"prepare", gradient("v.tif")}, {"--out", studio_.path("v2.tif").string()});
    EXPECT_EQ(used.code, 0);
    EXPECT_THAT(used.err, ::testing::HasSubstr("the wrong paper"));
}

TEST_F(Steered, WhatIsInUseIsNeverWrittenOver) {
    readAt(rampText(1.5), {"--setting", "across=0,up=0"});
    const std::string book = studio_.bookBytes(), bookFile = studio_.book().string();
    EXPECT_EQ(fen({"curve"}, {"--out", bookFile}).errorCode(), "output-is-input");
    EXPECT_EQ(fen({"report"}, {"--out", bookFile}).errorCode(), "output-is-input");
    EXPECT_EQ(fen({"profile"}, {"--out", bookFile, "--force"}).errorCode(), "output-is-input");
    EXPECT_EQ(studio_.bookBytes(), book) << "neither the file nor a correction in it";
    // A place that cannot be written: nothing is kept either.
    EXPECT_EQ(fen({"curve"}, {"--out", studio_.path("nowhere/c.txt").string()}).code, 4);
    EXPECT_TRUE(fen({"correction", "list"}).json()["corrections"].empty());
    EXPECT_EQ(fen({"curve"}, {"--out", "/dev/full"}).code, 2) << "a device is there already";
    EXPECT_EQ(fen({"report"}, {"--out", "/dev/full"}).code, 4) << "and no ordinary file";

    ASSERT_EQ(fen({"curve"}).code, 0);
    const std::string one = gradient("a.tif"), other = gradient("a-to-print.tif");
    const std::string before = readWholeFile(other).value();
    const Answer both = fen({"prepare", one, other}, {"--out", studio_.folder().string(), "--force"});
    EXPECT_EQ(both.errorCode(), "output-is-input");
    EXPECT_EQ(readWholeFile(other).value(), before);
    EXPECT_EQ(fen({"prepare", one}, {"--out", "x.tif", "--width-mm", "nan"}).errorCode(), "size-invalid");
    EXPECT_EQ(fen({"curve"}, {"--repeatability", "0"}).errorCode(), "repeatability-invalid");
}

TEST_F(Steered, AWithdrawnCorrectionIsOutOfUse) {
    readAt(rampText(1.5), {"--setting", "across=0,up=0"});
    ASSERT_EQ(fen({"curve"}).code, 0);
    ASSERT_EQ(fen({"curve"}, {"--tone-aim", "gamma=2.2", "--force"}).code, 0);
    const auto used = [&] {
        return fen({"prepare", gradient("w.tif")}, {"--check"})
            .json()["pictures"][0]["correction"]
            .get<int>();
    };
    EXPECT_EQ(used(), 2);
    ASSERT_EQ(fen({"correction", "withdraw"}, {"--correction", "2", "--reason", "a try"}).code, 0);
    EXPECT_EQ(used(), 1);
    const Answer named = fen({"prepare", gradient("w.tif")}, {"--check", "--correction", "2"});
    EXPECT_EQ(named.errorCode(), "correction-withdrawn");
    EXPECT_EQ(fen({"correction", "list"}).json()["corrections"][1]["withdrawn_because"], "a try");
}

TEST_F(Steered, AnEvenNeutralRampHasNothingToLookAt) {
    readAt(rampText(1.0), {"--setting", "across=0,up=0"});
    const Json found = fen({"prepare", gradient("g.tif")}, {"--check", "--strict"}).json()["pictures"][0];
    EXPECT_TRUE(found["good"].get<bool>()) << found;
    EXPECT_EQ(found["blocked_shadows"], nullptr) << "no more than any print loses";
    // Shadows that run together are told: by hand, tones of 90 % and more at L* 15.
    std::string rows = "K,LAB_L,LAB_A,LAB_B\n";
    for (int tone = 0; tone <= 100; tone += 5)
        rows += fmt::format("{},{:.3f},0,0\n", tone, tone >= 90 ? 15 - 0.01 * tone : 95 - tone * 80 / 90.0);
    readAt(rows, {"--setting", "across=0,up=0"});
    const Json blocked = fen({"prepare", gradient("h.tif")}, {"--check"}).json()["pictures"][0];
    EXPECT_NEAR(blocked["blocked_shadows"]["from_percent"].get<double>(), 89, 1.0);
    EXPECT_FALSE(blocked["good"].get<bool>());
}

TEST_F(Lab, ATonedTableIsCheckedAgainstItsOwnTone) {
    const RgbPrinter printer(simulate::Medium::dye, 5);
    const sheet::Sheet near = sheetOf({"neutral", "near", "--tones", "21"}, "near");
    ASSERT_EQ(read(measured(printer, codesIn("near.tif", near)), "near").code, 0);
    ASSERT_EQ(ask({"neutralise"}, {"--tint", "6,70"}).code, 0);
    const Json found = ask({"prepare", gradient("g.tif")}, {"--check"}).json()["pictures"][0];
    EXPECT_LT(found["worst_tint_delta_e00"].get<double>(), 1.5) << "6 would be there against a neutral aim";
    double area = 0;
    for (const Json& part : found["tinted"]) area += part["share"].get<double>();
    EXPECT_LT(area, 0.1);
    // So is a print through it.
    const sheet::Sheet ramp = sheetOf({"ramp", "ramp", "--tones", "41"}, "ramp");
    printThrough(printer, ramp, 1);
    const Json judged = ask({"judge"}, {"--viewers", "0"}).json();
    EXPECT_LT(judged["lights"][0]["delta_e00"], 1.5);
    EXPECT_THAT(judged["notes"].dump(), ::testing::HasSubstr("toned by"));
    // A curve made later is not taken for the table.
    ASSERT_EQ(ask({"curve"}, {"--trial", "1", "--force"}).code, 0);
    const Json link = ask({"profile"}, {"--kind", "link", "--out", studio_.path("l.icc").string()}).json();
    EXPECT_EQ(link["correction"], 1);
}

}  // namespace
}  // namespace greywright::acceptance

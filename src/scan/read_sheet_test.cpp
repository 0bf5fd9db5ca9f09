#include <array>
#include <cmath>
#include <functional>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "core/random.h"
#include "scan/round_trip.h"
#include "sheet/render.h"
#include "testing/near.h"
#include "testing/temporary_folder.h"

namespace greywright::scan {
namespace {

using simulate::Camera;
using simulate::Light;
using simulate::Shot;
using testing::succeeded;

const sheet::Sheet& ours() {
    static const sheet::Sheet kSheet = round_trip::someSheet();
    return kSheet;
}
const sheet::Sheet& another() {
    static const sheet::Sheet kSheet = round_trip::someSheet("ANOTHER", 31);
    return kSheet;
}
const simulate::Print& print() {
    static const simulate::Print kPrint = round_trip::printed(ours());
    return kPrint;
}

/// Straight from above at 5.9 pixels a mm.
Camera scanner() {
    return {
        .width = 900, .height = 1280, .fill = 0.98, .blurPx = 0.4, .readNoise = 0.002, .table = {0, 0, 0.01}};
}
Camera camera() {
    return {.width = 1000,
            .height = 1200,
            .turnDegrees = 10,
            .tiltDegrees = 20,
            .tiltDirectionDegrees = 40,
            .blurPx = 0.6,
            .readNoise = 0.004};
}

const Shot& plainScan() {
    static const Shot kShot = round_trip::scanned(print(), scanner());
    return kShot;
}

Result<SheetReading> readOurs(const picture::Reduced& picture, const Options& options = {}) {
    return readSheet(picture, std::span(&ours(), 1), options);
}

std::string codeOf(const Result<SheetReading>& reading) {
    return reading ? "none" : reading.error().code;
}

picture::Reduced cropped(const picture::Reduced& in, std::size_t left, std::size_t top, std::size_t width,
                         std::size_t height) {
    picture::Reduced out = in;
    out.width = out.fileWidth = width;
    out.height = out.fileHeight = height;
    out.codes.clear();
    for (std::size_t row = top; row < top + height; ++row) {
        const auto from = in.codes.begin() + std::ptrdiff_t(3 * (row * in.width + left));
        out.codes.insert(out.codes.end(), from, from + std::ptrdiff_t(3 * width));
    }
    return out;
}

picture::Reduced beside(const picture::Reduced& one, const picture::Reduced& other) {
    picture::Reduced out = one;
    out.width = out.fileWidth = one.width + other.width;
    out.codes.clear();
    for (std::size_t row = 0; row < one.height; ++row) {
        for (const picture::Reduced* from : {&one, &other}) {
            const auto begin = from->codes.begin() + std::ptrdiff_t(3 * row * from->width);
            out.codes.insert(out.codes.end(), begin, begin + std::ptrdiff_t(3 * from->width));
        }
    }
    return out;
}

bool hasNote(const Result<SheetReading>& reading, const std::string& code) {
    return reading &&
           std::ranges::any_of(reading->notes, [&](const Note& note) { return note.code == code; });
}

double worstTint(const SheetReading& reading) {
    double worst = 0;
    for (const PatchColour& patch : reading.patches) {
        const auto designed = std::ranges::find(ours().patches, patch.label, &sheet::Patch::label);
        const colour::Lab truth = round_trip::truthOf(designed->tonePercent);
        worst = std::max(worst, std::hypot(patch.lab.a - truth.a, patch.lab.b - truth.b));
    }
    return worst;
}

TEST(ReadSheet, AScanSaysWhatThePrintIs) {
    const Shot& shot = plainScan();
    const auto reading = readOurs(shot.picture);
    ASSERT_TRUE(succeeded(reading));
    EXPECT_EQ(reading->code, ours().code);
    EXPECT_EQ(reading->page, 1);
    EXPECT_FALSE(reading->isPhotograph);
    EXPECT_EQ(reading->white, White::picture);
    EXPECT_EQ(reading->patches.size(), 21U);
    EXPECT_TRUE(reading->leftOut.empty());
    // A tenth or two are left for 8 bits in the shadows.
    EXPECT_LT(worstTint(*reading), 0.5);
    EXPECT_NEAR(reading->paper.L, 95, 0.2);
    EXPECT_LT(reading->unevennessStops, 0.02);
    EXPECT_LT(reading->placementMm, 0.1);
    EXPECT_EQ(reading->sharedError, 3);
    for (const PatchColour& patch : reading->patches) {
        EXPECT_GT(patch.standardError, 0);
        EXPECT_LT(patch.standardError, 0.5);
    }
}

TEST(ReadSheet, ARedderPrintReadsRedder) {
    const auto redder = [](double tone) {
        Light light = simulate::inkOnPaper(tone);
        if (tone > 0) light[0] *= 1.05;
        return light;
    };
    const auto as = readOurs(round_trip::scanned(print(), scanner()).picture);
    const auto changed =
        readOurs(round_trip::scanned(simulate::printOf(ours(), 1, 6, redder), scanner()).picture);
    ASSERT_TRUE(succeeded(as));
    ASSERT_TRUE(succeeded(changed));
    ASSERT_EQ(as->patches.size(), changed->patches.size());
    for (std::size_t i = 0; i < as->patches.size(); ++i) {
        const auto designed = std::ranges::find(ours().patches, as->patches[i].label, &sheet::Patch::label);
        if (designed->tonePercent > 0) {
            EXPECT_GT(changed->patches[i].lab.a, as->patches[i].lab.a + 0.5);
        }
    }
}

TEST(ReadSheet, ACardTellsWhereNeutralIs) {
    Camera warm = camera();
    warm.gain = {0.9, 0.75, 0.5};
    const Light card{0.45, 0.45, 0.45};
    const Shot shot = simulate::take(round_trip::printed(ours(), &card), warm);
    const auto with = readOurs(shot.picture, {.hasCard = true});
    ASSERT_TRUE(succeeded(with));
    EXPECT_TRUE(with->isPhotograph);
    EXPECT_EQ(with->white, White::card);
    EXPECT_EQ(with->sharedError, 3);
    EXPECT_LT(worstTint(*with), 0.7);
    ASSERT_TRUE(with->card);
    // The same card marked by hand, and its colour told: a card that is bluish makes everything bluer.
    const std::array<PointPx, 4>& at = *with->card;
    const RectPx rect{std::max(at[0].x, at[3].x) + 3, std::max(at[0].y, at[1].y) + 3,
                      std::min(at[1].x, at[2].x) - std::max(at[0].x, at[3].x) - 6,
                      std::min(at[2].y, at[3].y) - std::max(at[0].y, at[1].y) - 6};
    const auto marked = readOurs(shot.picture, {.card = rect});
    ASSERT_TRUE(succeeded(marked));
    EXPECT_LT(worstTint(*marked), 0.7);
    const auto bluish = readOurs(shot.picture, {.hasCard = true, .cardLab = colour::Lab{72, 0, -4}});
    ASSERT_TRUE(succeeded(bluish));
    EXPECT_LT(bluish->paper.b, with->paper.b - 2);
    EXPECT_EQ(bluish->sharedError, 2.5);
    // Without it the picture's own white stands, which is far off here.
    const auto without = readOurs(shot.picture);
    ASSERT_TRUE(succeeded(without));
    EXPECT_EQ(without->white, White::picture);
    EXPECT_EQ(without->sharedError, 9);
    EXPECT_GT(worstTint(*without), 5);
    EXPECT_NEAR(without->paper.L, 95, 1e-6);
    EXPECT_TRUE(
        std::ranges::any_of(without->notes, [](const Note& n) { return n.code == "white-not-known"; }));
}

TEST(ReadSheet, AKnownPaperIsTakenForIt) {
    Camera warm = camera();
    warm.gain = {0.9, 0.75, 0.5};
    const auto reading = readOurs(simulate::take(print(), warm).picture, {.paper = round_trip::truthOf(0)});
    ASSERT_TRUE(succeeded(reading));
    EXPECT_EQ(reading->white, White::paper);
    EXPECT_NEAR(reading->paper.b, round_trip::truthOf(0).b, 1e-6);
    EXPECT_LT(worstTint(*reading), 0.7);
}

TEST(ReadSheet, CoveredPatchesAreLeftOut) {
    Camera covered = scanner();
    const sheet::Patch& whole = ours().patches[7];
    const sheet::Patch& half = ours().patches[12];
    const Light skin{0.45, 0.27, 0.19};
    covered.things.push_back(
        {whole.at.x + whole.at.width / 2, whole.at.y + whole.at.height / 2, 14, 14, skin});
    covered.things.push_back({half.at.x, half.at.y + half.at.height / 2, half.at.width * 0.4, 20, skin});
    const auto reading = readOurs(round_trip::scanned(print(), covered).picture);
    ASSERT_TRUE(succeeded(reading));
    for (const sheet::Patch* patch : {&whole, &half}) {
        const auto left = std::ranges::find(reading->leftOut, patch->label, &LeftOut::label);
        ASSERT_NE(left, reading->leftOut.end()) << patch->label;
        EXPECT_FALSE(left->why.empty());
    }
    EXPECT_LT(worstTint(*reading), 0.6);
    EXPECT_LT(reading->bare.size(), readOurs(plainScan().picture)->bare.size());
}

TEST(ReadSheet, RefusesWhatIsNoSheetOrNotOneSheet) {
    Camera table = scanner();
    table.things.push_back({105, 148, 300, 300, {0.5, 0.45, 0.4}});
    EXPECT_EQ(codeOf(readOurs(simulate::take(print(), table).picture)), "markers-missing");

    const Shot& shot = plainScan();
    const auto unknown = readSheet(shot.picture, std::span(&another(), 1), {});
    ASSERT_EQ(codeOf(unknown), "sheet-unknown");
    EXPECT_NE(unknown.error().what.find(ours().code), std::string::npos) << unknown.error().what;
    EXPECT_EQ(codeOf(readSheet(shot.picture, {}, {})), "sheet-unknown");

    const std::array<sheet::Sheet, 2> both{ours(), another()};
    const Shot other = round_trip::scanned(round_trip::printed(another()), scanner());
    const auto two = readSheet(beside(shot.picture, other.picture), both, {});
    ASSERT_EQ(codeOf(two), "two-sheets");
    EXPECT_NE(two.error().what.find(another().code), std::string::npos) << two.error().what;
    EXPECT_EQ(codeOf(readOurs(beside(shot.picture, shot.picture))), "two-sheets");

    picture::Reduced mirrored = shot.picture;
    for (std::size_t row = 0; row < mirrored.height; ++row) {
        for (std::size_t column = 0; column < mirrored.width; ++column) {
            for (std::size_t c = 0; c < 3; ++c) {
                mirrored.codes[3 * (row * mirrored.width + column) + c] =
                    shot.picture.codes[3 * (row * mirrored.width + mirrored.width - 1 - column) + c];
            }
        }
    }
    EXPECT_EQ(codeOf(readOurs(mirrored)), "sheet-mirrored");
}

TEST(ReadSheet, SaysWhatOfTheSheetIsMissing) {
    const Shot& shot = plainScan();
    const auto corner = readOurs(cropped(shot.picture, 0, 0, 280, 350));
    ASSERT_EQ(codeOf(corner), "sheet-incomplete");
    EXPECT_NE(corner.error().what.find("markers"), std::string::npos);
    const auto half = readOurs(cropped(shot.picture, 0, 0, 900, 730));
    ASSERT_EQ(codeOf(half), "sheet-incomplete");
    EXPECT_NE(half.error().what.find("patches lie outside"), std::string::npos) << half.error().what;
}

TEST(ReadSheet, RefusesPlacesThatAreNotCertain) {
    sheet::Sheet bent = ours();  // a definition whose markers lie elsewhere than on the print
    for (std::size_t i = 0; i < bent.markers.size(); ++i) {
        bent.markers[i].at.x += 6 * std::sin(5.0 * double(i));
        bent.markers[i].at.y += 6 * std::cos(7.0 * double(i));
    }
    const Shot& shot = plainScan();
    EXPECT_EQ(codeOf(readSheet(shot.picture, std::span(&bent, 1), {})), "placement-uncertain");
}

/// The picture with a marker taken from its place and put down elsewhere, as on paper that is torn or folded.
void move(picture::Reduced& picture, const Shot& shot, const sheet::RectMm& at, int right, int down) {
    const auto from = shot.pxFromMm(at.x - 1, at.y - 1);
    const auto to = shot.pxFromMm(at.x + at.width + 1, at.y + at.height + 1);
    const picture::Reduced before = picture;
    for (int y = int(from[1]); y < int(to[1]); ++y) {
        for (int x = int(from[0]); x < int(to[0]); ++x) {
            const bool isInside = x + right >= 0 && y + down >= 0 && x + right < int(picture.width) &&
                                  y + down < int(picture.height);
            if (!isInside) continue;
            for (int c = 0; c < 3; ++c) {
                picture.codes[std::size_t(3 * ((y + down) * int(picture.width) + x + right) + c)] =
                    before.codes[std::size_t(3 * (y * int(picture.width) + x) + c)];
            }
        }
    }
}

TEST(ReadSheet, RefusesASheetWhoseMarkersWereMoved) {
    const Shot& shot = plainScan();
    const std::vector<sheet::Marker>& markers = ours().markers;
    const auto withMoved = [&](const std::vector<std::size_t>& which, int right, int down) {
        picture::Reduced picture = shot.picture;
        for (const std::size_t i : which) move(picture, shot, markers[i].at, right, down);
        return readOurs(picture);
    };
    // Corners are 0 to 3 clockwise from the upper left one, then sides: top, right, bottom, left.
    const std::vector<std::vector<std::size_t>> columns{{1, 5}, {5, 2}, {1, 2}, {0, 7},
                                                        {7, 3}, {0, 3}, {4, 6}};
    for (const auto& two : columns) {
        for (const auto& [right, down] : {std::pair{25, 0}, {-25, 0}, {0, 25}, {0, -25}}) {
            const auto reading = withMoved(two, right, down);
            EXPECT_EQ(codeOf(reading), "placement-uncertain")
                << two[0] << " and " << two[1] << " by " << right << " " << down
                << (reading ? " residual " + std::to_string(reading->placementMm) : "");
        }
    }
    const auto one = withMoved({5}, 0, 25);
    ASSERT_TRUE(succeeded(one));
    EXPECT_TRUE(hasNote(one, "marker-moved"));
    EXPECT_FALSE(hasNote(readOurs(shot.picture), "marker-moved"));
}

TEST(ReadSheet, RefusesPicturesWithoutColour) {
    picture::Reduced picture = round_trip::scanned(print(), scanner()).picture;
    for (std::size_t i = 0; i < picture.codes.size(); i += 3) {
        picture.codes[i] = picture.codes[i + 2] = picture.codes[i + 1];
    }
    EXPECT_EQ(codeOf(readOurs(picture)), "scan-corrected");
    picture::Reduced one = picture;
    one.channels = 1;
    one.codes.resize(one.width * one.height);
    EXPECT_EQ(codeOf(readOurs(one)), "picture-grey");
}

/// The codes between `low` and `high` stretched over everything.
std::function<Light(const Light&)> stretch(double low, double high) {
    return [=](const Light& in) {
        Light out{};
        for (std::size_t c = 0; c < 3; ++c) out[c] = std::clamp((in[c] - low) / (high - low), 0.0, 1.0);
        return out;
    };
}

TEST(ReadSheet, NoticesAScannersOwnCorrection) {
    const auto with = [](const std::function<Light(const Light&)>& meddle) {
        Camera corrected = scanner();
        corrected.readNoise = 0.001;
        corrected.meddle = meddle;
        return readOurs(round_trip::scanned(print(), corrected).picture);
    };
    const auto isTold = [](const Result<SheetReading>& reading) {
        return std::ranges::any_of(reading->notes,
                                   [](const Note& note) { return note.code == "ramp-end-cut"; });
    };
    const auto dark = with(stretch(0.25, 1.0));
    ASSERT_TRUE(succeeded(dark));
    EXPECT_TRUE(isTold(dark));
    EXPECT_EQ(codeOf(with(stretch(0.0, 0.80))), "paper-clipped");
    // Both ends, the light one below the end of the codes.
    const auto both = [](const Light& in) {
        Light out = stretch(0.25, 0.85)(in);
        for (double& code : out) code = std::min(code, 0.985);
        return out;
    };
    EXPECT_EQ(codeOf(with(both)), "scan-corrected");
    ASSERT_TRUE(succeeded(readOurs(plainScan().picture)));
    EXPECT_FALSE(isTold(readOurs(plainScan().picture)));
}

/// Levels of each channel by itself: the codes' ends, a share of the pixels beyond each, go to where is said.
picture::Reduced withOwnLevels(const picture::Reduced& in, double share, double low, double high) {
    picture::Reduced out = in;
    for (std::size_t c = 0; c < 3; ++c) {
        std::vector<double> codes;
        for (std::size_t i = c; i < in.codes.size(); i += 3) codes.push_back(in.codes[i] / 257.0);
        const double darkest = round_trip::quantile(codes, share);
        const double lightest = round_trip::quantile(codes, 1 - share);
        for (std::size_t i = c; i < in.codes.size(); i += 3) {
            const double to = low + (in.codes[i] / 257.0 - darkest) / (lightest - darkest) * (high - low);
            out.codes[i] = static_cast<std::uint16_t>(257 * std::lround(std::clamp(to, 0.0, 255.0)));
        }
    }
    return out;
}

TEST(ReadSheet, SaysThatChannelsWereStretchedOneByOne) {
    Camera one = scanner();
    one.table = {0.9, 0.85, 0.8};  // a lid that is darker than paper and lighter than ink
    const picture::Reduced plain = round_trip::scanned(print(), one).picture;
    EXPECT_FALSE(hasNote(readOurs(plain), "scan-stretched"));
    EXPECT_FALSE(hasNote(readOurs(plainScan().picture), "scan-stretched"));
    for (const double share : {0.0001, 0.001, 0.005}) {
        for (const auto& [low, high] : {std::pair{0.0, 255.0}, {4.0, 250.0}, {12.0, 243.0}}) {
            const auto reading = readOurs(withOwnLevels(plain, share, low, high));
            const bool isRefused = codeOf(reading) == "scan-corrected" || codeOf(reading) == "paper-clipped";
            EXPECT_TRUE(isRefused || hasNote(reading, "scan-stretched") || hasNote(reading, "ramp-end-cut"))
                << share << " " << low << " " << high;
        }
    }
}

TEST(ReadSheet, SaysThatAGreyPictureWasColoured) {
    const picture::Reduced plain = plainScan().picture;
    picture::Reduced sepia = plain;
    for (std::size_t i = 0; i < sepia.codes.size(); i += 3) {
        // Source: luma of ITU-R BT.601; the colour is a free choice.
        const double grey =
            (0.299 * plain.codes[i] + 0.587 * plain.codes[i + 1] + 0.114 * plain.codes[i + 2]) / 257;
        for (std::size_t c = 0; c < 3; ++c) {
            const double code = 255 * std::pow(grey / 255, std::array{0.8, 1.0, 1.25}[c]);
            sepia.codes[i + c] = static_cast<std::uint16_t>(257 * std::lround(code));
        }
    }
    const auto reading = readOurs(sepia);
    ASSERT_TRUE(succeeded(reading));
    EXPECT_TRUE(hasNote(reading, "picture-coloured-grey"));
    EXPECT_TRUE(hasNote(reading, "ramp-strongly-tinted"));
    EXPECT_FALSE(hasNote(readOurs(plain), "picture-coloured-grey"));
    // With noise of its own in each channel it cannot be told from a strongly tinted print, which is said.
    Random random(7);
    for (std::uint16_t& code : sepia.codes)
        code = static_cast<std::uint16_t>(std::clamp(code + 257 * 2 * random.normal(), 0.0, 65535.0));
    const auto noisy = readOurs(sepia);
    ASSERT_TRUE(succeeded(noisy));
    EXPECT_TRUE(hasNote(noisy, "ramp-strongly-tinted"));
    EXPECT_FALSE(hasNote(readOurs(plain), "ramp-strongly-tinted"));
}

TEST(ReadSheet, SaysThatAPictureIsGreyUnderItsNoise) {
    picture::Reduced grey = plainScan().picture;
    Random random(8);
    for (std::size_t i = 0; i < grey.codes.size(); i += 3) {
        const double code = grey.codes[i + 1];
        for (std::size_t c = 0; c < 3; ++c) {
            grey.codes[i + c] =
                static_cast<std::uint16_t>(std::clamp(code + 257 * 2 * random.normal(), 0.0, 65535.0));
        }
    }
    const auto reading = readOurs(grey);
    ASSERT_TRUE(succeeded(reading));
    EXPECT_TRUE(hasNote(reading, "picture-without-tint"));
    EXPECT_FALSE(hasNote(readOurs(plainScan().picture), "picture-without-tint"));
}

TEST(ReadSheet, RefusesPatchesThatCannotBeRead) {
    sheet::Sheet without = ours();
    std::erase_if(without.patches, [](const sheet::Patch& patch) { return patch.tonePercent <= 0; });
    const auto black = [](double tone) { return tone > 0 ? Light{0, 0, 0} : simulate::inkOnPaper(0); };
    const Shot shot = simulate::take(simulate::printOf(ours(), 1, 6, black), scanner());
    EXPECT_EQ(codeOf(readSheet(shot.picture, std::span(&without, 1), {})), "patches-unreadable");
}

TEST(ReadSheet, RefusesCardsThatAreNone) {
    const auto withCard = [](const Light& card, const Options& options, double exposure = 0.9) {
        Camera one = camera();
        one.gain = {exposure, exposure, exposure};
        return codeOf(readOurs(simulate::take(round_trip::printed(ours(), &card), one).picture, options));
    };
    const Light grey{0.45, 0.45, 0.45};
    const Options inPlace{.hasCard = true};
    EXPECT_EQ(withCard(grey, inPlace), "none");
    EXPECT_EQ(withCard({1.2, 1.2, 1.2}, inPlace), "card-clipped");
    EXPECT_EQ(withCard({0.5, 0.4, 0.3}, inPlace), "card-not-neutral");
    // The paper sends back 0.87 of the light: 33 and 48 times as much.
    EXPECT_EQ(withCard({0.026, 0.026, 0.026}, inPlace), "none");
    EXPECT_EQ(withCard({0.018, 0.018, 0.018}, inPlace), "card-too-dark");
    EXPECT_EQ(withCard(grey, {.hasCard = true, .cardLab = colour::Lab{60, 3, 8}}), "card-not-neutral");
    EXPECT_EQ(withCard(grey, {.card = RectPx{-5, 0, 50, 50}}), "card-outside");
    EXPECT_EQ(withCard(grey, {.card = RectPx{400, 400, 8, 8}}), "card-too-small");

    Camera shadow = camera();
    const sheet::RectMm& at = *ours().card;
    shadow.things.push_back({at.x, at.y + at.height / 2, at.width * 0.5, 30, {0.2, 0.2, 0.2}});
    EXPECT_EQ(codeOf(readOurs(simulate::take(round_trip::printed(ours(), &grey), shadow).picture, inPlace)),
              "card-uneven");

    sheet::Sheet without = ours();
    without.card.reset();
    EXPECT_EQ(codeOf(readSheet(simulate::take(print(), camera()).picture, std::span(&without, 1), inPlace)),
              "card-place-missing");
}

TEST(ReadSheet, RefusesPaperThatCannotBeRead) {
    Camera dark = scanner();
    dark.gain = {0, 0, 0.00001};
    EXPECT_EQ(codeOf(readOurs(simulate::take(print(), dark).picture)), "markers-missing");
    sheet::Sheet without = ours();
    without.bare.clear();
    const Shot& shot = plainScan();
    EXPECT_EQ(codeOf(readSheet(shot.picture, std::span(&without, 1), {})), "paper-unreadable");
}

TEST(ReadSheet, LeavesOutWhereLightIsNotKnown) {
    sheet::Sheet without = ours();
    const double middle = without.page.heightMm / 2;
    std::erase_if(without.bare,
                  [&](const sheet::BarePaper& bare) { return bare.at.y + bare.at.height > middle; });
    const auto reading = readSheet(plainScan().picture, std::span(&without, 1), {});
    ASSERT_TRUE(succeeded(reading));
    const auto far =
        std::ranges::max_element(ours().patches, {}, [](const sheet::Patch& patch) { return patch.at.y; });
    const auto left = std::ranges::find(reading->leftOut, far->label, &LeftOut::label);
    ASSERT_NE(left, reading->leftOut.end());
    EXPECT_EQ(left->why, "no bare paper near it can be read");
}

TEST(ReadSheet, ReadsASheetAsItIsWritten) {
    // The file that is sent to the printer, darkened a little and tinted, as if it had been printed and
    // scanned.
    const testing::TemporaryFolder folder;
    ASSERT_TRUE(succeeded(sheet::writePage(ours(), 1, folder / "page.tif",
                                           {.dotsPerInch = 150, .encoding = picture::Encoding::srgb})));
    auto picture = picture::readReduced(folder / "page.tif");
    ASSERT_TRUE(succeeded(picture));
    for (std::size_t i = 0; i < picture->codes.size(); ++i) {
        picture->codes[i] = static_cast<std::uint16_t>(500 + picture->codes[i] * (i % 3 == 0 ? 0.97 : 0.96));
    }
    const auto reading = readOurs(*picture);
    ASSERT_TRUE(succeeded(reading));
    EXPECT_FALSE(reading->isPhotograph);
    EXPECT_EQ(reading->code, ours().code);
    EXPECT_TRUE(reading->leftOut.empty());
    ASSERT_EQ(reading->patches.size(), 21U);
    std::vector<std::array<double, 2>> seen;
    for (const PatchColour& patch : reading->patches) {
        const auto designed = std::ranges::find(ours().patches, patch.label, &sheet::Patch::label);
        seen.push_back({designed->tonePercent, patch.lab.L});
    }
    std::ranges::sort(seen);
    for (std::size_t i = 1; i < seen.size(); ++i) EXPECT_LT(seen[i][1], seen[i - 1][1] - 2);
    EXPECT_GT(reading->paper.a, 0.3);
}

TEST(ReadSheet, StopsWhenAsked) {
    const Shot& shot = plainScan();
    EXPECT_EQ(codeOf(readOurs(shot.picture, {.goOn = [](double) { return false; }})), "stopped");
    EXPECT_EQ(codeOf(readOurs(shot.picture, {.goOn = [](double share) { return share < 0.5; }})), "stopped");
}

TEST(Outlined, ShowsEveryKindOfAreaInAnotherWay) {
    Camera covered = scanner();
    const sheet::Patch& hidden = ours().patches[7];
    covered.things.push_back(
        {hidden.at.x + hidden.at.width / 2, hidden.at.y + hidden.at.height / 2, 14, 14, {0.45, 0.27, 0.19}});
    const Shot shot = round_trip::scanned(print(), covered);
    const auto reading = readOurs(shot.picture);
    ASSERT_TRUE(succeeded(reading));
    const testing::TemporaryFolder folder;
    ASSERT_TRUE(succeeded(writeOutlined(outlined(shot.picture, *reading), folder / "seen.png")));
    const auto back = picture::readReduced(folder / "seen.png");
    ASSERT_TRUE(succeeded(back));
    ASSERT_EQ(back->width, shot.picture.width);
    ASSERT_EQ(back->height, shot.picture.height);
    const auto changedAlong = [&](const PointPx& from, const PointPx& to) {
        int changed = 0;
        for (int i = 0; i < 100; ++i) {
            const auto x = static_cast<std::size_t>(from.x + (to.x - from.x) * i / 100);
            const auto y = static_cast<std::size_t>(from.y + (to.y - from.y) * i / 100);
            const std::size_t at = 3 * (y * back->width + x);
            changed += back->codes[at] / 257 != shot.picture.codes[at] / 257 ? 1 : 0;
        }
        return changed;
    };
    const auto& read = reading->patches.front().corners;
    EXPECT_GT(changedAlong(read[0], read[1]), 95);
    EXPECT_LT(changedAlong(read[0], read[2]), 30);  // not crossed out
    const auto& out = reading->leftOut.front().corners;
    EXPECT_GT(changedAlong(out[0], out[2]), 40);
    EXPECT_LT(changedAlong(out[0], out[1]), 90);
}

}  // namespace
}  // namespace greywright::scan

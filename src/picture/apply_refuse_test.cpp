#include <cstdint>
#include <cstring>
#include <stdexcept>
#include <string>
#include <vector>

#include <gtest/gtest.h>
#include <vips/vips.h>

#include "core/contract.h"
#include "core/files.h"
#include "picture/make_files.h"
#include "picture/prepare_fixture.h"

namespace greywright::picture {
namespace {

using namespace preparing;
using made::writePng;
using made::writeTiff;

TEST_F(Prepare, WhatWasDecidedIsNoted) {
    const auto notes = [&](const fs::path& in) {
        std::vector<std::string> codes;
        const auto result = prepare(in, folder_ / "out.tif", {});
        EXPECT_TRUE(succeeded(result));
        if (result) {
            for (const Note& note : result->notes) codes.push_back(note.code);
        }
        return codes;
    };
    using Found = std::vector<std::string>;
    // Half of black on white.
    writePng(folder_ / "alpha.png", {.width = 1, .height = 1, .colourType = PNG_COLOR_TYPE_GRAY_ALPHA},
             {0, 51});
    EXPECT_EQ(notes(folder_ / "alpha.png"),
              (Found{"picture-profile-assumed", "picture-on-white", "picture-resolution-assumed"}));
    EXPECT_GT(codesOf(folder_ / "out.tif").front(), 50000);
    EXPECT_EQ(notes(file("rgb.tif", 2, Codes(12, 9), gamma22(), 3)),
              (Found{"picture-profile-left-out", "picture-profile-assumed"}));
    writeTiff(folder_ / "turned.tif",
              {.width = 2,
               .height = 1,
               .more =
                   [](TIFF* tiff) {
                       TIFFSetField(tiff, TIFFTAG_ORIENTATION, ORIENTATION_RIGHTTOP);
                       TIFFSetField(tiff, TIFFTAG_RESOLUTIONUNIT, RESUNIT_INCH);
                       TIFFSetField(tiff, TIFFTAG_XRESOLUTION, 600.0);
                       TIFFSetField(tiff, TIFFTAG_YRESOLUTION, 600.0);
                   }},
              {1, 2});
    EXPECT_EQ(notes(folder_ / "turned.tif"), (Found{"picture-profile-assumed", "picture-turned-by-tag"}));
    writeTiff(folder_ / "exif.tif",
              {.width = 2,
               .height = 1,
               .more = [](TIFF* tiff) { TIFFSetField(tiff, TIFFTAG_EXIFIFD, std::uint64_t{8}); }},
              {1, 2});
    EXPECT_EQ(notes(folder_ / "exif.tif"),
              (Found{"picture-profile-assumed", "picture-resolution-assumed", "picture-exif-left-out"}));
}

// What is unusual and sound is prepared like any other.
TEST_F(Prepare, UnusualFilesArePrepared) {
    const Codes codes = busy(60, 40, 1);
    const fs::path plain = file("plain.tif", 60, codes, gamma22());
    const Codes first = prepared(plain, {});
    VipsImage* image = vips_image_new_from_file(plain.string().c_str(), nullptr);
    ASSERT_NE(image, nullptr);
    ASSERT_EQ(vips_tiffsave(image, (folder_ / "big.tif").string().c_str(), "bigtiff", TRUE, nullptr), 0);
    EXPECT_EQ(readWholeFile(folder_ / "big.tif").value()[2], '+');
    EXPECT_EQ(prepared(folder_ / "big.tif", {}), first);
    VipsImage* bytes = nullptr;
    ASSERT_EQ(vips_colourspace(image, &bytes, VIPS_INTERPRETATION_B_W, nullptr), 0);
    for (const bool progressive : {false, true}) {
        const std::string name = progressive ? "progressive.jpg" : "usual.jpg";
        ASSERT_EQ(vips_jpegsave(bytes, (folder_ / name).string().c_str(), "interlace",
                                progressive ? TRUE : FALSE, nullptr),
                  0);
        // The mark of a frame in turns. Source: ITU-T T.81, table B.1.
        const std::string jpeg = readWholeFile(folder_ / name).value();
        EXPECT_EQ(jpeg.find("\xFF\xC2") != std::string::npos, progressive);
    }
    EXPECT_EQ(prepared(folder_ / "progressive.jpg", {}), prepared(folder_ / "usual.jpg", {}));
    g_object_unref(bytes);
    g_object_unref(image);
}

// It counts as none, which is told, and the picture is what it is without one.
TEST_F(Prepare, AProfileThatCannotBeReadIsLeftOut) {
    const Codes codes = busy(60, 40, 3);
    const Codes without = prepared(file("without.tif", 60, codes, "", 3), {});
    const std::string broken = profileOf(Encoding::displayP3).value().substr(0, 200);
    for (const std::string& profile : {broken, std::string(500, 'x')}) {
        const fs::path in = folder_ / "broken.tif";
        std::vector<std::uint8_t> bytes(codes.size() * 2);
        std::memcpy(bytes.data(), codes.data(), bytes.size());
        writeTiff(in,
                  {.width = 60,
                   .height = 40,
                   .channels = 3,
                   .bits = 16,
                   .photometric = PHOTOMETRIC_RGB,
                   .more =
                       [&](TIFF* tiff) {
                           TIFFSetField(tiff, TIFFTAG_ICCPROFILE, static_cast<std::uint32_t>(profile.size()),
                                        profile.data());
                       }},
                  bytes);
        const auto result = prepare(in, folder_ / "out.tif", {});
        ASSERT_TRUE(succeeded(result));
        ASSERT_GE(result->notes.size(), 2U);
        EXPECT_EQ(result->notes[0].code, "picture-profile-left-out");
        EXPECT_EQ(result->notes[1].code, "picture-profile-assumed");
        EXPECT_EQ(codesOf(folder_ / "out.tif"), without);
    }
}

// What is wholly transparent is white, and what is not at all stays.
TEST_F(Prepare, TransparentColoursAreLaidOnWhite) {
    writePng(folder_ / "alpha.png", {.width = 3, .height = 1, .colourType = PNG_COLOR_TYPE_RGB_ALPHA},
             {80, 80, 80, 255, 0, 0, 0, 0, 0, 0, 0, 255});
    const Codes grey = prepared(file("solid.tif", 1, Codes(3, 80 * 257), "", 3), {});
    const Codes out = prepared(folder_ / "alpha.png", {});
    ASSERT_EQ(out.size(), 3U);
    EXPECT_NEAR(out[0], grey[0], 1);
    EXPECT_EQ(out[1], 65535);
    EXPECT_EQ(out[2], 0);
}

TEST_F(Prepare, TheOriginalIsNeverWrittenOver) {
    const fs::path in = file("in.tif", 20, Codes(400, 1), gamma22());
    const std::string before = *readWholeFile(in);
    fs::create_hard_link(in, folder_ / "hard.tif");
    fs::create_symlink(in, folder_ / "soft.tif");
    for (const fs::path& out : {in, folder_ / "hard.tif", folder_ / "soft.tif",
                                folder_ / ("../" + folder_.path().filename().string()) / "in.tif"}) {
        const Error error = errorOf(in, out);
        EXPECT_EQ(error.code, "picture-over-itself") << out;
        EXPECT_EQ(error.kind, ErrorKind::wrongUse);
    }
    EXPECT_EQ(*readWholeFile(in), before);
    ASSERT_TRUE(succeeded(prepare(in, folder_ / "out.tif", {})));
    EXPECT_EQ(*readWholeFile(in), before);
}

TEST_F(Prepare, WhatCannotBePreparedIsRefused) {
    const fs::path out = folder_ / "out.tif";
    EXPECT_EQ(errorOf(folder_ / "missing.tif", out).code, "picture-not-found");
    ASSERT_TRUE(succeeded(writeWholeFile(folder_ / "empty.tif", "")));
    EXPECT_EQ(errorOf(folder_ / "empty.tif", out).code, "picture-empty");
    ASSERT_TRUE(succeeded(writeWholeFile(folder_ / "text.tif", "no picture at all")));
    EXPECT_EQ(errorOf(folder_ / "text.tif", out).code, "picture-not-recognised");
    writeTiff(folder_ / "inks.tif",
              {.width = 2, .height = 1, .channels = 4, .photometric = PHOTOMETRIC_SEPARATED},
              {0, 0, 0, 255, 1, 2, 3, 4});
    EXPECT_EQ(errorOf(folder_ / "inks.tif", out).code, "picture-inks");
    writeTiff(folder_ / "line.tif", {.width = 16, .height = 2, .bits = 1}, {0xF0, 0x0F, 0xAA, 0x55});
    EXPECT_EQ(errorOf(folder_ / "line.tif", out).code, "picture-one-bit");
    writePng(folder_ / "table.png", {.width = 3, .height = 1, .colourType = PNG_COLOR_TYPE_PALETTE},
             {0, 1, 2});
    EXPECT_EQ(errorOf(folder_ / "table.png", out).code, "picture-palette");
    writeTiff(folder_ / "real.tif",
              {.width = 1,
               .height = 1,
               .bits = 32,
               .more = [](TIFF* tiff) { TIFFSetField(tiff, TIFFTAG_SAMPLEFORMAT, SAMPLEFORMAT_IEEEFP); }},
              {0, 0, 0, 0});
    EXPECT_EQ(errorOf(folder_ / "real.tif", out).code, "picture-not-recognised");
    for (const char* name : {"cut.tif", "cut.png"}) {
        const std::string whole = *readWholeFile(file(name, 300, busy(300, 300, 1), ""));
        ASSERT_TRUE(succeeded(writeWholeFile(folder_ / name, whole.substr(0, whole.size() * 3 / 4))));
        EXPECT_EQ(errorOf(folder_ / name, out).code, "picture-damaged") << name;
    }
    VipsImage* noise = nullptr;
    ASSERT_EQ(vips_gaussnoise(&noise, 300, 300, "mean", 128.0, "sigma", 40.0, nullptr), 0);
    for (const bool progressive : {false, true}) {
        const fs::path cut = folder_ / "cut.jpg";
        ASSERT_EQ(
            vips_jpegsave(noise, cut.string().c_str(), "interlace", progressive ? TRUE : FALSE, nullptr), 0);
        const std::string whole = *readWholeFile(cut);
        ASSERT_TRUE(succeeded(writeWholeFile(cut, whole.substr(0, whole.size() / 2))));
        EXPECT_EQ(errorOf(cut, out).code, "picture-damaged") << progressive;
    }
    g_object_unref(noise);
}

TEST_F(Prepare, WhatIsAskedForIsChecked) {
    const fs::path in = file("in.tif", 100, Codes(100 * 50, 1), gamma22());
    const fs::path out = folder_ / "out.tif";
    EXPECT_EQ(errorOf(in, out, {.channels = 3, .profile = gamma22()}).code, "profile-unusable");
    EXPECT_EQ(errorOf(in, out, {.profile = "no profile"}).code, "profile-unusable");
    EXPECT_EQ(errorOf(in, out, {.greyProfile = "no profile"}).code, "profile-unusable");
    EXPECT_EQ(errorOf(in, out, {.greyProfile = profileOf(Encoding::srgb).value()}).code, "profile-unusable");
    EXPECT_EQ(errorOf(in, out, {.widthMm = 0.1}).code, "picture-size");
    EXPECT_EQ(errorOf(in, out, {.pixelsPerInch = 20000}).code, "picture-size");
    EXPECT_EQ(errorOf(in, out, {.widthMm = 20000, .pixelsPerInch = 9000}).code, "picture-size");
    EXPECT_EQ(errorOf(in, folder_.path()).code, "write-failed");
    const Error error = errorOf(in, folder_ / "missing/out.tif");
    EXPECT_EQ(error.code, "write-failed");
    EXPECT_EQ(error.kind, ErrorKind::cannotWrite);
    EXPECT_THROW((void)prepare(in, out, {.table = Codes(10)}), ContractViolation);
}

TEST_F(Prepare, StoppedHalfWayItLeavesNothing) {
    const fs::path in = file("in.tif", 500, busy(500, 3000, 1), gamma22());
    const fs::path out = folder_ / "out.tif";
    const std::string before = *readWholeFile(in);
    ASSERT_TRUE(succeeded(writeWholeFile(out, "old")));
    double told = 0;
    Preparation how{.goOn = [&](double share) {
        EXPECT_GE(share, told);
        told = share;
        return share < 0.5;
    }};
    EXPECT_EQ(errorOf(in, out, how).code, "stopped");
    EXPECT_GE(told, 0.5);
    EXPECT_LT(told, 1);
    how.goOn = [](double) -> bool { throw std::runtime_error("no"); };
    EXPECT_THROW((void)prepare(in, out, how), std::runtime_error);
    EXPECT_EQ(*readWholeFile(out), "old");
    EXPECT_EQ(*readWholeFile(in), before);
    EXPECT_EQ(folder_.count(), 2U);
    told = 0;
    how.goOn = [&](double share) {
        told = share;
        return true;
    };
    ASSERT_TRUE(succeeded(prepare(in, out, how)));
    EXPECT_NEAR(told, 1, 0.1);
}

}  // namespace
}  // namespace greywright::picture

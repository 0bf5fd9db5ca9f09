#include "picture/lightness.h"

#include <algorithm>
#include <atomic>
#include <cstdint>
#include <memory>
#include <numeric>
#include <string>
#include <thread>
#include <utility>
#include <vector>

#include <gtest/gtest.h>
#include <vips/vips.h>

#include "core/files.h"
#include "testing/near.h"
#include "testing/temporary_folder.h"

namespace greywright::picture {
namespace {

using greywright::testing::succeeded;
using greywright::testing::TemporaryFolder;

struct Unref {
    void operator()(VipsImage* image) const { g_object_unref(image); }
};
using Image = std::unique_ptr<VipsImage, Unref>;

// Pictures made here, one stripe of the same height for each colour.
class Picture : public ::testing::Test {
  protected:
    static void SetUpTestSuite() { ASSERT_EQ(vips_init("picture_test"), 0); }

    template <typename Value>
    static Image stripes(const std::vector<std::vector<Value>>& colours, VipsInterpretation meaning,
                         int width = 30, int height = 20) {
        const int bands = static_cast<int>(colours.front().size());
        std::vector<Value> pixels;
        for (const auto& colour : colours) {
            for (int i = 0; i < width * height; ++i) {
                pixels.insert(pixels.end(), colour.begin(), colour.end());
            }
        }
        const Image made(vips_image_new_from_memory_copy(
            pixels.data(), pixels.size() * sizeof(Value), width, height * static_cast<int>(colours.size()),
            bands, sizeof(Value) == 1 ? VIPS_FORMAT_UCHAR : VIPS_FORMAT_USHORT));
        VipsImage* meant = nullptr;
        EXPECT_EQ(vips_copy(made.get(), &meant, "interpretation", meaning, nullptr), 0);
        return Image(meant);
    }

    template <typename... Options>
    std::filesystem::path saved(const Image& image, const std::string& name, Options... options) const {
        auto path = folder_ / name;
        EXPECT_EQ(vips_image_write_to_file(image.get(), path.string().c_str(), options..., nullptr), 0)
            << vips_error_buffer();
        return path;
    }

    /// Each whole L* that has a share, with the share in percent.
    static std::vector<std::pair<int, double>> met(const std::filesystem::path& path) {
        const auto shares = lightnessShares(path);
        EXPECT_TRUE(succeeded(shares));
        std::vector<std::pair<int, double>> found;
        if (!shares) return found;
        EXPECT_EQ(shares->size(), 101U);
        EXPECT_NEAR(std::accumulate(shares->begin(), shares->end(), 0.0), 1, 1e-12);
        for (std::size_t i = 0; i < shares->size(); ++i) {
            if ((*shares)[i] > 0) found.emplace_back(static_cast<int>(i), (*shares)[i] * 100);
        }
        return found;
    }
    /// The L* of a picture that has only one.
    static int only(const std::filesystem::path& path) {
        const auto found = met(path);
        EXPECT_EQ(found.size(), 1U);
        return found.empty() ? -1 : found.front().first;
    }

    static Error errorOf(const std::filesystem::path& path) {
        const auto result = lightnessShares(path);
        EXPECT_FALSE(result);
        EXPECT_STREQ(vips_error_buffer(), "") << "something was left for others to find";
        if (result) return {};
        EXPECT_EQ(result.error().kind, ErrorKind::badInput);
        EXPECT_EQ(result.error().where.path, path.string());
        EXPECT_NE(result.error().next, "");
        return result.error();
    }

    using Bytes = std::vector<std::vector<std::uint8_t>>;
    TemporaryFolder folder_;
};

// Source: sRGB 119 is L* 50, common practice; 0 and 255 by definition (IEC 61966-2-1); 46 and 192 worked out
// with NumPy from the formulas of IEC 61966-2-1 and CIE 15: 18.94 and 77.70.
TEST_F(Picture, AFlatGreyHasItsLightnessWhateverHoldsIt) {
    const std::pair<std::uint8_t, int> greys[] = {{0, 0}, {46, 19}, {119, 50}, {192, 78}, {255, 100}};
    for (const auto& [value, lightness] : greys) {
        const Image grey = stripes<std::uint8_t>({{value}}, VIPS_INTERPRETATION_B_W);
        const Image rgb = stripes<std::uint8_t>({{value, value, value}}, VIPS_INTERPRETATION_sRGB);
        const auto word = static_cast<std::uint16_t>(value * 257);
        const Image grey16 = stripes<std::uint16_t>({{word}}, VIPS_INTERPRETATION_GREY16);
        const Image rgb16 = stripes<std::uint16_t>({{word, word, word}}, VIPS_INTERPRETATION_RGB16);
        for (const Image* image : {&grey, &rgb, &grey16, &rgb16}) {
            EXPECT_EQ(only(saved(*image, "flat.png")), lightness);
            EXPECT_EQ(only(saved(*image, "flat.tif")), lightness);
        }
        EXPECT_EQ(only(saved(grey, "flat.jpg")), lightness);
        EXPECT_EQ(only(saved(rgb, "flat.jpg")), lightness);
    }
}

// Full red, green and blue. Source: sRGB with its D50 profile L* 54.29, 87.82, 29.57, worked out with NumPy
// from the Y of its D50 primaries (0.2225045, 0.7168786, 0.0606169; B. Lindbloom, from memory).
TEST_F(Picture, AColourHasTheLightnessOfItsLuminance) {
    const Image image =
        stripes<std::uint8_t>({{255, 0, 0}, {0, 255, 0}, {0, 0, 255}}, VIPS_INTERPRETATION_sRGB);
    const auto found = met(saved(image, "colours.png"));
    ASSERT_EQ(found.size(), 3U);
    EXPECT_EQ(found[0].first, 30);
    EXPECT_EQ(found[1].first, 54);
    EXPECT_EQ(found[2].first, 88);
}

TEST_F(Picture, SharesAreOfTheArea) {
    const auto found = met(saved(
        stripes<std::uint8_t>({{0}, {119}, {119}, {255}}, VIPS_INTERPRETATION_B_W, 7, 5), "stripes.png"));
    const std::vector<std::pair<int, double>> expected{{0, 25}, {50, 50}, {100, 25}};
    EXPECT_EQ(found, expected);
}

// A wider red than that of sRGB is lighter. Source: red of the Display P3 colour space, Y = 0.2412 of its D50
// profile (from memory), is L* 56.2; the profile is the one that libvips carries.
TEST_F(Picture, ItsOwnProfileCounts) {
    const Image red = stripes<std::uint8_t>({{255, 0, 0}}, VIPS_INTERPRETATION_sRGB);
    EXPECT_EQ(only(saved(red, "wide.png", "profile", "p3")), 56);
    EXPECT_EQ(only(saved(red, "wide.jpg", "profile", "p3")), 56);
    EXPECT_EQ(only(saved(red, "usual.png", "profile", "srgb")), 54);
}

TEST_F(Picture, AProfileThatDoesNotFitCountsAsNone) {
    const Image grey = stripes<std::uint8_t>({{119}}, VIPS_INTERPRETATION_B_W);
    const std::string nonsense(300, 'x');
    vips_image_set_blob_copy(grey.get(), VIPS_META_ICC_NAME, nonsense.data(), nonsense.size());
    EXPECT_EQ(only(saved(grey, "nonsense.tif")), 50);
    EXPECT_STREQ(vips_error_buffer(), "");
}

TEST_F(Picture, InksNeedAProfile) {
    const Image ink = stripes<std::uint8_t>({{0, 0, 0, 255}, {0, 0, 0, 0}}, VIPS_INTERPRETATION_CMYK);
    const auto found = met(saved(ink, "ink.tif", "profile", "cmyk"));
    ASSERT_EQ(found.size(), 2U);
    EXPECT_LT(found[0].first, 40);
    EXPECT_EQ(found[1].first, 100) << "bare paper is the picture's white";
    VipsImage* bare = nullptr;
    ASSERT_EQ(vips_copy(ink.get(), &bare, nullptr), 0);
    vips_image_remove(bare, VIPS_META_ICC_NAME);
    EXPECT_EQ(errorOf(saved(Image(bare), "bare.tif")).code, "picture-not-recognised");
}

// Half transparent black on white is sRGB 127 or 128. Source: L* 53.2 and 53.6, worked out with NumPy as
// above.
TEST_F(Picture, WhatIsTransparentLiesOnWhite) {
    const auto found =
        met(saved(stripes<std::uint8_t>({{0, 255}, {0, 0}, {255, 255}, {0, 0}}, VIPS_INTERPRETATION_B_W),
                  "transparent.png"));
    const std::vector<std::pair<int, double>> expected{{0, 25}, {100, 75}};
    EXPECT_EQ(found, expected);
    const int half =
        only(saved(stripes<std::uint8_t>({{0, 0, 0, 128}}, VIPS_INTERPRETATION_sRGB), "half.png"));
    EXPECT_TRUE(half == 53 || half == 54) << half;
    EXPECT_EQ(only(saved(stripes<std::uint16_t>({{0, 0, 0, 0}}, VIPS_INTERPRETATION_RGB16), "clear.png")),
              100);
}

TEST_F(Picture, TheNumberOfThreadsDoesNotMatter) {
    Bytes steps(256);
    for (std::size_t i = 0; i < steps.size(); ++i) steps[i] = {static_cast<std::uint8_t>(i)};
    const auto path = saved(stripes<std::uint8_t>(steps, VIPS_INTERPRETATION_B_W, 500, 7), "steps.png");
    const auto before = lightnessShares(path).value();
    vips_concurrency_set(1);
    const auto alone = lightnessShares(path).value();
    vips_concurrency_set(5);
    EXPECT_EQ(alone, before);
    EXPECT_EQ(lightnessShares(path).value(), before);
    vips_concurrency_set(0);
    // A lighter value is never darker: every L* from 0 to 100 is met.
    EXPECT_GT(*std::min_element(before.begin(), before.end()), 0);
}

TEST_F(Picture, SeveralMayBeReadAtOnce) {
    const auto good = saved(stripes<std::uint8_t>({{119}}, VIPS_INTERPRETATION_B_W, 300, 300), "good.png");
    const auto bad = folder_ / "bad.png";
    ASSERT_TRUE(succeeded(writeWholeFile(bad, readWholeFile(good).value().substr(0, 100))));
    std::atomic<int> asExpected{0};
    {
        std::vector<std::jthread> threads(4);
        for (std::jthread& thread : threads) {
            thread = std::jthread([&] {
                for (int round = 0; round < 10; ++round) {
                    const auto shares = lightnessShares(good);
                    if (shares && (*shares)[50] == 1) ++asExpected;
                    const auto damaged = lightnessShares(bad);
                    if (!damaged && damaged.error().code == "picture-damaged") ++asExpected;
                }
            });
        }
    }
    EXPECT_EQ(asExpected, 80);
}

// 144 MB of pixels, read within a small part of that.
TEST_F(Picture, IsNeverWholeInMemory) {
    VipsImage* black = nullptr;
    ASSERT_EQ(vips_black(&black, 6000, 8000, "bands", 3, nullptr), 0);
    VipsImage* meant = nullptr;
    ASSERT_EQ(vips_copy(black, &meant, "interpretation", VIPS_INTERPRETATION_sRGB, nullptr), 0);
    g_object_unref(black);
    const auto path = saved(Image(meant), "large.png", "compression", 1);
    vips_concurrency_set(2);  // every thread has rows of its own
    EXPECT_EQ(only(path), 0);
    vips_concurrency_set(0);
    RecordProperty("megabytes", static_cast<int>(vips_tracked_get_mem_highwater() >> 20));
    EXPECT_LT(vips_tracked_get_mem_highwater(), std::size_t{40} << 20);
}

TEST_F(Picture, ANameIsANameWhateverItsLetters) {
    const auto path = saved(stripes<std::uint8_t>({{119}}, VIPS_INTERPRETATION_B_W), "plain.png");
    const auto strange = folder_ / "Größe [page=3].png";
    std::filesystem::rename(path, strange);
    EXPECT_EQ(only(strange), 50);
}

TEST_F(Picture, WhatIsNoPictureIsToldApart) {
    EXPECT_EQ(errorOf(folder_ / "absent.png").code, "picture-not-found");
    EXPECT_EQ(errorOf(folder_.path()).code, "picture-unreadable");
    ASSERT_TRUE(succeeded(writeWholeFile(folder_ / "empty.png", "")));
    EXPECT_EQ(errorOf(folder_ / "empty.png").code, "picture-empty");
    // Tables that libvips would make a picture of, by name or by content.
    for (const char* name : {"text.png", "text.csv", "text.mat", "text.pgm", "text.svg"}) {
        const std::string text = name == std::string("text.pgm")   ? "P2\n2 1\n255\n0 255\n"
                                 : name == std::string("text.svg") ? "<svg width='9' height='9'></svg>"
                                                                   : "1,2,3\n4,5,6\n";
        ASSERT_TRUE(succeeded(writeWholeFile(folder_ / name, text)));
        EXPECT_EQ(errorOf(folder_ / name).code, "picture-not-recognised") << name;
    }
}

TEST_F(Picture, PixelsOfAnotherKindAreToldApart) {
    const Image grey = stripes<std::uint8_t>({{119}}, VIPS_INTERPRETATION_B_W);
    VipsImage* real = nullptr;
    ASSERT_EQ(vips_cast(grey.get(), &real, VIPS_FORMAT_FLOAT, nullptr), 0);
    EXPECT_EQ(errorOf(saved(Image(real), "float.tif")).code, "picture-not-recognised");
}

TEST_F(Picture, OneCutShortIsDamaged) {
    Bytes steps(256);
    for (std::size_t i = 0; i < steps.size(); ++i) steps[i] = {static_cast<std::uint8_t>(i * 77 % 256)};
    const Image image = stripes<std::uint8_t>(steps, VIPS_INTERPRETATION_B_W, 200, 3);
    for (const char* name : {"whole.png", "whole.jpg", "whole.tif"}) {
        const auto path = saved(image, name);
        const std::string bytes = readWholeFile(path).value();
        for (const std::size_t kept : {bytes.size() / 2, std::size_t{20}}) {
            ASSERT_TRUE(succeeded(writeWholeFile(path, bytes.substr(0, kept))));
            EXPECT_EQ(errorOf(path).code, "picture-damaged") << name << " " << kept;
        }
    }
}

}  // namespace
}  // namespace greywright::picture

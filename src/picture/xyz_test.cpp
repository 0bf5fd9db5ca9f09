#include <array>
#include <atomic>
#include <cmath>
#include <string>
#include <thread>
#include <vector>

#include <gtest/gtest.h>
#include <lcms2.h>

#include "picture/read.h"
#include "picture/write.h"
#include "testing/near.h"

namespace greywright::picture {
namespace {

using greywright::testing::allNear;
using greywright::testing::succeeded;

constexpr Triple kWhite{0.9642, 1, 0.8249};  // D50 of ICC.1

// By the formulas of the standards, in double precision.
struct Space {
    std::string name;
    Reduced picture;
    std::array<Triple, 3> xyz;  ///< of red, green and blue
    bool linear;
    double tolerance;
};

double fromSrgb(double code) {
    return code <= 0.04045 ? code / 12.92 : std::pow((code + 0.055) / 1.055, 2.4);
}

std::string bytesOf(cmsHPROFILE profile) {
    cmsUInt32Number size = 0;
    EXPECT_TRUE(cmsSaveProfileToMem(profile, nullptr, &size));
    std::string bytes(size, '\0');
    EXPECT_TRUE(cmsSaveProfileToMem(profile, bytes.data(), &size));
    cmsCloseProfile(profile);
    return bytes;
}

// Source: curve of IEC 61966-2-1, primaries of SMPTE EG 432-1.
std::string displayP3() {
    const cmsCIExyY white{0.3127, 0.3290, 1};
    const cmsCIExyYTRIPLE primaries{{0.68, 0.32, 1}, {0.265, 0.69, 1}, {0.15, 0.06, 1}};
    const double numbers[]{2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045};
    cmsToneCurve* curve = cmsBuildParametricToneCurve(nullptr, 4, numbers);
    cmsToneCurve* curves[3]{curve, curve, curve};
    cmsHPROFILE profile = cmsCreateRGBProfile(&white, &primaries, curves);
    cmsFreeToneCurve(curve);
    return bytesOf(profile);
}

// Source: curve and primaries of IEC 61966-2-1; primaries of Display P3 from SMPTE EG 432-1; both adapted
// from D65 (x 0.3127, y 0.3290) to D50 by the Bradford matrix with NumPy. ICC profiles hold numbers to
// 1/65536; the red and green of libvips' sRGB profile are 0.0002 off.
TEST(Xyz, ColoursAreWhatTheStandardsSay) {
    const std::array<Triple, 3> srgb{
        {{0.43604, 0.22248, 0.01392}, {0.38511, 0.71691, 0.09707}, {0.14305, 0.06061, 0.71391}}};
    const std::array<Triple, 3> p3{
        {{0.51512, 0.24119, -0.00105}, {0.29198, 0.69224, 0.04188}, {0.15710, 0.06657, 0.78407}}};
    const Space spaces[] = {
        {"assumed", {.source = ColourSource::assumed}, srgb, false, 5e-5},
        {"sRGB",
         {.profile = profileOf(Encoding::srgb).value(), .source = ColourSource::profile},
         srgb,
         false,
         3e-4},
        {"P3", {.profile = displayP3(), .source = ColourSource::profile}, p3, false, 5e-5},
        {"raw", {.source = ColourSource::rawMatrix}, srgb, true, 5e-5}};
    const std::vector<Triple> codes{{0, 0, 0},       {1, 1, 1},         {1, 0, 0},          {0, 1, 0},
                                    {0, 0, 1},       {0.5, 0.5, 0.5},   {0.02, 0.02, 0.02}, {0.2, 0.7, 0.4},
                                    {0.9, 0.1, 0.3}, {0.04, 0.03, 0.06}};
    for (const Space& space : spaces) {
        const auto xyz = xyzFromCodes(space.picture, codes);
        ASSERT_TRUE(succeeded(xyz)) << space.name;
        ASSERT_EQ(xyz->size(), codes.size());
        for (std::size_t i = 0; i < codes.size(); ++i) {
            Triple expected{0, 0, 0};
            for (std::size_t primary = 0; primary < 3; ++primary) {
                const double light = space.linear ? codes[i][primary] : fromSrgb(codes[i][primary]);
                for (std::size_t k = 0; k < 3; ++k) expected[k] += light * space.xyz[primary][k];
            }
            EXPECT_TRUE(allNear((*xyz)[i], expected, space.tolerance)) << space.name << " " << i;
        }
        EXPECT_TRUE(allNear((*xyz)[1], kWhite, 1e-4)) << space.name;
    }
}

// Source: the profile's own gamma, 563/256 (write_test.cpp).
TEST(Xyz, GreysFollowTheirCurve) {
    const Reduced picture{
        .channels = 1, .profile = profileOf(Encoding::greyGamma22).value(), .source = ColourSource::profile};
    for (const double code : {0.0, 0.01, 0.1, 0.5, 0.9, 1.0}) {
        const auto xyz = xyzFromCodes(picture, std::vector<Triple>{{code, code, code}});
        ASSERT_TRUE(succeeded(xyz));
        const double light = std::pow(code, 563.0 / 256);
        EXPECT_TRUE(allNear(xyz->front(), Triple{kWhite[0] * light, light, kWhite[2] * light}, 5e-5)) << code;
    }
    const auto assumed = xyzFromCodes({.channels = 1}, std::vector<Triple>{{0.5, 0.5, 0.5}});
    ASSERT_TRUE(succeeded(assumed));
    EXPECT_NEAR(assumed->front()[1], fromSrgb(0.5), 1e-5);
}

// Bands of equal light are told apart down to the darkest: nothing is rounded to 8 or 16 bits on the way.
TEST(Xyz, NothingIsRoundedOnTheWay) {
    const Reduced picture{.source = ColourSource::rawMatrix};
    double before = -1;
    for (int i = 0; i < 100; ++i) {
        const double code = i * 1e-6;
        const double light = xyzFromCodes(picture, std::vector<Triple>{{code, code, code}})->front()[1];
        EXPECT_GT(light, before);
        EXPECT_NEAR(light, code, 1e-9);
        before = light;
    }
}

// A profile that is a table from RGB to CIELAB, as those of scanners often are: L* is the green code, a* and
// b* are in proportion to red and blue.
TEST(Xyz, AProfileThatIsATableIsFollowed) {
    cmsHPROFILE profile = cmsCreateProfilePlaceholder(nullptr);
    cmsSetProfileVersion(profile, 2.1);
    cmsSetDeviceClass(profile, cmsSigInputClass);
    cmsSetColorSpace(profile, cmsSigRgbData);
    cmsSetPCS(profile, cmsSigLabData);
    cmsPipeline* pipeline = cmsPipelineAlloc(nullptr, 3, 3);
    cmsStage* table = cmsStageAllocCLut16bit(nullptr, 17, 3, 3, nullptr);
    cmsStageSampleCLut16bit(
        table,
        [](const cmsUInt16Number in[], cmsUInt16Number out[], void*) {
            const cmsCIELab lab{in[1] / 655.35, in[0] / 65535.0 * 40 - 20, in[2] / 65535.0 * 60 - 30};
            cmsFloat2LabEncodedV2(out, &lab);
            return TRUE;
        },
        nullptr, 0);
    cmsPipelineInsertStage(pipeline, cmsAT_BEGIN, table);
    ASSERT_TRUE(cmsWriteTag(profile, cmsSigAToB0Tag, pipeline));
    cmsPipelineFree(pipeline);
    cmsCIEXYZ white{0.9642, 1, 0.8249};
    ASSERT_TRUE(cmsWriteTag(profile, cmsSigMediaWhitePointTag, &white));
    const std::string bytes = bytesOf(profile);

    EXPECT_EQ(channelsOfProfile(bytes).value(), 3);
    const Reduced picture{.profile = bytes, .source = ColourSource::profile};
    for (const Triple& code : {Triple{0.5, 1, 0.5}, Triple{0.5, 0.5, 0.5}, Triple{0.9, 0.63, 0.2}}) {
        const auto xyz = xyzFromCodes(picture, std::vector<Triple>{code});
        ASSERT_TRUE(succeeded(xyz));
        // Source: CIE 15, the inverse of CIELAB.
        const double y = (code[1] * 100 + 16) / 116;
        const double x = y + (code[0] * 40 - 20) / 500;
        const double z = y - (code[2] * 60 - 30) / 200;
        const Triple expected{kWhite[0] * x * x * x, y * y * y, kWhite[2] * z * z * z};
        EXPECT_TRUE(allNear(xyz->front(), expected, 1e-4));
    }
}

TEST(Xyz, AProfileThatIsNoneIsRefused) {
    for (const std::string& profile : {std::string(), std::string(300, 'x')}) {
        const auto xyz = xyzFromCodes({.profile = profile, .source = ColourSource::profile},
                                      std::vector<Triple>{{0, 0, 0}});
        ASSERT_FALSE(xyz);
        EXPECT_EQ(xyz.error().code, "profile-unusable");
        EXPECT_NE(xyz.error().next, "");
    }
}

TEST(Xyz, SeveralMayAskAtOnce) {
    const Reduced picture{.profile = profileOf(Encoding::displayP3).value(), .source = ColourSource::profile};
    const std::vector<Triple> codes(1000, Triple{0.3, 0.6, 0.9});
    const auto expected = xyzFromCodes(picture, codes).value();
    std::atomic<int> same{0};
    {
        std::vector<std::jthread> threads(4);
        for (std::jthread& thread : threads) {
            thread = std::jthread([&] {
                for (int i = 0; i < 20; ++i) same += xyzFromCodes(picture, codes).value() == expected ? 1 : 0;
            });
        }
    }
    EXPECT_EQ(same, 80);
}

}  // namespace
}  // namespace greywright::picture

#include "screen_profile.h"

#include <cmath>
#include <cstdint>

#include <gtest/gtest.h>
#include <lcms2.h>

namespace greywright::desktop {
namespace {

/// A screen with the primaries and the white of sRGB (IEC 61966-2-1) and a plain power of 1.8.
QByteArray screenOfGamma18() {
    const cmsCIExyY white{0.3127, 0.3290, 1};
    const cmsCIExyYTRIPLE primaries{{0.64, 0.33, 1}, {0.30, 0.60, 1}, {0.15, 0.06, 1}};
    cmsToneCurve* curve = cmsBuildGamma(nullptr, 1.8);
    cmsToneCurve* const curves[] = {curve, curve, curve};
    cmsHPROFILE profile = cmsCreateRGBProfile(&white, &primaries, curves);
    cmsFreeToneCurve(curve);
    cmsUInt32Number size = 0;
    cmsSaveProfileToMem(profile, nullptr, &size);
    QByteArray bytes(static_cast<qsizetype>(size), '\0');
    cmsSaveProfileToMem(profile, bytes.data(), &size);
    cmsCloseProfile(profile);
    return bytes;
}

TEST(ScreenProfile, PatchesAreSentAsThisScreenNeedsThem) {
    const ScreenProfile screen(screenOfGamma18());
    ASSERT_TRUE(screen.isThere());
    for (const std::uint8_t code : std::initializer_list<std::uint8_t>{32, 128, 200}) {
        const double value = code / 255.0;
        const double light = value <= 0.04045 ? value / 12.92 : std::pow((value + 0.055) / 1.055, 2.4);
        const double wanted = 255 * std::pow(light, 1 / 1.8);
        const figure::Rgb shown = screen.onScreen({code, code, code});
        EXPECT_NEAR(shown.r, wanted, 1) << static_cast<int>(code);
        EXPECT_NEAR(shown.g, wanted, 1);
        EXPECT_NEAR(shown.b, wanted, 1) << "a grey stays a grey";
    }
    EXPECT_TRUE(screen.words().contains("own profile"));
}

TEST(ScreenProfile, WithoutOneItSaysSoAndChangesNothing) {
    for (const QByteArray& bytes : {QByteArray(), QByteArray("this is no profile")}) {
        const ScreenProfile screen(bytes);
        EXPECT_FALSE(screen.isThere());
        const figure::Rgb same = screen.onScreen({128, 120, 3});
        EXPECT_EQ(same.r, 128);
        EXPECT_EQ(same.g, 120);
        EXPECT_EQ(same.b, 3);
        EXPECT_TRUE(screen.words().contains("trust the figures"));
    }
}

}  // namespace
}  // namespace greywright::desktop

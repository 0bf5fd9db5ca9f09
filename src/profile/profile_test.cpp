#include "profile/profile.h"

#include <cmath>
#include <limits>
#include <random>

#include <gtest/gtest.h>
#include <lcms2.h>

#include "colour/difference.h"
#include "profile/check.h"
#include "profile/read_back.h"
#include "profile/response.h"
#include "profile/sample.h"
#include "testing/near.h"

namespace greywright::profile {
namespace {

using ::greywright::testing::allNear;
using ::greywright::testing::succeeded;

std::string codeOf(const Result<std::string>& made) {
    return made ? "made" : made.error().code;
}

class EachVersion : public ::testing::TestWithParam<Version> {
  protected:
    [[nodiscard]] static Result<std::string> grey(
        const std::vector<MeasuredTone>& response = sampleResponse()) {
        return greyProfile(response, sampleDescription(), GetParam());
    }
    [[nodiscard]] static Result<std::string> rgb() {
        return rgbProfile(sampleResponse(), sampleTable(), sampleDescription(), GetParam());
    }
    [[nodiscard]] static Result<std::string> link() {
        return deviceLink(sampleTable(), sampleDescription(), GetParam());
    }
};
INSTANTIATE_TEST_SUITE_P(Profile, EachVersion, ::testing::Values(Version::v2, Version::v4),
                         [](const auto& version) { return version.param == Version::v2 ? "v2" : "v4"; });

TEST_P(EachVersion, HoldsTheMeasuredColours) {
    const auto bytes = grey();
    ASSERT_TRUE(succeeded(bytes));
    for (const auto& [tone, lab] : sampleResponse()) {
        const std::vector<double> device{1 - tone / 100};
        const auto back = readBack(*bytes, device, Intent::absolute);
        ASSERT_TRUE(succeeded(back));
        EXPECT_LE(colour::deltaE76((*back)[0], lab), 0.01) << tone;
    }
}

// The cubic between tones against the smooth print that they were taken from.
TEST_P(EachVersion, IsTrueBetweenTheTonesToo) {
    const auto bytes = grey();
    ASSERT_TRUE(succeeded(bytes));
    for (const auto& [tone, lab] : sampleResponse(200)) {
        if (tone < 5) continue;  // the invented print rises with an upright slope there
        const std::vector<double> device{1 - tone / 100};
        EXPECT_LE(colour::deltaE76((*readBack(*bytes, device, Intent::absolute))[0], lab), 0.1) << tone;
    }
}

// Rough ramps too, of any tones: steps of lightness of one size and eight times that, tints that
// wander by up to 1 a step, several times the noise of readings.
TEST_P(EachVersion, AnyFallingRampIsHeld) {
    std::mt19937 random{314159};
    std::uniform_real_distribution<double> share(0.125, 1);
    std::uniform_real_distribution<double> tint(-1, 1);
    for (int run = 0; run < 30; ++run) {
        std::vector<MeasuredTone> response(static_cast<std::size_t>(11 + 3 * run));
        double tone = 0;
        double dark = 0;
        double a = 0;
        double b = 0;
        for (auto& point : response) {
            a += tint(random);
            b += tint(random);
            point = {.tonePercent = tone, .lab = {.L = dark, .a = a, .b = b}};
            tone += share(random);
            dark += share(random);
        }
        const double lastTone = response.back().tonePercent;
        const double lastDark = response.back().lab.L;
        for (auto& point : response) {
            point.tonePercent *= 100 / lastTone;
            point.lab.L = 97 - (77 + run / 2.0) * point.lab.L / lastDark;
        }
        response.back().tonePercent = 100;
        EXPECT_TRUE(succeeded(grey(response))) << response.size() << " tones";
    }
}

TEST_P(EachVersion, PaperIsWhiteAndLightnessAloneIsLookedAt) {
    for (const auto& bytes : {grey(), rgb()}) {
        ASSERT_TRUE(succeeded(bytes));
        const std::size_t channels = bytes->substr(16, 4) == "GRAY" ? 1 : 3;
        const std::vector<colour::Lab> colours{{100, 0, 0}, {60, 0, 0}, {60, 40, -30}, {0, 0, 0}};
        for (const Intent intent : {Intent::perceptual, Intent::relative}) {
            const auto device = deviceOf(*bytes, colours, intent);
            ASSERT_TRUE(succeeded(device));
            for (std::size_t c = 0; c < channels; ++c) {
                EXPECT_NEAR((*device)[c], 1, 1e-6);
                EXPECT_NEAR((*device)[channels + c], (*device)[2 * channels + c], 1e-4);
                // Black lies between two nodes, and the line between them ends a few codes above it.
                EXPECT_NEAR((*device)[3 * channels + c], c == 2 ? 0.03 : 0, 16.0 / 65535);
            }
        }
        const auto white = readBack(*bytes, std::vector<double>(channels, 1), Intent::relative);
        EXPECT_LE(colour::deltaE76((*white)[0], {100, 0, 0}), 0.005);
    }
}

TEST_P(EachVersion, LightnessComesBack) {
    for (const auto& bytes : {grey(), rgb()}) {
        for (const Intent intent : {Intent::perceptual, Intent::relative, Intent::absolute}) {
            for (double L = 18; L <= 96; L += 0.5) {
                const std::vector<colour::Lab> asked{{L, 0, 0}};
                const auto back = readBack(*bytes, *deviceOf(*bytes, asked, intent), intent);
                ASSERT_TRUE(succeeded(back));
                EXPECT_NEAR((*back)[0].L, L, 0.05);
            }
        }
    }
}

// Black and white of the perceptual tables are those of the format: what any other profile's are.
TEST_P(EachVersion, PerceptualBlackIsBlack) {
    for (const auto& bytes : {grey(), rgb()}) {
        const std::vector<double> black =
            bytes->substr(16, 4) == "GRAY" ? std::vector<double>{0} : std::vector<double>{0, 0, 0.03};
        EXPECT_LE(colour::deltaE76((*readBack(*bytes, black, Intent::perceptual))[0], {0, 0, 0}), 0.05);
        EXPECT_NEAR((*readBack(*bytes, black, Intent::absolute))[0].L, 15.5, 0.01);
    }
}

// What an editor does with a grey picture: black to black and white to white, never the wrong way round.
TEST_P(EachVersion, AnEditorsConversionKeepsBothEnds) {
    const auto bytes = grey();
    ASSERT_TRUE(succeeded(bytes));
    cmsHPROFILE printer = cmsOpenProfileFromMem(bytes->data(), static_cast<cmsUInt32Number>(bytes->size()));
    cmsToneCurve* gamma = cmsBuildGamma(nullptr, 2.2);
    cmsHPROFILE picture = cmsCreateGrayProfile(cmsD50_xyY(), gamma);
    for (const cmsUInt32Number intent : {0U, 1U}) {
        cmsHTRANSFORM convert = cmsCreateTransform(picture, TYPE_GRAY_16, printer, TYPE_GRAY_16, intent,
                                                   cmsFLAGS_BLACKPOINTCOMPENSATION);
        ASSERT_NE(convert, nullptr);
        int last = -1;
        for (int code = 0; code <= 65535; code += 257) {
            const auto in = static_cast<cmsUInt16Number>(code);
            cmsUInt16Number out = 0;
            cmsDoTransform(convert, &in, &out, 1);
            EXPECT_GE(out, last) << code;
            if (code == 0) {
                EXPECT_LE(out, 32);
            }
            if (code == 65535) {
                EXPECT_EQ(out, 65535);
            }
            last = out;
        }
        cmsDeleteTransform(convert);
    }
    cmsFreeToneCurve(gamma);
    cmsCloseProfile(picture);
    cmsCloseProfile(printer);
}

TEST_P(EachVersion, AnEditorGetsTheTablesCodes) {
    const auto bytes = rgb();
    ASSERT_TRUE(succeeded(bytes));
    const auto response = sampleResponse();
    const auto curve = Response::of(response);
    const auto table = sampleTable(20);  // at the tones of the response
    for (std::size_t i = 0; i < response.size(); ++i) {
        const std::vector<colour::Lab> asked{curve->relative()[i].lab};
        const auto device = deviceOf(*bytes, asked, Intent::relative);
        ASSERT_TRUE(succeeded(device));
        std::vector<double> expected;
        for (const double code : table[i].codes) expected.push_back(code / 65535);
        EXPECT_TRUE(allNear(*device, expected, 1e-3)) << response[i].tonePercent;
    }
}

TEST_P(EachVersion, LinkGivesTheTablesCodes) {
    const auto bytes = link();
    ASSERT_TRUE(succeeded(bytes));
    for (const auto& row : sampleTable(200)) {
        const std::vector<double> greys{1 - row.tonePercent / 100};
        const auto codes = codesThrough(*bytes, greys);
        ASSERT_TRUE(succeeded(codes));
        EXPECT_TRUE(allNear((*codes)[0], row.codes, 8)) << row.tonePercent;
    }
}

TEST_P(EachVersion, SameInputSameBytes) {
    EXPECT_EQ(*grey(), *grey());
    EXPECT_EQ(*rgb(), *rgb());
    EXPECT_EQ(*link(), *link());
}

TEST_P(EachVersion, IsSound) {
    for (const auto& bytes : {grey(), rgb(), link()}) {
        ASSERT_TRUE(succeeded(bytes));
        const auto findings = check(*bytes);
        EXPECT_TRUE(findings.empty()) << findings[0].where << ": " << findings[0].what;
    }
}

// Every tag can be read by the library, the ones included that this module writes itself.
TEST_P(EachVersion, EveryTagReads) {
    for (const auto& bytes : {grey(), rgb(), link()}) {
        cmsHPROFILE profile =
            cmsOpenProfileFromMem(bytes->data(), static_cast<cmsUInt32Number>(bytes->size()));
        ASSERT_NE(profile, nullptr);
        EXPECT_DOUBLE_EQ(cmsGetProfileVersion(profile), GetParam() == Version::v2 ? 2.4 : 4.4);
        tm made{};
        EXPECT_TRUE(cmsGetHeaderCreationDateTime(profile, &made));
        EXPECT_EQ(made.tm_year, 126);
        EXPECT_EQ(made.tm_mon, 2);
        EXPECT_EQ(made.tm_sec, 26);
        for (int i = 0; i < cmsGetTagCount(profile); ++i) {
            const auto tag = cmsGetTagSignature(profile, static_cast<cmsUInt32Number>(i));
            EXPECT_NE(cmsReadTag(profile, tag), nullptr) << std::hex << static_cast<unsigned>(tag);
        }
        if (const auto* sequence =
                static_cast<const cmsSEQ*>(cmsReadTag(profile, cmsSigProfileSequenceDescTag))) {
            EXPECT_EQ(sequence->n, 2U);
            EXPECT_EQ(sequence->seq[1].technology, cmsSigInkJetPrinter);
        }
        cmsCloseProfile(profile);
    }
}

TEST_P(EachVersion, SaysWhereItComesFrom) {
    Description description = sampleDescription();
    description.condition = "Matt \"rag\" paper";
    for (const auto& bytes : {greyProfile(sampleResponse(), description, GetParam()),
                              rgbProfile(sampleResponse(), sampleTable(), description, GetParam()),
                              deviceLink(sampleTable(), description, GetParam())}) {
        ASSERT_TRUE(succeeded(bytes));
        EXPECT_NE(bytes->find("READINGS_SHA256 \"" + description.readingsSha256 + "\""), std::string::npos);
        EXPECT_NE(bytes->find("DESCRIPTOR \"Matt 'rag' paper\""), std::string::npos);
        EXPECT_NE(bytes->find("NUMBER_OF_SETS"), std::string::npos);
    }
}

TEST_P(EachVersion, KeepsNamesInAnyScript) {
    Description description = sampleDescription();
    description.name = "Büttenpapier \xC4\x80 \xE7\xB4\x99 \xF0\x9F\x96\xA8";  // up to beyond 16 bits
    description.copyright = "\xC2\xA9 2026";
    const auto bytes = greyProfile(sampleResponse(), description, GetParam());
    ASSERT_TRUE(succeeded(bytes));
    cmsHPROFILE profile = cmsOpenProfileFromMem(bytes->data(), static_cast<cmsUInt32Number>(bytes->size()));
    std::array<wchar_t, 64> name{};
    cmsGetProfileInfo(profile, cmsInfoDescription, "en", "US", name.data(), sizeof name);
    const std::wstring expected = GetParam() == Version::v2 ? L"B?ttenpapier ? ? ?" : L"Büttenpapier Ā 紙 ";
    EXPECT_EQ(std::wstring(name.data()).substr(0, expected.size()), expected);
    std::array<char, 64> copyright{};
    cmsGetProfileInfoASCII(profile, cmsInfoCopyright, "en", "US", copyright.data(), sizeof copyright);
    if (GetParam() == Version::v2) {
        EXPECT_STREQ(copyright.data(), "(c) 2026");
    }
    cmsCloseProfile(profile);
    // The same text in UTF-16, the last character as a pair.
    const std::string utf16{'\x7D', '\x19', '\x00', ' ', '\xD8', '\x3D', '\xDD', '\xA8'};
    EXPECT_NE(bytes->find(utf16), std::string::npos);
}

// Source: RFC 1321 by another implementation, md5sum of GNU coreutils, over the profile with flags, intent
// and ID zero; the reading test's checksum of the same bytes says when it is stale.
TEST(Profile, VersionFourHasItsId) {
    const auto v2 = greyProfile(sampleResponse(), sampleDescription(), Version::v2);
    EXPECT_EQ(v2->substr(84, 16), std::string(16, '\0'));
    const auto v4 = greyProfile(sampleResponse(), sampleDescription(), Version::v4);
    std::string id;
    for (const char byte : v4->substr(84, 16)) {
        constexpr std::string_view kDigits = "0123456789abcdef";
        id += kDigits[static_cast<unsigned char>(byte) >> 4U];
        id += kDigits[static_cast<unsigned char>(byte) & 15U];
    }
    EXPECT_EQ(id, "d92b0904dd95fd6d510ba94763fe04dd");
}

TEST(Profile, ReadingsAreRefused) {
    const auto made = [](const std::vector<MeasuredTone>& response) {
        return codeOf(greyProfile(response, sampleDescription(), Version::v2));
    };
    const auto with = [](std::size_t at, const MeasuredTone& tone) {
        auto response = sampleResponse();
        response[at] = tone;
        return response;
    };
    EXPECT_EQ(made({}), "too-few-tones");
    EXPECT_EQ(made(sampleResponse(9)), "too-few-tones");
    EXPECT_EQ(made(sampleResponse(10)), "made");
    EXPECT_EQ(made(with(3, {10, {80, 0, 0}})), "tones-not-ascending");
    EXPECT_EQ(made(with(3, {std::nan(""), {80, 0, 0}})), "tones-not-ascending");
    EXPECT_EQ(made(with(0, {1, {96.4, 0, 0}})), "no-paper");
    EXPECT_EQ(made(with(20, {99, {15.5, 0, 0}})), "no-black");
    EXPECT_EQ(made(with(3, {15, {std::nan(""), 0, 0}})), "lab-out-of-range");
    EXPECT_EQ(made(with(0, {0, {100.1, 0, 0}})), "lab-out-of-range");
    EXPECT_EQ(made(with(3, {15, {80, std::numeric_limits<double>::infinity(), 0}})), "lab-out-of-range");
    auto blueless = sampleResponse();
    for (auto& tone : blueless) tone.lab = {.L = 40 - tone.tonePercent / 3, .a = 0, .b = 0};
    blueless[0].lab.b = 127;  // a paper of less than no Z
    EXPECT_EQ(made(blueless), "lab-out-of-range");
    EXPECT_EQ(made(with(3, {15, {95, 0, 0}})), "not-monotone");
    auto flat = sampleResponse();
    flat[4].lab.L = flat[3].lab.L;
    EXPECT_EQ(made(flat), "not-monotone");
    auto narrow = sampleResponse();
    for (auto& tone : narrow) tone.lab = {.L = 60 - tone.tonePercent / 10, .a = 0, .b = 0};
    EXPECT_EQ(made(narrow), "no-range");
}

TEST(Profile, TablesAreRefused) {
    const auto made = [](const std::vector<CodesOfTone>& table) {
        std::string link = codeOf(deviceLink(table, sampleDescription(), Version::v4));
        EXPECT_EQ(codeOf(rgbProfile(sampleResponse(), table, sampleDescription(), Version::v4)), link);
        return link;
    };
    auto table = sampleTable(10);
    EXPECT_EQ(made(table), "made");
    table[5].codes = {65536, 0, 0};
    EXPECT_EQ(made(table), "codes-out-of-range");
    table[5].codes = {std::nan(""), 0, 0};
    EXPECT_EQ(made(table), "codes-out-of-range");
    table[5].codes = {60000, 60000, 60000};
    EXPECT_EQ(made(table), "codes-not-falling");
    table[5].tonePercent = 40;
    EXPECT_EQ(made(table), "tones-not-ascending");
    EXPECT_EQ(made(sampleTable(9)), "too-few-rows");
    table = sampleTable(12);
    table.front().tonePercent = 1;
    EXPECT_EQ(made(table), "no-paper");
    table = sampleTable(12);
    table.back().tonePercent = 99;
    EXPECT_EQ(made(table), "no-black");
}

TEST(Profile, DescriptionsAreRefusedWithTheirField) {
    const auto field = [](const Description& description, const std::string& code) {
        const auto made = greyProfile(sampleResponse(), description, Version::v2);
        EXPECT_EQ(codeOf(made), code);
        return made ? "" : made.error().where.field;
    };
    Description d = sampleDescription();
    d.name = "";
    EXPECT_EQ(field(d, "text-empty"), "name");
    d.name = "\xC3";
    EXPECT_EQ(field(d, "text-not-utf8"), "name");
    d.name = "\xC0\x80";  // zero in two bytes
    EXPECT_EQ(field(d, "text-not-utf8"), "name");
    d.name = "\xED\xA0\x80";  // half a pair
    EXPECT_EQ(field(d, "text-not-utf8"), "name");
    d.name = std::string("a\0b", 3);
    EXPECT_EQ(field(d, "text-not-utf8"), "name");
    d = sampleDescription();
    d.copyright = "   ";
    EXPECT_EQ(field(d, "text-empty"), "copyright");
    d = sampleDescription();
    d.condition = "two\nlines";
    EXPECT_EQ(field(d, "text-not-utf8"), "condition");
    d = sampleDescription();
    d.readingsSha256.back() = 'G';
    EXPECT_EQ(field(d, "fingerprint-not-sha256"), "readings");
    d.readingsSha256.pop_back();
    EXPECT_EQ(field(d, "fingerprint-not-sha256"), "readings");
    d = sampleDescription();
    d.made.month = 2;
    d.made.day = 29;
    EXPECT_EQ(field(d, "moment-out-of-range"), "made");
    d = sampleDescription();
    d.made.hour = 24;
    EXPECT_EQ(field(d, "moment-out-of-range"), "made");
}

// Codes that a step between two tones lets fall too fast for the tables' nodes.
TEST(Profile, WhatTablesCannotHoldIsRefused) {
    std::vector<CodesOfTone> table;
    table.reserve(11);
    for (int i = 0; i <= 10; ++i) {
        const double light = i < 5 ? 65535 - i : 1000 - 100 * i * 0.9;
        table.push_back({.tonePercent = 50 + 0.0005 * (i - 5), .codes = {light, light, light}});
    }
    table.front().tonePercent = 0;
    table.back().tonePercent = 100;
    EXPECT_EQ(codeOf(deviceLink(table, sampleDescription(), Version::v2)), "profile-not-true");
    std::vector<MeasuredTone> response;
    response.reserve(table.size());
    for (const auto& row : table) {
        response.push_back({row.tonePercent, {.L = 5 + row.codes[0] / 65535 * 90, .a = 0, .b = 0}});
    }
    EXPECT_EQ(codeOf(greyProfile(response, sampleDescription(), Version::v4)), "profile-not-true");
}

TEST(Profile, WhatIsNoProfileIsNotRead) {
    const std::vector<double> grey{0.5};
    const std::vector<colour::Lab> lab{{50, 0, 0}};
    const auto link = deviceLink(sampleTable(), sampleDescription(), Version::v4);
    for (const std::string& bytes : {std::string(), std::string(200, 'x'), *link}) {
        EXPECT_EQ(readBack(bytes, grey, Intent::relative).error().code, "profile-not-read");
        EXPECT_EQ(deviceOf(bytes, lab, Intent::relative).error().code, "profile-not-read");
    }
    const auto profile = greyProfile(sampleResponse(), sampleDescription(), Version::v4);
    EXPECT_EQ(codesThrough(*profile, grey).error().code, "profile-not-read");
}

}  // namespace
}  // namespace greywright::profile

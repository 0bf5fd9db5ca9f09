#include <array>
#include <cmath>
#include <functional>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "core/random.h"
#include "scan/detect.h"
#include "scan/even.h"
#include "scan/identify.h"
#include "scan/place.h"
#include "scan/rgb.h"
#include "scan/round_trip.h"
#include "scan/sample.h"
#include "scan/suspicion.h"
#include "testing/near.h"

namespace greywright::scan {
namespace {

using Eigen::Vector2d;
using Eigen::Vector3d;

TEST(Rgb, PrimariesHaveTheirPublishedColours) {
    struct Row {
        Vector3d rgb;
        colour::Lab lab;
    };
    // Source: Lindbloom's colour calculator, sRGB brought to D50 by Bradford's matrix, from memory.
    const std::array<Row, 3> rows{{{{1, 0, 0}, {54.29, 80.81, 69.89}},
                                   {{0, 1, 0}, {87.82, -79.29, 80.99}},
                                   {{0, 0, 1}, {29.57, 68.30, -112.03}}}};
    for (const Row& row : rows) {
        const colour::Lab lab = labFromRgb(row.rgb);
        EXPECT_NEAR(lab.L, row.lab.L, 0.03);
        EXPECT_NEAR(lab.a, row.lab.a, 0.06);
        EXPECT_NEAR(lab.b, row.lab.b, 0.06);
        EXPECT_LT((rgbFromLab(lab) - row.rgb).norm(), 1e-9);
    }
    const colour::Lab grey = labFromRgb({0.3, 0.3, 0.3});
    EXPECT_NEAR(grey.a, 0, 1e-9);
    EXPECT_NEAR(grey.b, 0, 1e-9);
}

TEST(Detect, FindsCornersOfDrawnMarkersInOrder) {
    // Seen straight and without a turn, markers lie where the sheet says.
    const sheet::Sheet sheet = round_trip::someSheet();
    const simulate::Shot shot = simulate::take(round_trip::printed(sheet), {.width = 1300, .height = 1800});
    const std::vector<Found> found = findMarkers(shot.picture);
    ASSERT_EQ(found.size(), 8U);
    for (const sheet::Marker& marker : sheet.markers) {
        const auto one = std::ranges::find(found, marker.number, &Found::number);
        ASSERT_NE(one, found.end()) << marker.number;
        for (std::size_t k = 0; k < 4; ++k) {
            const double x = marker.at.x + marker.at.width * (k == 1 || k == 2 ? 7 : 2) / 9;
            const double y = marker.at.y + marker.at.height * (k >= 2 ? 7 : 2) / 9;
            const auto truth = shot.pxFromMm(x, y);
            EXPECT_NEAR(one->corners[k].x(), truth[0], 0.6);
            EXPECT_NEAR(one->corners[k].y(), truth[1], 0.6);
        }
    }
}

TEST(Identify, ReadsACodeBackFromItsNumbers) {
    for (const std::string code : {"23456Z", "ZYXWVU", "QJ8HK2"}) {
        std::vector<Found> found;
        for (const int number : sheet::markerNumbers(code, 3))
            found.push_back({.number = number, .corners = {}});
        EXPECT_EQ(codeFromMarkers(found), code);
        EXPECT_EQ(codeFromMarkers(std::span(found).first(4)), code);
        EXPECT_NE(codeFromMarkers(std::span(found).first(2)).find('?'), std::string::npos);
    }
}

TEST(Identify, TellsPagesApartOrSaysThatItCannot) {
    sheet::Sheet both{.code = "QJ8HK2", .pages = 2};
    for (int page = 1; page <= 2; ++page) {
        for (const int number : sheet::markerNumbers(both.code, page)) {
            both.markers.push_back({.number = number, .at = {}, .page = page});
        }
    }
    std::vector<Found> second;
    for (const int number : sheet::markerNumbers(both.code, 2))
        second.push_back({.number = number, .corners = {}});
    const auto told = identify(second, std::span(&both, 1));
    ASSERT_TRUE(testing::succeeded(told));
    EXPECT_EQ(told->page, 2);
    EXPECT_EQ(told->anchors.size(), 8U);
    // Only two of eight numbers hold the page.
    const auto first = sheet::markerNumbers(both.code, 1);
    std::erase_if(second,
                  [&](const Found& one) { return std::ranges::find(first, one.number) == first.end(); });
    ASSERT_EQ(second.size(), 6U);
    const auto open = identify(second, std::span(&both, 1));
    ASSERT_FALSE(open);
    EXPECT_EQ(open.error().code, "sheet-incomplete");
}

/// Markers at the corners and sides of a page of 200 x 300 mm, as a known lens shows them.
std::vector<Anchor> seenThrough(const std::function<Vector2d(const Vector2d&)>& lens) {
    std::vector<Anchor> out;
    for (int i = 0; i < 8; ++i) {
        constexpr std::array<std::array<double, 2>, 8> kAt{
            {{10, 10}, {172, 10}, {172, 272}, {10, 272}, {91, 10}, {172, 141}, {91, 272}, {10, 141}}};
        Anchor anchor{
            .marker = {.number = i, .at = {kAt[std::size_t(i)][0], kAt[std::size_t(i)][1], 18, 18}}};
        anchor.found.number = i;
        for (std::size_t k = 0; k < 4; ++k) {
            const sheet::RectMm& at = anchor.marker.at;
            anchor.found.corners[k] =
                lens({at.x + (k == 1 || k == 2 ? 14.0 : 4.0), at.y + (k >= 2 ? 14.0 : 4.0)});
        }
        out.push_back(anchor);
    }
    return out;
}

Vector2d bentLens(const Vector2d& mm) {
    const double w = 1 + 0.0008 * mm.x() - 0.0005 * mm.y();
    const Vector2d plane{(3 * mm.x() + 0.5 * mm.y() - 350) / w, (-0.4 * mm.x() + 2.8 * mm.y() - 380) / w};
    return Vector2d(500, 400) + plane * (1 - 0.1 * plane.squaredNorm() / (500.0 * 500 + 400.0 * 400));
}

TEST(Place, FindsALensThatItsModelHolds) {
    const auto anchors = seenThrough(bentLens);
    const auto placement = Placement::fit(anchors, {200, 300}, {1000, 800});
    ASSERT_TRUE(placement);
    for (const Vector2d& mm : {Vector2d{100, 150}, {20, 280}, {180, 40}}) {
        // 0.05: the belief in a usual lens pulls a little.
        EXPECT_LT((placement->pxFromMm(mm) - bentLens(mm)).norm(), 0.05);
    }
    EXPECT_LT(placement->residualMm(), 0.02);
    EXPECT_EQ(placement->markersUsed(), 8U);
    EXPECT_FALSE(placement->isStraight());
}

TEST(Place, ThrowsOutMarkersThatContradictTheOthers) {
    auto anchors = seenThrough(bentLens);
    for (Vector2d& corner : anchors[2].found.corners) corner += Vector2d(90, -40);
    for (Vector2d& corner : anchors[5].found.corners) corner += Vector2d(-12, 9);
    const auto placement = Placement::fit(anchors, {200, 300}, {1000, 800});
    ASSERT_TRUE(placement);
    EXPECT_EQ(placement->markersUsed(), 6U);
    EXPECT_LT((placement->pxFromMm({100, 150}) - bentLens({100, 150})).norm(), 0.2);
}

TEST(Place, TellsThatFewMarkersSayLittleFarAway) {
    const auto anchors = seenThrough(bentLens);
    const std::vector<Anchor> upper{anchors[0], anchors[1], anchors[4]};
    const auto placement = Placement::fit(upper, {200, 300}, {1000, 800});
    ASSERT_TRUE(placement);
    EXPECT_GT(placement->uncertaintyMm({100, 290}), 3 * placement->uncertaintyMm({100, 20}));
    EXPECT_FALSE(Placement::fit(std::span(upper).first(2), {200, 300}, {1000, 800}));
}

picture::Reduced filled(std::size_t side,
                        const std::function<picture::Triple(std::size_t, std::size_t)>& code) {
    picture::Reduced out{.width = side, .height = side, .fileWidth = side, .fileHeight = side};
    for (std::size_t i = 0; i < side * side; ++i) {
        for (const double channel : code(i % side, i / side)) {
            out.codes.push_back(
                static_cast<std::uint16_t>(std::lround(65535 * std::clamp(channel, 0.0, 1.0))));
        }
    }
    return out;
}

const Quad kInTheMiddle{Vector2d{5, 5}, {35, 5}, {35, 35}, {5, 35}};

TEST(Sample, LeavesOutDustAndSlope) {
    Random random(5);
    const picture::Reduced picture = filled(40, [&](std::size_t x, std::size_t y) -> picture::Triple {
        if (random.uniform() < 0.08) return {0.1, 0.1, 0.1};
        const double slope = 0.001 * (double(x) + 0.5 - 20) - 0.0005 * (double(y) + 0.5 - 20);
        return {0.5 + slope + 0.005 * random.normal(), 0.52 + slope + 0.005 * random.normal(), 0.48 + slope};
    });
    const Sample sample = sampleOf(picture, kInTheMiddle);
    EXPECT_EQ(sample.pixels, 900U);
    EXPECT_NEAR(sample.mean[0], 0.5, 0.001);
    EXPECT_NEAR(sample.mean[1], 0.52, 0.001);
    EXPECT_NEAR(sample.mean[2], 0.48, 0.001);
    EXPECT_NEAR(sample.leftOutFraction, 0.08, 0.03);
    EXPECT_NEAR(sample.slope, 2 * std::hypot(0.015, 0.0075), 0.002);
    EXPECT_EQ(faultOf(sample), "");
}

TEST(Sample, SaysWhyItCannotBeUsed) {
    const auto faultWith = [](const std::function<picture::Triple(std::size_t, std::size_t)>& code) {
        return faultOf(sampleOf(filled(40, code), kInTheMiddle));
    };
    const picture::Triple grey{0.5, 0.5, 0.5};
    const picture::Triple other{0.3, 0.2, 0.1};
    EXPECT_EQ(faultWith([&](std::size_t, std::size_t) {
                  return picture::Triple{0.9, 1, 0.9};
              }),
              "lighter than the picture can show");
    EXPECT_EQ(faultWith([&](std::size_t, std::size_t) {
                  return picture::Triple{0.1, 0, 0.1};
              }),
              "darker than the picture can show");
    EXPECT_NE(faultWith([&](std::size_t x, std::size_t) { return x < 16 ? other : grey; }), "");
    EXPECT_NE(faultWith([&](std::size_t x, std::size_t) { return x < 20 ? other : grey; }), "");
    EXPECT_EQ(faultWith([&](std::size_t x, std::size_t) {
                  const double code = 0.3 + 0.01 * double(x);
                  return picture::Triple{code, code, code};
              }),
              "it is not evenly lit");
    EXPECT_EQ(faultOf(sampleOf(filled(40, [&](std::size_t, std::size_t) { return grey; }),
                               {Vector2d{5, 5}, {8, 5}, {8, 8}, {5, 8}})),
              "too few pixels in the picture");
}

TEST(Even, FindsASmoothLightAmongOutliers) {
    Random random(11);
    const auto truth = [](const Vector2d& mm) -> Vector3d {
        const double x = mm.x() / 200 - 0.5;
        const double y = mm.y() / 300 - 0.5;
        const double green = -0.5 - 1.2 * (x * x + y * y) + 0.3 * x;
        return {green + 0.1 * y + 0.05, green, green - 0.2 * x * y};
    };
    std::vector<BareSample> samples;
    for (int i = 0; i < 60; ++i) {
        const Vector2d mm{random.uniform(0, 200), random.uniform(0, 300)};
        Vector3d light = truth(mm);
        for (int c = 0; c < 3; ++c) light[c] += 0.003 * random.normal();
        if (i % 10 == 0) light -= Vector3d(0.4, 0.5, 0.6);  // a shadow
        samples.push_back({mm, light});
    }
    const LightSurface surface(samples, {200, 300});
    for (const Vector2d& mm : {Vector2d{100, 150}, {30, 40}, {170, 250}}) {
        EXPECT_LT((surface.logLight(mm) - truth(mm)).cwiseAbs().maxCoeff(), 0.006);
    }
    EXPECT_NEAR(surface.spread()[1], 0.003, 0.002);
    EXPECT_GT(surface.unevennessStops(), 0.5);
}

TEST(Even, OneSampleIsALightThatIsEverywhereTheSame) {
    const std::vector<BareSample> one{{{50, 50}, {-0.1, -0.2, -0.3}}};
    const LightSurface surface(one, {200, 300});
    EXPECT_LT((surface.logLight({150, 10}) - one[0].logLight).norm(), 1e-6);
}

TEST(Suspicion, TellsRunTogetherEndsFromARampThatIsWhole) {
    std::vector<RampPoint> whole;
    std::vector<RampPoint> cut;
    for (std::size_t i = 0; i <= 20; ++i) {
        const double tone = 5 * double(i);
        whole.push_back({i, tone, {95 - 0.78 * tone, 0, 0}, false});
        cut.push_back({i, tone, {std::clamp(100 - 1.4 * (tone - 12), 1.0, 99.0), 0, 0}, false});
    }
    const Ends none = endsOf(whole, {95, 0, 0});
    EXPECT_FALSE(none.lightIsCut);
    EXPECT_FALSE(none.darkIsCut);
    const Ends both = endsOf(cut, {99, 0, 0});
    EXPECT_TRUE(both.lightIsCut);
    EXPECT_TRUE(both.darkIsCut);
    EXPECT_TRUE(endsOf(whole, {99.6, 0, 0}).lightIsCut);
}

TEST(Suspicion, FindsWhatIsNoPartOfTheRamp) {
    std::vector<RampPoint> ramp;
    for (std::size_t i = 0; i <= 20; ++i)
        ramp.push_back({i, 5 * double(i), {95 - 3.9 * double(i), 1, -1}, false});
    EXPECT_TRUE(strangers(ramp).empty());
    ramp[7].lab = {58, 17, 18};  // skin
    ramp[18].lab.L = 60;
    EXPECT_EQ(strangers(ramp), (std::vector<std::size_t>{7, 18}));
    ramp[12].lab.b = 5;  // six more than its neighbours have
    EXPECT_EQ(strangers(ramp), (std::vector<std::size_t>{7, 12, 18}));
    // Where the tint turns along the ramp, so much is no stranger's.
    for (RampPoint& point : ramp) point.lab = {95 - 3.9 * double(point.index), 0, double(point.index)};
    ramp[12].lab.b += 7;  // six from the middle of the others
    EXPECT_TRUE(strangers(ramp).empty());
    ramp[12].lab.b += 5;
    EXPECT_EQ(strangers(ramp), std::vector<std::size_t>{12});
}

TEST(Suspicion, TellsScatterFromARampThatTurns) {
    Random random(21);
    constexpr double kScatter = 0.3;
    double mean = 0;
    for (int time = 0; time < 50; ++time) {
        std::vector<RampPoint> smooth;
        std::vector<RampPoint> ramp;
        for (std::size_t i = 0; i <= 20; ++i) {
            const double tone = 5 * double(i) + (i % 2 == 0 ? 0 : 1.5);  // unevenly spaced
            const colour::Lab lab{95 - 0.78 * tone, 2 * std::sin(tone / 16), 0.03 * tone - 2};
            smooth.push_back({i, tone, lab, false});
            ramp.push_back({i,
                            tone,
                            {lab.L, lab.a + kScatter * random.normal(), lab.b + kScatter * random.normal()},
                            false});
        }
        EXPECT_LT(scatterOf(smooth).value(), 0.05);
        mean += scatterOf(ramp).value() / 50;
    }
    // 17 tones of two coordinates, which hang together: each time to about a sixth, the mean to a fortieth.
    EXPECT_NEAR(mean, kScatter, 0.08 * kScatter);
    const std::vector<RampPoint> few(8);
    EXPECT_FALSE(scatterOf(few));
}

}  // namespace
}  // namespace greywright::scan

#include "canvas/scene_painter.h"

#include <QFontInfo>
#include <QFontMetricsF>
#include <QImage>
#include <algorithm>
#include <cmath>
#include <cstdlib>

#include <gtest/gtest.h>

#include "figure/gallery.h"
#include "figure/inspect.h"
#include "figure/palette.h"
#include "figure/style.h"
#include "figure/type.h"

namespace greywright::canvas {
namespace {

namespace gallery = figure::gallery;
using figure::contrast;
using figure::Ink;
using figure::Rgb;

constexpr Shades kLight{Shades::Surface::light};
constexpr Shades kDark{Shades::Surface::dark};

QImage painted(const figure::Scene& scene, double pixelsPerPt, const Shades& shades = {}) {
    QImage image(static_cast<int>(std::ceil(scene.widthPt * pixelsPerPt)),
                 static_cast<int>(std::ceil(scene.heightPt * pixelsPerPt)), QImage::Format_RGB32);
    image.fill(Qt::magenta);
    QPainter painter(&image);
    paint(painter, scene, pixelsPerPt, shades);
    return image;
}

Rgb at(const QImage& image, double x, double y) {
    const QRgb pixel = image.pixel(static_cast<int>(x), static_cast<int>(y));
    return {static_cast<std::uint8_t>(qRed(pixel)), static_cast<std::uint8_t>(qGreen(pixel)),
            static_cast<std::uint8_t>(qBlue(pixel))};
}

/// The rectangle of pixels that differ from the image's first one.
QRect inked(const QImage& image) {
    QRect box;
    for (int y = 0; y < image.height(); ++y) {
        for (int x = 0; x < image.width(); ++x) {
            if (image.pixel(x, y) != image.pixel(0, 0)) box |= QRect(x, y, 1, 1);
        }
    }
    return box;
}

TEST(Shades, OnALightSurfaceEverythingStaysWhatItIs) {
    for (int code = 0; code < 256; code += 5) {
        const Rgb colour{static_cast<std::uint8_t>(code), 77, static_cast<std::uint8_t>(255 - code)};
        EXPECT_EQ(kLight.shown(colour), colour);
    }
    EXPECT_EQ(kLight.page(), figure::kWhite);
}

// Source: WCAG 2.1 (W3C 2018), success criteria 1.4.3 (text 4.5 to 1) and 1.4.11 (graphical objects 3 to 1).
TEST(Shades, InksAndWordsStandOutFromThePageOnBothSurfaces) {
    for (const Shades& shades : {kLight, kDark}) {
        for (const Rgb ink : figure::kInks) EXPECT_GE(contrast(shades.shown(ink), shades.page()), 3.0);
        for (const Ink ink : {Ink::black, Ink::plum, Ink::petrol, Ink::copper})
            EXPECT_GE(contrast(shades.shown(figure::rgb(ink)), shades.page()), 4.5);
        for (const Rgb words : {figure::kTextColour, figure::kQuietTextColour})
            EXPECT_GE(contrast(shades.shown(words), shades.page()), 4.5);
        EXPECT_GE(contrast(shades.shown(figure::kAxisColour), shades.page()), 3.0);
        EXPECT_GT(contrast(shades.shown(figure::kGridColour), shades.page()), 1.1) << "a grid is still seen";
    }
}

TEST(Shades, WordsStandOutFromMapsAndCellsOnBothSurfaces) {
    for (const Shades& shades : {kLight, kDark}) {
        for (int step = 0; step <= 100; ++step) {
            const double fraction = step / 100.0;
            EXPECT_GE(contrast(shades.shown(figure::kTextColour), shades.shown(figure::areaRamp(fraction))),
                      4.5);
            const Rgb cell = figure::cellRamp(fraction);
            const figure::Text number{.text = "50", .colour = figure::textColourOn(cell), .ground = cell};
            EXPECT_GE(contrast(shades.shown(number), shades.shown(cell)), 4.5) << fraction;
        }
    }
}

TEST(Shades, ADarkPageIsATrueGreyAndLightAndDarkChangePlaces) {
    const Rgb page = kDark.page();
    EXPECT_EQ(page.r, page.g);
    EXPECT_EQ(page.g, page.b);
    EXPECT_LT(figure::luminance(page), 0.03);
    double last = 2;
    for (int code = 0; code < 256; ++code) {
        const auto grey = static_cast<std::uint8_t>(code);
        const Rgb shown = kDark.shown({grey, grey, grey});
        EXPECT_EQ(shown.r, shown.g);
        EXPECT_EQ(shown.g, shown.b);
        EXPECT_LE(figure::luminance(shown), last) << "of two greys the darker one becomes the lighter";
        last = figure::luminance(shown);
    }
    // Hues stay: copper has red above green above blue, petrol the other way round.
    const Rgb copper = kDark.shown(figure::rgb(Ink::copper));
    EXPECT_TRUE(copper.r > copper.g && copper.g > copper.b);
    const Rgb petrol = kDark.shown(figure::rgb(Ink::petrol));
    EXPECT_TRUE(petrol.b > petrol.g && petrol.g > petrol.r);
}

TEST(Paint, PatchesKeepTheirColoursOnADarkSurface) {
    const figure::CellPage page = figure::layOut(gallery::strip());
    const QImage light = painted(page.scene, 2, kLight);
    const QImage dark = painted(page.scene, 2, kDark);
    ASSERT_FALSE(page.cells.empty());
    for (const figure::PlacedCell& cell : page.cells) {
        const figure::Point middle = cell.box.centre();
        const Rgb wanted = gallery::strip().rows[cell.row].swatches[cell.column].colour;
        EXPECT_EQ(at(light, 2 * middle.x, 2 * middle.y), wanted);
        EXPECT_EQ(at(dark, 2 * middle.x, 2 * middle.y), wanted);
    }
    EXPECT_EQ(at(dark, 1, 1), kDark.page());
}

TEST(Paint, PutsLinesAndAreasWhereTheSceneHasThem) {
    figure::Scene scene{.widthPt = 40, .heightPt = 40};
    figure::addRect(scene, {10, 20, 10, 5}, figure::Fill{{200, 0, 0}}, {});
    scene.primitives.emplace_back(figure::Polyline{{{0, 30.5}, {40, 30.5}}, {{0, 0, 200}, 1, {4, 4}}});
    // Two rings: what both enclose is left out.
    scene.primitives.emplace_back(
        figure::Polygon{{{{22, 2}, {38, 2}, {38, 18}, {22, 18}}, {{26, 6}, {34, 6}, {34, 14}, {26, 14}}},
                        figure::Fill{{0, 100, 0}},
                        {}});
    for (const double scale : {1.0, 3.0}) {
        const QImage image = painted(scene, scale);
        const auto here = [&](double x, double y) { return at(image, x * scale, y * scale); };
        EXPECT_EQ(here(15.5, 22.5), (Rgb{200, 0, 0}));
        EXPECT_EQ(here(9, 22.5), figure::kWhite);
        EXPECT_EQ(here(15.5, 26), figure::kWhite);
        EXPECT_EQ(here(1.5, 30.5), (Rgb{0, 0, 200})) << "4 pt drawn";
        EXPECT_EQ(here(6, 30.5), figure::kWhite) << "4 pt left out";
        EXPECT_EQ(here(9.5, 30.5), (Rgb{0, 0, 200}));
        EXPECT_EQ(here(24, 10), (Rgb{0, 100, 0}));
        EXPECT_EQ(here(30, 10), figure::kWhite) << "the hole";
    }
}

TEST(Paint, AnchorsTextAsTheLayoutDoes) {
    const figure::Text base{.at = {100, 100}, .text = "HxH", .sizePt = 12};
    const auto boxOf = [](const figure::Text& text) {
        figure::Scene scene{.widthPt = 200, .heightPt = 200};
        scene.primitives.emplace_back(text);
        return inked(painted(scene, 4));
    };
    figure::Text text = base;
    const QRect start = boxOf(text);
    ASSERT_FALSE(start.isEmpty()) << "there is a font";
    EXPECT_NEAR(start.left(), 400, 8);
    EXPECT_NEAR(start.bottom(), 400, 3) << "on the baseline";
    text.anchor = figure::Anchor::middle;
    EXPECT_NEAR(boxOf(text).center().x(), 400, 3);
    text.anchor = figure::Anchor::end;
    EXPECT_NEAR(boxOf(text).right(), 400, 8);
    text.upwards = true;
    const QRect upwards = boxOf(text);
    EXPECT_NEAR(upwards.top(), 400, 8) << "its end is on top";
    EXPECT_NEAR(upwards.right(), 400, 3);
    EXPECT_NEAR(upwards.height(), start.width(), 3);
}

TEST(Paint, TextIsNeverWiderThanTheLayoutReckoned) {
    QFont font("DejaVu Sans");
    font.setHintingPreference(QFont::PreferNoHinting);
    font.setPixelSize(1000);
    const QFontMetricsF metrics(font);
    int texts = 0;
    for (const auto& [name, scene] : gallery::scenes()) {
        for (const figure::Text& text : figure::inspect::all<figure::Text>(scene)) {
            for (const double scale : {1.0, 96.0 / 72, 2 * 96.0 / 72, 300.0 / 72}) {
                const double reckoned = figure::textWidthPt(text.text, text.sizePt) * scale;
                EXPECT_LE(paintedWidth(text, scale), reckoned + 1e-9) << text.text;
                // And without the narrowing that an unusual font would need: the widest of the usual ones.
                const double natural = metrics.horizontalAdvance(QString::fromStdString(text.text)) / 1000;
                EXPECT_LE(natural * text.sizePt * scale, reckoned * 1.0005 + 1e-9) << text.text;
                EXPECT_NEAR(paintedWidth(text, scale), scale * paintedWidth(text, 8) / 8, 0.02 * reckoned)
                    << "sizes between whole pixels are kept";
                ++texts;
            }
        }
    }
    EXPECT_GT(texts, 300);
}

TEST(Paint, KeepsToTheTextsBoxes) {
    // Every letter that a layout may meet often, inked only within the rectangle that placing labels goes by.
    for (const bool upwards : {false, true}) {
        figure::Scene scene{.widthPt = 420, .heightPt = 420};
        const figure::Text text{.at = {200, 200},
                                .text = "ÄÅgjpqy| Ω ΔE00 (−12.5 ± 3) b* WWMM %",
                                .sizePt = 11,
                                .anchor = figure::Anchor::middle,
                                .upwards = upwards};
        scene.primitives.emplace_back(text);
        const QRect box = inked(painted(scene, 3));
        const figure::Rect most = figure::textBox(text);
        ASSERT_FALSE(box.isEmpty());
        EXPECT_GE(box.left(), 3 * most.left - 4.5);
        EXPECT_LE(box.right(), 3 * most.right() + 4.5);
        EXPECT_GE(box.top(), 3 * most.top - 4.5);
        EXPECT_LE(box.bottom(), 3 * most.bottom() + 4.5);
    }
}

TEST(Paint, AHaloHasTheColourOfThePage) {
    figure::Scene scene{.widthPt = 60, .heightPt = 30};
    figure::addRect(scene, {0, 0, 60, 30}, figure::Fill{figure::areaRamp(1)}, {});
    scene.primitives.emplace_back(figure::Text{.at = {10, 20}, .text = "I", .sizePt = 16, .halo = true});
    for (const Shades& shades : {kLight, kDark}) {
        const QImage image = painted(scene, 4, shades);
        int ofPage = 0;
        for (int x = 0; x < image.width(); ++x) ofPage += at(image, x, 60) == shades.page() ? 1 : 0;
        EXPECT_GE(ofPage, 4);
    }
}

}  // namespace
}  // namespace greywright::canvas

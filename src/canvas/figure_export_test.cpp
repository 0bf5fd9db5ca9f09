#include "canvas/figure_export.h"

#include <QClipboard>
#include <QGuiApplication>
#include <QImage>
#include <QPainter>
#include <QSvgRenderer>
#include <cmath>
#include <string>

#include <gtest/gtest.h>
#include <pugixml.hpp>

#include "canvas/scene_painter.h"
#include "core/files.h"
#include "figure/gallery.h"
#include "figure/inspect.h"
#include "figure/layout.h"
#include "figure/svg.h"
#include "testing/temporary_folder.h"

namespace greywright::canvas {
namespace {

namespace gallery = figure::gallery;

figure::Scene sample() {
    return withSource(figure::sceneFromPlot(gallery::tintPlot()), "Example paper & inks, trial 3");
}

std::string contentOf(const std::filesystem::path& path) {
    return readWholeFile(path).value();
}

TEST(Source, StandsBelowTheFigureAndOnThePage) {
    const figure::Scene bare = figure::sceneFromPlot(gallery::tintPlot());
    const figure::Scene with = sample();
    EXPECT_GT(with.heightPt, bare.heightPt);
    EXPECT_TRUE(figure::inspect::says(with, "Example paper & inks, trial 3"));
    const std::string word = "a rather long word about where this comes from ";
    std::string text;
    for (int i = 0; i < 20; ++i) text += word;
    const figure::Scene wrapped = withSource(bare, text);
    EXPECT_GT(wrapped.heightPt, with.heightPt);
    for (const figure::Scene& scene : {with, wrapped}) {
        figure::inspect::expectOnPage(scene);
        figure::inspect::expectTextsApart(scene);
    }
    EXPECT_EQ(withSource(bare, "").heightPt, bare.heightPt);
}

TEST(Export, SvgIsTheReportsOwnAndCanBeReadAgain) {
    const testing::TemporaryFolder folder;
    const auto path = folder.path() / "tint.svg";
    ASSERT_TRUE(saveFigure(sample(), path));
    const std::string svg = contentOf(path);
    EXPECT_EQ(svg, figure::svgFromScene(sample(), "figure"));
    pugi::xml_document document;
    EXPECT_TRUE(document.load_string(svg.c_str()));
    EXPECT_STREQ(document.document_element().name(), "svg");
    const QSvgRenderer renderer(QString::fromStdString(path.string()));
    EXPECT_TRUE(renderer.isValid());
    EXPECT_NEAR(renderer.viewBoxF().width(), 460, 1e-6);
}

TEST(Export, PngHas300DotsPerInch) {
    const testing::TemporaryFolder folder;
    const auto path = folder.path() / "tint.PNG";
    ASSERT_TRUE(saveFigure(sample(), path));
    const QImage image(QString::fromStdString(path.string()));
    ASSERT_FALSE(image.isNull());
    EXPECT_EQ(image.width(), static_cast<int>(std::ceil(460 * 300 / 72.0)));
    EXPECT_EQ(image.height(), static_cast<int>(std::ceil(sample().heightPt * 300 / 72)));
    EXPECT_NEAR(image.dotsPerMeterX() * 0.0254, 300, 0.1);
    EXPECT_EQ(image.pixelColor(2, 2), QColor(Qt::white));
}

TEST(Export, PdfHasOnePageOfTheFiguresSizeWithTextAndLines) {
    const testing::TemporaryFolder folder;
    const auto path = folder.path() / "tint.pdf";
    ASSERT_TRUE(saveFigure(sample(), path));
    const std::string pdf = contentOf(path);
    EXPECT_EQ(pdf.rfind("%PDF-", 0), 0U);
    EXPECT_NE(pdf.find("%%EOF"), std::string::npos);
    EXPECT_NE(pdf.find("/Count 1\n"), std::string::npos);
    const std::size_t box = pdf.find("/MediaBox [");
    ASSERT_NE(box, std::string::npos);
    double width = 0;
    double height = 0;
    ASSERT_EQ(std::sscanf(pdf.c_str() + box, "/MediaBox [0 0 %lf %lf]", &width, &height), 2);
    EXPECT_NEAR(width, 460, 0.5);
    EXPECT_NEAR(height, std::ceil(sample().heightPt), 0.5);
    EXPECT_NE(pdf.find("/FontFile2"), std::string::npos) << "text is text, with its font";
    EXPECT_EQ(pdf.find("/Subtype /Image"), std::string::npos) << "no picture of the figure";
}

TEST(Export, TellsWhatIsWrongWithAName) {
    const testing::TemporaryFolder folder;
    for (const char* name : {"tint", "tint.doc", "tint.svgz"}) {
        const auto path = folder.path() / name;
        const Outcome outcome = saveFigure(sample(), path);
        ASSERT_FALSE(outcome);
        EXPECT_EQ(outcome.error().code, "file-ending");
        EXPECT_EQ(outcome.error().kind, ErrorKind::wrongUse);
        EXPECT_EQ(outcome.error().where.path, path.string());
        EXPECT_FALSE(std::filesystem::exists(path));
    }
    for (const char* name : {"missing/tint.svg", "missing/tint.png", "missing/tint.pdf"}) {
        const Outcome outcome = saveFigure(sample(), folder.path() / name);
        ASSERT_FALSE(outcome);
        EXPECT_EQ(outcome.error().code, "write-failed");
        EXPECT_EQ(outcome.error().kind, ErrorKind::cannotWrite);
        EXPECT_EQ(outcome.error().where.path, (folder.path() / name).string());
    }
}

TEST(Export, TheClipboardGetsAPictureAndTheSvg) {
    copyFigure(sample());
    const QMimeData* data = QGuiApplication::clipboard()->mimeData();
    ASSERT_NE(data, nullptr);
    EXPECT_EQ(data->data("image/svg+xml").toStdString(), figure::svgFromScene(sample(), "figure"));
    const QImage png = QImage::fromData(data->data("image/png"), "PNG");
    EXPECT_EQ(png.width(), static_cast<int>(std::ceil(460 * 2 * 96 / 72.0)));
    EXPECT_TRUE(data->hasImage());
}

/// The share of dark pixels in each of 8 by 8 fields.
std::vector<double> darkness(const QImage& image) {
    std::vector<double> fields(64);
    for (int y = 0; y < image.height(); ++y) {
        for (int x = 0; x < image.width(); ++x) {
            const auto field = static_cast<std::size_t>(y * 8 / image.height() * 8 + x * 8 / image.width());
            fields[field] += (255 - qGray(image.pixel(x, y))) / 255.0 * 64 / (image.width() * image.height());
        }
    }
    return fields;
}

TEST(Export, TheScreenShowsWhatTheReportsSvgShows) {
    for (const auto& [name, scene] : gallery::scenes()) {
        SCOPED_TRACE(name);
        const int width = static_cast<int>(scene.widthPt * 2);
        const int height = static_cast<int>(scene.heightPt * 2);
        QImage ours(width, height, QImage::Format_RGB32);
        QImage svgs(width, height, QImage::Format_RGB32);
        svgs.fill(Qt::white);
        ours.fill(Qt::white);
        QPainter painter(&ours);
        paint(painter, scene, 2);
        painter.end();
        painter.begin(&svgs);
        QSvgRenderer renderer(QByteArray::fromStdString(figure::svgFromScene(scene, "figure")));
        renderer.render(&painter, QRectF(0, 0, scene.widthPt * 2, scene.heightPt * 2));
        painter.end();
        const auto one = darkness(ours);
        const auto other = darkness(svgs);
        // Qt's SVG knows nothing of halos and picks its own font weight, so words differ a little.
        for (std::size_t i = 0; i < one.size(); ++i) EXPECT_NEAR(one[i], other[i], 0.03) << "field " << i;
    }
}

}  // namespace
}  // namespace greywright::canvas

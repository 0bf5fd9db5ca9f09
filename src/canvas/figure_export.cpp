#include "canvas/figure_export.h"

#include <QBuffer>
#include <QClipboard>
#include <QGuiApplication>
#include <QImage>
#include <QPageSize>
#include <QPainter>
#include <QPdfWriter>
#include <algorithm>
#include <cmath>
#include <string>

#include "canvas/scene_painter.h"
#include "core/files.h"
#include "core/said.h"
#include "figure/palette.h"
#include "figure/style.h"
#include "figure/svg.h"
#include "figure/type.h"

namespace greywright::canvas {
namespace {

constexpr double kSourceSizePt = 7;
constexpr double kFilePixelsPerPt = 300.0 / 72;
constexpr double kClipboardPixelsPerPt = 2 * 96.0 / 72;

QImage imageFrom(const figure::Scene& scene, double pixelsPerPt) {
    QImage image(static_cast<int>(std::ceil(scene.widthPt * pixelsPerPt)),
                 static_cast<int>(std::ceil(scene.heightPt * pixelsPerPt)), QImage::Format_RGB32);
    image.fill(Qt::white);
    QPainter painter(&image);
    paint(painter, scene, pixelsPerPt);
    painter.end();
    const int dotsPerMetre = static_cast<int>(std::lround(pixelsPerPt * 72 / 0.0254));
    image.setDotsPerMeterX(dotsPerMetre);
    image.setDotsPerMeterY(dotsPerMetre);
    return image;
}

QByteArray pngFrom(const QImage& image) {
    QByteArray bytes;
    QBuffer buffer(&bytes);
    buffer.open(QIODevice::WriteOnly);
    return image.save(&buffer, "PNG") ? bytes : QByteArray();
}

/// Empty when it could not be made.
QByteArray pdfFrom(const figure::Scene& scene) {
    QByteArray bytes;
    QBuffer buffer(&bytes);
    buffer.open(QIODevice::WriteOnly);
    QPdfWriter writer(&buffer);
    writer.setTitle(QString::fromStdString(scene.title));
    writer.setCreator("Greywright");
    writer.setResolution(1200);
    writer.setPageMargins({});
    // Page sizes are whole points.
    writer.setPageSize(QPageSize(QSizeF(std::ceil(scene.widthPt), std::ceil(scene.heightPt)),
                                 QPageSize::Point, {}, QPageSize::ExactMatch));
    QPainter painter;
    if (!painter.begin(&writer)) return {};
    paint(painter, scene, writer.resolution() / 72.0);
    return painter.end() ? bytes : QByteArray();
}

}  // namespace

figure::Scene withSource(figure::Scene scene, std::string_view source) {
    if (source.empty()) return scene;
    const auto lines = figure::wrapped(source, kSourceSizePt, scene.widthPt - 2 * figure::kPagePaddingPt);
    scene.heightPt = figure::addLines(scene, lines, {figure::kPagePaddingPt, scene.heightPt}, kSourceSizePt,
                                      figure::kQuietTextColour, figure::Anchor::start) +
                     figure::kPagePaddingPt;
    return scene;
}

std::unique_ptr<QMimeData> mimeFromScene(const figure::Scene& scene) {
    auto data = std::make_unique<QMimeData>();
    const QImage image = imageFrom(scene, kClipboardPixelsPerPt);
    data->setImageData(image);
    data->setData("image/png", pngFrom(image));
    data->setData("image/svg+xml", QByteArray::fromStdString(figure::svgFromScene(scene, "figure")));
    return data;
}

void copyFigure(const figure::Scene& scene) {
    QGuiApplication::clipboard()->setMimeData(mimeFromScene(scene).release());  // the clipboard owns it
}

Outcome saveFigure(const figure::Scene& scene, const std::filesystem::path& path) {
    std::string ending = path.extension().string();
    std::ranges::transform(ending, ending.begin(), [](char c) {
        return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
    });
    if (ending == ".svg") return writeWholeFile(path, figure::svgFromScene(scene, "figure"));
    if (ending != ".png" && ending != ".pdf") {
        return Error{.kind = ErrorKind::wrongUse,
                     .code = "file-ending",
                     .what = said("the file's ending does not say what to write"),
                     .where = {.path = path.string()},
                     .next = said("Give the file a name that ends in .svg, .png or .pdf")};
    }
    const QByteArray bytes = ending == ".png" ? pngFrom(imageFrom(scene, kFilePixelsPerPt)) : pdfFrom(scene);
    if (bytes.isEmpty()) return writeFailed(path, said("the figure could not be painted"));
    return writeWholeFile(path, {bytes.constData(), static_cast<std::size_t>(bytes.size())});
}

}  // namespace greywright::canvas

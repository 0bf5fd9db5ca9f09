#include "print_page.h"

#include <QColorSpace>
#include <QImageReader>
#include <QPainter>
#include <QPrintDialog>
#include <QPrinter>
#include <cmath>

#include "text.h"

namespace greywright::desktop {
namespace {

constexpr double kMmPerInch = 25.4;

/// Sheets fill the page they were made for; half a millimetre is what cutting allows.
constexpr double kSlackMm = 0.5;

struct Printable {
    QImage picture = {};
    double widthMm = 0;
    double heightMm = 0;
};

Result<Printable> printableFrom(const QString& path) {
    QImageReader reader(path);
    QImageReader::setAllocationLimit(0);
    QImage picture = reader.read();
    if (picture.isNull()) {
        return Error{
            .code = "picture-unreadable",
            .what =
                text(QObject::tr("the picture cannot be printed from here: %1").arg(reader.errorString())),
            .where = {.path = text(path)},
            .next = text(QObject::tr("Print it from another program, unscaled"))};
    }
    if (picture.dotsPerMeterX() <= 0 || picture.dotsPerMeterY() <= 0) {
        return Error{.code = "resolution-missing",
                     .what = text(QObject::tr("the picture does not say how large it is")),
                     .where = {.path = text(path)},
                     .next = text(QObject::tr("Write it with a resolution"))};
    }
    Printable out{.widthMm = picture.width() * 1000.0 / picture.dotsPerMeterX(),
                  .heightMm = picture.height() * 1000.0 / picture.dotsPerMeterY()};
    // Without a profile nothing in between has a reason to convert.
    picture.setColorSpace(QColorSpace());
    out.picture = picture.isGrayscale() ? picture.convertToFormat(QImage::Format_Grayscale8)
                                        : picture.convertToFormat(QImage::Format_RGB32);
    return out;
}

}  // namespace

void drawExactly(QPrinter& printer, QPainter& painter, const QImage& picture, double leftMm, double topMm) {
    const double dotsPerMm = printer.resolution() / kMmPerInch;
    const QRectF place(leftMm * dotsPerMm, topMm * dotsPerMm,
                       picture.width() * 1000.0 / picture.dotsPerMeterX() * dotsPerMm,
                       picture.height() * 1000.0 / picture.dotsPerMeterY() * dotsPerMm);
    painter.setRenderHint(QPainter::SmoothPixmapTransform, false);
    painter.setRenderHint(QPainter::LosslessImageRendering);
    painter.drawImage(place, picture);
}

Outcome printOn(QPrinter& printer, const QStringList& pictures) {
    printer.setFullPage(true);
    QPainter painter;
    for (const QString& path : pictures) {
        auto loaded = printableFrom(path);
        if (!loaded) return std::move(loaded).error();
        const QRectF paper = printer.pageLayout().fullRect(QPageLayout::Millimeter);
        if (loaded->widthMm > paper.width() + kSlackMm || loaded->heightMm > paper.height() + kSlackMm) {
            return Error{
                .kind = ErrorKind::wrongUse,
                .code = "page-too-small",
                .what = text(
                    QObject::tr("the picture is %1 × %2 mm, the paper %3 × %4 mm; nothing is scaled here")
                        .arg(number(loaded->widthMm, 0), number(loaded->heightMm, 0),
                             number(paper.width(), 0), number(paper.height(), 0))),
                .where = {.path = text(path)},
                .next = text(QObject::tr("Choose the paper that it was made for"))};
        }
        const bool began = painter.isActive() ? printer.newPage() : painter.begin(&printer);
        if (!began) {
            return Error{.kind = ErrorKind::cannotWrite,
                         .code = "print-failed",
                         .what = text(QObject::tr("the printer does not take the page")),
                         .next = text(QObject::tr("Look at the printer's own messages"))};
        }
        drawExactly(printer, painter, loaded->picture, (paper.width() - loaded->widthMm) / 2,
                    (paper.height() - loaded->heightMm) / 2);
    }
    return Done{};
}

Outcome printPages(const QStringList& pictures, QWidget* window) {
    QPrinter printer(QPrinter::HighResolution);
    printer.setDocName(QObject::tr("Greywright, unscaled"));
    if (!pictures.isEmpty()) {
        if (const auto first = printableFrom(pictures.front())) {
            printer.setPageSize(QPageSize(QSizeF(first->widthMm, first->heightMm), QPageSize::Millimeter, {},
                                          QPageSize::FuzzyMatch));
            printer.setPageOrientation(first->widthMm > first->heightMm ? QPageLayout::Landscape
                                                                        : QPageLayout::Portrait);
        }
    }
    QPrintDialog dialog(&printer, window);
    dialog.setWindowTitle(
        QObject::tr("Print at exact size: switch off scaling and colour management in the driver"));
    if (dialog.exec() != QDialog::Accepted) return Done{};
    return printOn(printer, pictures);
}

}  // namespace greywright::desktop

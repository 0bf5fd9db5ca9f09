#pragma once

#include <QStringList>

#include "core/result.h"

class QImage;
class QPainter;
class QPrinter;
class QWidget;

namespace greywright::desktop {

/// Puts a picture on the current page of a printer: its upper left corner at that of the paper's edge plus
/// `leftMm`, `topMm`, every pixel as large as the picture's own resolution says, no colour changed.
void drawExactly(QPrinter& printer, QPainter& painter, const QImage& picture, double leftMm, double topMm);

/// Sends pictures to the system's print dialog, one a page, at their exact size, unscaled and as they are;
/// what the print system itself does to colours is not in this program's hands. Greys of 16 bits go with 8,
/// since print systems take no more. Done also where the dialog is cancelled.
/// Errors: picture-unreadable, resolution-missing, page-too-small, print-failed.
[[nodiscard]] Outcome printPages(const QStringList& pictures, QWidget* window);

/// The same to a printer that is set up already.
[[nodiscard]] Outcome printOn(QPrinter& printer, const QStringList& pictures);

}  // namespace greywright::desktop

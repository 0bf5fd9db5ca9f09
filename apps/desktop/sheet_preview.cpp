#include "sheet_preview.h"

#include <QPainter>
#include <algorithm>
#include <cmath>

#include "text.h"

namespace greywright::desktop {
namespace {

Result<sheet::Sheet> designed(const studio::Design& design) {
    return std::visit(
        [](const auto& request) -> Result<sheet::Sheet> {
            using Request = std::decay_t<decltype(request)>;
            if constexpr (std::is_same_v<Request, sheet::RampRequest>) {
                return sheet::rampSheet(request);
            } else if constexpr (std::is_same_v<Request, sheet::BlockRequest>) {
                sheet::BlockRequest shown = request;
                if (shown.trial.empty()) shown.trial = "TRIAL";
                return sheet::blockSheet(shown);
            } else if constexpr (std::is_same_v<Request, sheet::CameraRequest>) {
                return sheet::cameraSheet(request);
            } else if constexpr (std::is_same_v<Request, sheet::NeutralRequest>) {
                auto made = sheet::neutralSheet(request);
                if (!made) return std::move(made).error();
                return std::move(made->sheet);
            } else if constexpr (std::is_same_v<Request, sheet::EyeRequest>) {
                return sheet::eyeSheet(request);
            } else if constexpr (std::is_same_v<Request, sheet::EyePictureRequest>) {
                return sheet::eyePictureSheet(request);
            } else {
                return sheet::choiceSheet(request);
            }
        },
        design);
}

QColor greyOf(double tonePercent) {
    const auto level = static_cast<int>(std::lround(255 * (1 - tonePercent / 100)));
    return {level, level, level};
}

}  // namespace

SheetPreview::SheetPreview(QWidget* parent) : QWidget(parent) {
    setMinimumSize(200, 260);
    setSizePolicy(QSizePolicy::Expanding, QSizePolicy::Expanding);
}

void SheetPreview::show(const studio::Design& design) {
    auto made = designed(design);
    problem_ = made ? QString() : textOf(made.error());
    sheet_.reset();
    if (made) {
        setAccessibleDescription(tr("%n page(s)", nullptr, made->pages));
        sheet_ = *std::move(made);
    }
    update();
}

void SheetPreview::tell(const Error& error) {
    problem_ = textOf(error);
    sheet_.reset();
    update();
}

void SheetPreview::paintEvent(QPaintEvent* /*event*/) {
    QPainter painter(this);
    painter.setRenderHint(QPainter::Antialiasing);
    if (!sheet_) {
        painter.drawText(rect(), Qt::AlignCenter | Qt::TextWordWrap, problem_);
        return;
    }
    const int foot = fontMetrics().height() + 4;
    const double scale = std::min(width() / sheet_->page.widthMm, (height() - foot) / sheet_->page.heightMm);
    painter.drawText(QRect(0, height() - foot, width(), foot), Qt::AlignLeft | Qt::AlignVCenter,
                     tr("%1 × %2 mm, %n page(s)", nullptr, sheet_->pages)
                         .arg(number(sheet_->page.widthMm, 0), number(sheet_->page.heightMm, 0)));
    painter.scale(scale, scale);
    painter.setClipRect(QRectF(0, 0, sheet_->page.widthMm, sheet_->page.heightMm));
    painter.fillRect(QRectF(0, 0, sheet_->page.widthMm, sheet_->page.heightMm), Qt::white);
    const auto place = [](const sheet::RectMm& at) { return QRectF(at.x, at.y, at.width, at.height); };
    for (const sheet::Mark& mark : sheet_->marks) {
        if (mark.page == 1) painter.fillRect(place(mark.at), greyOf(mark.tonePercent));
    }
    for (const sheet::Drawing& drawing : sheet_->drawings) {
        if (drawing.page != 1) continue;
        QLinearGradient tones(place(drawing.at).topLeft(), place(drawing.at).topRight());
        tones.setColorAt(0, greyOf(drawing.fromPercent));
        tones.setColorAt(1, greyOf(drawing.toPercent));
        painter.fillRect(place(drawing.at), tones);
    }
    for (const sheet::Patch& patch : sheet_->patches) {
        if (patch.page != 1) continue;
        const QColor colour =
            patch.rgb ? QColor((*patch.rgb)[0] / 257, (*patch.rgb)[1] / 257, (*patch.rgb)[2] / 257)
                      : greyOf(patch.tonePercent);
        painter.fillRect(place(patch.at), colour);
    }
    for (const sheet::Marker& marker : sheet_->markers) {
        if (marker.page == 1) painter.fillRect(place(marker.at), Qt::black);
    }
    painter.setPen(Qt::black);
    for (const sheet::Lettering& line : sheet_->letterings) {
        if (line.page != 1) continue;
        QFont font = painter.font();
        font.setPixelSize(20);
        painter.save();
        painter.translate(line.xMm, line.baselineMm);
        const double size = line.heightMm / 14.0;  // capitals are about seven tenths of a font's size
        painter.scale(size, size);
        painter.setFont(font);
        painter.drawText(0, 0, text(line.text));
        painter.restore();
    }
    painter.setPen(QPen(QColor(128, 128, 128), 0));
    painter.drawRect(QRectF(0, 0, sheet_->page.widthMm, sheet_->page.heightMm));
}

}  // namespace greywright::desktop

#include "picture_view.h"

#include <QPainter>

namespace greywright::desktop {

PictureView::PictureView(QWidget* parent) : QWidget(parent), words_(tr("The picture is being read…")) {
    setMinimumSize(320, 220);
}

void PictureView::setPicture(const QImage& picture) {
    picture_ = picture;
    scaled_ = {};
    update();
}

void PictureView::setWords(const QString& words) {
    words_ = words;
    update();
}

QRectF PictureView::shownIn() const {
    if (picture_.isNull()) return rect();
    const QSizeF size = QSizeF(picture_.size()).scaled(this->size(), Qt::KeepAspectRatio);
    return {(width() - size.width()) / 2, (height() - size.height()) / 2, size.width(), size.height()};
}

void PictureView::paintEvent(QPaintEvent* /*event*/) {
    QPainter painter(this);
    if (picture_.isNull()) {
        painter.setPen(palette().color(QPalette::WindowText));
        painter.drawText(rect(), Qt::AlignCenter | Qt::TextWordWrap, words_);
        return;
    }
    // Made smaller by the mean of its pixels, not by leaving some out.
    const QRectF shown = shownIn();
    const QSize pixels = (shown.size() * devicePixelRatio()).toSize();
    if (pixels.width() < picture_.width() && scaled_.size() != pixels)
        scaled_ = picture_.scaled(pixels, Qt::IgnoreAspectRatio, Qt::SmoothTransformation);
    painter.setRenderHint(QPainter::SmoothPixmapTransform);
    painter.drawImage(shown, pixels.width() < picture_.width() ? scaled_ : picture_);
}

}  // namespace greywright::desktop

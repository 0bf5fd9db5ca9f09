#include "marked_picture.h"

#include <QKeyEvent>
#include <QMouseEvent>
#include <QPainter>
#include <algorithm>

namespace greywright::desktop {
namespace {

constexpr double kLeastShare = 0.004;  // a click is no place
constexpr double kKeyStep = 0.01;
constexpr QRectF kFirstByKey(0.45, 0.45, 0.1, 0.1);

QRectF within(QRectF mark) {
    mark.setSize({std::clamp(mark.width(), kKeyStep, 1.0), std::clamp(mark.height(), kKeyStep, 1.0)});
    mark.moveLeft(std::clamp(mark.left(), 0.0, 1 - mark.width()));
    mark.moveTop(std::clamp(mark.top(), 0.0, 1 - mark.height()));
    return mark;
}

}  // namespace

MarkedPicture::MarkedPicture(const std::array<QString, 2>& names, QWidget* parent)
    : PictureView(parent), names_(names) {
    setFocusPolicy(Qt::StrongFocus);
    setCursor(Qt::CrossCursor);
}

void MarkedPicture::setActive(int mark) {
    active_ = mark;
    update();
}

void MarkedPicture::setMark(int which, const QRectF& place) {
    marks_[static_cast<std::size_t>(which)] = within(place);
    update();
    Q_EMIT moved(which);
}

QPointF MarkedPicture::shareAt(const QPointF& point) const {
    const QRectF shown = shownIn();
    return {std::clamp((point.x() - shown.x()) / shown.width(), 0.0, 1.0),
            std::clamp((point.y() - shown.y()) / shown.height(), 0.0, 1.0)};
}

void MarkedPicture::paintEvent(QPaintEvent* event) {
    PictureView::paintEvent(event);
    if (picture().isNull()) return;
    QPainter painter(this);
    const QRectF shown = shownIn();
    for (int which = 0; which < 2; ++which) {
        const QRectF& place = marks_[static_cast<std::size_t>(which)];
        if (place.isNull()) continue;
        const QRectF box(shown.x() + place.x() * shown.width(), shown.y() + place.y() * shown.height(),
                         place.width() * shown.width(), place.height() * shown.height());
        // White on black, to be seen on any picture; told apart by the line and by the name.
        painter.setBrush(Qt::NoBrush);
        painter.setPen(QPen(Qt::black, 3));
        painter.drawRect(box);
        painter.setPen(QPen(Qt::white, 1, which == 0 ? Qt::SolidLine : Qt::DashLine));
        painter.drawRect(box);
        const QString& name = names_[static_cast<std::size_t>(which)];
        QRectF words(painter.fontMetrics().boundingRect(name).adjusted(-4, -2, 4, 2));
        words.moveBottomLeft(box.topLeft() - QPointF(0, 3));
        if (words.top() < shown.top()) words.moveTopLeft(box.bottomLeft() + QPointF(0, 3));
        words.moveLeft(
            std::clamp(words.left(), shown.left(), std::max(shown.left(), shown.right() - words.width())));
        painter.fillRect(words, Qt::black);
        painter.setPen(Qt::white);
        painter.drawText(words, Qt::AlignCenter, name);
    }
    if (hasFocus()) {
        painter.setPen(QPen(palette().color(QPalette::Highlight), 2));
        painter.drawRect(QRectF(rect()).adjusted(1, 1, -1, -1));
    }
}

void MarkedPicture::mousePressEvent(QMouseEvent* event) {
    if (event->button() != Qt::LeftButton || picture().isNull()) return;
    isDrawing_ = true;
    from_ = shareAt(event->position());
}

void MarkedPicture::mouseMoveEvent(QMouseEvent* event) {
    if (!isDrawing_) return;
    marks_[static_cast<std::size_t>(active_)] = QRectF(from_, shareAt(event->position())).normalized();
    update();
}

void MarkedPicture::mouseReleaseEvent(QMouseEvent* event) {
    if (!isDrawing_) return;
    isDrawing_ = false;
    const QRectF box = QRectF(from_, shareAt(event->position())).normalized();
    if (box.width() < kLeastShare || box.height() < kLeastShare) return update();
    marks_[static_cast<std::size_t>(active_)] = box;
    update();
    Q_EMIT drawn(active_);
}

void MarkedPicture::keyPressEvent(QKeyEvent* event) {
    QPointF by;
    if (event->key() == Qt::Key_Left) by = {-kKeyStep, 0};
    if (event->key() == Qt::Key_Right) by = {kKeyStep, 0};
    if (event->key() == Qt::Key_Up) by = {0, -kKeyStep};
    if (event->key() == Qt::Key_Down) by = {0, kKeyStep};
    if (by.isNull() || picture().isNull()) return QWidget::keyPressEvent(event);
    QRectF place = marks_[static_cast<std::size_t>(active_)];
    if (place.isNull()) {
        place = kFirstByKey;
    } else if (event->modifiers().testFlag(Qt::ShiftModifier)) {
        place.setSize(place.size() + QSizeF(by.x(), by.y()));
    } else {
        place.translate(by);
    }
    setMark(active_, place);
}

}  // namespace greywright::desktop

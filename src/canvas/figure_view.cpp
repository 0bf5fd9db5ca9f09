#include "canvas/figure_view.h"

#include <QEvent>
#include <QPainter>
#include <algorithm>
#include <cmath>
#include <utility>

#include "canvas/figure_export.h"
#include "figure/palette.h"

namespace greywright::canvas {
namespace {

constexpr int kReadOutPaddingPx = 3;
constexpr int kFocusRimPx = 2;

}  // namespace

FigureView::FigureView(QWidget* parent) : QWidget(parent) {
    setFocusPolicy(Qt::StrongFocus);
    setMouseTracking(true);
    setAttribute(Qt::WA_OpaquePaintEvent);
}

void FigureView::setShades(const Shades& shades) {
    ownShades_ = shades;
    picture_ = {};
    update();
}

Shades FigureView::shades() const {
    if (ownShades_) return *ownShades_;
    return {palette().color(QPalette::Window).lightnessF() < 0.5F ? Shades::Surface::dark
                                                                  : Shades::Surface::light};
}

void FigureView::setSource(const QString& text) {
    source_ = text;
}

figure::Scene FigureView::scene() const {
    ensurePage();
    figure::Scene whole = page_;
    for (figure::Primitive& mark : marks()) whole.primitives.push_back(std::move(mark));
    return withSource(std::move(whole), source_.toStdString());
}

QSize FigureView::sizeHint() const {
    return pixelsFrom(wantedSize());
}

QSize FigureView::minimumSizeHint() const {
    return pixelsFrom(leastSize());
}

void FigureView::figureChanged() {
    pageChanged();
    const QSize wanted = sizeHint(), least = minimumSizeHint();
    if (wanted != wanted_ || least != least_) updateGeometry();
    wanted_ = wanted;
    least_ = least;
    ensurePage();
    describe();
}

void FigureView::pageChanged() {
    stale_ = true;
    picture_ = {};
    update();
}

void FigureView::describe() {
    setAccessibleName(QString::fromStdString(page_.title));
    setAccessibleDescription(QString::fromStdString(page_.description));
}

void FigureView::setReadOut(const QString& text) {
    if (text == readOut_) return;
    readOut_ = text;
    update(0, height() - readOutHeight(), width(), readOutHeight());
    Q_EMIT hovered(text);
}

void FigureView::ensurePage() const {
    if (!stale_) return;
    stale_ = false;
    ++layouts_;
    const double screen = screenPixelsPerPt();
    const double heightPx = std::max(1, height() - readOutHeight());
    const PageSize least = leastSize();
    page_ =
        makePage({std::max(least.widthPt, width() / screen), std::max(least.heightPt, heightPx / screen)});
    // A page that needs more than there is becomes smaller as a whole.
    pixelsPerPt_ = std::min({screen, std::max(1, width()) / page_.widthPt, heightPx / page_.heightPt});
    leftPx_ = std::max(0.0, (width() - page_.widthPt * pixelsPerPt_) / 2);
}

figure::Point FigureView::toPage(QPointF at) const {
    ensurePage();
    return {(at.x() - leftPx_) / pixelsPerPt_, at.y() / pixelsPerPt_};
}

QPointF FigureView::fromPage(figure::Point at) const {
    ensurePage();
    return {leftPx_ + at.x * pixelsPerPt_, at.y * pixelsPerPt_};
}

void FigureView::ensurePicture() {
    ensurePage();
    const double ratio = devicePixelRatioF();
    const QSize wanted = (QSizeF(size()) * ratio).toSize();
    if (picture_.size() == wanted && picture_.devicePixelRatio() == ratio) return;
    picture_ = QPixmap(wanted);
    picture_.setDevicePixelRatio(ratio);
    picture_.fill(colourFrom(shades().page()));
    QPainter painter(&picture_);
    painter.translate(leftPx_, 0);
    paint(painter, page_, pixelsPerPt_, shades());
    describe();
}

void FigureView::paintEvent(QPaintEvent* /*event*/) {
    if (width() < 1 || height() < 1) return;
    ensurePicture();
    QPainter painter(this);
    painter.drawPixmap(0, 0, picture_);
    painter.save();
    painter.translate(leftPx_, 0);
    paintOver(painter, marks(), pixelsPerPt_, shades());
    paintOver(painter, handMarks(), pixelsPerPt_, shades());
    painter.restore();

    const QRect line(kReadOutPaddingPx + kFocusRimPx, height() - readOutHeight(),
                     width() - 2 * (kReadOutPaddingPx + kFocusRimPx), readOutHeight() - kFocusRimPx);
    painter.setPen(
        colourFrom(shades().shown(readOut_.isEmpty() ? figure::kQuietTextColour : figure::kTextColour)));
    painter.drawText(line, Qt::AlignLeft | Qt::AlignTop | Qt::TextWordWrap,
                     readOut_.isEmpty() ? hint() : readOut_);
    if (hasFocus()) {
        painter.setPen(QPen(colourFrom(shades().shown(figure::rgb(figure::Ink::petrol))), kFocusRimPx));
        painter.drawRect(QRectF(rect()).adjusted(1, 1, -1, -1));
    }
}

void FigureView::changeEvent(QEvent* event) {
    QWidget::changeEvent(event);
    if (event->type() == QEvent::PaletteChange) picture_ = {};
    if (event->type() == QEvent::FontChange) {
        pageChanged();
        updateGeometry();
    }
    update();
}

void FigureView::resizeEvent(QResizeEvent* event) {
    QWidget::resizeEvent(event);
    pageChanged();
}

void FigureView::focusInEvent(QFocusEvent* event) {
    QWidget::focusInEvent(event);
    update();
}

void FigureView::focusOutEvent(QFocusEvent* event) {
    QWidget::focusOutEvent(event);
    update();
}

double FigureView::screenPixelsPerPt() const {
    return logicalDpiY() / 72.0;
}

int FigureView::readOutHeight() const {
    constexpr int kLines = 3;
    return kLines * fontMetrics().lineSpacing() + 2 * kReadOutPaddingPx;
}

QSize FigureView::pixelsFrom(PageSize size) const {
    const double scale = screenPixelsPerPt();
    return {static_cast<int>(std::ceil(size.widthPt * scale)),
            static_cast<int>(std::ceil(size.heightPt * scale)) + readOutHeight()};
}

}  // namespace greywright::canvas

#include "steady_words.h"

#include <QPainter>
#include <algorithm>

namespace greywright::desktop {

SteadyWords::SteadyWords(int lines, QWidget* parent) : QWidget(parent), lines_(lines) {
    setSizePolicy(QSizePolicy::Expanding, QSizePolicy::Fixed);
}

void SteadyWords::setText(const QString& text) {
    if (text == text_) return;
    text_ = text;
    setAccessibleName(text);
    makeRoom();
    update();
}

void SteadyWords::makeRoom() {
    constexpr int kTall = 10'000;
    const QRect needed =
        fontMetrics().boundingRect(QRect(0, 0, std::max(1, width()), kTall), Qt::TextWordWrap, text_);
    const int lines = (needed.height() + fontMetrics().lineSpacing() - 1) / fontMetrics().lineSpacing();
    if (lines <= lines_) return;
    lines_ = lines;
    updateGeometry();
}

void SteadyWords::resizeEvent(QResizeEvent* event) {
    QWidget::resizeEvent(event);
    makeRoom();
}

QSize SteadyWords::sizeHint() const {
    constexpr int kWidthInLetters = 40;
    return {kWidthInLetters * fontMetrics().averageCharWidth(), minimumSizeHint().height()};
}

QSize SteadyWords::minimumSizeHint() const {
    return {1, lines_ * fontMetrics().lineSpacing()};
}

void SteadyWords::paintEvent(QPaintEvent* /*event*/) {
    QPainter painter(this);
    painter.setPen(palette().color(QPalette::WindowText));
    painter.drawText(rect(), Qt::AlignLeft | Qt::AlignTop | Qt::TextWordWrap, text_);
}

}  // namespace greywright::desktop

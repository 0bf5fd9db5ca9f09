#include "steady_words.h"

#include <QAccessibleWidget>
#include <QAction>
#include <QApplication>
#include <QClipboard>
#include <QPainter>
#include <QResizeEvent>
#include <QStyleOption>
#include <algorithm>

namespace greywright::desktop {

namespace {

/// To whoever has the window read aloud these are words, not an empty area.
QAccessibleInterface* spokenWords(const QString& kind, QObject* object) {
    if (kind != QLatin1String(SteadyWords::staticMetaObject.className())) return nullptr;
    auto* words = qobject_cast<SteadyWords*>(object);
    return words == nullptr ? nullptr : new QAccessibleWidget(words, QAccessible::StaticText, words->text());
}

}  // namespace

SteadyWords::SteadyWords(int lines, QWidget* parent) : QWidget(parent), least_(lines), lines_(lines) {
    static const bool isInstalled = (QAccessible::installFactory(spokenWords), true);
    (void)isInstalled;
    setSizePolicy(QSizePolicy::Expanding, QSizePolicy::Fixed);
    setFocusPolicy(Qt::StrongFocus);
    setContextMenuPolicy(Qt::ActionsContextMenu);
    auto* copy = new QAction(tr("Copy"), this);
    copy->setShortcut(QKeySequence::Copy);
    copy->setShortcutContext(Qt::WidgetShortcut);
    connect(copy, &QAction::triggered, this, [this] { QApplication::clipboard()->setText(text_); });
    addAction(copy);
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
    lines_ = std::max(lines_, lines);
    if (height() != minimumSizeHint().height()) updateGeometry();
}

void SteadyWords::resizeEvent(QResizeEvent* event) {
    QWidget::resizeEvent(event);
    if (event->oldSize().width() != event->size().width()) lines_ = least_;
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
    if (hasFocus()) {
        QStyleOptionFocusRect rim;
        rim.initFrom(this);
        style()->drawPrimitive(QStyle::PE_FrameFocusRect, &rim, &painter, this);
    }
}

}  // namespace greywright::desktop

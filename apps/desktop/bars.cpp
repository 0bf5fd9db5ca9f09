#include "bars.h"

#include <QAccessible>
#include <QHBoxLayout>
#include <QLabel>
#include <QProgressBar>
#include <QPushButton>
#include <QToolButton>
#include <QVBoxLayout>
#include <cmath>

#include "text.h"

namespace greywright::desktop {
namespace {

// Work that is over sooner is never shown.
constexpr int kShowAfterMs = 250;
constexpr int kLookEveryMs = 100;

}  // namespace

MessageBar::MessageBar(QWidget* parent)
    : QFrame(parent),
      sign_(headingLabel(this, {}, 1.4)),
      title_(headingLabel(this, {}, 1.0)),
      words_(wordsLabel(this)),
      close_(new QToolButton(this)) {
    setFrameShape(QFrame::StyledPanel);
    setAutoFillBackground(true);
    setBackgroundRole(QPalette::Base);
    sign_->setWordWrap(false);
    close_->setText(tr("Close"));
    close_->setAccessibleName(tr("Close this message"));
    connect(close_, &QToolButton::clicked, this, &QWidget::hide);
    auto* words = new QVBoxLayout;
    words->addWidget(title_);
    words->addWidget(words_);
    auto* row = new QHBoxLayout(this);
    row->addWidget(sign_, 0, Qt::AlignTop);
    row->addLayout(words, 1);
    row->addWidget(close_, 0, Qt::AlignTop);
    hide();
}

void MessageBar::say(Weight weight, const QString& title, const QString& words) {
    code_.clear();
    isWord_ = weight == Weight::word;
    sign_->setText(weight == Weight::warning ? QStringLiteral("!") : QStringLiteral("i"));
    sign_->setAccessibleName(weight == Weight::warning ? tr("Warning") : tr("Message"));
    title_->setText(title);
    words_->setText(words);
    words_->setVisible(!words.isEmpty());
    setAccessibleName(title);
    setAccessibleDescription(words);
    show();
    QAccessibleEvent event(this, QAccessible::Alert);
    QAccessible::updateAccessibility(&event);
}

void MessageBar::tell(const QString& title, const Error& error) {
    say(Weight::warning, title, textOf(error));
    code_ = error.code;
}

void MessageBar::forget() {
    if (isWord_) hide();
}

QString MessageBar::shownText() const {
    return isHidden() ? QString() : title_->text() + QLatin1Char('\n') + words_->text();
}

TaskBar::TaskBar(Tasks& tasks, QWidget* parent)
    : QFrame(parent),
      tasks_(tasks),
      title_(new QLabel(this)),
      bar_(new QProgressBar(this)),
      stop_(new QPushButton(tr("Stop"), this)) {
    auto* row = new QHBoxLayout(this);
    row->setContentsMargins(12, 4, 12, 4);
    row->addWidget(title_);
    row->addWidget(bar_, 1);
    row->addWidget(stop_);
    bar_->setRange(0, 1000);
    bar_->setTextVisible(true);
    title_->setTextFormat(Qt::PlainText);
    stop_->setObjectName(QStringLiteral("stop"));
    connect(stop_, &QPushButton::clicked, this, [this] {
        if (const auto shown = tasks_.shown(); !shown.empty()) shown.front()->stop();
        stop_->setEnabled(false);
    });
    connect(&tasks_, &Tasks::began, this, [this] {
        if (!timer_.isActive()) timer_.start(isHidden() ? kShowAfterMs : kLookEveryMs);
    });
    connect(&tasks_, &Tasks::ended, this, &TaskBar::look);
    connect(&timer_, &QTimer::timeout, this, &TaskBar::look);
    hide();
}

void TaskBar::look() {
    const auto shown = tasks_.shown();
    if (shown.empty()) {
        timer_.stop();
        hide();
        return;
    }
    if (!timer_.isActive()) return;  // too short so far to be shown
    timer_.setInterval(kLookEveryMs);
    const TaskPointer& first = shown.front();
    title_->setText(
        shown.size() > 1
            ? tr("%1 (and %n more)", nullptr, static_cast<int>(shown.size()) - 1).arg(first->title())
            : first->title());
    bar_->setAccessibleName(title_->text());
    bar_->setValue(static_cast<int>(std::lround(first->share() * 1000)));
    stop_->setEnabled(!first->isStopped());
    show();
}

}  // namespace greywright::desktop

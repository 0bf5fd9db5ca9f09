#include "start_page.h"

#include <QFileInfo>
#include <QLabel>
#include <QPushButton>
#include <QVBoxLayout>

#include "section.h"
#include "text.h"

namespace greywright::desktop {

StartPage::StartPage(QWidget* parent) : QWidget(parent), lately_(new QWidget(this)) {
    auto* outer = new QHBoxLayout(this);
    auto* page = new QWidget(this);
    page->setMaximumWidth(720);
    outer->addStretch(1);
    outer->addWidget(page, 4);
    outer->addStretch(1);
    auto* column = new QVBoxLayout(page);
    column->setSpacing(10);
    column->addStretch(1);
    column->addWidget(headingLabel(page, tr("Greywright"), 2.4));
    column->addWidget(
        wordsLabel(page, tr("Black-and-white prints in which nobody sees a colour cast, from the first test "
                            "sheet to the signed print.")));
    column->addSpacing(18);
    const auto offer = [&](const QString& words, const QString& detail, const char* name, auto signal) {
        QPushButton* one = button(page, words, name);
        QFont font = one->font();
        font.setPointSizeF(font.pointSizeF() * 1.15);
        one->setFont(font);
        one->setMinimumHeight(44);
        one->setAccessibleDescription(detail);
        column->addWidget(one);
        column->addWidget(wordsLabel(page, detail));
        column->addSpacing(8);
        connect(one, &QPushButton::clicked, this, signal);
    };
    offer(tr("&Start a book"), tr("One file for all your printers and papers. Nothing leaves this computer."),
          "start", &StartPage::startWanted);
    offer(tr("&Open a book"), tr("The command line and this window share it."), "open",
          &StartPage::openWanted);
    offer(tr("&Look around in an invented studio"),
          tr("Two printers and their papers, all invented, with trials to play with."), "invented",
          &StartPage::inventedWanted);
    books_ = new QVBoxLayout(lately_);
    books_->setContentsMargins(0, 0, 0, 0);
    column->addWidget(lately_);
    column->addStretch(2);
}

void StartPage::showBooks(const QStringList& books) {
    while (QLayoutItem* item = books_->takeAt(0)) {
        delete item->widget();
        delete item;
    }
    for (const QString& path : books) {
        if (!QFileInfo::exists(path)) continue;
        if (books_->count() == 0) books_->addWidget(headingLabel(lately_, tr("Opened lately"), 1.1));
        auto* one = new QPushButton(QFileInfo(path).fileName(), lately_);
        one->setToolTip(path);
        one->setFlat(true);
        one->setStyleSheet(QStringLiteral("text-align: left; text-decoration: underline; padding: 4px;"));
        one->setAccessibleDescription(path);
        books_->addWidget(one);
        connect(one, &QPushButton::clicked, this, [this, path] { Q_EMIT bookWanted(path); });
    }
    lately_->setVisible(books_->count() > 0);
}

}  // namespace greywright::desktop

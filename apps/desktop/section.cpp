#include "section.h"

#include <QBoxLayout>
#include <QFileDialog>
#include <QHeaderView>
#include <QLabel>
#include <QPushButton>
#include <QResizeEvent>
#include <QScrollBar>
#include <QToolButton>
#include <algorithm>
#include <utility>

#include "canvas/figure_export.h"
#include "models.h"
#include "text.h"

namespace greywright::desktop {

Section::Section(const QString& title, QWidget* parent)
    : QWidget(parent), title_(headingLabel(this, title, 1.25)), column_(new QVBoxLayout(this)) {
    column_->setContentsMargins(0, 18, 0, 0);
    column_->setSpacing(8);
    column_->addWidget(title_);
    setAccessibleName(title);
}

Flow::Flow(int leastWidth, QWidget* parent)
    : QWidget(parent), leastWidth_(leastWidth), box_(new QBoxLayout(QBoxLayout::LeftToRight, this)) {
    box_->setContentsMargins(0, 0, 0, 0);
    box_->setSpacing(16);
}

void Flow::add(QWidget* part, int stretch) {
    box_->addWidget(part, stretch, Qt::AlignTop);
}

// As wide as its widest part: they can always stand below each other.
QSize Flow::minimumSizeHint() const {
    QSize least = QWidget::minimumSizeHint();
    least.setWidth(0);
    for (int i = 0; i < box_->count(); ++i)
        least.setWidth(std::max(least.width(), box_->itemAt(i)->minimumSize().width()));
    return least;
}

void Flow::resizeEvent(QResizeEvent* event) {
    QWidget::resizeEvent(event);
    int inARow = box_->spacing() * (box_->count() - 1);
    for (int i = 0; i < box_->count(); ++i) inARow += box_->itemAt(i)->minimumSize().width();
    const auto wanted = event->size().width() >= std::max(leastWidth_, inARow) ? QBoxLayout::LeftToRight
                                                                               : QBoxLayout::TopToBottom;
    if (box_->direction() != wanted) box_->setDirection(wanted);
}

FigureFrame::FigureFrame(canvas::FigureView* view, const QString& name, QWidget* parent)
    : QWidget(parent), view_(view), name_(name) {
    auto* column = new QVBoxLayout(this);
    column->setContentsMargins(0, 0, 0, 0);
    column->setSpacing(2);
    column->addWidget(view_, 1);
    auto* row = new QHBoxLayout;
    row->addStretch(1);
    const auto tool = [&](const QString& words, const QString& spoken) {
        auto* out = new QToolButton(this);
        out->setText(words);
        out->setAccessibleName(spoken);
        out->setToolTip(spoken);
        row->addWidget(out);
        return out;
    };
    connect(tool(tr("Copy"), tr("Copy this figure: %1").arg(name)), &QToolButton::clicked, this, [this] {
        canvas::copyFigure(view_->scene());
        Q_EMIT said(tr("The figure is on the clipboard"));
    });
    connect(tool(tr("Save…"), tr("Save this figure: %1").arg(name)), &QToolButton::clicked, this,
            &FigureFrame::save);
    column->addLayout(row);
}

void FigureFrame::save() {
    const QString path =
        QFileDialog::getSaveFileName(this, tr("Save the figure"), name_ + QStringLiteral(".svg"),
                                     tr("Vector graphics (*.svg);;Picture (*.png);;Page (*.pdf)"));
    if (path.isEmpty()) return;
    if (const Outcome saved = canvas::saveFigure(view_->scene(), text(path)); !saved) {
        Q_EMIT failed(tr("The figure was not saved"), saved.error());
    } else {
        Q_EMIT said(tr("Saved: %1").arg(path));
    }
}

RowsView::RowsView(TableModel* rows, int mostRows, QWidget* parent)
    : QTableView(parent), mostRows_(mostRows) {
    setModel(rows);
    setSelectionBehavior(SelectRows);
    setSelectionMode(SingleSelection);
    setTabKeyNavigation(false);
    setShowGrid(false);
    setAlternatingRowColors(true);
    setWordWrap(false);
    setEditTriggers(NoEditTriggers);
    setHorizontalScrollMode(ScrollPerPixel);
    verticalHeader()->hide();
    verticalHeader()->setSectionResizeMode(QHeaderView::Fixed);
    verticalHeader()->setDefaultSectionSize(fontMetrics().height() + 8);
    horizontalHeader()->setHighlightSections(false);
    horizontalHeader()->setDefaultAlignment(Qt::AlignLeft | Qt::AlignVCenter);
    setSizePolicy(QSizePolicy::Expanding, QSizePolicy::Fixed);
    connect(rows, &QAbstractItemModel::modelReset, this, [this] { fit({}); });
    // While the same rows change, columns only grow, so that nothing moves to and fro.
    connect(rows, &QAbstractItemModel::dataChanged, this, [this] {
        std::vector<int> widths;
        for (int column = 0; column < this->model()->columnCount(); ++column)
            widths.push_back(columnWidth(column));
        fit(widths);
    });
}

void RowsView::fit(const std::vector<int>& least) {
    constexpr int kBetweenPx = 14;
    for (int column = 0; column < model()->columnCount(); ++column) {
        const int wanted =
            std::max(sizeHintForColumn(column), horizontalHeader()->sectionSizeHint(column)) + kBetweenPx;
        const auto index = static_cast<std::size_t>(column);
        setColumnWidth(column, index < least.size() ? std::max(wanted, least[index]) : wanted);
    }
    const bool isScrolled = model()->rowCount() > mostRows_;
    const QSize most(horizontalHeader()->length() + 2 * frameWidth() +
                         (isScrolled ? verticalScrollBar()->sizeHint().width() : 0),
                     QWIDGETSIZE_MAX);
    if (maximumSize() != most) setMaximumSize(most);
    const QSize wanted = sizeHint();
    if (std::exchange(fitted_, wanted) != wanted) updateGeometry();
}

QSize RowsView::sizeHint() const {
    const int rows = std::clamp(model()->rowCount(), 1, mostRows_);
    const int bar = isTooNarrow_ ? horizontalScrollBar()->sizeHint().height() : 0;
    return {200, horizontalHeader()->sizeHint().height() + rows * verticalHeader()->defaultSectionSize() +
                     2 * frameWidth() + 2 + bar};
}

// A bar for what is beside must not lie over the last row.
void RowsView::resizeEvent(QResizeEvent* event) {
    QTableView::resizeEvent(event);
    const bool isTooNarrow = horizontalHeader()->length() > viewport()->width();
    if (std::exchange(isTooNarrow_, isTooNarrow) != isTooNarrow) updateGeometry();
}

void RowsView::choose(int row) {
    if (row < 0 || row >= model()->rowCount() || currentIndex().row() == row) return;
    isChoosing_ = true;
    setCurrentIndex(model()->index(row, 0));
    isChoosing_ = false;
}

void RowsView::currentChanged(const QModelIndex& current, const QModelIndex& previous) {
    QTableView::currentChanged(current, previous);
    if (!isChoosing_ && current.isValid() && current.row() != previous.row()) Q_EMIT chosen(current.row());
}

QPushButton* button(QWidget* parent, const QString& text, const char* name) {
    auto* out = new QPushButton(text, parent);
    out->setObjectName(QString::fromLatin1(name));
    return out;
}

}  // namespace greywright::desktop

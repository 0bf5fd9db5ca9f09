#include "canvas/strip_view.h"

#include <QKeyEvent>
#include <QMouseEvent>
#include <algorithm>
#include <cmath>
#include <string>
#include <utility>

#include "core/numbers.h"
#include "figure/palette.h"

namespace greywright::canvas {
namespace {

constexpr double kLeastStripWidthPt = 150;
constexpr double kFramePt = 1.3;

std::string joined(const std::string& first, const std::string& second) {
    if (first.empty() || second.empty()) return first + second;
    return first + " · " + second;
}

std::string wordsOf(const figure::Strip& strip, const figure::PlacedCell& cell) {
    std::string label = strip.rows[cell.row].swatches[cell.column].label;
    // Patches below each other share the label of the one that has it.
    for (const figure::SwatchRow& row : strip.rows) {
        if (label.empty() && cell.column < row.swatches.size()) label = row.swatches[cell.column].label;
    }
    return joined(strip.rows[cell.row].name, label);
}

std::string wordsOf(const figure::Cells& cells, const figure::PlacedCell& cell) {
    const double fraction = cells.rows[cell.row].fractions[cell.column];
    const std::string column = cells.columns[cell.column];
    const std::string where = joined(
        cells.rows[cell.row].name, cells.columnsTitle.empty() ? column : cells.columnsTitle + ": " + column);
    return joined(where,
                  std::isfinite(fraction) ? textFromNumber(100 * fraction, 1) + " %" : "nothing known");
}

}  // namespace

StripView::StripView(QWidget* parent) : FigureView(parent) {
    QSizePolicy policy(QSizePolicy::Expanding, QSizePolicy::Fixed);
    policy.setHeightForWidth(true);
    setSizePolicy(policy);
    figureChanged();
}

void StripView::setStrip(figure::Strip strip) {
    figure_ = std::move(strip);
    figureChanged();
    setReadOut({});
}

void StripView::setCells(figure::Cells cells) {
    figure_ = std::move(cells);
    figureChanged();
    setReadOut({});
}

void StripView::setMarkedColumn(std::optional<int> column) {
    if (column == marked_) return;
    marked_ = column;
    update();
}

std::optional<QRectF> StripView::pixelBox(int row, int column) const {
    ensurePage();
    for (const figure::PlacedCell& cell : page_.cells) {
        if (std::cmp_not_equal(cell.row, row) || std::cmp_not_equal(cell.column, column)) continue;
        return QRectF(fromPage({cell.box.left, cell.box.top}),
                      fromPage({cell.box.right(), cell.box.bottom()}));
    }
    return {};
}

int StripView::heightForWidth(int width) const {
    const double widthPt = std::max(kLeastStripWidthPt, width / screenPixelsPerPt());
    return pixelsFrom({widthPt, layOutFor(widthPt).scene.heightPt}).height();
}

figure::Scene StripView::makePage(PageSize size) const {
    page_ = layOutFor(size.widthPt);
    return page_.scene;
}

FigureView::PageSize StripView::wantedSize() const {
    const double widthPt =
        std::max(kLeastStripWidthPt, std::visit([](const auto& one) { return one.widthPt; }, figure_));
    return {widthPt, layOutFor(widthPt).scene.heightPt};
}

FigureView::PageSize StripView::leastSize() const {
    return {kLeastStripWidthPt, wantedSize().heightPt};
}

std::vector<figure::Primitive> StripView::marks() const {
    if (!marked_) return {};
    ensurePage();
    std::optional<figure::Rect> all;
    for (const figure::PlacedCell& cell : page_.cells) {
        if (std::cmp_not_equal(cell.column, *marked_)) continue;
        if (!all) all = cell.box;
        const double bottom = std::max(all->bottom(), cell.box.bottom());
        all->top = std::min(all->top, cell.box.top);
        all->height = bottom - all->top;
    }
    if (!all) return {};
    const double out = 1.5;
    const std::vector<figure::Point> ring{{all->left - out, all->top - out},
                                          {all->right() + out, all->top - out},
                                          {all->right() + out, all->bottom() + out},
                                          {all->left - out, all->bottom() + out}};
    // A light rim and a dark one: it is seen on any patch.
    return {figure::Polygon{{ring}, {}, figure::Stroke{figure::kWhite, 2 * kFramePt, {}}},
            figure::Polygon{{ring}, {}, figure::Stroke{figure::kTextColour, kFramePt, {}}}};
}

void StripView::mousePressEvent(QMouseEvent* event) {
    const figure::PlacedCell* cell = cellAt(event->position());
    if (event->button() != Qt::LeftButton || cell == nullptr) return event->ignore();
    const int row = static_cast<int>(cell->row);
    const int column = static_cast<int>(cell->column);
    Q_EMIT picked(row, column);
    Q_EMIT pickedColumn(column);
}

void StripView::mouseMoveEvent(QMouseEvent* event) {
    const figure::PlacedCell* cell = cellAt(event->position());
    setReadOut(cell == nullptr ? QString() : words(*cell));
}

void StripView::leaveEvent(QEvent* event) {
    FigureView::leaveEvent(event);
    setReadOut({});
}

void StripView::keyPressEvent(QKeyEvent* event) {
    const int direction = event->key() == Qt::Key_Right ? 1 : event->key() == Qt::Key_Left ? -1 : 0;
    const int count = columns();
    if (direction == 0 || count == 0) return FigureView::keyPressEvent(event);
    const int from = marked_.value_or(direction > 0 ? -1 : count);
    const int column = std::clamp(from + direction, 0, count - 1);
    if (column == marked_) return;
    setMarkedColumn(column);
    for (const figure::PlacedCell& cell : page_.cells) {
        if (std::cmp_equal(cell.column, column)) {
            setReadOut(words(cell));
            break;
        }
    }
    Q_EMIT pickedColumn(column);
}

const figure::PlacedCell* StripView::cellAt(QPointF pixel) const {
    const figure::Point at = toPage(pixel);
    const auto found = std::ranges::find_if(
        page_.cells, [&](const figure::PlacedCell& cell) { return cell.box.contains(at); });
    return found == page_.cells.end() ? nullptr : &*found;
}

figure::CellPage StripView::layOutFor(double widthPt) const {
    return std::visit(
        [&](auto sized) {
            sized.widthPt = widthPt;
            return figure::layOut(sized);
        },
        figure_);
}

int StripView::columns() const {
    ensurePage();
    std::size_t count = 0;
    for (const figure::PlacedCell& cell : page_.cells) count = std::max(count, cell.column + 1);
    return static_cast<int>(count);
}

QString StripView::words(const figure::PlacedCell& cell) const {
    return QString::fromStdString(
        std::visit([&](const auto& shown) { return wordsOf(shown, cell); }, figure_));
}

}  // namespace greywright::canvas

#pragma once

#include <optional>
#include <variant>

#include "canvas/figure_view.h"
#include "figure/layout.h"
#include "figure/plot.h"

namespace greywright::canvas {

/// A strip of patches or a table of cells that answers the hand: hovering reads a patch or a cell, a click
/// picks it, Left and Right move the picked column.
class StripView : public FigureView {
    Q_OBJECT
  public:
    explicit StripView(QWidget* parent = nullptr);

    /// Shows a strip or cells; the width follows the widget. Shape: as for figure::sceneFromCells.
    void setStrip(figure::Strip strip);
    void setCells(figure::Cells cells);

    /// Draws a frame around one column: the picked tone. Emits nothing; a column that does not exist draws
    /// nothing.
    void setMarkedColumn(std::optional<int> column);
    [[nodiscard]] std::optional<int> markedColumn() const { return marked_; }

    /// Where a patch or cell is in the widget. Units: the widget's pixels. Nothing if it does not exist.
    [[nodiscard]] std::optional<QRectF> pixelBox(int row, int column) const;

    [[nodiscard]] bool hasHeightForWidth() const override { return true; }
    [[nodiscard]] int heightForWidth(int width) const override;

  Q_SIGNALS:
    /// A click on a patch or cell, counted from 0.
    void picked(int row, int column);
    /// A column was picked by a click, or by Left or Right, which move the marked column as well.
    void pickedColumn(int column);

  protected:
    figure::Scene makePage(PageSize size) const override;
    [[nodiscard]] PageSize wantedSize() const override;
    [[nodiscard]] PageSize leastSize() const override;
    [[nodiscard]] std::vector<figure::Primitive> marks() const override;

    void mousePressEvent(QMouseEvent* event) override;
    void mouseMoveEvent(QMouseEvent* event) override;
    void leaveEvent(QEvent* event) override;
    void keyPressEvent(QKeyEvent* event) override;

  private:
    [[nodiscard]] const figure::PlacedCell* cellAt(QPointF pixel) const;
    [[nodiscard]] figure::CellPage layOutFor(double widthPt) const;
    [[nodiscard]] int columns() const;
    [[nodiscard]] QString words(const figure::PlacedCell& cell) const;

    std::variant<figure::Strip, figure::Cells> figure_ = {};
    std::optional<int> marked_ = {};
    mutable figure::CellPage page_ = {};
};

}  // namespace greywright::canvas

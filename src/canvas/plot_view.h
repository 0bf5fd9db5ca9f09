#pragma once

#include <optional>
#include <vector>

#include "canvas/figure_view.h"
#include "figure/layout.h"
#include "figure/plot.h"

namespace greywright::canvas {

/// A plot that answers the hand.
///
/// Pointer: hovering reads the nearest value; dragging over the plot zooms into the rectangle; the wheel
/// zooms about the pointer; a double click goes back to the whole; a click picks a place; the cross, where
/// there is one, can be dragged. Keyboard: + and - zoom, arrows move the view when zoomed in and the picked
/// tone when not, 0 and Escape go back to the whole. With a cross, arrows move the cross by its step, and
/// Shift with arrows moves the view.
class PlotView : public FigureView {
    Q_OBJECT
  public:
    explicit PlotView(QWidget* parent = nullptr);

    /// Shows `plot`. A zoom stays if the axes are still the same (titles and units), else it is undone.
    /// Shape: as for figure::sceneFromPlot; its size is what sizeHint asks for.
    void setPlot(figure::Plot plot);
    [[nodiscard]] const figure::Plot& plot() const { return plot_; }

    /// Draws a line across the plot at this value of the x axis: the picked tone. Emits nothing.
    void setMarkX(std::optional<double> x);
    [[nodiscard]] std::optional<double> markX() const { return markX_; }

    /// Draws a cross that can be dragged; one that lies outside the axes is not drawn. Emits nothing.
    void setCross(std::optional<figure::XY> at);
    [[nodiscard]] std::optional<figure::XY> cross() const { return cross_; }

    /// How far an arrow key moves the cross. Valid: both above 0. Without it, a hundredth of each axis.
    void setCrossStep(double dx, double dy);

    /// Shows only this part of the axes. Valid: both with a width.
    void zoomTo(figure::Range x, figure::Range y);
    void showWhole();
    [[nodiscard]] bool zoomed() const { return zoom_.has_value(); }

    /// What the axes show now.
    [[nodiscard]] figure::Range shownX() const;
    [[nodiscard]] figure::Range shownY() const;

    /// Where a place of the data is in the widget, and the other way round; nothing while there is no data.
    /// Units: the widget's pixels.
    [[nodiscard]] std::optional<QPointF> pixelFrom(figure::XY at) const;
    [[nodiscard]] std::optional<figure::XY> placeAt(QPointF pixel) const;

  Q_SIGNALS:
    /// A click on the plot, in the units of its axes.
    void picked(double x, double y);
    /// Left or Right moved the picked tone to the next sample of the lines, and markX with it.
    void pickedX(double x);
    /// The cross is being moved, by hand or by key.
    void crossMoved(double x, double y);
    /// The cross has been let go, or moved by a key.
    void crossDropped(double x, double y);
    /// The view was zoomed, moved, or is whole again.
    void viewChanged();

  protected:
    figure::Scene makePage(PageSize size) const override;
    [[nodiscard]] PageSize wantedSize() const override;
    [[nodiscard]] PageSize leastSize() const override;
    [[nodiscard]] std::vector<figure::Primitive> marks() const override;
    [[nodiscard]] std::vector<figure::Primitive> handMarks() const override;
    [[nodiscard]] QString hint() const override {
        if (!hasAxes()) return {};
        return zoomed() ? tr("Double-click to see all of it again.")
                        : tr("Point at it to read values, drag to zoom in.");
    }

    void mousePressEvent(QMouseEvent* event) override;
    void mouseMoveEvent(QMouseEvent* event) override;
    void mouseReleaseEvent(QMouseEvent* event) override;
    void mouseDoubleClickEvent(QMouseEvent* event) override;
    void wheelEvent(QWheelEvent* event) override;
    void leaveEvent(QEvent* event) override;
    void keyPressEvent(QKeyEvent* event) override;

  private:
    enum class Drag { none, pressed, rectangle, cross };
    struct View {
        figure::Range x = {};
        figure::Range y = {};
    };

    [[nodiscard]] bool hasAxes() const;
    [[nodiscard]] bool onArea(QPointF pixel) const;
    [[nodiscard]] bool onCross(QPointF pixel) const;
    [[nodiscard]] QPointF heldOnArea(QPointF pixel) const;
    void setView(std::optional<View> view);
    void zoomAbout(figure::XY fixed, double factor);
    void zoomByKey(double factor);
    void moveView(double stepsX, double stepsY);
    void zoomIntoRectangle();
    void moveCrossTo(figure::XY at);
    void updateCross();
    void stepCross(double stepsX, double stepsY);
    void stepMark(int direction);
    void arrow(double stepsX, double stepsY, QKeyEvent& event);
    void hover(QPointF pixel);
    void readAtMark();
    void endDrag();

    figure::Plot plot_ = {};
    std::optional<View> zoom_ = {};
    std::optional<double> markX_ = {};
    std::optional<figure::XY> cross_ = {};
    std::optional<figure::XY> crossStep_ = {};
    std::optional<figure::Point> hoverAt_ = {};  ///< on the page
    Drag drag_ = Drag::none;
    QPointF pressedAt_ = {};
    QPointF draggedTo_ = {};
    mutable figure::Axes axes_ = {};
    mutable View whole_ = {};  ///< what the axes show when not zoomed
};

}  // namespace greywright::canvas

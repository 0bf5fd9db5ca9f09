#include "canvas/plot_view.h"

#include <QApplication>
#include <QKeyEvent>
#include <QMouseEvent>
#include <QWheelEvent>
#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "canvas/readings.h"
#include "core/contract.h"
#include "figure/palette.h"
#include "figure/style.h"
#include "figure/type.h"

namespace greywright::canvas {
namespace {

using figure::Point;
using figure::Primitive;
using figure::Range;
using figure::Rect;
using figure::XY;

constexpr double kMostZoom = 1000;       // of each axis
constexpr double kZoomPerNotch = 1.25;   // of a wheel, which turns by 120
constexpr double kMovePerKey = 0.1;      // of what is shown
constexpr double kLeastRectanglePx = 8;  // a side shorter than that leaves its axis alone
constexpr double kCrossReachPx = 12;
constexpr double kCrossArmPt = 8;
constexpr double kHoverRadiusPt = 4.5;

Range scaledAbout(Range range, double fixed, double factor) {
    return {fixed + (range.low - fixed) * factor, fixed + (range.high - fixed) * factor};
}

Range moved(Range range, double by) {
    return {range.low + by, range.high + by};
}

/// No wider than `whole`, no narrower than a share of it, and within it.
Range heldWithin(Range range, Range whole) {
    const double span = std::clamp(range.span(), whole.span() / kMostZoom, whole.span());
    const double middle = range.low / 2 + range.high / 2;
    const double low = std::clamp(middle - span / 2, whole.low, std::max(whole.low, whole.high - span));
    return {low, low + span};
}

bool sameAxis(const figure::Axis& one, const figure::Axis& other) {
    return one.title == other.title && one.unit == other.unit;
}

void addCross(std::vector<Primitive>& out, Point at) {
    const auto arms = [&](figure::Stroke stroke) {
        for (const Point arm : {Point{kCrossArmPt, 0}, Point{0, kCrossArmPt}}) {
            out.emplace_back(
                figure::Polyline{{{at.x - arm.x, at.y - arm.y}, {at.x + arm.x, at.y + arm.y}}, stroke});
        }
    };
    arms({figure::kWhite, 4, {}});
    arms({figure::kTextColour, 1.6, {}});
    out.emplace_back(figure::Circle{at, kCrossArmPt / 2, {}, figure::Stroke{figure::kWhite, 3.4, {}}});
    out.emplace_back(figure::Circle{at, kCrossArmPt / 2, {}, figure::Stroke{figure::kTextColour, 1.4, {}}});
}

void addMark(std::vector<Primitive>& out, double x, const Rect& area, std::string words) {
    const figure::Stroke stroke{figure::rgb(figure::Ink::plum), 1.1, {}};
    out.emplace_back(figure::Polyline{{{x, area.top}, {x, area.bottom()}}, stroke});
    figure::Text text{.at = {x + 3, area.top + figure::kAscent * figure::kLabelSizePt},
                      .text = std::move(words),
                      .sizePt = figure::kLabelSizePt,
                      .colour = figure::rgb(figure::Ink::plum),
                      .halo = true};
    if (figure::textBox(text).right() > area.right()) {
        text.at.x = x - 3;
        text.anchor = figure::Anchor::end;
    }
    out.emplace_back(std::move(text));
}

}  // namespace

PlotView::PlotView(QWidget* parent) : FigureView(parent) {
    setSizePolicy(QSizePolicy::Expanding, QSizePolicy::Expanding);
    figureChanged();
}

void PlotView::setPlot(figure::Plot plot) {
    const bool sameAxes = sameAxis(plot.x, plot_.x) && sameAxis(plot.y, plot_.y);
    plot_ = std::move(plot);
    drag_ = Drag::none;
    hoverAt_ = {};
    const bool wasZoomed = zoomed();
    const std::optional<View> kept = sameAxes ? zoom_ : std::nullopt;
    zoom_ = {};
    figureChanged();  // finds out what the whole is
    if (kept && hasAxes()) {
        setView(kept);
    } else if (wasZoomed) {
        Q_EMIT viewChanged();
    }
    setReadOut({});
    readAtMark();
}

void PlotView::setMarkX(std::optional<double> x) {
    if (x == markX_) return;
    markX_ = x;
    update();
    if (!hoverAt_) readAtMark();
}

void PlotView::setCross(std::optional<XY> at) {
    if (at == cross_) return;
    updateCross();
    cross_ = at;
    updateCross();
}

// A cross that is dragged over a large map paints only what lies under it.
void PlotView::updateCross() {
    if (!cross_ || !hasAxes()) return;
    constexpr double kReachPt = kCrossArmPt + 3;  // arms, their white rim, and a pixel's rounding
    const Point middle = axes_.toPage(*cross_);
    update(QRectF(fromPage({middle.x - kReachPt, middle.y - kReachPt}),
                  fromPage({middle.x + kReachPt, middle.y + kReachPt}))
               .toAlignedRect());
}

void PlotView::setCrossStep(double dx, double dy) {
    expects(dx > 0 && dy > 0, "a cross moves by steps above 0");
    crossStep_ = XY{dx, dy};
}

void PlotView::zoomTo(Range x, Range y) {
    expects(x.span() > 0 && y.span() > 0, "a zoom has a width and a height");
    ensurePage();
    if (hasAxes()) setView(View{x, y});
}

void PlotView::showWhole() {
    setView({});
}

Range PlotView::shownX() const {
    ensurePage();
    return axes_.x;
}

Range PlotView::shownY() const {
    ensurePage();
    return axes_.y;
}

std::optional<QPointF> PlotView::pixelFrom(XY at) const {
    ensurePage();
    if (!hasAxes()) return {};
    return fromPage(axes_.toPage(at));
}

std::optional<XY> PlotView::placeAt(QPointF pixel) const {
    ensurePage();
    if (!hasAxes()) return {};
    return axes_.fromPage(toPage(pixel));
}

figure::Scene PlotView::makePage(PageSize size) const {
    figure::Plot sized = plot_;
    sized.widthPt = size.widthPt;
    sized.heightPt = size.heightPt;
    if (zoom_) {
        sized.x.range = zoom_->x;
        sized.y.range = zoom_->y;
    }
    figure::PlotPage page = figure::layOut(sized);
    axes_ = page.axes;
    if (!zoom_) whole_ = {axes_.x, axes_.y};
    return std::move(page.scene);
}

FigureView::PageSize PlotView::wantedSize() const {
    const PageSize least = leastSize();
    return {std::max(least.widthPt, plot_.widthPt), std::max(least.heightPt, plot_.heightPt)};
}

FigureView::PageSize PlotView::leastSize() const {
    return {figure::kLeastPlotWidthPt, figure::kLeastPlotHeightPt};
}

std::vector<Primitive> PlotView::marks() const {
    std::vector<Primitive> out;
    if (!hasAxes()) return out;
    if (markX_ && *markX_ >= axes_.x.low && *markX_ <= axes_.x.high) {
        addMark(out, axes_.toPage({*markX_, axes_.y.low}).x, axes_.area,
                valueText(plot_.x, axes_.x, *markX_, true));
    }
    if (cross_ && axes_.area.contains(axes_.toPage(*cross_))) addCross(out, axes_.toPage(*cross_));
    return out;
}

std::vector<Primitive> PlotView::handMarks() const {
    std::vector<Primitive> out;
    if (hoverAt_) {
        out.emplace_back(
            figure::Circle{*hoverAt_, kHoverRadiusPt, {}, figure::Stroke{figure::kTextColour, 1.3, {}}});
    }
    if (drag_ == Drag::rectangle) {
        const Point a = toPage(pressedAt_);
        const Point b = toPage(draggedTo_);
        const figure::Rgb colour = figure::rgb(figure::Ink::petrol);
        out.emplace_back(figure::Polygon{{{a, {b.x, a.y}, b, {a.x, b.y}}},
                                         figure::Fill{.colour = colour, .opacity = 0.12},
                                         figure::Stroke{colour, 0.9, {4, 2.5}}});
    }
    return out;
}

void PlotView::mousePressEvent(QMouseEvent* event) {
    if (event->button() != Qt::LeftButton || !onArea(event->position())) return event->ignore();
    pressedAt_ = draggedTo_ = event->position();
    drag_ = onCross(event->position()) ? Drag::cross : Drag::pressed;
}

void PlotView::mouseMoveEvent(QMouseEvent* event) {
    const QPointF at = event->position();
    if (drag_ == Drag::none) return hover(at);
    if (drag_ == Drag::cross) return moveCrossTo(*placeAt(heldOnArea(at)));
    if ((at - pressedAt_).manhattanLength() >= QApplication::startDragDistance()) drag_ = Drag::rectangle;
    if (drag_ != Drag::rectangle) return;
    draggedTo_ = heldOnArea(at);
    hoverAt_ = {};
    update();
}

void PlotView::mouseReleaseEvent(QMouseEvent* event) {
    if (event->button() != Qt::LeftButton) return event->ignore();
    const Drag was = drag_;
    endDrag();
    if (!hasAxes()) return;
    if (was == Drag::rectangle) {
        zoomIntoRectangle();
    } else if (was == Drag::cross && cross_) {
        Q_EMIT crossDropped(cross_->x, cross_->y);
    } else if (was == Drag::pressed) {
        const XY at = *placeAt(pressedAt_);
        Q_EMIT picked(at.x, at.y);
    }
}

void PlotView::mouseDoubleClickEvent(QMouseEvent* event) {
    if (event->button() != Qt::LeftButton) return event->ignore();
    endDrag();
    showWhole();
}

void PlotView::wheelEvent(QWheelEvent* event) {
    const double notches = event->angleDelta().y() / 120.0;
    // What does not zoom scrolls whatever the plot stands in; a page that is scrolled must not zoom by
    // chance.
    if (!event->modifiers().testFlag(Qt::ControlModifier) || notches == 0 || !onArea(event->position()) ||
        (notches < 0 && !zoomed()))
        return event->ignore();
    zoomAbout(*placeAt(event->position()), std::pow(kZoomPerNotch, -notches));
    event->accept();
}

void PlotView::leaveEvent(QEvent* event) {
    FigureView::leaveEvent(event);
    hoverAt_ = {};
    update();
    readAtMark();
}

void PlotView::keyPressEvent(QKeyEvent* event) {
    if (!hasAxes()) return event->ignore();
    switch (event->key()) {
        case Qt::Key_Plus:
        case Qt::Key_Equal:
            return zoomByKey(1 / kZoomPerNotch);
        case Qt::Key_Minus:
            return zoomed() ? zoomByKey(kZoomPerNotch) : event->ignore();
        case Qt::Key_0:
            return showWhole();
        case Qt::Key_Escape:
            if (drag_ == Drag::none && !zoomed()) return event->ignore();
            if (drag_ == Drag::none) return showWhole();
            return endDrag();
        case Qt::Key_Left:
            return arrow(-1, 0, *event);
        case Qt::Key_Right:
            return arrow(1, 0, *event);
        case Qt::Key_Up:
            return arrow(0, 1, *event);
        case Qt::Key_Down:
            return arrow(0, -1, *event);
        default:
            FigureView::keyPressEvent(event);
    }
}

bool PlotView::hasAxes() const {
    ensurePage();
    return axes_.area.width > 0 && axes_.area.height > 0;
}

bool PlotView::onArea(QPointF pixel) const {
    return hasAxes() && axes_.area.contains(toPage(pixel), 1);
}

bool PlotView::onCross(QPointF pixel) const {
    if (!cross_ || !hasAxes()) return false;
    const QPointF away = pixel - *pixelFrom(*cross_);
    return std::hypot(away.x(), away.y()) <= kCrossReachPx;
}

QPointF PlotView::heldOnArea(QPointF pixel) const {
    const QPointF topLeft = fromPage({axes_.area.left, axes_.area.top});
    const QPointF bottomRight = fromPage({axes_.area.right(), axes_.area.bottom()});
    return {std::clamp(pixel.x(), topLeft.x(), bottomRight.x()),
            std::clamp(pixel.y(), topLeft.y(), bottomRight.y())};
}

void PlotView::setView(std::optional<View> view) {
    ensurePage();
    if (view && plot_.equalAspect) {
        // As much as the rectangle holds, in the shape of the whole.
        const double factor = std::max(view->x.span() / whole_.x.span(), view->y.span() / whole_.y.span());
        const auto shaped = [&](Range range, Range whole) {
            const double middle = range.low / 2 + range.high / 2;
            return Range{middle - factor * whole.span() / 2, middle + factor * whole.span() / 2};
        };
        view = View{shaped(view->x, whole_.x), shaped(view->y, whole_.y)};
    }
    if (view) {
        view = View{heldWithin(view->x, whole_.x), heldWithin(view->y, whole_.y)};
        constexpr double kNearlyAll = 1 - 1e-9;
        if (view->x.span() >= kNearlyAll * whole_.x.span() && view->y.span() >= kNearlyAll * whole_.y.span())
            view = {};
    }
    if (!view && !zoom_) return;
    zoom_ = view;
    hoverAt_ = {};
    pageChanged();
    Q_EMIT viewChanged();
}

void PlotView::zoomAbout(XY fixed, double factor) {
    setView(View{scaledAbout(axes_.x, fixed.x, factor), scaledAbout(axes_.y, fixed.y, factor)});
}

void PlotView::zoomByKey(double factor) {
    XY fixed{axes_.x.low / 2 + axes_.x.high / 2, axes_.y.low / 2 + axes_.y.high / 2};
    if (markX_ && *markX_ >= axes_.x.low && *markX_ <= axes_.x.high) fixed.x = *markX_;
    if (cross_ && axes_.area.contains(axes_.toPage(*cross_))) fixed = *cross_;
    zoomAbout(fixed, factor);
}

void PlotView::moveView(double stepsX, double stepsY) {
    setView(View{moved(axes_.x, stepsX * kMovePerKey * axes_.x.span()),
                 moved(axes_.y, stepsY * kMovePerKey * axes_.y.span())});
}

void PlotView::zoomIntoRectangle() {
    const XY a = *placeAt(pressedAt_);
    const XY b = *placeAt(draggedTo_);
    const QPointF sides = draggedTo_ - pressedAt_;
    const bool wide = std::abs(sides.x()) >= kLeastRectanglePx;
    const bool high = std::abs(sides.y()) >= kLeastRectanglePx;
    if (!wide && !high) return;
    const auto between = [](double one, double other) {
        return Range{std::min(one, other), std::max(one, other)};
    };
    setView(View{wide ? between(a.x, b.x) : axes_.x, high ? between(a.y, b.y) : axes_.y});
}

void PlotView::moveCrossTo(XY at) {
    if (hoverAt_) update();
    hoverAt_ = {};
    setCross(at);
    Q_EMIT crossMoved(at.x, at.y);
    // Whoever listens may have put it on the nearest step.
    if (cross_) setReadOut(QString::fromStdString(readingAtPlace(plot_, axes_, *cross_)));
}

void PlotView::stepCross(double stepsX, double stepsY) {
    const XY step = crossStep_.value_or(XY{whole_.x.span() / 100, whole_.y.span() / 100});
    moveCrossTo({std::clamp(cross_->x + stepsX * step.x, whole_.x.low, whole_.x.high),
                 std::clamp(cross_->y + stepsY * step.y, whole_.y.low, whole_.y.high)});
    if (cross_) Q_EMIT crossDropped(cross_->x, cross_->y);
}

void PlotView::stepMark(int direction) {
    const std::vector<double> all = sampledX(plot_);
    if (all.empty()) return;
    const double near = 1e-9 * whole_.x.span();
    double next = direction > 0 ? all.front() : all.back();
    if (markX_ && direction > 0) {
        const auto found = std::ranges::find_if(all, [&](double x) { return x > *markX_ + near; });
        next = found == all.end() ? all.back() : *found;
    } else if (markX_) {
        const auto found =
            std::find_if(all.rbegin(), all.rend(), [&](double x) { return x < *markX_ - near; });
        next = found == all.rend() ? all.front() : *found;
    }
    if (next == markX_) return;
    hoverAt_ = {};
    setMarkX(next);
    Q_EMIT pickedX(next);
}

void PlotView::arrow(double stepsX, double stepsY, QKeyEvent& event) {
    const bool moveAnyway = (event.modifiers() & Qt::ShiftModifier) != 0;
    if (cross_ && !moveAnyway) return stepCross(stepsX, stepsY);
    if (zoomed()) return moveView(stepsX, stepsY);
    if (stepsX != 0 && !moveAnyway) return stepMark(stepsX > 0 ? 1 : -1);
    event.ignore();
}

void PlotView::hover(QPointF pixel) {
    std::optional<Reading> reading;
    if (onArea(pixel)) reading = readingNear(plot_, axes_, toPage(pixel));
    setCursor(onCross(pixel) ? Qt::SizeAllCursor : onArea(pixel) ? Qt::CrossCursor : Qt::ArrowCursor);
    const std::optional<Point> at = reading ? reading->at : std::nullopt;
    if (at != hoverAt_) {
        hoverAt_ = at;
        update();
    }
    if (reading) {
        setReadOut(QString::fromStdString(reading->text));
    } else {
        readAtMark();
    }
}

void PlotView::readAtMark() {
    setReadOut(markX_ && hasAxes() ? QString::fromStdString(readingAtX(plot_, axes_, *markX_)) : QString());
}

void PlotView::endDrag() {
    drag_ = Drag::none;
    update();
}

}  // namespace greywright::canvas

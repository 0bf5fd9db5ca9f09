#include "canvas/plot_view.h"

#include <QSignalSpy>
#include <QTest>
#include <QWheelEvent>
#include <array>
#include <cmath>

#include <gtest/gtest.h>

#include "canvas/readings.h"
#include "core/contract.h"
#include "figure/gallery.h"
#include "figure/inspect.h"

namespace greywright::canvas {
namespace {

namespace gallery = figure::gallery;
using figure::Range;
using figure::XY;

void move(QWidget& widget, QPointF to, Qt::MouseButtons buttons = Qt::NoButton) {
    QMouseEvent event(QEvent::MouseMove, to, widget.mapToGlobal(to), Qt::NoButton, buttons, Qt::NoModifier);
    QApplication::sendEvent(&widget, &event);
}

void button(QWidget& widget, QEvent::Type type, QPointF at) {
    const bool down = type != QEvent::MouseButtonRelease;
    QMouseEvent event(type, at, widget.mapToGlobal(at), Qt::LeftButton, down ? Qt::LeftButton : Qt::NoButton,
                      Qt::NoModifier);
    QApplication::sendEvent(&widget, &event);
}

void drag(QWidget& widget, QPointF from, QPointF to) {
    button(widget, QEvent::MouseButtonPress, from);
    for (int step = 1; step <= 10; ++step) move(widget, from + (to - from) * step / 10.0, Qt::LeftButton);
    button(widget, QEvent::MouseButtonRelease, to);
}

/// Gives whether the widget took it.
bool wheel(QWidget& widget, QPointF at, int delta, Qt::KeyboardModifiers keys = Qt::ControlModifier) {
    QWheelEvent event(at, widget.mapToGlobal(at), {}, {0, delta}, Qt::NoButton, keys, Qt::NoScrollPhase,
                      false);
    QApplication::sendEvent(&widget, &event);
    return event.isAccepted();
}

figure::Plot simplePlot() {
    return {
        .title = "Tone",
        .x = {.title = "Tone", .unit = "%", .range = Range{0, 100}},
        .y = {.title = "L*", .range = Range{0, 100}},
        .series = {
            figure::Line{.points = {{0, 90}, {25, 70}, {50, 50}, {75, 30}, {100, 10}}, .name = "measured"},
            figure::Line{.points = {{0, 95}, {50, 80}, {100, 60}}, .name = "aim"},
            figure::Points{.points = {{10, 10}}, .labels = {"7"}, .errorY = {0.5}, .name = "odd one"}}};
}

class PlotViewTest : public testing::Test {
  protected:
    void SetUp() override {
        view.resize(700, 480);
        view.show();
        ASSERT_TRUE(QTest::qWaitForWindowExposed(&view));
        view.setFocus();
    }
    [[nodiscard]] QPointF pixel(XY at) const { return *view.pixelFrom(at); }
    PlotView view;
};

TEST_F(PlotViewTest, FindsPlacesBothWays) {
    view.setPlot(simplePlot());
    for (const XY at : {XY{0, 0}, XY{50, 20}, XY{100, 100}, XY{33.3, 66.6}}) {
        const XY back = *view.placeAt(pixel(at));
        EXPECT_NEAR(back.x, at.x, 1e-9);
        EXPECT_NEAR(back.y, at.y, 1e-9);
    }
    EXPECT_GT(pixel({60, 0}).x(), pixel({50, 0}).x());
    EXPECT_LT(pixel({0, 60}).y(), pixel({0, 50}).y()) << "upwards on the screen";
    view.setPlot({});
    EXPECT_FALSE(view.pixelFrom({0, 0}));
    EXPECT_FALSE(view.placeAt({100, 100}));
}

TEST_F(PlotViewTest, HoverReadsTheNearestSampleOfTheNearestSeries) {
    view.setPlot(simplePlot());
    QSignalSpy hovered(&view, &PlotView::hovered);
    move(view, pixel({49, 52}));
    EXPECT_EQ(view.readOut().toStdString(), "measured · Tone 50.0 % · L* 50.0");
    ASSERT_EQ(hovered.count(), 1);
    EXPECT_EQ(hovered.back()[0].toString(), view.readOut());
    move(view, pixel({48, 78}));
    EXPECT_EQ(view.readOut().toStdString(), "aim · Tone 50.0 % · L* 80.0");
    move(view, pixel({12, 11}));
    EXPECT_EQ(view.readOut().toStdString(), "odd one · 7 · Tone 10.0 % · L* 10.0 ± 0.5");
    // Beside the line, far from its samples: still the line's nearest one.
    move(view, pixel({64, 40}));
    EXPECT_EQ(view.readOut().toStdString(), "measured · Tone 75.0 % · L* 30.0");
    move(view, {2, 2});
    EXPECT_EQ(view.readOut(), QString());
}

TEST_F(PlotViewTest, HoverReadsALineThatIsGivenByItsEndsAnywhere) {
    figure::Plot plot = simplePlot();
    plot.series = {figure::Line{.points = {{0, 90}, {100, 10}}, .name = "even steps"}};
    view.setPlot(plot);
    move(view, pixel({25, 72}));
    EXPECT_EQ(view.readOut().toStdString(), "even steps · Tone 25.0 % · L* 70.0");
    view.zoomTo({40, 60}, {40, 60});
    move(view, pixel({45, 55}));
    EXPECT_EQ(view.readOut().toStdString(), "even steps · Tone 45.0 % · L* 54.0")
        << "its ends are out of sight";
    move(view, pixel({58, 58}));
    EXPECT_EQ(view.readOut().toStdString().substr(0, 25), "even steps · Tone 58.0 %");
}

TEST_F(PlotViewTest, HoverOnAMapReadsTheMapAndSamplesCloseBy) {
    view.setPlot(gallery::settingsMap());
    move(view, pixel({40, 40}));
    const std::string text = view.readOut().toStdString();
    EXPECT_EQ(text.rfind("across 40.0 driver units · up 40.0 driver units · predicted worst tint", 0), 0U)
        << text;
    // The map's own formula at its node (40, 40).
    const double u = 0.13 * 49 + 0.05 * 36;
    const double v = -0.04 * 49 + 0.17 * 36;
    const double value = 0.42 + std::hypot(u, v) + 0.15 * std::sin(u) * std::cos(v);
    EXPECT_NEAR(std::stod(text.substr(text.rfind(' ') + 1)), value, 0.06) << "to the pixel's rounding";
    move(view, pixel({30, -24}) + QPointF(2, 2));
    EXPECT_EQ(view.readOut().toStdString(), "trials · 5 · across 30.0 driver units · up −24.0 driver units");
}

TEST_F(PlotViewTest, DraggingZoomsIntoTheRectangleAndADoubleClickRestores) {
    view.setPlot(simplePlot());
    QSignalSpy picked(&view, &PlotView::picked);
    QSignalSpy changed(&view, &PlotView::viewChanged);
    drag(view, pixel({20, 80}), pixel({60, 30}));
    EXPECT_TRUE(view.zoomed());
    EXPECT_NEAR(view.shownX().low, 20, 1e-6);
    EXPECT_NEAR(view.shownX().high, 60, 1e-6);
    EXPECT_NEAR(view.shownY().low, 30, 1e-6);
    EXPECT_NEAR(view.shownY().high, 80, 1e-6);
    EXPECT_EQ(picked.count(), 0) << "a drag is no click";
    EXPECT_EQ(changed.count(), 1);
    button(view, QEvent::MouseButtonDblClick, pixel({40, 50}));
    button(view, QEvent::MouseButtonRelease, pixel({40, 50}));
    EXPECT_FALSE(view.zoomed());
    EXPECT_EQ(view.shownX(), (Range{0, 100}));
    EXPECT_EQ(view.shownY(), (Range{0, 100}));
    EXPECT_EQ(picked.count(), 0);
}

TEST_F(PlotViewTest, AFlatDragZoomsOneAxisAndOneThatLeavesThePlotEndsAtItsEdge) {
    view.setPlot(simplePlot());
    drag(view, pixel({20, 50}), pixel({60, 50}) + QPointF(0, 3));
    EXPECT_NEAR(view.shownX().low, 20, 1e-6);
    EXPECT_EQ(view.shownY(), (Range{0, 100}));
    view.showWhole();
    drag(view, pixel({50, 50}), {5000, 5000});
    EXPECT_NEAR(view.shownX().high, 100, 1e-6);
    EXPECT_NEAR(view.shownY().low, 0, 1e-6);
}

TEST_F(PlotViewTest, TheWheelZoomsAboutThePointerAndScrollsWhenThereIsNothingToZoom) {
    view.setPlot(simplePlot());
    const QPointF pointer = pixel({30, 60});
    EXPECT_FALSE(wheel(view, pointer, 120, Qt::NoModifier)) << "left to the page around";
    EXPECT_TRUE(wheel(view, pointer, 120));
    EXPECT_NEAR(view.shownX().span(), 100 / 1.25, 1e-9);
    // The axes' words may be wider or narrower now, so the place is compared within the axes.
    const Range x = view.shownX();
    const Range y = view.shownY();
    EXPECT_NEAR((30 - x.low) / x.span(), 0.3, 1e-9);
    EXPECT_NEAR((60 - y.low) / y.span(), 0.6, 1e-9);
    EXPECT_TRUE(wheel(view, pixel({30, 60}), -120));
    EXPECT_FALSE(view.zoomed());
    EXPECT_FALSE(wheel(view, pointer, -120)) << "left to the page around";
    EXPECT_FALSE(wheel(view, {2, 2}, 120));
}

TEST_F(PlotViewTest, ZoomingHasItsLimits) {
    view.setPlot(simplePlot());
    for (int i = 0; i < 100; ++i) wheel(view, pixel({view.shownX().low, view.shownY().low}), 120);
    EXPECT_NEAR(view.shownX().span(), 0.1, 1e-9);
    EXPECT_GE(view.shownX().low, 0);
    view.zoomTo({-500, 500}, {-500, 500});
    EXPECT_FALSE(view.zoomed()) << "there is nothing beyond the whole";
    EXPECT_THROW(view.zoomTo({1, 1}, {0, 2}), ContractViolation);
}

TEST_F(PlotViewTest, KeysDoTheSame) {
    view.setPlot(simplePlot());
    QTest::keyClick(&view, Qt::Key_Plus);
    EXPECT_NEAR(view.shownX().span(), 80, 1e-9);
    EXPECT_NEAR(view.shownX().low, 10, 1e-9);
    QTest::keyClick(&view, Qt::Key_Right);
    EXPECT_NEAR(view.shownX().low, 18, 1e-9);
    QTest::keyClick(&view, Qt::Key_Left);
    QTest::keyClick(&view, Qt::Key_Up);
    EXPECT_NEAR(view.shownX().low, 10, 1e-9);
    EXPECT_NEAR(view.shownY().low, 18, 1e-9);
    QTest::keyClick(&view, Qt::Key_Minus);
    EXPECT_FALSE(view.zoomed());
    for (const auto key : {Qt::Key_0, Qt::Key_Escape}) {
        QTest::keyClick(&view, Qt::Key_Plus);
        EXPECT_TRUE(view.zoomed());
        QTest::keyClick(&view, key);
        EXPECT_FALSE(view.zoomed());
    }
}

TEST_F(PlotViewTest, LeftAndRightMoveThePickedToneFromSampleToSample) {
    view.setPlot(simplePlot());
    QSignalSpy pickedX(&view, &PlotView::pickedX);
    QTest::keyClick(&view, Qt::Key_Right);
    ASSERT_EQ(pickedX.count(), 1);
    EXPECT_EQ(view.markX(), 0);
    QTest::keyClick(&view, Qt::Key_Right);
    QTest::keyClick(&view, Qt::Key_Right);
    EXPECT_EQ(pickedX.back()[0].toDouble(), 50);
    EXPECT_EQ(view.readOut().toStdString(), "Tone 50.0 % · measured: 50.0 · aim: 80.0");
    QTest::keyClick(&view, Qt::Key_Left);
    EXPECT_EQ(view.markX(), 25);
    EXPECT_EQ(view.readOut().toStdString(), "Tone 25.0 % · measured: 70.0 · aim: 87.5")
        << "between two samples";
    for (int i = 0; i < 5; ++i) QTest::keyClick(&view, Qt::Key_Left);
    EXPECT_EQ(view.markX(), 0);
    EXPECT_EQ(pickedX.count(), 5) << "at the end nothing more is said";
}

TEST_F(PlotViewTest, AClickPicksAPlace) {
    view.setPlot(simplePlot());
    QSignalSpy picked(&view, &PlotView::picked);
    button(view, QEvent::MouseButtonPress, pixel({42, 17}));
    button(view, QEvent::MouseButtonRelease, pixel({42, 17}) + QPointF(2, 1));
    ASSERT_EQ(picked.count(), 1);
    EXPECT_NEAR(picked[0][0].toDouble(), 42, 1e-6);
    EXPECT_NEAR(picked[0][1].toDouble(), 17, 1e-6);
    button(view, QEvent::MouseButtonPress, {2, 2});
    button(view, QEvent::MouseButtonRelease, {2, 2});
    EXPECT_EQ(picked.count(), 1) << "beside the plot there is nothing to pick";
}

TEST_F(PlotViewTest, TheCrossIsDraggedInUnitsOfTheDataWithoutLayingOutAgain) {
    view.setPlot(gallery::settingsMap());
    view.setCross(XY{-20, 10});
    QSignalSpy moved(&view, &PlotView::crossMoved);
    QSignalSpy dropped(&view, &PlotView::crossDropped);
    QSignalSpy picked(&view, &PlotView::picked);
    view.repaint();
    const int before = view.layouts();
    button(view, QEvent::MouseButtonPress, pixel({-20, 10}) + QPointF(3, 3));
    for (const XY at : {XY{-10, 5}, XY{0, 0}, XY{12, -7}}) {
        move(view, pixel(at), Qt::LeftButton);
        view.repaint();
    }
    button(view, QEvent::MouseButtonRelease, pixel({12, -7}));
    view.repaint();
    EXPECT_EQ(view.layouts(), before);
    ASSERT_EQ(moved.count(), 3);
    EXPECT_NEAR(moved[0][0].toDouble(), -10, 1e-6);
    EXPECT_NEAR(moved[0][1].toDouble(), 5, 1e-6);
    ASSERT_EQ(dropped.count(), 1);
    EXPECT_NEAR(dropped[0][0].toDouble(), 12, 1e-6);
    EXPECT_NEAR(dropped[0][1].toDouble(), -7, 1e-6);
    EXPECT_NEAR(view.cross()->x, 12, 1e-6);
    EXPECT_FALSE(view.zoomed());
    EXPECT_EQ(picked.count(), 0);
    EXPECT_EQ(view.readOut().toStdString().rfind("across 12.0 driver units", 0), 0U);
}

TEST_F(PlotViewTest, TheCrossStaysWithinTheAxesAndOnTheStepsOfWhoListens) {
    view.setPlot(gallery::settingsMap());
    view.setCross(XY{0, 0});
    drag(view, pixel({0, 0}), {5000, -5000});
    EXPECT_NEAR(view.cross()->x, 50, 1e-6);
    EXPECT_NEAR(view.cross()->y, 50, 1e-6);
    QObject::connect(&view, &PlotView::crossMoved, &view, [&](double x, double y) {
        view.setCross(XY{std::round(x), std::round(y)});
    });
    QSignalSpy dropped(&view, &PlotView::crossDropped);
    drag(view, pixel({50, 50}), pixel({10.3, -4.4}));
    EXPECT_EQ(view.cross(), (XY{10, -4}));
    ASSERT_EQ(dropped.count(), 1);
    EXPECT_EQ(dropped[0][0].toDouble(), 10);
}

TEST_F(PlotViewTest, ArrowsMoveTheCrossByItsStepAndShiftMovesTheView) {
    view.setPlot(gallery::settingsMap());
    view.setCross(XY{0, 0});
    view.setCrossStep(2, 0.5);
    QSignalSpy moved(&view, &PlotView::crossMoved);
    QSignalSpy dropped(&view, &PlotView::crossDropped);
    QTest::keyClick(&view, Qt::Key_Left);
    QTest::keyClick(&view, Qt::Key_Up);
    EXPECT_EQ(view.cross(), (XY{-2, 0.5}));
    EXPECT_EQ(moved.count(), 2);
    EXPECT_EQ(dropped.count(), 2);
    QTest::keyClick(&view, Qt::Key_Plus);
    const double low = view.shownX().low;
    QTest::keyClick(&view, Qt::Key_Right, Qt::ShiftModifier);
    EXPECT_GT(view.shownX().low, low);
    EXPECT_EQ(view.cross(), (XY{-2, 0.5}));
    EXPECT_THROW(view.setCrossStep(0, 1), ContractViolation);
}

TEST_F(PlotViewTest, HoveringAndMarksDoNotLayOutAgain) {
    view.setPlot(gallery::tintPlot());
    view.repaint();
    const int before = view.layouts();
    for (double x = 1; x < 100; x += 7) {
        move(view, pixel({x, 0}));
        view.setMarkX(x);
        view.repaint();
    }
    EXPECT_EQ(view.layouts(), before);
    view.resize(view.width() + 40, view.height());
    view.repaint();
    EXPECT_EQ(view.layouts(), before + 1);
}

TEST_F(PlotViewTest, ATiedPlotKeepsItsShapeWhenZoomed) {
    view.setPlot(gallery::pathPlot());
    const double shape = view.shownX().span() / view.shownY().span();
    const XY middle{view.shownX().low + view.shownX().span() / 2,
                    view.shownY().low + view.shownY().span() / 2};
    drag(view, pixel(middle),
         pixel({middle.x + view.shownX().span() / 4, middle.y + view.shownY().span() / 20}));
    ASSERT_TRUE(view.zoomed());
    EXPECT_NEAR(view.shownX().span() / view.shownY().span(), shape, 1e-6);
    const QPointF right = pixel({middle.x + 0.1, middle.y}) - pixel(middle);
    const QPointF up = pixel({middle.x, middle.y + 0.1}) - pixel(middle);
    EXPECT_NEAR(right.x(), -up.y(), 1e-6) << "one unit is as long on both axes";
}

TEST_F(PlotViewTest, AZoomOutlivesNewDataOnTheSameAxesOnly) {
    view.setPlot(simplePlot());
    view.zoomTo({20, 40}, {50, 80});
    figure::Plot next = simplePlot();
    std::get<figure::Line>(next.series[0]).points[2].y = 60;
    view.setPlot(next);
    EXPECT_TRUE(view.zoomed());
    EXPECT_NEAR(view.shownX().low, 20, 1e-9);
    QSignalSpy changed(&view, &PlotView::viewChanged);
    view.setPlot(gallery::tintPlot());
    EXPECT_FALSE(view.zoomed());
    EXPECT_EQ(changed.count(), 1);
}

TEST_F(PlotViewTest, SaysWhatItIsToThoseWhoCannotSeeIt) {
    view.setPlot(simplePlot());
    EXPECT_EQ(view.accessibleName().toStdString(), "Tone");
    EXPECT_EQ(
        view.accessibleDescription().toStdString(),
        "Level axis: Tone from 0 to 100 %. Upright axis: L* from 0 to 100. Shown: measured, aim, odd one.");
    view.zoomTo({20, 40}, {50, 80});
    view.repaint();
    EXPECT_NE(view.accessibleDescription().toStdString().find("from 20.0 to 40.0 %"), std::string::npos);
}

TEST_F(PlotViewTest, ShowsThatItHasTheKeyboard) {
    view.setPlot(simplePlot());
    QWidget window;
    view.setParent(&window);
    window.resize(800, 600);
    window.show();
    QApplication::setActiveWindow(&window);
    view.show();
    view.setFocus();
    ASSERT_TRUE(QTest::qWaitForWindowActive(&window));
    ASSERT_TRUE(view.hasFocus());
    const QImage with = view.grab().toImage();
    view.clearFocus();
    const QImage without = view.grab().toImage();
    EXPECT_NE(with.pixel(1, 100), without.pixel(1, 100));
    EXPECT_EQ(with.pixel(300, 100), without.pixel(300, 100));
    view.setParent(nullptr);
}

TEST_F(PlotViewTest, IsExportedAsSeen) {
    view.setPlot(simplePlot());
    view.setSource("Example paper, trial 3, measured with M1");
    view.setMarkX(30);
    view.zoomTo({20, 40}, {50, 80});
    const figure::Scene scene = view.scene();
    figure::inspect::expectOnPage(scene);
    EXPECT_TRUE(figure::inspect::says(scene, "Tone")) << "the title";
    EXPECT_TRUE(figure::inspect::says(scene, "Example paper, trial 3, measured with M1"));
    EXPECT_TRUE(figure::inspect::says(scene, "22")) << "a mark of the zoomed axis";
    EXPECT_FALSE(figure::inspect::says(scene, "100"));
    EXPECT_TRUE(figure::inspect::says(scene, "30.0 %")) << "the picked tone";
}

TEST_F(PlotViewTest, FollowsThePaletteUnlessTold) {
    view.setPlot(simplePlot());
    const auto corner = [&] { return view.grab().toImage().pixelColor(20, 5).lightness(); };
    EXPECT_GT(corner(), 250);
    QPalette dark;
    dark.setColor(QPalette::Window, QColor(30, 30, 30));
    view.setPalette(dark);
    EXPECT_LT(corner(), 60);
    view.setShades({Shades::Surface::light});
    EXPECT_GT(corner(), 250);
}

TEST_F(PlotViewTest, HoldsOutInAnySize) {
    for (const auto& plot : {gallery::tonePlot(), gallery::pathPlot(), gallery::holedMap(),
                             gallery::emptyPlot(), gallery::uncertainPlot(), figure::Plot{}}) {
        view.setPlot(plot);
        for (const QSize size :
             {QSize(1, 1), QSize(60, 40), QSize(300, 120), QSize(2000, 300), QSize(300, 1200)}) {
            view.resize(size);
            const QPixmap picture = view.grab();
            EXPECT_EQ(picture.size(), size * picture.devicePixelRatio());
            move(view, QPointF(size.width() / 2.0, size.height() / 2.0));
            drag(view, QPointF(size.width() / 3.0, size.height() / 3.0),
                 QPointF(size.width() / 2.0, size.height() / 2.0));
            for (const auto key : {Qt::Key_Plus, Qt::Key_Right, Qt::Key_Down, Qt::Key_Minus, Qt::Key_0})
                QTest::keyClick(&view, key);
            figure::inspect::expectOnPage(view.scene());
        }
    }
    EXPECT_GE(view.minimumSizeHint().width(), 293) << "220 pt at 96 dots per inch";
    EXPECT_GE(view.sizeHint().width(), view.minimumSizeHint().width());
}

TEST(Readings, AGapIsNoSampleAndNoBridge) {
    const double gap = gallery::kNaN;
    const figure::Plot plot{.x = {.title = "month"},
                            .y = {.title = "drift"},
                            .series = {figure::Line{.points = {{0, 1}, {1, gap}, {2, 3}}, .name = "a"}}};
    const figure::Axes axes = figure::layOut(plot).axes;
    EXPECT_EQ(readingNear(plot, axes, axes.toPage({1, 2}))->text.rfind("a · month ", 0), 0U);
    EXPECT_EQ(readingAtX(plot, axes, 1), "month 1.00");
    EXPECT_EQ(readingAtX(plot, axes, 2), "month 2.00 · a: 3.00");
    EXPECT_EQ(sampledX(plot), (std::vector<double>{0, 2}));
}

TEST(Readings, AxisMarksWithWordsAreSaidInWords) {
    const figure::Plot plot = gallery::uncertainPlot();
    const figure::Axes axes = figure::layOut(plot).axes;
    EXPECT_EQ(readingNear(plot, axes, axes.toPage({3, 0.44}))->text,
              "glossy paper A & dye inks <old> · April · distance from the first print 0.440 ΔE00 ± 0.100");
}

TEST(Readings, AMapsHolesAreNotRead) {
    const figure::Plot plot = gallery::holedMap();
    const figure::Axes axes = figure::layOut(plot).axes;
    const auto in = readingNear(plot, axes, axes.toPage({0.8, 0.4}));
    EXPECT_FALSE(in) << in->text;
    // x^2 - 4 y^2 about the middle: at (3, 0.5) it is 1 - 1 = 0.
    EXPECT_EQ(readingNear(plot, axes, axes.toPage({3, 0.5}))->text,
              "x 3.00 · y 0.50 · saddle with a hole: 0.00");
}

}  // namespace
}  // namespace greywright::canvas

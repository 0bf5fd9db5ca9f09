#include "canvas/strip_view.h"

#include <QMouseEvent>
#include <QSignalSpy>
#include <QTest>

#include <gtest/gtest.h>

#include "figure/gallery.h"
#include "figure/inspect.h"

namespace greywright::canvas {
namespace {

namespace gallery = figure::gallery;

class StripViewTest : public testing::Test {
  protected:
    void SetUp() override {
        view.resize(700, 200);
        view.show();
        ASSERT_TRUE(QTest::qWaitForWindowExposed(&view));
    }
    void hover(int row, int column) {
        const QPointF at = view.pixelBox(row, column)->center();
        QMouseEvent event(QEvent::MouseMove, at, view.mapToGlobal(at), Qt::NoButton, Qt::NoButton,
                          Qt::NoModifier);
        QApplication::sendEvent(&view, &event);
    }
    void click(int row, int column) {
        QTest::mouseClick(&view, Qt::LeftButton, {}, view.pixelBox(row, column)->center().toPoint());
    }
    StripView view;
};

TEST_F(StripViewTest, ReadsAndPicksPatches) {
    view.setStrip(gallery::strip());
    QSignalSpy picked(&view, &StripView::picked);
    QSignalSpy column(&view, &StripView::pickedColumn);
    hover(1, 8);
    EXPECT_EQ(view.readOut().toStdString(), "as measured · 40 %");
    hover(0, 8);
    EXPECT_EQ(view.readOut().toStdString(), "neutral · 40 %") << "labelled in the other row";
    click(0, 20);
    ASSERT_EQ(picked.count(), 1);
    EXPECT_EQ(picked[0][0].toInt(), 0);
    EXPECT_EQ(picked[0][1].toInt(), 20);
    EXPECT_EQ(column[0][0].toInt(), 20);
    QTest::mouseClick(&view, Qt::LeftButton, {}, {2, 2});
    EXPECT_EQ(picked.count(), 1);
    EXPECT_FALSE(view.pixelBox(2, 0));
    EXPECT_FALSE(view.pixelBox(0, 21));
}

TEST_F(StripViewTest, ReadsAndPicksCells) {
    view.setCells(gallery::cells());
    QSignalSpy column(&view, &StripView::pickedColumn);
    hover(1, 10);
    EXPECT_EQ(view.readOut().toStdString(), "north window · tone, %: 100 · 40.0 %");
    hover(2, 9);
    EXPECT_EQ(view.readOut().toStdString(), "not measured · tone, %: 90 · nothing known");
    click(0, 5);
    ASSERT_EQ(column.count(), 1);
    EXPECT_EQ(column[0][0].toInt(), 5);
}

TEST_F(StripViewTest, ArrowsMoveTheMarkedColumn) {
    view.setStrip(gallery::strip());
    QSignalSpy column(&view, &StripView::pickedColumn);
    QTest::keyClick(&view, Qt::Key_Left);
    EXPECT_EQ(view.markedColumn(), 20);
    QTest::keyClick(&view, Qt::Key_Right);
    EXPECT_EQ(column.count(), 1) << "it is at the end";
    QTest::keyClick(&view, Qt::Key_Left);
    EXPECT_EQ(view.markedColumn(), 19);
    EXPECT_EQ(view.readOut().toStdString(), "neutral · 95 %");
    const auto before = view.scene().primitives.size();
    view.setMarkedColumn({});
    EXPECT_EQ(view.scene().primitives.size() + 2, before) << "a frame with a rim";
    figure::inspect::expectOnPage(view.scene());
}

TEST_F(StripViewTest, IsAsHighAsItsRowsNeed) {
    view.setStrip(gallery::strip());
    const int two = view.heightForWidth(700);
    figure::Strip more = gallery::strip();
    more.rows.push_back(more.rows[0]);
    view.setStrip(more);
    EXPECT_NEAR(view.heightForWidth(700) - two, (26 + 8) * 96.0 / 72, 1.01);
    view.resize(700, view.heightForWidth(700));
    EXPECT_DOUBLE_EQ(view.pixelBox(0, 0)->height(), 26 * 96.0 / 72) << "nothing had to be made smaller";
    view.resize(1, 1);
    EXPECT_FALSE(view.grab().isNull());
}

TEST_F(StripViewTest, WithoutAnythingItSaysSo) {
    view.setStrip({.title = "Nothing yet"});
    EXPECT_EQ(view.accessibleName().toStdString(), "Nothing yet");
    EXPECT_EQ(view.accessibleDescription().toStdString(), "No data");
    QSignalSpy column(&view, &StripView::pickedColumn);
    QTest::keyClick(&view, Qt::Key_Right);
    EXPECT_EQ(column.count(), 0);
}

}  // namespace
}  // namespace greywright::canvas

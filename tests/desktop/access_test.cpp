// For whoever works by key, hears the window instead of seeing it, or has a small screen.
#include <QAbstractSpinBox>
#include <QAccessible>
#include <QApplication>
#include <QComboBox>
#include <QLabel>
#include <QLayout>
#include <QPushButton>
#include <QScrollBar>
#include <QTest>
#include <QToolButton>
#include <set>

#include <gtest/gtest.h>

#include "condition_page.h"
#include "form_dialog.h"
#include "room.h"
#include "section.h"
#include "theme.h"

namespace greywright::desktop {
namespace {

/// A room with a condition that has three trials, so that every section of its page is shown.
std::unique_ptr<Room> furnished() {
    auto room = std::make_unique<Room>();
    room->startWithCondition();
    room->takeInAsAsked(3);
    return room;
}

/// What can be reached by the Tab key.
std::vector<QWidget*> reachable(QWidget* where) {
    std::vector<QWidget*> out;
    for (QWidget* one : where->findChildren<QWidget*>()) {
        if (one->isVisibleTo(where) && one->isEnabled() && (one->focusPolicy() & Qt::TabFocus) != 0 &&
            one->focusProxy() == nullptr)
            out.push_back(one);
    }
    return out;
}

/// Where it stands, for whoever has to find it.
std::string placeOf(const QWidget* widget) {
    std::string out;
    for (; widget != nullptr; widget = widget->parentWidget())
        out +=
            std::string(widget->metaObject()->className()) + "(" + widget->objectName().toStdString() + ") ";
    return out;
}

void expectSpokenNames(QWidget* where) {
    for (QWidget* one : reachable(where)) {
        // An editor within a box speaks by the box.
        if (qobject_cast<QAbstractSpinBox*>(one->parentWidget()) != nullptr ||
            qobject_cast<QComboBox*>(one->parentWidget()) != nullptr)
            continue;
        QAccessibleInterface* spoken = QAccessible::queryAccessibleInterface(one);
        ASSERT_NE(spoken, nullptr) << placeOf(one);
        EXPECT_FALSE(spoken->text(QAccessible::Name).isEmpty()) << placeOf(one);
    }
}

TEST(Access, EverythingThatTakesTheFocusHasASpokenName) {
    const auto room = furnished();
    expectSpokenNames(room->window.get());
    room->forEveryQuestion([](FormDialog& dialog) { expectSpokenNames(&dialog); });
}

TEST(Access, TheTabKeyGoesThroughThePageAndComesBack) {
    const auto room = furnished();
    QWidget* window = room->window.get();
    std::set<QWidget*> wanted;
    for (QWidget* one : reachable(window)) wanted.insert(one);
    QWidget* const first = window->nextInFocusChain();
    QTest::qWait(10);
    std::set<QWidget*> met;
    QApplication::setActiveWindow(window);
    first->setFocus();
    for (std::size_t i = 0; i < 3 * wanted.size(); ++i) {
        QWidget* const now = QApplication::focusWidget();
        ASSERT_NE(now, nullptr);
        met.insert(now);
        QTest::keyClick(now, Qt::Key_Tab);
    }
    for (QWidget* one : wanted) {
        const bool isWithin = std::ranges::any_of(met, [one](QWidget* focused) {
            // An editor takes the focus for its box.
            return focused == one || one->isAncestorOf(focused);
        });
        EXPECT_TRUE(isWithin) << "no key leads to " << placeOf(one);
    }
}

// WCAG 2.1, 1.4.3 (text) and 1.4.11 (what is not text): 4.5 and 3.
TEST(Access, TextStandsOutFromItsGroundAndNoGreyIsTinted) {
    for (const Shade shade : {Shade::light, Shade::dark}) {
        const QPalette palette = paletteOf(shade);
        for (int group = 0; group < QPalette::NColorGroups; ++group) {
            for (int role = 0; role < QPalette::NColorRoles; ++role) {
                const QColor colour = palette.color(static_cast<QPalette::ColorGroup>(group),
                                                    static_cast<QPalette::ColorRole>(role));
                EXPECT_TRUE(colour.red() == colour.green() && colour.green() == colour.blue())
                    << group << " " << role;
            }
        }
        const std::pair<QPalette::ColorRole, QPalette::ColorRole> pairs[] = {
            {QPalette::WindowText, QPalette::Window},
            {QPalette::Text, QPalette::Base},
            {QPalette::Text, QPalette::AlternateBase},
            {QPalette::ButtonText, QPalette::Button},
            {QPalette::HighlightedText, QPalette::Highlight},
            {QPalette::ToolTipText, QPalette::ToolTipBase},
            {QPalette::PlaceholderText, QPalette::Base},
            {QPalette::PlaceholderText, QPalette::AlternateBase},
            {QPalette::Link, QPalette::Window}};
        for (const auto& [text, ground] : pairs) {
            EXPECT_GE(contrast(palette.color(text), palette.color(ground)), 4.5)
                << static_cast<int>(shade) << ": " << text << " on " << ground;
        }
        EXPECT_GE(contrast(palette.color(QPalette::Highlight), palette.color(QPalette::Window)), 3)
            << "where the focus is";
        EXPECT_GE(contrast(palette.color(QPalette::Highlight), palette.color(QPalette::Base)), 3);
    }
    // The figure of the recommendation's own example: black on white.
    EXPECT_NEAR(contrast(Qt::white, Qt::black), 21, 1e-9);
}

/// Where the first words stand that have less room than they need; empty where all have enough.
std::string cutIn(const QWidget& window) {
    for (const QWidget* one : window.findChildren<QWidget*>()) {
        const bool hasWords = qobject_cast<const QLabel*>(one) != nullptr ||
                              qobject_cast<const QPushButton*>(one) != nullptr ||
                              qobject_cast<const QToolButton*>(one) != nullptr;
        if (!hasWords || !one->isVisible()) continue;
        const QSize least = one->minimumSizeHint();
        const int high = one->hasHeightForWidth()
                             ? std::min(least.height(), one->heightForWidth(one->width()))
                             : least.height();
        if (one->width() < least.width() || one->height() < high) return placeOf(one);
    }
    return {};
}

TEST(Access, NothingIsCutOnASmallScreen) {
    const auto room = furnished();
    for (const QSize size : {QSize(1280, 800), QSize(1024, 768)}) {
        room->window->resize(size);
        room->settle();
        EXPECT_EQ(room->window->size(), size) << "the window can be made so small";
        const ConditionPage* page = room->window->page();
        EXPECT_EQ(page->horizontalScrollBar()->maximum(), 0) << size.width();
        const QMargins around = page->widget()->layout()->contentsMargins();
        for (const Section* section : page->findChildren<Section*>()) {
            EXPECT_LE(section->minimumSizeHint().width(),
                      page->viewport()->width() - around.left() - around.right())
                << size.width() << ": " << section->objectName().toStdString() << " "
                << section->accessibleName().toStdString();
        }
        // Laying out takes several rounds; on a slow day they are not over at once.
        EXPECT_TRUE(waitUntil([&] { return cutIn(*room->window).empty(); }))
            << size.width() << ": " << cutIn(*room->window);
    }
}

TEST(Access, NothingLiesOverAnythingInTheQuestions) {
    const auto room = furnished();
    room->forEveryQuestion([](FormDialog& dialog) {
        std::vector<QWidget*> parts;
        for (QWidget* one : dialog.findChildren<QWidget*>(Qt::FindDirectChildrenOnly)) {
            if (one->isVisible() && !one->size().isEmpty()) parts.push_back(one);
        }
        EXPECT_GE(parts.size(), 2U);
        for (std::size_t i = 0; i < parts.size(); ++i) {
            EXPECT_TRUE(dialog.rect().contains(parts[i]->geometry())) << placeOf(parts[i]);
            for (std::size_t j = 0; j < i; ++j) {
                EXPECT_FALSE(parts[i]->geometry().intersects(parts[j]->geometry()))
                    << placeOf(parts[i]) << " over " << placeOf(parts[j]);
            }
        }
    });
}

}  // namespace
}  // namespace greywright::desktop

// Every text of the window can be translated: in a language that sets marks around every text, none is
// without.
#include <QAbstractButton>
#include <QAction>
#include <QApplication>
#include <QComboBox>
#include <QHeaderView>
#include <QLabel>
#include <QMenu>
#include <QRegularExpression>
#include <QTableView>
#include <QTranslator>

#include <gtest/gtest.h>

#include "bars.h"
#include "condition_page.h"
#include "form_dialog.h"
#include "read_dialog.h"
#include "room.h"

namespace greywright::desktop {
namespace {

class Marking : public QTranslator {
  public:
    QString translate(const char* /*context*/, const char* source, const char* /*comment*/,
                      int /*n*/) const override {
        return QStringLiteral("⟦") + QString::fromUtf8(source) + QStringLiteral("⟧");
    }
    [[nodiscard]] bool isEmpty() const override { return false; }
};

/// What is left of a text without what was translated, what the user entered, and what is the same in all
/// languages: names of lights, units, symbols.
QString untranslated(QString text) {
    static const QRegularExpression marked(QStringLiteral("⟦[^⟦⟧]*⟧"));
    while (text.contains(marked)) text.remove(marked);
    static const QRegularExpression same(QStringLiteral(
        "[a-z]+-[a-z0-9-]+|incandescent|halogen|[0-9]+ [A-Z][a-z]{2} "
        "[0-9]{4}|Letter|Legal|Tabloid|chalk|Heron|pigment|Chalk Rag|grey|across|up|[0-9]+\\.txt|Greywright[ "
        "0-9.]*|studio|"
        "LED-[A-Z0-9]+|hall|gallery|office|acrylic|Display P3|CIEDE2000|CIELAB|Esc|[a-z/"
        "]*prints?\\.greywright|"
        "(/|~)[^ ]*|\\.(tif|icc|html|txt|csv|json)|Ctrl|Shift|lux|ms|nm|mm|TIFF|PNG|PDF|SVG|ICC|sRGB|RGB"));
    text.remove(same);
    static const QRegularExpression words(QStringLiteral("[A-Za-z]{3,}"));
    return words.match(text).hasMatch() ? text : QString();
}

void expectTranslated(const QWidget* where) {
    const auto check = [](const QString& text, const QObject* of) {
        EXPECT_EQ(untranslated(text).toStdString(), "")
            << text.toStdString() << "\n"
            << of->metaObject()->className() << " " << of->objectName().toStdString();
    };
    for (const QWidget* one : where->findChildren<QWidget*>()) {
        if (!one->isVisibleTo(where)) continue;
        check(one->accessibleName(), one);
        check(one->accessibleDescription(), one);
        check(one->toolTip(), one);
        if (const auto* label = qobject_cast<const QLabel*>(one)) check(label->text(), one);
        if (const auto* button = qobject_cast<const QAbstractButton*>(one)) check(button->text(), one);
        if (const auto* box = qobject_cast<const QComboBox*>(one)) {
            for (int i = 0; i < box->count(); ++i) check(box->itemText(i), one);
        }
        if (const auto* table = qobject_cast<const QTableView*>(one)) {
            for (int column = 0; column < table->model()->columnCount(); ++column) {
                check(table->model()->headerData(column, Qt::Horizontal).toString(), one);
                for (int row = 0; row < table->model()->rowCount(); ++row)
                    check(table->model()->index(row, column).data().toString(), one);
            }
        }
    }
    for (const QAction* action : where->findChildren<QAction*>()) check(action->text(), action);
}

class Language : public ::testing::Test {
  protected:
    void SetUp() override { QApplication::installTranslator(&marking_); }
    void TearDown() override { QApplication::removeTranslator(&marking_); }

  private:
    Marking marking_;
};

TEST_F(Language, EveryTextOfTheWindowIsTranslated) {
    Room room;
    expectTranslated(room.window.get());
    room.startWithCondition();
    expectTranslated(room.window.get());
    room.takeInAsAsked(3);
    EXPECT_TRUE(room.window->page()->data().notice() != nullptr);
    expectTranslated(room.window.get());
    EXPECT_TRUE(untranslated("No tint").contains("tint")) << "the check itself finds what is not";
}

TEST_F(Language, EveryTextOfTheQuestionsIsTranslated) {
    Room room;
    room.startWithCondition();
    room.takeInAsAsked(1);
    room.forEveryQuestion([](FormDialog& dialog) { expectTranslated(&dialog); });
    // A file that raises a doubt, and one that is none.
    room.window->readFiles({room.pathOf("1.txt")});
    ASSERT_TRUE(
        waitUntil([&] { return room.window->reading() != nullptr && room.window->tasks().isIdle(); }));
    expectTranslated(room.window->reading());
    delete room.window->reading();
    room.window->openBook(room.pathOf("1.txt"));
    ASSERT_TRUE(waitUntil([&] { return !room.window->messages().shownCode().empty(); }));
    expectTranslated(&room.window->messages());
}

}  // namespace
}  // namespace greywright::desktop

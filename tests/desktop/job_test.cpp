#include <QAbstractSpinBox>
#include <QComboBox>
#include <QFile>
#include <QLabel>
#include <QLineEdit>
#include <QListWidget>
#include <QPushButton>
#include <QTableView>
#include <QTest>
#include <QUndoStack>

#include <gtest/gtest.h>

#include "bars.h"
#include "canvas/plot_view.h"
#include "condition_page.h"
#include "form_dialog.h"
#include "jobs.h"
#include "read_dialog.h"
#include "room.h"
#include "sheet_preview.h"
#include "steady_words.h"
#include "testing/near.h"
#include "text.h"

namespace greywright::desktop {
namespace {

steer::Setting asked(MainWindow& window) {
    steer::Setting out;
    for (const book::AxisValue& axis : window.page()->nextSetting()) out.push_back(axis.value);
    return out;
}

QString words(MainWindow& window, const char* name) {
    return find<QLabel>(window.page(), name)->text();
}

// The whole job, as a photographer does it who never opens a terminal.
TEST(Job, FromANewBookToAReportAndBack) {
    Room room;
    room.startWithCondition();
    MainWindow& window = *room.window;
    EXPECT_EQ(words(window, "headline"), "Print this first");
    EXPECT_EQ(asked(window), (steer::Setting{0, 0}));

    int sheets = 0;
    while (!words(window, "headline").startsWith("Settled") && sheets < 8) {
        const steer::Setting next = asked(window);
        room.takeIn({room.print(next)});
        ++sheets;
        ASSERT_EQ(window.page()->data().records().trials.size(), static_cast<std::size_t>(sheets));
        EXPECT_EQ(window.page()->data().records().trials.back().setting[0].value, next[0])
            << "the setting that was asked for is filled in";
        EXPECT_TRUE(window.messages().shownText().contains("is in the book"))
            << window.messages().shownText().toStdString();
    }
    EXPECT_TRUE(words(window, "headline").startsWith("Settled")) << words(window, "headline").toStdString();
    EXPECT_LE(sheets, 6);
    EXPECT_TRUE(words(window, "nextSetting").contains("across"));
    EXPECT_EQ(window.workspace().conditions().front().standing, studio::Standing::neutral);
    EXPECT_TRUE(window.page()->data().notice() != nullptr) << "viewers were asked";

    // The report.
    const QString report = room.pathOf("report.html");
    window.jobs().writeReport("chalk", report);
    ASSERT_TRUE(waitUntil([&] { return QFile::exists(report) && window.tasks().isIdle(); }));
    EXPECT_GT(QFile(report).size(), 20'000);

    // Undo takes the last trial back, redo counts it again; what was said of it before is over.
    EXPECT_FALSE(window.messages().shownText().isEmpty());
    window.workspace().undo().undo();
    EXPECT_TRUE(window.messages().shownText().isEmpty()) << window.messages().shownText().toStdString();
    ASSERT_TRUE(waitUntil([&] { return window.page()->data().records().trials.back().isWithdrawn(); }));
    room.settle();
    EXPECT_FALSE(words(window, "headline").startsWith("Settled")) << "one sheet fewer";
    window.workspace().undo().redo();
    ASSERT_TRUE(waitUntil([&] { return !window.page()->data().records().trials.back().isWithdrawn(); }));
    room.settle();
    EXPECT_TRUE(words(window, "headline").startsWith("Settled"));

    // All of it is there again when the book is opened next time.
    const QString setting = words(window, "nextSetting");
    room.window = std::make_unique<MainWindow>();
    room.window->openBook(room.pathOf("studio.greywright"));
    ASSERT_TRUE(waitUntil([&] { return room.window->page() != nullptr; }));
    room.settle();
    EXPECT_EQ(words(*room.window, "nextSetting"), setting);
    EXPECT_EQ(room.window->page()->data().records().trials.size(), static_cast<std::size_t>(sheets));
}

TEST(Job, FiveFilesDroppedAtOnceAreAskedAboutOneByOne) {
    Room room;
    room.startWithCondition();
    QStringList files;
    for (int i = 0; i < 5; ++i) files << room.print({5.0 * i, 0});
    room.takeIn(files);
    ReadDialog* reading = room.window->reading();
    ASSERT_NE(reading, nullptr);
    EXPECT_EQ(reading->waiting(), 4);
    while (room.window->reading() != nullptr) {
        ASSERT_TRUE(waitUntil(
            [&] { return room.window->reading() == nullptr || room.window->reading()->isReady(); }));
        if (room.window->reading() == nullptr) break;
        QTest::keyClick(room.window->reading(), Qt::Key_Return);
        QTest::qWait(30);
    }
    room.settle();
    EXPECT_EQ(room.window->page()->data().records().trials.size(), 5U);
}

TEST(Job, AToneThatIsPickedIsShownEverywhere) {
    Room room;
    room.startWithCondition();
    room.takeIn({room.print({0, 0})});
    ConditionPage* page = room.window->page();
    auto* table = find<QTableView>(page, "tones");
    table->setFocus();
    table->selectRow(4);
    EXPECT_NEAR(page->data().tone().value(), 20, 0.01);
    EXPECT_TRUE(find<canvas::PlotView>(page, "spectrum")->readOut().contains("20") ||
                find<canvas::PlotView>(page, "tint")->readOut().contains("20"));
    // By key from the plot: the next tone.
    auto* tint = find<canvas::PlotView>(page, "tint");
    tint->setFocus();
    QTest::keyClick(tint, Qt::Key_Right);
    EXPECT_EQ(table->currentIndex().row(), 5);
}

TEST(Job, TheCrossForetellsAndProposes) {
    Room room;
    room.startWithCondition();
    for (const steer::Setting& setting : std::vector<steer::Setting>{{0, 0}, {20, 0}, {0, 20}}) {
        const QString file = room.print(setting);
        room.window->readFiles({file});
        ASSERT_TRUE(waitUntil(
            [&] { return room.window->reading() != nullptr && room.window->reading()->isReady(); }));
        auto* across = find<QAbstractSpinBox>(room.window->reading(), "axis-across");
        auto* up = find<QAbstractSpinBox>(room.window->reading(), "axis-up");
        for (auto [box, value] : {std::pair{across, setting[0]}, {up, setting[1]}}) {
            box->selectAll();
            QTest::keyClicks(box, QString::number(value));
            QTest::keyClick(box, Qt::Key_Tab);
        }
        ASSERT_TRUE(waitUntil([&] { return room.window->reading()->isReady(); }));
        QTest::mouseClick(find<QPushButton>(room.window->reading(), "store"), Qt::LeftButton);
        ASSERT_TRUE(waitUntil([&] { return room.window->reading() == nullptr; }))
            << find<QLabel>(room.window->reading(), "trouble")->text().toStdString();
        room.settle();
        EXPECT_EQ(room.window->page()->data().records().trials.back().setting[0].value, setting[0]);
        EXPECT_EQ(room.window->page()->data().records().trials.back().setting[1].value, setting[1]);
    }
    ConditionPage* page = room.window->page();
    auto* map = find<canvas::PlotView>(page, "map");
    const QString before = find<SteadyWords>(page, "there")->text();
    map->setFocus();
    for (int i = 0; i < 12; ++i) QTest::keyClick(map, Qt::Key_Right);
    EXPECT_NE(find<SteadyWords>(page, "there")->text(), before);
    EXPECT_EQ(find<QTableView>(page, "foretoldLights")->model()->rowCount(), 6);
    ASSERT_TRUE(waitUntil([&] { return find<SteadyWords>(page, "foretoldShare")->text().contains("%"); }));
    QTest::mouseClick(find<QPushButton>(page, "propose"), Qt::LeftButton);
    EXPECT_TRUE(words(*room.window, "headline").contains("as you chose"));
}

TEST(Job, PrintsAreLookedAtUnderTheLightsThatWereTicked) {
    Room room;
    room.startWithCondition();
    room.takeIn({room.print({0, 0})});
    ConditionPage* page = room.window->page();
    const auto shown = [&] {
        QStringList out;
        const auto* model = find<QTableView>(page, "lights")->model();
        for (int row = 0; row < model->rowCount(); ++row) out << model->index(row, 0).data().toString();
        return out;
    };
    const QStringList usual = shown();
    room.window->jobs().askHowToLook();
    ASSERT_TRUE(waitUntil([&] { return room.window->findChild<FormDialog*>() != nullptr; }));
    auto* dialog = room.window->findChild<FormDialog*>();
    auto* lights = find<QListWidget>(dialog, "lights");
    const auto tick = [&](const QString& name) {
        const auto found = lights->findItems(name, Qt::MatchExactly);
        ASSERT_EQ(found.size(), 1) << name.toStdString();
        found.front()->setCheckState(Qt::Checked);
    };
    tick("A");
    tick("F11");
    auto* sought = find<QComboBox>(dialog, "sought");
    sought->setCurrentIndex(1);
    QTest::mouseClick(find<QPushButton>(dialog, "doIt"), Qt::LeftButton);
    room.settle();
    ASSERT_TRUE(waitUntil([&] { return shown() != usual; }));
    room.settle();
    EXPECT_EQ(shown(), (QStringList{"D50", "A", "F11"}));
    ASSERT_NE(page->data().foresight(), nullptr);
    EXPECT_EQ(page->data().foresight()->search.summary.lights.size(), 2U) << "settings are sought for them";
    // Kept for the next window.
    EXPECT_EQ(Preferences::load().lights, (QStringList{"A", "F11"}));
    EXPECT_TRUE(Preferences::load().isSoughtForLights);
    room.window->preferences().lights.clear();
    room.window->preferences().isSoughtForLights = false;
    room.window->preferences().save();
}

TEST(Job, TheInventedStudioCanBeStoppedAndIsMadeOnce) {
    Room room;
    MainWindow& window = *room.window;
    const QString folder = room.pathOf("invented");
    window.openInvented(folder);
    ASSERT_TRUE(waitUntil([&] { return QFile::exists(folder + "/studio.book"); }));
    window.tasks().stopAll();
    ASSERT_TRUE(waitUntil([&] { return window.tasks().isIdle(); }));
    EXPECT_FALSE(QFile::exists(folder)) << "half a studio is of no use";
    EXPECT_FALSE(window.workspace().isOpen());
    EXPECT_TRUE(window.messages().shownText().isEmpty()) << "whoever stops it need not be told";

    window.openInvented(folder);
    ASSERT_TRUE(waitUntil([&] { return window.workspace().conditions().size() == 4; }));
    room.settle();
    // The table is stopped before anything is stored.
    const studio::Studio studio = window.workspace().studio();
    const auto corrections = [&] { return studio.corrections("wren colour").value().size(); };
    const std::size_t before = corrections();
    const auto tonedAnd = [](bool isToGoOn) {
        return studio::TableRequest{.toning = colour::Toning::even(2, 70),
                                    .viewers = {.count = 50},
                                    .when = "2031-04-05T06:07:08Z",
                                    .goOn = [isToGoOn](double) { return isToGoOn; }};
    };
    const auto stopped = studio.makeTable("wren colour", tonedAnd(false));
    ASSERT_FALSE(stopped);
    EXPECT_EQ(stopped.error().code, "stopped");
    EXPECT_EQ(corrections(), before);
    EXPECT_TRUE(testing::succeeded(studio.makeTable("wren colour", tonedAnd(true))));
    EXPECT_EQ(corrections(), before + 1);

    // The next time it is only opened, with whatever was done in it.
    window.workspace().close();
    window.openInvented(folder);
    EXPECT_TRUE(window.tasks().shown().empty() ||
                !window.tasks().shown().front()->title().contains("invented"));
    ASSERT_TRUE(waitUntil([&] { return window.workspace().conditions().size() == 4; }));
    EXPECT_EQ(corrections(), before + 1);
    room.settle();
}

TEST(Job, ABookThatIsClosedAndOpenedAgainShowsItsPage) {
    Room room;
    room.startWithCondition();
    const QString path = room.window->workspace().path();
    room.window->workspace().close();
    EXPECT_EQ(room.window->page(), nullptr);
    room.window->openBook(path);
    ASSERT_TRUE(
        waitUntil([&] { return room.window->page() != nullptr && room.window->page()->isVisible(); }));
    EXPECT_EQ(room.window->page()->name(), "chalk");
    room.settle();
}

TEST(Job, EveryKindOfSheetIsShownAndMade) {
    Room room;
    room.startWithCondition();
    room.window->jobs().makeSheet("chalk", {{"across", 3}, {"up", -2}});
    const int kinds = find<QComboBox>(room.window->findChild<FormDialog*>(), "kind")->count();
    EXPECT_EQ(kinds, 8);
    delete room.window->findChild<FormDialog*>();
    for (int kind = 0; kind < kinds; ++kind) {
        room.window->jobs().makeSheet("chalk", {{"across", 3}, {"up", -2}});
        auto* dialog = room.window->findChild<FormDialog*>();
        find<QComboBox>(dialog, "kind")->setCurrentIndex(kind);
        EXPECT_TRUE(find<SheetPreview>(dialog, "preview")->problem().isEmpty()) << kind;
        const QString file = room.pathOf("sheet" + std::to_string(kind) + ".pdf");
        find<PathEdit>(dialog, "out")->setPath(file);
        QTest::mouseClick(find<QPushButton>(dialog, "doIt"), Qt::LeftButton);
        ASSERT_TRUE(waitUntil([&] { return room.window->findChild<FormDialog*>() == nullptr; }))
            << kind << ": " << dialog->complaint().toStdString();
        EXPECT_TRUE(QFile::exists(file)) << kind;
    }
    room.settle();
    // One that is there is not written over without a word.
    room.window->jobs().makeSheet("chalk", {});
    auto* dialog = room.window->findChild<FormDialog*>();
    find<PathEdit>(dialog, "out")->setPath(room.pathOf("sheet0.pdf"));
    QTest::mouseClick(find<QPushButton>(dialog, "doIt"), Qt::LeftButton);
    ASSERT_TRUE(waitUntil([&] { return dialog->complaint().contains("of this name"); }))
        << dialog->complaint().toStdString();
    delete dialog;
    EXPECT_EQ(room.window->workspace().studio().sheets().value().size(), static_cast<std::size_t>(kinds));
}

}  // namespace
}  // namespace greywright::desktop

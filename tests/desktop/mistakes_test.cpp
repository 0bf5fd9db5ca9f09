#include <QCheckBox>
#include <QFile>
#include <QLabel>
#include <QPushButton>
#include <QTest>

#include <SQLiteCpp/SQLiteCpp.h>
#include <gtest/gtest.h>

#include "bars.h"
#include "book/book.h"
#include "condition_page.h"
#include "folder_watch.h"
#include "form_dialog.h"
#include "jobs.h"
#include "read_dialog.h"
#include "room.h"

namespace greywright::desktop {
namespace {

void write(const QString& path, const QByteArray& bytes) {
    QFile file(path);
    ASSERT_TRUE(file.open(QIODevice::WriteOnly));
    file.write(bytes);
}

TEST(Mistakes, AWrongFileIsRefusedInWordsAndNothingIsStored) {
    Room room;
    room.startWithCondition();
    const QString file = room.pathOf("letter.txt");
    write(file, "Dear printer, the paper came in bent.\n");
    room.window->readFiles({file});
    ASSERT_TRUE(waitUntil([&] { return find<QLabel>(room.window->reading(), "trouble")->isVisible(); }));
    EXPECT_FALSE(find<QLabel>(room.window->reading(), "trouble")->text().isEmpty());
    EXPECT_FALSE(find<QPushButton>(room.window->reading(), "store")->isEnabled());
    QTest::mouseClick(find<QPushButton>(room.window->reading(), "skip"), Qt::LeftButton);
    EXPECT_TRUE(waitUntil([&] { return room.window->reading() == nullptr; }));
    EXPECT_TRUE(room.window->page()->data().records().trials.empty());
}

TEST(Mistakes, TwoHundredFilesAtOnceAreNotTakenForAWish) {
    Room room;
    room.startWithCondition();
    QStringList files;
    for (int i = 0; i < 200; ++i) {
        files << room.pathOf("file" + std::to_string(i) + ".txt");
        write(files.back(), "nothing\n");
    }
    room.window->readFiles(files);
    EXPECT_EQ(room.window->reading()->waiting(), 50);
    EXPECT_EQ(room.window->messages().shownCode(), "too-many-files");
    room.window->reading()->reject();
    room.settle();
    EXPECT_TRUE(room.window->page()->data().records().trials.empty());
}

TEST(Mistakes, TheSameFileTwiceIsAskedAbout) {
    Room room;
    room.startWithCondition();
    const QString file = room.print({0, 0});
    room.takeIn({file});
    room.window->readFiles({file});
    ASSERT_TRUE(waitUntil([&] {
        return room.window->reading() != nullptr &&
               room.window->reading()->findChild<QCheckBox*>("doubt-reading-twice") != nullptr;
    }));
    EXPECT_FALSE(room.window->reading()->isReady()) << "before the question is answered";
    QTest::mouseClick(find<QCheckBox>(room.window->reading(), "doubt-reading-twice"), Qt::LeftButton, {},
                      QPoint(8, 8));
    EXPECT_TRUE(room.window->reading()->isReady());
    room.window->reading()->reject();
    room.settle();
    EXPECT_EQ(room.window->page()->data().records().trials.size(), 1U);
}

TEST(Mistakes, AFileThatIsStillBeingWrittenIsReadWhenItIsWhole) {
    Room room;
    room.startWithCondition();
    const QString inbox = room.pathOf("inbox");
    std::filesystem::create_directories(room.folder / "inbox");
    room.window->watchFolder(inbox);
    const QString whole = room.print({0, 0});
    QFile source(whole);
    ASSERT_TRUE(source.open(QIODevice::ReadOnly));
    const QByteArray bytes = source.readAll();
    // In four parts, as a slow program exports it.
    QFile slow(inbox + "/export.txt");
    ASSERT_TRUE(slow.open(QIODevice::WriteOnly));
    for (qsizetype i = 0; i < 4; ++i) {
        slow.write(bytes.mid(i * bytes.size() / 4, (i + 1) * bytes.size() / 4 - i * bytes.size() / 4));
        slow.flush();
        QTest::qWait(150);
    }
    slow.close();
    ASSERT_TRUE(
        waitUntil([&] { return room.window->reading() != nullptr && room.window->reading()->isReady(); }));
    EXPECT_TRUE(find<QLabel>(room.window->reading(), "summary")->text().contains("21 tones"));
    room.window->reading()->reject();
    room.settle();
}

TEST(Mistakes, ABookThatIsGoneIsToldAndTheWindowStays) {
    Room room;
    room.startWithCondition();
    room.takeIn({room.print({0, 0})});
    ASSERT_TRUE(QFile::remove(room.pathOf("studio.greywright")));
    room.window->workspace().refresh();
    ASSERT_TRUE(waitUntil(
        [&] { return room.window->messages().isVisible() && !room.window->messages().shownCode().empty(); }));
    EXPECT_FALSE(room.window->messages().shownText().isEmpty());
    EXPECT_NE(room.window->page(), nullptr) << "what was read stays to be looked at";
}

TEST(Mistakes, ABookThatAnotherProgramHoldsIsToldAndTheSheetCanBeStoredAfterwards) {
    Room room;
    room.startWithCondition();
    const QString sheet = room.print({0, 0});
    room.window->readFiles({sheet});
    ASSERT_TRUE(
        waitUntil([&] { return room.window->reading() != nullptr && room.window->reading()->isReady(); }));
    ReadDialog* reading = room.window->reading();
    {
        SQLite::Database other(room.pathOf("studio.greywright").toStdString(), SQLite::OPEN_READWRITE);
        const SQLite::Transaction writing(other, SQLite::TransactionBehavior::IMMEDIATE);
        QTest::mouseClick(find<QPushButton>(reading, "store"), Qt::LeftButton);
        ASSERT_TRUE(waitUntil([&] { return find<QLabel>(reading, "trouble")->isVisible(); }));
        EXPECT_TRUE(find<QLabel>(reading, "trouble")->text().contains("nother program"))
            << find<QLabel>(reading, "trouble")->text().toStdString();
    }
    EXPECT_TRUE(room.window->page()->data().records().trials.empty());
    ASSERT_TRUE(waitUntil([&] { return reading->isReady(); })) << "it can be tried again";
    QTest::mouseClick(find<QPushButton>(reading, "store"), Qt::LeftButton);
    ASSERT_TRUE(waitUntil([&] { return room.window->reading() == nullptr; }));
    room.settle();
    EXPECT_EQ(room.window->page()->data().records().trials.size(), 1U);
}

TEST(Mistakes, ABookThatAnotherProgramHoldsOpensOnceItIsFree) {
    Room room;
    room.startWithCondition();
    const QString path = room.pathOf("studio.greywright");
    MainWindow second;
    {
        SQLite::Database other(path.toStdString(), SQLite::OPEN_READWRITE);
        const SQLite::Transaction closing(other, SQLite::TransactionBehavior::EXCLUSIVE);
        second.openBook(path);
        ASSERT_TRUE(waitUntil([&] { return !second.messages().shownCode().empty(); }));
        EXPECT_EQ(second.messages().shownCode(), "book-locked");
        EXPECT_FALSE(second.workspace().isOpen());
    }
    second.openBook(path);
    EXPECT_TRUE(waitUntil([&] { return second.workspace().isOpen() && second.tasks().isIdle(); }));
}

TEST(Mistakes, ABookThatIsNoBookIsRefused) {
    Room room;
    const QString path = room.pathOf("no.greywright");
    write(path, "this is a text\n");
    room.window->openBook(path);
    ASSERT_TRUE(waitUntil([&] { return !room.window->messages().shownCode().empty(); }));
    EXPECT_FALSE(room.window->workspace().isOpen());
}

TEST(Mistakes, ABookThatCannotBeOpenedLeavesTheOneThatIsOpen) {
    Room room;
    room.startWithCondition();
    const QString path = room.window->workspace().path();
    room.window->startBook(path);
    ASSERT_TRUE(waitUntil([&] { return room.window->messages().shownText().contains("already"); }));
    room.window->openBook(room.pathOf("none.greywright"));
    ASSERT_TRUE(waitUntil([&] { return room.window->messages().shownText().contains("none.greywright"); }));
    ASSERT_NE(room.window->page(), nullptr);
    EXPECT_EQ(room.window->page()->name(), "chalk");
    QTest::keyClick(room.window.get(), Qt::Key_T, Qt::ControlModifier);
    room.window->jobs().makeSheet("chalk", room.window->page()->nextSetting());
    EXPECT_NE(room.window->findChild<FormDialog*>(), nullptr);
    delete room.window->findChild<FormDialog*>();
    room.settle();
}

}  // namespace
}  // namespace greywright::desktop

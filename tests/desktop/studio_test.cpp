// What is the studio's own, and how a condition was entered: entered, used, put right and taken out again.
#include <QCheckBox>
#include <QComboBox>
#include <QDoubleSpinBox>
#include <QFile>
#include <QFileInfo>
#include <QLabel>
#include <QLineEdit>
#include <QListWidget>
#include <QPushButton>
#include <QTableWidget>
#include <QTest>

#include <gtest/gtest.h>

#include "bars.h"
#include "condition_page.h"
#include "core/files.h"
#include "form_dialog.h"
#include "jobs.h"
#include "marked_picture.h"
#include "models.h"
#include "photo_dialog.h"
#include "read_dialog.h"
#include "room.h"
#include "section.h"
#include "testing/near.h"
#include "testing/shots.h"
#include "text.h"

namespace greywright::desktop {
namespace {

using greywright::testing::succeeded;

void choose(FormDialog* dialog, const char* name, const QString& item) {
    auto* box = find<QComboBox>(dialog, name);
    const int index = box->findText(item);
    ASSERT_GE(index, 0) << name << ": " << item.toStdString();
    box->setCurrentIndex(index);
}

void fill(FormDialog* dialog, const char* name, const QString& words) {
    find<QLineEdit>(dialog, name)->setText(words);
}

/// A table of wavelengths and one value for each.
QString tableIn(Room& room, const std::string& name, double value) {
    std::string out = "nm,value\n";
    for (int nm = 380; nm <= 780; nm += 5) out += std::to_string(nm) + "," + std::to_string(value) + "\n";
    EXPECT_TRUE(succeeded(writeWholeFile(text(room.pathOf(name)), out)));
    return room.pathOf(name);
}

/// A photograph of a card beside a print with less green, open to be looked at.
PhotoDialog* photographIn(Room& room) {
    room.startWithCondition();
    const QString photo = room.pathOf("photo.png");
    EXPECT_TRUE(succeeded(greywright::testing::writeCardAndPrint(text(photo), {150, 138, 150})));
    room.window->jobs().lookAtPhotograph(photo);
    return room.window->findChild<PhotoDialog*>();
}

TEST(StudiosOwn, IsEnteredAndUsedAndTakenOutAgain) {
    Room room;
    room.startWithCondition();
    room.takeInAsAsked(1);
    Jobs& jobs = room.window->jobs();
    const studio::Studio studio = room.window->workspace().studio();

    jobs.addLight();
    FormDialog* dialog = room.asked();
    fill(dialog, "name", "mixed");
    QTest::mouseClick(find<QPushButton>(dialog, "doIt"), Qt::LeftButton);
    EXPECT_TRUE(dialog->complaint().contains("measured or mixed")) << "neither is given";
    choose(dialog, "part-1", "A");
    choose(dialog, "part-2", "D65");
    find<QDoubleSpinBox>(dialog, "share-1")->setValue(30);
    room.answer(dialog);
    ASSERT_NE(studio.catalogue()->ownLight("mixed"), nullptr);
    EXPECT_EQ(studio.catalogue()->ownLight("mixed")->parts,
              (std::vector<book::LightShareRecord>{{"A", 30}, {"D65", 50}}));

    jobs.addGlazing();
    dialog = room.asked();
    fill(dialog, "name", "smoked");
    find<PathEdit>(dialog, "file")->setPath(tableIn(room, "smoked.csv", 0.4));
    room.answer(dialog);

    jobs.addScene();
    dialog = room.asked();
    fill(dialog, "name", "stairs");
    choose(dialog, "light", "mixed");
    choose(dialog, "glazing", "smoked");
    find<QDoubleSpinBox>(dialog, "lux")->setValue(120);
    room.answer(dialog);

    jobs.addViewer();
    dialog = room.asked();
    fill(dialog, "name", "Aunt");
    find<QDoubleSpinBox>(dialog, "age")->setValue(71);
    find<QDoubleSpinBox>(dialog, "thresholdBeside")->setValue(0.7);
    room.answer(dialog);
    const auto catalogue = studio.catalogue();
    ASSERT_TRUE(succeeded(catalogue));
    EXPECT_EQ(catalogue->viewer("Aunt")->thresholdBeside, 0.7);
    EXPECT_EQ(catalogue->viewer("Aunt")->thresholdAlone, std::nullopt) << "as assumed";

    // The scene is ticked, and only the aunt is asked.
    jobs.askHowToLook();
    dialog = room.asked();
    auto* lights = find<QListWidget>(dialog, "lights");
    for (int i = 0; i < lights->count(); ++i)
        lights->item(i)->setCheckState(lights->item(i)->text() == "stairs" ? Qt::Checked : Qt::Unchecked);
    choose(dialog, "who", "Aunt");
    EXPECT_FALSE(find<QDoubleSpinBox>(dialog, "youngest")->isEnabled()) << "her age is known";
    room.answer(dialog);
    const ConditionData& shown = room.window->page()->data();
    ASSERT_TRUE(waitUntil([&] { return shown.notice() != nullptr; }));
    EXPECT_EQ(shown.notice()->youngestYears, 71);
    EXPECT_TRUE(find<QLabel>(room.window->page(), "noticeWords")->text().contains("people like Aunt"));
    const auto& judged = shown.judgement()->verdict.lights;
    EXPECT_TRUE(
        std::ranges::any_of(judged, [](const auto& one) { return one.name == "stairs" && one.lux == 120; }));

    // Taken out one by one; what is in use stays.
    jobs.showOwn();
    dialog = room.asked();
    auto* table = find<RowsView>(dialog, "own");
    ASSERT_TRUE(waitUntil([&] { return table->model()->rowCount() == 4; }));
    const auto remove = [&](const QString& name) {
        for (int row = 0; row < table->model()->rowCount(); ++row) {
            if (table->model()->index(row, 1).data().toString() == name) table->choose(row);
        }
        auto* button = find<QPushButton>(dialog, "doIt");
        QTest::mouseClick(button, Qt::LeftButton);
        EXPECT_TRUE(button->text().contains(name)) << "it asks first";
        QTest::mouseClick(button, Qt::LeftButton);
    };
    remove("smoked");
    ASSERT_TRUE(waitUntil([&] { return !dialog->complaint().isEmpty(); }));
    EXPECT_TRUE(dialog->complaint().contains("stairs")) << dialog->complaint().toStdString();
    int left = 4;
    for (const char* name : {"stairs", "smoked", "mixed", "Aunt"}) {
        remove(name);
        --left;
        ASSERT_TRUE(waitUntil([&] { return table->model()->rowCount() == left; })) << name;
    }
    EXPECT_FALSE(dialog->answerButton()->isEnabled()) << "nothing is left to take out";
    delete dialog;
    room.settle();
    // What was ticked is not there any more: the usual places, and people of many ages.
    ASSERT_TRUE(waitUntil([&] { return shown.notice() != nullptr && shown.notice()->youngestYears == 20; }));
    EXPECT_TRUE(std::ranges::any_of(shown.judgement()->verdict.lights,
                                    [](const auto& one) { return one.name == "living-room"; }));
}

TEST(StudiosOwn, AScannerIsLearnedAndThenReadsCloser) {
    Room room;
    room.startWithCondition();
    Jobs& jobs = room.window->jobs();
    jobs.makeSheet("chalk", {{"across", 0}, {"up", 0}});
    FormDialog* dialog = room.asked();
    find<QComboBox>(dialog, "kind")->setCurrentIndex(2);
    find<PathEdit>(dialog, "out")->setPath(room.pathOf("sheet.tif"));
    room.answer(dialog);
    const auto kept = room.window->workspace().studio().sheets();
    ASSERT_TRUE(succeeded(kept));
    const auto sheet = sheet::sheetFromCgats(kept->front().definition);
    ASSERT_TRUE(succeeded(sheet));
    simulate::Camera camera = greywright::testing::flatbed();
    camera.gain = {0.97, 0.86, 0.82};
    camera.overlap = 0.1;
    const QString scan = room.pathOf("scan.tif");
    ASSERT_TRUE(succeeded(greywright::testing::writeShot(text(scan), *sheet, camera)));
    const QString truth = room.pathOf("truth.txt");
    ASSERT_TRUE(succeeded(writeWholeFile(text(truth), greywright::testing::measurementOf(*sheet))));

    jobs.learnDevice("chalk");
    dialog = room.asked();
    EXPECT_EQ(find<QComboBox>(dialog, "paper")->currentText(),
              text(room.window->workspace().condition("chalk")->condition.paper));
    fill(dialog, "name", "Flatbed");
    find<PathEdit>(dialog, "picture")->setPath(scan);
    find<PathEdit>(dialog, "measured")->setPath(truth);
    room.answer(dialog);
    EXPECT_TRUE(room.window->messages().shownText().contains("'Flatbed' is learned"))
        << room.window->messages().shownText().toStdString();

    const auto uncertainty = [&] {
        room.window->readFiles({scan});
        ReadDialog* reading = room.window->reading();
        EXPECT_TRUE(waitUntil([&] { return room.window->tasks().isIdle(); }));
        return reading;
    };
    ReadDialog* reading = uncertainty();
    auto* device = find<QComboBox>(reading, "device");
    ASSERT_TRUE(device->isVisible()) << "a scan is asked what it was made with";
    const double before = reading->inspected()->summary.uncertainty->shared;
    device->setCurrentIndex(device->findData("Flatbed"));
    Q_EMIT device->activated(device->currentIndex());
    ASSERT_TRUE(waitUntil([&] { return room.window->tasks().isIdle() && reading->isReady(); }));
    EXPECT_LT(2 * reading->inspected()->summary.uncertainty->shared, before);
    delete reading;
    room.window->readFiles({truth});
    ASSERT_TRUE(waitUntil([&] { return room.window->tasks().isIdle(); }));
    EXPECT_FALSE(find<QComboBox>(room.window->reading(), "device")->isVisible())
        << "a measurement was made with an instrument";
    delete room.window->reading();
}

TEST(StudiosOwn, APlaceInAPhotographIsLookedAtByACard) {
    Room room;
    PhotoDialog* dialog = photographIn(room);
    ASSERT_NE(dialog, nullptr);
    ASSERT_TRUE(waitUntil([&] { return room.window->tasks().isIdle(); }));
    MarkedPicture& marks = dialog->marks();
    const auto draw = [&](double left, double right) {
        // The picture is twice as wide as high and fills the width.
        const double high = marks.width() / 2.0;
        const double top = (marks.height() - high) / 2;
        const auto at = [&](double x, double y) {
            return QPoint(static_cast<int>(x * marks.width()), static_cast<int>(top + y * high));
        };
        ASSERT_GT(top, 0);
        QTest::mousePress(&marks, Qt::LeftButton, {}, at(left, 0.2));
        QTest::mouseMove(&marks, at(right, 0.8));
        QTest::mouseRelease(&marks, Qt::LeftButton, {}, at(right, 0.8));
    };
    draw(0.05, 0.4);
    EXPECT_NEAR(marks.mark(0).left(), 0.05, 0.01);
    EXPECT_NEAR(marks.mark(0).right(), 0.4, 0.01);
    EXPECT_EQ(marks.active(), 1) << "after the card comes the place";
    draw(0.6, 0.9);
    ASSERT_TRUE(waitUntil([&] { return dialog->words().contains("a*"); })) << dialog->words().toStdString();
    EXPECT_TRUE(dialog->words().contains("magenta") || dialog->words().contains("purple"))
        << dialog->words().toStdString();
    auto* stronger = find<QCheckBox>(dialog, "stronger");
    ASSERT_TRUE(stronger->isEnabled());
    const QImage plain = marks.grab().toImage();
    stronger->setChecked(true);
    const QImage strong = marks.grab().toImage();
    const QPoint print(marks.width() * 19 / 20, marks.height() / 2);
    const auto greenness = [&](const QImage& image) {
        const QColor colour = image.pixelColor(print * image.devicePixelRatio());
        return colour.green() - (colour.red() + colour.blue()) / 2;
    };
    EXPECT_LT(greenness(strong), 3 * greenness(plain)) << "it leans the same way, and more";

    // By key: a place on the card is neutral, whichever box asks.
    marks.setFocus();
    for (int i = 0; i < 55; ++i) QTest::keyClick(&marks, Qt::Key_Left);
    ASSERT_TRUE(waitUntil([&] { return dialog->words().contains("cannot tell"); }))
        << dialog->words().toStdString();
    const QRectF before = marks.mark(1);
    QTest::keyClick(&marks, Qt::Key_Up, Qt::ShiftModifier);
    EXPECT_LT(marks.mark(1).height(), before.height());
    marks.setMark(1, {0.7, 0.5, 0.01, 0.01});
    ASSERT_TRUE(waitUntil([&] { return dialog->words().contains("8 pixels"); }))
        << dialog->words().toStdString();
    EXPECT_FALSE(stronger->isEnabled()) << "nothing was seen";
    delete dialog;
    room.settle();
    room.window->jobs().lookAtPhotograph(room.pathOf("none.png"));
    dialog = room.window->findChild<PhotoDialog*>();
    ASSERT_TRUE(waitUntil([&] { return dialog->words().contains("none.png"); }))
        << dialog->words().toStdString();
    delete dialog;
    room.settle();
}

TEST(StudiosOwn, WhatTheCardIsDecidesHowStrongATintIs) {
    Room room;
    PhotoDialog* dialog = photographIn(room);
    ASSERT_NE(dialog, nullptr);
    ASSERT_TRUE(waitUntil([&] { return room.window->tasks().isIdle(); }));
    dialog->marks().setMark(0, {0.05, 0.2, 0.35, 0.6});
    dialog->marks().setMark(1, {0.6, 0.2, 0.3, 0.6});
    const auto chroma = [&](const char* kind, const QString& colour) {
        auto* box = find<QComboBox>(dialog, "cardKind");
        box->setCurrentIndex(box->findText(QString::fromLatin1(kind)));
        if (!colour.isEmpty()) {
            auto* line = find<QLineEdit>(dialog, "cardLab");
            EXPECT_TRUE(line->isEnabled());
            line->setText(colour);
            Q_EMIT line->editingFinished();
        }
        QTest::qWait(400);  // longer than the dialog waits for another key
        EXPECT_TRUE(waitUntil([&] { return dialog->words().contains("chroma"); }));
        return dialog->words().section("chroma ", 1).section(QLatin1Char('.'), 0, 1).toDouble();
    };
    const double white = chroma("white", {});
    const double grey = chroma("mid grey, of 18 %", {});
    EXPECT_LT(grey, 0.8 * white);
    EXPECT_NEAR(chroma("measured, as given below", "49.5, 0, 0"), grey, 0.11);
    find<QLineEdit>(dialog, "cardLab")->setText("49.5");
    Q_EMIT find<QLineEdit>(dialog, "cardLab")->editingFinished();
    ASSERT_TRUE(waitUntil([&] { return dialog->words().contains("not understood"); }));
    delete dialog;
    room.settle();
}

TEST(StudiosOwn, AControlWithoutZeroIsReadAtWhatItsFieldsSay) {
    Room room;
    room.startWithCondition();
    const QString file = room.print({0, 0});
    const studio::Studio studio = room.window->workspace().studio();
    book::ConditionRecord record = room.window->workspace().condition("chalk")->condition;
    record.name = "Höhe";
    record.axes = {{"warm", 1, 9, 1}};
    ASSERT_TRUE(succeeded(studio.addCondition(record)));
    room.window->workspace().refresh();
    ASSERT_TRUE(waitUntil([&] { return room.window->workspace().conditions().size() == 2; }));
    room.window->showCondition(QStringLiteral("Höhe"));
    ASSERT_TRUE(waitUntil([&] { return room.window->page()->data().isLoaded(); }));
    EXPECT_EQ(room.window->page()->nextSetting(), (book::Setting{{"warm", 1}})) << "zero is no setting of it";
    room.takeIn({file});
    const auto trials = studio.trials("Höhe");
    ASSERT_TRUE(succeeded(trials));
    ASSERT_EQ(trials->size(), 1U);
    EXPECT_EQ(trials->front().setting, (book::Setting{{"warm", 1}}));
    // A name that the lettering does not have is written as near as it can be.
    room.window->jobs().makeSheet(QStringLiteral("Höhe"), {{"warm", 1}});
    FormDialog* dialog = room.asked();
    EXPECT_EQ(find<QLineEdit>(dialog, "title")->text(), "Hohe");
    find<PathEdit>(dialog, "out")->setPath(room.pathOf("sheet.tif"));
    room.answer(dialog);
    ASSERT_TRUE(waitUntil([&] { return room.window->page()->data().records().sheets.size() == 1; }));
}

TEST(StudiosOwn, WhoNoticesIsAskedByThePicturesOwnTonesAndTheBookIsChecked) {
    Room room;
    room.startWithCondition();
    room.takeInAsAsked(1);
    ConditionData& shown = room.window->page()->data();
    ASSERT_TRUE(waitUntil([&] { return shown.notice() != nullptr; }));
    const double before = shown.notice()->besideAnywhere.value;
    const QString photo = room.pathOf("light.png");
    ASSERT_TRUE(succeeded(greywright::testing::writeCardAndPrint(text(photo), {245, 245, 245})));
    shown.countByPicture(photo);
    ASSERT_TRUE(waitUntil([&] { return shown.isSettled() && shown.notice() != nullptr; }));
    EXPECT_NE(shown.notice()->besideAnywhere.value, before);
    const auto* words = find<QLabel>(room.window->page(), "noticeWords");
    EXPECT_TRUE(words->text().contains("light.png")) << words->text().toStdString();
    QTest::mouseClick(find<QPushButton>(room.window->page(), "byPicture"), Qt::LeftButton);
    ASSERT_TRUE(waitUntil([&] { return shown.isSettled() && shown.notice() != nullptr; }));
    EXPECT_EQ(shown.notice()->besideAnywhere.value, before);
    EXPECT_FALSE(words->text().contains("light.png"));
    shown.countByPicture(room.pathOf("none.png"));
    ASSERT_TRUE(waitUntil([&] { return room.window->messages().shownText().contains("none.png"); }));
    ASSERT_TRUE(waitUntil([&] { return shown.isSettled() && shown.notice() != nullptr; }))
        << "they are asked without it";
    EXPECT_TRUE(shown.picture().isEmpty());
    room.window->jobs().checkBook();
    ASSERT_TRUE(waitUntil([&] { return room.window->messages().shownText().contains("is whole"); }));
    room.settle();
}

TEST(StudiosOwn, AReadingLeavesAsTextAndAsTheFileItWas) {
    Room room;
    room.startWithCondition();
    const QString file = room.print({0, 0});
    room.takeIn({file});
    const auto save = [&](bool isOriginal, const QString& path) {
        QTest::mouseClick(find<QPushButton>(room.window->page(), "export"), Qt::LeftButton);
        FormDialog* dialog = room.asked();
        find<QComboBox>(dialog, "what")->setCurrentIndex(isOriginal ? 1 : 0);
        EXPECT_EQ(QFileInfo(find<PathEdit>(dialog, "out")->path()).fileName(),
                  isOriginal ? QFileInfo(file).fileName() : QStringLiteral("chalk-trial-1.txt"));
        find<PathEdit>(dialog, "out")->setPath(path);
        return dialog;
    };
    room.answer(save(true, room.pathOf("same.txt")));
    EXPECT_EQ(readWholeFile(text(room.pathOf("same.txt"))).value(), readWholeFile(text(file)).value());
    room.answer(save(false, room.pathOf("text.txt")));
    EXPECT_TRUE(readWholeFile(text(room.pathOf("text.txt")))->starts_with("CGATS"));
    FormDialog* dialog = save(false, room.pathOf("text.txt"));
    QTest::mouseClick(find<QPushButton>(dialog, "doIt"), Qt::LeftButton);
    ASSERT_TRUE(waitUntil([&] { return dialog->complaint().contains("of this name"); }));
    find<QCheckBox>(dialog, "replace")->setChecked(true);
    find<PathEdit>(dialog, "out")->setPath(room.window->workspace().path());
    QTest::mouseClick(find<QPushButton>(dialog, "doIt"), Qt::LeftButton);
    ASSERT_TRUE(waitUntil([&] { return dialog->complaint().contains("worked on"); }))
        << dialog->complaint().toStdString();
    delete dialog;
    EXPECT_TRUE(succeeded(room.window->workspace().studio().check()));
}

TEST(StudiosOwn, AConditionIsPutRightUnderAnotherNameAndItsPageFollows) {
    Room room;
    room.startWithCondition();
    room.takeInAsAsked(1);
    room.window->jobs().correctCondition("chalk");
    FormDialog* dialog = room.asked();
    EXPECT_EQ(find<QLineEdit>(dialog, "name")->text(), "chalk");
    auto* axes = find<QTableWidget>(dialog, "axes");
    EXPECT_EQ(axes->item(1, 0)->text(), "up");
    fill(dialog, "name", "chalk smooth");
    fill(dialog, "paper", "Chalk Smooth");
    axes->item(1, 0)->setText("lift");
    room.answer(dialog);
    ASSERT_TRUE(waitUntil([&] {
        return room.window->page() != nullptr && room.window->page()->name() == "chalk smooth" &&
               room.window->page()->data().isLoaded();
    }));
    room.settle();
    EXPECT_EQ(room.window->page()->data().records().condition.paper, "Chalk Smooth");
    const QAbstractItemModel* history = find<RowsView>(room.window->page(), "history")->model();
    bool isTold = false;
    for (int row = 0; row < history->rowCount(); ++row)
        isTold = isTold || history->index(row, 2).data().toString().contains("-> Chalk Smooth");
    EXPECT_TRUE(isTold) << "what was put right stands in the history";
    EXPECT_EQ(room.window->page()->nextSetting()[1].axis, "lift");
    EXPECT_FALSE(room.window->messages().isVisible()) << room.window->messages().shownText().toStdString();
    // One that was printed stays.
    room.window->jobs().removeCondition("chalk smooth");
    dialog = room.asked();
    QTest::mouseClick(find<QPushButton>(dialog, "doIt"), Qt::LeftButton);
    ASSERT_TRUE(waitUntil([&] { return !dialog->complaint().isEmpty(); }));
    EXPECT_TRUE(dialog->complaint().contains("has trials"));
    delete dialog;
}

TEST(StudiosOwn, AnotherControlIsAnotherMap) {
    Room room;
    room.startWithCondition();
    room.takeInAsAsked(3);
    EXPECT_EQ(find<QDoubleSpinBox>(room.window->page(), "cross-up")->decimals(), 0);
    room.window->jobs().correctCondition("chalk");
    FormDialog* dialog = room.asked();
    auto* axes = find<QTableWidget>(dialog, "axes");
    axes->item(1, 1)->setText("-80");
    axes->item(1, 3)->setText("0.5");
    room.answer(dialog);
    ASSERT_TRUE(waitUntil([&] {
        auto* page = room.window->page();
        return page != nullptr && page->name() == "chalk" && page->data().foresight() != nullptr &&
               page->findChild<QDoubleSpinBox*>("cross-up") != nullptr;
    }));
    room.settle();
    const auto* up = find<QDoubleSpinBox>(room.window->page(), "cross-up");
    EXPECT_EQ(up->minimum(), -80);
    EXPECT_EQ(up->singleStep(), 0.5);
    EXPECT_EQ(up->decimals(), 2);
}

// A name that is put right takes its sheets along: the next block must not lie over an earlier one.
TEST(StudiosOwn, BlocksGoOnAfterTheirConditionWasRenamed) {
    Room room;
    room.startWithCondition();
    const auto makeBlock = [&](const QString& condition, const char* file) {
        room.window->jobs().makeSheet(condition, {{"across", 0}, {"up", 0}});
        FormDialog* dialog = room.asked();
        find<QComboBox>(dialog, "kind")->setCurrentIndex(3);
        find<PathEdit>(dialog, "out")->setPath(room.pathOf(file));
        room.answer(dialog);
        const auto sheets = room.window->workspace().studio().sheets();
        EXPECT_TRUE(succeeded(sheets));
        const auto made = sheet::sheetFromCgats(sheets->back().definition);
        EXPECT_TRUE(succeeded(made));
        return QPointF(made->patches.front().at.x, made->patches.front().at.y);
    };
    const QPointF first = makeBlock("chalk", "one.tif");
    const QPointF second = makeBlock("chalk", "two.tif");
    EXPECT_NE(first, second);
    room.window->jobs().correctCondition("chalk");
    FormDialog* dialog = room.asked();
    fill(dialog, "name", "chalk rag");
    room.answer(dialog);
    ASSERT_TRUE(waitUntil(
        [&] { return room.window->page() != nullptr && room.window->page()->name() == "chalk rag"; }));
    room.settle();
    const QPointF third = makeBlock("chalk rag", "three.tif");
    EXPECT_NE(third, first);
    EXPECT_NE(third, second);
    ASSERT_TRUE(waitUntil([&] { return room.window->page()->data().records().sheets.size() == 3; }));
}

TEST(StudiosOwn, AFileIsReadIntoTheConditionThatItWasOpenedFor) {
    Room room;
    room.startWithCondition();
    const studio::Studio studio = room.window->workspace().studio();
    room.window->readFiles({room.print({0, 0})});
    ReadDialog* reading = room.window->reading();
    ASSERT_TRUE(waitUntil([&] { return reading->isReady(); }));
    // Another program renames the condition meanwhile: its page goes, the question stays.
    book::ConditionRecord other = studio.condition("chalk").value();
    other.name = "chalk rag";
    ASSERT_TRUE(succeeded(studio.correctCondition("chalk", other)));
    ASSERT_TRUE(waitUntil(
        [&] { return room.window->page() != nullptr && room.window->page()->name() == "chalk rag"; }));
    QTest::mouseClick(find<QPushButton>(reading, "store"), Qt::LeftButton);
    auto* trouble = find<QLabel>(reading, "trouble");
    ASSERT_TRUE(waitUntil([&] { return trouble->text().contains("chalk"); }))
        << trouble->text().toStdString();
    EXPECT_TRUE(trouble->isVisible());
    delete reading;
    EXPECT_TRUE(studio.trials("chalk rag")->empty());
    room.settle();
}

TEST(StudiosOwn, ClosingTheQuestionWhileItStoresLosesNothing) {
    Room room;
    room.startWithCondition();
    room.window->readFiles({room.print({0, 0})});
    ReadDialog* reading = room.window->reading();
    ASSERT_TRUE(waitUntil([&] { return reading->isReady(); }));
    QTest::mouseClick(find<QPushButton>(reading, "store"), Qt::LeftButton);
    reading->close();
    ASSERT_TRUE(waitUntil([&] { return room.window->reading() == nullptr; }));
    room.settle();
    EXPECT_EQ(room.window->workspace().studio().trials("chalk")->size(), 1U);
    EXPECT_TRUE(room.window->messages().shownText().contains("Trial 1 is in the book"))
        << room.window->messages().shownText().toStdString();
    EXPECT_TRUE(room.window->workspace().undo().canUndo());
}

TEST(StudiosOwn, AConditionThatGoesTakesItsPageWithIt) {
    Room room;
    room.startWithCondition();
    const studio::Studio studio = room.window->workspace().studio();
    book::ConditionRecord second = room.window->workspace().condition("chalk")->condition;
    second.name = "fen";
    ASSERT_TRUE(succeeded(studio.addCondition(second)));
    room.window->workspace().refresh();
    ASSERT_TRUE(waitUntil([&] { return room.window->workspace().conditions().size() == 2; }));
    room.window->jobs().removeCondition("chalk");
    room.answer(room.asked());
    ASSERT_TRUE(
        waitUntil([&] { return room.window->page() != nullptr && room.window->page()->name() == "fen"; }));
    room.settle();
    // The last one, taken out by another program.
    ASSERT_TRUE(succeeded(studio.removeCondition("fen")));
    ASSERT_TRUE(waitUntil([&] { return room.window->page() == nullptr; }));
    ASSERT_TRUE(waitUntil([&] { return room.window->workspace().conditions().empty(); }));
}

}  // namespace
}  // namespace greywright::desktop

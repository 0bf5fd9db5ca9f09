#include "room.h"

#include <QComboBox>
#include <QDropEvent>
#include <QLabel>
#include <QLineEdit>
#include <QMimeData>
#include <QPushButton>
#include <QTableWidget>
#include <QTest>
#include <QToolButton>
#include <QUrl>

#include <gtest/gtest.h>

#include "condition_page.h"
#include "core/files.h"
#include "form_dialog.h"
#include "jobs.h"
#include "measure/write.h"
#include "read_dialog.h"
#include "testing/near.h"

namespace greywright::desktop {

bool waitUntil(const std::function<bool()>& isSo) {
    // Only against waiting for ever: a machine with other work may be slow.
    constexpr int kMilliseconds = 150'000;
    return QTest::qWaitFor(isSo, kMilliseconds);
}

Room::Room(const simulate::Recipe& recipe) : printer_(simulate::printerFromRecipe(recipe)) {
    window->resize(1280, 800);
    window->show();
}

QString Room::pathOf(const std::string& name) const {
    return QString::fromStdString((folder / name).string());
}

QString Room::print(const steer::Setting& setting, int tones) {
    std::vector<double> steps;
    for (int i = 0; i < tones; ++i) steps.push_back(i / (tones - 1.0));
    const auto reading =
        printer_->print(steps, std::vector<double>{setting[0] / 50, setting[1] / 50}, random_);
    const std::string name = std::to_string(++sheets_) + ".txt";
    EXPECT_TRUE(testing::succeeded(writeWholeFile(folder / name, measure::cgatsFromReading(reading))));
    return pathOf(name);
}

void Room::startWithCondition() {
    window->startBook(pathOf("studio.greywright"));
    ASSERT_TRUE(waitUntil([&] { return window->workspace().isOpen(); }));
    QTest::mouseClick(find<QPushButton>(window.get(), "firstCondition"), Qt::LeftButton);
    auto* dialog = window->findChild<FormDialog*>();
    ASSERT_NE(dialog, nullptr);
    const std::pair<const char*, const char*> facts[] = {{"name", "chalk"},
                                                         {"printer", "Heron"},
                                                         {"inks", "pigment"},
                                                         {"paper", "Chalk Rag"},
                                                         {"mode", "grey"}};
    for (const auto& [field, words] : facts) QTest::keyClicks(find<QLineEdit>(dialog, field), words);
    auto* axes = find<QTableWidget>(dialog, "axes");
    const char* const rows[2][4] = {{"across", "-50", "50", "1"}, {"up", "-50", "50", "1"}};
    for (int row = 0; row < 2; ++row) {
        for (int column = 0; column < 4; ++column)
            axes->setItem(row, column, new QTableWidgetItem(QString::fromLatin1(rows[row][column])));
    }
    QTest::mouseClick(find<QPushButton>(dialog, "doIt"), Qt::LeftButton);
    ASSERT_TRUE(waitUntil([&] { return window->page() != nullptr && window->page()->data().isLoaded(); }))
        << dialog->complaint().toStdString();
    settle();
}

void Room::takeIn(const QStringList& files) {
    QMimeData data;
    QList<QUrl> urls;
    for (const QString& file : files) urls << QUrl::fromLocalFile(file);
    data.setUrls(urls);
    QDragEnterEvent enter(QPoint(600, 400), Qt::CopyAction, &data, Qt::LeftButton, Qt::NoModifier);
    QApplication::sendEvent(window.get(), &enter);
    QDropEvent drop(QPointF(600, 400), Qt::CopyAction, &data, Qt::LeftButton, Qt::NoModifier);
    QApplication::sendEvent(window.get(), &drop);
    ASSERT_TRUE(waitUntil([&] { return window->reading() != nullptr && window->reading()->isReady(); }));
    QTest::mouseClick(find<QPushButton>(window->reading(), "store"), Qt::LeftButton);
    ASSERT_TRUE(waitUntil([&] { return window->reading() == nullptr || window->reading()->isReady(); }));
    settle();
}

void Room::takeInAsAsked(int sheets) {
    for (int i = 0; i < sheets; ++i) {
        steer::Setting next;
        for (const book::AxisValue& axis : window->page()->nextSetting()) next.push_back(axis.value);
        takeIn({print(next)});
    }
}

void Room::forEveryQuestion(const std::function<void(FormDialog&)>& look) {
    Jobs& jobs = window->jobs();
    const std::function<void()> questions[] = {[&] { jobs.newCondition(); },
                                               [&] { jobs.makeSheet("chalk", {}); },
                                               [&] { jobs.withdrawTrial("chalk", 1); },
                                               [&] { jobs.makeCurve("chalk"); },
                                               [&] { jobs.makeTable("chalk"); },
                                               [&] { jobs.makeProfile("chalk"); },
                                               [&] { jobs.preparePictures("chalk"); },
                                               [&] { jobs.askHowToLook(); },
                                               [&] { jobs.exportReading("chalk", 1, "ramp.txt"); },
                                               [&] { jobs.correctCondition("chalk"); },
                                               [&] { jobs.removeCondition("chalk"); },
                                               [&] { jobs.addLight(); },
                                               [&] { jobs.addScene(); },
                                               [&] { jobs.addGlazing(); },
                                               [&] { jobs.addViewer(); },
                                               [&] { jobs.learnDevice("chalk"); },
                                               [&] { jobs.showOwn(); }};
    for (const auto& ask : questions) {
        ask();
        ASSERT_TRUE(waitUntil([&] { return window->findChild<FormDialog*>() != nullptr; }));
        auto* dialog = window->findChild<FormDialog*>();
        QTest::qWait(20);
        look(*dialog);
        if (auto* more = dialog->findChild<QToolButton*>(QStringLiteral("more"))) {
            more->click();
            QTest::qWait(20);
            look(*dialog);
        }
        delete dialog;
    }
}

FormDialog* Room::asked() {
    EXPECT_TRUE(waitUntil([&] { return window->findChild<FormDialog*>() != nullptr; }));
    return window->findChild<FormDialog*>();
}

void Room::answer(FormDialog* dialog) {
    QTest::mouseClick(find<QPushButton>(dialog, "doIt"), Qt::LeftButton);
    ASSERT_TRUE(waitUntil(
        [&] { return window->findChild<FormDialog*>() == nullptr || !dialog->complaint().isEmpty(); }));
    ASSERT_EQ(window->findChild<FormDialog*>(), nullptr) << dialog->complaint().toStdString();
    settle();
}

void Room::settle() {
    ASSERT_TRUE(waitUntil([&] {
        return window->tasks().isIdle() && (window->page() == nullptr || window->page()->data().isSettled());
    }));
    QTest::qWait(20);
}

}  // namespace greywright::desktop

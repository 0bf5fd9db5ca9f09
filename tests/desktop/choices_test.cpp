// What few need: the choices that a question keeps behind a button, from the field to what is made.
#include <QCheckBox>
#include <QComboBox>
#include <QDoubleSpinBox>
#include <QFile>
#include <QLabel>
#include <QLineEdit>
#include <QListWidget>
#include <QPushButton>
#include <QTableWidget>
#include <QTest>
#include <QToolButton>

#include <gtest/gtest.h>

#include "bars.h"
#include "condition_page.h"
#include "core/files.h"
#include "form_dialog.h"
#include "jobs.h"
#include "picture/read.h"
#include "picture/write.h"
#include "picture_view.h"
#include "profile/profile.h"
#include "read_dialog.h"
#include "room.h"
#include "testing/near.h"
#include "testing/shots.h"
#include "text.h"

namespace greywright::desktop {
namespace {

using greywright::testing::succeeded;

/// Makes a sheet of a kind with some fields filled in, and hands back its definition.
sheet::Sheet made(Room& room, int kind, const std::function<void(FormDialog&)>& fill) {
    room.window->jobs().makeSheet("chalk", {{"across", 3}, {"up", -2}});
    FormDialog* dialog = room.asked();
    find<QComboBox>(dialog, "kind")->setCurrentIndex(kind);
    fill(*dialog);
    find<PathEdit>(dialog, "out")->setPath(room.pathOf("made.tif"));
    find<QCheckBox>(dialog, "replace")->setChecked(true);
    room.answer(dialog);
    const auto kept = room.window->workspace().studio().sheets();
    EXPECT_TRUE(succeeded(kept));
    for (const book::SheetRecord& record : *kept) {
        auto sheet = sheet::sheetFromCgats(record.definition);
        EXPECT_TRUE(succeeded(sheet));
        if (room.window->messages().shownText().contains(text(record.code))) return *std::move(sheet);
    }
    ADD_FAILURE() << "no sheet is told of: " << room.window->messages().shownText().toStdString();
    return {};
}

TEST(Choices, ASheetIsMadeAsItsFieldsSay) {
    Room room;
    room.startWithCondition();
    const sheet::Sheet strips = made(room, 0, [](FormDialog& dialog) {
        auto* page = find<QComboBox>(&dialog, "page");
        page->setCurrentIndex(page->count() - 1);
        find<QDoubleSpinBox>(&dialog, "pageWidth")->setValue(250);
        find<QDoubleSpinBox>(&dialog, "pageHeight")->setValue(180);
        find<QLineEdit>(&dialog, "tonesPercent")->setText("0 7 14 21 28 35 50 60 72 85 100");
        find<QDoubleSpinBox>(&dialog, "length")->setValue(9.5);
        find<QDoubleSpinBox>(&dialog, "shuffle")->setValue(4);
        find<QToolButton>(&dialog, "more")->click();
        EXPECT_TRUE(find<QDoubleSpinBox>(&dialog, "length")->isVisibleTo(&dialog));
        EXPECT_FALSE(find<QDoubleSpinBox>(&dialog, "side")->isVisibleTo(&dialog)) << "strips have no squares";
    });
    EXPECT_EQ(strips.page.widthMm, 250);
    EXPECT_EQ(strips.page.heightMm, 180);
    ASSERT_EQ(strips.patches.size(), 11U);
    std::vector<double> tones;
    for (const sheet::Patch& patch : strips.patches) tones.push_back(patch.tonePercent);
    EXPECT_FALSE(std::ranges::is_sorted(tones)) << "they are shuffled";
    std::ranges::sort(tones);
    EXPECT_EQ(tones, (std::vector<double>{0, 7, 14, 21, 28, 35, 50, 60, 72, 85, 100}));
    EXPECT_EQ(strips.patches.front().at.width, 9.5);

    const sheet::Sheet marked = made(room, 4, [](FormDialog& dialog) {
        find<QComboBox>(&dialog, "by")->setCurrentIndex(2);
        find<QLineEdit>(&dialog, "colours")->setText("3");
        find<QLineEdit>(&dialog, "tonesPercent")->setText("30, 60");
        find<QDoubleSpinBox>(&dialog, "side")->setValue(14);
    });
    EXPECT_FALSE(marked.markers.empty());
    EXPECT_EQ(marked.patches.size(), 2 * 7U) << "each grey, and six colours around it";
    EXPECT_EQ(marked.patches.front().at.width, 14);

    const sheet::Sheet block = made(room, 3, [](FormDialog& dialog) {
        find<QDoubleSpinBox>(&dialog, "place")->setValue(5);
        find<QLineEdit>(&dialog, "tonesPercent")->setText("20, 80");
    });
    ASSERT_EQ(block.patches.size(), 2U);
    const sheet::Sheet first = made(room, 3, [](FormDialog& dialog) {
        find<QDoubleSpinBox>(&dialog, "place")->setValue(1);
        find<QLineEdit>(&dialog, "tonesPercent")->setText("20, 80");
    });
    EXPECT_NE(block.patches.front().at.x + block.patches.front().at.y,
              first.patches.front().at.x + first.patches.front().at.y);

    const sheet::Sheet choice = made(room, 7, [](FormDialog& dialog) {
        find<QDoubleSpinBox>(&dialog, "rings")->setValue(1);
        find<QDoubleSpinBox>(&dialog, "order")->setValue(7);
    });
    EXPECT_EQ(choice.patches.size(), 7U);

    // Neither a page nor the definition beside it is written over unasked.
    room.window->jobs().makeSheet("chalk", {});
    FormDialog* asked = room.asked();
    find<PathEdit>(asked, "out")->setPath(room.pathOf("made.pdf"));
    QTest::mouseClick(find<QPushButton>(asked, "doIt"), Qt::LeftButton);
    ASSERT_TRUE(waitUntil([&] { return !asked->complaint().isEmpty(); }));
    EXPECT_TRUE(asked->complaint().contains("made.sheet.txt")) << asked->complaint().toStdString();
    EXPECT_FALSE(QFile::exists(room.pathOf("made.pdf")));
    delete asked;

    // What is no number is told in the question.
    room.window->jobs().makeSheet("chalk", {});
    FormDialog* dialog = room.asked();
    find<QLineEdit>(dialog, "tonesPercent")->setText("0, ten, 100");
    QTest::mouseClick(find<QPushButton>(dialog, "doIt"), Qt::LeftButton);
    EXPECT_TRUE(dialog->complaint().contains("no list of numbers")) << dialog->complaint().toStdString();
    delete dialog;
}

TEST(Choices, ACurveAProfileAndPicturesAreMadeAsTheirFieldsSay) {
    Room room;
    room.startWithCondition();
    room.takeInAsAsked(3);
    Jobs& jobs = room.window->jobs();
    const studio::Studio studio = room.window->workspace().studio();
    jobs.makeCurve("chalk");
    FormDialog* dialog = room.asked();
    find<QDoubleSpinBox>(dialog, "trial")->setValue(2);
    find<QCheckBox>(dialog, "force")->setChecked(true);
    find<PathEdit>(dialog, "out")->setPath(room.pathOf("curve.txt"));
    room.answer(dialog);
    const auto corrections = studio.corrections("chalk");
    ASSERT_TRUE(succeeded(corrections));
    ASSERT_EQ(corrections->size(), 1U);
    EXPECT_EQ(corrections->front().trials, std::vector<int>{2}) << "not the latest";
    EXPECT_EQ(readWholeFile(text(room.pathOf("curve.txt"))).value(), corrections->front().content);
    // The same from the page afterwards.
    jobs.saveCorrection("chalk", 1);
    dialog = room.asked();
    find<PathEdit>(dialog, "out")->setPath(room.pathOf("again.txt"));
    room.answer(dialog);
    EXPECT_EQ(readWholeFile(text(room.pathOf("again.txt"))).value(), corrections->front().content);

    jobs.makeProfile("chalk");
    dialog = room.asked();
    find<QLineEdit>(dialog, "description")->setText("Chalk, evened");
    find<QLineEdit>(dialog, "copyright")->setText("Mine");
    auto* correction = find<QComboBox>(dialog, "correction");
    correction->setCurrentIndex(correction->findData(1));
    find<PathEdit>(dialog, "out")->setPath(room.pathOf("chalk.icc"));
    room.answer(dialog);
    const std::string profile = readWholeFile(text(room.pathOf("chalk.icc"))).value();
    EXPECT_NE(profile.find("Chalk, evened"), std::string::npos);
    EXPECT_NE(profile.find("Mine"), std::string::npos);
    EXPECT_EQ(studio.madeFiles("chalk")->back().correction, 1);

    const QString photo = room.pathOf("photo.png");
    ASSERT_TRUE(succeeded(greywright::testing::writeCardAndPrint(text(photo), {90, 90, 90})));
    jobs.preparePictures("chalk");
    dialog = room.asked();
    QTest::mouseClick(find<QPushButton>(dialog, "check"), Qt::LeftButton);
    EXPECT_TRUE(dialog->complaint().contains("There is no picture"));
    find<QListWidget>(dialog, "pictures")->addItem(photo);
    QTest::mouseClick(find<QPushButton>(dialog, "check"), Qt::LeftButton);
    auto* result = find<QLabel>(dialog, "result");
    ASSERT_TRUE(waitUntil([&] { return result->text().contains("photo.png"); }))
        << result->text().toStdString();
    EXPECT_TRUE(dialog->complaint().isEmpty()) << "it was given";
    EXPECT_TRUE(result->isVisibleTo(dialog));
    find<QDoubleSpinBox>(dialog, "times")->setValue(8);
    auto* light = find<QComboBox>(dialog, "light");
    light->setCurrentIndex(light->findText("hall"));
    QTest::mouseClick(find<QPushButton>(dialog, "proof"), Qt::LeftButton);
    ASSERT_TRUE(waitUntil([&] { return dialog->findChild<QDialog*>("proofWindow") != nullptr; }))
        << dialog->complaint().toStdString();
    auto* proof = dialog->findChild<QDialog*>("proofWindow");
    EXPECT_TRUE(proof->windowTitle().contains("photo.png") && proof->windowTitle().contains("hall") &&
                proof->windowTitle().contains("8 times"))
        << proof->windowTitle().toStdString();
    EXPECT_EQ(proof->findChild<PictureView*>()->picture().size(), QSize(400, 200));
    delete proof;
    auto* encoding = find<QComboBox>(dialog, "encoding");
    encoding->setCurrentIndex(encoding->findData("p3"));
    find<PathEdit>(dialog, "out")->setPath(room.pathOf("ready"));
    room.answer(dialog);
    const auto files = studio.madeFiles("chalk");
    ASSERT_TRUE(succeeded(files));
    const auto prepared = picture::readReduced(files->back().file);
    ASSERT_TRUE(succeeded(prepared));
    EXPECT_EQ(prepared->profile, picture::profileOf(picture::Encoding::displayP3).value());
    // A profile that is asked for has to be given.
    jobs.preparePictures("chalk", {photo});
    dialog = room.asked();
    encoding = find<QComboBox>(dialog, "encoding");
    encoding->setCurrentIndex(encoding->count() - 1);
    QTest::mouseClick(find<QPushButton>(dialog, "doIt"), Qt::LeftButton);
    EXPECT_TRUE(dialog->complaint().contains("No profile is given")) << dialog->complaint().toStdString();
    delete dialog;
    // Nothing goes over the book, whatever is ticked.
    jobs.saveCorrection("chalk", 1);
    dialog = room.asked();
    find<PathEdit>(dialog, "out")->setPath(room.window->workspace().path());
    find<QCheckBox>(dialog, "replace")->setChecked(true);
    QTest::mouseClick(find<QPushButton>(dialog, "doIt"), Qt::LeftButton);
    ASSERT_TRUE(waitUntil([&] { return !dialog->complaint().isEmpty(); }));
    delete dialog;
    EXPECT_TRUE(succeeded(studio.check()));
}

TEST(Choices, ATableIsMadeForLightsWithWeightsAndATonePerEnd) {
    Room room;
    room.window->openInvented(room.pathOf("invented"));
    ASSERT_TRUE(waitUntil([&] { return room.window->workspace().conditions().size() == 4; }));
    room.settle();
    const studio::Studio studio = room.window->workspace().studio();
    const std::size_t before = studio.corrections("wren colour")->size();
    room.window->jobs().makeTable("wren colour");
    FormDialog* dialog = room.asked();
    EXPECT_FALSE(find<QDoubleSpinBox>(dialog, "shadowChroma")->isEnabled());
    find<QCheckBox>(dialog, "split")->setChecked(true);
    find<QDoubleSpinBox>(dialog, "shadowChroma")->setValue(3);
    find<QDoubleSpinBox>(dialog, "shadowHue")->setValue(260);
    auto* lights = find<QTableWidget>(dialog, "lights");
    const auto row = [&](const QString& name) {
        for (int i = 0; i < lights->rowCount(); ++i) {
            if (lights->item(i, 0)->text() == name) return i;
        }
        ADD_FAILURE() << name.toStdString();
        return 0;
    };
    lights->item(row("hall"), 0)->setCheckState(Qt::Checked);
    lights->item(row("A"), 0)->setCheckState(Qt::Checked);
    lights->item(row("A"), 1)->setText("none");
    QTest::mouseClick(find<QPushButton>(dialog, "doIt"), Qt::LeftButton);
    ASSERT_TRUE(waitUntil([&] { return !dialog->complaint().isEmpty(); }));
    EXPECT_TRUE(dialog->complaint().contains("weight")) << dialog->complaint().toStdString();
    lights->item(row("A"), 1)->setText("2.5");
    room.answer(dialog);
    const auto corrections = studio.corrections("wren colour");
    ASSERT_TRUE(succeeded(corrections));
    ASSERT_EQ(corrections->size(), before + 1);
    const std::string& aim = corrections->back().aim + corrections->back().json;
    EXPECT_NE(aim.find("hall"), std::string::npos) << aim.substr(0, 400);
    EXPECT_NE(aim.find("260"), std::string::npos) << aim.substr(0, 400);
}

TEST(Choices, AScanIsReadWithItsCardAndLeavesItsOutlines) {
    Room room;
    room.startWithCondition();
    const sheet::Sheet sheet = made(room, 2, [](FormDialog&) {});
    const QString scan = room.pathOf("scan.tif");
    ASSERT_TRUE(succeeded(greywright::testing::writeShot(text(scan), sheet, greywright::testing::flatbed())));
    room.window->readFiles({scan});
    ASSERT_TRUE(waitUntil([&] { return room.window->tasks().isIdle(); }));
    ReadDialog* reading = room.window->reading();
    ASSERT_NE(reading->inspected(), nullptr) << find<QLabel>(reading, "trouble")->text().toStdString();
    find<QToolButton>(reading, "more")->click();
    auto* at = find<QLineEdit>(reading, "cardAt");
    EXPECT_TRUE(at->isVisible());
    const auto enter = [&](const QString& words) {
        at->setFocus();
        at->selectAll();
        QTest::keyClick(at, Qt::Key_Delete);
        QTest::keyClicks(at, words);
        QTest::keyClick(at, Qt::Key_Tab);
        EXPECT_TRUE(waitUntil([&] { return room.window->tasks().isIdle(); }));
    };
    enter("10, 20");
    EXPECT_TRUE(find<QLabel>(reading, "trouble")->text().contains("not understood"));
    enter("5000, 5000, 100, 100");
    EXPECT_TRUE(find<QLabel>(reading, "trouble")->text().contains("not inside the picture"))
        << find<QLabel>(reading, "trouble")->text().toStdString();
    enter("");
    ASSERT_TRUE(reading->isReady()) << find<QLabel>(reading, "trouble")->text().toStdString();
    find<PathEdit>(reading, "outlined")->setPath(room.pathOf("outlined.png"));
    QTest::mouseClick(find<QPushButton>(reading, "store"), Qt::LeftButton);
    ASSERT_TRUE(waitUntil([&] { return QFile::exists(room.pathOf("outlined.png")); }));
    room.settle();
    EXPECT_EQ(room.window->workspace().studio().trials("chalk")->size(), 1U);
}

}  // namespace
}  // namespace greywright::desktop

#include "form_dialog.h"

#include <QLineEdit>
#include <QProgressBar>
#include <QPushButton>
#include <QTest>
#include <QThread>
#include <QVBoxLayout>
#include <atomic>

#include <gtest/gtest.h>

#include "room.h"
#include "tasks.h"

namespace greywright::desktop {
namespace {

TEST(FormDialog, ShowsHowFarItsWorkIsAndStopsIt) {
    Tasks tasks;
    FormDialog dialog("A question", "Do it", nullptr);
    dialog.line("&Name", {}, "name");
    dialog.setAttribute(Qt::WA_DeleteOnClose, false);
    dialog.show();
    EXPECT_EQ(dialog.focusWidget(), find<QLineEdit>(&dialog, "name")) << "where the answer begins";
    auto* cancel = find<QPushButton>(&dialog, "cancel");
    auto* progress = dialog.findChild<QProgressBar*>();
    EXPECT_EQ(cancel->text(), "Cancel");
    EXPECT_FALSE(progress->isVisible());

    std::atomic<bool> hasEnded{false};
    dialog.setBusy(true);
    const TaskPointer work = tasks.run(
        "Counting", &dialog,
        [&](Task& task) -> Outcome {
            while (task.goOn(0.4)) QThread::msleep(1);
            return Error{.code = "stopped"};
        },
        [&](const Outcome& /*outcome*/) { hasEnded = true; });
    dialog.follow(work);
    QObject::connect(&dialog, &QDialog::rejected, &dialog, [&] { work->stop(); });
    EXPECT_EQ(cancel->text(), "Stop");
    ASSERT_TRUE(waitUntil([&] { return progress->isVisible() && progress->value() == 400; }));
    QTest::mouseClick(cancel, Qt::LeftButton);
    ASSERT_TRUE(waitUntil([&] { return hasEnded.load(); })) << "its own button stops it";
    dialog.setBusy(false);
    EXPECT_EQ(cancel->text(), "Cancel");
}

TEST(FormDialog, GrowsWithWhatItSays) {
    FormDialog dialog("A question", "Do it", nullptr);
    dialog.setAttribute(Qt::WA_DeleteOnClose, false);
    dialog.words(
        "A sentence that needs more than one line in a dialog of this width, as sentences of this length "
        "do.");
    dialog.line("&Name", {}, "name");
    dialog.show();
    QTest::qWait(20);
    const int before = dialog.height();
    dialog.complain(
        {.what = "this cannot be done", .next = "Do something else, or this again, or nothing at all"});
    QTest::qWait(20);
    EXPECT_GT(dialog.height(), before);
    EXPECT_GE(dialog.height(), dialog.layout()->totalHeightForWidth(dialog.width()));
}

}  // namespace
}  // namespace greywright::desktop

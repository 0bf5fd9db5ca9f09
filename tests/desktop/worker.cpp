#include "worker.h"

#include <QCheckBox>
#include <QPushButton>
#include <QTest>
#include <QUndoStack>
#include <cstdio>

#include "condition_page.h"
#include "form_dialog.h"
#include "jobs.h"
#include "read_dialog.h"
#include "room.h"

namespace greywright::desktop {
namespace {

void say(const QString& line) {
    std::fprintf(stdout, "%s\n", qUtf8Printable(line));
    std::fflush(stdout);
}

}  // namespace

QString workerSheet(const QString& folder, int trial) {
    return folder + QStringLiteral("/%1.txt").arg(trial);
}

int workUntilKilled(const QString& book, const QString& sheets) {
    MainWindow window;
    window.preferences().viewers.count = 0;
    window.show();
    window.openBook(book);
    if (!waitUntil([&] { return window.page() != nullptr && window.page()->data().isLoaded(); })) return 1;
    const auto records = [&]() -> const ConditionData::Records& { return window.page()->data().records(); };
    while (true) {
        const std::size_t next = records().trials.size() + 1;
        window.readFiles({workerSheet(sheets, static_cast<int>(next))});
        if (!waitUntil([&] { return window.reading() != nullptr && window.reading()->isReady(); })) return 1;
        say(QStringLiteral("begin"));
        QTest::mouseClick(find<QPushButton>(window.reading(), "store"), Qt::LeftButton);
        if (!waitUntil([&] { return records().trials.size() == next; })) return 1;
        say(QStringLiteral("trial %1").arg(next));
        if (!waitUntil([&] { return window.workspace().undo().canUndo(); })) return 1;
        say(QStringLiteral("begin"));
        window.workspace().undo().undo();
        if (!waitUntil([&] { return records().trials.back().isWithdrawn(); })) return 1;
        say(QStringLiteral("out %1").arg(next));
        say(QStringLiteral("begin"));
        window.workspace().undo().redo();
        if (!waitUntil([&] { return !records().trials.back().isWithdrawn(); })) return 1;
        say(QStringLiteral("in %1").arg(next));
        if (next % 2 != 0) continue;
        const std::size_t corrections = records().corrections.size();
        window.jobs().makeCurve(window.page()->name());
        auto* dialog = window.findChild<FormDialog*>();
        find<QCheckBox>(dialog, "force")->setChecked(true);
        say(QStringLiteral("begin"));
        QTest::mouseClick(find<QPushButton>(dialog, "doIt"), Qt::LeftButton);
        if (!waitUntil([&] { return records().corrections.size() > corrections; })) return 1;
        say(QStringLiteral("correction %1").arg(corrections + 1));
    }
}

}  // namespace greywright::desktop

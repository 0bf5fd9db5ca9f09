// A window that is killed in the middle of a store loses nothing that it had said was stored.
#include <QApplication>
#include <QDir>
#include <QProcess>
#include <QRegularExpression>
#include <QThread>
#include <random>

#include <gtest/gtest.h>

#include "book/book.h"
#include "core/files.h"
#include "room.h"
#include "testing/near.h"
#include "worker.h"

namespace greywright::desktop {
namespace {

constexpr int kKills = 24;

/// What the worker said before it was killed.
struct Said {
    int lastTrial = 0;       ///< stored for certain
    int lastCorrection = 0;  ///< likewise
    QString last = {};       ///< its last line
};

Said heardFrom(const QByteArray& output) {
    Said out;
    for (const QByteArray& line : output.split('\n')) {
        const QString words = QString::fromUtf8(line).trimmed();
        if (words.isEmpty()) continue;
        out.last = words;
        const int number = words.section(QLatin1Char(' '), 1).toInt();
        if (words.startsWith(QStringLiteral("trial "))) out.lastTrial = number;
        if (words.startsWith(QStringLiteral("correction "))) out.lastCorrection = number;
    }
    return out;
}

TEST(Killed, InTheMiddleOfAnyStoreNothingIsLost) {
    Room room;
    room.startWithCondition();
    std::filesystem::create_directories(room.folder / "sheets");
    constexpr int kSheets = 60;
    for (int i = 1; i <= kSheets; ++i) {
        const QString sheet = room.print({static_cast<double>(i % 40), static_cast<double>(i % 7)});
        ASSERT_TRUE(QFile::rename(sheet, workerSheet(room.pathOf("sheets"), i)));
    }
    const QString path = room.pathOf("studio.greywright");
    room.window->workspace().close();
    std::mt19937 random(20310405);
    Said before;
    int inTheMiddle = 0;
    for (int kill = 0; kill < kKills; ++kill) {
        QProcess worker;
        worker.setProcessChannelMode(QProcess::SeparateChannels);
        worker.start(QApplication::applicationFilePath(),
                     {QStringLiteral("--work"), path, room.pathOf("sheets")});
        QByteArray output;
        // Some announced stores in, and a moment after the next was begun.
        int skipped = std::uniform_int_distribution<int>(0, 6)(random);
        while (worker.waitForReadyRead(30'000)) {
            output += worker.readAllStandardOutput();
            if (output.count("begin\n") > skipped) break;
        }
        ASSERT_GT(output.count("begin\n"), skipped) << worker.readAllStandardError().toStdString();
        QThread::usleep(std::uniform_int_distribution<unsigned long>(0, 25'000)(random));
        worker.kill();
        ASSERT_TRUE(worker.waitForFinished());
        output += worker.readAllStandardOutput();
        Said said = heardFrom(output);
        said.lastTrial = std::max(said.lastTrial, before.lastTrial);
        said.lastCorrection = std::max(said.lastCorrection, before.lastCorrection);
        if (QFile::exists(path + "-journal") || said.last == "begin") ++inTheMiddle;

        const auto book = book::Book::open(path.toStdString(), book::OpenMode::readWrite);
        ASSERT_TRUE(testing::succeeded(book));
        ASSERT_TRUE(testing::succeeded(book->check()));
        const auto trials = book->trials("chalk");
        ASSERT_TRUE(testing::succeeded(trials));
        ASSERT_GE(trials->size(), static_cast<std::size_t>(said.lastTrial));
        ASSERT_LE(trials->size(), static_cast<std::size_t>(said.lastTrial) + 1);
        for (const book::TrialRecord& trial : *trials) {
            ASSERT_EQ(trial.readings.size(), 1U) << trial.number;
            EXPECT_EQ(trial.readings.front().patches.size(), 21U) << trial.number;
            const auto kept = book->originalFile("chalk", trial.number, 1);
            ASSERT_TRUE(testing::succeeded(kept));
            const auto sheet = readWholeFile(workerSheet(room.pathOf("sheets"), trial.number).toStdString());
            ASSERT_TRUE(testing::succeeded(sheet));
            EXPECT_EQ(*kept, *sheet) << trial.number;
        }
        const auto corrections = book->corrections("chalk");
        ASSERT_TRUE(testing::succeeded(corrections));
        EXPECT_GE(corrections->size(), static_cast<std::size_t>(said.lastCorrection));
        EXPECT_LE(corrections->size(), static_cast<std::size_t>(said.lastCorrection) + 1);
        // What was said of the trial's account last holds, unless the next change of it was under way.
        const bool isOut = said.last.startsWith("out ");
        if (isOut || said.last.startsWith("in ")) {
            const auto number = said.last.section(' ', 1).toUInt();
            EXPECT_EQ(trials->at(number - 1).isWithdrawn(), isOut) << said.last.toStdString();
        }
        before = {static_cast<int>(trials->size()), static_cast<int>(corrections->size()), {}};
    }
    EXPECT_GE(before.lastTrial, kKills / 2) << "too little was stored for the test to mean anything";
    EXPECT_GE(inTheMiddle, kKills / 4) << "hardly a kill met a store";
}

}  // namespace
}  // namespace greywright::desktop

// How the program starts where a window cannot.
#include <QProcess>
#include <fstream>

#include <gtest/gtest.h>

#include "testing/temporary_folder.h"

namespace greywright::desktop {
namespace {

constexpr int kNoScreen = 4;  // as the command line: could not

struct Ended {
    int code = -1;
    QString errors = {};
};

Ended run(const QStringList& options, const QList<std::pair<QString, QString>>& surroundings) {
    QProcess program;
    QProcessEnvironment environment = QProcessEnvironment::systemEnvironment();
    for (const char* one : {"DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM"})
        environment.remove(QString::fromLatin1(one));
    for (const auto& [name, value] : surroundings) environment.insert(name, value);
    program.setProcessEnvironment(environment);
    program.start(QStringLiteral(GREYWRIGHT_DESKTOP_PROGRAM), options);
    if (!program.waitForFinished(20'000)) {
        program.kill();
        program.waitForFinished();
        return {.errors = QStringLiteral("it did not end")};
    }
    return {program.exitStatus() == QProcess::NormalExit ? program.exitCode() : -1,
            QString::fromUtf8(program.readAllStandardError())};
}

TEST(Program, WithoutADisplaySaysSoAndEnds) {
    const Ended ended = run({}, {{"QT_QPA_PLATFORM", "xcb"}});
    EXPECT_EQ(ended.code, kNoScreen) << ended.errors.toStdString();
    EXPECT_TRUE(ended.errors.contains("no window can be opened")) << ended.errors.toStdString();
    EXPECT_TRUE(ended.errors.contains("greywright, which does the same")) << "what to do instead";
}

TEST(Program, WithoutFontsSaysSoAndEnds) {
    const testing::TemporaryFolder folder;
    const auto config = folder / "fonts.conf";
    std::ofstream(config) << "<?xml version=\"1.0\"?><fontconfig></fontconfig>\n";
    const Ended ended = run(
        {}, {{"QT_QPA_PLATFORM", "offscreen"}, {"FONTCONFIG_FILE", QString::fromStdString(config.string())}});
    EXPECT_EQ(ended.code, kNoScreen) << ended.errors.toStdString();
    EXPECT_TRUE(ended.errors.contains("no fonts are installed")) << ended.errors.toStdString();
}

TEST(Program, AnUnknownOptionIsWrongUse) {
    EXPECT_EQ(run({"--colourful"}, {{"QT_QPA_PLATFORM", "offscreen"}}).code, 2);
    EXPECT_EQ(run({"--version"}, {}).code, 0) << "needs no display";
}

}  // namespace
}  // namespace greywright::desktop

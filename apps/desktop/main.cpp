#include <QApplication>
#include <QFontInfo>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <string>

#include <CLI/CLI.hpp>

#include "application.h"
#include "core/platform.h"
#include "main_window.h"
#include "measure.h"
#include "screenshots.h"
#include "studio/studio.h"

namespace {

using greywright::platform::environment;

constexpr int kWrongUse = 2;
constexpr int kNoScreen = 4;

/// Qt ends the process with a core dump where it finds no screen; that is caught here and said in words.
void tellQtMessage(QtMsgType type, const QMessageLogContext& /*context*/, const QString& message) {
    if (type == QtFatalMsg) {
        std::fprintf(stderr,
                     "greywright-desktop: no window can be opened: %s\n"
                     "Start it in a graphical session (DISPLAY or WAYLAND_DISPLAY set), or use the command\n"
                     "line program, greywright, which does the same.\n",
                     message.section(QLatin1Char('\n'), 0, 0).toUtf8().constData());
        std::_Exit(kNoScreen);
    }
    if (type != QtDebugMsg && type != QtInfoMsg)
        std::fprintf(stderr, "greywright-desktop: %s\n", message.toUtf8().constData());
}

}  // namespace

int main(int argc, char** argv) {
    const auto started = std::chrono::steady_clock::now();
    CLI::App options("Neutral black-and-white inkjet prints, from test sheet to proof: the window",
                     "greywright-desktop");
    std::string book, condition, pictures;
    bool isInvented = false, isMeasured = false;
    options.add_option("book", book, "The book to open");
    options.add_option("--condition", condition, "The condition to show");
    options.add_flag("--invented", isInvented, "Open the invented studio");
    options.add_option("--screenshots", pictures,
                       "Draw every page of the invented studio into a folder, and quit");
    options.add_flag("--measure", isMeasured, "Measure how long things take, in books of its own, and quit");
    options.add_flag_callback(
        "--version",
        [] {
            std::printf("%s\n", std::string(greywright::studio::version()).c_str());
            std::exit(0);
        },
        "Program and version");
    options.allow_extras(false);
    try {
        options.parse(argc, argv);
    } catch (const CLI::ParseError& error) {
        const int code = options.exit(error);
        return code == 0 ? 0 : kWrongUse;
    }

    qInstallMessageHandler(tellQtMessage);
    greywright::desktop::Application application(argc, argv);
    // Qt lists families of its own invention where there is none, and draws boxes.
    if (QFontInfo(QApplication::font()).family().isEmpty()) {
        std::fprintf(stderr,
                     "greywright-desktop: no fonts are installed, so no word could be read.\n"
                     "Install one, for example the package fonts-dejavu-core.\n");
        return kNoScreen;
    }

    if (isMeasured || !pictures.empty()) greywright::desktop::Application::keepSettingsForThisRun();
    if (isMeasured) return greywright::desktop::measure(started);
    if (!pictures.empty()) return greywright::desktop::drawScreenshots(QString::fromStdString(pictures));
    greywright::desktop::MainWindow window;
    window.setShade(window.preferences().shade);
    if (!condition.empty()) {
        QObject::connect(
            &window.workspace(), &greywright::desktop::Workspace::changed, &window,
            [&] { window.showCondition(QString::fromStdString(condition)); }, Qt::SingleShotConnection);
    }
    if (!book.empty()) window.openBook(QString::fromStdString(book));
    if (isInvented) window.openInvented(greywright::desktop::Application::inventedFolder());
    window.show();
    return QApplication::exec();
}

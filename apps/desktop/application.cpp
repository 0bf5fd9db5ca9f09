#include "application.h"

#include <QIcon>
#include <QLibraryInfo>
#include <QLocale>
#include <QSettings>
#include <QStandardPaths>
#include <QTemporaryDir>
#include <QTranslator>
#include <exception>

#include "core/said.h"
#include "studio/studio.h"

/// The icon travels in a library, so its file has to be asked for; not within a namespace, as Qt wants it.
static void loadIcon() {
    Q_INIT_RESOURCE(icon);
}

namespace greywright::desktop {

Application::Application(int& argc, char** argv) : QApplication(argc, argv) {
    setApplicationName(QStringLiteral("greywright"));
    setApplicationDisplayName(QStringLiteral("Greywright"));
    setDesktopFileName(QStringLiteral("greywright"));
    setOrganizationName(QStringLiteral("greywright"));
    sayBy([](const char* english) { return translate("sentences", english).toStdString(); });
    loadIcon();
    setWindowIcon(QIcon(QStringLiteral(":/greywright.svg")));
    // Qt's own words, and ours where somebody has translated them.
    auto* qt = new QTranslator(this);
    if (qt->load(QLocale(), QStringLiteral("qtbase"), QStringLiteral("_"),
                 QLibraryInfo::path(QLibraryInfo::TranslationsPath)))
        installTranslator(qt);
    // English has the plurals; what the system's language has goes before it.
    const QString folder = applicationDirPath() + QStringLiteral("/../share/greywright/translations");
    for (const QLocale& locale : {QLocale(QLocale::English), QLocale()}) {
        auto* own = new QTranslator(this);
        if (own->load(locale, QStringLiteral("greywright"), QStringLiteral("_"), folder))
            installTranslator(own);
    }
}

QString Application::inventedFolder() {
    return QStandardPaths::writableLocation(QStandardPaths::AppDataLocation) +
           QStringLiteral("/invented-studio");
}

QString Application::guideFolder() {
    return applicationDirPath() + QStringLiteral("/../share/doc/greywright/guide");
}

void Application::keepSettingsForThisRun() {
    static const QTemporaryDir folder;
    keepSettingsIn(folder.path());
}

void Application::keepSettingsIn(const QString& folder) {
    QSettings::setDefaultFormat(QSettings::IniFormat);
    QSettings::setPath(QSettings::IniFormat, QSettings::UserScope, folder);
}

bool Application::notify(QObject* receiver, QEvent* event) {
    try {
        return QApplication::notify(receiver, event);
    } catch (const std::exception& mistake) {
        qCritical("the program made a mistake: %s", mistake.what());
        Q_EMIT mistaken(QString::fromUtf8(mistake.what()));
        return false;
    }
}

}  // namespace greywright::desktop

#pragma once

#include <QApplication>

namespace greywright::desktop {

/// The program as Qt sees it: its names, its icon, the translations it finds, and no crash where a mistake of
/// the program's own comes out of an event.
class Application : public QApplication {
    Q_OBJECT

  public:
    Application(int& argc, char** argv);

    bool notify(QObject* receiver, QEvent* event) override;

    [[nodiscard]] static QString inventedFolder();
    /// Where the guide lies, in the build as where it is installed.
    [[nodiscard]] static QString guideFolder();

    /// Keeps settings in a folder that is gone with the program, for runs that drive themselves. Before the
    /// first window.
    static void keepSettingsForThisRun();
    static void keepSettingsIn(const QString& folder);

  Q_SIGNALS:
    void mistaken(const QString& what);
};

}  // namespace greywright::desktop

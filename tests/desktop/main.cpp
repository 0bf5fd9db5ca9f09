#include <QStandardPaths>
#include <string_view>

#include <gtest/gtest.h>

#include "application.h"
#include "worker.h"

// Without a screen, and without touching the settings of whoever runs the tests.
int main(int argc, char** argv) {
    qputenv("QT_QPA_PLATFORM", "offscreen");
    testing::InitGoogleTest(&argc, argv);
    // Who is killed takes no folder away; what a worker keeps lies with its sheets.
    const bool isWorker = argc == 4 && std::string_view(argv[1]) == "--work";
    if (isWorker) {
        greywright::desktop::Application::keepSettingsIn(QString::fromLocal8Bit(argv[3]));
    } else {
        greywright::desktop::Application::keepSettingsForThisRun();
    }
    QStandardPaths::setTestModeEnabled(true);
    greywright::desktop::Application application(argc, argv);
    if (isWorker)
        return greywright::desktop::workUntilKilled(QString::fromLocal8Bit(argv[2]),
                                                    QString::fromLocal8Bit(argv[3]));
    return RUN_ALL_TESTS();
}

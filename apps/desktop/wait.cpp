#include "wait.h"

#include <QApplication>
#include <QElapsedTimer>
#include <QTimer>

namespace greywright::desktop {

bool waitFor(const std::function<bool()>& isSo) {
    constexpr int kLongestMs = 120'000, kLookEveryMs = 1;
    QElapsedTimer timer;
    timer.start();
    QTimer look;  // between looks the thread sleeps, as it does in the program's own loop
    look.start(kLookEveryMs);
    while (!isSo()) {
        if (timer.elapsed() > kLongestMs) return false;
        QApplication::processEvents(QEventLoop::WaitForMoreEvents);
    }
    return true;
}

}  // namespace greywright::desktop

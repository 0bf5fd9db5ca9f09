#include "wait.h"

#include <QApplication>
#include <QElapsedTimer>

namespace greywright::desktop {

bool waitFor(const std::function<bool()>& isSo) {
    constexpr int kLongestMs = 120'000, kAtOnceMs = 2;
    QElapsedTimer timer;
    timer.start();
    while (!isSo()) {
        if (timer.elapsed() > kLongestMs) return false;
        QApplication::processEvents(QEventLoop::AllEvents, kAtOnceMs);
    }
    return true;
}

}  // namespace greywright::desktop

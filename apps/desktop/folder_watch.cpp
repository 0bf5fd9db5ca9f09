#include "folder_watch.h"

#include <QDir>
#include <QFileInfo>

namespace greywright::desktop {
namespace {

// A file that is the same for so long is taken to be complete.
constexpr int kSettleMs = 700;

bool isMeasurement(const QString& ending) {
    static const QStringList kEndings{QStringLiteral("txt"), QStringLiteral("cgats"), QStringLiteral("csv"),
                                      QStringLiteral("tsv"), QStringLiteral("cxf"),   QStringLiteral("mxf"),
                                      QStringLiteral("tif"), QStringLiteral("tiff"),  QStringLiteral("png"),
                                      QStringLiteral("jpg"), QStringLiteral("jpeg")};
    return kEndings.contains(ending.toLower());
}

}  // namespace

FolderWatch::FolderWatch(QObject* parent) : QObject(parent) {
    timer_.setInterval(kSettleMs);
    connect(&timer_, &QTimer::timeout, this, &FolderWatch::look);
    // File systems of servers do not tell; the timer then is what looks.
    connect(&watcher_, &QFileSystemWatcher::directoryChanged, this, [this] {
        if (!folder_.isEmpty()) timer_.start();
    });
}

bool FolderWatch::watch(const QString& folder) {
    stop();
    if (!QFileInfo(folder).isDir()) return false;
    folder_ = QDir(folder).absolutePath();
    watcher_.addPath(folder_);
    told_ = seen_ = files();
    timer_.start();
    return true;
}

void FolderWatch::stop() {
    timer_.stop();
    if (!folder_.isEmpty()) watcher_.removePath(folder_);
    folder_.clear();
}

std::map<QString, FolderWatch::State> FolderWatch::files() const {
    std::map<QString, State> out;
    for (const QFileInfo& file : QDir(folder_).entryInfoList(QDir::Files | QDir::Readable)) {
        if (isMeasurement(file.suffix())) out[file.absoluteFilePath()] = {file.size(), file.lastModified()};
    }
    return out;
}

void FolderWatch::look() {
    if (!QFileInfo(folder_).isDir()) {
        const QString gone = folder_;
        stop();
        Q_EMIT lost(gone);
        return;
    }
    std::map<QString, State> now = files();
    QStringList complete;
    for (const auto& [path, state] : now) {
        const auto told = told_.find(path);
        if (told != told_.end() && told->second == state) continue;
        const auto before = seen_.find(path);
        if (state.size == 0 || before == seen_.end() || before->second != state) continue;  // still growing
        told_[path] = state;
        complete << path;
    }
    seen_ = std::move(now);
    if (!complete.isEmpty()) Q_EMIT found(complete);
}

}  // namespace greywright::desktop

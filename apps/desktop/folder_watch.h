#pragma once

#include <QDateTime>
#include <QFileSystemWatcher>
#include <QObject>
#include <QTimer>
#include <map>
#include <set>

namespace greywright::desktop {

/// Watches the folder into which an instrument's program exports, and tells of files that are new or changed
/// once they have stopped growing.
class FolderWatch : public QObject {
    Q_OBJECT

  public:
    explicit FolderWatch(QObject* parent = nullptr);

    /// What lies in the folder already is not told. False where it is no folder.
    bool watch(const QString& folder);
    void stop();
    [[nodiscard]] const QString& folder() const { return folder_; }

  Q_SIGNALS:
    void found(const QStringList& files);
    void lost(const QString& folder);

  private:
    struct State {
        qint64 size = 0;
        QDateTime changed = {};
        bool operator==(const State&) const = default;
    };
    void look();
    [[nodiscard]] std::map<QString, State> files() const;

    QString folder_;
    QFileSystemWatcher watcher_;
    QTimer timer_;
    std::map<QString, State> told_;  ///< as they were when they were told, or when the watch began
    std::map<QString, State> seen_;  ///< as they were at the last look
};

}  // namespace greywright::desktop

#pragma once

#include <QFileSystemWatcher>
#include <QObject>
#include <QString>
#include <QTimer>
#include <QUndoStack>
#include <memory>
#include <vector>

#include "studio/overview.h"
#include "studio/studio.h"
#include "tasks.h"

namespace greywright::desktop {

/// The book that is open, what stands in it at a glance, and what can be undone. Everything that is asked of
/// the book goes beside the window.
class Workspace : public QObject {
    Q_OBJECT

  public:
    explicit Workspace(Tasks& tasks, QObject* parent = nullptr);

    /// Opens a book that is there. `opened` or `failed` follows.
    void open(const QString& path);
    /// Starts a book in a place where none is. `opened` or `failed` follows.
    void start(const QString& path);
    void close();

    [[nodiscard]] bool isOpen() const { return !path_.isEmpty(); }
    [[nodiscard]] const QString& path() const { return path_; }
    [[nodiscard]] studio::Studio studio() const { return studio::Studio(path_.toStdString()); }
    [[nodiscard]] const std::vector<studio::ConditionOverview>& conditions() const { return conditions_; }
    [[nodiscard]] const studio::ConditionOverview* condition(const QString& name) const;
    [[nodiscard]] QUndoStack& undo() { return undo_; }
    [[nodiscard]] Tasks& tasks() { return tasks_; }

    /// Looks at the book again; `changed` follows where it came out differently.
    void refresh();
    /// The same; `changed` follows in any case.
    void refreshAndTell();

    /// Changes the book beside the window and looks at it again; `failed` follows where it could not be done.
    /// Shape: change(const Studio&) gives an Outcome; then() is called after it went well.
    void change(const QString& what, std::function<Outcome(const studio::Studio&)> change,
                std::function<void()> then = {});

    /// Takes a trial out of the account, and counts it again. As change().
    void takeOut(const QString& condition, int trial, const QString& reason);
    void countAgain(const QString& condition, int trial);

  Q_SIGNALS:
    void opened();
    void closed();
    /// The conditions or how they stand.
    void changed();
    /// The book's file was changed by somebody, perhaps by this program.
    void touched();
    void failed(const QString& what, const greywright::Error& error);

  private:
    void watch();
    void take(const QString& path, Result<std::vector<studio::ConditionOverview>> found);

    Tasks& tasks_;
    QString path_;
    std::vector<studio::ConditionOverview> conditions_;
    QUndoStack undo_;
    QFileSystemWatcher watcher_;
    QTimer settle_;  ///< one look after a burst of changes
    TaskPointer looking_;
    bool lookAgain_ = false;
    bool isToTell_ = false;
    bool wasMissing_ = false;
};

}  // namespace greywright::desktop

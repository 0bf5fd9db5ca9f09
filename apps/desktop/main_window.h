#pragma once

#include <QMainWindow>
#include <QPointer>

#include "preferences.h"
#include "tasks.h"
#include "workspace.h"

class QListView;
class QStackedWidget;
class QAction;
class QLabel;

namespace greywright::desktop {

class ConditionPage;
class ConditionsModel;
class FolderWatch;
class Jobs;
class MessageBar;
class ReadDialog;
class StartPage;

/// The window: the conditions of a book on the left, the chosen one's page on the right.
class MainWindow : public QMainWindow {
    Q_OBJECT

  public:
    explicit MainWindow(QWidget* parent = nullptr);
    ~MainWindow() override;

    void openBook(const QString& path);
    void startBook(const QString& path);
    /// The invented studio in a folder that is its alone: opened where it was made before, else made.
    void openInvented(const QString& folder);
    void showCondition(const QString& name);
    /// Asks about files and takes them in, one after the other.
    void readFiles(const QStringList& files);
    void watchFolder(const QString& folder);
    void setShade(Shade shade);

    [[nodiscard]] Workspace& workspace() { return workspace_; }
    [[nodiscard]] Tasks& tasks() { return tasks_; }
    [[nodiscard]] Preferences& preferences() { return preferences_; }
    [[nodiscard]] ConditionPage* page() const;
    [[nodiscard]] MessageBar& messages() { return *messages_; }
    [[nodiscard]] ReadDialog* reading() const;
    [[nodiscard]] Jobs& jobs() { return *jobs_; }

  protected:
    void dragEnterEvent(QDragEnterEvent* event) override;
    void dropEvent(QDropEvent* event) override;
    void closeEvent(QCloseEvent* event) override;

  private:
    void makeMenus();
    void makeSide();
    void showOpened();
    void showConditions();
    void showGuide(const QString& page);
    void fail(const QString& what, const Error& error);
    [[nodiscard]] QString chosen() const;

    Tasks tasks_;
    TaskPointer inventing_;
    Workspace workspace_;
    Preferences preferences_;
    QStackedWidget* stack_;
    StartPage* start_;
    QWidget* book_;
    QLabel* bookName_;
    QListView* list_;
    ConditionsModel* conditions_;
    QStackedWidget* right_;
    QWidget* hint_;
    QPointer<ConditionPage> page_;
    QString left_;  ///< the condition whose page went since it no longer fitted the book
    MessageBar* messages_;
    Jobs* jobs_;
    FolderWatch* watch_;
    QPointer<ReadDialog> reading_;
    std::vector<QAction*> withBook_;
    std::vector<QAction*> withCondition_;
};

}  // namespace greywright::desktop

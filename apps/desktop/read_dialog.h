#pragma once

#include <QDialog>
#include <deque>

#include "condition_data.h"
#include "studio/inspect.h"

class QCheckBox;
class QComboBox;
class QDoubleSpinBox;
class QFormLayout;
class QLabel;
class QLineEdit;
class QListWidget;
class QPushButton;
class QVBoxLayout;

namespace greywright::canvas {
class PlotView;
}

namespace greywright::desktop {

class PathEdit;

/// Files that wait to be taken into a condition, one after the other: what each shows, what it was printed
/// at, and what is doubtful about it as questions; nothing is stored before they are answered.
class ReadDialog : public QDialog {
    Q_OBJECT

  public:
    ReadDialog(Workspace& workspace, ConditionData& shown, QWidget* parent);

    /// Adds files to those that wait. Of folders, the files in them.
    void add(const QStringList& files);
    [[nodiscard]] int waiting() const { return static_cast<int>(files_.size()); }
    /// A file is shown and may be stored.
    [[nodiscard]] bool isReady() const;
    /// What the file that is shown was understood as; null until it is looked at.
    [[nodiscard]] const studio::Inspected* inspected() const { return inspected_ ? &*inspected_ : nullptr; }

    /// Closes it; what is being stored is still told of.
    void done(int result) override;

  protected:
    void closeEvent(QCloseEvent* event) override;

  Q_SIGNALS:
    void stored(const QString& title, const QString& words);
    void failed(const QString& what, const greywright::Error& error);

  private:
    void next();
    void look();
    void show(const Result<studio::Inspected>& inspected);
    void showDoubts(const std::vector<studio::Doubt>& doubts);
    void store();
    void skip();
    /// Errors: numbers-text-invalid (a line that should hold numbers).
    [[nodiscard]] Result<studio::ReadRequest> request() const;
    void updateButtons();
    void showPages();
    void makeMore();
    void fillLists();

    Workspace& workspace_;
    /// Of the book and the condition that it was opened for, whatever the window shows by then.
    studio::Studio studio_;
    book::ConditionRecord condition_;
    std::deque<QString> files_;
    int asked_ = 0;  ///< looks so far: only the latest is shown
    TaskPointer looking_;
    std::optional<studio::Inspected> inspected_;
    bool isFresh_ = true;  ///< the fields were not filled in for this file yet
    bool isFilling_ = false;
    bool isStoring_ = false;

    QLabel* file_;
    QLabel* summary_;
    QLabel* trouble_;
    canvas::PlotView* plot_;
    std::vector<QDoubleSpinBox*> axes_;
    QLineEdit* choices_;
    QComboBox* through_;
    QComboBox* trial_;
    QComboBox* sheet_;
    QWidget* picture_;  ///< what is asked of scans and photographs alone
    QComboBox* device_;
    QCheckBox* card_;
    QPushButton* pages_;
    QWidget* more_;  ///< what few need
    QLineEdit* tones_;
    QComboBox* conditionM_;
    QLineEdit* cardAt_;
    QLineEdit* cardLab_;
    PathEdit* outlined_;
    QFormLayout* moreForm_ = nullptr;
    QStringList further_;  ///< pictures of further pages of the same sheet
    QVBoxLayout* doubts_;
    std::vector<QCheckBox*> answers_;
    QPushButton* store_;
    QPushButton* skip_;
};

}  // namespace greywright::desktop

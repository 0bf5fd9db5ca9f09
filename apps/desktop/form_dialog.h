#pragma once

#include <QDialog>
#include <QTimer>
#include <QVariant>
#include <functional>

#include "core/result.h"
#include "tasks.h"

class QCheckBox;
class QComboBox;
class QDoubleSpinBox;
class QFormLayout;
class QHBoxLayout;
class QLabel;
class QLineEdit;
class QProgressBar;
class QPushButton;
class QSpinBox;
class QToolButton;
class QVBoxLayout;

namespace greywright::desktop {

/// A line for a file or folder with a button that looks for it.
class PathEdit : public QWidget {
    Q_OBJECT

  public:
    enum class Kind { open, save, folder };

    PathEdit(Kind kind, const QString& title, const QString& filter, QWidget* parent = nullptr);
    [[nodiscard]] QString path() const;
    void setPath(const QString& path);
    [[nodiscard]] QLineEdit* line() { return line_; }

  private:
    QLineEdit* line_;
};

/// A button that shows and hides what few need; its arrow points to where that appears.
[[nodiscard]] QToolButton* moreButton(QWidget* what, Qt::ArrowType shown, QWidget* parent);

/// A question with a few fields, asked beside the window's work. Fields are found by their names.
class FormDialog : public QDialog {
    Q_OBJECT

  public:
    FormDialog(const QString& title, const QString& doIt, QWidget* parent);

    void words(const QString& text);
    QLineEdit* line(const QString& label, const QString& text, const char* name);
    QDoubleSpinBox* number(const QString& label, double value, double lowest, double highest, double step,
                           int digits, const char* name);
    QComboBox* choice(const QString& label, const std::vector<std::pair<QString, QVariant>>& items,
                      const char* name);
    QCheckBox* tick(const QString& label, bool on, const char* name);
    PathEdit* path(const QString& label, PathEdit::Kind kind, const QString& filter, const char* name);
    /// What few need: fields that are added after this stand in a second column, behind a button.
    void more();
    /// Hides a field and its label where it does not apply.
    void setApplies(QWidget* field, bool applies);
    /// A field of any kind.
    void field(const QString& label, QWidget* widget, const char* name);
    void widget(QWidget* widget);

    /// What happens when the answer is given; the dialog stays open until done() or close().
    void onAnswer(std::function<void()> answer) { answer_ = std::move(answer); }
    /// Says within the dialog what is wrong and lets the answer be given again.
    void complain(const Error& error);
    /// Takes back what it complained of.
    void forgive();
    [[nodiscard]] QString complaint() const;
    void setBusy(bool isBusy);
    /// Shows how far a work is, and lets it be stopped, until the dialog is no longer busy.
    void follow(TaskPointer work);
    /// Several answers may be given, one after the other; what closes it then undoes nothing.
    void stayOpen();
    /// Makes room for what was added or has grown.
    void fit();
    [[nodiscard]] QPushButton* answerButton() { return doIt_; }

  protected:
    void resizeEvent(QResizeEvent* event) override;
    void showEvent(QShowEvent* event) override;

  private:
    void styleForm();

    QVBoxLayout* column_;
    QHBoxLayout* columns_;
    QFormLayout* form_;  ///< where fields are added
    QWidget* more_ = nullptr;
    QLabel* complaint_;
    QPushButton* doIt_;
    QPushButton* cancel_;
    QProgressBar* progress_;
    QString cancelWords_;
    QWidget* first_ = nullptr;  ///< the field that is filled in first
    TaskPointer work_;
    QTimer look_;
    std::function<void()> answer_;
};

}  // namespace greywright::desktop

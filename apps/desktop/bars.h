#pragma once

#include <QFrame>
#include <QTimer>

#include "core/result.h"
#include "tasks.h"

class QLabel;
class QProgressBar;
class QPushButton;
class QToolButton;

namespace greywright::desktop {

/// What the program has to say, at the top of the window until it is closed: nothing jumps in the way of the
/// work.
class MessageBar : public QFrame {
    Q_OBJECT

  public:
    enum class Weight { word, warning };

    explicit MessageBar(QWidget* parent = nullptr);

    void say(Weight weight, const QString& title, const QString& words);
    /// An error that a change or a reading met.
    void tell(const QString& title, const Error& error);
    /// Takes away a word that was said; a warning stays until it is closed.
    void forget();
    [[nodiscard]] QString shownText() const;
    [[nodiscard]] const std::string& shownCode() const { return code_; }

  private:
    QLabel* sign_;
    QLabel* title_;
    QLabel* words_;
    QToolButton* close_;
    std::string code_;
    bool isWord_ = true;
};

/// The work that goes on beside the window: what it is, how far it is, and a way to stop it. Hidden without
/// any.
class TaskBar : public QFrame {
    Q_OBJECT

  public:
    explicit TaskBar(Tasks& tasks, QWidget* parent = nullptr);

  private:
    void look();

    Tasks& tasks_;
    QTimer timer_;
    QLabel* title_;
    QProgressBar* bar_;
    QPushButton* stop_;
};

}  // namespace greywright::desktop

#pragma once

#include <QDialog>
#include <QTemporaryDir>
#include <QTimer>
#include <optional>

#include "studio/sheets.h"
#include "tasks.h"

class QCheckBox;
class QComboBox;
class QLabel;
class QLineEdit;
class QPushButton;
class QRadioButton;

namespace greywright::desktop {

class MarkedPicture;
class Workspace;

/// How far a place in any photograph is from neutral, by a card in the same picture.
class PhotoDialog : public QDialog {
    Q_OBJECT

  public:
    PhotoDialog(Workspace& workspace, const QString& picture, QWidget* parent);
    ~PhotoDialog() override;

    [[nodiscard]] MarkedPicture& marks() { return *marks_; }
    /// What is said of the place so far.
    [[nodiscard]] QString words() const;

  private:
    void load();
    void look();
    void show(const Result<studio::Look>& seen);
    void showPicture();
    void save();
    /// The copy with the stronger tint, and the same small enough for the window.
    [[nodiscard]] QString copy() const;
    [[nodiscard]] QString shownCopy() const;

    Workspace& workspace_;
    QString picture_;
    QTemporaryDir copies_;
    std::optional<studio::ShownPicture> shown_ = {};
    MarkedPicture* marks_;
    QRadioButton* card_;
    QRadioButton* place_;
    QComboBox* cardKind_;
    QLineEdit* cardLab_;
    QCheckBox* stronger_;
    QPushButton* save_;
    QLabel* words_;
    QTimer settle_;  ///< one look after a burst of keys
    TaskPointer work_;
    int asked_ = 0;           ///< looks so far: only the latest is shown
    bool hasLooked_ = false;  ///< the copy with the stronger tint is of the marks that are shown
};

}  // namespace greywright::desktop

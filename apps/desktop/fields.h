#pragma once

#include <QString>
#include <QStringList>
#include <optional>
#include <string>
#include <vector>

#include "book/records.h"
#include "steer/control.h"
#include "studio/catalogue.h"
#include "studio/corrections.h"

class QComboBox;
class QDoubleSpinBox;
class QLineEdit;
class QListWidget;
class QWidget;
class QTableWidget;

/// Fields that several questions share.
namespace greywright::desktop {

class FormDialog;
class PathEdit;

/// What the codes of a written picture are tagged as.
class EncodingFields {
  public:
    explicit EncodingFields(FormDialog& dialog);
    /// As studio::SheetRequest takes it. Errors: field-missing (a profile that is not given).
    [[nodiscard]] Result<std::string> encoding() const;

  private:
    QComboBox* kind_;
    PathEdit* profile_;
};

/// Through which correction: the latest in use, none, or one by its number.
class CorrectionField {
  public:
    CorrectionField(FormDialog& dialog, const QString& label,
                    const std::vector<book::CorrectionRecord>& corrections);
    [[nodiscard]] studio::CorrectionChoice choice() const;
    [[nodiscard]] QComboBox* box() const { return box_; }

  private:
    QComboBox* box_;
};

/// A number whose lowest value stands for what is usual.
[[nodiscard]] QDoubleSpinBox* usualOr(FormDialog& dialog, const QString& label, double lowest, double highest,
                                      double step, int digits, const char* name);
/// Nothing for what is usual.
[[nodiscard]] std::optional<double> given(const QDoubleSpinBox& box);
/// Nothing for an empty line.
[[nodiscard]] std::optional<std::string> given(const QLineEdit& line);

/// Every scene and light, to be ticked.
[[nodiscard]] QListWidget* lightsList(const studio::Catalogue& catalogue, const QStringList& ticked,
                                      QWidget* parent);
[[nodiscard]] QStringList tickedIn(const QListWidget& list);

/// Every scene and light with a weight, to be ticked.
[[nodiscard]] QTableWidget* lightsWithWeights(const studio::Catalogue& catalogue, QWidget* parent);
/// What is ticked. A weight that is no number comes back as 0, which no search takes.
[[nodiscard]] std::vector<steer::LightGoal> goalsIn(const QTableWidget& table);

}  // namespace greywright::desktop

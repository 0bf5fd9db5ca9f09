#pragma once

#include <optional>

#include "book/records.h"
#include "section.h"
#include "steer/control.h"

namespace greywright::desktop {

class ConditionData;

/// What to do now, in large type: the setting to print next, or the one to keep.
class NextSection : public Section {
    Q_OBJECT

  public:
    explicit NextSection(ConditionData& shown, QWidget* parent = nullptr);

    /// A setting chosen on the map instead of the proposed one, until something new is known.
    void propose(const book::Setting& setting);
    [[nodiscard]] book::Setting setting() const;
    /// The page for the printer room: what to print, on what, at which setting.
    [[nodiscard]] QString noteHtml() const;

  Q_SIGNALS:
    void sheetWanted();
    void readWanted();
    void reportWanted();

  private:
    void showNext();
    [[nodiscard]] bool isPrinted(const steer::Setting& setting) const;
    void printNote();

    ConditionData& data_;
    QLabel* headline_;
    QLabel* setting_;
    QLabel* reason_;
    QPushButton* back_;
    std::optional<book::Setting> chosen_;
    QPushButton* note_;
    QPushButton* sheet_;
    QPushButton* read_;
    QPushButton* report_;
};

}  // namespace greywright::desktop

#pragma once

#include "section.h"

class QComboBox;

namespace greywright::canvas {
class PlotView;
}

namespace greywright::desktop {

class ConditionData;

/// What the shown trial is worth: one sentence, tone and tint, every tone in figures, and its spectrum.
class VerdictSection : public Section {
    Q_OBJECT

  public:
    explicit VerdictSection(ConditionData& shown, QWidget* parent = nullptr);

  private:
    void showVerdict();
    void showTone();
    void fillOthers();
    [[nodiscard]] QString source() const;

    ConditionData& data_;
    QLabel* sentence_;
    QLabel* notes_;
    QLabel* compare_;
    QComboBox* others_;
    Flow* plots_;
    Flow* figures_;
    canvas::PlotView* tone_;
    canvas::PlotView* tint_;
    canvas::PlotView* spectrum_;
    TableModel* rows_;
    RowsView* table_;
};

}  // namespace greywright::desktop

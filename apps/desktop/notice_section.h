#pragma once

#include "section.h"

namespace greywright::canvas {
class PlotView;
class StripView;
}  // namespace greywright::canvas

namespace greywright::desktop {

class ConditionData;

/// Under which light, and who would notice.
class NoticeSection : public Section {
    Q_OBJECT

  public:
    explicit NoticeSection(ConditionData& shown, QWidget* parent = nullptr);

  private:
    void showNotice();

    ConditionData& data_;
    QLabel* words_;
    TableModel* lights_;
    RowsView* table_;
    QPushButton* picture_;
    canvas::StripView* tones_;
    canvas::StripView* ages_;
    canvas::PlotView* plane_;
    Flow* flow_;
    QLabel* caution_;
};

}  // namespace greywright::desktop

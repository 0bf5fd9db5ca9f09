#pragma once

#include <QTimer>

#include "book/records.h"
#include "judge/judge.h"
#include "section.h"
#include "steer/steer.h"
#include "tasks.h"

class QDoubleSpinBox;

namespace greywright::canvas {
class PlotView;
}

namespace greywright::desktop {

class ConditionData;
class SteadyWords;

/// The map of settings: what is expected of each, and a cross to ask about one.
class MapSection : public Section {
    Q_OBJECT

  public:
    explicit MapSection(ConditionData& shown, QWidget* parent = nullptr);

    /// Puts the cross at a setting, as by hand.
    void moveCross(double x, double y);

  Q_SIGNALS:
    void proposed(const book::Setting& setting);

  private:
    void showMap();
    void showProposed(bool isAtTheTop);
    void makeBoxes();
    void showCross();
    void showTint();
    void showLights();
    void askViewers();
    [[nodiscard]] std::vector<double> setting() const;

    ConditionData& data_;
    canvas::PlotView* map_;
    QWidget* side_;
    std::vector<QDoubleSpinBox*> boxes_;
    SteadyWords* there_;
    QLabel* control_;
    QPushButton* propose_;
    steer::Setting proposed_ = {};  ///< where the search last put the cross
    bool isMoving_ = false;

    canvas::PlotView* tint_;
    TableModel* lights_;
    RowsView* table_;
    SteadyWords* share_;
    steer::Foretold expected_ = {};  ///< at the cross
    judge::Verdict foretold_ = {};   ///< on the sheet that is expected there
    TaskPointer asking_;
    bool isAskingAgain_ = false;
    QTimer ask_;
};

}  // namespace greywright::desktop

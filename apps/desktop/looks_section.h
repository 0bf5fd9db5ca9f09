#pragma once

#include "section.h"

class QComboBox;

namespace greywright::canvas {
class StripView;
}

namespace greywright::desktop {

class ConditionData;

/// The ramp as it will look under a light, as it is or with its tint made larger.
class LooksSection : public Section {
    Q_OBJECT

  public:
    explicit LooksSection(ConditionData& shown, QWidget* parent = nullptr);

  private:
    void fillLights();
    void showStrip();

    ConditionData& data_;
    QComboBox* light_;
    QComboBox* factor_;
    QLabel* shownFactor_;
    QLabel* screen_;
    canvas::StripView* strip_;
    std::vector<double> tones_;
};

}  // namespace greywright::desktop

#include "map_section.h"

#include <QDoubleSpinBox>
#include <QFormLayout>
#include <QLabel>
#include <QPushButton>
#include <QVBoxLayout>
#include <cmath>

#include "canvas/plot_view.h"
#include "condition_data.h"
#include "models.h"
#include "steady_words.h"
#include "studio/convert.h"
#include "studio/report_figures.h"
#include "text.h"

namespace greywright::desktop {
namespace {

constexpr int kSideBySide = 760;
constexpr double kForetoldPt = 230;

int digitsOf(const book::AxisRecord& axis) {
    return axis.step == std::round(axis.step) && axis.min == std::round(axis.min) ? 0 : 2;
}

}  // namespace

MapSection::MapSection(ConditionData& shown, QWidget* parent)
    : Section(tr("The map of settings"), parent),
      data_(shown),
      map_(new canvas::PlotView),
      side_(new QWidget),
      there_(new SteadyWords(2, side_)),
      control_(wordsLabel(side_)),
      propose_(button(side_, tr("Print &this one next"), "propose")),
      tint_(new canvas::PlotView),
      lights_(new TableModel({tr("Light"), tr("ΔE00"), tr("At tone"), tr("Notice it")}, this)),
      table_(new RowsView(lights_, 10, side_)),
      share_(new SteadyWords(3, side_)) {
    tint_->setObjectName(QStringLiteral("foretoldTint"));
    table_->setObjectName(QStringLiteral("foretoldLights"));
    table_->setAccessibleName(tr("What is expected under every light"));
    share_->setObjectName(QStringLiteral("foretoldShare"));
    map_->setObjectName(QStringLiteral("map"));
    there_->setObjectName(QStringLiteral("there"));
    QFont bold = there_->font();
    bold.setBold(true);
    there_->setFont(bold);
    auto* column = new QVBoxLayout(side_);
    column->setContentsMargins(0, 0, 0, 0);
    column->addWidget(
        wordsLabel(side_, tr("Drag the cross, or move it with the arrow keys, to ask about a setting.")));
    column->addWidget(there_);
    column->addWidget(propose_, 0, Qt::AlignLeft);
    column->addWidget(table_);
    column->addWidget(share_);
    column->addWidget(control_);
    column->addStretch(1);
    auto* frame = new FigureFrame(map_, tr("Map of settings"));
    connect(frame, &FigureFrame::failed, this, &Section::failed);
    connect(frame, &FigureFrame::said, this, &Section::said);
    auto* flow = new Flow(kSideBySide, this);
    flow->add(frame, 3);
    flow->add(side_, 2);
    this->column().addWidget(flow);
    auto* below = new FigureFrame(tint_, tr("Tint expected at the cross"), this);
    connect(below, &FigureFrame::failed, this, &Section::failed);
    connect(below, &FigureFrame::said, this, &Section::said);
    this->column().addWidget(below);
    connect(map_, &canvas::PlotView::crossMoved, this, &MapSection::moveCross);
    connect(map_, &canvas::PlotView::picked, this, &MapSection::moveCross);
    connect(propose_, &QPushButton::clicked, this, [this] {
        const auto& axes = data_.records().condition.axes;
        book::Setting out;
        for (std::size_t i = 0; i < axes.size(); ++i) out.push_back({axes[i].name, setting()[i]});
        Q_EMIT proposed(out);
        showProposed(true);
    });
    connect(&data_, &ConditionData::foresightChanged, this, &MapSection::showMap);
    connect(&data_, &ConditionData::worstChanged, this, &MapSection::showMap);
    ask_.setSingleShot(true);
    ask_.setInterval(0);
    connect(&ask_, &QTimer::timeout, this, &MapSection::askViewers);
    setVisible(false);
}

void MapSection::makeBoxes() {
    if (!boxes_.empty()) return;
    auto* form = new QFormLayout;
    for (const book::AxisRecord& axis : data_.records().condition.axes) {
        auto* box = new QDoubleSpinBox(side_);
        box->setRange(axis.min, axis.max);
        box->setSingleStep(axis.step);
        box->setDecimals(digitsOf(axis));
        box->setObjectName(QStringLiteral("cross-") + text(axis.name));
        box->setAccessibleName(tr("Cross: %1").arg(text(axis.name)));
        form->addRow(text(axis.name), box);
        boxes_.push_back(box);
        connect(box, &QDoubleSpinBox::valueChanged, this, [this] {
            if (!isMoving_) showCross();
        });
    }
    static_cast<QVBoxLayout*>(side_->layout())->insertLayout(1, form);
    const auto& axes = data_.records().condition.axes;
    map_->setCrossStep(axes[0].step, axes.size() > 1 ? axes[1].step : 1);
}

void MapSection::showProposed(bool isAtTheTop) {
    if (propose_->isEnabled() != isAtTheTop) return;  // it says so already
    propose_->setEnabled(!isAtTheTop);
    propose_->setText(isAtTheTop ? tr("It stands at the top of the page") : tr("Print &this one next"));
}

std::vector<double> MapSection::setting() const {
    std::vector<double> out;
    for (const QDoubleSpinBox* box : boxes_) out.push_back(box->value());
    return out;
}

void MapSection::showMap() {
    const auto& foresight = data_.foresight();
    setVisible(foresight != nullptr && foresight->map.has_value());
    if (isHidden()) return;
    makeBoxes();
    const book::ConditionRecord& condition = data_.records().condition;
    studio::ReportInput input{.axes = studio::axesFromRecord(condition),
                              .summary = foresight->search.summary,
                              .map = foresight->map};
    for (const book::TrialRecord& trial : data_.records().trials) {
        studio::ReportTrial row{.number = trial.number,
                                .setting = studio::settingFromRecord(trial.setting),
                                .withdrawnBecause = trial.withdrawnBecause};
        if (const auto worst = data_.worst().find(trial.number); worst != data_.worst().end())
            row.worstDeltaE00 = worst->second;
        input.trials.push_back(std::move(row));
    }
    figure::Plot plot = studio::reportSettingPlot(input);
    plot.title = text(tr("What each setting is expected to give"));
    map_->setPlot(std::move(plot));
    map_->setSource(tr("%1 · %n trial(s) · %2", nullptr, static_cast<int>(foresight->search.summary.trials))
                        .arg(data_.name(), text(studio::version())));
    QStringList control;
    for (const steer::AxisAction& action : foresight->search.summary.control) control << text(action.words);
    control_->setText(control.join(QLatin1Char('\n')));
    // The cross goes to what a new search proposes; a redrawn map leaves it where the hand put it.
    const steer::Setting& next = foresight->search.summary.predicted.setting;
    if (next != proposed_) {
        proposed_ = next;
        isMoving_ = true;
        for (std::size_t i = 0; i < boxes_.size(); ++i) boxes_[i]->setValue(next[i]);
        isMoving_ = false;
    }
    showCross();
}

void MapSection::moveCross(double x, double y) {
    if (boxes_.empty()) return;
    const auto& axes = data_.records().condition.axes;
    const auto onStep = [](const book::AxisRecord& axis, double value) {
        return axis.min + std::round((value - axis.min) / axis.step) * axis.step;
    };
    isMoving_ = true;
    boxes_[0]->setValue(onStep(axes[0], x));
    if (boxes_.size() > 1) boxes_[1]->setValue(onStep(axes[1], y));
    isMoving_ = false;
    showCross();
}

void MapSection::showCross() {
    const auto& foresight = data_.foresight();
    if (foresight == nullptr || !foresight->map || boxes_.empty()) return;
    if (asking_) asking_->stop();  // about where the cross was
    showProposed(false);
    const std::vector<double> at = setting();
    expected_ = foresight->search.outlook->at(at);
    const steer::Prediction& worst = expected_.worst;
    map_->setCross(figure::XY{at[0], at.size() > 1 ? at[1] : worst.worstDeltaE00});
    there_->setText(tr("Expected there: the worst tone %1 ΔE00 from its aim (%2 to %3)")
                        .arg(number(worst.worstDeltaE00, 1), number(worst.worstDeltaE00Low, 1),
                             number(worst.worstDeltaE00High, 1)));
    if (auto verdict = foresight->verdictOn(expected_, false)) {
        foretold_ = *std::move(verdict);
        showTint();
        showLights();
    }
    ask_.start();
}

void MapSection::showTint() {
    figure::Plot plot = studio::reportTintPlot(foretold_);
    plot.title = text(tr("Tint expected at the cross"));
    plot.heightPt = kForetoldPt;
    tint_->setPlot(std::move(plot));
    tint_->setSource(tr("%1 · foretold from trial %2 · %3")
                         .arg(data_.name())
                         .arg(data_.foresight()->sheetTrial)
                         .arg(text(studio::version())));
}

void MapSection::showLights() {
    std::vector<TableModel::Row> rows;
    for (std::size_t i = 0; i < foretold_.lights.size(); ++i) {
        const judge::LightVerdict& light = foretold_.lights[i];
        rows.push_back(
            {.cells = {{.text = text(light.name)},
                       {.text = number(light.deltaE00, 2), .isNumber = true},
                       {.text = tr("%1 %").arg(number(light.worstTonePercent, 0)), .isNumber = true},
                       {.text = light.notice ? tr("%1 %").arg(number(light.notice->beside.value * 100, 0))
                                             : tr("…"),
                        .isNumber = true}},
             .key = static_cast<double>(i)});
    }
    lights_->show(std::move(rows));
    const auto& notice = foretold_.notice;
    share_->setText(notice ? tr("In one of these places %1 % of %2 viewers would notice it beside something "
                                "neutral, %3 % alone on a wall.")
                                 .arg(number(notice->besideAnywhere.value * 100, 0))
                                 .arg(number(static_cast<double>(notice->viewers), 0))
                                 .arg(number(notice->aloneAnywhere.value * 100, 0))
                           : tr("…"));
}

// After what the standard observer sees was painted. One question at a time: while the cross moves, the one
// under way is stopped and the latest place asked about when it has ended.
void MapSection::askViewers() {
    const auto foresight = data_.foresight();
    if (!foresight->seen.viewers) {
        share_->setText(tr("Nobody is asked: see View, How prints are looked at."));
        return;
    }
    if (asking_) {
        asking_->stop();
        isAskingAgain_ = true;
        return;
    }
    isAskingAgain_ = false;
    asking_ = data_.workspace().tasks().run(
        QString(), this,
        [foresight, expected = expected_](Task& task) {
            return foresight->verdictOn(expected, true, [&task](double share) { return task.goOn(share); });
        },
        [this](const Result<judge::Verdict>& answer) {
            asking_.reset();
            if (isAskingAgain_) {
                askViewers();
            } else if (answer && !ask_.isActive()) {
                // Of fewer tones than the verdict that is shown: only who notices is taken from it.
                foretold_.notice = answer->notice;
                for (std::size_t i = 0; i < std::min(foretold_.lights.size(), answer->lights.size()); ++i)
                    foretold_.lights[i].notice = answer->lights[i].notice;
                showLights();
            }
        });
}

}  // namespace greywright::desktop

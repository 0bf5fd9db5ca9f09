#include "condition_page.h"

#include <QLabel>
#include <QVBoxLayout>

#include "core/numbers.h"
#include "jobs.h"
#include "looks_section.h"
#include "map_section.h"
#include "next_section.h"
#include "notice_section.h"
#include "records_sections.h"
#include "text.h"
#include "verdict_section.h"

namespace greywright::desktop {
namespace {

constexpr int kWidest = 1400;

QString shortest(double value) {
    return text(textFromNumber(value)).replace(QLatin1Char('-'), QChar(0x2212));
}

}  // namespace

ConditionPage::ConditionPage(Workspace& workspace, const QString& name, Preferences& preferences, Jobs& jobs,
                             QWidget* parent)
    : QScrollArea(parent), data_(new ConditionData(workspace, name, preferences, this)) {
    setAccessibleName(tr("Condition %1").arg(name));
    setWidgetResizable(true);
    setFrameShape(NoFrame);
    setHorizontalScrollBarPolicy(Qt::ScrollBarAsNeeded);
    auto* page = new QWidget;
    page->setMaximumWidth(kWidest);
    auto* column = new QVBoxLayout(page);
    column->setContentsMargins(28, 20, 28, 40);
    column->setSpacing(8);
    column->addWidget(headingLabel(page, name, 1.7));
    facts_ = wordsLabel(page);
    axes_ = wordsLabel(page);
    column->addWidget(facts_);
    column->addWidget(axes_);
    next_ = new NextSection(*data_, page);
    auto* trials = new TrialsSection(*data_, page);
    auto* verdict = new VerdictSection(*data_, page);
    auto* looks = new LooksSection(*data_, page);
    auto* notice = new NoticeSection(*data_, page);
    map_ = new MapSection(*data_, page);
    auto* corrections = new CorrectionsSection(*data_, page);
    auto* history = new HistorySection(*data_, page);
    for (Section* section :
         std::initializer_list<Section*>{next_, trials, verdict, looks, notice, map_, corrections, history}) {
        column->addWidget(section);
        connect(section, &Section::failed, this, &ConditionPage::failed);
        connect(section, &Section::said, this, &ConditionPage::said);
    }
    column->addStretch(1);
    setWidget(page);

    const auto& condition = data_->name();
    connect(next_, &NextSection::sheetWanted, &jobs,
            [this, &jobs] { jobs.makeSheet(data_->name(), next_->setting()); });
    connect(next_, &NextSection::readWanted, this, &ConditionPage::readWanted);
    connect(next_, &NextSection::reportWanted, &jobs, [&jobs, condition] { jobs.saveReport(condition); });
    connect(trials, &TrialsSection::withdrawWanted, &jobs,
            [&jobs, condition](int trial) { jobs.withdrawTrial(condition, trial); });
    connect(trials, &TrialsSection::restoreWanted, &jobs,
            [&jobs, condition](int trial) { jobs.restoreTrial(condition, trial); });
    connect(trials, &TrialsSection::exportWanted, &jobs, [this, &jobs, condition](int trial) {
        const book::TrialRecord* record = data_->record(trial);
        const bool isRead = record != nullptr && !record->readings.empty();
        jobs.exportReading(condition, trial, isRead ? text(record->readings.front().fileName) : QString());
    });
    connect(map_, &MapSection::proposed, next_, &NextSection::propose);
    connect(corrections, &CorrectionsSection::curveWanted, &jobs,
            [&jobs, condition] { jobs.makeCurve(condition); });
    connect(corrections, &CorrectionsSection::tableWanted, &jobs,
            [&jobs, condition] { jobs.makeTable(condition); });
    connect(corrections, &CorrectionsSection::profileWanted, &jobs,
            [&jobs, condition] { jobs.makeProfile(condition); });
    connect(corrections, &CorrectionsSection::picturesWanted, &jobs,
            [&jobs, condition] { jobs.preparePictures(condition); });
    connect(corrections, &CorrectionsSection::withdrawWanted, &jobs,
            [&jobs, condition](int one) { jobs.withdrawCorrection(condition, one); });
    connect(corrections, &CorrectionsSection::saveWanted, &jobs,
            [&jobs, condition](int one) { jobs.saveCorrection(condition, one); });
    connect(data_, &ConditionData::recordsChanged, this, &ConditionPage::showFacts);
    connect(data_, &ConditionData::failed, this, &ConditionPage::failed);
    connect(data_, &ConditionData::outdated, this, &ConditionPage::outdated);
    connect(&workspace, &Workspace::touched, data_, &ConditionData::load);
    data_->load();
}

book::Setting ConditionPage::nextSetting() const {
    return next_->setting();
}

void ConditionPage::showFacts() {
    const book::ConditionRecord& condition = data_->records().condition;
    QStringList facts;
    const auto add = [&](const QString& name, const std::string& value) {
        if (!value.empty()) facts << tr("%1: %2").arg(name, text(value));
    };
    add(tr("Printer"), condition.printer);
    add(tr("Inks"), condition.inks);
    add(tr("Paper"), condition.paper);
    add(tr("Mode"), condition.mode);
    facts_->setText(facts.join(QStringLiteral("   ·   ")));
    QStringList axes;
    for (const book::AxisRecord& axis : condition.axes)
        axes << tr("%1 from %2 to %3 by %4")
                    .arg(text(axis.name), shortest(axis.min), shortest(axis.max), shortest(axis.step));
    axes_->setText(axes.isEmpty() ? tr("No tint control")
                                  : tr("Tint control: %1").arg(axes.join(QStringLiteral("; "))));
}

}  // namespace greywright::desktop

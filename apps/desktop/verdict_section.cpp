#include "verdict_section.h"

#include <QComboBox>
#include <QHBoxLayout>
#include <QLabel>
#include <QSignalBlocker>
#include <QVBoxLayout>

#include "canvas/plot_view.h"
#include "condition_data.h"
#include "models.h"
#include "studio/page_figures.h"
#include "studio/report_figures.h"
#include "text.h"

namespace greywright::desktop {
namespace {

constexpr int kSideBySide = 860;

void addFigure(Flow& flow, Section* section, canvas::FigureView* view, const QString& name) {
    auto* frame = new FigureFrame(view, name);
    QObject::connect(frame, &FigureFrame::failed, section, &Section::failed);
    QObject::connect(frame, &FigureFrame::said, section, &Section::said);
    flow.add(frame);
}

}  // namespace

VerdictSection::VerdictSection(ConditionData& shown, QWidget* parent)
    : Section(tr("The verdict"), parent),
      data_(shown),
      sentence_(headingLabel(this, {}, 1.1)),
      notes_(wordsLabel(this)),
      compare_(new QLabel(this)),
      others_(new QComboBox(this)),
      plots_(new Flow(kSideBySide, this)),
      figures_(new Flow(kSideBySide, this)),
      tone_(new canvas::PlotView),
      tint_(new canvas::PlotView),
      spectrum_(new canvas::PlotView),
      rows_(new TableModel(columnsOfTones(), this)),
      table_(new RowsView(rows_, 12)) {
    sentence_->setObjectName(QStringLiteral("sentence"));
    tint_->setObjectName(QStringLiteral("tint"));
    tone_->setObjectName(QStringLiteral("tone"));
    spectrum_->setObjectName(QStringLiteral("spectrum"));
    table_->setObjectName(QStringLiteral("tones"));
    table_->setAccessibleName(tr("Every tone against its aim"));
    others_->setObjectName(QStringLiteral("others"));
    others_->setSizeAdjustPolicy(QComboBox::AdjustToContents);

    auto* row = new QHBoxLayout;
    compare_->setText(tr("Compare &with"));
    compare_->setBuddy(others_);
    row->addWidget(compare_);
    row->addWidget(others_);
    row->addStretch(1);

    addFigure(*plots_, this, tint_, tr("Tint along the ramp"));
    addFigure(*plots_, this, tone_, tr("Lightness along the ramp"));
    figures_->add(table_);
    addFigure(*figures_, this, spectrum_, tr("Spectrum of a tone"));
    column().addWidget(sentence_);
    column().addWidget(notes_);
    column().addLayout(row);
    column().addWidget(plots_);
    column().addWidget(figures_);

    for (canvas::PlotView* plot : {tone_, tint_}) {
        connect(plot, &canvas::PlotView::picked, &data_, [this](double x, double) { data_.pickTone(x); });
        connect(plot, &canvas::PlotView::pickedX, &data_, &ConditionData::pickTone);
    }
    connect(table_, &RowsView::chosen, &data_,
            [this](int chosen) { data_.pickTone(rows_->row(chosen).key); });
    connect(others_, &QComboBox::activated, this, [this] {
        const QStringList chosen = others_->currentData().toStringList();
        data_.showOther(chosen.value(0), chosen.value(1).toInt());
    });
    connect(&data_, &ConditionData::verdictChanged, this, &VerdictSection::showVerdict);
    connect(&data_, &ConditionData::otherChanged, this, &VerdictSection::showVerdict);
    connect(&data_, &ConditionData::sightChanged, this, &VerdictSection::showTone);
    connect(&data_, &ConditionData::tonePicked, this, &VerdictSection::showTone);
    connect(&data_, &ConditionData::recordsChanged, this, &VerdictSection::fillOthers);
    connect(&data_, &ConditionData::verdictChanged, this, &VerdictSection::fillOthers);
    connect(&data_.workspace(), &Workspace::changed, this, &VerdictSection::fillOthers);
    showVerdict();
}

QString VerdictSection::source() const {
    const book::TrialRecord* record = data_.record(data_.trial());
    if (record == nullptr) return {};
    QStringList parts{data_.name(), tr("trial %1").arg(record->number)};
    if (!record->setting.empty()) parts << textOf(record->setting);
    if (!record->readings.empty() && !record->readings.front().conditionM.empty())
        parts << text(record->readings.front().conditionM);
    parts << dateOf(record->when) << text(studio::version());
    return parts.join(QStringLiteral(" · "));
}

void VerdictSection::showVerdict() {
    const studio::Judgement* judged = data_.judgement();
    const bool isThere = judged != nullptr;
    for (QWidget* part : std::initializer_list<QWidget*>{plots_, figures_, compare_, others_})
        part->setVisible(isThere);
    if (!isThere) {
        sentence_->setText(data_.isLoaded() && data_.trial() == 0 ? tr("Nothing was measured yet.")
                                                                  : tr("…"));
        notes_->hide();
        return;
    }
    title().setText(tr("The verdict on trial %1").arg(judged->trial));
    sentence_->setText(asSentence(judged->verdict.summary));
    std::vector<Note> notes = judged->notes;
    notes.insert(notes.end(), judged->verdict.notes.begin(), judged->verdict.notes.end());
    notes_->setText(textOf(notes));
    notes_->setVisible(!notes.empty());

    const ConditionData::Other& other = data_.other();
    figure::Plot tone;
    figure::Plot tint;
    if (other.judgement) {
        const studio::Beside beside{&other.judgement->verdict, text(other.name(data_.name()))};
        tone = studio::tonePlotBeside(judged->verdict, beside);
        tint = studio::tintPlotBeside(judged->verdict, beside);
    } else {
        tone = studio::reportTonePlot(judged->verdict);
        tint = studio::reportTintPlot(judged->verdict);
    }
    tone.title = text(tr("Lightness along the ramp"));
    tint.title = text(tr("Tint along the ramp"));
    tone.heightPt = tint.heightPt = 290;
    tone_->setPlot(std::move(tone));
    tint_->setPlot(std::move(tint));
    for (canvas::PlotView* plot : {tone_, tint_, spectrum_}) plot->setSource(source());
    rows_->show(rowsOfTones(judged->verdict.patches));
    showTone();
}

void VerdictSection::showTone() {
    const std::optional<double> tone = data_.tone();
    if (!tone) return;
    tone_->setMarkX(tone);
    tint_->setMarkX(tone);
    table_->choose(rows_->rowOf(*tone));
    if (data_.sight() == nullptr) return;
    figure::Plot plot = studio::spectrumPlot(data_.sight()->ramp, *tone);
    const bool hasSpectra = !plot.series.empty();
    plot.title = text(hasSpectra ? tr("Spectrum at %1 %").arg(*tone) : tr("This reading has no spectra"));
    spectrum_->parentWidget()->setVisible(hasSpectra);
    if (hasSpectra) spectrum_->setPlot(std::move(plot));
}

void VerdictSection::fillOthers() {
    if (!data_.isLoaded()) return;
    const QSignalBlocker quiet(others_);
    others_->clear();
    others_->addItem(tr("nothing"), QStringList());
    for (const book::TrialRecord& trial : data_.records().trials) {
        if (trial.readings.empty() || trial.number == data_.trial()) continue;
        const QString words = trial.isWithdrawn() ? tr("trial %1, taken out: %2") : tr("trial %1: %2");
        others_->addItem(words.arg(trial.number).arg(textOf(trial.setting)),
                         QStringList{data_.name(), QString::number(trial.number)});
    }
    for (const studio::ConditionOverview& one : data_.workspace().conditions()) {
        if (text(one.condition.name) == data_.name() || one.lastTrial == 0) continue;
        others_->addItem(tr("%1, trial %2").arg(text(one.condition.name)).arg(one.lastTrial),
                         QStringList{text(one.condition.name), QString::number(one.lastTrial)});
    }
    const ConditionData::Other& other = data_.other();
    if (other.trial == 0) return;
    others_->setCurrentIndex(
        std::max(0, others_->findData(QStringList{other.condition, QString::number(other.trial)})));
}

}  // namespace greywright::desktop

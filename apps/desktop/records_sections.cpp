#include "records_sections.h"

#include <QHBoxLayout>
#include <QLabel>
#include <QPushButton>
#include <QVBoxLayout>

#include "condition_data.h"
#include "models.h"
#include "text.h"

namespace greywright::desktop {

TrialsSection::TrialsSection(ConditionData& shown, QWidget* parent)
    : Section(tr("Trials"), parent),
      data_(shown),
      rows_(new TableModel(columnsOfTrials(), this)),
      table_(new RowsView(rows_, 8)),
      withdraw_(button(this, tr("Take this trial &out…"), "withdraw")),
      restore_(button(this, tr("Count it a&gain"), "restore")),
      export_(button(this, tr("Save its reading…"), "export")) {
    table_->setObjectName(QStringLiteral("trials"));
    table_->setAccessibleName(tr("The trials, the latest first"));
    column().addWidget(table_);
    auto* row = new QHBoxLayout;
    row->addWidget(withdraw_);
    row->addWidget(restore_);
    row->addWidget(export_);
    row->addStretch(1);
    column().addLayout(row);
    connect(table_, &RowsView::chosen, this, [this] {
        data_.showTrial(chosen());
        showButtons();
    });
    connect(withdraw_, &QPushButton::clicked, this, [this] { Q_EMIT withdrawWanted(chosen()); });
    connect(restore_, &QPushButton::clicked, this, [this] { Q_EMIT restoreWanted(chosen()); });
    connect(export_, &QPushButton::clicked, this, [this] { Q_EMIT exportWanted(chosen()); });
    connect(&data_, &ConditionData::recordsChanged, this, &TrialsSection::showTrials);
    connect(&data_, &ConditionData::worstChanged, this, &TrialsSection::showTrials);
    connect(&data_, &ConditionData::verdictChanged, this, &TrialsSection::showTrials);
    setVisible(false);
}

int TrialsSection::chosen() const {
    const QModelIndex current = table_->currentIndex();
    return current.isValid() ? static_cast<int>(rows_->row(current.row()).key) : 0;
}

void TrialsSection::showTrials() {
    if (!data_.isLoaded()) return;
    const int before = chosen();
    rows_->show(rowsOfTrials(data_.records().trials, data_.worst()));
    setVisible(rows_->rowCount() > 0);
    const book::TrialRecord* kept = before > 0 ? data_.record(before) : nullptr;
    const bool isUnmeasured = kept != nullptr && kept->readings.empty();
    table_->choose(rows_->rowOf(isUnmeasured ? before : data_.trial()));
    showButtons();
}

void TrialsSection::showButtons() {
    const book::TrialRecord* record = chosen() > 0 ? data_.record(chosen()) : nullptr;
    withdraw_->setEnabled(record != nullptr && !record->isWithdrawn());
    restore_->setEnabled(record != nullptr && record->isWithdrawn());
    export_->setEnabled(record != nullptr && !record->readings.empty());
}

CorrectionsSection::CorrectionsSection(ConditionData& shown, QWidget* parent)
    : Section(tr("Correction"), parent),
      data_(shown),
      words_(wordsLabel(this)),
      rows_(new TableModel(columnsOfCorrections(), this)),
      table_(new RowsView(rows_, 6)),
      withdraw_(button(this, tr("Take out of &use…"), "withdrawCorrection")),
      save_(button(this, tr("Save as te&xt…"), "saveCorrection")) {
    table_->setObjectName(QStringLiteral("corrections"));
    table_->setAccessibleName(tr("Corrections, the latest first"));
    column().addWidget(words_);
    column().addWidget(table_);
    auto* row = new QHBoxLayout;
    const auto add = [&](const QString& words, const char* name, auto signal) {
        QPushButton* one = button(this, words, name);
        row->addWidget(one);
        connect(one, &QPushButton::clicked, this, signal);
    };
    add(tr("Make a tone c&urve…"), "curve", &CorrectionsSection::curveWanted);
    add(tr("Make a neutrali&sing table…"), "table", &CorrectionsSection::tableWanted);
    add(tr("Make a pro&file…"), "profile", &CorrectionsSection::profileWanted);
    add(tr("Prepare p&ictures…"), "pictures", &CorrectionsSection::picturesWanted);
    row->addWidget(withdraw_);
    row->addWidget(save_);
    row->addStretch(1);
    column().addLayout(row);
    const auto chosen = [this] {
        const QModelIndex current = table_->currentIndex();
        return current.isValid() ? static_cast<int>(rows_->row(current.row()).key) : 0;
    };
    const auto look = [this, chosen] {
        bool isInUse = false;
        for (const book::CorrectionRecord& one : data_.records().corrections)
            isInUse = isInUse || (one.number == chosen() && !one.withdrawnBecause);
        withdraw_->setEnabled(isInUse);
        save_->setEnabled(chosen() > 0);
    };
    connect(table_, &RowsView::chosen, this, look);
    connect(withdraw_, &QPushButton::clicked, this, [this, chosen] { Q_EMIT withdrawWanted(chosen()); });
    connect(save_, &QPushButton::clicked, this, [this, chosen] { Q_EMIT saveWanted(chosen()); });
    connect(&data_, &ConditionData::recordsChanged, this, [this, look] {
        showCorrections();
        look();
    });
    setVisible(false);
}

void CorrectionsSection::showCorrections() {
    rows_->show(rowsOfCorrections(data_.records().corrections));
    const bool isAny = rows_->rowCount() > 0;
    setVisible(!data_.records().trials.empty() || isAny);
    table_->setVisible(isAny);
    withdraw_->setVisible(isAny);
    save_->setVisible(isAny);
    words_->setText(
        isAny ? tr("The latest that is in use goes with every picture that is prepared.")
              : tr("Where no setting will do, a curve evens the tone, and a table takes out the tint that "
                   "is left. Both go into the pictures, not into the driver."));
}

HistorySection::HistorySection(ConditionData& shown, QWidget* parent) : Section(tr("History"), parent) {
    auto* rows = new TableModel(columnsOfHistory(), this);
    auto* table = new RowsView(rows, 10);
    table->setObjectName(QStringLiteral("history"));
    table->setAccessibleName(tr("What happened, the latest first"));
    column().addWidget(table);
    connect(&shown, &ConditionData::recordsChanged, this,
            [&shown, rows] { rows->show(rowsOfHistory(shown.records())); });
}

}  // namespace greywright::desktop

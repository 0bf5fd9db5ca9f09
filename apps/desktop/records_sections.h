#pragma once

#include "section.h"

namespace greywright::desktop {

class ConditionData;

/// The trials: what each was printed at and what came of it.
class TrialsSection : public Section {
    Q_OBJECT

  public:
    explicit TrialsSection(ConditionData& shown, QWidget* parent = nullptr);

  Q_SIGNALS:
    /// A trial is to be taken out of the account, or counted again.
    void withdrawWanted(int trial);
    void restoreWanted(int trial);
    void exportWanted(int trial);

  private:
    void showTrials();
    void showButtons();
    [[nodiscard]] int chosen() const;

    ConditionData& data_;
    TableModel* rows_;
    RowsView* table_;
    QPushButton* withdraw_;
    QPushButton* restore_;
    QPushButton* export_;
};

/// Curves and tables that correct what the condition prints, and what is made with them.
class CorrectionsSection : public Section {
    Q_OBJECT

  public:
    explicit CorrectionsSection(ConditionData& shown, QWidget* parent = nullptr);

  Q_SIGNALS:
    void curveWanted();
    void tableWanted();
    void profileWanted();
    void picturesWanted();
    void withdrawWanted(int correction);
    void saveWanted(int correction);

  private:
    void showCorrections();

    ConditionData& data_;
    QLabel* words_;
    TableModel* rows_;
    RowsView* table_;
    QPushButton* withdraw_;
    QPushButton* save_;
};

/// What happened, the latest first.
class HistorySection : public Section {
    Q_OBJECT

  public:
    explicit HistorySection(ConditionData& shown, QWidget* parent = nullptr);
};

}  // namespace greywright::desktop
